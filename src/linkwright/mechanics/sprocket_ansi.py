"""Sprocket of a roller chain by ASME B29.1, in inches: rim, caliper, tooth form, thickness.

`ansi_sprocket_diameters`, `ansi_tooth_form` and `ansi_tooth_thickness`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.sprocket import TEETH, across_gaps, pitch_circle

_SOURCE = "ASME B29.1, sprockets; Machinery's Handbook, Transmission Roller Chain"


class AnsiSprocket(NamedTuple):
    """Results of `ansi_sprocket_diameters`."""

    pitch_diameter_in: Values
    outside_diameter_in: Values
    bottom_diameter_in: Values
    caliper_diameter_in: Values
    greatest_hub_diameter_in: Values


class AnsiTooth(NamedTuple):
    """Results of `ansi_tooth_form`, in the letters of the standard's construction."""

    seating_diameter_in: Values
    seating_radius_in: Values
    angle_a_deg: Values
    angle_b_deg: Values
    seat_offset_m_in: Values
    seat_offset_t_in: Values
    working_radius_e_in: Values
    straight_length_yz_in: Values
    topping_offset_v_in: Values
    topping_offset_w_in: Values
    topping_radius_f_in: Values


class AnsiThickness(NamedTuple):
    """Results of `ansi_tooth_thickness`."""

    tooth_thickness_single_in: Values
    tooth_thickness_double_triple_in: Values
    tooth_thickness_quadruple_in: Values


@calculation(
    source=_SOURCE,
    needs={"pitch_in": POSITIVE, "roller_diameter_in": POSITIVE, "teeth": TEETH},
    basis="memory",
)
def ansi_sprocket_diameters(
    *, pitch_in: Values, roller_diameter_in: Values, teeth: Values
) -> AnsiSprocket:
    """Pitch, outside, bottom and caliper diameter of a sprocket and its greatest hub.

    PD = P/sin(180/N); OD = P (0.6 + cot(180/N)); bottom PD - Dr; caliper: the same for even N,
    PD cos(90/N) - Dr for odd N; greatest hub or groove P (cot(180/N) - 1) - 0.030 in.

    References: ASME B29.1; Machinery's Handbook, Roller Chain Sprocket Diameters.

    Example:
        >>> found = ansi_sprocket_diameters(pitch_in=0.5, roller_diameter_in=0.312, teeth=17)
        >>> round(found.outside_diameter_in, 3), round(found.caliper_diameter_in, 3)
        (2.975, 2.397)
    """
    cotangent = 1.0 / np.tan(np.pi / np.asarray(teeth, dtype=float))
    pitch_diameter = pitch_circle(pitch_in, teeth)
    return AnsiSprocket(
        pitch_diameter,
        pitch_in * (0.6 + cotangent),
        pitch_diameter - roller_diameter_in,
        across_gaps(pitch_diameter, teeth) - roller_diameter_in,
        pitch_in * (cotangent - 1.0) - 0.030,
    )


@calculation(
    source=_SOURCE,
    needs={"roller_diameter_in": POSITIVE, "teeth": TEETH},
    basis="memory",
)
def ansi_tooth_form(*, roller_diameter_in: Values, teeth: Values) -> AnsiTooth:
    """Construction of the standard tooth: seating curve, working curve, topping curve.

    Ds = 1.005 Dr + 0.003, R = Ds/2; A = 35 + 60/N, B = 18 - 56/N degrees; M = 0.8 Dr cos A,
    T = 0.8 Dr sin A; E = 1.3025 Dr + 0.0015; yz = Dr [1.4 sin(17 - 64/N) - 0.8 sin B];
    W = 1.4 Dr cos(180/N), V = 1.4 Dr sin(180/N);
    F = Dr [0.8 cos B + 1.4 cos(17 - 64/N) - 1.3025] - 0.0015; all in inches.

    References: ASME B29.1; Machinery's Handbook, Standard Sprocket Tooth Form for Roller Chain.

    Example:
        >>> tooth = ansi_tooth_form(roller_diameter_in=0.625, teeth=20)
        >>> round(tooth.seating_diameter_in, 4), round(tooth.working_radius_e_in, 4)
        (0.6311, 0.8156)
    """
    n = np.asarray(teeth, dtype=float)
    seat = np.radians(35.0 + 60.0 / n)
    working = np.radians(18.0 - 56.0 / n)
    topping = np.radians(17.0 - 64.0 / n)
    roller = np.asarray(roller_diameter_in, dtype=float)
    seating = 1.005 * roller + 0.003 + 0.0 * n
    curve = 0.8 * np.cos(working) + 1.4 * np.cos(topping) - 1.3025
    return AnsiTooth(
        seating,
        seating / 2.0,
        np.degrees(seat),
        np.degrees(working),
        0.8 * roller * np.cos(seat),
        0.8 * roller * np.sin(seat),
        1.3025 * roller + 0.0015 + 0.0 * n,
        roller * (1.4 * np.sin(topping) - 0.8 * np.sin(working)),
        1.4 * roller * np.sin(np.pi / n),
        1.4 * roller * np.cos(np.pi / n),
        roller * curve - 0.0015,
    )


@calculation(source=_SOURCE, needs={"inner_width_in": POSITIVE}, basis="memory")
def ansi_tooth_thickness(*, inner_width_in: Values) -> AnsiThickness:
    """Greatest tooth thickness for 1, for 2 and 3, and for 4 and more strands.

    0.93 W, 0.90 W and 0.88 W, each less 0.006 inch; W is the width between the roller link plates.

    References: ASME B29.1; Machinery's Handbook, sprocket tooth section profile.

    Example:
        >>> round(ansi_tooth_thickness(inner_width_in=0.312).tooth_thickness_single_in, 3)
        0.284
    """
    return AnsiThickness(*(share * inner_width_in - 0.006 for share in (0.93, 0.90, 0.88)))
