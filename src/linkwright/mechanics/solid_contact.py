"""Contact of a body with its own image, the neighbour turned half round about x = 0, y = z.

    Mirror              the skin that may touch, the points at which it is tested, the penalty
    Aim, aimed          the rays of a step, from a converged state
    Touching, touch     forces, stiffness and energy of the contact at given places of the nodes

Every point P of the skin has the image Q = T P, (x, y, z) -> (-x, z, y), on the neighbour. From Q
a ray of fixed direction e meets the skin at X, and with the outward normal n there

    Q = X + g e,    g >= 0,    pressure p = k max(-g, 0)

The direction is the normal at the nearest point when the step begins. So the gap is continuous
also where a ray passes from face to face, which a nearest point is not; and since work is done
along n alone, the force is free of friction whatever the direction.

The neighbour needs no unknowns. Body and image share the energy of the contact, and g is the
same for P and for its partner; so only points with y >= z are tested, at twice the weight, and
W = 1/2 sum 2 A k g^2/2. Forces and stiffness are first and second derivatives of W, with the
sliding of X: with w = n/(n . e), B_a = dX,a . w and b_ab = X,ab . w

    (D_1, D_2, dg) = [X,1 X,2 e]^-1 (dQ - dX),    dg = (dQ - dX) . w
    d2g = -(B_a D_a + D_a B_a) - b_ab D_a D_b

The penalty k is in MPa per mm; pressures act on the unloaded area.

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
    """Where the ray of every tested point meets the skin, in faces along rows and columns."""
    gap: Floats


class Aim(NamedTuple):
    """The rays of a step."""

    place: Floats
    """Nearest point of every tested point, in faces along rows and columns."""
    direction: Floats
    """Unit vectors, (points, 3)."""
    near: Ints
    """Points that are followed; the others are too far away to touch in a step."""


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


def aimed(mirror: Mirror, placed: Floats, start: Floats, reach: float) -> Aim:
    """Rays along the normals of the nearest points; ``start`` are first guesses of these.

    Points farther away than ``reach`` (mm) are not followed.
    """
    image = _images(mirror, placed)
    place = start.copy()
    guess = _surface(mirror, placed, place)[1]
    near = np.flatnonzero(np.square(image - guess).sum(axis=1) < reach**2)
    place[near] = _projected(mirror, placed, image[near], start[near])
    return Aim(place, _normal(_surface(mirror, placed, place)[2]), near)


def touch(mirror: Mirror, placed: Floats, aim: Aim) -> Touching:
    """The contact with nodes at ``placed``, along the rays of ``aim``."""
    near = aim.near
    gap = np.full(len(aim.place), np.inf)
    place = aim.place.copy()
    place[near], gap[near] = _met(mirror, placed, aim)
    pressed = near[gap[near] < 0]
    pressure = np.zeros(len(gap))
    pressure[pressed] = -mirror.penalty * gap[pressed]
    energy = mirror.penalty * mirror.area[pressed] * np.square(gap[pressed]) / 4
    dofs, force, stiffness = _assembled(mirror, placed, aim, pressed, place, gap)
    return Touching(dofs, force, stiffness, energy.sum(), pressure, place, gap)


def met_dofs(mirror: Mirror, place: Floats, points: Ints) -> Ints:
    """Degrees of freedom of some tested points and of the faces they meet, rising."""
    nodes = np.unique(
        np.concatenate([mirror.owner[points].ravel(), _cells(mirror, place[points])[1].ravel()])
    )
    return (3 * nodes[:, None] + np.arange(3)).ravel()


def _images(mirror: Mirror, placed: Floats) -> Floats:
    made: Floats = np.einsum("pn,pnx->px", mirror.shares, placed[mirror.owner]) @ _TURN
    return made


def _met(mirror: Mirror, placed: Floats, aim: Aim) -> tuple[Floats, Floats]:
    """Where the rays meet the skin, and the gaps, by Newton's method."""
    image, place = _images(mirror, placed)[aim.near], aim.place[aim.near]
    direction = aim.direction[aim.near]
    most = np.array(mirror.faces.shape[:2], dtype=float)
    for step in range(_SEARCH_STEPS):
        _, point, tangents, *_ = _surface(mirror, placed, place)
        frame = np.concatenate([tangents, direction[:, None]], axis=1).transpose(0, 2, 1)
        found = np.linalg.solve(frame, (image - point)[..., None])[..., 0]
        gap, move = found[:, 2], found[:, :2]
        size = np.abs(move).max(axis=1, keepdims=True)
        move *= np.minimum(1.0, _LONGEST / np.maximum(size, 1e-300)) * (1.0 if step < 8 else 0.5)
        moved = np.clip(place + move, 0.0, most)
        change = np.abs(moved - place).max(initial=0.0)
        place = moved
        if change < _CLOSE:
            break
    return place, gap


_Local = tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats]
"""Nodes, place, two tangents, three second derivatives, and their shape functions."""


def _surface(mirror: Mirror, placed: Floats, place: Floats) -> _Local:
    cell, nodes = _cells(mirror, place)
    value, slope, bend = face_shapes(2 * (place - cell) - 1)
    slope, bend = 2 * slope, 4 * bend  # by faces, not by half faces
    at = placed[nodes]
    point = np.einsum("pn,pnx->px", value, at)
    return nodes, point, slope @ at, bend @ at, value, slope, bend


def _cells(mirror: Mirror, place: Floats) -> tuple[Ints, Ints]:
    """Row and column of the faces at places, and their nodes."""
    rows, columns = mirror.faces.shape[:2]
    cell = np.clip(np.floor(place).astype(np.intp), 0, [rows - 1, columns - 1])
    return cell, mirror.faces[cell[:, 0], cell[:, 1]]


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
    mirror: Mirror, placed: Floats, aim: Aim, pressed: Ints, place: Floats, gap: Floats
) -> tuple[Ints, Floats, Floats]:
    """Forces and stiffness on the degrees of freedom of the pressed points."""
    nodes, first, second = _derivatives(
        mirror, placed, pressed, place[pressed], aim.direction[pressed]
    )
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
    mirror: Mirror, placed: Floats, pressed: Ints, place: Floats, direction: Floats
) -> tuple[Ints, Floats, Floats]:
    """Nodes (points, 16) and first and second derivatives of the gap by their places."""
    nodes, _, tangents, bends, value, slope, _ = _surface(mirror, placed, place)
    normal = _normal(tangents)
    normal /= np.einsum("px,px->p", normal, direction)[:, None]
    shares = mirror.shares[pressed]
    frame = np.concatenate([tangents, direction[:, None]], axis=1).transpose(0, 2, 1)
    inverse = np.linalg.inv(frame)[:, :2]
    turned = inverse @ _TURN
    travel = np.stack(
        [
            _joined(shares[..., None] * turned[:, a, None], -value[..., None] * inverse[:, a, None])
            for a in (0, 1)
        ],
        axis=1,
    )
    first = _joined(
        shares[..., None] * (normal @ _TURN)[:, None], -value[..., None] * normal[:, None]
    )
    none = np.zeros((len(pressed), 8, 3))
    tilt = np.stack([_joined(none, slope[:, a, :, None] * normal[:, None]) for a in (0, 1)], axis=1)
    bent = np.einsum("pcx,px->pc", bends, normal)[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
    cross = np.einsum("pai,paj->pij", tilt + bent @ travel / 2, travel, optimize=True)
    second = -(cross + cross.transpose(0, 2, 1))
    return np.concatenate([mirror.owner[pressed], nodes], axis=1), first, second


def _joined(own: Floats, other: Floats) -> Floats:
    made: Floats = np.concatenate([own, other], axis=1).reshape(len(own), 48)
    return made
