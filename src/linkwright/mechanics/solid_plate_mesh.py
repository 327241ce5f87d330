"""Meshes of plates with a hole: one layer of cells, swept round the hole from its rim outwards.

    PlateShape                      a link plate with a waist: the quarter that is modelled
    PlateCells, PLATE_CELLS         how many cells
    PlatePart, plate_part           mesh of the quarter with what its supports need
    Star, star_mesh                 any plate that is seen whole from the middle of its hole

The hole's middle is the origin, the long axis x, z across the plate with its middle at z = 0.
A layer of the sweep is a ray from the hole to the contour, so that cells stand upright on the rim
of the hole, where stress is greatest, and thicken outwards by a constant ratio. The quarter of a
link plate runs from the round end (angle 0) over the waist to the middle of the plate at
x = -p/2, half the spacing of the holes away; half the thickness is one cell high.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_mesh import Mesh, rectangle, swept_mesh
from linkwright.quantities import ArgumentError


class PlateCells(NamedTuple):
    """Number of cells."""

    outwards: int
    """From the hole to the contour."""
    around: int
    """In half a turn."""
    growth: float
    """Length of the outermost cell over that of the one at the hole."""
    up: int = 1
    """Over half the thickness."""


PLATE_CELLS: dict[str, PlateCells] = {
    "coarse": PlateCells(6, 20, 4.0),
    "medium": PlateCells(9, 32, 4.0),
    "fine": PlateCells(14, 48, 4.0),
}


def plate_cells_named(fineness: str | PlateCells) -> PlateCells:
    """Numbers of cells by name, or themselves. Raises `ArgumentError` for another name."""
    if not isinstance(fineness, str):
        return fineness
    if fineness not in PLATE_CELLS:
        raise ArgumentError("fineness", fineness, "", "one of " + ", ".join(PLATE_CELLS))
    return PLATE_CELLS[fineness]


class PlateShape(NamedTuple):
    """A link plate: two end circles about its holes, joined by arcs that touch them.

    End radius, waist radius and centre as `processes.models.plate_contour.link_plate_contour`
    gives them.
    """

    hole_spacing_mm: float
    hole_diameter_mm: float
    plate_thickness_mm: float
    end_radius_mm: float
    waist_radius_mm: float
    waist_centre_mm: float
    """From the long axis to the centre of the waist's arc."""

    @property
    def plate_height_mm(self) -> float:
        """Twice the end radius."""
        return 2 * self.end_radius_mm

    @property
    def waist_height_mm(self) -> float:
        """Height at the middle of the plate."""
        return 2 * (self.waist_centre_mm - self.waist_radius_mm)

    @property
    def net_area_mm2(self) -> float:
        """Section beside a hole."""
        return (self.plate_height_mm - self.hole_diameter_mm) * self.plate_thickness_mm

    def reach(self, angle: float) -> float:
        """Distance of the contour, or of the middle of the plate, from the hole's middle."""
        half = self.hole_spacing_mm / 2
        touch = np.pi - np.arctan2(self.waist_centre_mm, half)
        if angle <= touch:
            return self.end_radius_mm
        if angle >= self.corner_rad:
            return float(half / np.cos(np.pi - angle))
        along = -half * np.cos(angle) + self.waist_centre_mm * np.sin(angle)
        square = half**2 + self.waist_centre_mm**2 - self.waist_radius_mm**2
        return float(along - np.sqrt(along**2 - square))

    @property
    def corner_rad(self) -> float:
        """Angle at which the waist's middle is seen from the hole."""
        return float(np.pi - np.arctan2(self.waist_height_mm, self.hole_spacing_mm))


class Star(NamedTuple):
    """A flat body round a hole at the origin, seen whole from there."""

    hole_radius_mm: float
    thickness_mm: float
    reach: Callable[[float], float]
    """Distance of the contour at an angle."""
    angles: Sequence[float]
    """First angle, angles at which the contour has a corner, last angle."""


def star_mesh(star: Star, cells: PlateCells) -> Mesh:
    """Half the thickness of the body, z from 0 to t/2; cells are spread evenly over the angle."""
    radius, half = star.hole_radius_mm, star.thickness_mm / 2
    sizes = np.geomspace(1.0, cells.growth, cells.outwards)
    outwards = np.concatenate([[0.0], np.cumsum(sizes) / sizes.sum()])
    section = rectangle(np.linspace(0.0, 1.0, cells.up + 1), outwards)

    def place(angle: Floats, up: Floats, share: Floats) -> Floats:
        r = radius + share * (star.reach(float(angle[0])) - radius)
        return np.stack([r * np.cos(angle), r * np.sin(angle), half * up], axis=1)

    pieces = [np.array([star.angles[0]])]
    for start, end in zip(star.angles[:-1], star.angles[1:], strict=True):
        count = max(1, round(cells.around * (end - start) / np.pi))
        pieces.append(np.linspace(start, end, count + 1)[1:])
    return swept_mesh(section, np.concatenate(pieces), place)


class PlatePart(NamedTuple):
    """A mesh with what its supports need."""

    mesh: Mesh
    fixed: Ints
    """Degrees of freedom (3 node + axis) that symmetry holds, those along ``pulled`` left out."""
    pulled: Ints
    """Nodes of the middle of the plate."""
    rim: Ints
    """Nodes of the section at the hole, from the middle of the thickness outwards."""


def plate_part(shape: PlateShape, fineness: str | PlateCells = "medium") -> PlatePart:
    """The quarter of a link plate.

    Raises `ArgumentError` for a hole that leaves no web.
    """
    radius, half = shape.hole_diameter_mm / 2, shape.hole_spacing_mm / 2
    if not 0 < radius < min(shape.end_radius_mm, half):
        raise ArgumentError(
            "hole_diameter_mm", shape.hole_diameter_mm, "mm", "above 0, below height and spacing"
        )
    star = Star(radius, shape.plate_thickness_mm, shape.reach, (0.0, shape.corner_rad, np.pi))
    return part_of(star_mesh(star, plate_cells_named(fineness)), -half)


def part_of(mesh: Mesh, end_mm: float) -> PlatePart:
    """Supports of a mesh that is cut at y = 0 and z = 0 and pulled where x = ``end_mm``."""
    close = 1e-9 * float(np.abs(mesh.nodes).max())
    flat, axis = (np.flatnonzero(np.abs(mesh.nodes[:, k]) < close) for k in (2, 1))
    pulled = np.flatnonzero(np.abs(mesh.nodes[:, 0] - end_mm) < close)
    rim = np.flatnonzero(mesh.section.points[:, 1] == 0.0)
    rim = rim[np.argsort(mesh.section.points[rim, 0])]
    return PlatePart(mesh, np.union1d(3 * flat + 2, 3 * axis + 1), pulled, rim)
