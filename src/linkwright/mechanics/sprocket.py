"""Sprocket of a roller chain: diameters and tooth gap by ISO 606.

`sprocket_pitch_diameter`, `unit_pitch_diameter`, `iso606_sprocket_diameters`,
`iso606_tooth_gap`, `iso606_shroud_diameter`, `iso606_tooth_width`, `short_tip_diameter`.
The tooth form of ASME B29.1 is in `sprocket_ansi`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation

TEETH = (5.0, None)
"""Hard domain of a number of teeth."""
_STANDARD_TEETH = (9.0, 150.0)
_ISO = "ISO 606:2004, sprocket dimensions and tooth form"
_COARSE_PITCH_MM = 12.7


class SprocketDiameters(NamedTuple):
    """Results of `iso606_sprocket_diameters`."""

    pitch_diameter_mm: Values
    root_diameter_mm: Values
    greatest_tip_diameter_mm: Values
    least_tip_diameter_mm: Values
    over_pins_mm: Values


class ToothGap(NamedTuple):
    """Results of `iso606_tooth_gap`: radii of seat and flank and the seating angle."""

    least_roller_seating_radius_mm: Values
    greatest_roller_seating_radius_mm: Values
    greatest_seating_angle_deg: Values
    least_seating_angle_deg: Values
    flank_radius_for_least_gap_mm: Values
    flank_radius_for_greatest_gap_mm: Values


class ToothWidth(NamedTuple):
    """Results of `iso606_tooth_width`."""

    tooth_width_simplex_mm: Values
    tooth_width_duplex_triplex_mm: Values


def pitch_circle(pitch: Values, teeth: Values) -> Values:
    """Pitch circle diameter p / sin(180 deg / z), in the unit of the pitch."""
    return pitch / np.sin(np.pi / np.asarray(teeth, dtype=float))


@calculation(
    source="ISO 606:2004, pitch circle diameter; Machinery's Handbook, Roller Chain Sprockets",
    gives="pitch_diameter_mm",
    needs={"pitch_mm": POSITIVE, "teeth": TEETH},
)
def sprocket_pitch_diameter(*, pitch_mm: Values, teeth: Values) -> Values:
    """Pitch circle diameter of a sprocket, d = p / sin(180 deg / z).

    References: ISO 606:2004, diametral dimensions of the sprocket rim.

    Example:
        >>> round(sprocket_pitch_diameter(pitch_mm=12.7, teeth=19), 2)
        77.16
    """
    return pitch_circle(pitch_mm, teeth)


@calculation(
    source="ISO 606 Annex A, pitch circle diameters for unit pitch; Machinery's Handbook, "
    "Roller Chain Sprocket Diameters",
    gives="pitch_diameter_over_pitch",
    needs={"teeth": TEETH},
)
def unit_pitch_diameter(*, teeth: Values) -> Values:
    """Pitch circle diameter of a sprocket for unit pitch, 1 / sin(180 deg / z).

    References: ISO 606:2004, Annex A.

    Example:
        >>> round(unit_pitch_diameter(teeth=17), 4)
        5.4422
    """
    return pitch_circle(1.0, teeth)


@calculation(
    source=_ISO,
    needs={
        "pitch_mm": POSITIVE,
        "roller_diameter_mm": POSITIVE,
        "teeth": TEETH,
        "measuring_pin_diameter_mm": POSITIVE,
    },
    valid={"teeth": _STANDARD_TEETH},
)
def iso606_sprocket_diameters(
    *,
    pitch_mm: Values,
    roller_diameter_mm: Values,
    teeth: Values,
    measuring_pin_diameter_mm: Values = None,
) -> SprocketDiameters:
    """Pitch, root and tip diameters of a sprocket and the measurement over pins.

    d = p / sin(180/z); df = d - d1; greatest tip da = d + 1.25 p - d1; least tip
    da = d + p (1 - 1.6/z) - d1; over pins d + dR for even z, d cos(90/z) + dR for odd z, with
    d1 the roller and dR the measuring pin (a pin of the roller's diameter if none is given).

    References: ISO 606:2004, diametral dimensions; 9 to 150 teeth.

    Example:
        >>> found = iso606_sprocket_diameters(pitch_mm=12.7, roller_diameter_mm=8.51, teeth=19)
        >>> round(found.root_diameter_mm, 3), round(found.greatest_tip_diameter_mm, 3)
        (68.649, 84.524)
    """
    z = np.asarray(teeth, dtype=float)
    pin = roller_diameter_mm if measuring_pin_diameter_mm is None else measuring_pin_diameter_mm
    pitch_diameter = pitch_circle(pitch_mm, z)
    return SprocketDiameters(
        pitch_diameter,
        pitch_diameter - roller_diameter_mm,
        pitch_diameter + 1.25 * pitch_mm - roller_diameter_mm,
        pitch_diameter + pitch_mm * (1.0 - 1.6 / z) - roller_diameter_mm,
        across_gaps(pitch_diameter, z) + pin,
    )


def across_gaps(pitch_diameter: Values, teeth: Values) -> Values:
    """Distance of the centres of the two gaps that lie most nearly opposite each other."""
    odd = np.asarray(teeth, dtype=float) % 2 == 1
    return np.where(odd, pitch_diameter * np.cos(np.pi / 2.0 / teeth), pitch_diameter)


@calculation(
    source=_ISO,
    needs={"roller_diameter_mm": POSITIVE, "teeth": TEETH},
    valid={"teeth": _STANDARD_TEETH},
    basis="memory",
)
def iso606_tooth_gap(*, roller_diameter_mm: Values, teeth: Values) -> ToothGap:
    """Limits of the tooth gap: roller seating radius, seating angle, flank radius.

    Smallest gap: ri = 0.505 d1, angle 140 - 90/z, flank re = 0.12 d1 (z + 2). Largest gap:
    ri = 0.505 d1 + 0.069 d1^(1/3), angle 120 - 90/z, flank re = 0.008 d1 (z^2 + 180); d1 in mm.

    References: ISO 606:2004, sprocket tooth gap forms.

    Example:
        >>> gap = iso606_tooth_gap(roller_diameter_mm=15.88, teeth=17)
        >>> round(gap.greatest_roller_seating_radius_mm, 3), round(gap.least_seating_angle_deg, 2)
        (8.193, 114.71)
    """
    z = np.asarray(teeth, dtype=float)
    seat = 0.505 * roller_diameter_mm + 0.0 * z
    return ToothGap(
        seat,
        seat + 0.069 * np.cbrt(roller_diameter_mm),
        140.0 - 90.0 / z,
        120.0 - 90.0 / z,
        0.12 * roller_diameter_mm * (z + 2.0),
        0.008 * roller_diameter_mm * (z**2 + 180.0),
    )


@calculation(
    source=_ISO,
    gives="greatest_shroud_diameter_mm",
    needs={"pitch_mm": POSITIVE, "teeth": TEETH, "plate_height_mm": POSITIVE},
    basis="memory",
)
def iso606_shroud_diameter(*, pitch_mm: Values, teeth: Values, plate_height_mm: Values) -> Values:
    """Greatest shroud (hub) diameter that clears the plates: p cot(180/z) - 1.04 h2 - 0.76 mm.

    References: ISO 606:2004, sprocket rim profiles.

    Example:
        >>> round(iso606_shroud_diameter(pitch_mm=12.7, teeth=19, plate_height_mm=11.81), 2)
        63.06
    """
    cotangent = 1.0 / np.tan(np.pi / np.asarray(teeth, dtype=float))
    return pitch_mm * cotangent - 1.04 * plate_height_mm - 0.76


@calculation(source=_ISO, needs={"inner_width_mm": POSITIVE, "pitch_mm": POSITIVE}, basis="memory")
def iso606_tooth_width(*, inner_width_mm: Values, pitch_mm: Values) -> ToothWidth:
    """Tooth width of sprockets for simplex, and for duplex and triplex chain.

    0.93 b1 and 0.91 b1 up to 12.7 mm pitch, 0.95 b1 and 0.93 b1 above; b1 is the least inner width
    of the chain.

    References: ISO 606:2004, sprocket rim profiles.

    Example:
        >>> round(iso606_tooth_width(inner_width_mm=7.75, pitch_mm=12.7).tooth_width_simplex_mm, 4)
        7.2075
    """
    coarse = np.asarray(pitch_mm, dtype=float) > _COARSE_PITCH_MM * (1 + 1e-9)
    return ToothWidth(
        np.where(coarse, 0.95, 0.93) * inner_width_mm, np.where(coarse, 0.93, 0.91) * inner_width_mm
    )


@calculation(
    source="GB/T 1243, sprocket tip diameter",
    gives="tip_diameter_mm",
    needs={"pitch_mm": POSITIVE, "teeth": TEETH},
)
def short_tip_diameter(*, pitch_mm: Values, teeth: Values) -> Values:
    """Tip diameter of a sprocket by the short formula, da = p (0.54 + cot(180/z)).

    References: GB/T 1243, sprocket formulas; between the limits of ISO 606 for usual rollers.

    Example:
        >>> round(short_tip_diameter(pitch_mm=12.7, teeth=19), 2)
        82.96
    """
    return pitch_mm * (0.54 + 1.0 / np.tan(np.pi / np.asarray(teeth, dtype=float)))
