"""Local response of a link: what the beam model says around one nominal link, in microseconds.

    LinkResponse    built once around a nominal link; then maximum force, extension, set after
                    proof and the force for a wanted set, for arrays of any shape

A lot has thousands of links that differ by a few per cent: the beam is run for a small design
of links around the nominal one and the results are fitted by a quadratic in five ratios:
pitch and outer width over wire diameter, hardening exponent, prestrain, tensile strength over
Young's modulus (their logarithms, all products). Forces are fitted as
F/(d^2 Rm), lengths over d, so that the main effects of size and strength are exact. The set is
fitted as its logarithm at eight shares of the maximum force and interpolated between them.

Range: wire 4, pitch 3, width 3, strength 10, exponent and prestrain 30 per cent either side;
proof force so that its share of the maximum force stays within `LinkResponse.shares`.

References: design and quadratic fit after G. E. P. Box and K. B. Wilson, On the experimental
attainment of optimum conditions, J. Roy. Statist. Soc. B 13, 1951; the physics is that of
`link_beam`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values
from linkwright.mechanics.link_beam import (
    GREATEST_TRAVEL,
    Ensemble,
    ensemble,
    peak_of,
    pull_states,
    touched,
    unloaded,
)
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.link_solver import march
from linkwright.mechanics.link_state import Link, some_of_link, stacked, start
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError

_SPREAD = np.array([0.07, 0.05, 0.36, 0.30, 0.10])
_CORNER = 0.9  # corners of the design, as shares of the spread
_SHARES = np.array([0.76, 0.83, 0.90, 0.97, 1.04, 1.12, 1.21, 1.31])
_STEPS = 30
_FIRST_STEPS = 10
_HIGHEST = 0.96  # nearer to the maximum the set runs away


class LinkMembers(NamedTuple):
    """Links near the nominal one; arrays that broadcast."""

    wire_diameter_mm: Values
    pitch_mm: Values
    outer_width_mm: Values
    tensile_strength_MPa: Values
    hardening_exponent: Values
    prestrain: Values


@dataclass(frozen=True)
class LinkResponse:
    """Fitted response around a nominal link; see `LinkResponse.build`."""

    centre: Floats
    """Logarithms of the five nominal ratios."""
    coefficients: Floats
    """Rows of the quadratic; columns: log maximum force, log extension, log set at each share."""
    shares: Floats
    """Shares of the maximum force at which the set is fitted."""
    elastic_modulus_GPa: float

    @classmethod
    def build(
        cls,
        geometry: LinkGeometry,
        material: SwiftCurve,
        proof_force_kN: float,
        *,
        friction_coefficient: float = 0.0,
    ) -> LinkResponse:
        """Run the design around a nominal link (all fields scalar) and fit it.

        ``proof_force_kN`` says around which share of the maximum force the set is wanted.
        Raises `ArgumentError` if it is beyond nine tenths of the nominal maximum force.
        """
        pitch, width, _ = geometry.ratios()
        strength = float(material.tensile_strength_MPa)
        modulus = float(material.elastic_modulus_GPa)
        centre = np.log(
            np.array([
                float(pitch), float(width), float(material.hardening_exponent),
                float(material.prestrain), strength / (1000 * modulus),
            ])
        )  # fmt: skip
        design = _design()
        ratios = np.exp(centre + design * _SPREAD).T
        curve = SwiftCurve.of_strength(ratios[4] * 1000 * modulus, ratios[2], ratios[3], modulus)
        links = ensemble(
            LinkGeometry(np.ones(len(design)), ratios[0], ratios[1]), curve, friction_coefficient
        )
        wire = float(np.asarray(geometry.wire_diameter_mm))
        nominal = 1000 * proof_force_kN / (wire**2 * strength)
        answers, shares = _answers(links, nominal)
        fitted = np.asarray(
            np.linalg.lstsq(_terms(design * _SPREAD), np.log(answers), rcond=None)[0], dtype=float
        )
        return cls(centre, fitted, shares, modulus)

    def maximum_force_kN(self, members: LinkMembers) -> Values:
        """Maximum force of each link."""
        return np.exp(self._log(members, slice(0, 1))[0]) * self._unit(members)

    def extension_at_maximum_mm(self, members: LinkMembers) -> Values:
        """Extension of the pitch at the maximum force."""
        return np.exp(self._log(members, slice(1, 2))[0]) * np.asarray(members.wire_diameter_mm)

    def permanent_set_mm(self, members: LinkMembers, proof_force_kN: Values) -> Values:
        """Growth of the pitch after a proof force; nan outside the fitted shares."""
        fitted = self._log(members, slice(0, None))
        share = np.asarray(proof_force_kN) / (np.exp(fitted[0]) * self._unit(members))
        return np.exp(_between(self.shares, fitted[2:], share)) * np.asarray(
            members.wire_diameter_mm
        )

    def force_at_set_kN(self, members: LinkMembers, permanent_set_mm: Values) -> Values:
        """Proof force that leaves a wanted set; nan where it lies outside the fitted shares."""
        fitted = self._log(members, slice(0, None))
        wanted = np.log(np.asarray(permanent_set_mm) / np.asarray(members.wire_diameter_mm))
        shape = np.broadcast_shapes(np.shape(wanted), fitted.shape[1:])
        low, high = np.full(shape, self.shares[0]), np.full(shape, self.shares[-1])
        inside = (wanted >= fitted[2]) & (wanted <= fitted[-1])
        for _ in range(40):
            middle = (low + high) / 2
            above = _between(self.shares, fitted[2:], middle) > wanted
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        share = np.where(inside, (low + high) / 2, np.nan)
        return share * np.exp(fitted[0]) * self._unit(members)

    def _log(self, members: LinkMembers, columns: slice) -> Floats:
        """The fitted logarithms, one first axis entry for each column."""
        wire = np.asarray(members.wire_diameter_mm, dtype=float)
        ratios = np.broadcast_arrays(
            members.pitch_mm / wire,
            members.outer_width_mm / wire,
            members.hardening_exponent,
            members.prestrain,
            np.asarray(members.tensile_strength_MPa) / (1000 * self.elastic_modulus_GPa),
        )
        deviations = np.stack([np.log(r) - c for r, c in zip(ratios, self.centre, strict=True)], -1)
        return np.moveaxis(_terms(deviations) @ self.coefficients[:, columns], -1, 0)

    @staticmethod
    def _unit(members: LinkMembers) -> Floats:
        wire = np.asarray(members.wire_diameter_mm, dtype=float)
        return np.asarray(wire**2 * np.asarray(members.tensile_strength_MPa) / 1000)


def _design() -> Floats:
    """Centre, ends of the five axes, and half of the corners (all pairs told apart)."""
    axes = np.vstack([np.eye(5), -np.eye(5)])
    corners = np.array([[1.0 - 2 * (k >> bit & 1) for bit in range(4)] for k in range(16)])
    half = np.column_stack([corners, corners.prod(axis=1)])
    return np.vstack([np.zeros(5), axes, _CORNER * half])


def _terms(deviations: Floats) -> Floats:
    """One, the deviations, their squares and products; last axis."""
    pairs = [deviations[..., i] * deviations[..., j] for i in range(5) for j in range(i, 5)]
    return np.concatenate(
        [np.ones_like(deviations[..., :1]), deviations, np.stack(pairs, axis=-1)], axis=-1
    )


def _answers(links: Ensemble, nominal: float) -> tuple[Floats, Floats]:
    """Maximum force over d^2 Rm, extension there over d, set over d at the shares."""
    states = pull_states(links.link, start(links.link), GREATEST_TRAVEL, _STEPS)
    well = np.array([state.well for state in states])
    force = np.where(well, np.array([state.force for state in states]), np.nan)
    extension = np.where(well, np.array([state.extension for state in states]), np.nan)
    peak = peak_of(extension, force)
    middle = nominal / (peak.force_kN[0] * links.unit_stress[0] / links.strength[0])
    if not 0.05 < middle < 0.9:
        raise ArgumentError(
            "proof_force_kN", nominal, "d^2 Rm", "0.05 to 0.9 of the maximum force of the link"
        )
    shares = np.minimum(middle * _SHARES, _HIGHEST)
    shares = shares[np.concatenate([[True], np.diff(shares) > 0.01])]
    residual = _sets(links.link, shares[:, None] * peak.force_kN)
    strength = peak.force_kN * links.unit_stress / links.strength
    return np.column_stack([strength, peak.extension_mm, residual.T]), shares


def _sets(link: Link, forces: Floats) -> Floats:
    """Set left by every one of the rising forces (forces, members), all unloaded at once."""
    state = touched(link, forces[0])
    before = 0 * forces[0]
    reached = []
    for index, force in enumerate(forces):
        steps = 2 if index else _FIRST_STEPS
        for step in range(1, steps + 1):
            state = march(link, state, to=before + (force - before) * step / steps, by_force=True)
        reached.append(state)
        before = force
    count = forces.shape[1]
    many = some_of_link(link, np.tile(np.arange(count), len(forces)))
    last = unloaded(many, stacked(reached), forces.ravel())[-1]
    return np.where(last.well, last.extension, np.nan).reshape(forces.shape)


def _between(knots: Floats, values: Floats, at: Values) -> Floats:
    """Monotone cubic between knots (first axis of values) at ``at``; nan outside.

    Slopes are harmonic means of the neighbouring ones (F. N. Fritsch and J. Butland, SIAM J. Sci.
    Stat. Comput. 5, 1984).
    """
    at = np.asarray(at, dtype=float)
    gap = np.diff(knots).reshape(-1, *(1,) * (values.ndim - 1))
    rate = np.diff(values, axis=0) / gap
    low, high = rate[:-1], rate[1:]
    weight = (1 + gap[1:] / (gap[1:] + gap[:-1])) / 3
    same = low * high > 0
    inner = np.where(same, low * high / np.where(same, weight * high + (1 - weight) * low, 1), 0)
    slope = np.concatenate([rate[:1], inner, rate[-1:]])
    index = np.asarray(np.searchsorted(knots, at, side="right") - 1).clip(0, len(knots) - 2)

    shape = np.broadcast_shapes(at.shape, values.shape[1:])
    place = np.broadcast_to(index, shape)[None]

    def pick(table: Floats, shift: int) -> Floats:
        ahead = (1,) * (len(shape) + 1 - table.ndim)
        wide = np.broadcast_to(
            table.reshape(len(table), *ahead, *table.shape[1:]), (len(table), *shape)
        )
        return np.asarray(np.take_along_axis(wide, place + shift, axis=0)[0])

    width = np.diff(knots)[index]
    t = (at - knots[index]) / width
    first, second = pick(values, 0), pick(values, 1)
    start_slope, end_slope = pick(slope, 0) * width, pick(slope, 1) * width
    rest = 1 - t
    cubic = (
        (1 + 2 * t) * rest**2 * first + t * rest**2 * start_slope
        + t**2 * (3 - 2 * t) * second - t**2 * rest * end_slope
    )  # fmt: skip
    outside = (at < knots[0]) | (at > knots[-1])
    return np.where(outside, np.nan, cubic)
