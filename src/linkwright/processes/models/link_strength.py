"""The chain link as a route uses it: breaking force, elongation, set after the proof force.

The answers come from the response of the solid link (`mechanics.link_response`), made for all
welded chain of the standards, so that thousands of links cost microseconds each; tests
hold the response against the solid itself.

- `link_strength`, `link_set`: forward
- `strength_for_force`, `pitch_before_set`: backwards, by iteration on the response
- `calibrated_pitch`, `set_percent`, `force_ratio`: small relations
- `force_extension`: the whole curve of one link, in the shape that the beam model gives it
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.link_beam import pull_link
from linkwright.mechanics.link_response import LinkMembers, LinkResponse
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.quantities import CannotPlan

_SOURCE = (
    "finite elements of an octant of the link, J. C. Simo, Comput. Methods Appl. Mech. Eng. 99 "
    "(1992); H. W. Swift (1952); response surface over runs of it, friction after curved beams, S. "
    "Timoshenko, Strength of Materials, Part II (1930) (docs/models/link.md)"
)
_NEEDS = {
    "wire_diameter_mm": POSITIVE,
    "pitch_mm": POSITIVE,
    "outer_width_mm": POSITIVE,
    "tensile_strength_MPa": POSITIVE,
    "hardening_exponent": (0.005, 0.6),
    "prestrain": (1e-5, 0.3),
    "friction_coefficient": NOT_NEGATIVE,
}
_USUAL_EFFICIENCY = 0.7
_ROUNDS = 60
_STILL = 1e-13
_CLOSED = 1e-9


@lru_cache(maxsize=1)
def link_response() -> LinkResponse:
    """The response that ships (scripts/build_link_response.py)."""
    text = files("linkwright.processes.models").joinpath("data", "link_response.json")
    return LinkResponse.of_table(json.loads(text.read_text("utf-8")))


class LinkStrength(NamedTuple):
    """Results of `link_strength`."""

    breaking_force_kN: Values
    extension_at_maximum_mm: Values
    efficiency: Values


@calculation(source=_SOURCE, needs=_NEEDS, basis="computed")
def link_strength(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> LinkStrength:
    """Maximum force of a link and its extension there, for any number of links.

    efficiency = F/(2 A Rm). Arguments broadcast. Range of the response: pitch 2.5 to 5 d, outer
    width 3.1 to 3.8 d, strength 350 to 1600 MPa, exponent 0.03 to 0.25, prestrain 0.001 to
    0.03, friction 0 to 0.3; errors in docs/models/link.md. A few links outside are run by the
    beam model, scaled as at the edge of the range; for many `ArgumentError` names the range.

    References: as the source.

    Example:
        >>> link = link_strength(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
        ...                      tensile_strength_MPa=1230.0)
        >>> bool(81 < link.breaking_force_kN < 86)
        True
    """
    links = LinkMembers(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain, friction_coefficient,
    )  # fmt: skip
    force, extension = link_response().peak(links)
    area = np.pi / 2.0 * np.asarray(wire_diameter_mm, float) ** 2
    return LinkStrength(
        force[()],
        extension[()],
        (force * 1e3 / (area * tensile_strength_MPa))[()],
    )


@calculation(
    source=_SOURCE,
    gives="permanent_set_mm",
    needs=_NEEDS | {"proof_force_kN": POSITIVE, "set_factor": POSITIVE},
    basis="computed",
)
def link_set(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    proof_force_kN: Values,
    set_factor: Values = 1.0,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> Values:
    """Growth of the pitch by a proof force, times the works' own factor.

    The response was fitted from 0.2 to 0.9 of the breaking force; below and above, the set
    goes on as a power of the force (docs/models/link.md gives the errors), up to the
    breaking force and no farther: a link that tore is judged by that force.

    References: as the source.
    """
    links = LinkMembers(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain, friction_coefficient,
    )  # fmt: skip
    grown = link_response().permanent_set_mm(links, proof_force_kN)
    return np.asarray(set_factor * grown)[()]


@calculation(
    source=f"{_SOURCE}; inverse by fixed-point iteration",
    gives="tensile_strength_MPa",
    needs={"breaking_force_kN": POSITIVE, "breaking_force_factor": POSITIVE},
    basis="computed",
)
def strength_for_force(
    *,
    breaking_force_kN: Values,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    breaking_force_factor: Values = 1.0,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> Values:
    """Tensile strength that a breaking force needs: the force is nearly proportional to it.

    Rm <- Rm F_wanted/(f F(Rm)), which closes in by the small departure from proportion, within
    the strengths of the response. Raises `CannotPlan` where none of them gives the force.

    References: as the source.
    """
    strengths = link_response().strengths_MPa
    wanted = np.asarray(breaking_force_kN, float) / breaking_force_factor
    area = np.pi / 2.0 * np.square(np.asarray(wire_diameter_mm, float))
    strength = np.clip(wanted * 1e3 / (area * _USUAL_EFFICIENCY), *strengths)
    for _ in range(_ROUNDS):
        links = LinkMembers(
            wire_diameter_mm, pitch_mm, outer_width_mm, strength, hardening_exponent, prestrain,
            friction_coefficient,
        )  # fmt: skip
        found = link_response().maximum_force_kN(links)
        ratio = wanted / found
        if np.all(np.abs(ratio - 1.0) < _STILL):
            break
        strength = np.clip(strength * ratio, *strengths)
    if np.any(np.abs(ratio - 1.0) > _CLOSED):
        worst = np.ravel(wanted)[np.argmax(np.abs(np.ravel(ratio) - 1.0))]
        raise CannotPlan(
            f"no tensile strength between {strengths[0]:.0f} and {strengths[1]:.0f} MPa gives the "
            f"breaking force of {worst:.4g} kN aimed at"
        )
    return strength[()]


@calculation(
    source=f"{_SOURCE}; inverse by fixed-point iteration",
    gives="pitch_mm",
    needs={"pitch_mm": POSITIVE, "proof_force_kN": POSITIVE},
    basis="computed",
)
def pitch_before_set(
    *,
    pitch_mm: Values,
    wire_diameter_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    proof_force_kN: Values,
    set_factor: Values = 1.0,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> Values:
    """Pitch that becomes ``pitch_mm`` by the proof force: p0 + set(p0) = p.

    p0 <- p - set(p0); the set changes far less than the pitch does, so it closes in. Raises
    `CannotPlan` where it does not, as for a force at which the link tears.

    References: as the source.
    """
    before = np.asarray(pitch_mm, float)
    for _ in range(_ROUNDS):
        grown = link_set(
            wire_diameter_mm=wire_diameter_mm,
            pitch_mm=before,
            outer_width_mm=outer_width_mm,
            tensile_strength_MPa=tensile_strength_MPa,
            proof_force_kN=proof_force_kN,
            set_factor=set_factor,
            hardening_exponent=hardening_exponent,
            prestrain=prestrain,
            friction_coefficient=friction_coefficient,
        )
        last, before = before, pitch_mm - np.asarray(grown)
        moved = np.max(np.abs(before - last) / pitch_mm)
        if moved < _STILL:
            break
    if not moved < _CLOSED:
        raise CannotPlan("no pitch becomes the one aimed at by this proof force: it is too great")
    return before[()]


@calculation(source="sum of pitch and set", gives="pitch_mm", basis="computed")
def calibrated_pitch(*, pitch_mm: Values, permanent_set_mm: Values) -> Values:
    """Pitch after calibrating: pitch before and permanent set.

    References: none needed.
    """
    return pitch_mm + permanent_set_mm


@calculation(
    source="definition", gives="set_percent", basis="computed", needs={"pitch_mm": POSITIVE}
)
def set_percent(*, permanent_set_mm: Values, pitch_mm: Values) -> Values:
    """Permanent set as per cent of the pitch before.

    References: definition.
    """
    return 100.0 * permanent_set_mm / pitch_mm


@calculation(
    source="definition",
    gives="force_ratio",
    basis="computed",
    needs={"breaking_force_kN": POSITIVE},
)
def force_ratio(*, force_kN: Values, breaking_force_kN: Values) -> Values:
    """A force over the breaking force.

    References: definition.
    """
    return force_kN / breaking_force_kN


def force_extension(
    *,
    wire_diameter_mm: float,
    pitch_mm: float,
    outer_width_mm: float,
    tensile_strength_MPa: float,
    hardening_exponent: float,
    prestrain: float,
    friction_coefficient: float,
) -> dict[str, Any]:
    """Force against extension of one link to beyond its maximum, for a picture.

    The beam model's curve, stretched so that its maximum is that of the response.
    """
    curve = SwiftCurve.of_strength(tensile_strength_MPa, hardening_exponent, prestrain)
    link = LinkGeometry(wire_diameter_mm, pitch_mm, outer_width_mm)
    pull = pull_link(link, curve, friction_coefficient=friction_coefficient)
    kept = np.isfinite(pull.force_kN)
    force, extension = link_response().peak(
        LinkMembers(
            wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa,
            hardening_exponent, prestrain, friction_coefficient,
        )
    )  # fmt: skip
    return {
        "extension_mm": pull.extension_mm[kept] * extension / pull.peak.extension_mm,
        "force_kN": pull.force_kN[kept] * force / pull.peak.force_kN,
    }
