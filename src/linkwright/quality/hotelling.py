"""Hotelling's T2: one sample, chart limits, and which variable makes a point stand out.

Offers `hotelling_t2`, `hotelling_chart` and `hotelling_contributions`; for charts `t2_limits` and
`t2_contributions`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."


class OneSample(NamedTuple):
    """Results of `hotelling_t2`."""

    t2: float
    f: float
    p_value: float


class Chart(NamedTuple):
    """Results of `hotelling_chart`."""

    ucl: float
    ucl_phase_2: float
    t2: Values | None


class Contributions(NamedTuple):
    """Results of `hotelling_contributions`."""

    t2: Values
    ucl: float
    signals: list[int]
    contribution: Values
    alone: Values
    leading_variable: list[int]


@calculation(
    source="R. A. Johnson & D. W. Wichern, Applied Multivariate Statistical Analysis, 6th ed. "
    "(2007), Eq. 5-4 and Example 5.1 (one-sample T2)",
)
def hotelling_t2(*, data: Values, mean0: Values) -> OneSample:
    """One-sample T2 = n (xbar - mean0)' S^-1 (xbar - mean0) of rows of readings.

    Args:
        data: Table, a row each piece, a column each variable; more rows than columns.
        mean0: Means to be held against.

    Returns:
        T2, F = (n - p)/((n - 1) p) T2 and its p with (p, n - p) degrees of freedom.

    References:
        Johnson & Wichern, Applied Multivariate Statistical Analysis, 6th ed., Sec. 5.2.
    """
    from scipy.special import fdtrc  # noqa: PLC0415

    rows = _table(data)
    n, p = rows.shape
    away = rows.mean(axis=0) - np.ravel(mean0)
    t2 = float(n * _quadratic(away[None, :], np.cov(rows.T, ddof=1).reshape(p, p))[0])
    f = (n - p) / ((n - 1) * p) * t2
    return OneSample(t2, f, float(fdtrc(p, n - p, f)))


@calculation(
    source=f"{_TEXT}, Eqs 11.19 to 11.25 and Example 11.1 (T2 control chart)",
    needs={"samples": (2.0, 1e7), "n": (1.0, 1e6), "alpha": (1e-9, 0.5)},
    valid={"samples": (20.0, None)},
)
def hotelling_chart(
    *,
    samples: float,
    n: float,
    alpha: float = 0.001,
    p: float | None = None,
    grand_mean: Values | None = None,
    covariance: Values | None = None,
    sample_mean: Values | None = None,
) -> Chart:
    """Limits of a T2 chart of m samples of n, and T2 of a sample mean.

    Phase 1: p (m-1)(n-1)/(mn-m-p+1) F(alpha; p, mn-m-p+1); phase 2 with m+1 for m-1. Single
    readings (n = 1): phase 1 (m-1)^2/m Beta(alpha; p/2, (m-p-1)/2), phase 2
    p (m+1)(m-1)/(m^2 - m p) F(alpha; p, m-p). T2 = n (x - mean)' S^-1 (x - mean).

    Args:
        samples, n, alpha: m, sample size, chance of a false signal. p: Number of variables.
        grand_mean, covariance: Of the first period. sample_mean: One row or several.

    Returns:
        Limit of the first period, limit for what follows, T2 of the sample means.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 11.3.
    """
    if p is None:
        if grand_mean is None:
            raise ArgumentError("p", "none", "", "a number of variables", "is needed")
        p = float(np.size(grand_mean))
    first, later = t2_limits(float(p), float(samples), float(n), float(alpha))
    if sample_mean is None or grand_mean is None or covariance is None:
        return Chart(first, later, None)
    means = np.asarray(sample_mean, float)
    found = n * _quadratic(np.atleast_2d(means - np.ravel(grand_mean)), np.asarray(covariance))
    return Chart(first, later, found[0] if means.ndim == 1 else found)


@calculation(
    source="R. L. Mason, N. D. Tracy & J. C. Young, Journal of Quality Technology 27 (1995) 99-108;"
    " N. D. Tracy, J. C. Young & R. L. Mason, Journal of Quality Technology 24 (1992) 88-95 "
    "(T2 of single readings and contributions of its variables)",
    needs={"alpha": (1e-9, 0.5)},
    basis="computed",
)
def hotelling_contributions(*, data: Values, alpha: float = 0.001) -> Contributions:
    """T2 of each row of a first period and how much each variable adds to it.

    contribution_j = T2 - T2 without variable j (what only j shows, given the others);
    alone_j = (x_j - mean_j)^2/s_j^2. A large contribution with a small value alone is a
    broken relation between variables.

    Args:
        data: Table, a row each piece in the order of time, a column each variable.
        alpha: Chance of a false signal per point.

    Returns:
        T2 by row, limit, rows (from 1) above it, contributions by row and variable, and for each
        row above the limit the variable (from 1) that adds most.

    References:
        Mason, Tracy & Young, Journal of Quality Technology 27 (1995) 99-108.
    """
    rows = _table(data)
    m, p = rows.shape
    away, spread = rows - rows.mean(axis=0), np.cov(rows.T, ddof=1).reshape(p, p)
    t2, adds = t2_contributions(away, spread)
    limit = t2_limits(float(p), float(m), 1.0, alpha)[0]
    above = np.flatnonzero(t2 > limit)
    leading = [int(np.argmax(adds[row])) + 1 for row in above]
    alone = away**2 / np.diag(spread)
    return Contributions(t2, limit, [int(row) + 1 for row in above], adds, alone, leading)


def t2_contributions(away: np.ndarray, spread: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """T2 of each row of deviations, and how much it falls without each of the variables."""
    t2 = _quadratic(away, spread)
    p = away.shape[1]
    without = [
        _quadratic(np.delete(away, j, 1), np.delete(np.delete(spread, j, 0), j, 1))
        if p > 1
        else np.zeros(len(away))
        for j in range(p)
    ]
    return t2, t2[:, None] - np.array(without).T


def t2_limits(p: float, m: float, n: float, alpha: float) -> tuple[float, float]:
    """Limits of the first period and of what follows; see `hotelling_chart`."""
    from scipy.special import betaincinv, fdtri  # noqa: PLC0415

    if n > 1.5:
        dof = m * n - m - p + 1
        _refuse_few(dof)
        f = float(fdtri(p, dof, 1.0 - alpha))
        return p * (m - 1) * (n - 1) / dof * f, p * (m + 1) * (n - 1) / dof * f
    _refuse_few(m - p - 1)
    first = (m - 1) ** 2 / m * float(betaincinv(p / 2, (m - p - 1) / 2, 1.0 - alpha))
    later = p * (m + 1) * (m - 1) / (m * m - m * p) * float(fdtri(p, m - p, 1.0 - alpha))
    return first, later


def _refuse_few(dof: float) -> None:
    if dof <= 0:
        raise ArgumentError("samples", "too few", "", "more samples than variables")


def _table(data: Values) -> np.ndarray:
    rows = np.asarray(data, float)
    if rows.ndim != 2 or rows.shape[0] <= rows.shape[1]:
        shape = " x ".join(map(str, rows.shape))
        raise ArgumentError("data", shape, "", "a table of more rows than columns", "does not do")
    return rows


def _quadratic(away: np.ndarray, spread: np.ndarray) -> np.ndarray:
    """Away' spread^-1 away for each row."""
    try:
        solved = np.linalg.solve(spread, away.T)
    except np.linalg.LinAlgError:
        reason = "has variables that follow from each other"
        raise ArgumentError("data", "the table", "", "variables that do not", reason) from None
    return np.asarray(np.einsum("ij,ji->i", away, solved))
