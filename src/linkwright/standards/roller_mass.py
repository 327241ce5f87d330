"""Mass of a metre of roller chain by its number: as printed, or by a rule where none is.

Offers `roller_chain_mass` and `chain_mass_estimate`.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.roller_chain import iso606_chain


@calculation(
    source="Fit to the printed masses of 06B to 48B and of series A: 0.003 p b4",
    gives="mass_per_length_kg_per_m",
    needs={"pitch_mm": POSITIVE, "pin_length_mm": POSITIVE},
    valid={"pitch_mm": (8.0, 114.3)},
    basis="computed",
)
def chain_mass_estimate(*, pitch_mm: Values, pin_length_mm: Values) -> Values:
    """Mass of a metre of simplex chain whose mass no table prints: q = 0.003 p b4 kg/m.

    p the pitch, b4 the length of the pin, both in mm. Roller chains look alike, so their mass
    grows with pitch and width; heavy chain (H) is wider by its thicker plates.

    References: a fit; the printed masses lie within 15 % of it.

    Example:
        >>> round(chain_mass_estimate(pitch_mm=25.4, pin_length_mm=36.1), 2)
        2.75
    """
    return 0.003 * pitch_mm * pin_length_mm


@calculation(
    source="DIN 8187-1 (series B) and Shigley's weights (series A) for one strand; the rest by "
    "`chain_mass_estimate`; strands counted",
    gives="mass_per_length_kg_per_m",
    needs={"strands": (1.0, 12.0)},
    basis="memory",
)
def roller_chain_mass(*, chain_number: str, strands: Values = 1.0) -> Values:
    """Mass of a metre of roller chain: the printed mass of one strand times the strands.

    Where none is printed (05B, 56B and greater, series H) it is estimated from pitch and pin.

    Raises:
        UnknownName: a chain number that is not held.

    References: as the source.

    Example:
        >>> roller_chain_mass(chain_number="16B", strands=2)
        5.4
    """
    chain = iso606_chain(chain_number=chain_number)
    single = chain.mass_per_length_kg_per_m
    if np.isnan(single):
        single = chain_mass_estimate(
            pitch_mm=chain.pitch_mm, pin_length_mm=chain.greatest_pin_length_simplex_mm
        )
    return single * strands
