"""What bears on the skin of a body besides itself, as forces that are the slope of an energy.

    Prop                  what a body can be propped by
    Bearing, bearing_of   tested points on faces of the skin, and what acts there put on the nodes
    Springs               linear springs from nodes to the ground

Points of a face act on its eight nodes by their shape functions, so that forces and stiffness stay
first and second derivatives of one energy.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_mesh import Mesh


class Prop(Protocol):
    """Something that bears on a body; its forces are the slope of an energy."""

    @property
    def elements(self) -> Ints:
        """Elements it bears on; one may come several times, once a face."""
        ...

    def forces(self, placed: Floats) -> tuple[Floats, float]:
        """Forces as residual (elements, 20, 3) and energy (N mm), nodes at ``placed``."""
        ...

    def stiffness(self, placed: Floats) -> Floats:
        """(elements, 60, 60)."""
        ...


@dataclass(frozen=True)
class Bearing:
    """Tested points on faces of elements."""

    elements: Ints
    """The element of every face."""
    rows: Ints
    """Degrees of freedom of the face within its element, (faces, 24)."""
    value: Floats
    """Shape functions of the tested points of a face, (points, 8)."""
    area: Floats
    """Unloaded area of the points with its outward or inward normal, (faces, points, 3)."""

    def points(self, placed: Floats) -> Floats:
        """Where the points are, (faces, points, 3), nodes at ``placed`` (faces, 20, 3)."""
        flat = np.take_along_axis(placed.reshape(len(placed), 60), self.rows, axis=1)
        made: Floats = np.einsum("pn,fnx->fpx", self.value, flat.reshape(len(placed), 8, 3))
        return made

    def on_nodes(self, force: Floats) -> Floats:
        """Forces at the points (faces, points, 3) as forces on nodes (faces, 20, 3)."""
        faces = len(force)
        made = np.zeros((faces, 60))
        spread = np.einsum("fpx,pn->fnx", force, self.value).reshape(faces, 24)
        np.put_along_axis(made, self.rows, spread, axis=1)
        return made.reshape(faces, 20, 3)

    def of_elements(self, block: Floats) -> Floats:
        """Stiffness at the points (faces, points, 3, 3) as that of elements (faces, 60, 60)."""
        faces = len(block)
        local = np.einsum("fpxy,pn,pm->fnxmy", block, self.value, self.value, optimize=True)
        made = np.zeros((faces, 60, 60))
        face = np.arange(faces)[:, None, None]
        made[face, self.rows[:, :, None], self.rows[:, None, :]] = local.reshape(faces, 24, 24)
        return made


def bearing_of(mesh: Mesh, faces: Ints, order: int) -> Bearing:
    """``order`` x ``order`` Gauss points on faces (faces, 8) of a mesh."""
    place, weight = np.polynomial.legendre.leggauss(order)
    local = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
    value, slope, _ = face_shapes(local)
    tangents = np.einsum("pan,fnx->fpax", slope, mesh.nodes[faces])
    area = np.cross(tangents[..., 0, :], tangents[..., 1, :])
    elements = np.array([_owner(mesh, face) for face in faces])
    nodes = np.array([_local(mesh.elements[e], f) for e, f in zip(elements, faces, strict=True)])
    rows = (3 * nodes[..., None] + np.arange(3)).reshape(len(faces), 24)
    return Bearing(elements, rows, value, area * np.outer(weight, weight).ravel()[:, None])


def _owner(mesh: Mesh, face: Ints) -> int:
    """The element that has a face."""
    return int(np.argmax(np.isin(mesh.elements, face).sum(axis=1)))


def _local(element: Ints, face: Ints) -> Ints:
    """Numbers in an element of the nodes of its face."""
    order = np.argsort(element)
    made: Ints = order[np.searchsorted(element, face, sorter=order)]
    return made


@dataclass(frozen=True)
class Springs:
    """Linear springs from nodes to where they stand at rest."""

    elements: Ints
    at_rest: Floats
    """Places of the nodes, (elements, 20, 3)."""
    matrix: Floats
    """(elements, 60, 60) in N/mm."""

    def forces(self, placed: Floats) -> tuple[Floats, float]:
        """Forces as residual and energy."""
        moved = (placed - self.at_rest).reshape(len(placed), 60)
        made = np.matmul(self.matrix, moved[..., None])[..., 0]
        return made.reshape(placed.shape), float(np.sum(made * moved) / 2)

    def stiffness(self, placed: Floats) -> Floats:
        """The same wherever the nodes are."""
        return self.matrix
