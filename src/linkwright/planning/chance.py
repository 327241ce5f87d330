"""The chance that a lot meets a requirement, from its own mean and the spread within lots.

For a requirement x >= L (or <= G, or both) tested on n pieces of a lot:

    s^2   pooled spread within lots: mean of the squared half differences of the mirrored
          pairs, ((x+ - x-)/2)^2, over all lots and pairs
    m_i   mean of lot i over its links; mirrored pairs leave next to no noise of the links
    p_i   [1 - Phi((L - m_i)/s) - Phi((m_i - G)/s)]^n    (a missing limit drops its term)

The chance is the average of p_i over lots. Sampling noise of the 512 lots is reduced by a
control variate: the same average is taken of the least-squares fit of the lot means
(`influence`) on the lots that were run and on many lots,

    p = mean_run(p(m_i)) - mean_run(p(fit_i)) + mean_many(p(fit_k))

and the standard error printed with it is that of the difference and of the last term.

Counting members that fail instead (a flat draw) mixes scatter within and between lots and
is wrong for n > 1. Half differences hold the odd part of the response; the even part stays
in the lot's mean, which is right as long as the response is not far from linear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, ndtr

from linkwright.planning.influence import Influence, by_links
from linkwright.route import Requirement


@dataclass(frozen=True, slots=True)
class ByLot:
    """Chances lot by lot: of the lots run, of their fit, and of the fit on many lots."""

    run: np.ndarray
    fit: np.ndarray
    many: np.ndarray

    def estimate(self) -> tuple[float, float]:
        """Average over lots and its standard error."""
        difference = self.run - self.fit
        value = float(difference.mean() + self.many.mean())
        noise = difference.var(ddof=1) / difference.size + self.many.var() / self.many.size
        return min(max(value, 0.0), 1.0), float(np.sqrt(noise))


@dataclass(frozen=True, slots=True)
class Chance:
    """Chance that a lot meets one requirement.

    chance: over scatter and unknown factors; error: its standard error by sampling;
    at_factors: with every factor at its median. mean, sd_between, sd_within: of the
    quantity, between and within lots.
    """

    requirement: Requirement
    chance: float
    error: float
    at_factors: float
    mean: float
    sd_between: float
    sd_within: float
    lots: ByLot
    lots_at_factors: ByLot


@dataclass(frozen=True, slots=True)
class LotChance:
    """Chance that a lot meets all requirements together, and its parts."""

    chance: float
    error: float
    at_factors: float
    parts: tuple[Chance, ...]


def spread_within(values: np.ndarray) -> float:
    """Pooled spread within lots from the half differences of mirrored pairs."""
    pairs = values.shape[1] // 2
    half = 0.5 * (values[:, :pairs] - values[:, pairs:])
    return float(np.sqrt(np.mean(half**2)))


def lot_chance(means: np.ndarray, within: float, requirement: Requirement) -> np.ndarray:
    """Chance of each lot that all tested pieces meet the requirement."""
    least, greatest = requirement.least, requirement.greatest
    scale = max(float(np.max(np.abs(means), initial=0.0)), 1e-300)
    if within <= 1e-12 * scale:
        met = np.ones(means.shape, dtype=bool)
        met &= True if least is None else means >= least
        met &= True if greatest is None else means <= greatest
        return met.astype(float)
    if least is not None and greatest is not None:
        beyond = ndtr((least - means) / within) + ndtr((means - greatest) / within)
        return np.asarray(np.exp(requirement.pieces * np.log1p(-np.minimum(beyond, 1 - 1e-16))))
    if least is None and greatest is None:
        return np.ones(means.shape)
    away = means - least if least is not None else greatest - means
    # the logarithm keeps weakest-link chances of thousands of pieces exact
    return np.asarray(np.exp(requirement.pieces * log_ndtr(away / within)))


def chance_of(values: np.ndarray, requirement: Requirement, influence: Influence) -> Chance:
    """Chance of one requirement from the ensemble's values, shape (lots, links)."""
    full = by_links(values)
    within, means = spread_within(full), full.mean(axis=1)

    def by_lot(run: np.ndarray, fit: np.ndarray, many: np.ndarray) -> ByLot:
        return ByLot(*(lot_chance(part, within, requirement) for part in (run, fit, many)))

    fit, many = influence.run, influence.many
    lots = by_lot(means, fit, many)
    at_factors = by_lot(
        means - influence.factor_run, fit - influence.factor_run, many - influence.factor_many
    )
    chance, error = lots.estimate()
    return Chance(
        requirement=requirement,
        chance=chance,
        error=error,
        at_factors=at_factors.estimate()[0],
        mean=influence.mean,
        sd_between=influence.sd_between,
        sd_within=within,
        lots=lots,
        lots_at_factors=at_factors,
    )


def together(parts: Sequence[Chance]) -> LotChance:
    """All requirements of a lot: the product lot by lot, averaged over lots.

    Within one lot the tests are taken as independent; what the requirements share
    (strength, wire size, factors) is shared between lots and so kept.
    """
    chance, error = _product([part.lots for part in parts]).estimate()
    at_factors, _ = _product([part.lots_at_factors for part in parts]).estimate()
    return LotChance(chance, error, at_factors, tuple(parts))


def _product(parts: Sequence[ByLot]) -> ByLot:
    return ByLot(
        np.prod([part.run for part in parts], axis=0),
        np.prod([part.fit for part in parts], axis=0),
        np.prod([part.many for part in parts], axis=0),
    )
