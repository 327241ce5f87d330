"""The contour of a link plate: two eyes and a waist between them.

- `link_plate_contour`: radii, area, perimeter
- `link_plate_piece`: area with its holes, mass, web beside and before the hole
- `contour_points`: points of the contour, for a picture or an independent check
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_GEOMETRY = "plane geometry: circles that touch"
_PLATE = {
    "hole_spacing_mm": POSITIVE,
    "plate_height_mm": POSITIVE,
    "waist_height_mm": POSITIVE,
}


class PlateContour(NamedTuple):
    """Results of `link_plate_contour`."""

    end_radius_mm: Values
    waist_radius_mm: Values
    waist_centre_mm: Values
    """From the long axis to the centre of the waist's arc, outside of the plate."""
    plate_length_mm: Values
    area_mm2: Values
    perimeter_mm: Values


@calculation(source=_GEOMETRY, basis="computed", needs=_PLATE)
def link_plate_contour(
    *, hole_spacing_mm: Values, plate_height_mm: Values, waist_height_mm: Values
) -> PlateContour:
    """Contour of a figure of eight: end circles about both holes, joined by arcs that touch them.

    p spacing of the holes, h height, w height of the waist, R = h/2:

        Rw = (p^2 + w^2 - h^2)/(4 (h - w)),  y = w/2 + Rw,  a = atan(2 y/p)
        area = 4 [p y/4 - Rw^2 (pi/2 - a)/2 + R^2 (pi - a)/2]
        perimeter = 4 [Rw (pi/2 - a) + R (pi - a)]

    y is how far the centre of the waist's arc stands off the long axis, a the angle at which it
    is seen from a hole. Arguments broadcast.

    Raises `ArgumentError` for a waist that is no waist (w not below h) or too narrow for a touching
    arc, and for eyes that meet (h not below p).

    References: plane geometry; the area equals that of the polygon of `contour_points` (tested).

    Example:
        >>> plate = link_plate_contour(hole_spacing_mm=25.4, plate_height_mm=20.87,
        ...                            waist_height_mm=15.65)
        >>> print(round(plate.waist_radius_mm, 2), round(plate.area_mm2), round(plate.perimeter_mm))
        21.77 798 118
    """
    p, h, w = (np.asarray(v, float) for v in (hole_spacing_mm, plate_height_mm, waist_height_mm))
    if np.any(w >= h):
        raise ArgumentError("waist_height_mm", waist_height_mm, "mm", "below the plate height")
    if np.any(h >= p):
        raise ArgumentError("plate_height_mm", plate_height_mm, "mm", "below the hole spacing")
    R = h / 2.0
    Rw = (p**2 + w**2 - h**2) / (4.0 * (h - w))
    y = w / 2.0 + Rw
    a = np.arctan2(y, p / 2.0)
    area = p * y - 2.0 * Rw**2 * (np.pi / 2.0 - a) + 2.0 * R**2 * (np.pi - a)
    perimeter = 4.0 * (Rw * (np.pi / 2.0 - a) + R * (np.pi - a))
    return PlateContour(R[()], Rw[()], y[()], (p + h)[()], area[()], perimeter[()])


class PlatePiece(NamedTuple):
    """Results of `link_plate_piece`."""

    net_area_mm2: Values
    plate_mass_kg: Values
    side_web_mm: Values
    """Metal on either side of a hole."""
    middle_web_mm: Values
    """Metal between the holes."""
    web_ratio: Values
    """The lesser web over the thickness."""


@calculation(
    source=_GEOMETRY,
    basis="computed",
    needs={
        "area_mm2": POSITIVE,
        "plate_height_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "hole_spacing_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
    },
)
def link_plate_piece(
    *,
    area_mm2: Values,
    plate_height_mm: Values,
    hole_diameter_mm: Values,
    hole_spacing_mm: Values,
    plate_thickness_mm: Values,
    density_kg_per_m3: Values = 7850.0,
) -> PlatePiece:
    """Plate with its two holes: area, mass, and the webs beside and between the holes.

    Area A - pi D^2/2; webs (h - D)/2 and p - D. Density of steel as EN 1993-1-2:2005, 3.2.2.

    Raises `ArgumentError` for a hole that leaves no web.

    References: plane geometry.

    Example:
        >>> piece = link_plate_piece(area_mm2=811.0, plate_height_mm=20.87, hole_diameter_mm=11.23,
        ...                          hole_spacing_mm=25.4, plate_thickness_mm=4.0)
        >>> print(round(piece.plate_mass_kg * 1000, 1), round(piece.side_web_mm, 2))
        19.2 4.82
    """
    side = (plate_height_mm - np.asarray(hole_diameter_mm, float)) / 2.0
    middle = hole_spacing_mm - np.asarray(hole_diameter_mm, float)
    if np.any(side <= 0.0) or np.any(middle <= 0.0):
        accepted = "below plate height and hole spacing"
        raise ArgumentError("hole_diameter_mm", hole_diameter_mm, "mm", accepted)
    net = area_mm2 - np.pi / 2.0 * np.square(hole_diameter_mm)
    mass = net * plate_thickness_mm * 1e-9 * density_kg_per_m3
    return PlatePiece(
        net, mass, side[()], middle[()], (np.minimum(side, middle) / plate_thickness_mm)[()]
    )


def contour_points(
    hole_spacing_mm: float, plate_height_mm: float, waist_height_mm: float, count: int = 96
) -> NDArray[np.float64]:
    """Points (4 x count, 2) of the contour about the plate's middle, the long axis along x."""
    found = link_plate_contour(
        hole_spacing_mm=hole_spacing_mm,
        plate_height_mm=plate_height_mm,
        waist_height_mm=waist_height_mm,
    )
    R, Rw, y = (float(value) for value in found[:3])
    a = np.arctan2(y, hole_spacing_mm / 2.0)
    end = np.linspace(0.0, np.pi - a, count)
    eye = np.stack([hole_spacing_mm / 2.0 + R * np.cos(end), R * np.sin(end)])
    bow = np.linspace(np.pi / 2.0 - a, 0.0, count)[1:]
    waist = np.stack([Rw * np.sin(bow), y - Rw * np.cos(bow)])
    right = np.concatenate([eye, waist], axis=1)
    left = right[:, ::-1][:, 1:] * [[-1.0], [1.0]]
    upper = np.concatenate([right, left], axis=1)
    lower = upper[:, ::-1][:, 1:-1] * [[1.0], [-1.0]]
    return np.concatenate([upper, lower], axis=1).T
