"""Learning the planner's factors from the works' own tests: lots weighted by likelihood.

A plan's members hold, lot by lot, the unknown factors (standard normal deviates z) and what they
lead to. A lot of the plan whose results lie near the tests is likely, one far off is not:

    m_l = a0 + sum_j [a_j z_lj + b_j (z_lj^2 - 1)] + rest     factors of the plan's lot l
    w_l ~ prod over the works' lots k of N(ybar_k; fit_l, R + W/n_k + G)

R: covariance of the rest, the lot-to-lot scatter that a new lot of the works draws anew; W: within
lots, pooled from the half differences of mirrored links; G: error of the gauge, common to the
readings of a lot. The weighted mean and standard deviation of z_j are what is known of factor j
afterwards. Offers `learn`, `Reading`, `Learned`, `LearnedFactor`, `Expected`.

References: A. F. M. Smith & A. E. Gelfand, The American Statistician 46 (1992) 84-88 (weights by
likelihood); A. Kong, J. S. Liu & W. H. Wong, JASA 89 (1994) 278-288 (effective number).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc

from linkwright.quantities import ArgumentError, UnknownName

LEAST_LOTS = 50
"""Effective lots below which the weights rest on too few: plan again."""
_BEYOND_CHANCE = 1e-3
_SIGNIFICANT = 2.5


@dataclass(frozen=True)
class Reading:
    """One reading on a piece: the works' lot, the result it measures, value, gauge error (sd)."""

    lot: str
    result: str
    value: float
    gauge: float = 0.0


@dataclass(frozen=True)
class LearnedFactor:
    """What is known of a factor after the tests, in deviates that were standard normal before.

    ``moved``: the change is more than the sampling error of the weights.
    """

    name: str
    mean: float
    sd: float
    moved: bool


@dataclass(frozen=True)
class Expected:
    """Mean of a tested result over the plan's lots, before and after, and scatter between lots."""

    result: str
    before: float
    after: float
    lot_to_lot: float


@dataclass(frozen=True)
class Learned:
    """Weights of the plan's lots and what follows.

    effective_lots: 1/sum w^2. surprise: chance of tests as far off as these before learning, small
    if the plan held them for impossible.
    """

    weights: np.ndarray
    effective_lots: float
    factors: tuple[LearnedFactor, ...]
    surprise: float
    expected: tuple[Expected, ...]

    @property
    def enough(self) -> bool:
        """Whether enough lots carry the weight; if not, plan again with the new factors."""
        return self.effective_lots >= LEAST_LOTS

    @property
    def believable(self) -> bool:
        """Whether the plan held such tests for possible."""
        return self.surprise >= _BEYOND_CHANCE


def learn(
    factors: Mapping[str, np.ndarray],
    results: Mapping[str, np.ndarray],
    tests: Sequence[Reading],
) -> Learned:
    """Weigh the lots of a plan by the likelihood of tests.

    Args:
        factors: Deviate of each factor, shape (lots,). results: Each result, shape (lots, links),
            the second half of the links mirroring the first. tests: Readings.

    Raises:
        ArgumentError: no tests; UnknownName: a result that the plan does not hold.
    """
    names = tuple(dict.fromkeys(test.result for test in tests))
    if not names or not factors:
        raise ArgumentError("tests", "none", "", "at least one reading and one factor")
    for name in names:
        if name not in results:
            raise UnknownName("result", name, results)
    z = np.column_stack([np.ravel(values) for values in factors.values()])
    means = np.column_stack([results[name].mean(axis=1) for name in names])
    fit, rest = _fit(z, means)
    within = _within([results[name] for name in names])
    logs, squares, count = np.zeros(len(z)), 0.0, 0
    for lot in dict.fromkeys(test.lot for test in tests):
        mine = [test for test in tests if test.lot == lot]
        held = [place for place, name in enumerate(names) if any(t.result == name for t in mine)]
        y, spread = _of_lot(mine, names, held, rest, within)
        away = y - fit[:, held]
        logs -= 0.5 * np.einsum("li,ij,lj->l", away, np.linalg.inv(spread), away)
        before = spread + np.cov(fit[:, held].T).reshape(len(held), len(held))
        off = y - fit[:, held].mean(axis=0)
        squares += float(off @ np.linalg.solve(before, off))
        count += len(held)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    after = weights @ fit
    expected = tuple(
        Expected(name, float(means[:, at].mean()), float(after[at]), float(rest[at, at]) ** 0.5)
        for at, name in enumerate(names)
    )
    effective = 1.0 / float(weights @ weights)
    known = tuple(_known(name, z[:, at], weights, effective) for at, name in enumerate(factors))
    return Learned(weights, effective, known, float(chdtrc(count, squares)), expected)


def _known(name: str, z: np.ndarray, weights: np.ndarray, effective: float) -> LearnedFactor:
    mean = float(weights @ z)
    sd = math.sqrt(max(float(weights @ (z - mean) ** 2), 1e-12))
    # the deviates of the plan's lots are stratified, so unweighted they are exact
    noise = math.sqrt(max(0.0, 1.0 / effective - 1.0 / z.size))
    moved = abs(mean) > _SIGNIFICANT * noise or abs(math.log(sd)) > _SIGNIFICANT * noise
    return LearnedFactor(name, mean, sd, bool(moved and noise > 0.0))


def _fit(z: np.ndarray, means: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The means by the factors alone, and the covariance of what they leave."""
    lots, factors = z.shape
    terms = [np.ones((lots, 1)), z, z**2 - 1.0]
    if lots < 1.25 * (1 + 2 * factors):
        terms = terms[:2]
    design = np.hstack(terms)
    if lots <= design.shape[1]:
        accepted = f"more than {design.shape[1]} lots"
        raise ArgumentError("results", f"{lots} lots", "", accepted, "are too few to learn from")
    held, *_ = np.linalg.lstsq(design, means, rcond=None)
    fit = design @ held
    off = means - fit
    return fit, off.T @ off / (lots - design.shape[1])


def _within(results: Sequence[np.ndarray]) -> np.ndarray:
    """Covariance within lots from the half differences of mirrored links."""
    halves = []
    for values in results:
        links = values.shape[1] // 2
        if links == 0:
            return np.zeros((len(results), len(results)))
        halves.append(((values[:, :links] - values[:, links : 2 * links]) / 2.0).ravel())
    table = np.array(halves)
    return np.asarray(table @ table.T / table.shape[1])


def _of_lot(
    tests: Sequence[Reading],
    names: Sequence[str],
    held: Sequence[int],
    rest: np.ndarray,
    within: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Mean of the readings of one lot of the works, and their covariance about the fit."""
    y, number, gauge = [], [], []
    for place in held:
        mine = [test for test in tests if test.result == names[place]]
        y.append(float(np.mean([test.value for test in mine])))
        number.append(float(len(mine)))
        gauge.append(max(test.gauge for test in mine) ** 2)
    pick = np.ix_(held, held)
    together = np.maximum.outer(number, number)  # readings beyond those of both are of one alone
    spread = rest[pick] + within[pick] / together + np.diag(gauge)
    floor = 1e-9 * max(1e-30, float(np.max(np.diag(spread))))
    return np.array(y), spread + floor * np.eye(len(held))
