"""A stud between the legs of a link, as an elastic footing of their inner skin.

    Stud              its sizes
    Footing, footing  stiffness and squeeze on the elements of the leg
    footing_forces    forces and energy at some displacements
    stud_force        what the stud carries

The seat of a stud fits the wire, so every element of its end is taken as a column of its own from
leg to leg: pressure p = E (s - u)/(L/2) with u the inward move of the skin (negative where it comes
closer), s half the squeeze with which the stud was set, L its length, acting across the link on the
projected area of the seat. No shear is carried and nothing tells the stud from its legs
along the chain. A stud only pushes: a pull under load brings the legs together, so that the
pressure grows; a stud force below nought says that the stud would be loose.

Reference: E. Winkler's foundation (1867), one elastic column beside the other.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_mesh import Mesh, skin_of
from linkwright.quantities import ArgumentError

_ORDER = 8  # points along each edge of a face, so that the round edge of the seat is met well
QUARTERS = 4
"""An octant holds a quarter of the seat on one leg."""


class Stud(NamedTuple):
    """A round stud across the middle of the link."""

    diameter_mm: float
    elastic_modulus_GPa: float = 205.0
    squeeze_mm: float = 0.0
    """By how much the stud was longer than the free width between the legs; negative: play."""


class Footing(NamedTuple):
    """What a stud adds to the elements of the leg."""

    elements: Ints
    stiffness: Floats
    """(elements, 60, 60) in N/mm."""
    push: Floats
    """Force of the squeeze on the unmoved leg, (elements, 60) in N."""
    at_rest: float
    """Energy in the unmoved footing, N mm, one number."""


def footing(mesh: Mesh, stud: Stud, inner_width_mm: float) -> Footing:
    """The footing on the inner skin about station 0 of an octant.

    Raises `ArgumentError` for a stud thicker than the leg is wide, or a soft one.
    """
    if not 0 < stud.diameter_mm <= float(np.ptp(mesh.nodes[mesh.layer(0), 1])):
        raise ArgumentError(
            "stud_diameter_mm", stud.diameter_mm, "mm", "above 0, at most the wire diameter"
        )
    if not stud.elastic_modulus_GPa > 0:
        raise ArgumentError("stud_modulus_GPa", stud.elastic_modulus_GPa, "GPa", "above 0")
    rim = mesh.section.rim
    skin = skin_of(mesh, rim[: (len(rim) - 1) // 2 + 1], 0, mesh.slices)
    faces = skin.faces.reshape(-1, 8)
    place, weight = np.polynomial.legendre.leggauss(_ORDER)
    local = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
    value, slope, _ = face_shapes(local)
    at = np.einsum("pn,fnx->fpx", value, mesh.nodes[faces])
    tangents = np.einsum("pan,fnx->fpax", slope, mesh.nodes[faces])
    across = np.abs(np.cross(tangents[..., 0, :], tangents[..., 1, :])[..., 1])
    middle = mesh.nodes[mesh.layer(0)[0], 0]
    seat = np.hypot(at[..., 0] - middle, at[..., 2]) <= stud.diameter_mm / 2
    stiff = 1e3 * stud.elastic_modulus_GPa / (inner_width_mm / 2)
    area = stiff * seat * across * np.outer(weight, weight).ravel()
    borne = np.flatnonzero(area.sum(axis=1) > 0)
    half = stud.squeeze_mm / 2
    block = np.einsum("fp,pn,pm->fnm", area[borne], value, value)
    elements = np.array([owner_of(mesh, face) for face in faces[borne]])
    stiffness = np.zeros((len(borne), 60, 60))
    push = np.zeros((len(borne), 60))
    for k, (element, face) in enumerate(zip(elements, faces[borne], strict=True)):
        rows = 3 * local_of(mesh, element, face) + 1
        stiffness[k][np.ix_(rows, rows)] = block[k]
        push[k][rows] = half * block[k].sum(axis=1)
    return Footing(elements, stiffness, push, float(half**2 * area[borne].sum() / 2))


def owner_of(mesh: Mesh, face: Ints) -> int:
    """The element that has a face."""
    return int(np.argmax(np.isin(mesh.elements, face).sum(axis=1)))


def local_of(mesh: Mesh, element: int, face: Ints) -> Ints:
    """Numbers in an element of the nodes of its face."""
    own = mesh.elements[element]
    order = np.argsort(own)
    made: Ints = order[np.searchsorted(own, face, sorter=order)]
    return made


def footing_forces(made: Footing, moved: Floats) -> tuple[Floats, float]:
    """Forces (elements, 20, 3) as residual and energy (N mm); ``moved`` (elements, 20, 3)."""
    flat = moved.reshape(len(moved), 60)
    pulled = np.matmul(made.stiffness, flat[..., None])[..., 0]
    energy = float(np.sum(flat * (pulled / 2 - made.push)) + made.at_rest)
    return (pulled - made.push).reshape(moved.shape), energy


def stud_force(made: Footing, moved: Floats) -> float:
    """Force of the whole stud in N, pressing positive."""
    forces, _ = footing_forces(made, moved)
    return float(-QUARTERS * forces[..., 1].sum())
