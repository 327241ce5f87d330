"""Where and when a pulled link tears: strain summed up with its stress, state after state.

    Damage, damage_of       two weighted strains at every node and state of a pull
    weighted_strains        the same at the integration points of any body
    Breaking, breaking      what comes first, greatest force or fracture, and where
    PLACES                  the places that are told apart

The criteria and their limits are those of `materials.ductile_fracture`: growth of voids after
Rice and Tracey, which decides, and work of the greatest tension after Cockcroft and Latham, told
beside it. Stress is that of the end of a step (implicit, as the plasticity); sums at the
integration points are carried to the nodes, so that the skin is reached. A strain at a point
depends on the mesh; how much is in docs/models/solid_link.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values
from linkwright.materials.ductile_fracture import FractureLimits, void_weight
from linkwright.mechanics.solid_element import Floats, Ints, deformation
from linkwright.mechanics.solid_fields import at_nodes
from linkwright.mechanics.solid_model import LinkModel
from linkwright.mechanics.solid_newton import Body, Solid
from linkwright.mechanics.solid_plasticity import Metal, Steel

PLACES = ("weld", "leg inside", "leg outside", "crown inside", "crown outside")
"""Weld: up to half a wire diameter from the middle of the leg. Inside faces the link's middle."""


class Damage(NamedTuple):
    """Weighted strains of the nodes, one row a state of the pull."""

    void_strain: Floats
    """(states, nodes): sum of exp(1.5 (T - 1/3)) dp."""
    tension_strain: Floats
    """(states, nodes): sum of (greatest principal stress/flow stress) dp."""
    place: Ints
    """(nodes,): index into `PLACES`."""

    def at_places(self, values: Floats) -> dict[str, Floats]:
        """Greatest value at each place, by state; 0 where a short leg is all weld."""
        return {
            name: values[:, self.place == k].max(axis=1, initial=0.0)
            for k, name in enumerate(PLACES)
        }


class Breaking(NamedTuple):
    """How a pull ends."""

    first: str
    """``instability`` where the force falls before anything tears, ``fracture`` where it tears
    first, ``not reached`` where the pull ended before either."""
    breaking_force_kN: float
    """Greatest force up to the fracture."""
    place: str
    """Where it tears, or is nearest to tearing at the end of the pull."""
    damage_at_maximum: float
    """Void strain over its limit, of the worst place, when the breaking force is reached."""
    damage_at_end: float
    """The same where the pull ended; above 1 it tore before."""
    tension_at_maximum: float
    """As ``damage_at_maximum``, by the other criterion."""
    fracture_force_kN: float | None
    """Force at the fracture, None where the pull did not come so far."""
    fracture_extension_mm: float | None
    fracture_elongation_percent: float | None
    """Total: extension over the pitch at the fracture."""
    damage: dict[str, float]
    """Void strain over its limit by place, when the breaking force is reached."""


def damage_of(model: LinkModel, states: Sequence[Solid]) -> Damage:
    """Weighted strains of the states of one way at the nodes of a link; they never fall.

    What is carried from points to nodes may overshoot, so that the greatest so far is kept.
    """
    void, tension = (
        np.maximum.accumulate(np.maximum([at_nodes(model, row) for row in rows], 0.0), axis=0)
        for rows in weighted_strains(model.body, states)
    )
    return Damage(void, tension, _places(model))


def weighted_strains(body: Body, states: Sequence[Solid]) -> tuple[list[Floats], list[Floats]]:
    """The two sums at the integration points, one entry a state; the first state is fresh."""
    before = states[0].metal.plastic_strain
    void, tension = [np.zeros_like(before)], [np.zeros_like(before)]
    for state in states[1:]:
        step = state.metal.plastic_strain - before
        before = state.metal.plastic_strain
        gradient = deformation(body.shapes, state.placed[body.mesh.elements])
        triaxiality, greatest = stress_state(body.steel, state.metal, gradient)
        void.append(void[-1] + void_weight(triaxiality) * step)
        tension.append(tension[-1] + np.maximum(greatest, 0.0) * step)
    return void, tension


def stress_state(steel: Steel, metal: Metal, gradient: Floats) -> tuple[Floats, Floats]:
    """Triaxiality, and greatest principal stress over the flow stress, of converged points.

    From the elastic part b = F G F^T alone, as nothing flows any more; where there is no shear
    stress both are 0.
    """
    trial = gradient @ metal.metric @ np.swapaxes(gradient, -1, -2)
    strain = np.log(np.linalg.eigvalsh(trial)) / 2
    volume = strain.sum(axis=-1)
    mean = steel.bulk_MPa * volume
    deviator = 2 * np.asarray(steel.shear_MPa)[..., None] * (strain - volume[..., None] / 3)
    flow = np.sqrt(1.5 * np.square(deviator).sum(axis=-1))
    safe = np.where(flow > 0, flow, np.inf)
    return mean / safe, (mean + deviator[..., -1]) / safe


def _places(model: LinkModel) -> Ints:
    """Which of `PLACES` a node belongs to, by where it lay in the unloaded link."""
    mesh, outline = model.part.mesh, model.outline
    section = mesh.section.points[:, 0]
    # layers of the section and of its corners in turn, and the last layer
    layers = np.concatenate([section, section[mesh.section.corners]])
    outside = np.resize(layers, len(mesh.nodes)) > 0
    along = mesh.nodes[:, 0] + outline.pitch_mm / 2
    straight = along <= outline.lengths[0]
    made = np.where(straight, np.where(outside, 2, 1), np.where(outside, 4, 3))
    weld = straight & (along <= outline.wire_mm / 2) & (mesh.nodes[:, 1] > 0)
    return np.where(weld, 0, made).astype(np.intp)


def breaking(
    damage: Damage,
    force_kN: Floats,
    extension_mm: Floats,
    pitch_mm: float,
    limits: FractureLimits,
    *,
    passed: bool,
    weld_share: float = 1.0,
) -> Breaking:
    """What comes first on a pull whose states are those of ``damage``.

    ``weld_share`` is the share of the limit that is left at the weld.
    """
    shares = _of_limit(damage, damage.void_strain, limits.void_strain_limit, weld_share)
    other = _of_limit(damage, damage.tension_strain, limits.tension_strain_limit, weld_share)
    worst = np.max(list(shares.values()), axis=0)
    force: float | None = None
    extension: float | None = None
    peak, torn = int(np.argmax(force_kN)), worst >= 1.0
    if torn.any():
        last = int(np.argmax(torn))
        force, extension = (
            float(np.interp(1.0, worst[last - 1 : last + 1], values[last - 1 : last + 1]))
            for values in (force_kN, extension_mm)
        )
        first = "fracture" if last <= peak else "instability"
        top, end = min(peak, last), last
        greatest = float(max(force, force_kN[:last].max()))
    else:
        first = "instability" if passed else "not reached"
        top, end, greatest = peak, len(worst) - 1, float(force_kN[peak])
    return Breaking(
        first=first,
        breaking_force_kN=greatest,
        place=max(shares, key=lambda name: float(shares[name][end])),
        damage_at_maximum=float(worst[top]) if top < end or not torn.any() else 1.0,
        damage_at_end=float(worst[-1]),
        tension_at_maximum=max(float(rows[top]) for rows in other.values()),
        fracture_force_kN=force,
        fracture_extension_mm=extension,
        fracture_elongation_percent=None if extension is None else 100 * extension / pitch_mm,
        damage={name: float(rows[top]) for name, rows in shares.items()},
    )


def _of_limit(
    damage: Damage, values: Floats, limit: Values, weld_share: float
) -> Mapping[str, Floats]:
    return {
        name: rows / (float(limit) * (weld_share if name == "weld" else 1.0))
        for name, rows in damage.at_places(values).items()
    }
