"""The Weibull law: fits with censored tests, its figures, and the weakest link.

Offers `weibull_fit`, `weibull_rank_regression`, `weibull_figures`, `weibull_value_at`,
`median_ranks`, `weakest_link_scale` and `weakest_link_ratio`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import betaincinv, gamma, ndtri

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_SHARE = (1e-12, 1.0 - 1e-12)
_WIDEST = 1e4


class WeibullFit(NamedTuple):
    """Results of `weibull_fit`."""

    shape: float
    scale: float
    log_scale: float
    inverse_shape: float
    shape_lower: float
    shape_upper: float
    scale_lower: float
    scale_upper: float
    b10: float
    log_likelihood: float


class RankRegression(NamedTuple):
    """Results of `weibull_rank_regression`."""

    shape: float
    scale: float
    r2: float


class WeibullFigures(NamedTuple):
    """Results of `weibull_figures`."""

    b10: Values
    median: Values
    mean: Values
    reliability: Values


class MedianRanks(NamedTuple):
    """Results of `median_ranks`."""

    exact: Values
    benard: Values


class WeakestLink(NamedTuple):
    """Results of `weakest_link_scale`."""

    scale_ratio: Values
    scale_of_chain: Values


@calculation(
    source="N. R. Mann & K. W. Fertig, Technometrics 15 (1973) 87-101; J. F. Lawless, Statistical "
    "Models and Methods for Lifetime Data, Sec. 5.2 (Weibull maximum likelihood, censored)",
    needs={"failures": POSITIVE, "censored": POSITIVE, "confidence": (0.01, 0.9999)},
    carries=("failures", "censored", "scale", "scale_lower", "scale_upper", "b10"),
    basis="computed",
)
def weibull_fit(
    *, failures: Values, censored: Values | None = None, confidence: float = 0.95
) -> WeibullFit:
    """Weibull law of failures and tests that were stopped, by maximum likelihood.

    The shape b solves sum x^b ln x/sum x^b - 1/b = mean ln(failures), sums over all tests;
    scale = (sum x^b/r)^(1/b). Intervals from the observed information of ln b and ln scale.

    Args:
        failures: Values at failure, at least 2 that differ. censored: Values of tests stopped
            without failure, in the same unit. confidence: Of the intervals, two-sided.

    Returns:
        Shape, scale; ln of the scale (in the unit given) and 1/shape; intervals; B10.

    Raises:
        ArgumentError: fewer than 2 different failures.

    References:
        J. F. Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed., Sec. 5.2.
    """
    failed = np.ravel(failures)
    all_of = failed if censored is None else np.concatenate([failed, np.ravel(censored)])
    shape = _likely_shape(failed, all_of)
    unit = failed.max()
    power = (all_of / unit) ** shape
    scale = float(unit * (power.sum() / failed.size) ** (1.0 / shape))
    u = np.log(all_of / scale)
    w = np.exp(shape * u)
    r = failed.size
    # information of (ln shape, ln scale) at the maximum
    of_shape = r + shape**2 * float(np.sum(w * u**2))
    cross = -(shape**2) * float(np.sum(w * u))
    of_scale = shape**2 * r
    covariance = np.linalg.inv([[of_shape, cross], [cross, of_scale]])
    z = float(ndtri((1.0 + confidence) / 2.0))
    reach = np.exp(z * np.sqrt(np.diag(covariance)))
    likelihood = float(
        r * np.log(shape / scale) + (shape - 1.0) * np.sum(np.log(failed / scale)) - w.sum()
    )
    return WeibullFit(
        shape, scale, float(np.log(scale)), 1.0 / shape, shape / reach[0], shape * reach[0],
        scale / reach[1], scale * reach[1], scale * float(-np.log(0.9)) ** (1.0 / shape),
        likelihood,
    )  # fmt: skip


@calculation(
    source="R. B. Abernethy, The New Weibull Handbook (median-rank regression, adjusted ranks by "
    "L. G. Johnson); A. Benard & E. C. Bos-Levenbach (1953)",
    needs={"failures": POSITIVE, "censored": POSITIVE},
    carries=("failures", "censored", "scale"),
)
def weibull_rank_regression(
    *, failures: Values, censored: Values | None = None, exact_ranks: bool = True
) -> RankRegression:
    """Weibull law by a straight line through ln(-ln(1 - rank)) over ln x, x on rank.

    Ranks are medians (exact by the beta law, or Benard's), with Johnson's adjusted order numbers
    after tests that were stopped.

    Args:
        failures: At least 2 that differ. censored: Tests stopped without failure.
        exact_ranks: Exact medians, or Benard's approximation.

    Returns:
        Shape, scale, r2 of the line.

    References:
        L. G. Johnson, The Statistical Treatment of Fatigue Experiments (1964).
    """
    failed = np.sort(np.ravel(failures))
    _refuse_few(failed)
    stopped = np.array([]) if censored is None else np.ravel(censored)
    values = np.concatenate([failed, stopped])
    is_failure = np.concatenate([np.ones(failed.size, bool), np.zeros(stopped.size, bool)])
    # a test stopped at the value of a failure outlived it
    order = np.lexsort((~is_failure, values))
    n, last, ranks = values.size, 0.0, []
    for place, index in enumerate(order):
        if is_failure[index]:
            last += (n + 1 - last) / (1 + n - place)
            ranks.append(last)
    number = np.array(ranks)
    share = betaincinv(number, n - number + 1, 0.5) if exact_ranks else (number - 0.3) / (n + 0.4)
    x, y = np.log(np.sort(failed)), np.log(-np.log1p(-share))
    slope = float(np.cov(x, y, bias=True)[0, 1] / y.var())  # of x on y
    scale = float(np.exp(x.mean() - slope * y.mean()))
    return RankRegression(1.0 / slope, scale, float(np.corrcoef(x, y)[0, 1] ** 2))


@calculation(
    source="W. Weibull, Journal of Applied Mechanics 18 (1951) 293-297; closed forms with "
    "Gamma(1 + 1/beta)",
    needs={"shape": (1e-3, _WIDEST), "scale": POSITIVE, "at": (0.0, None)},
    carries=("scale", "at", "b10", "median", "mean"),
    basis="computed",
)
def weibull_figures(*, shape: Values, scale: Values, at: Values = 0.0) -> WeibullFigures:
    """B10, median, mean and reliability of a Weibull law: R = exp(-(x/scale)^shape).

    Args:
        shape, scale: Of the law. at: Value at which the reliability is asked.

    References:
        W. Weibull, Journal of Applied Mechanics 18 (1951) 293-297.
    """
    b = np.asarray(shape, float)
    at_share = np.asarray(at) / np.asarray(scale)
    return WeibullFigures(
        scale * (-np.log(0.9)) ** (1.0 / b), scale * np.log(2.0) ** (1.0 / b),
        scale * gamma(1.0 + 1.0 / b), np.exp(-(at_share**b)),
    )  # fmt: skip


@calculation(
    source="Weibull closed form (life or strength at a wanted reliability): t = scale "
    "(-ln R)^(1/shape)",
    needs={"shape": (1e-3, _WIDEST), "scale": POSITIVE, "reliability": _SHARE},
    gives="value",
    carries=("scale", "value"),
    basis="computed",
)
def weibull_value_at(*, shape: Values, scale: Values, reliability: Values) -> Values:
    """Life or strength that a share of all pieces reaches: scale (-ln R)^(1/shape).

    Args:
        shape, scale: Of the law. reliability: R.

    References:
        W. Weibull, Journal of Applied Mechanics 18 (1951) 293-297.
    """
    return scale * (-np.log(np.asarray(reliability))) ** (1.0 / np.asarray(shape))


@calculation(
    source="median of the beta law of an order statistic; A. Benard & E. C. Bos-Levenbach, "
    "Statistica Neerlandica 7 (1953), (i - 0.3)/(n + 0.4)",
    needs={"n": (1.0, 1e6), "i": (1.0, 1e6)},
    basis="computed",
)
def median_ranks(*, n: Values, i: Values) -> MedianRanks:
    """Median rank of the i-th of n values in order: exact, and by Benard's approximation.

    Args:
        n: Sample size; several give one row each. i: Order numbers; one, a list, or a row for
            each n.

    References:
        Benard & Bos-Levenbach, Statistica Neerlandica 7 (1953) 163-173.
    """
    order, size = np.asarray(i, float), np.asarray(n, float)
    if order.ndim > size.ndim and size.ndim:
        size = size.reshape(size.shape + (1,) * (order.ndim - size.ndim))
    if np.any(order > size):
        raise ArgumentError("i", float(order.max()), "", "at most n")
    return MedianRanks(betaincinv(order, size - order + 1.0, 0.5), (order - 0.3) / (size + 0.4))


@calculation(
    source="W. Weibull, A Statistical Theory of the Strength of Materials (1939): least of N, "
    "scale N^(-1/m) (weakest link)",
    needs={"scale": POSITIVE, "shape": (1e-3, _WIDEST), "links": (1.0, None)},
    carries=("scale", "scale_of_chain"),
    basis="computed",
)
def weakest_link_scale(*, shape: Values, links: Values, scale: Values = 1.0) -> WeakestLink:
    """Strength of a chain of N links over that of one link, both Weibull with one shape.

    The least of N: scale ratio N^(-1/m); mean and every quantile scale by the same ratio.

    Args:
        shape: m of the links. links: N. scale: Of one link.

    Returns:
        Rows by shape, columns by number of links; the ratio, and the scale of the chain.

    References:
        W. Weibull, A Statistical Theory of the Strength of Materials (1939).
    """
    m, n = np.asarray(shape, float), np.asarray(links, float)
    ratio = n ** (-1.0 / m.reshape(m.shape + (1,) * n.ndim))
    of_one = np.asarray(scale, float)
    return WeakestLink(ratio, of_one.reshape(of_one.shape + (1,) * n.ndim) * ratio)


@calculation(
    source="Weibull size effect s2/s1 = (V1/V2)^(1/m); W. Weibull (1939)",
    needs={"length_ratio": POSITIVE, "shape": (1e-3, _WIDEST)},
    gives="strength_ratio",
    basis="computed",
)
def weakest_link_ratio(*, length_ratio: Values, shape: Values) -> Values:
    """Strength of a length over that of another: (L2/L1)^(-1/m).

    Args:
        length_ratio: L2/L1. shape: Weibull modulus m.

    References:
        W. Weibull, A Statistical Theory of the Strength of Materials (1939).
    """
    return np.asarray(length_ratio) ** (-1.0 / np.asarray(shape))


def _likely_shape(failed: np.ndarray, all_of: np.ndarray) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415

    _refuse_few(failed)
    logs, mean = np.log(all_of / all_of.max()), float(np.log(failed / all_of.max()).mean())

    def short(shape: float) -> float:
        power = np.exp(shape * logs)
        return float((power * logs).sum() / power.sum()) - 1.0 / shape - mean

    return float(brentq(short, 1e-4, _WIDEST, xtol=1e-12, rtol=1e-13))


def _refuse_few(failed: np.ndarray) -> None:
    if failed.size < 2 or np.ptp(failed) <= 1e-9 * failed.max():
        raise ArgumentError("failures", f"{failed.size} values", "", "at least 2 that differ")
