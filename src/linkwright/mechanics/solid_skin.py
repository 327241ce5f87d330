"""Places on the skin of a body: where a ray meets it, which point of it is nearest.

    Grids, grids_of     skins as grids of faces, and which of them every point looks at
    surface, Patch      point, tangents and curvature at places
    nearest, met        places by Newton's method

A place is a pair of numbers in faces along rows and columns. Rows x columns points into the body.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_mesh import Skin

_SEARCH_STEPS = 12
_CLOSE = 1e-9
_LONGEST = 0.6  # step of the search in faces


class Grids(NamedTuple):
    """Faces of one or several skins, and for every point the skin it looks at."""

    faces: Ints
    """(faces, 8), skin after skin, row after row."""
    first: Ints
    """Number of the first face of the skin of every point."""
    size: Ints
    """Rows and columns of that skin, (points, 2)."""

    def of(self, points: Ints) -> Grids:
        """The same for some of the points."""
        return Grids(self.faces, self.first[points], self.size[points])

    def cells(self, place: Floats) -> tuple[Ints, Ints]:
        """Row and column of the faces at places, and their nodes (points, 8)."""
        cell = np.clip(np.floor(place).astype(np.intp), 0, self.size - 1)
        return cell, self.faces[self.first + cell[:, 0] * self.size[:, 1] + cell[:, 1]]


def grids_of(skins: list[Skin], looks_at: Ints) -> Grids:
    """The grids of some skins; ``looks_at`` is the number of every point's skin."""
    shapes = np.array([skin.faces.shape[:2] for skin in skins])
    first = np.concatenate([[0], np.cumsum(shapes.prod(axis=1))[:-1]])
    faces = np.concatenate([skin.faces.reshape(-1, 8) for skin in skins])
    return Grids(faces, first[looks_at], shapes[looks_at])


class Patch(NamedTuple):
    """The skin at places of it."""

    nodes: Ints
    point: Floats
    tangents: Floats
    """(points, 2, 3), by faces."""
    bends: Floats
    """Second derivatives 11, 22, 12: (points, 3, 3)."""
    value: Floats
    slope: Floats
    """Shape functions, and their slopes (points, 2, 8)."""

    @property
    def normal(self) -> Floats:
        """Outward, of length 1."""
        across = -np.cross(self.tangents[:, 0], self.tangents[:, 1])
        made: Floats = across / np.linalg.norm(across, axis=1, keepdims=True)
        return made


def surface(grids: Grids, placed: Floats, place: Floats) -> Patch:
    """The skin at places, nodes at ``placed``."""
    cell, nodes = grids.cells(place)
    value, slope, bend = face_shapes(2 * (place - cell) - 1)
    slope, bend = 2 * slope, 4 * bend  # by faces, not by half faces
    at = placed[nodes]
    point = np.matmul(value[:, None], at)[:, 0]
    return Patch(nodes, point, slope @ at, bend @ at, value, slope)


def met(
    grids: Grids, placed: Floats, image: Floats, direction: Floats, start: Floats
) -> tuple[Floats, Floats]:
    """Where rays from ``image`` meet the skin, and how far off: image = point + gap direction."""
    place, most = start, grids.size.astype(float)
    gap = np.zeros(len(place))
    for step in range(_SEARCH_STEPS):
        at = surface(grids, placed, place)
        frame = np.concatenate([at.tangents, direction[:, None]], axis=1).transpose(0, 2, 1)
        found = np.linalg.solve(frame, (image - at.point)[..., None])[..., 0]
        gap = found[:, 2]
        place, change = _stepped(place, found[:, :2], step, most)
        if change < _CLOSE:
            break
    return place, gap


def nearest(grids: Grids, placed: Floats, image: Floats, start: Floats) -> Floats:
    """Places of the nearest points; where Newton's method would climb, by Gauss's."""
    place, most = start, grids.size.astype(float)
    for step in range(_SEARCH_STEPS):
        at = surface(grids, placed, place)
        away = image - at.point
        slope = np.einsum("pax,px->pa", at.tangents, away)
        metric = np.einsum("pax,pbx->pab", at.tangents, at.tangents)
        curved = np.einsum("pcx,px->pc", at.bends, away)
        full = metric - curved[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
        bad = (np.linalg.det(full) < 0.2 * np.linalg.det(metric)) | (full[:, 0, 0] <= 0)
        full[bad] = metric[bad]
        move = np.linalg.solve(full, slope[..., None])[..., 0]
        place, change = _stepped(place, move, step, most)
        if change < _CLOSE:
            break
    return place


def _stepped(place: Floats, move: Floats, step: int, most: Floats) -> tuple[Floats, float]:
    """Places after a move that is neither too long nor off the skin, and the greatest change."""
    size = np.abs(move).max(axis=1, keepdims=True)
    share = np.minimum(1.0, _LONGEST / np.maximum(size, 1e-300)) * (1.0 if step < 8 else 0.5)
    moved = np.clip(place + share * move, 0.0, most)
    return moved, float(np.abs(moved - place).max(initial=0.0))
