"""Link plates in a press: force of a stroke, plates a stroke, punches, strip and time.

- `plate_stroke`: forces of blanking, piercing and stripping, and the work of a stroke
- `usable_force`, `plates_in_press`: what a press may be used for, plates a stroke
- `spacing_error`, `punch_over_thickness`: holes against what is wanted, and against the strip
- `punch_column`: buckling of a slender piercing punch by Euler and Johnson
- `tool_shut_height`: height of the closed tool
- `hole_spacing_room`: what the length tolerance of a chain leaves for the spacing of the holes

Caution: a press crushes hands; it is guarded and set up by licensed people under the local code.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.shearing import (
    blanking_energy,
    punching_force,
    stripping_force_donaldson,
)

_SHIGLEY = "R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, 10th ed."
_SHARE = (5e-324, 1.0)


class PlateStroke(NamedTuple):
    """Results of `plate_stroke`; the energy is that of cutting all plates of the stroke."""

    contour_force_kN: Values
    """Of one plate."""
    hole_force_kN: Values
    """Of one hole."""
    stripping_force_kN: Values
    """Of one plate and its holes."""
    plate_force_kN: Values
    """Greatest force of one plate."""
    stroke_force_kN: Values
    stroke_energy_J: Values


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), F = 0.7 T L (UTS); stripping and work: C. Donaldson et al., Tool Design, 3rd ed.",
    basis="memory",
    needs={
        "perimeter_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
        "plates_per_stroke": POSITIVE,
        "shear_over_tensile": _SHARE,
        "piercing_overlap": (0.0, 1.0),
        "penetration_fraction": (0.0, 1.0),
    },
)
def plate_stroke(
    *,
    perimeter_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    tensile_strength_MPa: Values,
    plates_per_stroke: Values = 1.0,
    piercing_overlap: Values = 1.0,
    shear_over_tensile: Values = 0.7,
    penetration_fraction: Values = 0.4,
) -> PlateStroke:
    """Force and work of a stroke that blanks plates and pierces two holes for each.

        F = n [F_contour + s 2 F_hole + F_strip],  F_contour = 0.7 Rm t L,  F_hole = 0.7 Rm t pi D

    s ``piercing_overlap``: 1 where all punches cut at once, 0 where the piercing punches are
    shorter by more than the penetration, so that the holes are cut when the contour is through (the
    contour then decides, if it is longer than both holes). Stripping by Donaldson's 3500 psi on all
    cut edges. Work n (F_contour + 2 F_hole) k t with the penetration k.

    References: as the source.

    Example:
        >>> got = plate_stroke(perimeter_mm=113.0, hole_diameter_mm=11.24, plate_thickness_mm=4.0,
        ...                    tensile_strength_MPa=700.0)
        >>> print(round(got.contour_force_kN), round(got.hole_force_kN), round(got.stroke_force_kN))
        221 69 378
    """
    edge = {
        "thickness_mm": plate_thickness_mm,
        "tensile_strength_MPa": tensile_strength_MPa,
        "shear_over_tensile": shear_over_tensile,
    }
    contour = punching_force(cut_length_mm=perimeter_mm, **edge)
    hole = punching_force(hole_diameter_mm=hole_diameter_mm, **edge)
    length = perimeter_mm + 2.0 * np.pi * hole_diameter_mm
    strip = stripping_force_donaldson(cut_length_mm=length, thickness_mm=plate_thickness_mm) / 1e3
    together = contour + piercing_overlap * 2.0 * hole
    plate = np.maximum(together, 2.0 * hole)[()] + strip
    energy = blanking_energy(
        force_kN=contour + 2.0 * hole,
        thickness_mm=plate_thickness_mm,
        penetration_fraction=penetration_fraction,
    )
    return PlateStroke(
        contour, hole, strip, plate, plates_per_stroke * plate, plates_per_stroke * energy
    )


@calculation(
    source="share of a force",
    gives="usable_force_kN",
    basis="computed",
    needs={"press_force_kN": POSITIVE, "used_share": _SHARE},
)
def usable_force(*, press_force_kN: Values, used_share: Values = 0.7) -> Values:
    """Force of a press that is used for cutting: s F.

    The share of 0.7 spares press and tool the recoil of the fracture (common practice, no source).

    References: definition.
    """
    return used_share * press_force_kN


@calculation(
    source="counting",
    gives="plates_per_stroke",
    basis="computed",
    needs={
        "press_force_kN": POSITIVE,
        "used_share": _SHARE,
        "plate_force_kN": POSITIVE,
        "greatest_count": POSITIVE,
        "rows": POSITIVE,
    },
)
def plates_in_press(
    *,
    press_force_kN: Values,
    plate_force_kN: Values,
    used_share: Values = 0.7,
    greatest_count: Values = np.inf,
    rows: Values = 1.0,
) -> Values:
    """Whole plates that a press cuts at a stroke: floor(s F/f), the same in each row.

    At most ``greatest_count``, what a tool of the works holds; not below one a row.

    References: definition; the share as in `usable_force`.

    Example:
        >>> print(plates_in_press(press_force_kN=4903.3, plate_force_kN=215.0))
        15.0
    """
    force = used_share * np.asarray(press_force_kN, float)
    whole = np.minimum(np.floor(force / plate_force_kN), greatest_count)
    return np.maximum(np.floor(whole / rows) * rows, rows)[()]


class SpacingError(NamedTuple):
    """Results of `spacing_error`."""

    spacing_error_mm: Values
    least_error_mm: Values
    greatest_error_mm: Values


@calculation(source="differences of sizes", basis="computed")
def spacing_error(
    *, hole_spacing_mm: Values, wanted_spacing_mm: Values, spacing_tolerance_mm: Values
) -> SpacingError:
    """By how much holes are off the spacing wanted, and half of the tolerance on either side.

    References: definition; the tolerance by `hole_spacing_room`.
    """
    half = spacing_tolerance_mm / 2.0
    return SpacingError(hole_spacing_mm - wanted_spacing_mm, -half, half)


@calculation(
    source="definition of a ratio",
    gives="hole_over_thickness",
    basis="computed",
    needs={"hole_diameter_mm": POSITIVE, "plate_thickness_mm": POSITIVE},
)
def punch_over_thickness(*, hole_diameter_mm: Values, plate_thickness_mm: Values) -> Values:
    """Diameter of a pierced hole over the thickness of the strip.

    References: definition.
    """
    return hole_diameter_mm / plate_thickness_mm


class PunchColumn(NamedTuple):
    """Results of `punch_column`."""

    slenderness: Values
    critical_stress_MPa: Values
    punch_stress_MPa: Values
    buckling_safety: Values
    """Critical over acting stress."""


@calculation(
    source=f"{_SHIGLEY}, Eqs 4-43 (Euler) and 4-44 (J. B. Johnson), end conditions Table 4-2",
    basis="memory",
    needs={
        "punch_diameter_mm": POSITIVE,
        "free_length_mm": POSITIVE,
        "hole_force_kN": POSITIVE,
        "punch_yield_MPa": POSITIVE,
        "end_constant": (0.25, 4.0),
        "E_MPa": POSITIVE,
    },
)
def punch_column(
    *,
    punch_diameter_mm: Values,
    free_length_mm: Values,
    hole_force_kN: Values,
    punch_yield_MPa: Values,
    end_constant: Values = 1.2,
    E_MPa: Values = 206000.0,
) -> PunchColumn:
    """Compressive stress of a round punch against the stress at which it buckles.

    Slenderness l/k with k = d/4; Euler above (l/k)1 = sqrt(2 pi^2 C E/Sy), Johnson's parabola
    below:

        Euler: C pi^2 E/(l/k)^2     Johnson: Sy - (Sy (l/k)/(2 pi))^2/(C E)

    C 1.2 for a punch held at one end and guided at the other (recommended value of the table), l
    the length between holder and guide.

    References: as the source.

    Example:
        >>> got = punch_column(punch_diameter_mm=8.0, free_length_mm=50.0, hole_force_kN=50.0,
        ...                    punch_yield_MPa=2000.0)
        >>> print(round(got.slenderness, 1), round(got.buckling_safety, 2))
        25.0 1.75
    """
    slender = 4.0 * np.asarray(free_length_mm, float) / punch_diameter_mm
    stiff = end_constant * E_MPa
    limit = np.sqrt(2.0 * np.pi**2 * stiff / punch_yield_MPa)
    euler = np.pi**2 * stiff / np.square(slender)
    johnson = punch_yield_MPa - np.square(punch_yield_MPa * slender / (2.0 * np.pi)) / stiff
    critical = np.where(slender > limit, euler, johnson)
    section = np.pi / 4.0 * np.square(punch_diameter_mm)
    stress = 1000.0 * hole_force_kN / section
    return PunchColumn(slender[()], critical[()], stress, (critical / stress)[()])


@calculation(
    source="sum of the parts of a tool",
    gives="shut_height_mm",
    basis="computed",
    needs={
        "upper_shoe_mm": POSITIVE,
        "punch_length_mm": POSITIVE,
        "die_height_mm": POSITIVE,
        "lower_shoe_mm": POSITIVE,
        "punch_entry_mm": NOT_NEGATIVE,
    },
)
def tool_shut_height(
    *,
    upper_shoe_mm: Values,
    punch_length_mm: Values,
    die_height_mm: Values,
    lower_shoe_mm: Values,
    punch_entry_mm: Values,
) -> Values:
    """Height of a closed tool: shoes, punch and die, less what the punch enters the die.

    References: geometry.

    Example:
        >>> print(tool_shut_height(upper_shoe_mm=60.0, punch_length_mm=90.0, die_height_mm=40.0,
        ...                        lower_shoe_mm=70.0, punch_entry_mm=4.0))
        256.0
    """
    return upper_shoe_mm + punch_length_mm + die_height_mm + lower_shoe_mm - punch_entry_mm


@calculation(
    source="ISO 606:2004, length of a chain 0 to +0.15 % of the nominal one; sizes in a chain add",
    gives="spacing_tolerance_mm",
    basis="memory",
    needs={
        "pitch_mm": POSITIVE,
        "play_tolerance_mm": NOT_NEGATIVE,
        "length_tolerance_percent": POSITIVE,
        "reserve_share": (0.0, 1.0),
    },
)
def hole_spacing_room(
    *,
    pitch_mm: Values,
    play_tolerance_mm: Values,
    length_tolerance_percent: Values = 0.15,
    reserve_share: Values = 0.2,
) -> Values:
    """Whole tolerance that a chain's length leaves for the spacing of the holes of its plates.

    All plates of a tool are off by the same amount, and so are the bushings and pins of a lot, so
    nothing averages out over the pitches:

        T = (1 - r) p e/100 - T_c/2

    e tolerance of the length, r share kept for stretch under the measuring force and for the gauge
    (0.2: common practice, no source), T_c tolerance of the play of pin in bushing. Negative: the
    play alone takes up the tolerance, and parts must be matched.

    References: ISO 606:2004, clause on length accuracy, remembered.

    Example:
        >>> print(round(hole_spacing_room(pitch_mm=25.4, play_tolerance_mm=0.03), 4))
        0.0155
    """
    room = (1.0 - reserve_share) * pitch_mm * length_tolerance_percent / 100.0
    return room - play_tolerance_mm / 2.0
