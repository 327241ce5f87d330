"""The link under load by finite elements: pulled to its maximum force, or proved and unloaded.

    pull_solid_link, SolidPull      force over extension through the maximum
    prove_solid_link, SolidProof    set, pitch, width, residual stress after a proof force

One octant of a link is meshed and the neighbour is its image, or a quarter and its sound neighbour
where the legs differ (`solid_model`). For many links use
`link_response`; this is the model that such fits are held against. A force computed here is no
rating: chain is fit for lifting only after the tests of its standard.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

import numpy as np

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_damage import Damage, damage_of
from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_fields import LinkFields, at_places, fields_of
from linkwright.mechanics.solid_model import (
    AtDepth,
    LinkModel,
    Reading,
    link_model,
    read,
)
from linkwright.mechanics.solid_newton import (
    Count,
    NotBalanced,
    Solid,
    TooMany,
    advance,
    at_rest,
)
from linkwright.mechanics.solid_octant import Fineness
from linkwright.mechanics.solid_path import Path, crest, follow, meet_force
from linkwright.mechanics.solid_stud import Seat, Stud
from linkwright.mechanics.solid_weld import SOUND, Weld
from linkwright.quantities import ArgumentError, LinkwrightError

_FIRST, _LONGEST = 0.00125, 0.0125
"""First and longest step of the pull, in wire diameters."""
_PROVED = 0.00625  # longest step of a proof's extension; four times that adds 3 per cent to a set
_BEYOND = 0.003  # fall that tells a maximum: points that come into contact shake the force by 0.1%
_FLAT, _BEFORE = 0.03, 0.1
"""A crest is flat: so many wire diameters of extension ahead of it hardly any force is missing."""
_MOST_ELONGATION = 0.6
SLACK = 1e-3
"""Share of the force before at which a link counts as unloaded."""
_CLOSE = 1e-4  # of the proof force; a third of the slack is close enough to being unloaded
_CHORD = (0.1, 0.3)


class LinkNotSolved(LinkwrightError):
    """A link could not be followed to where it was to go; says where the last good state is."""

    code = "not-solved"
    exit_code = 1


@dataclass(frozen=True)
class SolidPull:
    """A link pulled until its force has fallen again."""

    model: LinkModel = field(repr=False)
    readings: list[Reading] = field(repr=False)
    maximum_force_kN: float
    """Greatest force; only the greatest seen unless ``passed``."""
    extension_at_maximum_mm: float
    elongation_at_maximum_percent: float
    """Total: extension of the loaded link over its pitch."""
    efficiency: float
    """Maximum force over twice the wire's area times its tensile strength."""
    passed: bool
    """Whether the force was seen to fall after its maximum."""
    ended: str
    """Why the pull ended."""
    stiffness_kN_per_mm: float
    """Chord of the first loading between 10 and 30 per cent of the maximum force."""
    unbalanced_work_percent: float
    """Work of the force less energy stored and spent, over that work."""
    greatest_imbalance_percent: float
    """Forces out of balance over support forces, at the worst state."""
    friction_work_percent: float
    """Work of friction over the work of the force."""
    factorisations: int
    negative_pivots: int
    """Greatest number at a converged state; above zero a bifurcation was passed."""
    at_maximum: LinkFields = field(repr=False)
    last: LinkFields = field(repr=False)
    states: list[Solid] = field(repr=False)
    """That of every reading, to go on from."""
    damage: Damage = field(repr=False)
    """Strains that count for fracture, a row a reading; judged by `solid_damage.breaking`."""

    @property
    def peak(self) -> int:
        """Number of the reading with the greatest force."""
        return int(np.argmax(self.force_kN))

    @property
    def extension_mm(self) -> Floats:
        """Of every reading."""
        return np.array([reading.extension_mm for reading in self.readings])

    @property
    def force_kN(self) -> Floats:
        """Of every reading."""
        return np.array([reading.force_kN for reading in self.readings])

    def force_at(self, extension_mm: Floats | float) -> Floats:
        """Force at extensions, linear between readings; nan beyond the last."""
        return np.asarray(np.interp(extension_mm, self.extension_mm, self.force_kN, right=np.nan))


@dataclass(frozen=True)
class SolidProof:
    """A link loaded to its proof force and unloaded."""

    model: LinkModel = field(repr=False)
    loading: list[Reading] = field(repr=False)
    unloading: list[Reading] = field(repr=False)
    proof_force_kN: float
    permanent_set_mm: float
    residual_pitch_mm: float
    residual_outer_width_mm: float
    residual_inner_width_mm: float
    contact_area_mm2: float
    """Of the flattened contact under the proof force."""
    stiffness_before_kN_per_mm: float
    """Chord of the first loading between 10 and 30 per cent of the proof force."""
    stiffness_after_kN_per_mm: float
    """The same chord on the way back."""
    residual_stress_MPa: dict[str, float]
    """Along the wire, in the plane of the link, inside and outside of leg and crown."""
    factorisations: int
    at_proof: LinkFields = field(repr=False)
    unloaded: LinkFields = field(repr=False)


def pull_solid_link(
    geometry: LinkGeometry,
    curve: SwiftCurve,
    *,
    fineness: str | Fineness = "medium",
    weld: Weld = SOUND,
    friction_coefficient: float = 0.0,
    stud: Stud | None = None,
    strength_at: AtDepth | None = None,
    factorisations: int = 200,
    longest_step: float = 2 * _LONGEST,
    fall: float = _BEYOND,
) -> SolidPull:
    """Pull a link by its neighbours until its force has fallen by the share ``fall``.

    Displacement control; Coulomb friction where links touch. ``longest_step`` is the longest
    step of the extension in wire diameters. A pull that has to end earlier returns what it has,
    with the reason in ``ended`` and ``passed`` false unless the maximum lies behind.

    Raises `LinkNotSolved` if no loaded state was found, `ArgumentError` for a wrong size.
    """
    model = link_model(
        geometry, curve, fineness, weld=weld, friction_coefficient=friction_coefficient,
        stud=stud, strength_at=strength_at,
    )  # fmt: skip
    count = Count(factorisations)
    wire = model.outline.wire_mm
    path = follow(
        model.body,
        _unloaded_link(model, count),
        -_MOST_ELONGATION / 2 * model.outline.pitch_mm,
        count,
        first=_FIRST * wire,
        longest=longest_step / 2 * wire,
        enough=partial(_fallen, wire=wire, fall=fall),
    )
    if len(path.states) < 3:
        raise LinkNotSolved(f"the link found no loaded state: {path.ended}")
    return _as_pull(model, path, count, fall)


def _unloaded_link(model: LinkModel, count: Count) -> Solid:
    """The link before it is pulled; a stud that was set with squeeze has spread its legs."""
    rest = at_rest(model.body)
    seat = model.body.prop
    if not isinstance(seat, Seat) or seat.half_squeeze_mm <= 0:
        return rest
    try:
        return advance(model.body, rest, 0.0, count, np.zeros_like(rest.placed))
    except (NotBalanced, TooMany) as error:
        raise LinkNotSolved(f"the stud could not be set: {error}") from error


def _fallen(path: Path, wire: float, fall: float = _BEYOND) -> bool:
    """Whether the force has passed its maximum.

    Points that come into contact shake the force. In a wide link, which first bends to the shape
    of a long one, they do so where it rises steeply: there only a fall by `_FLAT` counts.
    """
    force = np.abs([state.force for state in path.states])
    extension = 2 * np.abs([state.pull for state in path.states])
    peak = int(np.argmax(force))
    ahead = np.interp(extension[peak] - _BEFORE * wire, extension, force)
    needed = fall if ahead > (1 - _FLAT) * force[peak] else max(fall, _FLAT)
    # before anything flowed a force falls only because links have not touched yet
    return bool(path.last.spent > 0 and force[-1] < (1 - needed) * force[peak])


def _as_pull(model: LinkModel, path: Path, count: Count, fall: float) -> SolidPull:
    readings = [read(model, state) for state in path.states]
    force = np.array([reading.force_kN for reading in readings])
    extension = np.array([reading.extension_mm for reading in readings])
    peak = int(np.argmax(force))
    wire = model.outline.wire_mm
    passed = _fallen(path, wire, min(fall, _BEYOND))
    maximum, where = crest(extension, force, peak) if passed else (force[peak], extension[peak])
    work = 2 * model.cuts * path.work[-1]
    kept = 2 * model.cuts * (path.last.stored + path.last.spent)
    ended = "the force has fallen from its maximum" if _fallen(path, wire, fall) else path.ended
    return SolidPull(
        model=model,
        readings=readings,
        maximum_force_kN=float(maximum),
        extension_at_maximum_mm=float(where),
        elongation_at_maximum_percent=100 * float(where) / model.outline.pitch_mm,
        efficiency=float(1e3 * maximum / (2 * model.wire_area_mm2 * model.tensile_strength_MPa)),
        passed=passed,
        ended=ended,
        stiffness_kN_per_mm=_chord(extension[: peak + 1], force[: peak + 1], float(maximum)),
        unbalanced_work_percent=100 * (work - kept) / work,
        greatest_imbalance_percent=100 * max(state.imbalance for state in path.states),
        friction_work_percent=100 * 2 * model.cuts * path.last.rubbed / work,
        factorisations=count.done,
        negative_pivots=max(state.negative_pivots for state in path.states),
        at_maximum=fields_of(model, path.states[peak]),
        last=fields_of(model, path.last),
        states=path.states,
        damage=damage_of(model, path.states),
    )


def _chord(extension: Floats, force: Floats, whole: float) -> float:
    """Stiffness between 10 and 30 per cent of a force, on a rising branch."""
    low, high = (np.interp(share * whole, force, extension) for share in _CHORD)
    return float((_CHORD[1] - _CHORD[0]) * whole / (high - low))


def prove_solid_link(
    geometry: LinkGeometry,
    curve: SwiftCurve,
    proof_force_kN: float,
    *,
    fineness: str | Fineness = "medium",
    weld: Weld = SOUND,
    friction_coefficient: float = 0.0,
    stud: Stud | None = None,
    strength_at: AtDepth | None = None,
    factorisations: int = 200,
    longest_step: float = _PROVED,
) -> SolidProof:
    """Load a link to a proof force and unload it to a thousandth of that.

    Steps are shorter than those of a pull, as a set hangs on the knee of the curve. The link is
    free of residual stress before. Isotropic hardening: no Bauschinger effect.

    Raises `ArgumentError` if the link cannot bear the force, `LinkNotSolved` with the last good
    state if no equilibrium was found on the way.
    """
    if not proof_force_kN > 0:
        raise ArgumentError("proof_force_kN", proof_force_kN, "kN", "a positive force")
    model = link_model(
        geometry, curve, fineness, weld=weld, friction_coefficient=friction_coefficient,
        stud=stud, strength_at=strength_at,
    )  # fmt: skip
    count = Count(factorisations)
    longest = longest_step / 2 * model.outline.wire_mm
    wanted = -1e3 * proof_force_kN / model.cuts
    up = _loaded(model, wanted, longest, count)
    back = unloaded(model, up[-1], SLACK * wanted, longest, count)
    return _as_proof(model, up, back, proof_force_kN, count)


def _loaded(model: LinkModel, wanted: float, longest: float, count: Count) -> list[Solid]:
    """States from rest to the wanted force."""

    def enough(path: Path) -> bool:
        return path.last.force <= wanted or _fallen(path, model.outline.wire_mm)

    target = -_MOST_ELONGATION / 2 * model.outline.pitch_mm
    first = _FIRST * model.outline.wire_mm
    path = follow(
        model.body, _unloaded_link(model, count), target, count,
        first=first, longest=longest, enough=enough,
    )  # fmt: skip
    if path.reached and path.last.force > wanted:
        greatest = read(model, min(path.states, key=lambda state: state.force)).force_kN
        raise ArgumentError(
            "proof_force_kN", -model.cuts * wanted / 1e3, "kN",
            f"less than the maximum force of the link, {greatest:.4g} kN",
        )  # fmt: skip
    _must_have_reached(model, path, "loading")
    return [*path.states[:-1], _met(model, path, wanted, _CLOSE * abs(wanted), count)]


def unloaded(
    model: LinkModel, state: Solid, wanted: float, longest: float, count: Count
) -> list[Solid]:
    """States from a loaded one back to a small force. Raises `LinkNotSolved`."""
    path = follow(
        model.body, state, 0.0, count,
        first=2 * _FIRST * model.outline.wire_mm, longest=longest,
        enough=lambda path: path.last.force >= wanted,
    )  # fmt: skip
    _must_have_reached(model, path, "unloading")
    return [*path.states[:-1], _met(model, path, wanted, abs(wanted) / 3, count)]


def _met(model: LinkModel, path: Path, wanted: float, close: float, count: Count) -> Solid:
    """The state on the last step of a way at which the force is the wanted one."""
    try:
        return meet_force(model.body, path.states[-2], path.last, wanted, close, count)
    except (NotBalanced, TooMany) as error:
        path.ended = str(error)
        path.reached = False
        raise _not_solved(model, path, "meeting the force") from error


def _must_have_reached(model: LinkModel, path: Path, doing: str) -> None:
    if not path.reached:
        raise _not_solved(model, path, doing)


def _not_solved(model: LinkModel, path: Path, doing: str) -> LinkNotSolved:
    last = read(model, path.last)
    return LinkNotSolved(
        f"{doing} ended early: {path.ended}; the last good state is {last.force_kN:.4g} kN "
        f"at {last.extension_mm:.4g} mm extension"
    )


def _as_proof(
    model: LinkModel, up: list[Solid], back: list[Solid], proof_force_kN: float, count: Count
) -> SolidProof:
    loading = [read(model, state) for state in up]
    unloading = [read(model, state) for state in back]
    after = unloading[-1]
    rising = [(r.extension_mm, r.force_kN) for r in loading]
    falling = [(r.extension_mm, r.force_kN) for r in reversed(unloading)]
    before, behind = (
        _chord(np.array(way)[:, 0], np.array(way)[:, 1], proof_force_kN)
        for way in (rising, falling)
    )
    unloaded = fields_of(model, back[-1])
    return SolidProof(
        model=model,
        loading=loading,
        unloading=unloading,
        proof_force_kN=proof_force_kN,
        permanent_set_mm=after.extension_mm,
        residual_pitch_mm=model.outline.pitch_mm + after.extension_mm,
        residual_outer_width_mm=after.outer_width_mm,
        residual_inner_width_mm=after.inner_width_mm,
        contact_area_mm2=loading[-1].contact_area_mm2,
        stiffness_before_kN_per_mm=before,
        stiffness_after_kN_per_mm=behind,
        residual_stress_MPa=at_places(model, unloaded.along_MPa),
        factorisations=count.done,
        at_proof=fields_of(model, up[-1]),
        unloaded=unloaded,
    )
