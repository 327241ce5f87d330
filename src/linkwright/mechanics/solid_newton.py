"""One step of a solid: equilibrium at a prescribed pull, by Newton's method.

    Body            mesh, steel, supports and contact: what stays
    Solid, at_rest  the converged state
    advance         the state at another pull, or `NotBalanced`
    Count           factorisations done, and how many are allowed

Driven degrees of freedom move by the pull times a pattern; the force is the sum of their support
forces times the pattern, so that force times change of pull is work. The first guess goes on as the
last step went. A step is balanced when the forces out of balance are below 1e-5 of the support
forces; the tangent is exact, so the error left is that squared. Nothing is returned from a step
that is not balanced.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_contact import Aim, Mirror, Touching, aimed, touch
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
from linkwright.mechanics.solid_fronts import Factors, Fronts
from linkwright.mechanics.solid_mesh import Mesh
from linkwright.mechanics.solid_plasticity import Metal, Response, Steel, fresh_metal, respond
from linkwright.quantities import LinkwrightError

_BALANCED = 1e-5
_ITERATIONS = 10
_SHORTEST_CUT = 0.2
_PATIENCE = 2  # iterations in which the error may grow before a step is given up


class NotBalanced(LinkwrightError):
    """A step found no equilibrium."""


class TooMany(LinkwrightError):
    """The allowed factorisations are used up."""


@dataclass
class Count:
    """Factorisations done and allowed in a run."""

    allowed: int
    done: int = 0

    def one_more(self) -> None:
        """Count a factorisation; raises `TooMany` when none is left."""
        if self.done >= self.allowed:
            raise TooMany(f"{self.allowed} factorisations did not suffice")
        self.done += 1


class Body(NamedTuple):
    """What stays the same during a run."""

    mesh: Mesh
    shapes: Shapes
    steel: Steel
    fronts: Fronts
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

    @classmethod
    def of(
        cls, mesh: Mesh, steel: Steel, fixed: Ints, driven: Ints, pattern: Floats,
        mirror: Mirror | None = None, reach: float = 0.0,
    ) -> Body:  # fmt: skip
        """``fixed`` are degrees of freedom that never move; ``reach`` is that of `touch`."""
        held = np.union1d(fixed, driven)
        shapes = shapes_of(mesh.nodes, mesh.elements)
        fronts = Fronts(mesh, held)
        size = shapes.weight.sum() ** (1 / 3)
        nothing = float(1e-12 * np.max(steel.shear_MPa) * size**2)
        return cls(mesh, shapes, steel, fronts, driven, pattern, held, mirror, reach, nothing)


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
    """Plastic work, N mm."""
    contact: Touching | None
    aim: Aim | None
    """Rays along which the next step looks for contact."""
    move: Floats
    """Displacement of the last step."""
    last_pull: float
    """Pull of the last step."""
    negative_pivots: int
    iterations: int


class _Trial(NamedTuple):
    response: Response
    spatial: Floats
    contact: Touching | None
    residual: Floats


def at_rest(body: Body) -> Solid:
    """The unloaded body."""
    nodes = body.mesh.nodes
    metal = fresh_metal(body.shapes.weight.shape)
    still = np.zeros_like(nodes)
    aim = None
    if body.mirror is not None:
        aim = aimed(body.mirror, nodes, body.mirror.start, body.reach)
    return Solid(nodes, metal, 0.0, 0.0, 0.0, 0.0, None, aim, still, 0.0, 0, 0)


def advance(body: Body, state: Solid, pull: float, count: Count, guess: Floats) -> Solid:
    """Equilibrium at ``pull`` from a guess of the displacement of this step.

    Raises `NotBalanced` if it is not found in ten iterations or the error keeps growing, and
    `TooMany`.
    """
    placed = state.placed + guess
    placed.ravel()[body.driven] = body.mesh.nodes.ravel()[body.driven] + pull * body.pattern
    trial = _evaluated(body, state, placed)
    negative, grown, before = state.negative_pivots, 0, np.inf
    for iteration in range(_ITERATIONS):
        error, scale = _sizes(body, trial)
        if iteration and error <= max(_BALANCED * scale, body.nothing):
            return _accepted(body, state, placed, trial, pull, negative, iteration)
        grown += error > before
        if grown >= _PATIENCE:
            break
        before = error
        count.one_more()
        factors = _factored(body, trial)
        negative = factors.negative_pivots
        move = -factors.solve(trial.residual).reshape(placed.shape)
        placed, trial = _moved(body, state, placed, move, error)
    raise NotBalanced(f"no equilibrium at a pull of {pull:.4g} mm")


def first_guess(body: Body, state: Solid, pull: float, count: Count) -> Floats:
    """Displacement for a new direction of pulling, by the stiffness of the present state."""
    trial = _evaluated(body, state, state.placed)
    elements = body.mesh.elements
    stiffness = element_stiffness(
        body.shapes, trial.spatial, trial.response.stress, trial.response.moduli
    )
    known = np.zeros_like(state.placed)
    known.ravel()[body.driven] = (pull - state.pull) * body.pattern
    parts = np.matmul(stiffness, known[elements].reshape(len(elements), -1, 1))
    load = _summed(body, parts.reshape(len(elements), -1, 3))
    count.one_more()
    factors = _factored(body, trial, stiffness)
    move = known - factors.solve(load).reshape(known.shape)
    return move


def _evaluated(body: Body, state: Solid, placed: Floats) -> _Trial:
    gradient = deformation(body.shapes, placed[body.mesh.elements])
    volume = np.linalg.det(gradient)
    if not np.all(volume > 0.05):
        raise NotBalanced("an element would be crushed")
    inverse: Floats = np.linalg.inv(gradient).astype(float, copy=False)
    response = respond(body.steel, state.metal, gradient, inverse)
    spatial = spatial_gradients(body.shapes, inverse)
    residual = _summed(body, element_forces(body.shapes, spatial, response.stress))
    contact = None
    if body.mirror is not None and state.aim is not None:
        contact = touch(body.mirror, placed, state.aim)
        residual[contact.dofs] += contact.force
    return _Trial(response, spatial, contact, residual)


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


def _factored(body: Body, trial: _Trial, stiffness: Floats | None = None) -> Factors:
    response = trial.response
    if stiffness is None:
        stiffness = element_stiffness(body.shapes, trial.spatial, response.stress, response.moduli)
    if trial.contact is None:
        none = np.zeros(0, dtype=np.intp)
        return body.fronts.factor(stiffness, none, np.zeros((0, 0)))
    return body.fronts.factor(stiffness, trial.contact.dofs, trial.contact.stiffness)


def _moved(
    body: Body, state: Solid, placed: Floats, move: Floats, error: float
) -> tuple[Floats, _Trial]:
    """The next iterate; the move is cut while it crushes elements or trebles the error."""
    share = 1.0
    while share > _SHORTEST_CUT:
        try:
            trial = _evaluated(body, state, placed + share * move)
        except NotBalanced:
            share /= 2
            continue
        if _sizes(body, trial)[0] <= 3 * error or share < 2 * _SHORTEST_CUT:
            return placed + share * move, trial
        share /= 2
    raise NotBalanced("an element would be crushed")


def _accepted(
    body: Body, state: Solid, placed: Floats, trial: _Trial, pull: float, negative: int,
    iterations: int,
) -> Solid:  # fmt: skip
    weight = body.shapes.weight
    stored = float(np.sum(weight * trial.response.elastic))
    aim = None
    if trial.contact is not None and body.mirror is not None:
        stored += float(trial.contact.energy)
        aim = aimed(body.mirror, placed, trial.contact.place, body.reach)
    return Solid(
        placed=placed,
        metal=trial.response.metal,
        pull=pull,
        force=float(trial.residual[body.driven] @ body.pattern),
        stored=stored,
        spent=float(np.sum(weight * trial.response.plastic)),
        contact=trial.contact,
        aim=aim,
        move=placed - state.placed,
        last_pull=pull - state.pull,
        negative_pivots=negative,
        iterations=iterations,
    )
