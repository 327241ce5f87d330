"""When lifting chain in use is discarded, and what heat takes from its load.

`discard_pitch`, `discard_thickness`, `grade8_temperature_factor` and
`grade4_temperature_factor`. These limits do not replace the look of a competent person:
cracks, nicks, bent or heat-marked links put a chain out of use at any size.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.reader import published_table

DISCARD = "BG BAU, Ablegereife von Rundstahlketten; DGUV Information 209-021 (after DIN 685)"


@calculation(source=DISCARD, gives="pitch_discard_mm", needs={"pitch_mm": POSITIVE})
def discard_pitch(*, pitch_mm: Values) -> Values:
    """Inner length of a link at which lifting chain is out of use: 5 % over the pitch.

    Args:
        pitch_mm: Pitch of the new chain.

    References:
        BG BAU: above 5 %; DGUV Information 209-021: 5 % or more.

    Example:
        >>> discard_pitch(pitch_mm=30)
        31.5
    """
    return 1.05 * pitch_mm


@calculation(source=DISCARD, gives="minimum_thickness_mm", needs={"nominal_diameter_mm": POSITIVE})
def discard_thickness(*, nominal_diameter_mm: Values) -> Values:
    """Thickness of a worn link at which lifting chain is out of use: 90 % of the size.

    Args:
        nominal_diameter_mm: Nominal size.

    References:
        BG BAU and DGUV Information 209-021 (there the mean thickness of the section).

    Example:
        >>> discard_thickness(nominal_diameter_mm=10)
        9.0
    """
    return 0.9 * nominal_diameter_mm


@calculation(
    source="EN 818-6:2000+A1:2008, information for use and maintenance, table of temperatures",
    gives="working_load_factor",
    needs={"temperature_degC": (-40.0, 400.0)},
    basis="memory",
)
def grade8_temperature_factor(*, temperature_degC: Values) -> Values:
    """Share of the working load limit of grade 8 chain slings at a chain temperature.

    1 from -40 up to 200 degC, 0.9 over 200 up to 300, 0.75 over 300 up to 400; not to be
    used outside.

    Args:
        temperature_degC: Temperature of the chain.

    Raises:
        ArgumentError: below -40 or above 400 degC.

    References:
        EN 818-6:2000+A1:2008, table of temperatures.

    Example:
        >>> float(grade8_temperature_factor(temperature_degC=250))
        0.9
    """
    return _factor(8, temperature_degC)


@calculation(
    source="DGUV Information 209-021, table for grade 4 (after DIN EN 818-6:2000+A1:2008)",
    gives="working_load_factor",
    needs={"temperature_degC": (-40.0, 475.0)},
)
def grade4_temperature_factor(*, temperature_degC: Values) -> Values:
    """Share of the working load limit of grade 4 chain slings at a chain temperature.

    1 from -40 up to 300 degC, 0.75 over 300 up to 400, 0.5 over 400 up to 475; not to be
    used outside.

    Args:
        temperature_degC: Temperature of the chain.

    Raises:
        ArgumentError: below -40 or above 475 degC.

    References:
        DGUV Information 209-021 (after DIN EN 818-6:2000+A1:2008).

    Example:
        >>> float(grade4_temperature_factor(temperature_degC=450))
        0.5
    """
    return _factor(4, temperature_degC)


def _factor(grade: int, temperature_degC: Values) -> Values:
    rows = published_table("sling_temperature").where(grade=grade)
    bounds = np.array(rows.listed, dtype=float)
    factors = np.array([float(row.cells["working_load_factor"]) for row in rows])
    # a bound itself belongs to the cooler row: "up to and including"
    return factors[np.searchsorted(bounds, temperature_degC, side="left")]
