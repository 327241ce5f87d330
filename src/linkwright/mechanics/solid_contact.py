"""Contact of a body with its own image, the neighbour turned half round about x = 0, y = z.

    Mirror              the skin that may touch, the points at which it is tested, the penalty
    Touching, touch     forces, stiffness and energy of the contact at given places of the nodes

Every point P of the skin has the image Q = T P, (x, y, z) -> (-x, z, y), on the neighbour. Q is
projected on the skin itself: with n the outward normal at the nearest point X,

    g = (Q - X) . n >= 0,    pressure p = k max(-g, 0)

So the neighbour needs no unknowns. Body and image share the energy of the contact, and g is the
same for P and for its partner; so only points with y >= z are tested, at twice the weight, and
W = 1/2 sum 2 A k g^2/2. Forces and stiffness are first and second derivatives of W, with the
sliding of the nearest point: with A = T P - X, b_ab = X,ab . n and m_ab = X,a . X,b

    D_b = (m - g b)^-1 (dA . X,a + g dX,a . n)
    d2g = -(B_a D_a + D_a B_a) - b_ab D_a D_b + g m^ab (B_a + b_ac D_c)(B_b + b_bd D_d)

where B_a = dX,a . n. The penalty k is in MPa per mm; pressures act on the unloaded area.

Rows of the skin run along y, columns along z, so that rows x columns points into the body.

References: P. Wriggers, Computational Contact Mechanics, 2nd edition, 2006, chapters 4 and 9;
T. A. Laursen, Computational Contact and Impact Mechanics, 2002, chapter 5.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_mesh import Skin

_TURN = np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
_SEARCH_STEPS = 12
_CLOSE = 1e-9
_LONGEST = 0.6  # step of the search in faces


class Touching(NamedTuple):
    """The contact at a trial state."""

    dofs: Ints
    """Degrees of freedom that take part, rising."""
    force: Floats
    """On these, as residual."""
    stiffness: Floats
    energy: Floats
    pressure: Floats
    """At every tested point, MPa."""
    place: Floats
    """Nearest point of every tested point, in faces along rows and columns."""
    gap: Floats


class Mirror(NamedTuple):
    """What stays the same of the contact."""

    faces: Ints
    """(rows, columns, 8)."""
    owner: Ints
    """Nodes of the face of every tested point, (points, 8)."""
    shares: Floats
    """Shape functions of the tested points, (points, 8)."""
    area: Floats
    """Unloaded area of the tested points, counted for both of a pair, mm2."""
    penalty: float
    start: Floats
    """First guess of the nearest points."""

    @classmethod
    def of(cls, skin: Skin, nodes: Floats, penalty: float, order: int = 3) -> Mirror:
        """Test ``order`` x ``order`` points on every face of the skin."""
        place, weight = np.polynomial.legendre.leggauss(order)
        local = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
        weights = np.outer(weight, weight).ravel()
        value, slope, _ = face_shapes(local)
        faces = skin.faces
        flat = faces.reshape(-1, 8)
        tangents = np.einsum("pan,fnx->fpax", slope, nodes[flat])
        area = np.linalg.norm(np.cross(tangents[..., 0, :], tangents[..., 1, :]), axis=-1) * weights
        owner = np.repeat(flat, len(local), axis=0)
        shares = np.tile(value, (len(flat), 1))
        at = np.einsum("pn,pnx->px", shares, nodes[owner])
        tested = at[:, 1] >= at[:, 2]
        cell = np.stack(np.unravel_index(np.arange(len(flat)), faces.shape[:2]), axis=-1)
        own = (cell[:, None, :] + (1 + local) / 2).reshape(-1, 2)
        image = at[tested] @ _TURN
        far = np.square(image[:, None] - at[None]).sum(axis=-1)
        start = own[np.argmin(far, axis=1)]
        return cls(faces, owner[tested], shares[tested], 2 * area.ravel()[tested], penalty, start)


def touch(mirror: Mirror, placed: Floats, start: Floats, reach: float) -> Touching:
    """The contact with nodes at ``placed``; ``start`` is the last ``place``.

    Points farther away than ``reach`` (mm) are not projected.
    """
    image = np.einsum("pn,pnx->px", mirror.shares, placed[mirror.owner]) @ _TURN
    place = start.copy()
    guess = _surface(mirror, placed, place)[1]
    near = np.flatnonzero(np.square(image - guess).sum(axis=1) < reach**2)
    place[near] = _projected(mirror, placed, image[near], start[near])
    gap = np.full(len(image), np.inf)
    pressure = np.zeros(len(image))
    local = _surface(mirror, placed, place[near])
    normal = _normal(local[2])
    gap[near] = np.einsum("px,px->p", image[near] - local[1], normal)
    pressed = near[gap[near] < 0]
    pressure[pressed] = -mirror.penalty * gap[pressed]
    energy = mirror.penalty * mirror.area[pressed] * np.square(gap[pressed]) / 4
    dofs, force, stiffness = _assembled(mirror, placed, pressed, place, gap)
    return Touching(dofs, force, stiffness, energy.sum(), pressure, place, gap)


_Local = tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats]
"""Nodes, place, two tangents, three second derivatives, and their shape functions."""


def _surface(mirror: Mirror, placed: Floats, place: Floats) -> _Local:
    rows, columns = mirror.faces.shape[:2]
    cell = np.clip(np.floor(place).astype(np.intp), 0, [rows - 1, columns - 1])
    value, slope, bend = face_shapes(2 * (place - cell) - 1)
    slope, bend = 2 * slope, 4 * bend  # by faces, not by half faces
    nodes = mirror.faces[cell[:, 0], cell[:, 1]]
    at = placed[nodes]
    point = np.einsum("pn,pnx->px", value, at)
    return nodes, point, slope @ at, bend @ at, value, slope, bend


def _normal(tangents: Floats) -> Floats:
    across = -np.cross(tangents[:, 0], tangents[:, 1])
    made: Floats = across / np.linalg.norm(across, axis=1, keepdims=True)
    return made


def _projected(mirror: Mirror, placed: Floats, image: Floats, start: Floats) -> Floats:
    """Nearest points by Newton's method; where that would climb, by Gauss's."""
    place = start.copy()
    most = np.array(mirror.faces.shape[:2], dtype=float)
    for step in range(_SEARCH_STEPS):
        _, point, tangents, bends, *_ = _surface(mirror, placed, place)
        away = image - point
        slope = np.einsum("pax,px->pa", tangents, away)
        metric = np.einsum("pax,pbx->pab", tangents, tangents)
        curved = np.einsum("pcx,px->pc", bends, away)
        full = metric - curved[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
        bad = (np.linalg.det(full) < 0.2 * np.linalg.det(metric)) | (full[:, 0, 0] <= 0)
        full[bad] = metric[bad]
        move = np.linalg.solve(full, slope[..., None])[..., 0]
        size = np.abs(move).max(axis=1, keepdims=True)
        move *= np.minimum(1.0, _LONGEST / np.maximum(size, 1e-300)) * (1.0 if step < 8 else 0.5)
        moved = np.clip(place + move, 0.0, most)
        change = np.abs(moved - place).max(initial=0.0)
        place = moved
        if change < _CLOSE:
            break
    return place


def _assembled(
    mirror: Mirror, placed: Floats, pressed: Ints, place: Floats, gap: Floats
) -> tuple[Ints, Floats, Floats]:
    """Forces and stiffness on the degrees of freedom of the pressed points."""
    nodes, first, second = _derivatives(mirror, placed, pressed, place, gap)
    weight = mirror.penalty * mirror.area[pressed] / 2
    depth = gap[pressed]
    force = (weight * depth)[:, None] * first
    blocks = weight[:, None, None] * (
        first[:, :, None] * first[:, None, :] + depth[:, None, None] * second
    )
    every = (3 * nodes[..., None] + np.arange(3)).reshape(len(pressed), 48)
    dofs, index = np.unique(every, return_inverse=True)
    index = index.reshape(every.shape)
    count = len(dofs)
    flat = (index[:, :, None] * count + index[:, None, :]).ravel()
    total = _counted(index.ravel(), force.ravel(), count)
    matrix = _counted(flat, blocks.ravel(), count**2)
    return dofs, total, matrix.reshape(count, count)


def _counted(index: Ints, values: Floats, size: int) -> Floats:
    return np.bincount(index, weights=values, minlength=size).astype(float, copy=False)


def _derivatives(
    mirror: Mirror, placed: Floats, pressed: Ints, place: Floats, gap: Floats
) -> tuple[Ints, Floats, Floats]:
    """Nodes (points, 16) and first and second derivatives of the gap by their places."""
    nodes, _, tangents, bends, value, slope, _ = _surface(mirror, placed, place[pressed])
    normal = _normal(tangents)
    depth = gap[pressed, None, None]
    turned = normal @ _TURN
    shares = mirror.shares[pressed]
    first = _joined(shares[..., None] * turned[:, None], -value[..., None] * normal[:, None])
    metric = np.einsum("pax,pbx->pab", tangents, tangents)
    bent = np.einsum("pcx,px->pc", bends, normal)[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
    none = np.zeros((len(pressed), 8, 3))
    tilt = np.stack([_joined(none, slope[:, a, :, None] * normal[:, None]) for a in (0, 1)], axis=1)
    along = tangents @ _TURN
    slide = np.stack(
        [
            _joined(shares[..., None] * along[:, a, None], -value[..., None] * tangents[:, a, None])
            for a in (0, 1)
        ],
        axis=1,
    )
    travel = np.linalg.solve(metric - depth * bent, slide + depth * tilt)
    lean = tilt + bent @ travel
    cross = np.einsum("pai,paj->pij", tilt, travel, optimize=True)
    second = -(cross + cross.transpose(0, 2, 1))
    second -= np.einsum("pai,paj->pij", travel, bent @ travel, optimize=True)
    second += depth * np.einsum("pai,paj->pij", lean, np.linalg.solve(metric, lean), optimize=True)
    return np.concatenate([mirror.owner[pressed], nodes], axis=1), first, second


def _joined(own: Floats, other: Floats) -> Floats:
    made: Floats = np.concatenate([own, other], axis=1).reshape(len(own), 48)
    return made
