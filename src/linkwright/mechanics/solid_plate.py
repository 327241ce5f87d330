"""A link plate pulled by its pins, by finite elements: pressed in, loaded, unloaded, to its top.

    PlateFit                        how the pin sits in the hole
    PlateModel, plate_model         mesh, steel, supports and pin
    seated                          the pin pressed in, no pull
    pull_plate, PlatePull           force over extension through the maximum; sets on the way
    plate_concentration             elastic peak beside the hole of a neat pin

A quarter of the plate in half its thickness (`solid_plate_mesh`), elements, steel, Newton's method
and steps of the solid link. The pin (`solid_pin`) stands still; the middle of the plate is drawn
away from it. A plate's force is four times that of the quarter, its pitch grows by twice the
pull. Thickness is that of a solid: its strain across is free, so a thin plate is in plane stress.

No friction between pin and hole, no bending out of the plane, no fracture: the force at which a
plate of ductile steel gives way, not a rating. Chain is fit for use only after the tests of its
standard.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_fields import on_mesh, stress_of
from linkwright.mechanics.solid_model import single, steel_of_curve
from linkwright.mechanics.solid_newton import (
    Body,
    Count,
    NotBalanced,
    Solid,
    TooMany,
    advance,
    at_rest,
    first_guess,
)
from linkwright.mechanics.solid_path import Path, crest, follow, meet_force
from linkwright.mechanics.solid_pin import Pin, pin_in, pin_stiffness, rigid_pin_stiffness
from linkwright.mechanics.solid_plate_mesh import PlateCells, PlatePart, PlateShape, plate_part
from linkwright.quantities import ArgumentError, LinkwrightError

_FIRST, _LONGEST = 0.2, 0.004
"""First step over the extension at the elastic limit; longest step over the plate's height."""
_PRESSED = 6
_PROBE = 0.05  # of the pressing step: how far a pull is tried to see the plate's stiffness
_FREE, _TRIALS = 1e-5, 8  # share of the strength times the section that counts as no force
_FALL, _MOST = 0.004, 0.35
_SLACK, _CLOSE, _CLOSE_TO_FREE = 1e-3, 1e-4, 0.01
_ELASTIC = 0.02  # share of the tensile strength at which the elastic peak is read


class PlateNotSolved(LinkwrightError):
    """A plate could not be followed to where it was to go."""

    code = "not-solved"
    exit_code = 1


class PlateFit(NamedTuple):
    """How the pin sits in the hole."""

    diametral_interference_mm: float = 0.0
    """Diameter of the pin less that of the hole; below 0 there is play."""
    pin_bore_mm: float = 0.0
    rigid: bool = False


NEAT = PlateFit()
"""A solid elastic pin as large as the hole."""


class PlateModel(NamedTuple):
    """What is pulled."""

    shape: PlateShape
    part: PlatePart
    body: Body
    pin: Pin
    """As large as the hole."""
    fit: PlateFit
    tensile_strength_MPa: float
    elastic_modulus_MPa: float

    @property
    def unit_N(self) -> float:
        """Tensile strength times the section beside the hole, of the quarter."""
        return self.tensile_strength_MPa * self.shape.net_area_mm2 / 4

    @property
    def yield_pull_mm(self) -> float:
        """Strain of the tensile strength over half the spacing."""
        return self.tensile_strength_MPa / self.elastic_modulus_MPa * self.shape.hole_spacing_mm / 2


def plate_model(
    shape: PlateShape,
    curve: SwiftCurve,
    fit: PlateFit = NEAT,
    fineness: str | PlateCells = "medium",
) -> PlateModel:
    """The model of one plate. Raises `ArgumentError` for impossible sizes."""
    part = plate_part(shape, fineness)
    young = 1e3 * single("elastic_modulus_GPa", curve.elastic_modulus_GPa)
    radius = shape.hole_diameter_mm / 2
    if not 0 <= fit.pin_bore_mm < shape.hole_diameter_mm:
        raise ArgumentError("pin_bore_mm", fit.pin_bore_mm, "mm", "from 0, below the hole")
    if not abs(fit.diametral_interference_mm) < 0.1 * shape.hole_diameter_mm:
        raise ArgumentError(
            "diametral_interference_mm", fit.diametral_interference_mm, "mm",
            "less than a tenth of the hole",
        )  # fmt: skip
    stiff = (
        rigid_pin_stiffness(radius, young)
        if fit.rigid
        else pin_stiffness(radius, fit.pin_bore_mm, young)
    )
    pin = pin_in(part.mesh, part.rim, radius, stiff)
    body = Body.of(
        part.mesh, steel_of_curve(curve), part.fixed, 3 * part.pulled, -np.ones(len(part.pulled))
    )
    strength = single("tensile_strength_MPa", curve.tensile_strength_MPa)
    return PlateModel(shape, part, body._replace(prop=pin), pin, fit, strength, young)


def seated(model: PlateModel, count: Count) -> tuple[PlateModel, Solid]:
    """The pin in its hole without a pull; the model with the pin as it then is.

    A pin with play touches the outer end of the hole.

    Raises `NotBalanced` where pressing in found no balance.
    """
    state, wide = at_rest(model.body), model.fit.diametral_interference_mm / 2
    radius = model.pin.radius_mm
    if wide <= 0.0:
        body = model.body._replace(prop=model.pin.grown(radius + wide))
        if wide < 0.0:
            # the quarter moves as a whole until its hole touches, as nothing else holds it along x
            move = np.zeros_like(state.placed)
            move[:, 0] = wide
            state = state._replace(placed=state.placed + move, pull=-wide)
        return model._replace(body=body), state
    body, step = model.body, 0.0
    for share in np.linspace(0.0, 1.0, _PRESSED + 1)[1:]:
        body = model.body._replace(prop=model.pin.grown(radius + share * wide))
        new = _without_pull(model, body, state, state.pull + step, wide / _PRESSED, count)
        step, state = new.pull - state.pull, new
    # the way in says nothing about the way of a pull
    return model._replace(body=body), state._replace(last_pull=0.0)


def _without_pull(
    model: PlateModel, body: Body, state: Solid, pull: float, wide: float, count: Count
) -> Solid:
    """Balance with no force at the middle of the plate, by the secant rule on the pull."""
    still = np.zeros_like(state.placed)
    old = advance(body, state, pull, count, still)
    pull += _PROBE * wide
    for _ in range(_TRIALS):
        new = advance(body, state, pull, count, old.placed - state.placed)
        if abs(new.force) <= _FREE * model.unit_N:
            return new
        pull = new.pull - new.force * (new.pull - old.pull) / (new.force - old.force)
        old = new
    raise NotBalanced("pressing in found no place without a pull")


class PlateSet(NamedTuple):
    """What a preload leaves."""

    share: float
    """Preload over the breaking force."""
    force_kN: float
    permanent_set_mm: float
    """Growth of the spacing of the holes after unloading, as the pins feel it."""
    residual_hoop_MPa: float
    """Greatest stress along the rim of the hole after unloading, with what the fit puts there."""


@dataclass(frozen=True)
class PlatePull:
    """A plate pulled until its force has fallen again."""

    model: PlateModel = field(repr=False)
    extension_mm: Floats = field(repr=False)
    """Growth of the spacing of the pins."""
    force_kN: Floats = field(repr=False)
    breaking_force_kN: float
    """Greatest force; only the greatest seen unless ``passed``."""
    extension_at_break_mm: float
    force_factor: float
    """Breaking force over tensile strength times the section beside the hole."""
    passed: bool
    ended: str
    place: str
    """Where strain is greatest when the force has fallen."""
    sets: list[PlateSet]
    fit_pressure_MPa: float
    """Mean pressure of the pin before the pull."""
    unbalanced_work_percent: float
    factorisations: int
    states: list[Solid] = field(repr=False)


def pull_plate(
    shape: PlateShape,
    curve: SwiftCurve,
    fit: PlateFit = NEAT,
    *,
    preload_shares: Sequence[float] = (),
    fineness: str | PlateCells = "medium",
    factorisations: int = 400,
) -> PlatePull:
    """Press the pin in, pull to the maximum force; from shares of it, unload.

    A pull that ends before its maximum says so in ``passed`` and ``ended``.

    Raises `ArgumentError` for impossible sizes, `PlateNotSolved` where no loaded state or no way
    back was found.
    """
    count = Count(factorisations)
    try:
        model, start = seated(plate_model(shape, curve, fit, fineness), count)
    except NotBalanced as error:
        raise PlateNotSolved(f"pressing in: {error}") from error
    path = follow(
        model.body, start, _MOST * shape.hole_spacing_mm, count,
        first=_FIRST * model.yield_pull_mm, longest=_LONGEST * shape.plate_height_mm,
        enough=_fallen,
    )  # fmt: skip
    if len(path.states) < 4:
        raise PlateNotSolved(f"the plate found no loaded state: {path.ended}")
    return _as_pull(model, path, preload_shares, count)


def _as_pull(
    model: PlateModel, path: Path, preload_shares: Sequence[float], count: Count
) -> PlatePull:
    start = path.states[0]
    force = 4e-3 * np.array([state.force for state in path.states])
    extension = 2 * np.array([state.pull - start.pull for state in path.states])
    peak, passed = int(np.argmax(force)), _fallen(path)
    top, where = crest(extension, force, peak) if passed else (force[peak], extension[peak])
    kept = path.last.stored + path.last.spent - start.stored - start.spent
    return PlatePull(
        model=model,
        extension_mm=extension,
        force_kN=force,
        breaking_force_kN=float(top),
        extension_at_break_mm=float(where),
        force_factor=float(1e3 * top / (4 * model.unit_N)),
        passed=passed,
        ended="the force has fallen from its maximum" if passed else path.ended,
        place=_place(model, path.last),
        sets=[_set(model, path, share, float(top), count) for share in preload_shares],
        fit_pressure_MPa=fit_pressure_MPa(model, start),
        unbalanced_work_percent=100 * (path.work[-1] - kept) / path.work[-1],
        factorisations=count.done,
        states=path.states,
    )


def fit_pressure_MPa(model: PlateModel, state: Solid) -> float:
    """Mean pressure between pin and hole, over the whole rim of the unloaded hole."""
    pin = model.body.prop
    if not isinstance(pin, Pin):
        return 0.0
    _, pressure = pin.pressure(state.placed[model.body.mesh.elements[pin.elements]])
    return float(np.average(pressure, weights=pin.area.ravel()))


def _fallen(path: Path) -> bool:
    greatest = max(state.force for state in path.states)
    return path.last.spent > 0 and path.last.force < (1 - _FALL) * greatest


def _place(model: PlateModel, state: Solid) -> str:
    """Where the greatest strain is: by the angle at the hole, or in the waist."""
    mesh, shape = model.body.mesh, model.shape
    strain = on_mesh(model.part.mesh, state.metal.plastic_strain)
    # a band through the plate, not the dent of the pin: mean over the rays of the sweep
    layers = [model.part.mesh.layer(k) for k in range(model.part.mesh.slices + 1)]
    ray = int(np.argmax([strain[layer].mean() for layer in layers]))
    node = mesh.nodes[layers[ray][-1]]
    angle = float(np.degrees(np.arctan2(node[1], node[0])))
    if angle >= np.degrees(shape.corner_rad) - 20.0:
        return "waist"
    return "before the pin" if angle < 60.0 else "beside the hole"


def _set(model: PlateModel, path: Path, share: float, top_kN: float, count: Count) -> PlateSet:
    """Unload from the state at a share of the breaking force to a thousandth of that.

    The set is the way between the two states of that small force, as on a bed with a foreload.
    """
    wanted = share * top_kN * 250.0
    small = _SLACK * wanted
    longest = _LONGEST * model.shape.plate_height_mm
    try:
        before, loaded = (_met(model, path, some, count) for some in (small, wanted))
        back = follow(
            model.body, loaded, path.states[0].pull - longest, count,
            first=_FIRST * model.yield_pull_mm, longest=longest,
            enough=lambda way: way.last.force <= small,
        )  # fmt: skip
        if back.last.force > small:
            raise NotBalanced(back.ended)
        free = meet_force(
            model.body, back.states[-2], back.last, small, _CLOSE_TO_FREE * small, count
        )
    except (NotBalanced, TooMany) as error:
        raise PlateNotSolved(
            f"unloading from {share:.2g} of the breaking force: {error}"
        ) from error
    rim = rim_hoop_MPa(model, free)[1]
    return PlateSet(share, share * top_kN, 2 * (free.pull - before.pull), float(rim.max()))


def _met(model: PlateModel, path: Path, wanted: float, count: Count) -> Solid:
    """The loaded state of a force, in the first step that passes it."""
    above = int(np.argmax(np.array([state.force for state in path.states]) >= wanted))
    low, high = path.states[above - 1], path.states[above]
    return meet_force(model.body, low, high, wanted, _CLOSE * wanted, count)


def rim_hoop_MPa(model: PlateModel, state: Solid) -> tuple[Floats, Floats]:
    """Angles in degrees, from the outer end, and hoop stress at the rim in the plate's middle."""
    mesh = model.part.mesh
    stress = stress_of(model.body, state)
    at = np.einsum("pn,enx->epx", model.body.shapes.value, state.placed[mesh.elements])
    angle = np.arctan2(at[..., 1], at[..., 0])
    around = np.stack([-np.sin(angle), np.cos(angle), np.zeros_like(angle)], axis=-1)
    hoop = on_mesh(mesh, np.einsum("epx,epxy,epy->ep", around, stress, around))
    nodes = np.array([mesh.layer(k)[model.part.rim[0]] for k in range(mesh.slices + 1)])
    where = mesh.nodes[nodes]
    return np.degrees(np.arctan2(where[:, 1], where[:, 0])), hoop[nodes]


class PlateConcentration(NamedTuple):
    """Elastic peak at the hole of a plate that a pin pulls."""

    net_stress_factor: float
    """Greatest hoop stress at the rim over the force by the section beside the hole."""
    angle_deg: float
    """Where: 0 before the pin, 90 beside the hole."""
    stiffness_kN_per_mm: float
    """Force over growth of the spacing of the pins."""


def plate_concentration(
    shape: PlateShape,
    fit: PlateFit = NEAT,
    *,
    elastic_modulus_GPa: float = 205.0,
    fineness: str | PlateCells = "medium",
) -> PlateConcentration:
    """The elastic peak under a neat pin; with a loose one it grows with the load.

    Raises `ArgumentError` for a pressed pin, whose peak is not in proportion to the load.
    """
    if fit.diametral_interference_mm > 0:
        raise ArgumentError(
            "diametral_interference_mm", fit.diametral_interference_mm, "mm", "0 or play"
        )
    strong = SwiftCurve(1e6, 1e-3, 1.0, elastic_modulus_GPa)
    count = Count(50)
    small = plate_model(shape, strong, fit, fineness)._replace(tensile_strength_MPa=1000.0)
    model, start = seated(small, count)
    pull = start.pull + _ELASTIC * model.yield_pull_mm
    state = advance(model.body, start, pull, count, first_guess(model.body, start, pull, count))
    angle, hoop = rim_hoop_MPa(model, state)
    worst = int(np.argmax(hoop))
    return PlateConcentration(
        float(hoop[worst] * shape.net_area_mm2 / (4 * state.force)),
        float(angle[worst]),
        float(4e-3 * state.force / (2 * (state.pull - start.pull))),
    )
