"""An oval chain link pulled by its neighbours, from the first load to the break.

    pull_link -> LinkPull       force and strains over extension, maximum, fracture
    prove_link -> LinkProof     loading to a proof force and back: set, stiffness, reloading

Everything is vectorised: the fields of geometry and material broadcast, results have their
common shape, histories the step as first axis. A member pulled alone gives the same bits as
in an ensemble. A finite-element model may take the place of `pull_link` behind the same names.

Model (docs/models/link.md): quarter link of curved shear-flexible beams with plane sections,
large displacement, J2 plasticity of round-section fibres with Swift hardening, the
neighbour's wire bearing over a growing patch whose pressure also loads the section radially.

References: S. Timoshenko, Strength of Materials, Part II, 1930 (curved bars); G. A. Goodenough
and L. E. Moore, The Strength of Chain Links, University of Illinois Engineering Experiment
Station Bulletin 18, 1907 (the quarter link and its contact); H. W. Swift, J. Mech. Phys.
Solids 1, 1952; K. L. Johnson, Contact Mechanics, 1985.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values
from linkwright.mechanics.cased_section import LinkCase, cased_fibres
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.link_solver import march
from linkwright.mechanics.link_state import Link, Rows, State, link_of, shape_of, start
from linkwright.mechanics.section import Floats

STEPS = 80
GREATEST_TRAVEL = 0.75
"""Motion of the neighbour's wire at the end of a pull, in wire diameters."""
_GRADING = 1.3  # steps grow as (k / steps)^1.3: finer where the link is still elastic
# a pull ends when the force has fallen to this share of its maximum; that of soft steel wavers by
# some per cent before it, as one node of the crown after the other comes to bear
_SPENT = 0.90
_TOUCH = 0.002  # first motion of the wire, in diameters, at most
_LOADING = 64  # the set is within 4 per cent of that of 128 steps, half the links within 1
UNLOADING = (0.5, 0.1, 0.01, 0.001, 0.001)  # the last once more: radial stress lags


class Peak(NamedTuple):
    """Maximum of the force over extension."""

    force_kN: Values
    extension_mm: Values
    passed: Values
    """Whether the force fell again before the end of the pull."""


@dataclass(frozen=True)
class LinkPull:
    """A link pulled to beyond its maximum force; histories have the step as first axis.

    Strains are logarithmic, stresses true; nan where a member did not converge (after its
    maximum, as a rule). ``crown`` is the apex, ``leg`` the middle of the leg.
    """

    extension_mm: Floats
    force_kN: Floats
    crown_outside_strain: Floats
    crown_inside_strain: Floats
    leg_outside_strain: Floats
    leg_inside_strain: Floats
    greatest_strain: Floats
    """Greatest tensile strain of any surface of the link."""
    crown_outside_stress_MPa: Floats
    crown_inside_stress_MPa: Floats
    leg_outside_stress_MPa: Floats
    leg_inside_stress_MPa: Floats
    peak: Peak
    elongation_at_maximum_percent: Values
    efficiency: Values
    """Maximum force over twice the wire's area times its tensile strength."""

    def fracture(self, fracture_strain: Values) -> tuple[Values, Values]:
        """Extension in mm and force in kN where the greatest surface strain reaches a limit.

        nan where it is not reached. Surface strain is tensile and logarithmic.
        """
        strain = np.where(np.isfinite(self.greatest_strain), self.greatest_strain, -1.0)
        limit = np.broadcast_to(np.asarray(fracture_strain, dtype=float), strain.shape[1:])
        beyond = strain >= limit
        last = np.asarray(np.argmax(beyond, axis=0)).clip(1)

        def at(history: Floats, index: Rows) -> Floats:
            return np.asarray(np.take_along_axis(history, index[None], axis=0)[0])

        low, high = at(strain, last - 1), at(strain, last)
        share = (limit - low) / np.where(high > low, high - low, 1.0)
        share = np.where(beyond.any(axis=0), share, np.nan)

        def between(history: Floats) -> Values:
            return _plain(at(history, last - 1) * (1 - share) + at(history, last) * share)

        return between(self.extension_mm), between(self.force_kN)

    def breaking_force_kN(self, fracture_strain: Values | None = None) -> Values:
        """The least of the maximum force and the force at which a surface tears."""
        if fracture_strain is None:
            return self.peak.force_kN
        extension, force = self.fracture(fracture_strain)
        before = np.asarray(extension) < np.asarray(self.peak.extension_mm)
        return _plain(np.asarray(np.where(before, force, self.peak.force_kN)))


@dataclass(frozen=True)
class LinkProof:
    """A link loaded to a proof force and unloaded; nan where it cannot bear the force."""

    extension_at_proof_mm: Values
    permanent_set_mm: Values
    residual_pitch_mm: Values
    first_stiffness_kN_per_mm: Values
    """Between 1/16 and 1/8 of the proof force on first loading."""
    unloading_stiffness_kN_per_mm: Values
    """Between the proof force and half of it."""
    loading_extension_mm: Floats
    loading_force_kN: Floats
    greatest_strain: Values
    """Greatest tensile strain of any surface at the proof force; logarithmic."""
    reloading: LinkPull | None = None
    """The pull to break after the proof, counted from the pitch before it."""


class Ensemble(NamedTuple):
    """Flat ensemble with its units."""

    link: Link
    shape: tuple[int, ...]
    wire: Floats
    pitch: Floats
    unit_force: Floats
    unit_stress: Floats
    strength: Floats


def pull_link(
    geometry: LinkGeometry,
    material: SwiftCurve,
    *,
    friction_coefficient: Values = 0.0,
    greatest_travel: float = GREATEST_TRAVEL,
    steps: int = STEPS,
    case: LinkCase | None = None,
) -> LinkPull:
    """Pull links to beyond their maximum force.

    All members march the same motion of the neighbour's wire, up to ``greatest_travel`` wire
    diameters; the extension of the pitch follows (about 1.6 times as much). A member stops
    when its force has fallen 10 per cent below its maximum. With a ``case`` the material is that
    of the core.
    """
    members = ensemble(geometry, material, friction_coefficient, case=case)
    return _pulled(members, start(members.link), greatest_travel, steps)


def prove_link(
    geometry: LinkGeometry,
    material: SwiftCurve,
    proof_force_kN: Values,
    *,
    friction_coefficient: Values = 0.0,
    then_break: bool = False,
    steps: int = STEPS,
    case: LinkCase | None = None,
) -> LinkProof:
    """Load links to a proof force, unload them and, if asked, pull them to break.

    With a ``case`` the material is that of the core.
    """
    members = ensemble(geometry, material, friction_coefficient, proof_force_kN, case)
    shape = members.shape
    proof = np.ravel(np.broadcast_to(np.asarray(proof_force_kN, dtype=float), shape))
    target = proof / members.unit_force
    loading = _loaded(members.link, target)
    top = loading[-1]
    half, *_, state = unloaded(members.link, top, target)
    length = np.where(state.well, members.wire, np.nan)
    residual = state.extension * length
    unit = members.unit_force / length
    low, high = (loading[_LOADING // part - 1] for part in (16, 8))
    first = (high.force - low.force) / (high.extension - low.extension)
    way_back = np.where(state.well, top.extension - half.extension, np.nan)
    back = (top.force - half.force) / way_back
    reloading = None
    if then_break:
        for share in (0.1, 0.5, 0.9):
            state = march(members.link, state, to=target * share, by_force=True, guess=0.0)
        reloading = _pulled(members, state, GREATEST_TRAVEL, steps)

    def shaped(values: Floats) -> Values:
        return _plain(values.reshape(shape))

    return LinkProof(
        extension_at_proof_mm=shaped(top.extension * length),
        permanent_set_mm=shaped(residual),
        residual_pitch_mm=shaped(members.pitch + residual),
        first_stiffness_kN_per_mm=shaped(first * unit),
        unloading_stiffness_kN_per_mm=shaped(back * unit),
        loading_extension_mm=np.array([shaped(part.extension * length) for part in loading]),
        loading_force_kN=np.array([shaped(part.force * members.unit_force) for part in loading]),
        greatest_strain=shaped(_snapshot(members.link, top)["greatest_strain"]),
        reloading=reloading,
    )


def pull_states(link: Link, state: State, travel: float, steps: int) -> list[State]:
    """The states of a pull by the neighbour's wire, the present one first."""
    states = [state]
    origin, greatest, before = state.pin, state.force, 0.0
    for step in range(1, steps + 1):
        share = (step / steps) ** _GRADING
        last = ((step - 1) / steps) ** _GRADING
        guess = (share - last) / (last - before) if step > 2 else 0.0
        to = origin + share * (travel - origin)
        if state.well.any():
            state = march(link, state, to=to, by_force=False, guess=guess)
        states.append(state)
        before = last
        # what happens to a link after it has begun to tear is of no use and hard to follow
        greatest = np.maximum(greatest, state.force)
        state = state._replace(well=state.well & (state.force > _SPENT * greatest))
    return states


def touched(link: Link, force: Floats) -> State:
    """The links just loaded by their neighbours, so that there is a force to control.

    The wire moves as far as Hertz's contact of modulus E/2 asks for a twentieth of ``force``.
    """
    state = start(link)
    depth = np.square(1.5 * force / 20 / link.bar.elastic[:, 0]) ** (1 / 3)
    return march(link, state, to=np.minimum(depth, _TOUCH), by_force=False)


def _loaded(link: Link, target: Floats) -> list[State]:
    """The states of a first loading to the force ``target`` over K d^2."""
    state = touched(link, target)
    states = []
    for step in range(1, _LOADING + 1):
        state = march(link, state, to=target * step / _LOADING, by_force=True)
        states.append(state)
    return states


def unloaded(link: Link, state: State, target: Floats) -> list[State]:
    """The states of an unloading from the force ``target`` over K d^2 to a thousandth of it."""
    states = []
    for share in UNLOADING:
        state = march(link, state, to=target * share, by_force=True, guess=0.0)
        states.append(state)
    return states


def ensemble(
    geometry: LinkGeometry,
    material: SwiftCurve,
    friction: Values,
    also: Values = 0.0,
    case: LinkCase | None = None,
) -> Ensemble:
    """Geometry, material and friction (and the shape of ``also``) as one flat ensemble."""
    pitch, width, crown = geometry.ratios()
    parts = np.broadcast_arrays(
        geometry.wire_diameter_mm, pitch, width, crown, material.strength_coefficient_MPa,
        material.hardening_exponent, material.prestrain, material.elastic_modulus_GPa, friction,
        also, *(() if case is None else (case.depth_mm, case.surface_ratio, case.crack_strain)),
    )  # fmt: skip
    flat = [np.ravel(np.asarray(part, dtype=float)) for part in parts]
    wire, pitch, width, crown, coefficient, exponent, prestrain, modulus, rubbing, _, *rest = flat
    shape = shape_of(pitch, width, crown)
    cased = None
    if case is not None:
        depth, ratio, crack = rest
        cased = cased_fibres(depth / wire, ratio, crack, case.shape_depth, case.shape)
    link = link_of(shape, 1000 * modulus / coefficient, prestrain, exponent, rubbing, cased)
    curve = SwiftCurve(coefficient, exponent, prestrain, modulus)
    strength = np.asarray(curve.tensile_strength_MPa)
    unit = coefficient * wire**2 / 1000
    return Ensemble(link, parts[0].shape, wire, pitch * wire, unit, coefficient, strength)


def _snapshot(link: Link, state: State) -> dict[str, Floats]:
    """What a pull keeps of a step, in wire diameters and units of K, by field of `LinkPull`.

    Surface strains of the two end stations and the greatest of all; stresses of the outermost
    fibres.
    """
    half = state.fibres.depth / 2
    outside, inside = (
        np.log(1 + (state.strain + side * half * state.bend) / (1 + side * link.bar.curvature / 2))
        for side in (1, -1)
    )
    hoop = state.fibres.stress + state.fibres.radial_stress / 2
    values = {
        "extension_mm": state.extension,
        "force_kN": state.force,
        "crown_outside_strain": outside[:, -1],
        "crown_inside_strain": inside[:, -1],
        "leg_outside_strain": outside[:, 0],
        "leg_inside_strain": inside[:, 0],
        "greatest_strain": np.maximum(outside, inside).max(axis=1),
        "crown_outside_stress_MPa": hoop[0, :, -1],
        "crown_inside_stress_MPa": hoop[-1, :, -1],
        "leg_outside_stress_MPa": hoop[0, :, 0],
        "leg_inside_stress_MPa": hoop[-1, :, 0],
    }
    return {name: np.where(state.well, value, np.nan) for name, value in values.items()}


def _pulled(members: Ensemble, state: State, travel: float, steps: int) -> LinkPull:
    """March from the present state to the end of the travel and tell it in mm, kN and MPa."""
    taken = [
        _snapshot(members.link, part) for part in pull_states(members.link, state, travel, steps)
    ]
    units = {"_mm": members.wire, "_kN": members.unit_force, "MPa": members.unit_stress}
    history = {
        name: np.array([step[name] for step in taken]) * units.get(name[-3:], 1.0)
        for name in taken[0]
    }
    peak = peak_of(history["extension_mm"], history["force_kN"])
    bars = np.pi / 2 * members.wire**2 * members.strength / 1000

    def shaped(values: Values) -> Values:
        return _plain(np.asarray(values).reshape(members.shape))

    shape = (len(taken), *members.shape)
    return LinkPull(
        **{name: values.reshape(shape) for name, values in history.items()},
        peak=Peak(*(shaped(part) for part in peak)),
        elongation_at_maximum_percent=shaped(100 * peak.extension_mm / members.pitch),
        efficiency=shaped(peak.force_kN / bars),
    )


def peak_of(extension: Floats, force: Floats) -> Peak:
    """Top of the parabola through the greatest force and its neighbours."""
    known = np.where(np.isfinite(force), force, -np.inf)
    top = np.argmax(known, axis=0)
    inner = np.clip(top, 1, len(force) - 2)
    rows = np.arange(force.shape[1])
    x = [extension[inner + k, rows] for k in (-1, 0, 1)]
    y = [force[inner + k, rows] for k in (-1, 0, 1)]
    left, right = (y[1] - y[0]) / (x[1] - x[0]), (y[2] - y[1]) / (x[2] - x[1])
    bend = (right - left) / (x[2] - x[0])
    passed = np.isfinite(bend) & (bend < 0) & (top == inner)
    curve = np.where(passed, bend, -1.0)
    place = np.where(passed, (x[0] + x[1]) / 2 - left / (2 * curve), extension[top, rows])
    rise = y[0] + left * (place - x[0]) + curve * (place - x[0]) * (place - x[1])
    return Peak(np.where(passed, rise, force[top, rows]), place, passed)


def _plain(values: Floats) -> Values:
    return values if values.ndim else values.item()
