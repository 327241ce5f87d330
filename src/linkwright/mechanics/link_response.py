"""What the solid link says under load, for thousands of links in milliseconds.

    LinkResponse    maximum force, extension there, set after a proof force and the force for a
                    wanted set; arrays of any shape
    LinkMembers     the links
    Axis            one of the six ratios that a link comes down to, with its range
    design_terms    the polynomials of the fit, also for the script that makes it

A link comes down to six ratios: pitch and outer width over wire diameter, tensile strength over
Young's modulus, exponent and prestrain of the flow curve, friction. The logarithms of the
force over d^2 Rm, of the extension over d and of the set over d are polynomials of total
degree ``degree`` in them (products of Chebyshev polynomials); the set besides is a Chebyshev
series in the share of the maximum force. They are one table over the runs of `solid_link` on
a coarse mesh, what finer meshes change of them, and the effect of friction after `link_beam`
(scripts/build_link_response.py; errors and what is not in them in docs/models/link.md).

Range: that of the axes and of the shares; a scattered link may lie beyond an axis by
`MARGIN` of half its range. A link farther away is run by the beam model, times what the
response is over the beam at the nearest place of the range, as long as they are few; many
are an error. Beyond the shares the set goes on as a power of the force.

References: P. L. Chebyshev's polynomials as in M. Abramowitz and I. A. Stegun, Handbook of
Mathematical Functions, 1964, ch. 22; least squares on points that crowd at the edges after
A. Cohen and G. Migliorati, Optimal weighted least-squares methods, SMAI J. Comput. Math. 3,
2017; the physics is that of `link_beam`; errors in docs/models/link.md.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import Values
from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError

MARGIN = 0.1
_GREATEST_OUTSIDE = 64
_BLOCK = 256  # members at a time, so that the terms stay in the processor's cache
_HALVINGS = 50
_LEAST_POWER = 1.0  # beyond the shares a set grows at least as the force does
_STRENGTH = 2
_HALF = 3  # pitch, width, strength vary from link to link; the last three axes seldom
_FORCE, _PEAK, _SET, _ALL = slice(0, 1), slice(0, 2), slice(2, None), slice(0, None)


class LinkMembers(NamedTuple):
    """Links; arrays that broadcast."""

    wire_diameter_mm: Values
    pitch_mm: Values
    outer_width_mm: Values
    tensile_strength_MPa: Values
    hardening_exponent: Values
    prestrain: Values
    friction_coefficient: Values = 0.0


class Axis(NamedTuple):
    """Range of one ratio; ``logarithmic`` where the fit is in its logarithm."""

    name: str
    low: float
    high: float
    logarithmic: bool = False

    def place(self, value: Values) -> Floats:
        """Where a value lies: -1 at the low end, 1 at the high one."""
        low, high, at = self.low, self.high, np.asarray(value, dtype=float)
        if self.logarithmic:
            low, high, at = np.log(low), np.log(high), np.log(at)
        return np.asarray((2 * at - low - high) / (high - low))

    def value(self, place: Values) -> Floats:
        """The value at a place."""
        share = (np.asarray(place, dtype=float) + 1) / 2
        if self.logarithmic:
            return np.asarray(self.low * (self.high / self.low) ** share)
        return np.asarray(self.low + share * (self.high - self.low))


@dataclass(frozen=True)
class LinkResponse:
    """The fit; made by scripts/build_link_response.py, read by `LinkResponse.of_table`."""

    axes: tuple[Axis, ...]
    degree: int
    share: Axis
    """The shares of the maximum force for which the set was fitted."""
    coefficients: Floats
    """Rows: log force, log extension, then the series of the log set; columns: the terms."""
    elastic_modulus_GPa: float

    @classmethod
    def of_table(cls, table: Mapping[str, Any]) -> LinkResponse:
        """The response that a table of the script holds."""
        axes = tuple(Axis(*axis) for axis in table["axes"])
        rows = np.array([table["force"], table["extension"], *table["set"]])
        share = Axis(*table["share"])
        return cls(axes, table["degree"], share, rows, table["elastic_modulus_GPa"])

    @property
    def strengths_MPa(self) -> tuple[float, float]:
        """Least and greatest tensile strength that counts as within the range."""
        axis = self.axes[_STRENGTH]
        low, high = (float(axis.value(place)) for place in (-1 - MARGIN, 1 + MARGIN))
        return 1000 * self.elastic_modulus_GPa * low, 1000 * self.elastic_modulus_GPa * high

    def maximum_force_kN(self, members: LinkMembers) -> Values:
        """Maximum force of each link."""
        return self._either(
            members, lambda links, _: self._force(links), lambda links, _: self._peak_away(links)[0]
        )

    def peak(self, members: LinkMembers) -> tuple[Values, Values]:
        """Maximum force in kN and extension of the pitch there in mm, first axis of one array."""
        force, extension = self._either(
            members, lambda links, _: self._peak(links), lambda links, _: self._peak_away(links)
        )
        return force, extension

    def permanent_set_mm(self, members: LinkMembers, proof_force_kN: Values) -> Values:
        """Growth of the pitch after a proof force; outside the range nan where the link tears."""
        return self._either(members, self._set, self._set_away, proof_force_kN)

    def force_at_set_kN(self, members: LinkMembers, permanent_set_mm: Values) -> Values:
        """Proof force that leaves a wanted set, by halving; nan outside the fitted range."""
        series, force = self._logs(members, _SET), self._force(members)
        wanted = np.log(np.asarray(permanent_set_mm) / np.asarray(members.wire_diameter_mm))
        shape = np.broadcast_shapes(wanted.shape, force.shape, self._away(members).shape)
        low, high = np.full(shape, -1.0), np.full(shape, 1.0)
        inside = (wanted >= _sum(series, low)) & (wanted <= _sum(series, high))
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            above = _sum(series, middle) > wanted
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        found = self.share.value((low + high) / 2) * force
        return np.where(inside & ~self._away(members), found, np.nan)

    def _force(self, members: LinkMembers) -> Floats:
        return np.asarray(np.exp(self._logs(members, _FORCE)[0]) * _unit_kN(members))

    def _peak(self, members: LinkMembers) -> Floats:
        """Maximum force and extension there by the fit."""
        force, extension = np.exp(self._logs(members, _PEAK))
        both = force * _unit_kN(members), extension * np.asarray(members.wire_diameter_mm)
        return np.array(np.broadcast_arrays(*both))

    def _set(self, members: LinkMembers, proof_force_kN: Values) -> Values:
        """Within the shares the series; beyond, a power of the force that goes on from the end.

        It goes on to the maximum force and no farther: there is no set of a link that tore.
        """
        logs = self._logs(members, _ALL)
        series = logs[_SET]
        share = np.minimum(proof_force_kN / (np.exp(logs[0]) * _unit_kN(members)), 1.0)
        held = np.clip(share, self.share.low, self.share.high)
        place = self.share.place(held)
        value = _sum(series, place)
        if np.any(held != share):
            slope = _sum(_derived(series), place) * 2 / (self.share.high - self.share.low) * held
            value = value + np.maximum(slope, _LEAST_POWER) * np.log(share / held)
        return np.exp(value) * members.wire_diameter_mm

    def _either(
        self,
        members: LinkMembers,
        fitted: Callable[[LinkMembers, Values], Values],
        away_from_it: Callable[[LinkMembers, Floats], Values],
        force_kN: Values = 1.0,
    ) -> Values:
        """The fit, and another way for the few links that are outside its range."""
        found, away = fitted(members, force_kN), self._away(members)
        if not away.any():
            return found
        *parts, rows = np.broadcast_arrays(*members, force_kN, away)
        if np.count_nonzero(rows) > _GREATEST_OUTSIDE:
            self._refuse(members)
        picked = [np.asarray(part, dtype=float)[rows] for part in parts]
        ahead = np.shape(found)[: np.ndim(found) - rows.ndim]
        values = np.array(np.broadcast_to(found, (*ahead, *rows.shape)), dtype=float)
        values[..., rows] = away_from_it(LinkMembers(*picked[:-1]), picked[-1])
        return values

    def _peak_away(self, links: LinkMembers) -> Floats:
        """Force and extension by the beam, times fit over beam at the nearest place."""
        near = self._nearest(links)
        return self._peak(near) * self._beam_peak(links) / self._beam_peak(near)

    def _set_away(self, links: LinkMembers, proof_force_kN: Floats) -> Floats:
        """The same for the set, at the same share of the maximum force."""
        near = self._nearest(links)
        share = proof_force_kN / self._peak_away(links)[0]
        here, there = (self._beam_set(some, share) for some in (links, near))
        return np.asarray(self._set(near, share * self._force(near)) * here / there)

    def _beam_peak(self, links: LinkMembers) -> Floats:
        rubbing = links.friction_coefficient
        found = pull_link(*self._model(links), friction_coefficient=rubbing).peak
        return np.array([found.force_kN, found.extension_mm])

    def _beam_set(self, links: LinkMembers, share: Floats) -> Floats:
        force, rubbing = share * self._beam_peak(links)[0], links.friction_coefficient
        proof = prove_link(*self._model(links), force, friction_coefficient=rubbing)
        return np.asarray(proof.permanent_set_mm)

    def _model(self, links: LinkMembers) -> tuple[LinkGeometry, SwiftCurve]:
        wire, pitch, width, strength, exponent, prestrain, _ = links
        curve = SwiftCurve.of_strength(strength, exponent, prestrain, self.elastic_modulus_GPa)
        return LinkGeometry(wire, pitch, width), curve

    def _nearest(self, links: LinkMembers) -> LinkMembers:
        """The links moved along every axis to the end of the range, if they lie beyond it."""
        wire, held = np.asarray(links.wire_diameter_mm, dtype=float), []
        for axis, place in zip(self.axes, self._places(links), strict=True):
            held.append(axis.value(np.clip(place, -1 - MARGIN, 1 + MARGIN)))
        pitch, width, strength, *rest = held
        stress = strength * 1000 * self.elastic_modulus_GPa
        return LinkMembers(wire, wire * pitch, wire * width, stress, *rest)

    def _places(self, members: LinkMembers) -> list[Floats]:
        wire = np.asarray(members.wire_diameter_mm, dtype=float)
        ratios = (
            members.pitch_mm / wire,
            members.outer_width_mm / wire,
            np.asarray(members.tensile_strength_MPa) / (1000 * self.elastic_modulus_GPa),
            members.hardening_exponent,
            members.prestrain,
            members.friction_coefficient,
        )
        return [axis.place(ratio) for axis, ratio in zip(self.axes, ratios, strict=True)]

    def _away(self, members: LinkMembers) -> NDArray[np.bool_]:
        outside = [np.abs(place) > 1 + MARGIN for place in self._places(members)]
        return np.asarray(np.logical_or.reduce(np.broadcast_arrays(*outside)))

    def _refuse(self, members: LinkMembers) -> None:
        """Name the ratio of a link that is farthest outside."""
        places = self._places(members)
        worst = max(range(len(places)), key=lambda k: float(np.max(np.abs(places[k]))))
        axis, far = self.axes[worst], np.ravel(places[worst])
        value = axis.value(far[np.argmax(np.abs(far))])
        raise ArgumentError(
            axis.name, float(value), "", f"{axis.low:.4g} to {axis.high:.4g}",
            f"is outside the link response for more than {_GREATEST_OUTSIDE} links",
        )  # fmt: skip

    def _logs(self, members: LinkMembers, rows: slice) -> Floats:
        """Rows of the fit for all links, the row as first axis."""
        table = self.coefficients[rows]
        places = [np.clip(place, -1 - MARGIN, 1 + MARGIN) for place in self._places(members)]
        halves, pairs = _indices(self.degree)
        seldom = np.broadcast_arrays(*places[_HALF:])
        if seldom[0].size == 1:
            often = np.broadcast_arrays(*places[:_HALF])
            first = _products([np.ravel(place) for place in often], halves)
            second = _products([np.ravel(place) for place in seldom], halves)
            folded = np.zeros((len(halves), len(table)))
            np.add.at(folded, pairs[0], (table * second[pairs[1], 0]).T)
            return np.asarray(folded.T @ first).reshape(len(table), *often[0].shape)
        wide = np.broadcast_arrays(*places)
        flat = [np.ravel(place) for place in wide]
        found = np.empty((len(table), flat[0].size))
        for start in range(0, flat[0].size, _BLOCK):
            block = [place[start : start + _BLOCK] for place in flat]
            terms = _products(block[:_HALF], halves).take(pairs[0], axis=0)
            terms *= _products(block[_HALF:], halves).take(pairs[1], axis=0)
            found[:, start : start + _BLOCK] = table @ terms
        return found.reshape(len(table), *wide[0].shape)


def _unit_kN(members: LinkMembers) -> Floats:
    """d^2 Rm."""
    wire = np.square(np.asarray(members.wire_diameter_mm, dtype=float))
    return np.asarray(wire * members.tensile_strength_MPa / 1000)


def design_terms(places: Floats, degree: int) -> Floats:
    """The polynomials of the fit at places (links, axes): (links, terms)."""
    halves, pairs = _indices(degree)
    first, second = _products(places.T[:_HALF], halves), _products(places.T[_HALF:], halves)
    return np.asarray((first[pairs[0]] * second[pairs[1]]).T)


def term_degrees(degree: int) -> NDArray[np.intp]:
    """Degrees of every polynomial of the fit in every axis: (terms, axes)."""
    halves, (first, second) = _indices(degree)
    return np.concatenate([halves[first], halves[second]], axis=1)


@lru_cache(maxsize=4)
def _indices(degree: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Degrees of the products of three axes, and the pairs of them that make the terms."""
    triples = [t for t in product(range(degree + 1), repeat=_HALF) if sum(t) <= degree]
    pairs = [
        (i, j)
        for i, one in enumerate(triples)
        for j, other in enumerate(triples)
        if sum(one) + sum(other) <= degree
    ]
    return np.array(triples), np.array(pairs).T


def _products(places: Any, degrees: NDArray[np.intp]) -> Floats:
    """Products of Chebyshev polynomials of the axes: (products, links)."""
    parts = []
    for place, degree in zip(places, degrees.T, strict=True):
        powers = [np.ones_like(place), place]
        for _ in range(2, int(degrees.max()) + 1):
            powers.append(2 * place * powers[-1] - powers[-2])
        parts.append(np.array(powers).take(degree, axis=0))
    total: Floats = parts[0]
    for part in parts[1:]:
        total *= part
    return total


def _sum(series: Floats, place: Floats) -> Floats:
    """Sum of a Chebyshev series (first axis) at a place, by Clenshaw's recurrence."""
    ahead, beyond = 0.0 * place, 0.0 * place
    for row in series[:0:-1]:
        ahead, beyond = 2 * place * ahead - beyond + row, ahead
    return np.asarray(place * ahead - beyond + series[0])


def _derived(series: Floats) -> Floats:
    """Series of the derivative by the place (Abramowitz and Stegun, 22.8)."""
    rows = [0.0 * series[0]] * (len(series) + 1)
    for k in range(len(series) - 1, 0, -1):
        rows[k - 1] = rows[k + 1] + 2 * k * series[k]
    return np.array([rows[0] / 2, *rows[1 : len(series) - 1]])
