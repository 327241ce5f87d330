"""Burr and flatness of link plates: what the works has measured, carried to other plates.

- `burr_of_tool`, `strokes_to_burr`: burr by strokes since the last regrind, and the way back
- `burr_after_tumbling`: what a barrel leaves of it
- `regrinds_of_plates`: regrinds and their hours for a number of plates
- `bow_of_strain`: out-of-flatness of a plate whose faces differ in length
- `blanking_bow`, `counterpad_for_bow`: bow of a blanked plate under a counterpad, and the way back
- `force_with_counterpad`: what the press bears then
- `flatness_after_quench`: bow of blanking and of the quench together
- `swing_room`: room between inner and outer links that burr and bow of the plates leave

No published law for the height of a burr or the bow of a blanked or quenched plate is held that one
could vouch for: each figure of the tool, the press and the bath is what a works has measured on
its own plates. Only what geometry says is carried from one plate to another.

Caution: burrs cut; gloves. A press crushes hands: guarded and set up by licensed people under the
local code.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_MEASURED = "the works' own measurements, taken as linear in the strokes since the regrind"
_BURR = {
    "sharp_burr_um": NOT_NEGATIVE,
    "burr_growth_um": POSITIVE,
    "cutting_clearance_mm": POSITIVE,
    "plate_thickness_mm": POSITIVE,
    "measured_clearance_share": POSITIVE,
    "clearance_exponent": NOT_NEGATIVE,
}
_THOUSAND = 1000.0


@calculation(
    source=_MEASURED, gives="burr_height_um", basis="computed",
    needs={**_BURR, "strokes": NOT_NEGATIVE},
)  # fmt: skip
def burr_of_tool(
    *,
    strokes: Values,
    sharp_burr_um: Values,
    burr_growth_um: Values,
    cutting_clearance_mm: Values,
    plate_thickness_mm: Values,
    measured_clearance_share: Values,
    clearance_exponent: Values = 1.0,
) -> Values:
    """Height of the burr after so many strokes of a tool since it was ground.

        b = (b0 + g N/1000) (c/(c0 t))^m

    b0 burr of the sharp tool, g what a thousand strokes add, c clearance on each side, t thickness,
    c0 the share of the thickness at which b0 and g were measured. That wear and a wider clearance
    both raise the burr is common practice, no source; m is the works' own.

    References: none; the works' own measurements.

    Example:
        >>> print(round(burr_of_tool(strokes=20000.0, sharp_burr_um=15.0, burr_growth_um=1.5,
        ...                          cutting_clearance_mm=0.24, plate_thickness_mm=4.0,
        ...                          measured_clearance_share=0.06), 6))
        45.0
    """
    wide = cutting_clearance_mm / (measured_clearance_share * plate_thickness_mm)
    worn = sharp_burr_um + burr_growth_um * np.asarray(strokes, float) / _THOUSAND
    return (worn * wide**clearance_exponent)[()]


@calculation(
    source=_MEASURED, gives="strokes_count", basis="computed",
    needs={**_BURR, "burr_height_um": POSITIVE, "least_strokes": NOT_NEGATIVE},
)  # fmt: skip
def strokes_to_burr(
    *,
    burr_height_um: Values,
    sharp_burr_um: Values,
    burr_growth_um: Values,
    cutting_clearance_mm: Values,
    plate_thickness_mm: Values,
    measured_clearance_share: Values,
    clearance_exponent: Values = 1.0,
    least_strokes: Values = 0.0,
) -> Values:
    """Strokes until a tool leaves a burr of this height, and not fewer than a works lets it make.

        N = 1000 max(b (c0 t/c)^m - b0, 0)/g,  at least N0

    References: `burr_of_tool`, the other way.

    Example:
        >>> print(round(strokes_to_burr(burr_height_um=45.0, sharp_burr_um=15.0, burr_growth_um=1.5,
        ...                             cutting_clearance_mm=0.24, plate_thickness_mm=4.0,
        ...                             measured_clearance_share=0.06)))
        20000
    """
    wide = cutting_clearance_mm / (measured_clearance_share * plate_thickness_mm)
    sharp = np.asarray(burr_height_um, float) / wide**clearance_exponent
    room = np.maximum(sharp - sharp_burr_um, 0.0)
    return np.maximum(_THOUSAND * room / burr_growth_um, least_strokes)[()]


class ToolCare(NamedTuple):
    """Results of `regrinds_of_plates`."""

    regrinds_count: Values
    """Not rounded: what the order takes of a tool's life."""
    regrinding_time_h: Values


@calculation(
    source="counting",
    basis="computed",
    needs={
        "plates": NOT_NEGATIVE,
        "plates_per_stroke": POSITIVE,
        "regrind_interval_count": POSITIVE,
        "regrind_time_h": NOT_NEGATIVE,
        "machines": POSITIVE,
    },
)
def regrinds_of_plates(
    *,
    plates: Values,
    plates_per_stroke: Values,
    regrind_interval_count: Values,
    regrind_time_h: Values,
    machines: Values = 1.0,
) -> ToolCare:
    """Regrinds that a number of plates asks for, and the hours in which the press stands.

    References: counting.

    Example:
        >>> got = regrinds_of_plates(plates=160000.0, plates_per_stroke=4.0,
        ...                          regrind_interval_count=20000.0, regrind_time_h=3.0)
        >>> print(got.regrinds_count, got.regrinding_time_h)
        2.0 6.0
    """
    count = plates / (plates_per_stroke * regrind_interval_count)
    return ToolCare(count, count * regrind_time_h / machines)


@calculation(
    source="the works' own measurements, taken as linear in the time",
    gives="burr_height_um",
    basis="computed",
    needs={
        "burr_height_um": NOT_NEGATIVE,
        "burr_loss_um_per_h": NOT_NEGATIVE,
        "time_min": NOT_NEGATIVE,
    },
)
def burr_after_tumbling(
    *, burr_height_um: Values, burr_loss_um_per_h: Values, time_min: Values
) -> Values:
    """Burr that a barrel leaves: max(b - r t, 0).

    Edges lose far more than faces, whose loss is weighed (`plate_after_loss`).

    References: none; the works' own measurements.

    Example:
        >>> print(burr_after_tumbling(burr_height_um=45.0, burr_loss_um_per_h=35.0, time_min=60.0))
        10.0
    """
    taken = burr_loss_um_per_h * np.asarray(time_min, float) / 60.0
    return np.maximum(burr_height_um - taken, 0.0)[()]


@calculation(
    source="geometry: sagitta of a shallow arc; strain linear across the thickness",
    gives="bow_mm",
    basis="computed",
    needs={
        "face_strain_percent": NOT_NEGATIVE,
        "plate_length_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
    },
)
def bow_of_strain(
    *, face_strain_percent: Values, plate_length_mm: Values, plate_thickness_mm: Values
) -> Values:
    """Bow of a plate one face of which is longer, the other shorter by a strain.

        curvature = 2 e/t,  f = curvature L^2/8 = e L^2/(4 t)

    Validity: f small against L; the same strain all along the plate.

    References: as the source.

    Example:
        >>> print(round(bow_of_strain(face_strain_percent=0.02, plate_length_mm=46.0,
        ...                           plate_thickness_mm=4.0), 4))
        0.0265
    """
    length = np.square(np.asarray(plate_length_mm, float))
    return (face_strain_percent / 100.0 * length / (4.0 * plate_thickness_mm))[()]


@calculation(
    source="the works' own measurements: bow as the clearance, less by the counterpad's share",
    gives="blanked_bow_mm",
    basis="computed",
    needs={
        "free_bow_mm": NOT_NEGATIVE,
        "cutting_clearance_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "measured_clearance_share": POSITIVE,
        "counterpad_force_kN": NOT_NEGATIVE,
        "contour_force_kN": POSITIVE,
        "plates": POSITIVE,
        "flattening_share": (5e-324, 1.0),
    },
)
def blanking_bow(
    *,
    free_bow_mm: Values,
    cutting_clearance_mm: Values,
    plate_thickness_mm: Values,
    measured_clearance_share: Values,
    contour_force_kN: Values,
    flattening_share: Values,
    counterpad_force_kN: Values = 0.0,
    plates: Values = 1.0,
) -> Values:
    """Bow of plates as they fall through the die: f c/(c0 t) max(1 - P/(n F q1), 0).

    The two cutting edges push in opposite directions a clearance c apart and bend the plate by that
    couple; c0 is the clearance over thickness at which the bow f without counterpad was measured. P
    force of the counterpads of n plates, F that of cutting one contour, q1 the share of it at which
    plates come flat.

    References: none for q1 and f, the works' own measurements; the couple is statics.

    Example:
        >>> print(round(blanking_bow(free_bow_mm=0.04, cutting_clearance_mm=0.24,
        ...     plate_thickness_mm=4.0, measured_clearance_share=0.06, counterpad_force_kN=10.0,
        ...     contour_force_kN=200.0, flattening_share=0.2), 6))
        0.03
    """
    wide = cutting_clearance_mm / (measured_clearance_share * plate_thickness_mm)
    held = counterpad_force_kN / (plates * np.asarray(contour_force_kN, float))
    return (free_bow_mm * wide * np.maximum(1.0 - held / flattening_share, 0.0))[()]


@calculation(
    source="`blanking_bow`, the other way",
    gives="counterpad_force_kN",
    basis="computed",
    needs={
        "bow_without_mm": NOT_NEGATIVE,
        "aimed_bow_mm": NOT_NEGATIVE,
        "flattening_share": (5e-324, 1.0),
        "contour_force_kN": POSITIVE,
        "plates": POSITIVE,
    },
)
def counterpad_for_bow(
    *,
    bow_without_mm: Values,
    aimed_bow_mm: Values,
    flattening_share: Values,
    contour_force_kN: Values,
    plates: Values = 1.0,
) -> Values:
    """Force of the counterpads of n plates that leaves the bow aimed at.

        P = n F q1 max(1 - f/f0, 0)

    f0 the bow without counterpad at the tool's clearance. Nothing where plates come flat enough
    without.

    References: `blanking_bow`.

    Example:
        >>> print(round(counterpad_for_bow(bow_without_mm=0.04, aimed_bow_mm=0.03,
        ...                                flattening_share=0.2, contour_force_kN=200.0), 6))
        10.0
    """
    bow = np.maximum(np.asarray(bow_without_mm, float), 1e-12)
    share = flattening_share * np.maximum(1.0 - aimed_bow_mm / bow, 0.0)
    return (plates * contour_force_kN * share)[()]


@calculation(
    source="sum of forces",
    gives="stroke_force_kN",
    basis="computed",
    needs={"cutting_force_kN": NOT_NEGATIVE, "counterpad_force_kN": NOT_NEGATIVE},
)
def force_with_counterpad(*, cutting_force_kN: Values, counterpad_force_kN: Values) -> Values:
    """Force that a press bears where a counterpad holds the plates against the punch.

    References: statics.
    """
    return cutting_force_kN + counterpad_force_kN


@calculation(
    source="squares of independent deviations add",
    gives="flatness_mm",
    basis="computed",
    needs={"blanked_bow_mm": NOT_NEGATIVE, "quench_bow_mm": NOT_NEGATIVE},
)
def flatness_after_quench(*, blanked_bow_mm: Values, quench_bow_mm: Values) -> Values:
    """Out-of-flatness of a hardened plate: (fb^2 + fq^2)^(1/2).

    Blanking bows every plate to the burr's side or away from it; a plate falls into the bath with
    either face first. The two therefore are as often one against the other as together.

    References: sum of independent variances.

    Example:
        >>> print(flatness_after_quench(blanked_bow_mm=0.03, quench_bow_mm=0.04))
        0.05
    """
    return np.hypot(blanked_bow_mm, quench_bow_mm)[()]


class SwingRoom(NamedTuple):
    """Results of `swing_room`."""

    swing_room_mm: Values
    """Between inner and outer link, both sides together."""
    taken_percent: Values
    """What burr and bow take of the room that true plates would leave."""


@calculation(
    source="sum of sizes, plates in their worst lay",
    basis="computed",
    needs={
        "opening_mm": POSITIVE,
        "inner_link_width_mm": POSITIVE,
        "inner_flatness_mm": NOT_NEGATIVE,
        "outer_flatness_mm": NOT_NEGATIVE,
        "inner_burr_um": NOT_NEGATIVE,
        "outer_burr_um": NOT_NEGATIVE,
    },
)
def swing_room(
    *,
    opening_mm: Values,
    inner_link_width_mm: Values,
    inner_flatness_mm: Values,
    outer_flatness_mm: Values,
    inner_burr_um: Values,
    outer_burr_um: Values = 0.0,
) -> SwingRoom:
    """Room in which a link swings once burr and bow of the plates are taken off.

        s = w - b - 2 (f_i + f_o + h_i + h_o)

    w opening of the outer link, b width over the inner plates. With the burr outward that of inner
    plates stands in the gap and that of outer plates does not (h_o 0). Every plate is taken with
    its bow towards the gap: the worst lay, not the usual one.

    References: geometry.

    Example:
        >>> got = swing_room(opening_mm=25.78, inner_link_width_mm=25.22, inner_flatness_mm=0.04,
        ...                  outer_flatness_mm=0.05, inner_burr_um=10.0)
        >>> print(round(got.swing_room_mm, 3), round(got.taken_percent))
        0.36 36
    """
    free = np.asarray(opening_mm, float) - inner_link_width_mm
    burrs = (np.asarray(inner_burr_um, float) + outer_burr_um) / 1000.0
    taken = 2.0 * (inner_flatness_mm + outer_flatness_mm + burrs)
    share = 100.0 * taken / np.where(np.abs(free) > 1e-9, free, 1e-9)
    return SwingRoom((free - taken)[()], share[()])
