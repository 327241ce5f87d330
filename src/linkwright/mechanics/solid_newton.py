"""One step of a solid: equilibrium at a prescribed pull, by Newton's method.

    Body            mesh, steel, supports and contact: what stays
    Solid, at_rest  the converged state
    advance         the state at another pull, or `NotBalanced`
    Count           factorisations done, and how many are allowed

Driven degrees of freedom move by the pull times a pattern; the force is the sum of their support
forces times the pattern, so that force times change of pull is work. The first guess goes on as the
last step went, and the first iterations use the last step's factorisation (`solid_chord`). A step
is balanced when the forces out of balance are below 1e-5 of the support forces. Nothing is returned
from a step that is not balanced, with one exception that every state tells in ``imbalance``: where
a ray ends at the edge of two faces, whose normals differ, the energy of the step has a valley with
a sharp bottom and no smaller imbalance than the turn of that one pressure. There 1e-3 is let pass.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_bearing import Prop
from linkwright.mechanics.solid_chord import Chord
from linkwright.mechanics.solid_contact import Aim, Mirror, Touching, aimed, met_dofs, touch
from linkwright.mechanics.solid_element import (
    Floats,
    Ints,
    Shapes,
    deformation,
    element_forces,
    element_stiffness,
    shapes_of,
    spatial_gradients,
)
from linkwright.mechanics.solid_fronts import Condensed, Fronts
from linkwright.mechanics.solid_joint import Joint, Together
from linkwright.mechanics.solid_mesh import Cells, Mesh
from linkwright.mechanics.solid_plasticity import Metal, Response, Steel, fresh_metal, respond
from linkwright.quantities import LinkwrightError

_BALANCED = 1e-5
_AT_EDGE = 1e-3
_ITERATIONS, _FACTORISATIONS = 25, 8
_QUICK = 0.5  # a factorisation is kept while the error falls to this share
_STUCK, _PATIENCE = 0.9, 3  # a fresh one that leaves more than this share, and how often it may
_CUTS, _ALONG = 5, 0.8
_CLOSE_BY = 0.01  # share of the reach within which a point may touch in a step


class NotBalanced(LinkwrightError):
    """A step found no equilibrium."""


class TooMany(LinkwrightError):
    """The allowed factorisations are used up."""


@dataclass
class Count:
    """Factorisations done and allowed in a run."""

    allowed: int
    done: int = 0
    kept: Condensed | Together | None = None
    """The last one; the next step begins with it."""

    def one_more(self) -> None:
        """Count a factorisation; raises `TooMany` when none is left."""
        if self.done >= self.allowed:
            raise TooMany(f"{self.allowed} factorisations did not suffice")
        self.done += 1


class Body(NamedTuple):
    """What stays the same during a run."""

    mesh: Mesh | Cells
    shapes: Shapes
    steel: Steel
    fronts: Fronts | Joint
    driven: Ints
    """Degrees of freedom (3 node + axis) that are moved."""
    pattern: Floats
    """Their displacement for a pull of 1."""
    held: Ints
    """All degrees of freedom that do not follow from equilibrium."""
    mirror: Mirror | None
    reach: float
    nothing: float
    """Force that is rounding, N."""
    prop: Prop | None = None
    """What else bears on it: a stud, a rigid neighbour, springs where nothing holds a body."""

    @classmethod
    def of(
        cls, mesh: Mesh, steel: Steel, fixed: Ints, driven: Ints, pattern: Floats,
        mirror: Mirror | None = None, reach: float = 0.0,
    ) -> Body:  # fmt: skip
        """``fixed`` are degrees of freedom that never move; ``reach`` is that of `touch`."""
        return cls.side_by_side([mesh], [1], steel, fixed, driven, pattern, mirror, reach)

    @classmethod
    def side_by_side(
        cls, meshes: Sequence[Mesh], copies: Sequence[int], steel: Steel, fixed: Ints,
        driven: Ints, pattern: Floats, mirror: Mirror | None = None, reach: float = 0.0,
        prop: Prop | None = None,
    ) -> Body:  # fmt: skip
        """Bodies that meet in contact; each stands for a number of ``copies`` of itself."""
        cells = meshes[0] if len(meshes) == 1 else Cells.of(meshes)
        held = np.union1d(fixed, driven)
        shapes = shapes_of(cells.nodes, cells.elements)
        counts = np.repeat(copies, [len(mesh.elements) for mesh in meshes])
        shapes = shapes._replace(weight=shapes.weight * counts[:, None])
        fronts, first = [], 0
        for mesh in meshes:
            own = held[(held >= first) & (held < first + mesh.nodes.size)] - first
            fronts.append(Fronts(mesh, own))
            first += mesh.nodes.size
        size = shapes.weight.sum() ** (1 / 3)
        nothing = float(1e-12 * np.max(steel.shear_MPa) * size**2)
        return cls(
            cells, shapes, steel, fronts[0] if len(fronts) == 1 else Joint(fronts), driven,
            pattern, held, mirror, reach, nothing, prop,
        )  # fmt: skip


class Solid(NamedTuple):
    """A converged state."""

    placed: Floats
    metal: Metal
    pull: float
    """Factor on the pattern of the driven displacements, mm."""
    force: float
    """Its partner in work, N."""
    stored: float
    """Elastic energy in body and contact, N mm."""
    spent: float
    """Plastic work and work of friction, N mm."""
    rubbed: float
    """Work of friction, N mm."""
    contact: Touching | None
    aim: Aim | None
    """Rays along which the next step looks for contact."""
    move: Floats
    """Displacement of the last step."""
    last_pull: float
    """Pull of the last step."""
    negative_pivots: int
    factorisations: int
    """That the step took."""
    imbalance: float
    """Forces out of balance over support forces."""


class _Trial(NamedTuple):
    response: Response
    spatial: Floats
    contact: Touching | None
    inner: Floats
    """Forces of the body."""
    residual: Floats
    """With those of the contact."""
    propped: float
    """Energy in the prop, N mm."""
    placed: Floats


class _Done(NamedTuple):
    negative_pivots: int
    factorisations: int
    imbalance: float


def at_rest(body: Body) -> Solid:
    """The unloaded body."""
    nodes = body.mesh.nodes
    metal = fresh_metal(body.shapes.weight.shape)
    still = np.zeros_like(nodes)
    aim = None
    if body.mirror is not None:
        aim = aimed(body.mirror, nodes, body.mirror.start, body.reach)
    return Solid(nodes, metal, 0.0, 0.0, 0.0, 0.0, 0.0, None, aim, still, 0.0, 0, 0, 0.0)


def advance(body: Body, state: Solid, pull: float, count: Count, guess: Floats) -> Solid:
    """Equilibrium at ``pull`` from a guess of the displacement of this step.

    Raises `NotBalanced` if it is not found in as many factorisations as are worth it, or if
    fresh ones do not lessen the error, and `TooMany`.
    """
    placed = state.placed + guess
    placed.ravel()[body.driven] = body.mesh.nodes.ravel()[body.driven] + pull * body.pattern
    trial = _evaluated(body, state, placed)
    begun, stuck, before = count.done, 0, np.inf
    chord = None if count.kept is None else _chord(body, state, trial, count.kept)
    for iteration in range(_ITERATIONS):
        error, scale = _sizes(body, trial)
        close = _AT_EDGE if stuck >= _PATIENCE - 1 else _BALANCED
        if chord is not None and iteration and error <= max(close * scale, body.nothing):
            done = _Done(chord.negative_pivots(trial.contact), count.done - begun, error / scale)
            return _accepted(body, state, placed, trial, pull, done)
        if chord is None or error > _QUICK * before:
            stuck += error > _STUCK * before
            if stuck >= _PATIENCE or count.done - begun >= _FACTORISATIONS:
                break
            chord = _factored(body, state, trial, count)
        before = error
        move = chord.move(placed, trial.inner)
        placed, trial = _moved(body, state, placed, trial, move)
    raise NotBalanced(f"no equilibrium at a pull of {pull:.4g} mm")


def first_guess(body: Body, state: Solid, pull: float, count: Count) -> Floats:
    """Displacement for a new direction of pulling, by the stiffness of the present state."""
    trial = _evaluated(body, state, state.placed)
    elements = body.mesh.elements
    known = np.zeros_like(state.placed)
    known.ravel()[body.driven] = (pull - state.pull) * body.pattern
    parts = np.matmul(_tangents(body, trial), known[elements].reshape(len(elements), -1, 1))
    load = _summed(body, parts.reshape(len(elements), -1, 3))
    chord = _factored(body, state, trial, count)
    return known - chord.solved(load, trial.contact).reshape(known.shape)


def _evaluated(body: Body, state: Solid, placed: Floats) -> _Trial:
    gradient = deformation(body.shapes, placed[body.mesh.elements])
    volume = np.linalg.det(gradient)
    if not np.all(volume > 0.05):
        raise NotBalanced("an element would be crushed")
    inverse: Floats = np.linalg.inv(gradient).astype(float, copy=False)
    response = respond(body.steel, state.metal, gradient, inverse)
    spatial = spatial_gradients(body.shapes, inverse)
    forces, propped = element_forces(body.shapes, spatial, response.stress), 0.0
    if body.prop is not None:
        pushed, propped = body.prop.forces(placed[body.mesh.elements[body.prop.elements]])
        np.add.at(forces, body.prop.elements, pushed)
    inner = _summed(body, forces)
    residual, contact = inner, None
    if body.mirror is not None and state.aim is not None:
        contact = touch(body.mirror, placed, state.aim)
        residual = inner.copy()
        residual[contact.dofs] += contact.force
    return _Trial(response, spatial, contact, inner, residual, propped, placed)


def _summed(body: Body, forces: Floats) -> Floats:
    flat = (3 * body.mesh.elements[..., None] + np.arange(3)).ravel()
    summed: Floats = np.bincount(
        flat, weights=forces.ravel(), minlength=body.mesh.nodes.size
    ).astype(float, copy=False)
    return summed


def _sizes(body: Body, trial: _Trial) -> tuple[float, float]:
    """Forces out of balance, and the support forces they are held against."""
    supports = float(np.linalg.norm(trial.residual[body.held]))
    free = trial.residual[body.fronts.free]
    return float(np.linalg.norm(free)), supports


def _tangents(body: Body, trial: _Trial) -> Floats:
    response = trial.response
    made = element_stiffness(body.shapes, trial.spatial, response.stress, response.moduli())
    if body.prop is not None:
        at = trial.placed[body.mesh.elements[body.prop.elements]]
        np.add.at(made, body.prop.elements, body.prop.stiffness(at))
    return made


def _factored(body: Body, state: Solid, trial: _Trial, count: Count) -> Chord:
    border = np.zeros(0, dtype=np.intp)
    if trial.contact is not None and body.mirror is not None and state.aim is not None:
        close = _close(body, state.aim, trial.contact)
        border = met_dofs(body.mirror, state.aim, trial.contact.place, close)
    count.one_more()
    count.kept = body.fronts.condensed(_tangents(body, trial), border)
    return _chord(body, state, trial, count.kept)


def _chord(body: Body, state: Solid, trial: _Trial, condensed: Condensed | Together) -> Chord:
    aim = None
    if trial.contact is not None and state.aim is not None:
        close = _close(body, state.aim, trial.contact)
        aim = state.aim._replace(near=close)
    return Chord(condensed, body.mirror, aim)


def _close(body: Body, aim: Aim, contact: Touching) -> Ints:
    """Points that may touch in the step."""
    return aim.near[contact.gap[aim.near] < _CLOSE_BY * body.reach]


def _moved(
    body: Body, state: Solid, placed: Floats, before: _Trial, move: Floats
) -> tuple[Floats, _Trial]:
    """The next iterate, where the work of the forces out of balance along the move is small.

    Forces are the derivative of one energy of the step, so this is a search for its least value
    along the move; it keeps points of contact from changing to and fro.
    """
    slope = float(before.residual @ move.ravel())
    share, low, high = 1.0, (0.0, slope), None
    for _ in range(_CUTS):
        try:
            trial = _evaluated(body, state, placed + share * move)
        except NotBalanced:
            share /= 2
            continue
        found = float(trial.residual @ move.ravel())
        if abs(found) <= _ALONG * abs(slope) or (share == 1.0 and found * slope > 0):
            break
        if found * slope > 0:
            low = (share, found)
        else:
            high = (share, found)
        if high is None:
            break
        # false position, kept away from the ends
        cut = (low[0] * high[1] - high[0] * low[1]) / (high[1] - low[1])
        width = high[0] - low[0]
        share = min(max(cut, low[0] + 0.1 * width), high[0] - 0.1 * width)
    else:
        trial = _evaluated(body, state, placed + share * move)
    return placed + share * move, trial


def _accepted(
    body: Body, state: Solid, placed: Floats, trial: _Trial, pull: float, done: _Done
) -> Solid:
    weight = body.shapes.weight
    stored = float(np.sum(weight * trial.response.elastic)) + trial.propped
    aim, rubbed = None, state.rubbed
    if trial.contact is not None and body.mirror is not None:
        stored += float(trial.contact.energy)
        rubbing = trial.contact.rubbing
        rubbed += 0.0 if rubbing is None else rubbing.spent
        aim = aimed(body.mirror, placed, trial.contact.place, body.reach, rubbing)
    return Solid(
        placed=placed,
        metal=trial.response.metal,
        pull=pull,
        force=float(trial.residual[body.driven] @ body.pattern),
        stored=stored,
        spent=float(np.sum(weight * trial.response.plastic)) + rubbed,
        rubbed=rubbed,
        contact=trial.contact,
        aim=aim,
        move=placed - state.placed,
        last_pull=pull - state.pull,
        negative_pivots=done.negative_pivots,
        factorisations=done.factorisations,
        imbalance=done.imbalance,
    )
