"""The pressed joints of a roller chain: interference, bores, what breaks or bends the pin.

- `joint_interference`: its mean and scatter from the tolerances of hole and member
- `pressed_bore`: bore of a bushing after pressing, and after sizing it again
- `pin_shear_force`, `pin_bending_force`: what breaks or bends the pin
- `run_in_stretch`: what the narrowed bores give back in the first hours

The share of joints between two limits is `percent_inside`; what presses a joint in or out and
what turns it is `press_fit_holding`, a plate's thickness long, with the pressure of
`press_fit_yielding`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


class JointInterference(NamedTuple):
    """Results of `joint_interference`."""

    interference_um: Values
    """Mean."""
    interference_deviation_um: Values
    """Standard deviation."""
    least_interference_um: Values
    """If both stood at the worse end of their tolerance."""
    greatest_interference_um: Values


@calculation(
    source="sum of variances of independent sizes; a tolerance zone holds a number of deviations",
    basis="computed",
    needs={
        "member_diameter_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "member_tolerance_um": NOT_NEGATIVE,
        "hole_tolerance_um": NOT_NEGATIVE,
        "zone_deviations": POSITIVE,
    },
)
def joint_interference(
    *,
    member_diameter_mm: Values,
    hole_diameter_mm: Values,
    member_tolerance_um: Values,
    hole_tolerance_um: Values,
    zone_deviations: Values = 6.0,
) -> JointInterference:
    """Interference of pressed joints whose parts scatter within their tolerances.

    Diameters are the middles of their tolerance zones, tolerances the whole zones T. A zone holds
    ``zone_deviations`` standard deviations (6: a process that just fills it):

        mean = d - D,  s = sqrt(T_d^2 + T_D^2)/zone_deviations,  ends: mean -+ (T_d + T_D)/2

    Negative interference is clearance.

    References: as the source; the share of joints between limits is `percent_inside`.

    Example:
        >>> got = joint_interference(member_diameter_mm=8.28, hole_diameter_mm=8.24,
        ...     member_tolerance_um=9.0, hole_tolerance_um=15.0)
        >>> print(round(got.interference_um, 1), round(got.interference_deviation_um, 2))
        40.0 2.92
    """
    mean = 1000.0 * (np.asarray(member_diameter_mm, float) - hole_diameter_mm)
    zone = np.hypot(member_tolerance_um, hole_tolerance_um)
    ends = (np.asarray(member_tolerance_um, float) + hole_tolerance_um) / 2.0
    return JointInterference(
        mean[()], (zone / zone_deviations)[()], (mean - ends)[()], (mean + ends)[()]
    )


class PressedBore(NamedTuple):
    """Results of `pressed_bore`."""

    bore_mm: Values
    """Under the plates after pressing and sizing."""
    running_clearance_mm: Values
    """Diametral, pin in the narrow part of the bore; negative: the joint is stiff."""
    high_spot_mm: Values
    """Step between the narrow and the free part of the bore, on the diameter."""


@calculation(
    source="sizes added: bore less shrinkage plus sizing; sizing leaves its springback",
    basis="computed",
    needs={
        "bushing_bore_mm": POSITIVE,
        "bore_shrinkage_mm": NOT_NEGATIVE,
        "pin_diameter_mm": POSITIVE,
        "sizing_ball_mm": NOT_NEGATIVE,
        "sizing_springback_um": NOT_NEGATIVE,
    },
)
def pressed_bore(
    *,
    bushing_bore_mm: Values,
    bore_shrinkage_mm: Values,
    pin_diameter_mm: Values,
    sizing_ball_mm: Values = 0.0,
    sizing_springback_um: Values = 0.0,
) -> PressedBore:
    """Bore of a bushing where the plates squeeze it, as pressed or sized again with a ball.

    Pressed: bore - shrinkage. A ball pushed through leaves ball - springback where the bore was
    narrower than that; 0 mm: not sized. The pin first bears on the narrow ends only; as these
    wear off, the joint lengthens (`run_in_stretch`).

    References: geometry.

    Example:
        >>> got = pressed_bore(bushing_bore_mm=8.36, bore_shrinkage_mm=0.03, pin_diameter_mm=8.27)
        >>> print(round(got.running_clearance_mm, 3), round(got.high_spot_mm, 3))
        0.06 0.03
    """
    narrow = np.asarray(bushing_bore_mm, float) - bore_shrinkage_mm
    sized = np.asarray(sizing_ball_mm, float) - sizing_springback_um / 1000.0
    bore = np.minimum(np.maximum(narrow, sized), np.maximum(bushing_bore_mm, sized))
    spot = np.maximum(bushing_bore_mm - bore, 0.0)
    return PressedBore(bore[()], (bore - pin_diameter_mm)[()], np.asarray(spot)[()])


@calculation(
    source="geometry: each joint opens by half of what the diameter loses",
    gives="stretch_percent",
    basis="computed",
    needs={"high_spot_mm": NOT_NEGATIVE, "pitch_mm": POSITIVE, "worn_share": (0.0, 1.0)},
)
def run_in_stretch(*, high_spot_mm: Values, pitch_mm: Values, worn_share: Values = 1.0) -> Values:
    """Lengthening of a chain while its narrowed bores run in: 100 s h/(2 p).

    h step of the bore on the diameter, s share of it that wears off, p pitch: a pin that bears on
    one side of the bore moves by half of what the diameter grows. A pitch has one joint.

    References: geometry.

    Example:
        >>> print(round(run_in_stretch(high_spot_mm=0.03, pitch_mm=25.4), 3))
        0.059
    """
    return (100.0 * worn_share * np.asarray(high_spot_mm, float) / (2.0 * pitch_mm))[()]


@calculation(
    source="shear strength by von Mises, Rm/sqrt(3); double shear of a round bar",
    gives="breaking_force_kN",
    basis="computed",
    needs={
        "pin_diameter_mm": POSITIVE,
        "pin_tensile_strength_MPa": POSITIVE,
        "shear_ratio": (0.3, 1.0),
        "strands": (1.0, 12.0),
    },
)
def pin_shear_force(
    *,
    pin_diameter_mm: Values,
    pin_tensile_strength_MPa: Values,
    shear_ratio: Values = 0.577,
    strands: Values = 1.0,
) -> Values:
    """Force at which the pins of a chain shear: F = 2 n (pi/4) d^2 q Rm.

    Two sections carry each strand; q shear over tensile strength (1/sqrt(3), von Mises; a case
    that is harder than the core is left out).

    References: as the source.

    Example:
        >>> print(round(pin_shear_force(pin_diameter_mm=8.28, pin_tensile_strength_MPa=1000.0), 1))
        62.1
    """
    area = np.pi / 4.0 * np.asarray(pin_diameter_mm, float) ** 2
    return (2.0 * strands * area * shear_ratio * pin_tensile_strength_MPa / 1000.0)[()]


@calculation(
    source="plastic hinge of a round bar, M = Y d^3/6 (S. Timoshenko, Strength of Materials, "
    "Part II, plastic bending)",
    gives="force_kN",
    basis="computed",
    needs={
        "pin_diameter_mm": POSITIVE,
        "pin_yield_strength_MPa": POSITIVE,
        "outer_plate_thickness_mm": POSITIVE,
        "inner_plate_thickness_mm": POSITIVE,
        "side_clearance_mm": NOT_NEGATIVE,
        "strands": (1.0, 12.0),
    },
)
def pin_bending_force(
    *,
    pin_diameter_mm: Values,
    pin_yield_strength_MPa: Values,
    outer_plate_thickness_mm: Values,
    inner_plate_thickness_mm: Values,
    side_clearance_mm: Values = 0.0,
    strands: Values = 1.0,
) -> Values:
    """Chain pull at which the pin bends for good: F = 4 n Y d^3/(6 e).

    Between the middle of an outer plate and the middle of the inner plate beside it the pin is a
    bar under F/2 an arm e = (t_o + t_i)/2 + clearance apart, held in the outer plate and
    by the long bushing: hinges at both ends, M = F e/4 each, so F = 4 M/e with M = Y d^3/6.

    Validity: no case; arm shorter than the diameter means shear decides (`pin_shear_force`).

    References: as the source.

    Example:
        >>> print(round(pin_bending_force(pin_diameter_mm=8.28, pin_yield_strength_MPa=900.0,
        ...     outer_plate_thickness_mm=3.2, inner_plate_thickness_mm=4.0,
        ...     side_clearance_mm=0.05), 1))
        93.3
    """
    arm = (np.asarray(outer_plate_thickness_mm, float) + inner_plate_thickness_mm) / 2.0
    hinge = pin_yield_strength_MPa * np.asarray(pin_diameter_mm, float) ** 3 / 6.0
    return (4.0 * strands * hinge / (arm + side_clearance_mm) / 1000.0)[()]
