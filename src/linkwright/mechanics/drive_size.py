"""What a roller chain drive measures, weighs and costs, once teeth and pitches are whole.

- `ratio_deviation`, `drive_chain_amount`: what whole teeth and pitches make
- `drive_size`: sprockets, width and the closest shafts
- `drive_cost`: the simple measure of cost by which drives are ranked
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.sprocket import TEETH, pitch_circle

_STRANDS = (1.0, 6.0)
_STEEL_KG_PER_MM3 = 7.85e-6
_STANDARD_STRANDS = 3


class ChainAmount(NamedTuple):
    """Results of `drive_chain_amount`."""

    length_m: Values
    chain_mass_kg: Values


class DriveSize(NamedTuple):
    """Results of `drive_size`."""

    tip_diameter_small_mm: Values
    tip_diameter_large_mm: Values
    least_centre_distance_mm: Values
    sprocket_mass_kg: Values


@calculation(
    source="Counting pitches",
    needs={"pitches": POSITIVE, "pitch_mm": POSITIVE, "mass_per_length_kg_per_m": POSITIVE},
    basis="computed",
)
def drive_chain_amount(
    *, pitches: Values, pitch_mm: Values, mass_per_length_kg_per_m: Values
) -> ChainAmount:
    """Length and mass of a chain of so many pitches.

    References: counting.

    Example:
        >>> drive_chain_amount(pitches=100, pitch_mm=25.0, mass_per_length_kg_per_m=2.0)
        ChainAmount(length_m=2.5, chain_mass_kg=5.0)
    """
    length = pitches * pitch_mm / 1e3
    return ChainAmount(length, length * mass_per_length_kg_per_m)


@calculation(
    source="Definition of the ratio of a drive, to whole teeth",
    gives="ratio_deviation_percent",
    needs={"teeth_small": TEETH, "teeth_large": TEETH, "speed_ratio": (1.0, None)},
    basis="computed",
)
def ratio_deviation(*, teeth_small: Values, teeth_large: Values, speed_ratio: Values) -> Values:
    """How far the ratio of whole teeth lies above (positive) or below the ratio wanted.

    References: definition.

    Example:
        >>> round(ratio_deviation(teeth_small=19, teeth_large=58, speed_ratio=3.0), 3)
        1.754
    """
    return 100.0 * (teeth_large / (teeth_small * speed_ratio) - 1.0)


@calculation(
    source="ISO 606:2004, greatest tip diameter; geometry",
    needs={
        "pitch_mm": POSITIVE,
        "roller_diameter_mm": POSITIVE,
        "teeth_small": TEETH,
        "teeth_large": TEETH,
        "tooth_width_mm": POSITIVE,
        "strands": _STRANDS,
    },
    basis="computed",
)
def drive_size(
    *,
    pitch_mm: Values,
    roller_diameter_mm: Values,
    teeth_small: Values,
    teeth_large: Values,
    tooth_width_mm: Values,
    strands: Values,
) -> DriveSize:
    """Tip diameters, the shaft distance at which the sprockets just clear, and their mass.

    da = p/sin(180/z) + 1.25 p - d1. The closest shafts leave a twentieth of the mean tip diameter
    between the tips. The mass is that of one whole disc of pitch diameter and tooth width a strand
    and sprocket: hubs add to it, arms and holes take away.

    References: ISO 606:2004 (diameters); geometry.

    Example:
        >>> found = drive_size(pitch_mm=12.7, roller_diameter_mm=8.51, teeth_small=19,
        ...     teeth_large=57, tooth_width_mm=7.2, strands=1)
        >>> round(found.tip_diameter_small_mm, 2), round(found.sprocket_mass_kg, 2)
        (84.52, 2.62)
    """
    small, large = pitch_circle(pitch_mm, teeth_small), pitch_circle(pitch_mm, teeth_large)
    above = 1.25 * pitch_mm - roller_diameter_mm
    least = 1.05 * (small + large + 2.0 * above) / 2.0
    discs = np.pi / 4.0 * (small**2 + large**2) * tooth_width_mm * strands
    return DriveSize(small + above, large + above, least, discs * _STEEL_KG_PER_MM3)


@calculation(
    source="Measure of cost for ranking, by agreement: no price; common practice, no source",
    gives="cost_measure_kg",
    needs={
        "chain_mass_kg": POSITIVE,
        "sprocket_mass_kg": POSITIVE,
        "strands": _STRANDS,
        "teeth_small": TEETH,
        "usual_teeth": TEETH,
        "centre_distance_pitches": POSITIVE,
        "greatest_centre_distance_pitches": POSITIVE,
    },
    basis="common practice",
)
def drive_cost(
    *,
    chain_mass_kg: Values,
    sprocket_mass_kg: Values,
    strands: Values,
    teeth_small: Values,
    usual_teeth: Values,
    centre_distance_pitches: Values,
    greatest_centre_distance_pitches: Values = 80.0,
) -> Values:
    """Measure by which admissible drives are ranked: mass, with penalties; less is better.

    c = (3 m_chain + m_sprockets) k. A kilogram of chain counts as three of sprockets. k grows by
    6 % for each tooth below the usual number, by 10 % for each further strand, by 30 % from four
    strands on (by agreement), by 2 % for an even number of teeth (with even pitches the same
    rollers meet the same teeth), by 10 % for shafts farther apart than 80 pitches. It is a
    choice, not physics and no price: it only has to be the same for all.

    References: common practice, no source.

    Example:
        >>> found = drive_cost(chain_mass_kg=10.0, sprocket_mass_kg=20.0, strands=2,
        ...     teeth_small=19, usual_teeth=19, centre_distance_pitches=40.0)
        >>> round(found, 6)
        55.0
    """
    factor = 1.0 + 0.06 * np.maximum(0.0, np.asarray(usual_teeth) - teeth_small)
    factor = factor * (1.0 + 0.1 * (np.asarray(strands) - 1.0))
    factor = factor * np.where(np.asarray(strands) > _STANDARD_STRANDS, 1.3, 1.0)
    factor = factor * np.where(np.asarray(teeth_small) % 2 == 0, 1.02, 1.0)
    far = np.asarray(centre_distance_pitches) > greatest_centre_distance_pitches
    return (3.0 * chain_mass_kg + sprocket_mass_kg) * factor * np.where(far, 1.1, 1.0)
