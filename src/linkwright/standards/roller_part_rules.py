"""Rules for the sizes of roller chain parts that no standard prints.

- `inner_plate_thickness`, `outer_plate_thickness`, `outer_plate_thickness_by_pin`: link plates
- `link_plate_height`, `plate_waist`: what is aimed at below the greatest height
- `plate_inner_width`, `inner_link_width`: width between and over the inner plates
- `bushing_outside`, `bushing_wall`, `pressed_hole`: bushing and the holes of the plates
- `roller_bore`, `roller_length`, `rivet_projection`: roller and the ends of the pin

A works' own drawing goes before any of them (`linkwright.standards.roller_parts`).
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_COMMON = "common practice, no source"
_STRIP_STEP_MM = 0.05


@calculation(
    source="ISO 10823:2004, rating formulas, plate thickness (b2 - b1)/2.11",
    gives="plate_thickness_mm",
    basis="memory",
    needs={"least_inner_width_mm": POSITIVE, "greatest_inner_link_width_mm": POSITIVE},
)
def inner_plate_thickness(
    *, least_inner_width_mm: Values, greatest_inner_link_width_mm: Values
) -> Values:
    """Thickness of an inner plate from the two inner widths: (b2 - b1)/2.11, to 0.05 mm of strip.

    b1 least width between the plates, b2 greatest width over them; 0.11 of a thickness is the
    room for their tolerances (ASME B29.1 has 2.12). Strip is taken in steps of 0.05 mm (common
    practice, no source).

    Raises `ArgumentError` where b2 does not exceed b1.

    References: ISO 10823:2004, remembered; ASME B29.1, general proportions.

    Example:
        >>> print(inner_plate_thickness(least_inner_width_mm=17.02,
        ...                             greatest_inner_link_width_mm=25.45))
        4.0
    """
    room = np.asarray(greatest_inner_link_width_mm, float) - least_inner_width_mm
    if np.any(room <= 0.0):
        accepted = "more than the width between the plates"
        raise ArgumentError(
            "greatest_inner_link_width_mm", greatest_inner_link_width_mm, "mm", accepted
        )
    return _strip(room / 2.11)


@calculation(
    source="ISO 606: two middle plates lie between the inner links of neighbouring strands; share "
    "of room as where ASME B29.1 prints the thickness",
    gives="plate_thickness_mm",
    basis="computed",
    needs={"transverse_pitch_mm": POSITIVE, "least_outer_link_opening_mm": POSITIVE},
)
def outer_plate_thickness(
    *, transverse_pitch_mm: Values, least_outer_link_opening_mm: Values
) -> Values:
    """Thickness of an outer plate from the spacing of strands: (pt - b3)/2.08.

    Over a strand and the two middle plates beside it, pt = b3 + 2 t + room. In series A and H,
    where the thickness is printed, the rule meets it within 2 % (tested). To 0.05 mm of strip.

    Raises `ArgumentError` where pt does not exceed b3.

    References: ISO 606:2004, Table 1, for pt and b3.

    Example:
        >>> print(outer_plate_thickness(transverse_pitch_mm=31.88,
        ...                             least_outer_link_opening_mm=25.58))
        3.05
    """
    room = np.asarray(transverse_pitch_mm, float) - least_outer_link_opening_mm
    if np.any(room <= 0.0):
        accepted = "more than the opening of the outer link"
        raise ArgumentError("transverse_pitch_mm", transverse_pitch_mm, "mm", accepted)
    return _strip(room / 2.08)


@calculation(
    source=f"length of the pin less 0.3 of its diameter for each rivet head: {_COMMON}",
    gives="plate_thickness_mm",
    basis="common practice",
    needs={
        "greatest_pin_length_mm": POSITIVE,
        "least_outer_link_opening_mm": POSITIVE,
        "pin_diameter_mm": POSITIVE,
        "inner_plate_thickness_mm": POSITIVE,
    },
)
def outer_plate_thickness_by_pin(
    *,
    greatest_pin_length_mm: Values,
    least_outer_link_opening_mm: Values,
    pin_diameter_mm: Values,
    inner_plate_thickness_mm: Values,
) -> Values:
    """Thickness of an outer plate from the length of the pin, at most that of the inner plate.

    t = min(t_i, (b4 - b3)/2 - 0.3 d2), to 0.05 mm of strip. For chain of one strand, and for the
    small chains of series B whose strands stand too close for two middle plates (05B to 08B).
    The 0.3 is what 10B to 20B leave beside the thickness by `outer_plate_thickness`.

    References: common practice, no source; b3, b4, d2 of ISO 606:2004, Table 1.

    Example:
        >>> print(outer_plate_thickness_by_pin(greatest_pin_length_mm=17.0,
        ...     least_outer_link_opening_mm=11.43, pin_diameter_mm=4.45,
        ...     inner_plate_thickness_mm=1.7))
        1.45
    """
    beside = (np.asarray(greatest_pin_length_mm, float) - least_outer_link_opening_mm) / 2.0
    return _strip(np.minimum(inner_plate_thickness_mm, beside - 0.3 * pin_diameter_mm))


@calculation(
    source="ISO 10823:2004, rating formulas, effective plate height 0.99 h2",
    gives="plate_height_mm",
    basis="memory",
    needs={"greatest_height_mm": POSITIVE},
)
def link_plate_height(*, greatest_height_mm: Values) -> Values:
    """Height that a link plate is made to: 0.99 of the greatest height of the standard.

    References: ISO 10823:2004 counts 0.99 h2 as height of the plate; remembered.

    Example:
        >>> print(round(link_plate_height(greatest_height_mm=21.08), 2))
        20.87
    """
    return 0.99 * greatest_height_mm


@calculation(
    source=f"three quarters of the height: {_COMMON}",
    gives="waist_height_mm",
    basis="common practice",
    needs={"plate_height_mm": POSITIVE, "waist_share": (0.3, 0.98)},
)
def plate_waist(*, plate_height_mm: Values, waist_share: Values = 0.75) -> Values:
    """Height of a figure-eight plate at its waist, as share of the height of its eyes.

    References: common practice, no source; no standard limits the waist. Masses of a metre made
    with 0.75 and all greatest sizes are 6 % above those printed, on average (tested).
    """
    return waist_share * plate_height_mm


@calculation(
    source="middle of the sizes that ISO 606 allows",
    gives="inner_width_mm",
    basis="computed",
    needs={
        "least_inner_width_mm": POSITIVE,
        "greatest_inner_link_width_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
    },
)
def plate_inner_width(
    *,
    least_inner_width_mm: Values,
    greatest_inner_link_width_mm: Values,
    plate_thickness_mm: Values,
) -> Values:
    """Width between the inner plates half way between what the two limits leave.

    b1 + (b2 - b1 - 2 t)/2 lies between the least width b1 and the width at which the plates reach
    the greatest width b2 over them.

    References: ISO 606:2004, Table 1, for b1 and b2.

    Example:
        >>> print(round(plate_inner_width(least_inner_width_mm=17.02,
        ...     greatest_inner_link_width_mm=25.45, plate_thickness_mm=4.0), 3))
        17.235
    """
    room = np.asarray(greatest_inner_link_width_mm, float) - least_inner_width_mm
    return (least_inner_width_mm + (room - 2.0 * plate_thickness_mm) / 2.0)[()]


@calculation(
    source="geometry: a bushing ends flush with the plates",
    gives="inner_link_width_mm",
    basis="computed",
    needs={"inner_width_mm": POSITIVE, "plate_thickness_mm": POSITIVE},
)
def inner_link_width(*, inner_width_mm: Values, plate_thickness_mm: Values) -> Values:
    """Width over the inner plates, which is also the length of the bushing: w + 2 t.

    References: geometry.
    """
    return inner_width_mm + 2.0 * plate_thickness_mm


@calculation(
    source="ISO 10823:2004, rating formulas, bushing d2 (d1/d2)^0.475",
    gives="bushing_outside_mm",
    basis="memory",
    needs={"pin_diameter_mm": POSITIVE, "roller_diameter_mm": POSITIVE},
)
def bushing_outside(*, pin_diameter_mm: Values, roller_diameter_mm: Values) -> Values:
    """Outside diameter of the bushing between pin and roller: d2 (d1/d2)^0.475.

    References: ISO 10823:2004, rating formulas, remembered.

    Example:
        >>> print(round(bushing_outside(pin_diameter_mm=8.28, roller_diameter_mm=15.88), 2))
        11.28
    """
    return pin_diameter_mm * (roller_diameter_mm / pin_diameter_mm) ** 0.475


@calculation(
    source="geometry",
    gives="wall_mm",
    basis="computed",
    needs={"outside_mm": POSITIVE, "bore_mm": POSITIVE},
)
def bushing_wall(*, outside_mm: Values, bore_mm: Values) -> Values:
    """Wall of a bushing or roller: half of outside less bore.

    Raises `ArgumentError` where the bore is not below the outside.

    References: geometry.
    """
    if np.any(np.asarray(bore_mm) >= outside_mm):
        raise ArgumentError("bore_mm", bore_mm, "mm", f"below the outside of {outside_mm:g} mm")
    return (outside_mm - bore_mm) / 2.0


@calculation(
    source=f"interference 0.4 % of the diameter: {_COMMON}",
    gives="hole_diameter_mm",
    basis="common practice",
    needs={"member_diameter_mm": POSITIVE, "interference_percent": (0.0, 2.0)},
)
def pressed_hole(*, member_diameter_mm: Values, interference_percent: Values = 0.4) -> Values:
    """Hole of a plate into which a pin or a bushing is pressed: d (1 - i/100).

    The default is near the interference at which the plate round a solid pin begins to yield:
    i/100 = Y/E by Lamé and Tresca, 0.4 % for 825 MPa.

    References: common practice, no source; `press_fit_yielding` computes what a fit does.

    Example:
        >>> print(round(pressed_hole(member_diameter_mm=8.28), 3))
        8.247
    """
    return member_diameter_mm * (1.0 - interference_percent / 100.0)


@calculation(
    source=f"play of 1 % of the bushing: {_COMMON}",
    gives="bore_mm",
    basis="common practice",
    needs={"bushing_outside_mm": POSITIVE, "play_percent": NOT_NEGATIVE},
)
def roller_bore(*, bushing_outside_mm: Values, play_percent: Values = 1.0) -> Values:
    """Bore of a roller that turns on its bushing: D (1 + play/100).

    References: common practice, no source.
    """
    return bushing_outside_mm * (1.0 + play_percent / 100.0)


@calculation(
    source=f"3 % of the width as play: {_COMMON}",
    gives="length_mm",
    basis="common practice",
    needs={"least_inner_width_mm": POSITIVE, "play_percent": NOT_NEGATIVE},
)
def roller_length(*, least_inner_width_mm: Values, play_percent: Values = 3.0) -> Values:
    """Length of a roller between its plates: b1 (1 - play/100).

    References: common practice, no source.
    """
    return least_inner_width_mm * (1.0 - play_percent / 100.0)


@calculation(
    source="geometry of a riveted pin",
    gives="rivet_projection_mm",
    basis="computed",
    needs={
        "greatest_pin_length_mm": POSITIVE,
        "least_outer_link_opening_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "strands": (1.0, 12.0),
    },
)
def rivet_projection(
    *,
    greatest_pin_length_mm: Values,
    least_outer_link_opening_mm: Values,
    plate_thickness_mm: Values,
    transverse_pitch_mm: Values = 0.0,
    strands: Values = 1.0,
) -> Values:
    """What of the greatest length of a riveted pin stands beyond each outer plate.

    (b4 - (n - 1) pt - b3)/2 - t.

    References: geometry with ISO 606:2004, Table 1.

    Example:
        >>> print(round(rivet_projection(greatest_pin_length_mm=36.1,
        ...     least_outer_link_opening_mm=25.58, plate_thickness_mm=3.05), 2))
        2.21
    """
    over = greatest_pin_length_mm - (strands - 1.0) * transverse_pitch_mm
    return (over - least_outer_link_opening_mm) / 2.0 - plate_thickness_mm


def _strip(thickness_mm: Values) -> Values:
    """To the nearest step of strip, free of the rounding error of the step."""
    steps = np.round(np.asarray(thickness_mm, float) / _STRIP_STEP_MM)
    return np.round(steps * _STRIP_STEP_MM, 2)[()]
