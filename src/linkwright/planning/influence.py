"""Influence of inputs: which source of scatter or doubt moves a result most.

The lot means of a result are fitted by least squares over the standard normal columns z_j:

    m = a0 + sum_j [a_j z_j + b_j (z_j^2 - 1)]

Hermite terms are orthogonal under the normal law, so column j explains a_j^2 + 2 b_j^2 of
the variance between lots (first-order indices). For link columns: slopes of the half
differences of mirrored pairs, as share of the variance within lots.

The same fit, evaluated on many more lots than were run, is the control variate by which
`chance` takes most of the sampling noise of 512 lots out.

References: I. M. Sobol, Mathematics and Computers in Simulation 55 (2001) 271-280 (first
order indices); B. Sudret, Reliability Engineering and System Safety 93 (2008) 964-979
(indices from a polynomial fit).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkwright.planning.draws import Ensemble, stratified
from linkwright.route import Conditions

_LEAST_SHARE = 1.25
"""Lots to fitted terms, below which no fit of all columns together is made."""
MANY = 8192
"""Lots on which the fit alone is evaluated."""


@dataclass(frozen=True, slots=True)
class Influence:
    """Share of a result's variance by source, and the fit that gave it.

    shares: (name, first-order share of the whole variance, slope in the result's unit for
    one standard deviation of the source), largest first. explained: share of the variance
    between lots that the fit holds. slopes, bends: a_j and b_j of the lot columns. run, many:
    the fit on the lots that were run and on many lots; factor_run, factor_many: what unknown
    factors add to those, measured from their medians.
    """

    shares: tuple[tuple[str, float, float], ...]
    explained: float
    mean: float
    sd_between: float
    slopes: np.ndarray
    bends: np.ndarray
    run: np.ndarray
    many: np.ndarray
    factor_run: np.ndarray
    factor_many: np.ndarray


@dataclass(frozen=True, slots=True)
class Design:
    """The least-squares system of one ensemble, factored once for all results."""

    lot_names: tuple[str, ...]
    link_names: tuple[str, ...]
    is_factor: np.ndarray
    z: np.ndarray
    inverse: np.ndarray | None
    many: np.ndarray
    halves: np.ndarray
    half_inverse: np.ndarray


def by_links(values: np.ndarray) -> np.ndarray:
    """Values with at least one mirrored pair a lot: a lot's own value stands for both."""
    return values if values.shape[1] > 1 else np.repeat(values, 2, axis=1)


def design_of(conditions: Conditions, ensemble: Ensemble) -> Design:
    """Prepare the fit for the columns of an ensemble."""
    lots = {k: d[:, 0] for k, d in conditions.draws.items() if d.shape[1] == 1}
    links = {k: d for k, d in conditions.draws.items() if d.shape[1] > 1}
    z = np.column_stack(list(lots.values()))
    many = [stratified(f"many lots/{name}", MANY, ensemble.seed) for name in lots]
    halves = [d[:, : d.shape[1] // 2].ravel() for d in links.values()]
    half = np.column_stack(halves) if halves else np.empty((0, 0))
    return Design(
        lot_names=tuple(lots),
        link_names=tuple(links),
        is_factor=np.array([name in conditions.factors for name in lots], dtype=bool),
        z=z,
        inverse=_inverse(_terms(z)) if z.shape[0] > _LEAST_SHARE * (2 * z.shape[1] + 1) else None,
        many=np.column_stack(many),
        halves=half,
        half_inverse=_inverse(half) if half.size else half.T,
    )


def influence_of(values: np.ndarray, design: Design) -> Influence:
    """First-order shares of one result over (lots, links), and its fit."""
    full = by_links(values)
    means = full.mean(axis=1)
    fit = _alone(means, design.z) if design.inverse is None else design.inverse @ means
    count = len(design.lot_names)
    slopes, bends = fit[1 : count + 1], fit[count + 1 :]
    within, link_slopes = _within(full, design)
    # without a fit of all columns together there is no control variate: the lots themselves
    scarce = design.inverse is None
    run = means if scarce else _terms(design.z) @ fit
    rest = float(np.sum((means - run) ** 2)) / max(means.size - fit.size, 1)
    parts = slopes**2 + 2 * bends**2
    between = float(parts.sum()) + rest
    total = max(between + within, 1e-300)
    rows = [
        *zip(design.lot_names, parts / total, slopes, strict=True),
        *zip(design.link_names, link_slopes**2 / total, link_slopes, strict=True),
    ]
    shares = [(name, float(share), float(slope)) for name, share, slope in rows]

    def factor_part(z: np.ndarray) -> np.ndarray:
        # the median of a factor is z = 0, so the even part is measured from there
        return np.asarray((z * slopes + z**2 * bends)[:, design.is_factor].sum(axis=1))

    return Influence(
        shares=tuple(sorted(shares, key=lambda row: (-row[1], row[0]))),
        explained=1.0 - rest / between if between > 0 else 1.0,
        mean=float(fit[0]),
        sd_between=float(np.sqrt(between)),
        slopes=slopes,
        bends=bends,
        run=run,
        many=means if scarce else _terms(design.many) @ fit,
        factor_run=factor_part(design.z),
        factor_many=factor_part(design.z if scarce else design.many),
    )


def _terms(z: np.ndarray) -> np.ndarray:
    return np.column_stack([np.ones(z.shape[0]), z, z**2 - 1.0])


def _alone(means: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Slopes of each column by itself, where lots are too few to fit all together."""
    slopes = z.T @ (means - means.mean()) / np.sum(z**2, axis=0)
    return np.concatenate([[means.mean()], slopes, np.zeros(z.shape[1])])


def _inverse(terms: np.ndarray) -> np.ndarray:
    """Least-squares inverse by the normal equations: the columns are nearly orthogonal."""
    return np.linalg.solve(terms.T @ terms, terms.T)


def _within(full: np.ndarray, design: Design) -> tuple[float, np.ndarray]:
    pairs = full.shape[1] // 2
    half = 0.5 * (full[:, :pairs] - full[:, pairs:]).ravel()
    variance = float(np.mean(half**2))
    if half.size != design.halves.shape[0]:
        return variance, np.zeros(len(design.link_names))
    return variance, design.half_inverse @ half
