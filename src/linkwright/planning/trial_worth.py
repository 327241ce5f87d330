"""The trial worth making: which test narrows the chance of a lot most, for how many pieces.

The chance c is a function of the model factors, which nobody knows: over their doubt it has a
spread. A test of n pieces narrows one factor. With z the standard normal deviate of ln factor,
b the slope of a finding over z, s the finding's known scatter and g what the gauge may be off,

    information   I(n) = b^2 / (s^2/n + g^2)
    afterwards    var(z) = 1/(1 + I),  rho^2 = I/(1 + I)            (normal in ln factor)

Before the test is made its outcome is unknown; the mean of z that it will give is rho u, u
standard normal. With h(z) = E[c | z] over all other factors the chance stated afterwards is

    c1(u) = E[h(rho u + sqrt(1 - rho^2) v)],  v standard normal

whose mean is the chance stated now. What is left of the variance of c is on average

    var(c) - var(c1)

which falls with n and is var(c) for a factor that moves no requirement. The finding that is
measured is that of the factor's own operation which shows it best; what the operations before
did is taken as measured on the pieces, so no other factor is in the comparison.

`trials_worth` works on the fits of `influence` alone: no member is run again.

References: H. Raiffa & R. Schlaifer, Applied Statistical Decision Theory (1961), preposterior
analysis; A. O'Hagan and others, Uncertain Judgements (2006), for doubt about a model's number.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import ndtr, ndtri

from linkwright.planning.chance import Chance, lot_chance, spread_within
from linkwright.planning.draws import middles
from linkwright.planning.influence import Design, Influence
from linkwright.quantities import split
from linkwright.route import Factor

PIECES = (1, 3, 5, 10)
USUAL = 3
"""Pieces by which trials are ranked, and that are told in a summary."""
GAUGE_SHARE = {"kN": 0.01, "N": 0.01}
"""Greatest error of a reading as share of the value, by unit: a testing machine of class 1 by
ISO 7500-1 reads a force within 1 %. Of other gauges none is counted."""

_DOUBTS, _SCATTERS = 2048, 24
_GRID = np.linspace(-5.0, 5.0, 41)
_WEIGHTS = np.exp(-0.5 * _GRID**2) / np.exp(-0.5 * _GRID**2).sum()
"""Equal steps under the normal law: the trapezoidal rule, which is exact to rounding there."""
_NODES = np.linspace(-5.0, 5.0, 17)
_TABLE = 4096
_TAIL = 1e-9
_SURE = 0.02
"""A requirement that fails less often than this share of the one that fails most is left out."""
_LEAST_SHARE = 1e-3
"""Share of the variance between lots below which a column does not move a requirement."""
_SHOWS_SHARE, _SHOWS_BETTER = 0.02, 0.05
"""Share of a finding's variance below which it does not show a factor; by how much rho^2 of one
piece must be greater for a finding to be preferred to one that comes before it."""
_RANGE = (0.05, 0.95)


@dataclass(frozen=True, slots=True)
class Doubt:
    """The chance over what is not known of the factors.

    sd: its standard deviation; least, greatest: its 5 % and 95 % quantile.
    """

    sd: float
    least: float
    greatest: float

    @classmethod
    def of(cls, chances: np.ndarray) -> Doubt:
        """The doubt of chances that are equally likely."""
        ordered = np.sort(chances)
        least, greatest = (float(ordered[round(q * (ordered.size - 1))]) for q in _RANGE)
        return cls(float(np.std(chances)), least, greatest)


@dataclass(frozen=True, slots=True)
class Afterwards:
    """What is left of the doubt after a test of so many pieces.

    spread: standard deviation of ln factor. sd: of the chance, on average over all outcomes.
    move: mean distance between the chance stated afterwards and that stated now.
    """

    pieces: int
    spread: float
    sd: float
    move: float


@dataclass(frozen=True, slots=True)
class Trial:
    """A test that narrows one factor.

    finding: what is measured, None if no finding shows the factor. afterwards: by `PIECES`.
    least, greatest: 5 % and 95 % quantile of the chance after `USUAL` pieces that come out as
    expected. narrowing: fall of the chance's standard deviation a piece, at `USUAL` pieces.
    """

    factor: Factor
    finding: str | None
    afterwards: tuple[Afterwards, ...]
    least: float
    greatest: float
    narrowing: float


@dataclass(frozen=True, slots=True)
class TrialsWorth:
    """Doubt of the chance over all factors, and the trials that narrow it, the best first."""

    now: Doubt
    trials: tuple[Trial, ...]


def trials_worth(
    found: Mapping[str, Mapping[str, np.ndarray]],
    design: Design,
    parts: Sequence[Chance],
    influences: Mapping[str, Influence],
    factors: Mapping[str, Factor],
    *,
    seed: int = 1,
    gauges: Mapping[str, float] = GAUGE_SHARE,
) -> TrialsWorth | None:
    """What a test of each factor is worth; None with too few lots to fit.

    found: findings over (lots, links), by operation and subject. parts: the chances of the
    requirements; influences: their fits, by subject.
    """
    if design.inverse is None or not factors:
        return None
    surface = _Surface.of(design, parts, influences, seed)
    now = Doubt.of(surface.chances(surface.doubts))
    shown = _findings(found, design)
    trials = []
    for name, factor in factors.items():
        best = _shown_best(shown, name, design.lot_names.index(name), gauges)
        trials.append(_trial(factor, best, surface, now))
    return TrialsWorth(now, tuple(sorted(trials, key=lambda one: -one.narrowing)))


@dataclass(frozen=True)
class _Row:
    """One requirement: its fit by factors, its scatter, and the chance of a lot over its mean."""

    slopes: Mapping[str, tuple[float, float]]
    middle: float
    scatter: np.ndarray
    paired: np.ndarray
    first: float
    step: float
    chance: np.ndarray

    def factors_part(self, doubts: Mapping[str, np.ndarray], without: str = "") -> Any:
        """Mean of a lot by factors alone, from their deviates."""
        total: Any = self.middle
        for name in self.slopes:
            if name != without:
                total = total + self.one_part(name, doubts[name])
        return total

    def one_part(self, name: str, z: np.ndarray) -> np.ndarray:
        """What one factor adds to the mean of a lot."""
        slope, bend = self.slopes[name]
        return np.asarray(slope * z + bend * (z * z - 1.0))

    def passes(self, means: np.ndarray) -> np.ndarray:
        """Chance of lots of these means: the nearest of a fine table, for speed."""
        place = ((means - self.first) * (1.0 / self.step) + 0.5).astype(np.intp)
        return np.take(self.chance, place, mode="clip")


@dataclass(frozen=True)
class _Surface:
    """The chance as a function of the factors, scatter averaged out."""

    rows: tuple[_Row, ...]
    fixed: float
    doubts: Mapping[str, np.ndarray]
    points: int

    @classmethod
    def of(
        cls,
        design: Design,
        parts: Sequence[Chance],
        influences: Mapping[str, Influence],
        seed: int,
    ) -> _Surface:
        """The fits of the requirements that may fail in one lot only, by columns that move any."""
        failing = _SURE * max((1.0 - part.chance for part in parts), default=0.0)
        unsure = [
            part for part in parts if 1.0 - part.chance > failing and np.ptp(part.lots.many) > _TAIL
        ]
        fits = [influences[part.requirement.subject] for part in unsure]
        shares = [fit.slopes**2 + 2.0 * fit.bends**2 for fit in fits]
        moves = [share > _LEAST_SHARE * share.sum() for share in shares]
        used = np.any(moves, axis=0) if fits else np.zeros(design.is_factor.shape, dtype=bool)
        names = [one for one, is_used in zip(design.lot_names, used, strict=True) if is_used]
        both = _deviates(names, _DOUBTS, seed)
        scattering = [n for n in names if not _is_factor(design, n)]
        # fewer points than columns could not be turned so that these are independent
        points = max(_SCATTERS, 2 * len(scattering))
        scatter = _deviates(scattering, points, seed)
        rows = [
            _row(part, fit, [n for n in names if move[design.lot_names.index(n)]], design, both,
                 scatter, points)
            for part, fit, move in zip(unsure, fits, moves, strict=True)
        ]  # fmt: skip
        fixed = float(np.prod([part.chance for part in parts if part not in unsure]))
        doubts = {n: z for n, z in both.items() if n not in scatter}
        return cls(tuple(rows), fixed, doubts, points)

    def chances(self, doubts: Mapping[str, np.ndarray]) -> np.ndarray:
        """Chance at each of these factors, over scatter."""
        total = np.full((_DOUBTS, self.points), self.fixed)
        for row in self.rows:
            means = np.broadcast_to(row.factors_part(doubts), _DOUBTS)
            total *= row.passes(means[:, None] + row.scatter)
        return np.asarray(total.mean(axis=1))

    def at(self, name: str) -> np.ndarray:
        """Values of h at the nodes of one factor: the chance over scatter and all other factors."""
        total = np.full((_NODES.size, _DOUBTS), self.fixed)
        for row in self.rows:
            means = row.factors_part(self.doubts, name) + row.paired
            if name in row.slopes:
                means = means + row.one_part(name, _NODES)[:, None]
            total *= row.passes(means)
        return np.asarray(total.mean(axis=1))


def _is_factor(design: Design, name: str) -> bool:
    return bool(design.is_factor[design.lot_names.index(name)])


def _deviates(names: Sequence[str], count: int, seed: int) -> dict[str, np.ndarray]:
    """Normal deviates by name, middles of strata, turned so that their covariance is the unit.

    Few points then give the means of what is nearly straight in them with next to no noise.
    """
    if not names:
        return {}
    z = np.stack([middles(f"{count} doubts/{name}", count, seed) for name in names])
    z = np.linalg.solve(np.linalg.cholesky(z @ z.T / count), z)
    return dict(zip(names, z, strict=True))


def _row(
    part: Chance,
    fit: Influence,
    names: Sequence[str],
    design: Design,
    both: Mapping[str, np.ndarray],
    scatter: Mapping[str, np.ndarray],
    points: int,
) -> _Row:
    slopes: dict[str, tuple[float, float]] = {}
    few, many = np.zeros(points), np.zeros(_DOUBTS)
    for name in names:
        index = design.lot_names.index(name)
        slope, bend = float(fit.slopes[index]), float(fit.bends[index])
        if design.is_factor[index]:
            slopes[name] = (slope, bend)
        else:
            few += slope * scatter[name] + bend * (scatter[name] ** 2 - 1.0)
            many += slope * both[name] + bend * (both[name] ** 2 - 1.0)
    reach = 8.0 * max(fit.sd_between, part.sd_within)
    mean = np.linspace(fit.mean - reach, fit.mean + reach, _TABLE)
    chance = lot_chance(mean, part.sd_within, part.requirement)
    step = float(mean[1] - mean[0])
    return _Row(slopes, fit.mean, few, many, float(mean[0]), step, chance)


@dataclass(frozen=True, slots=True)
class _Noise:
    """What hides a factor in its finding, in standard deviations of ln factor."""

    scatter: float
    gauge: float

    def known(self, pieces: int) -> float:
        """rho^2: share of the factor's variance that a test of so many pieces takes away."""
        return 1.0 / (1.0 + self.scatter**2 / pieces + self.gauge**2)


@dataclass(frozen=True, slots=True)
class _Shown:
    """A finding as far as it can show factors: its fit, and its scatter about it."""

    subject: str
    middle: float
    between: float
    slopes: np.ndarray
    parts: np.ndarray
    scatter: float

    def noise(self, column: int, gauge: float) -> _Noise | None:
        """The noise about a factor, or None if the finding does not show it."""
        slope = abs(float(self.slopes[column]))
        if slope == 0.0 or self.parts[column] < _SHOWS_SHARE * self.between:
            return None
        return _Noise(self.scatter / slope, gauge / math.sqrt(3.0) * self.middle / slope)


def _findings(
    found: Mapping[str, Mapping[str, np.ndarray]], design: Design
) -> dict[str, list[_Shown]]:
    """The findings that vary between lots, by operation."""
    assert design.inverse is not None  # noqa: S101 - asked before
    count = len(design.lot_names)
    shown: dict[str, list[_Shown]] = {}
    for operation, subjects in found.items():
        shown[operation] = []
        for subject, values in subjects.items():
            means = values.mean(axis=1)
            middle, between = abs(float(means.mean())), float(np.var(means))
            if not between > (_TAIL * max(middle, _TAIL)) ** 2:
                continue
            fit = design.inverse @ means
            parts = fit[1 : count + 1] ** 2 + 2.0 * fit[count + 1 :] ** 2
            scatter = spread_within(values) if values.shape[1] > 1 else 0.0
            if scatter <= _TAIL * middle:
                # no link differs from another in its lot: a piece stands for a lot
                scatter = math.sqrt(float(parts[~design.is_factor].sum()))
            slopes = fit[1 : count + 1]
            shown[operation].append(_Shown(subject, middle, between, slopes, parts, scatter))
    return shown


def _shown_best(
    shown: Mapping[str, Sequence[_Shown]], name: str, column: int, gauges: Mapping[str, float]
) -> tuple[str, _Noise] | None:
    """The finding that shows a factor best, in its own operation or else in a later one."""
    operations = list(shown)
    own = name.split("/")[1] if name.count("/") > 1 else ""
    first = operations.index(own) if own in operations else 0
    for group in ([operations[first]], operations[first + 1 :]):
        best: tuple[str, _Noise] | None = None
        for one in (one for operation in group for one in shown[operation]):
            noise = one.noise(column, gauges.get(split(one.subject)[1], 0.0))
            if noise is None:
                continue
            if best is None or noise.known(1) > best[1].known(1) + _SHOWS_BETTER:
                best = (one.subject, noise)
        if best is not None:
            return best
    return None


def _trial(
    factor: Factor, shown: tuple[str, _Noise] | None, surface: _Surface, now: Doubt
) -> Trial:
    finding, noise = shown or (None, None)
    knowns = [noise.known(pieces) if noise else 0.0 for pieces in PIECES]
    rows = [(now.sd, 0.0) for _ in PIECES]
    expected = now
    if noise is not None and factor.name in surface.doubts:
        chance_at = _interpolated(surface.at(factor.name))
        rows = [_left(now.sd, _stated(chance_at, known)) for known in knowns]
        z = surface.doubts[factor.name] * math.sqrt(1.0 - noise.known(USUAL))
        expected = Doubt.of(surface.chances({**surface.doubts, factor.name: z}))
    afterwards = tuple(
        Afterwards(pieces, factor.spread * math.sqrt(1.0 - known), sd, move)
        for pieces, known, (sd, move) in zip(PIECES, knowns, rows, strict=True)
    )
    narrowing = (now.sd - rows[PIECES.index(USUAL)][0]) / USUAL
    return Trial(factor, finding, afterwards, expected.least, expected.greatest, narrowing)


def _left(sd: float, stated: np.ndarray) -> tuple[float, float]:
    """What is left of the spread on average, and how far the chance stated is moved."""
    away = stated - float(_WEIGHTS @ stated)
    taken = float(_WEIGHTS @ away**2)
    return math.sqrt(max(sd**2 - taken, 0.0)), float(_WEIGHTS @ np.abs(away))


def _interpolated(at_nodes: np.ndarray) -> Any:
    """The function h between its nodes: straight in the normal deviate of the chance."""
    level = ndtri(np.clip(at_nodes, _TAIL, 1.0 - _TAIL))
    return lambda z: ndtr(np.interp(z, _NODES, level))


def _stated(chance_at: Any, known: float) -> np.ndarray:
    """c1: the chance stated after each outcome of the test, on the grid of outcomes."""
    z = math.sqrt(known) * _GRID[:, None] + math.sqrt(1.0 - known) * _GRID
    return np.asarray(chance_at(z) @ _WEIGHTS)
