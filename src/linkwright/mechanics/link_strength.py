"""Breaking force, set after proof and the pitch to make, as calculations of the catalogue.

    link_breaking_force       maximum force, extension and efficiency of a link
    link_set_after_proof      pitch after loading to a proof force and unloading
    link_pitch_before_proof   the pitch that has a wanted pitch after the proof

All three run the beam model of `link_beam`; for thousands of members use `link_response`.
A link that meets a force on paper is not fit for lifting by that: it needs the tests of its
standard, and a chain that breaks on a test bed flies.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.link_beam import LinkProof, prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError

_SOURCE = (
    "Curved bar with plane sections: S. Timoshenko, Strength of Materials, Part II, 1930; quarter "
    "link: G. A. Goodenough and L. E. Moore, The Strength of Chain Links, University of Illinois "
    "Engineering Experiment Station Bulletin 18, 1907; flow curve: H. W. Swift, J. Mech. Phys. "
    "Solids 1, 1952; bearing: K. L. Johnson, Contact Mechanics, 1985; the model is ours, "
    "docs/models/link.md"
)
_ROUNDS, _CLOSE = 12, 1e-6
_NEEDS = {
    "wire_diameter_mm": POSITIVE,
    "pitch_mm": POSITIVE,
    "outer_width_mm": POSITIVE,
    "tensile_strength_MPa": POSITIVE,
    "hardening_exponent": (0.005, 0.6),
    "prestrain": (1e-5, 0.3),
    "elastic_modulus_GPa": POSITIVE,
    "friction_coefficient": NOT_NEGATIVE,
}
_VALID = {
    "hardening_exponent": (0.03, 0.25),
    "prestrain": (0.001, 0.03),
    "friction_coefficient": (0.0, 0.3),
}


class LinkBreak(NamedTuple):
    """Results of `link_breaking_force`."""

    breaking_force_kN: Values
    maximum_force_kN: Values
    extension_at_maximum_mm: Values
    elongation_at_maximum_percent: Values
    efficiency: Values
    greatest_surface_strain: Values
    """At the maximum force; logarithmic."""


class LinkSet(NamedTuple):
    """Results of `link_set_after_proof`."""

    permanent_set_mm: Values
    residual_pitch_mm: Values
    permanent_set_percent: Values
    extension_at_proof_mm: Values
    unloading_stiffness_kN_per_mm: Values


@calculation(
    source=_SOURCE,
    needs={**_NEEDS, "fracture_strain": POSITIVE, "crown_radius_mm": POSITIVE},
    valid=_VALID,
    basis="computed",
)
def link_breaking_force(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    elastic_modulus_GPa: Values = 205.0,
    friction_coefficient: Values = 0.0,
    fracture_strain: Values | None = None,
    crown_radius_mm: Values | None = None,
) -> LinkBreak:
    """Breaking force of a welded oval link pulled by its neighbours.

    The least of the maximum force of the plastic link and, if ``fracture_strain`` is given,
    the force at which the greatest tensile surface strain (logarithmic) reaches it. The
    efficiency is the maximum force over twice the wire's area times its tensile strength.
    ``hardening_exponent`` and ``prestrain`` are n and e0 of the Swift curve K (e0 + p)^n, whose
    K follows from the tensile strength.

    Validity: against an independent finite-element result for one link (d 8 mm, pitch 24 mm)
    the force is within 3 per cent; friction 0.15 adds about 4 per cent here and 6 there.
    Slight damage, welds softer than the wire and notches are not in it. Where the force still
    rises at the end of the pull (strong hardening), the greatest force seen is given.

    Example:
        >>> r = link_breaking_force(
        ...     wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
        ...     tensile_strength_MPa=1180.0)
        >>> round(r.breaking_force_kN), round(r.efficiency, 2)
        (82, 0.69)

    References: see the source of the calculation and docs/models/link.md.
    """
    geometry = LinkGeometry(wire_diameter_mm, pitch_mm, outer_width_mm, crown_radius_mm)
    curve = SwiftCurve.of_strength(
        tensile_strength_MPa, hardening_exponent, prestrain, elastic_modulus_GPa
    )
    pull = pull_link(geometry, curve, friction_coefficient=friction_coefficient)
    peak = pull.peak
    at_peak = np.nanmax(
        np.where(pull.extension_mm <= peak.extension_mm, pull.greatest_strain, 0.0), axis=0
    )
    return LinkBreak(
        pull.breaking_force_kN(fracture_strain),
        peak.force_kN,
        peak.extension_mm,
        pull.elongation_at_maximum_percent,
        pull.efficiency,
        at_peak if at_peak.ndim else float(at_peak),
    )


@calculation(
    source=_SOURCE,
    needs={**_NEEDS, "proof_force_kN": POSITIVE, "crown_radius_mm": POSITIVE},
    valid=_VALID,
    basis="computed",
)
def link_set_after_proof(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    proof_force_kN: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    elastic_modulus_GPa: Values = 205.0,
    friction_coefficient: Values = 0.0,
    crown_radius_mm: Values | None = None,
) -> LinkSet:
    """Pitch of a link after loading to a proof force and unloading.

    ``permanent_set`` is the growth of the pitch, flattened contacts included; it is measured
    at a thousandth of the proof force, where the links still touch. The link is free of
    residual stress before the proof.

    Errors: `ArgumentError` if the link cannot bear the proof force.

    Example:
        >>> r = link_set_after_proof(
        ...     wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
        ...     tensile_strength_MPa=1180.0, proof_force_kN=50.3)
        >>> round(r.residual_pitch_mm, 1)
        24.6

    References: see the source of the calculation and docs/models/link.md.
    """
    geometry = LinkGeometry(wire_diameter_mm, pitch_mm, outer_width_mm, crown_radius_mm)
    curve = SwiftCurve.of_strength(
        tensile_strength_MPa, hardening_exponent, prestrain, elastic_modulus_GPa
    )
    proof = prove_link(geometry, curve, proof_force_kN, friction_coefficient=friction_coefficient)
    return _as_set(proof, proof_force_kN)


def _as_set(proof: LinkProof, proof_force_kN: Values) -> LinkSet:
    if not np.isfinite(proof.permanent_set_mm).all():
        raise ArgumentError(
            "proof_force_kN", float(np.max(proof_force_kN)), "kN",
            "less than the maximum force of the link",
        )  # fmt: skip
    before = proof.residual_pitch_mm - proof.permanent_set_mm
    return LinkSet(
        proof.permanent_set_mm,
        proof.residual_pitch_mm,
        100 * proof.permanent_set_mm / before,
        proof.extension_at_proof_mm,
        proof.unloading_stiffness_kN_per_mm,
    )


@calculation(
    source=_SOURCE,
    gives="pitch_mm",
    needs={
        **{name: bounds for name, bounds in _NEEDS.items() if name != "pitch_mm"},
        "residual_pitch_mm": POSITIVE,
        "proof_force_kN": POSITIVE,
        "crown_radius_mm": POSITIVE,
    },
    valid=_VALID,
    basis="computed",
)
def link_pitch_before_proof(
    *,
    wire_diameter_mm: Values,
    residual_pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    proof_force_kN: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    elastic_modulus_GPa: Values = 205.0,
    friction_coefficient: Values = 0.0,
    crown_radius_mm: Values | None = None,
) -> Values:
    """Pitch to make so that the link has a wanted pitch after the proof.

    Root of pitch + set(pitch) = ``residual_pitch``, bracketed by the wanted pitch less twice its
    own set, and the wanted pitch; false position with the Illinois rule to 1e-6 of the pitch.

    Errors: `ArgumentError` if the link cannot bear the proof force or no root is bracketed.

    Example:
        >>> pitch = link_pitch_before_proof(
        ...     wire_diameter_mm=8.0, residual_pitch_mm=24.0, outer_width_mm=26.8,
        ...     tensile_strength_MPa=1180.0, proof_force_kN=45.0)
        >>> round(pitch, 1)
        23.6

    References: see the source of the calculation and docs/models/link.md.
    """
    curve = SwiftCurve.of_strength(
        tensile_strength_MPa, hardening_exponent, prestrain, elastic_modulus_GPa
    )

    def growth(pitch: Floats) -> Floats:
        geometry = LinkGeometry(wire_diameter_mm, pitch, outer_width_mm, crown_radius_mm)
        proof = prove_link(
            geometry, curve, proof_force_kN, friction_coefficient=friction_coefficient
        )
        return np.asarray(_as_set(proof, proof_force_kN).permanent_set_mm)

    wanted = np.asarray(residual_pitch_mm, dtype=float)
    root = _false_position(growth, wanted)
    return root if root.ndim else float(root)


def _false_position(growth: Callable[[Floats], Floats], wanted: Floats) -> Floats:
    """Root of x + growth(x) = wanted, for all members at once."""
    first = growth(wanted)
    high, above = wanted + 0 * first, first
    low = wanted - 2 * first
    below = low + growth(low) - wanted
    if np.any(below > 0):
        raise ArgumentError(
            "residual_pitch_mm", float(np.max(wanted)), "mm",
            "a pitch at which the set changes by less than the pitch does",
        )  # fmt: skip
    for _ in range(_ROUNDS):
        middle = high - above * (high - low) / (above - below)
        error = middle + growth(middle) - wanted
        if np.all(np.abs(error) <= _CLOSE * wanted):
            return middle
        upper = error > 0
        # Illinois: the end that stays counts half, so that both ends close in
        above, below = np.where(upper, error, above / 2), np.where(upper, below / 2, error)
        high, low = np.where(upper, middle, high), np.where(upper, low, middle)
    return middle
