"""Marches a quarter of an oval link through loading and unloading against its neighbour.

    march    one step to a given motion of the neighbour or a given force, for all members

By double symmetry a quarter is enough: node 0 is the middle of the leg (no rotation, no
motion along the chain), the last node is the crown's apex (no rotation, no motion across).
Between the nodes stand two-node shear-flexible beams with one station in the middle, at
finite displacement and rotation (E. Reissner, On one-dimensional finite-strain beam theory:
the plane problem, J. Appl. Math. Phys. 23, 1972). The neighbour's wire is a circle that
moves along the chain; it bears on the nodes of the crown as `link_contact` says. The
neighbour is an equal link, so the extension of the pitch is the motion of its wire's centre
plus that of this link's own apex.

All members are solved together: their banded matrices are one long banded matrix without
coupling. A member that has converged is frozen until the others have, so that it behaves
exactly as if it were alone; one that does not converge is marked and left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import as_strided
from scipy.linalg.lapack import dgbsv

from linkwright.mechanics.link_contact import law, loaded, rebased
from linkwright.mechanics.link_state import (
    LEG,
    Bools,
    Link,
    State,
    placed,
    some_of,
    some_of_link,
)
from linkwright.mechanics.link_touch import Touch, touch
from linkwright.mechanics.section import Floats, Response, respond, settled

_TOLERANCE = 3e-6  # of the residual forces, over K d^2
_ITERATIONS = 25
_LARGEST_MOVE = 0.08
_PATIENCE = 2
_SHORTER = 0.3
_BAND = 5
_PINNED = ((0, 1), (0, 2), (-1, 0), (-1, 2))


class _Beams(NamedTuple):
    response: Response
    strain: Floats
    bend: Floats
    direction: Floats
    inner: Floats
    """Internal forces of the beams, (members, beams, 6)."""
    stiffness: Floats


class _Trial:
    """Newton's method with a watchdog.

    A section that turns from flow to elastic unloading is far stiffer than the tangent knew:
    the error grows for one step and the next one, with the stiffness met there, lands. So
    the error may grow a few times; if it then has not fallen below its least, the search
    goes back to that place and on with a shortened step.
    """

    def __init__(self, moved: Floats, pin: Floats) -> None:
        self.moved, self.pin = moved, pin
        self.base, self.base_pin = moved, pin
        self.step, self.pin_step = np.zeros_like(moved), np.zeros_like(pin)
        self.error = np.full_like(pin, np.inf)
        self.worse, self.tries = np.zeros_like(pin), np.zeros_like(pin)

    def go(self, error: Floats, step: Floats, pin_step: Floats, done: Bools) -> None:
        """Go on from the present place, where ``step`` is the full Newton step."""
        largest = np.maximum(np.abs(step).max(axis=(1, 2)), np.abs(pin_step))
        scale = np.minimum(1.0, _LARGEST_MOVE / np.maximum(largest, 1e-300))
        step, pin_step = step * scale[:, None, None], pin_step * scale
        better = error < self.error
        take = better[:, None, None]
        self.base = np.where(take, self.moved, self.base)
        self.step = np.where(take, step, self.step)
        self.base_pin = np.where(better, self.pin, self.base_pin)
        self.pin_step = np.where(better, pin_step, self.pin_step)
        self.error = np.where(better, error, self.error)
        back = self.worse >= _PATIENCE
        self.worse = np.where(better | back, 0.0, self.worse + 1)
        self.tries = np.where(better, 0.0, self.tries + back)
        back &= ~better
        share = np.where(back, _SHORTER**self.tries, 0.0)
        moved = np.where(
            back[:, None, None], self.base + share[:, None, None] * self.step, self.moved + step
        )
        pin = np.where(back, self.base_pin + share * self.pin_step, self.pin + pin_step)
        self.moved = np.where(done[:, None, None], self.moved, moved)
        self.pin = np.where(done, self.pin, pin)


def march(
    link: Link, state: State, *, to: Floats, by_force: bool, guess: float = 1.0, halvings: int = 3
) -> State:
    """One step of all members to the extension or force ``to``, shape (members,).

    ``guess`` times the last step is the first guess of this one. Members that do not converge
    try again by themselves in two halves, at most ``halvings`` times; one that still does
    not gets ``well = False`` and stays where it was.
    """
    fresh = _attempt(link, state, to, by_force, guess)
    lost = np.flatnonzero(state.well & ~fresh.well)
    if not len(lost) or not halvings:
        return fresh
    part_link, part = some_of_link(link, lost), some_of(state, lost)
    origin = part.force if by_force else part.pin
    for share in (0.5, 1.0):
        target = origin + share * (to[lost] - origin)
        part = march(
            part_link, part, to=target, by_force=by_force, guess=0.0, halvings=halvings - 1
        )
    return placed(fresh, part, lost)


def _attempt(link: Link, state: State, to: Floats, by_force: bool, guess: float) -> State:
    """One step by Newton's method."""
    elastic, prestrain, exponent = (
        values[:, 0] for values in (link.bar.elastic, link.bar.prestrain, link.bar.exponent)
    )
    present = law(state.bearing, elastic, prestrain, exponent)
    state = state._replace(bearing=rebased(state.bearing, present))
    trial = _Trial(state.moved + guess * state.last_move, state.pin + guess * state.last_pin)
    done = ~state.well
    for _ in range(_ITERATIONS):
        beams = _beams(link, state, trial.moved)
        bearing = touch(link, state, present, trial.moved, trial.pin, beams.direction)
        beams.inner[:, LEG:] += bearing.inner
        beams.stiffness[:, LEG:] += bearing.stiffness
        residual = _assembled(beams.inner, trial.moved.shape)
        force = -2 * residual[:, 0, 1]
        missing = to - (force if by_force else trial.pin)
        for node, freedom in _PINNED:
            residual[:, node, freedom] = 0.0
        error = np.sqrt(np.square(residual).sum(axis=(1, 2)) + np.square(missing))
        finite = np.isfinite(error) & np.isfinite(beams.stiffness).all(axis=(1, 2, 3))
        done |= error < _TOLERANCE
        if done.all() or not (finite & ~done).any():
            break
        step, pin_step = _solved(beams, bearing, residual, missing, by_force, finite & ~done)
        trial.go(np.where(finite, error, np.inf), step, pin_step, done)
    moved, pin = trial.moved, trial.pin
    return _accepted(link, state, done & state.well, moved, pin, force, beams, bearing)


def _beams(link: Link, state: State, moved: Floats) -> _Beams:
    """Strains, forces and stiffness of all beams at trial displacements."""
    shape = link.shape
    inverse = 1 / shape.chord
    run = np.diff(shape.across + moved[..., 0], axis=1) * inverse
    rise = np.diff(shape.along + moved[..., 1], axis=1) * inverse
    turn = moved[..., 2]
    direction = shape.direction + (turn[:, 1:] + turn[:, :-1]) / 2
    cos, sin = np.cos(direction), np.sin(direction)
    strain = cos * run + sin * rise - 1
    shear = cos * rise - sin * run
    bend = np.diff(turn, axis=1) / shape.length
    response = respond(link.bar, state.fibres, strain, shear, bend)
    rows = np.zeros((*strain.shape, 3, 6))
    c, s = cos * inverse, sin * inverse
    rows[..., 0, 0], rows[..., 0, 1], rows[..., 0, 3], rows[..., 0, 4] = -c, -s, c, s
    rows[..., 1, 0], rows[..., 1, 1], rows[..., 1, 3], rows[..., 1, 4] = s, -c, -s, c
    turning = rows[..., :2, :].copy()
    rows[..., 0, 2] = rows[..., 0, 5] = shear / 2
    rows[..., 1, 2] = rows[..., 1, 5] = -(strain + 1) / 2
    rows[..., 2, 2], rows[..., 2, 5] = -1 / shape.length, 1 / shape.length
    resultants = response.resultants * shape.length[..., None]
    inner = (rows * resultants[..., None]).sum(axis=-2)
    tangent = response.tangent * shape.length[..., None, None]
    stiffness = rows.swapaxes(-1, -2) @ (tangent @ rows)
    normal, transverse = resultants[..., 0, None], resultants[..., 1, None]
    # forces turn with the beam: the geometric part of the stiffness
    side = (normal * turning[..., 1, :] - transverse * turning[..., 0, :]) / 2
    stiffness[..., :, 2] += side
    stiffness[..., :, 5] += side
    stiffness[..., 2, :] += side
    stiffness[..., 5, :] += side
    corner = (normal[..., 0] * (strain + 1) + transverse[..., 0] * shear) / 4
    for i in (2, 5):
        for j in (2, 5):
            stiffness[..., i, j] -= corner
    return _Beams(response, strain, bend, direction, inner, stiffness)


def _assembled(inner: Floats, shape: tuple[int, ...]) -> Floats:
    """Sum of the beams' forces at the nodes."""
    total = np.zeros(shape)
    total[:, :-1] += inner[..., :3]
    total[:, 1:] += inner[..., 3:]
    return total


def _solved(
    beams: _Beams, bearing: Touch, residual: Floats, missing: Floats, by_force: bool, use: Bools
) -> tuple[Floats, Floats]:
    """Newton step of the nodes and of the neighbour's wire.

    The condition on extension or force borders the banded matrix: two right-hand sides, one
    for the residual and one for a unit motion of the wire.
    """
    members, nodes, _ = residual.shape
    size = 3 * nodes
    band = np.zeros((members, size, 3 * _BAND + 1))
    by_pin = _assembled(bearing.by_pin, (members, nodes - LEG, 3))
    by_pin = np.concatenate([np.zeros((members, LEG, 3)), by_pin], axis=1)
    item = band.itemsize
    row, column = item, item * (3 * _BAND + 1)
    for first in (0, 1):
        blocks = beams.stiffness[:, first::2]
        view = as_strided(
            band[:, 3 * first :, 2 * _BAND :],
            shape=blocks.shape,
            strides=(column * size, 6 * column, row, column - row),
        )
        view += blocks
    fixed = np.zeros((members, nodes, 3), dtype=bool)
    for node, freedom in _PINNED:
        fixed[:, node, freedom] = True
        by_pin[:, node, freedom] = 0.0
    fixed[~use] = True
    _hold(band, fixed.reshape(members, size))
    free = use[:, None, None]
    right = np.stack([np.where(free, -residual, 0.0), np.where(free, -by_pin, 0.0)])
    _, _, answer, _ = dgbsv(
        _BAND, _BAND, band.reshape(members * size, -1).T, right.reshape(2, -1).T,
        overwrite_ab=True,
    )  # fmt: skip
    rest, unit = answer.T.reshape(2, members, nodes, 3)
    if by_force:
        row0 = -2 * beams.stiffness[:, 0, 1]
        have, gain = ((row0 * part[:, :2].reshape(members, 6)).sum(axis=1) for part in (rest, unit))
    else:
        have, gain = np.zeros(members), np.ones(members)
    gain = np.where(np.abs(gain) > 1e-12, gain, 1e-12)
    pin_step = np.where(use, (missing - have) / gain, 0.0)
    return rest + unit * pin_step[:, None, None], pin_step


def _hold(band: Floats, fixed: Bools) -> None:
    """Turn the rows and columns of fixed freedoms into those of the identity."""
    band[fixed] = 0.0
    size = fixed.shape[1]
    for offset in range(-_BAND, _BAND + 1):
        # entry (i, j) of the matrix stands in column j at place 2 band + i - j
        low, high = max(0, -offset), min(size, size - offset)
        part = band[:, low:high, 2 * _BAND + offset]
        part[fixed[:, low + offset : high + offset]] = 0.0
    band[..., 2 * _BAND][fixed] = 1.0


def _accepted(
    link: Link,
    state: State,
    well: Bools,
    moved: Floats,
    pin: Floats,
    force: Floats,
    beams: _Beams,
    touched: Touch,
) -> State:
    """The state after the step; members that did not converge stay as they were."""
    pressure = np.hstack([np.zeros((len(pin), LEG)), touched.pressure])
    fibres = settled(link.bar, state.fibres, beams.response.trial, beams.bend, pressure)
    growing = force > state.force
    bearing = loaded(state.bearing, touched.overlap, touched.angle, growing)
    fresh = State(
        moved, pin, fibres, bearing, force, well, moved - state.moved,
        pin - state.pin, beams.strain, beams.bend,
    )  # fmt: skip
    if well.all():
        return fresh
    lost = np.flatnonzero(~well)
    return placed(fresh, some_of(state, lost)._replace(well=well[lost]), lost)
