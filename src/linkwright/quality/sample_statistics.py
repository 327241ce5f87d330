"""A sample in numbers: moments, autocorrelation, quantiles, a straight or many-sided fit.

Offers `sample_statistics`, `least_squares`, `table_quantiles`, `normal_quantile`, `t_quantile`,
`chi_square_quantile` and `f_quantile`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import chdtri, fdtrc, fdtri, ndtri, stdtrit

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_TABLES = "standard statistical tables"
_SHARE = (1e-12, 1.0 - 1e-12)


class SampleStatistics(NamedTuple):
    """Results of `sample_statistics`."""

    n: int
    mean: float
    s: float
    autocorrelation: float
    least: float
    greatest: float
    median: float


class LeastSquares(NamedTuple):
    """Results of `least_squares`."""

    b: Values
    u_b: Values
    residual_of_s: float
    r2: float
    F: float
    p: float
    n: int


class TableQuantiles(NamedTuple):
    """Results of `table_quantiles`."""

    normal: Values
    t: Values
    chi2: Values
    f: Values


@calculation(
    source="NIST Statistical Reference Datasets, univariate (mean, standard deviation, lag-1 "
    "autocorrelation); NIST/SEMATECH e-Handbook, Sec. 1.3.5.12",
    carries=("readings", "mean", "s", "least", "greatest", "median"),
)
def sample_statistics(*, readings: Values) -> SampleStatistics:
    """Mean, standard deviation and lag-1 autocorrelation of readings in the order of time.

    s with n - 1; r1 = sum (y_i - mean)(y_(i+1) - mean)/sum (y_i - mean)^2.

    Args:
        readings: At least 2.

    References:
        NIST StRD; NIST/SEMATECH e-Handbook, Sec. 1.3.5.12.
    """
    values = np.ravel(readings)
    if values.size < 2:
        raise ArgumentError("readings", "one value", "", "at least 2", "is too few")
    # in two steps, so that large constant values leave no rounding
    mean = float(values[0] + np.mean(values - values[0]))
    away = values - mean
    squares = float(away @ away)
    lag = float(away[:-1] @ away[1:]) / squares if squares else 0.0
    return SampleStatistics(
        values.size, mean, float(np.sqrt(squares / (values.size - 1))), lag, float(values.min()),
        float(values.max()), float(np.median(values)),
    )  # fmt: skip


@calculation(
    source="NIST Statistical Reference Datasets, linear regression (least squares, ill-conditioned "
    "too); N. R. Draper & H. Smith, Applied Regression Analysis",
)
def least_squares(*, y: Values, x: Values) -> LeastSquares:
    """Least-squares fit y = b0 + b1 x1 + ... of one or several variables.

    By orthogonal triangulation (QR) of centred columns scaled to length 1, so that columns of
    very different size, or nearly dependent ones, keep their digits.

    Args:
        y: Readings. x: One variable, or a table with a column each.

    Returns:
        Coefficients with b0 first, their standard uncertainties, residual standard deviation, r2,
        F of the whole fit and its p.

    Raises:
        ArgumentError: fewer readings than coefficients plus one, dependent columns.

    References:
        NIST StRD (Norris, Longley).
    """
    table, values = np.asarray(x, float), np.ravel(y)
    table = table.reshape(values.size, -1) if table.size % values.size == 0 else table
    n = values.size
    if table.ndim != 2 or table.shape[0] != n or n < table.shape[1] + 2:
        shape = " x ".join(map(str, np.shape(x)))
        raise ArgumentError("x", shape, "", f"{n} rows, and at least 2 rows more than columns")
    middle, centre = table.mean(axis=0), float(values.mean())
    away = table - middle
    size = np.sqrt(np.sum(away**2, axis=0))
    if np.any(size == 0.0):
        raise ArgumentError("x", "a constant column", "", "columns that vary")
    q, r = np.linalg.qr(away / size)
    if np.min(np.abs(np.diag(r))) < 1e-12:
        raise ArgumentError("x", "dependent columns", "", "columns that do not follow from others")
    held = np.linalg.solve(r, q.T @ (values - centre))
    rest = values - centre - away / size @ held
    dof = n - table.shape[1] - 1
    residual = float(rest @ rest)
    total = float(np.sum((values - centre) ** 2))
    s2 = residual / dof
    inverse = np.linalg.inv(r.T @ r) / np.outer(size, size)
    slopes = held / size
    of_start = s2 * (1.0 / n + middle @ inverse @ middle)
    coefficients = np.append(centre - middle @ slopes, slopes)
    errors = np.sqrt(np.append(of_start, s2 * np.diag(inverse)))
    f = (total - residual) / slopes.size / s2 if s2 > 0 else np.inf
    chance = float(fdtrc(slopes.size, dof, f)) if np.isfinite(f) else 0.0
    return LeastSquares(
        coefficients, errors, float(np.sqrt(s2)), 1.0 - residual / total, float(f), chance, n
    )


@calculation(source=f"{_TABLES} (normal, t, chi-square and F)", basis="computed")
def table_quantiles(
    *, normal_p: Values, t_975_dof: Values, chi2_95_dof: Values, f_95_dof: Values
) -> TableQuantiles:
    """Table values: normal at p, t at 0.975, chi-square at 0.95, F at 0.95.

    Args:
        normal_p: Probabilities. t_975_dof, chi2_95_dof: Degrees of freedom. f_95_dof: Pairs of
            them, above and below.

    References:
        Any statistical tables; computed.
    """
    pairs = np.asarray(f_95_dof, float).reshape(-1, 2)
    return TableQuantiles(
        ndtri(np.asarray(normal_p)), stdtrit(np.asarray(t_975_dof), 0.975),
        chdtri(np.asarray(chi2_95_dof), 0.05), fdtri(pairs[:, 0], pairs[:, 1], 0.95),
    )  # fmt: skip


@calculation(source=f"{_TABLES} (normal law)", needs={"p": _SHARE}, gives="z", basis="computed")
def normal_quantile(*, p: Values) -> Values:
    """Quantile of the standard normal law.

    Args:
        p: Probability below.

    References:
        Any statistical tables; computed.
    """
    return ndtri(np.asarray(p))


@calculation(
    source=f"{_TABLES} (Student's t)", needs={"p": _SHARE, "dof": POSITIVE}, gives="t",
    basis="computed",
)  # fmt: skip
def t_quantile(*, p: Values, dof: Values) -> Values:
    """Quantile of Student's t.

    Args:
        p: Probability below. dof: Degrees of freedom.

    References:
        Any statistical tables; computed.
    """
    return stdtrit(np.asarray(dof), p)


@calculation(
    source=f"{_TABLES} (chi-square)", needs={"p": _SHARE, "dof": POSITIVE}, gives="chi2",
    basis="computed",
)  # fmt: skip
def chi_square_quantile(*, p: Values, dof: Values) -> Values:
    """Quantile of chi-square.

    Args:
        p: Probability below. dof: Degrees of freedom.

    References:
        Any statistical tables; computed.
    """
    return chdtri(np.asarray(dof), 1.0 - np.asarray(p))


@calculation(
    source=f"{_TABLES} (F)", needs={"p": _SHARE, "dof_above": POSITIVE, "dof_below": POSITIVE},
    gives="f", basis="computed",
)  # fmt: skip
def f_quantile(*, p: Values, dof_above: Values, dof_below: Values) -> Values:
    """Quantile of F.

    Args:
        p: Probability below. dof_above, dof_below: Degrees of freedom.

    References:
        Any statistical tables; computed.
    """
    return fdtri(np.asarray(dof_above), np.asarray(dof_below), p)
