"""Marks in a link: force and depth of a stamp, section lost, which links and pieces carry them.

- `mark_force`, `mark_depth`: a wedge-shaped stamp pressed into metal of a hardness
- `mark_depth_of_wire`: depth in proportion to the wire
- `mark_section_loss`: most section that a groove of that depth takes from a round bar
- `whole_links_between`, `mark_distance`: links and length from mark to mark
- `pieces_in_length`, `marks_on_piece`: serial numbers and marks that an order needs
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_TABOR = (
    "D. Tabor, The Hardness of Metals (1951): mean pressure of a Vickers pyramid on the area "
    "seen from above is HV g/sin 68 deg"
)
_STAMP = {
    "hardness_HV": POSITIVE,
    "stroke_length_mm": POSITIVE,
    "stamp_angle_deg": (10.0, 170.0),
}


@calculation(
    source=_TABOR + "; width of a wedge 2 h tan(angle/2)",
    gives="mark_force_kN",
    basis="computed",
    needs={**_STAMP, "mark_depth_mm": NOT_NEGATIVE},
    valid={"stamp_angle_deg": (60.0, 140.0)},
)
def mark_force(
    *,
    mark_depth_mm: Values,
    hardness_HV: Values,
    stroke_length_mm: Values,
    stamp_angle_deg: Values,
) -> Values:
    """Force that presses the strokes of a stamp to a depth.

    F = p A with p = 9.80665 HV/sin 68° the mean pressure in MPa and A = 2 h L tan(angle/2)
    the area seen from above; L is the length of all strokes of all characters together. The
    ends of the strokes, friction and the rim that rises beside them are not in it: a stamp
    needs more force when it is blunt.

    References: D. Tabor, The Hardness of Metals (1951); geometry of a wedge.

    Example:
        >>> print(round(mark_force(mark_depth_mm=0.2, hardness_HV=380.0, stroke_length_mm=15.0,
        ...                        stamp_angle_deg=90.0), 2))
        24.12
    """
    return mark_depth_mm * _force_per_depth(hardness_HV, stroke_length_mm, stamp_angle_deg)


@calculation(
    source=_TABOR + "; width of a wedge 2 h tan(angle/2)",
    gives="mark_depth_mm",
    basis="computed",
    needs={**_STAMP, "mark_force_kN": NOT_NEGATIVE},
    valid={"stamp_angle_deg": (60.0, 140.0)},
)
def mark_depth(
    *,
    mark_force_kN: Values,
    hardness_HV: Values,
    stroke_length_mm: Values,
    stamp_angle_deg: Values,
) -> Values:
    """Depth of the strokes of a stamp pressed with a force: `mark_force` solved for the depth.

    References: D. Tabor, The Hardness of Metals (1951); geometry of a wedge.

    Example:
        >>> print(round(mark_depth(mark_force_kN=24.12, hardness_HV=380.0, stroke_length_mm=15.0,
        ...                        stamp_angle_deg=90.0), 3))
        0.2
    """
    return mark_force_kN / _force_per_depth(hardness_HV, stroke_length_mm, stamp_angle_deg)


@calculation(
    source="share of the diameter of the wire",
    gives="mark_depth_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "mark_depth_ratio": NOT_NEGATIVE},
)
def mark_depth_of_wire(*, wire_diameter_mm: Values, mark_depth_ratio: Values) -> Values:
    """Depth of a mark as a share of the wire: every size then loses the same share of section.

    References: geometry of similar sections; the share is the works' own.
    """
    return mark_depth_ratio * wire_diameter_mm


@calculation(
    source="geometry: segment of a circle",
    gives="section_loss_percent",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "mark_depth_mm": NOT_NEGATIVE},
)
def mark_section_loss(*, mark_depth_mm: Values, wire_diameter_mm: Values) -> Values:
    """Most section that a mark takes from a round bar: a stroke straight across it.

    The segment of height h: A = r² acos(1 - h/r) - (r - h) sqrt(2 r h - h²), in per cent of
    pi r². It bounds the loss of static strength from above, as the metal is pushed aside
    and not removed; it says nothing of fatigue, for which a sharp root is worse.

    References: geometry.

    Example:
        >>> print(round(mark_section_loss(mark_depth_mm=0.2, wire_diameter_mm=8.0), 3))
        0.666
    """
    across = 1.0 - 2.0 * np.minimum(mark_depth_mm / wire_diameter_mm, 1.0)
    return 100.0 / np.pi * (np.arccos(across) - across * np.sqrt(1.0 - across**2))


@calculation(
    source="whole links times pitch",
    gives="mark_distance_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE},
)
def mark_distance(*, links_between_marks: Values, pitch_mm: Values) -> Values:
    """Distance from mark to mark: links between them times pitch.

    References: none needed.
    """
    return links_between_marks * pitch_mm


@calculation(
    source="whole links within a length",
    gives="links_between_marks",
    basis="computed",
    needs={"pitch_mm": POSITIVE, "greatest_spacing_mm": POSITIVE},
)
def whole_links_between(
    *, greatest_spacing_mm: Values, pitch_mm: Values, spare_links_count: Values = 0.0
) -> Values:
    """Links from mark to mark: whole pitches within the greatest spacing, less some to spare.

    References: none needed.

    Example:
        >>> print(whole_links_between(greatest_spacing_mm=480.0, pitch_mm=24.0))
        20.0
    """
    return np.floor(np.asarray(greatest_spacing_mm) / pitch_mm + 1e-9) - spare_links_count


@calculation(
    source="whole pieces for a length",
    gives="pieces_count",
    basis="computed",
    needs={"length_m": POSITIVE, "piece_length_m": POSITIVE},
)
def pieces_in_length(*, length_m: Values, piece_length_m: Values) -> Values:
    """Pieces that a length is cut into, the last perhaps shorter: each has a serial number.

    References: none needed.

    Example:
        >>> print(pieces_in_length(length_m=300.0, piece_length_m=50.0))
        6.0
    """
    return np.ceil(np.asarray(length_m, float) / piece_length_m - 1e-9)[()]


@calculation(
    source="whole distances on a piece, and the first mark",
    gives="marks_count",
    basis="computed",
    needs={
        "piece_length_m": POSITIVE,
        "pitch_mm": POSITIVE,
        "links_between_marks": (1.0, None),
        "first_marked_link_count": (1.0, None),
    },
)
def marks_on_piece(
    *,
    piece_length_m: Values,
    pitch_mm: Values,
    links_between_marks: Values,
    first_marked_link_count: Values,
) -> Values:
    """Marks on one piece: links first, first + n, first + 2 n, ... up to its last link.

    References: none needed.

    Example:
        >>> print(marks_on_piece(piece_length_m=2.4, pitch_mm=24.0, links_between_marks=20.0,
        ...                      first_marked_link_count=2.0))
        5.0
    """
    links = np.floor(1000.0 * np.asarray(piece_length_m, float) / pitch_mm + 1e-9)
    beyond = np.floor((links - first_marked_link_count) / links_between_marks + 1e-9)
    return np.where(links < first_marked_link_count, 0.0, beyond + 1.0)[()]


@calculation(source="first number and count", gives="last_serial_number", basis="computed")
def last_serial(*, first_serial_number: Values, pieces_count: Values) -> Values:
    """Serial number of the last piece: first + pieces - 1.

    References: none needed.
    """
    return first_serial_number + pieces_count - 1.0


def _force_per_depth(hardness_HV: Values, stroke_mm: Values, angle_deg: Values) -> Values:
    pressure = 9.80665 * hardness_HV / np.sin(np.radians(68.0))
    return pressure * 2.0 * np.tan(np.radians(angle_deg) / 2.0) * stroke_mm / 1000.0
