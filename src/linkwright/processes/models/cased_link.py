"""The link of two metals: what a case does to breaking force, extension and set of a link.

- `cased_pull`: breaking force and extension over those of the same link of the core's metal
- `cased_proof`: set over that of the core's metal, and the strain of the surface at the proof force
- `at_link`: such a result at links that are off the nominal one
- `case_shape`: how the strength of a case falls from the surface to the core
- `strain_at_force`, `extension_in_percent`, `middle_of`, `strength_ratio`: small relations

The beam model of the link (docs/models/link.md) runs with and without the case; only the ratio of
both is used, on the force that the response of the solid link gives for the core's metal.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.cased_section import LinkCase
from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.quantities import CannotPlan

_SOURCE = (
    "curved beam with fibres of two metals: S. Timoshenko, Strength of Materials, Part II (1930); "
    "H. W. Swift (1952); a case that has cracked bears nothing; ratio to the link of the core's "
    "metal (docs/models/heat.md)"
)
_NEEDS = {
    "wire_diameter_mm": POSITIVE,
    "pitch_mm": POSITIVE,
    "outer_width_mm": POSITIVE,
    "tensile_strength_MPa": POSITIVE,
    "case_depth_mm": POSITIVE,
    "case_strength_ratio": POSITIVE,
    "case_crack_strain": POSITIVE,
    "hardening_exponent": (0.005, 0.6),
    "prestrain": (1e-5, 0.3),
    "friction_coefficient": NOT_NEGATIVE,
}
_FULL, _NONE = 1.0, 0.0


class CasedPull(NamedTuple):
    """Results of `cased_pull`."""

    case_force_ratio: Values
    """Breaking force over that of the core's metal throughout."""
    case_extension_ratio: Values
    """Extension at that force over that of the core's metal."""
    extension_at_crack_mm: Values
    """At which the case first cracks; that at the maximum where it does not before."""


class CasedProof(NamedTuple):
    """Results of `cased_proof`."""

    case_set_ratio: Values
    """Set over that of the core's metal throughout."""
    proved_strain: Values
    """Greatest tensile strain of the surface at the force; a share, logarithmic."""


@calculation(source=_SOURCE, needs=_NEEDS, basis="computed", costly=True)
def cased_pull(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    case_depth_mm: Values,
    case_strength_ratio: Values,
    case_crack_strain: Values,
    shape_depth_ratio: Values = (0.0, 1.0, 2.0),
    shape_ratio: Values = (1.0, 0.5, 0.0),
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> CasedPull:
    """Ratios of a cased link to the link of its core's metal, pulled to the maximum force.

    ``tensile_strength_MPa`` is that of the core, the ratio that of the surface over it; the strength
    of the case falls as ``shape_ratio`` over ``shape_depth_ratio`` (depth over case depth). Core and
    case have the same exponent and prestrain. A fibre within the case depth bears nothing any more
    once its tensile strain has passed the crack strain; that its crack notches the core is left out.

    Validity: as `link_strength`; case depth to a quarter of the wire.

    References: as the source.

    Example:
        >>> found = cased_pull(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.4,
        ...     tensile_strength_MPa=1400.0, case_depth_mm=0.28, case_strength_ratio=1.35,
        ...     case_crack_strain=0.02)
        >>> bool(0.88 < found.case_force_ratio < 0.98)
        True
    """  # noqa: E501
    link, curve = _link(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain,
    )  # fmt: skip
    case = _with_and_without(
        case_depth_mm, case_strength_ratio, case_crack_strain, shape_depth_ratio, shape_ratio
    )
    pull = pull_link(link, curve, friction_coefficient=friction_coefficient, case=case)
    force, farthest = np.asarray(pull.peak.force_kN), np.asarray(pull.peak.extension_mm)
    cracked = np.asarray(pull.fracture(case_crack_strain)[0])[0]
    first = np.where(np.isfinite(cracked), np.fmin(cracked, farthest[0]), farthest[0])
    return CasedPull(
        (force[0] / force[1])[()],
        (farthest[0] / farthest[1])[()],
        first[()],
    )


@calculation(
    source=_SOURCE, needs=_NEEDS | {"proof_force_kN": POSITIVE}, basis="computed", costly=True
)
def cased_proof(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    proof_force_kN: Values,
    case_depth_mm: Values,
    case_strength_ratio: Values,
    case_crack_strain: Values,
    shape_depth_ratio: Values = (0.0, 1.0, 2.0),
    shape_ratio: Values = (1.0, 0.5, 0.0),
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    friction_coefficient: Values = 0.0,
) -> CasedProof:
    """Set of a cased link over that of its core's metal, and the strain of its surface when proved.

    Arguments as `cased_pull`. Raises `CannotPlan` where a link does not bear the force.

    References: as the source.

    Example:
        >>> found = cased_proof(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.4,
        ...     tensile_strength_MPa=1400.0, proof_force_kN=50.3, case_depth_mm=0.28,
        ...     case_strength_ratio=1.35, case_crack_strain=0.02)
        >>> bool(0.010 < found.proved_strain < 0.014)
        True
    """
    link, curve = _link(
        wire_diameter_mm, pitch_mm, outer_width_mm, tensile_strength_MPa, hardening_exponent,
        prestrain,
    )  # fmt: skip
    case = _with_and_without(
        case_depth_mm, case_strength_ratio, case_crack_strain, shape_depth_ratio, shape_ratio
    )
    proof = prove_link(
        link, curve, proof_force_kN, friction_coefficient=friction_coefficient, case=case
    )
    lengthened = np.asarray(proof.permanent_set_mm)
    ratio = lengthened[0] / lengthened[1]
    if not np.isfinite(ratio).any():
        raise CannotPlan(
            f"a link of {float(np.max(tensile_strength_MPa)):.0f} MPa in its core does not bear "
            f"the proof force of {float(np.max(proof_force_kN)):.4g} kN"
        )
    return CasedProof(ratio[()], np.asarray(proof.greatest_strain)[0][()])


@calculation(source="first-order change of a solved result in logarithms", gives="value",
             basis="computed", needs={"value": POSITIVE})  # fmt: skip
def at_link(*, value: Values, exponents: Values, ratios: Values) -> Values:
    """A result at links whose inputs are off: value times the product of ratio^exponent.

    ``exponents`` one an input, ``ratios`` the inputs of the members over the nominal ones, with
    the inputs on the first axis.

    References: none needed.

    Example:
        >>> round(at_link(value=2.0, exponents=[1.0, -0.5], ratios=[1.1, 1.21]), 6)
        2.0
    """
    moved = np.tensordot(np.asarray(exponents, float), np.log(np.asarray(ratios, float)), 1)
    return (value * np.exp(moved))[()]


class CaseShape(NamedTuple):
    """Results of `case_shape`."""

    shape_depth_ratio: Values
    shape_ratio: Values


@calculation(
    source="hardness over the depth, less that of the core, over that of the surface",
    basis="computed",
    needs={"depth_mm": NOT_NEGATIVE, "hardness_HV": POSITIVE, "case_depth_mm": POSITIVE},
)
def case_shape(*, depth_mm: Values, hardness_HV: Values, case_depth_mm: Values) -> CaseShape:
    """How a case falls from its surface to the core: 1 at the surface, 0 in the core.

    Depth (over that of the case) and shape from the surface inwards, to where the core is reached.

    References: none needed.
    """
    depth, hardness = np.asarray(depth_mm, float), np.asarray(hardness_HV, float)
    core = hardness[-1]
    shape = np.clip((hardness - core) / max(hardness[0] - core, 1e-9), _NONE, _FULL)
    return CaseShape(depth / case_depth_mm, shape)


@calculation(
    source="power of the force about the one at which it was reckoned",
    gives="strain",
    basis="computed",
    needs={"force_kN": POSITIVE, "proved_force_kN": POSITIVE, "proved_strain": POSITIVE},
)
def strain_at_force(
    *, force_kN: Values, proved_force_kN: Values, proved_strain: Values, exponent: Values
) -> Values:
    """Strain of the surface at a force near that at which it is known: e (F/F0)^m.

    References: none needed.
    """
    return proved_strain * (force_kN / proved_force_kN) ** exponent


@calculation(source="product", gives="case_factor", basis="computed",
             needs={"factor": POSITIVE, "case_ratio": POSITIVE})  # fmt: skip
def case_factor(*, factor: Values, case_ratio: Values) -> Values:
    """A factor of the link model times the ratio that a case gives.

    References: none needed.
    """
    return factor * case_ratio


@calculation(source="product", gives="strain", basis="computed", needs={"factor": POSITIVE})
def corrected_strain(*, strain: Values, factor: Values) -> Values:
    """A strain of the beam model times the works' own factor on it.

    References: none needed.
    """
    return strain * factor


@calculation(source="definition", gives="strain_percent", basis="computed")
def strain_in_percent(*, strain: Values) -> Values:
    """A strain in per cent.

    References: definition.
    """
    return 100.0 * strain


@calculation(source="definition", gives="elongation_percent", basis="computed",
             needs={"pitch_mm": POSITIVE})  # fmt: skip
def extension_in_percent(*, extension_mm: Values, pitch_mm: Values) -> Values:
    """An extension as per cent of the pitch.

    References: definition.
    """
    return 100.0 * extension_mm / pitch_mm


@calculation(source="middle of two limits", gives="case_depth_mm", basis="computed")
def middle_depth(*, least_case_depth_mm: Values, greatest_case_depth_mm: Values) -> Values:
    """The case depth aimed at: half-way between its limits.

    References: none needed.
    """
    return (least_case_depth_mm + greatest_case_depth_mm) / 2.0


@calculation(source="definition", gives="strength_ratio", basis="computed",
             needs={"case_strength_MPa": POSITIVE, "core_strength_MPa": POSITIVE})  # fmt: skip
def strength_over_core(*, case_strength_MPa: Values, core_strength_MPa: Values) -> Values:
    """Strength at the surface of the case over that of the core.

    References: definition.
    """
    return case_strength_MPa / core_strength_MPa


@calculation(
    source="common practice, no source: no conversion is held above 650 HV (ISO 18265, Table A.1)",
    gives="hardness_HV",
    needs={"hardness_HV": POSITIVE},
)
def hardness_for_strength(*, hardness_HV: Values) -> Values:
    """Hardness of a case for its strength: itself, at most 650 HV, where the conversion ends.

    References: as the source.
    """
    return np.minimum(hardness_HV, 650.0)[()]


@calculation(source="sum of times", gives="time_min", basis="computed",
             needs={"temper_time_h": NOT_NEGATIVE})  # fmt: skip
def temper_cycle(*, heating_time_min: Values, temper_time_h: Values) -> Values:
    """Time of a load in a tempering furnace from door to door.

    References: definition of the hour.
    """
    return heating_time_min + 60.0 * temper_time_h


@calculation(
    source="share times hardness",
    gives="hardness_HV",
    basis="computed",
    needs={"quenched_HV": POSITIVE, "temper_share": POSITIVE, "factor": POSITIVE},
)
def tempered_by_share(*, quenched_HV: Values, temper_share: Values, factor: Values = 1.0) -> Values:
    """Hardness after a temper that leaves a share of the quenched one, times the works' factor.

    References: none needed.
    """
    return quenched_HV * temper_share * factor


def _link(
    wire: Values, pitch: Values, width: Values, strength: Values, exponent: Values, start: Values
) -> tuple[LinkGeometry, SwiftCurve]:
    return LinkGeometry(wire, pitch, width), SwiftCurve.of_strength(strength, exponent, start)


def _with_and_without(
    depth: Values, ratio: Values, crack: Values, shape_depth: Values, shape: Values
) -> LinkCase:
    """On a first axis of two: the case, and the same fibres with nothing but the core's metal."""
    whole = np.broadcast_arrays(*(np.asarray(one, float) for one in (depth, ratio, crack)))
    return LinkCase(
        whole[0],
        np.stack([whole[1], np.ones_like(whole[1])]),
        np.stack([whole[2], np.full_like(whole[2], np.inf)]),
        _points(shape_depth),
        _points(shape),
    )


def _points(values: Any) -> tuple[float, ...]:
    return tuple(float(value) for value in np.asarray(values, float))
