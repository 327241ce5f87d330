"""The chain link as a route uses it: breaking force, elongation, set after the proof force.

The answers come from a local response of the beam model (`mechanics.link_response`) about
the usual link of lifting chain, pitch 3 d and outer width 3.35 d, so that thousands of
links cost microseconds each; a test holds the response against the model itself.

- `link_strength`, `link_set`: forward
- `strength_for_force`, `pitch_before_set`: backwards, by iteration on the response
- `calibrated_pitch`, `set_percent`, `force_ratio`: small relations
- `force_extension`: the whole curve of one link, by the model itself
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
    "quarter link of curved beams, S. Timoshenko, Strength of Materials, Part II (1930); G. A. "
    "Goodenough & L. E. Moore, Univ. of Illinois Bulletin 18 (1907); H. W. Swift (1952); local "
    "response of it (docs/models/link.md)"
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
_NOMINAL_PITCH, _NOMINAL_WIDTH = 3.0, 3.35
_NOMINAL_STRENGTH_MPA, _NOMINAL_PROOF_MPA = 1230.0, 500.0
_ROUNDS = 12
_INSIDE = 1e-12


@lru_cache(maxsize=8)
def usual_response(exponent: float, prestrain: float, friction: float) -> LinkResponse:
    """Response about the usual link of lifting chain, for one flow curve and friction.

    Those of the shipped table are read; any other is built, which takes half a second.
    """
    text = files("linkwright.processes.models").joinpath("data", "link_response.json")
    for row in json.loads(text.read_text("utf-8"))["responses"]:
        if (row["exponent"], row["prestrain"], row["friction"]) == (exponent, prestrain, friction):
            return LinkResponse(
                np.array(row["centre"]),
                np.array(row["coefficients"]),
                np.array(row["shares"]),
                row["elastic_modulus_GPa"],
            )
    return built_response(exponent, prestrain, friction)


def built_response(exponent: float, prestrain: float, friction: float) -> LinkResponse:
    """The same by running the design of the beam model (`scripts/build_link_response.py`)."""
    curve = SwiftCurve.of_strength(_NOMINAL_STRENGTH_MPA, exponent, prestrain)
    proof = _NOMINAL_PROOF_MPA * np.pi / 2.0 / 1000.0
    link = LinkGeometry(1.0, _NOMINAL_PITCH, _NOMINAL_WIDTH)
    return LinkResponse.build(link, curve, float(proof), friction_coefficient=friction)


class LinkStrength(NamedTuple):
    """Results of `link_strength`."""

    breaking_force_kN: Values
    extension_at_maximum_mm: Values
    efficiency: Values


def _response(exponent: Values, prestrain: Values, friction: Values) -> LinkResponse:
    """The flow curve of the steel is one for all members; its strength is not."""
    return usual_response(*(float(np.ravel(part)[0]) for part in (exponent, prestrain, friction)))


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

    efficiency = F/(2 A Rm). Exponent, prestrain and friction are one value for all members.
    Range of the response: wire 4, pitch 8, width 7, strength 10 per cent about the usual
    link (pitch 3 d, outer width 3.35 d, 1230 MPa); within 1 % of the model there.

    References: as the source.

    Example:
        >>> link = link_strength(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
        ...                      tensile_strength_MPa=1230.0)
        >>> bool(83 < link.breaking_force_kN < 88)
        True
    """
    response = _response(hardening_exponent, prestrain, friction_coefficient)
    links = LinkMembers(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain,
    )  # fmt: skip
    force = response.maximum_force_kN(links)
    area = np.pi / 2.0 * np.asarray(wire_diameter_mm, float) ** 2
    return LinkStrength(
        force[()],
        response.extension_at_maximum_mm(links)[()],
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

    Outside the shares of the breaking force that the response was fitted for (0.43 to 0.75 of
    the usual link's) the set stays at its least or greatest fitted value: a link so strong
    sets less than that, and one so weak is judged by its breaking force.

    References: as the source.
    """
    response = _response(hardening_exponent, prestrain, friction_coefficient)
    links = LinkMembers(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain,
    )  # fmt: skip
    share = np.asarray(proof_force_kN, float) / response.maximum_force_kN(links)
    # a hair inside, so that rounding does not carry an end of the range beyond it
    held = np.clip(
        share, response.shares[0] * (1.0 + _INSIDE), response.shares[-1] * (1.0 - _INSIDE)
    )
    force = held * response.maximum_force_kN(links)
    return (set_factor * response.permanent_set_mm(links, force))[()]


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

    Rm <- Rm F_wanted/(f F(Rm)), which closes in by the small departure from proportion.
    Raises `CannotPlan` if it does not close in.

    References: as the source.
    """
    strength = np.asarray(_NOMINAL_STRENGTH_MPA, float)
    wanted = np.asarray(breaking_force_kN, float) / breaking_force_factor
    for _ in range(_ROUNDS):
        found = link_strength(
            wire_diameter_mm=wire_diameter_mm,
            pitch_mm=pitch_mm,
            outer_width_mm=outer_width_mm,
            tensile_strength_MPa=strength,
            hardening_exponent=hardening_exponent,
            prestrain=prestrain,
            friction_coefficient=friction_coefficient,
        ).breaking_force_kN
        ratio = wanted / found
        strength = strength * ratio
        if np.all(np.abs(ratio - 1.0) < 1e-13):
            break
    if np.any(np.abs(ratio - 1.0) > 1e-9):
        raise CannotPlan("no tensile strength gives the breaking force aimed at")
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

    p0 <- p - set(p0); the set changes far less than the pitch does, so it closes in.

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
        before = pitch_mm - np.asarray(grown)
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
    """Force against extension of one link to beyond its maximum, for a picture."""
    curve = SwiftCurve.of_strength(tensile_strength_MPa, hardening_exponent, prestrain)
    link = LinkGeometry(wire_diameter_mm, pitch_mm, outer_width_mm)
    pull = pull_link(link, curve, friction_coefficient=friction_coefficient)
    kept = np.isfinite(pull.force_kN)
    return {"extension_mm": pull.extension_mm[kept], "force_kN": pull.force_kN[kept]}
