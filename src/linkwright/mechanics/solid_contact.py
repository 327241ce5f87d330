"""Contact of bodies with images of themselves or of each other.

    Mirror, Side        which points are tested against which skin, the penalty, the friction
    Aim, aimed          the rays of a step, from a converged state
    Touching, touch     forces, stiffness and energy of the contact at given places of the nodes
    HALF_TURN, ACROSS   the neighbour: (x, y, z) -> (-x, z, y), and its other half: y -> -y

Every tested point P has an image Q = P M on the neighbour. From Q a ray of fixed direction e
meets the skin at X, and with the outward normal n there

    Q = X + g e,    g >= 0,    pressure p = k max(-g, 0)

The direction is the normal at the nearest point when the step begins. So the gap is continuous
also where a ray passes from face to face, which a nearest point is not; and since work is done
along n alone, the force is free of friction whatever the direction. Friction is in
`solid_friction`.

A body in contact with its own image, turned half round about x = 0, y = z, needs no unknowns of
its neighbour. Body and image share the energy of the contact, and g is the same for P and for
its partner; so only points with |y| >= z are tested, at twice the weight, and
W = 1/2 sum 2 A k g^2/2. Forces and stiffness are first and second derivatives of W, with the
sliding of X: with w = n/(n . e), B_a = dX,a . w and b_ab = X,ab . w

    (D_1, D_2, dg) = [X,1 X,2 e]^-1 (dQ - dX),    dg = (dQ - dX) . w
    d2g = -(B_a D_a + D_a B_a) - b_ab D_a D_b

The penalty k is in MPa per mm; pressures act on the unloaded area.

References: P. Wriggers, Computational Contact Mechanics, 2nd edition, 2006, chapters 4 and 9;
T. A. Laursen, Computational Contact and Impact Mechanics, 2002, chapter 5.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_friction import Grip, Pressed, Rubbing, Term, gripped, rubbed
from linkwright.mechanics.solid_mesh import Skin
from linkwright.mechanics.solid_skin import Grids, grids_of, met, nearest, surface

HALF_TURN = np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
ACROSS = np.diag([1.0, -1.0, 1.0])


class Touching(NamedTuple):
    """The contact at a trial state."""

    dofs: Ints
    """Degrees of freedom that take part, rising."""
    force: Floats
    """On these, as residual."""
    stiffness: Floats
    """Symmetric without friction."""
    energy: Floats
    pressure: Floats
    """At every tested point, MPa."""
    place: Floats
    """Where the ray of every tested point meets the skin, in faces along rows and columns."""
    gap: Floats
    rubbing: Rubbing | None
    """Friction of the points under pressure."""


class Aim(NamedTuple):
    """The rays of a step."""

    place: Floats
    """Nearest point of every tested point, in faces along rows and columns."""
    direction: Floats
    """Unit vectors, (points, 3)."""
    near: Ints
    """Points that are followed; the others are too far away to touch in a step."""
    turn: Floats
    """What makes images of points, (points, 3, 3)."""
    grip: Grip | None
    """What friction remembers."""


class Side(NamedTuple):
    """Points of one skin against another."""

    tested: Skin
    met: Skin
    turn: Floats
    """Makes images of points: Q = P turn."""
    folded: bool = False
    """Points with y below zero are first reflected at y = 0, step by step."""


class Mirror(NamedTuple):
    """What stays the same of the contact."""

    grids: Grids
    owner: Ints
    """Nodes of the face of every tested point, (points, 8)."""
    shares: Floats
    """Shape functions of the tested points, (points, 8)."""
    area: Floats
    """Unloaded area of the tested points, counted for both of a pair, mm2."""
    turn: Floats
    """(points, 3, 3)."""
    folded: Ints
    """Points whose image depends on the sign of y."""
    penalty: float
    friction: float
    """Coefficient after Coulomb."""
    start: Floats
    """First guess of the nearest points."""

    @classmethod
    def of(
        cls, sides: Sequence[Side], nodes: Floats, penalty: float, friction: float = 0.0,
        order: int = 3,
    ) -> Mirror:  # fmt: skip
        """Test ``order`` x ``order`` points on every face of the sides' skins with |y| >= z."""
        parts = [_side(side, nodes, order) for side in sides]
        owner, shares, area, start = (np.concatenate([part[k] for part in parts]) for k in range(4))
        counts = [len(part[0]) for part in parts]
        number = np.repeat(np.arange(len(sides)), counts)
        turn = np.repeat(np.array([side.turn for side in sides]), counts, axis=0)
        folded = np.flatnonzero(np.repeat([side.folded for side in sides], counts))
        grids = grids_of([side.met for side in sides], number)
        return cls(grids, owner, shares, area, turn, folded, penalty, friction, start)

    def images(self, placed: Floats, points: Ints, turn: Floats) -> Floats:
        """Images of some points; ``turn`` is that of all."""
        at = np.matmul(self.shares[points][:, None], placed[self.owner[points]])
        made: Floats = np.matmul(at, turn[points])[:, 0]
        return made


def _side(side: Side, nodes: Floats, order: int) -> tuple[Ints, Floats, Floats, Floats]:
    """Owners, shares, areas and first guesses of the points of a side."""
    place, weight = np.polynomial.legendre.leggauss(order)
    local = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
    weights = np.outer(weight, weight).ravel()
    value, slope, _ = face_shapes(local)
    flat = side.tested.faces.reshape(-1, 8)
    tangents = np.einsum("pan,fnx->fpax", slope, nodes[flat])
    area = np.linalg.norm(np.cross(tangents[..., 0, :], tangents[..., 1, :]), axis=-1) * weights
    owner = np.repeat(flat, len(local), axis=0)
    shares = np.tile(value, (len(flat), 1))
    at = np.einsum("pn,pnx->px", shares, nodes[owner])
    tested = np.abs(at[:, 1]) >= at[:, 2]
    image = at[tested]
    if side.folded:
        image = np.abs(image * [0.0, 1.0, 0.0]) + image * [1.0, 0.0, 1.0]
    image = image @ side.turn
    faces = side.met.faces
    cell = np.stack(np.unravel_index(np.arange(faces.shape[0] * faces.shape[1]), faces.shape[:2]))
    own = (cell.T[:, None, :] + (1 + local) / 2).reshape(-1, 2)
    skin = np.einsum("pn,fnx->fpx", value, nodes[faces.reshape(-1, 8)]).reshape(-1, 3)
    far = np.square(image[:, None] - skin[None]).sum(axis=-1)
    return owner[tested], shares[tested], 2 * area.ravel()[tested], own[np.argmin(far, axis=1)]


def aimed(
    mirror: Mirror, placed: Floats, start: Floats, reach: float, rubbing: Rubbing | None = None
) -> Aim:
    """Rays along the normals of the nearest points; ``start`` are first guesses of these.

    Points farther away than ``reach`` (mm) are not followed. ``rubbing`` is the friction so far.
    """
    turn = _turned(mirror, placed)
    every = np.arange(len(start))
    image = mirror.images(placed, every, turn)
    place = start.copy()
    guess = surface(mirror.grids, placed, place).point
    near = np.flatnonzero(np.square(image - guess).sum(axis=1) < reach**2)
    place[near] = nearest(mirror.grids.of(near), placed, image[near], start[near])
    at = surface(mirror.grids, placed, place)
    grip = None
    if mirror.friction > 0:
        grip = gripped(at, image, rubbing)
    return Aim(place, at.normal, near, turn, grip)


def _turned(mirror: Mirror, placed: Floats) -> Floats:
    if not len(mirror.folded):
        return mirror.turn
    turn = mirror.turn.copy()
    points = mirror.folded
    y = np.einsum("pn,pn->p", mirror.shares[points], placed[mirror.owner[points], 1])
    beyond = points[y < 0]
    turn[beyond] = ACROSS @ turn[beyond]
    return turn


def touch(mirror: Mirror, placed: Floats, aim: Aim) -> Touching:
    """The contact with nodes at ``placed``, along the rays of ``aim``."""
    near = aim.near
    gap = np.full(len(aim.place), np.inf)
    place = aim.place.copy()
    image = mirror.images(placed, near, aim.turn)
    place[near], gap[near] = met(
        mirror.grids.of(near), placed, image, aim.direction[near], aim.place[near]
    )
    pressed = near[gap[near] < 0]
    pressure = np.zeros(len(gap))
    pressure[pressed] = -mirror.penalty * gap[pressed]
    energy = (mirror.penalty * mirror.area[pressed] * np.square(gap[pressed]) / 4).sum()
    nodes, first, second = _derivatives(mirror, placed, aim, pressed, place[pressed])
    weight, depth = mirror.penalty * mirror.area[pressed] / 2, gap[pressed]
    blocks = weight[:, None, None] * (
        first[:, :, None] * first[:, None, :] + depth[:, None, None] * second
    )
    terms = [(nodes, (weight * depth)[:, None] * first, nodes, blocks)]
    rubbing = None
    if aim.grip is not None:
        under = Pressed(
            mirror.owner[pressed], mirror.shares[pressed], aim.turn[pressed],
            mirror.images(placed, pressed, aim.turn), pressure[pressed],
            mirror.area[pressed] / 2, nodes, first,
        )  # fmt: skip
        rubbing, more = rubbed(aim.grip, pressed, under, placed, mirror.friction, mirror.penalty)
        energy += rubbing.held.sum()
        terms += more
    dofs, force, stiffness = _assembled(terms)
    return Touching(dofs, force, stiffness, energy, pressure, place, gap, rubbing)


def met_dofs(mirror: Mirror, aim: Aim, place: Floats, points: Ints) -> Ints:
    """Degrees of freedom of some tested points and of the faces they meet, rising."""
    grids = mirror.grids.of(points)
    met_now, met_first = (grids.cells(where[points])[1].ravel() for where in (place, aim.place))
    nodes = np.unique(np.concatenate([mirror.owner[points].ravel(), met_now, met_first]))
    made: Ints = (3 * nodes[:, None] + np.arange(3)).ravel()
    return made


def _assembled(terms: Sequence[Term]) -> tuple[Ints, Floats, Floats]:
    """Forces and stiffness on the degrees of freedom of the pressed points."""
    nodes = np.unique(np.concatenate([term[0].ravel() for term in terms]))
    dofs = (3 * nodes[:, None] + np.arange(3)).ravel()
    count = len(dofs)
    total, matrix = np.zeros(count), np.zeros(count**2)
    for rows, force, columns, blocks in terms:
        down, along = (
            (3 * np.searchsorted(nodes, part)[..., None] + np.arange(3)).reshape(
                len(part), 3 * part.shape[1]
            )
            for part, width in ((rows, force.shape[1]), (columns, blocks.shape[2]))
        )
        total += np.bincount(down.ravel(), weights=force.ravel(), minlength=count)
        flat = (down[:, :, None] * count + along[:, None, :]).ravel()
        matrix += np.bincount(flat, weights=blocks.ravel(), minlength=count**2)
    return dofs, total, matrix.reshape(count, count)


def _derivatives(
    mirror: Mirror, placed: Floats, aim: Aim, pressed: Ints, place: Floats
) -> tuple[Ints, Floats, Floats]:
    """Nodes (points, 16) and first and second derivatives of the gap by their places."""
    direction, turn = aim.direction[pressed], aim.turn[pressed]
    at = surface(mirror.grids.of(pressed), placed, place)
    normal = at.normal
    normal /= np.einsum("px,px->p", normal, direction)[:, None]
    shares, value = mirror.shares[pressed], at.value
    frame = np.concatenate([at.tangents, direction[:, None]], axis=1).transpose(0, 2, 1)
    inverse = np.linalg.inv(frame)[:, :2]
    turned = np.matmul(inverse, turn.transpose(0, 2, 1))
    travel = np.stack(
        [
            _joined(shares[..., None] * turned[:, a, None], -value[..., None] * inverse[:, a, None])
            for a in (0, 1)
        ],
        axis=1,
    )
    back = np.matmul(turn, normal[..., None])[..., 0]
    first = _joined(shares[..., None] * back[:, None], -value[..., None] * normal[:, None])
    none = np.zeros((len(pressed), 8, 3))
    tilt = np.stack(
        [_joined(none, at.slope[:, a, :, None] * normal[:, None]) for a in (0, 1)], axis=1
    )
    bent = np.einsum("pcx,px->pc", at.bends, normal)[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
    cross = np.einsum("pai,paj->pij", tilt + bent @ travel / 2, travel, optimize=True)
    second = -(cross + cross.transpose(0, 2, 1))
    return np.concatenate([mirror.owner[pressed], at.nodes], axis=1), first, second


def _joined(own: Floats, other: Floats) -> Floats:
    made: Floats = np.concatenate([own, other], axis=1).reshape(len(own), 48)
    return made
