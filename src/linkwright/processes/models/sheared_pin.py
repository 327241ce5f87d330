"""Sums of a pin that was sheared from bar: faces off square, and what turning must take off.

- `out_of_square`: depth of a crooked face
- `slenderness`: length over diameter
- `turned_allowance`: facing beyond a crooked face
- `face_room`: what turning had to spare
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


@calculation(
    source="geometry", gives="out_of_square_mm", basis="computed",
    needs={"diameter_mm": POSITIVE, "end_angle_deg": (0.0, 45.0)},
)  # fmt: skip
def out_of_square(*, diameter_mm: Values, end_angle_deg: Values) -> Values:
    """From the highest to the lowest point of a face that is off square by an angle: d tan w.

    References: geometry.

    Example:
        >>> print(round(out_of_square(diameter_mm=8.4, end_angle_deg=2.0), 3))
        0.293
    """
    return (diameter_mm * np.tan(np.radians(end_angle_deg)))[()]


@calculation(
    source="ratio of two lengths", gives="length_over_diameter_ratio", basis="computed",
    needs={"length_mm": POSITIVE, "diameter_mm": POSITIVE},
)  # fmt: skip
def slenderness(*, length_mm: Values, diameter_mm: Values) -> Values:
    """Length over diameter.

    References: definition.
    """
    return np.asarray(length_mm, float)[()] / diameter_mm


@calculation(
    source="geometry", gives="end_allowance_mm", basis="computed",
    needs={"facing_mm": NOT_NEGATIVE, "out_of_square_mm": NOT_NEGATIVE},
)  # fmt: skip
def turned_allowance(*, facing_mm: Values, out_of_square_mm: Values) -> Values:
    """What turning takes off an end: a cut of its own beyond the lowest point of the face.

    References: geometry.
    """
    return facing_mm + np.asarray(out_of_square_mm, float)[()]


@calculation(
    source="geometry", gives="face_room_mm", basis="computed",
    needs={"cut_length_mm": POSITIVE, "pin_length_mm": POSITIVE, "out_of_square_mm": NOT_NEGATIVE},
)  # fmt: skip
def face_room(*, cut_length_mm: Values, pin_length_mm: Values, out_of_square_mm: Values) -> Values:
    """What is left to cut below the lowest point of a face: (l_cut - l)/2 - w; below 0 black spots.

    References: geometry; both ends take the same.
    """
    return (np.asarray(cut_length_mm, float)[()] - pin_length_mm) / 2.0 - out_of_square_mm
