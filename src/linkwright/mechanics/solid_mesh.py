"""Swept meshes of quadratic hexahedra: a flat section carried along a line.

    Section, half_disc, rectangle    the section as cells of eight nodes
    Mesh, swept_mesh                 the solid: layers of nodes, cells between them
    Cells                            several solids side by side
    Skin, skin_of                    a part of the surface as a grid of nodes

A layer holds all nodes of the section at one station, followed by the middle nodes (corners of
cells only) half-way to the next station. A cell touches two neighbouring layers and no others,
which `solid_fronts` uses.

The half disc is an O-grid: a rounded square core of 2 m x m cells inside k rings of 4 m cells.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints

_CORE = 0.52  # half the core's width over the radius of the disc
_ROUNDED = 0.35  # share by which the core's corners are drawn towards a circle

Place = Callable[[Floats, Floats, Floats], Floats]
"""Turns station, and two coordinates of the section, into places (n, 3)."""


class Section(NamedTuple):
    """A flat section of cells with eight nodes."""

    points: Floats
    """(nodes, 2)."""
    cells: Ints
    """(cells, 8): four corners anticlockwise, then the middles of the edges."""
    rim: Ints
    """Nodes along the outer edge, corners and middles in turn; empty where there is none."""

    @property
    def corners(self) -> Ints:
        """Nodes that are a corner of a cell, in rising order."""
        return np.unique(self.cells[:, :4])


class Mesh(NamedTuple):
    """A swept solid."""

    nodes: Floats
    """(nodes, 3) in mm."""
    elements: Ints
    """(elements, 20), cell after cell, slice after slice."""
    section: Section
    slices: int

    @property
    def stride(self) -> int:
        """Nodes from one layer to the next."""
        return len(self.section.points) + len(self.section.corners)

    def layer(self, station: int) -> Ints:
        """Nodes of the section at a station from 0 to ``slices``; negative from the end."""
        station = station % (self.slices + 1)
        first = station * self.stride
        return np.arange(first, first + len(self.section.points))


class Cells(NamedTuple):
    """Several swept solids side by side."""

    nodes: Floats
    elements: Ints

    @classmethod
    def of(cls, meshes: Sequence[Mesh]) -> Cells:
        """Nodes and elements, one mesh after another."""
        first = np.cumsum([0, *(len(mesh.nodes) for mesh in meshes[:-1])])
        elements = [mesh.elements + start for mesh, start in zip(meshes, first, strict=True)]
        return cls(np.concatenate([mesh.nodes for mesh in meshes]), np.concatenate(elements))


class Skin(NamedTuple):
    """A part of the surface as a grid; node numbers at corners and middles of faces."""

    nodes: Ints
    """(2 rows + 1, 2 columns + 1); -1 in the middle of a face."""

    def after(self, nodes: int) -> Skin:
        """The same where other nodes come first."""
        return Skin(np.where(self.nodes < 0, -1, self.nodes + nodes))

    @property
    def faces(self) -> Ints:
        """(rows, columns, 8): corners and middles of every face."""
        n = self.nodes
        return np.stack(
            [
                n[:-2:2, :-2:2], n[2::2, :-2:2], n[2::2, 2::2], n[:-2:2, 2::2],
                n[1::2, :-2:2], n[2::2, 1::2], n[1::2, 2::2], n[:-2:2, 1::2],
            ],
            axis=-1,
        )  # fmt: skip


def rectangle(across: Floats, up: Floats) -> Section:
    """A rectangle cut at the given coordinates, for tests and simple bodies."""
    doubled = [np.sort(np.concatenate([v, (v[1:] + v[:-1]) / 2])) for v in (across, up)]
    known: dict[tuple[int, int], int] = {}
    points: list[tuple[float, float]] = []
    for i, j in np.ndindex(len(doubled[0]), len(doubled[1])):
        if i % 2 == 0 or j % 2 == 0:
            known[i, j] = len(points)
            points.append((float(doubled[0][i]), float(doubled[1][j])))
    cells = [_cell_of(known, 2 * i, 2 * j) for i, j in np.ndindex(len(across) - 1, len(up) - 1)]
    return Section(np.array(points), np.array(cells), np.zeros(0, dtype=np.intp))


def _cell_of(known: dict[tuple[int, int], int], i: int, j: int) -> list[int]:
    around = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)]
    return [known[i + a, j + b] for a, b in around]


def half_disc(core: int, rings: int) -> Section:
    """The upper half of a disc of radius 1 with 4 ``core`` (``core`` / 2 + ``rings``) cells.

    The first coordinate points outward from the link, the second up; the rim runs from the
    inside (-1, 0) over the top to (1, 0).
    """
    known: dict[tuple[int, int], int] = {}
    points: list[Floats] = []
    full = 2 * core
    for i in range(-full, full + 1):
        for j in range(full + 1):
            if i % 2 == 0 or j % 2 == 0:
                known[i, j] = len(points)
                points.append(_core_place(i / full, j / full))
    cells = [_cell_of(known, i, j) for i in range(-full, full, 2) for j in range(0, full, 2)]
    edge = [(-full, j) for j in range(full)] + [(i, full) for i in range(-full, full)]
    edge += [(full, j) for j in range(full, -1, -1)]
    ring: dict[tuple[int, int], int] = {(t, 0): known[at] for t, at in enumerate(edge)}
    for t in range(len(edge)):
        angle = np.pi * t / (len(edge) - 1)
        outer = np.array([-np.cos(angle), np.sin(angle)])
        inner = points[ring[t, 0]]
        for level in range(1, 2 * rings + 1):
            if t % 2 == 0 or level % 2 == 0:
                ring[t, level] = len(points)
                points.append(inner + (outer - inner) * level / (2 * rings))
    # outward first and then back round the rim keeps the corners anticlockwise
    for t in range(0, len(edge) - 1, 2):
        for level in range(0, 2 * rings, 2):
            around = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)]
            cells.append([ring[t + a, level + b] for a, b in around])
    rim = [ring[t, 2 * rings] for t in range(len(edge))]
    return Section(np.array(points), np.array(cells), np.array(rim))


def _core_place(x: float, y: float) -> Floats:
    """Place of a point of the square -1..1 in the core: partly square, partly round."""
    reach = max(abs(x), abs(y))
    if reach == 0.0:
        return np.zeros(2)
    flat = np.array([x, y])
    # the edge's points lie at equal angles, as those of the rim do
    if abs(x) >= abs(y):
        angle = np.pi / 4 * y / abs(x)
        round_ = reach * np.array([np.sign(x) * np.cos(angle), np.sin(angle)])
    else:
        angle = np.pi / 4 * x / y
        round_ = reach * np.array([np.sin(angle), np.cos(angle)])
    made: Floats = _CORE * ((1 - _ROUNDED) * flat + _ROUNDED * round_ * np.sqrt(2.0) * 0.85)
    return made


def swept_mesh(section: Section, stations: Floats, place: Place) -> Mesh:
    """The section carried through the stations; ``place`` bends it into the solid."""
    corners = section.corners
    half_way = (stations[1:] + stations[:-1]) / 2
    parts: list[Floats] = []
    for k, station in enumerate(stations):
        parts.append(_placed(place, station, section.points))
        if k < len(half_way):
            parts.append(_placed(place, half_way[k], section.points[corners]))
    count = len(section.points)
    stride = count + len(corners)
    number = np.full(count, -1)
    number[corners] = count + np.arange(len(corners))
    upright = number[section.cells[:, :4]]
    cell = np.concatenate([section.cells, section.cells + stride, upright], axis=1)
    slices = len(stations) - 1
    elements = (cell[None] + stride * np.arange(slices)[:, None, None]).reshape(-1, cell.shape[1])
    return Mesh(np.concatenate(parts), elements, section, slices)


def _placed(place: Place, station: float, points: Floats) -> Floats:
    return place(np.full(len(points), station), points[:, 0], points[:, 1])


def skin_of(mesh: Mesh, rim: Ints, first: int, last: int) -> Skin:
    """The surface under some nodes of the rim, from station ``first`` to ``last``.

    Rows follow the sweep, in its direction or against it; columns follow ``rim``, an odd
    number of nodes that begins and ends at corners of cells.
    """
    corners = mesh.section.corners
    step = 1 if last > first else -1
    rows = np.full((2 * abs(last - first) + 1, len(rim)), -1)
    upright = len(mesh.section.points) + np.searchsorted(corners, rim[::2])
    for row, station in enumerate(range(first, last + step, step)):
        rows[2 * row] = station * mesh.stride + rim
        if station != last:
            lower = min(station, station + step)
            rows[2 * row + 1, ::2] = lower * mesh.stride + upright
    return Skin(rows)
