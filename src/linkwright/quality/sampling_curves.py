"""What a sampling plan by attributes lets through.

Offers `acceptance_probability`, `average_outgoing_quality`, `double_sampling`,
`sequential_sampling`, `quality_at_acceptance`, `proportion_interval`, `proportion_lower_limit`
and `poisson_mean_upper_limit`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import bdtr, betaincinv, chdtri

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_SHARE = (0.0, 1.0)
_INSIDE = (1e-9, 1.0 - 1e-9)
_SIZE, _NUMBER = (1.0, 1e9), (0.0, 1e5)


class Outgoing(NamedTuple):
    """Results of `average_outgoing_quality`."""

    aoq: Values
    ati: Values
    accept_probability: Values


class Double(NamedTuple):
    """Results of `double_sampling`."""

    first_sample: Values
    second_sample: Values
    accept_probability: Values
    average_sample_number: Values


class Sequential(NamedTuple):
    """Results of `sequential_sampling`."""

    h1: Values
    h2: Values
    slope: Values


class Interval(NamedTuple):
    """Results of `proportion_interval`."""

    lower: Values
    upper: Values


class PoissonLimit(NamedTuple):
    """Results of `poisson_mean_upper_limit`."""

    upper: Values
    upper_90: Values
    upper_95: Values
    upper_99: Values


@calculation(
    source=f"{_TEXT}, Eq. 15.1 and Table 15.1 (operating characteristic curve)",
    needs={"n": _SIZE, "c": (0.0, 1e9), "p": _SHARE},
    gives="accept_probability",
)
def acceptance_probability(
    *,
    n: Values,
    c: Values,
    p: Values,
    N: Values | None = None,
) -> Values:
    """Probability that a lot is accepted: at most c nonconforming in a sample of n.

    Binomial, P = sum_(d <= c) C(n, d) p^d (1 - p)^(n - d); with the lot size N hypergeometric,
    round(p N) nonconforming in the lot.

    Args:
        n, c: Sample size and acceptance number. p: Fraction nonconforming. N: Lot size.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 15.2.
    """
    if N is None:
        return _binomial(c, n, p)
    from scipy import stats  # noqa: PLC0415

    bad = np.round(np.asarray(p) * N)
    return stats.hypergeom.cdf(np.asarray(c), np.asarray(N), bad, np.asarray(n))


@calculation(
    source=f"{_TEXT}, Eqs 15.4 to 15.6 (average outgoing quality, average total inspection)",
    needs={"N": _SIZE, "n": _SIZE, "c": (0.0, 1e9), "p": _SHARE},
)
def average_outgoing_quality(*, N: Values, n: Values, c: Values, p: Values) -> Outgoing:
    """Quality after rectifying inspection: AOQ = Pa p (N - n)/N, ATI = n + (1 - Pa)(N - n).

    Args:
        N: Lot size. n, c: Sample size and acceptance number. p: Fraction nonconforming coming in.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 15.2.4.
    """
    accepted = _binomial(c, n, p)
    return Outgoing(accepted * p * (N - n) / N, n + (1.0 - accepted) * (N - n), accepted)


@calculation(
    source=f"{_TEXT}, Sec. 15.3.1 (double sampling)",
    needs={"n1": _SIZE, "c1": _NUMBER, "n2": _SIZE, "c2": _NUMBER, "p": _SHARE},
)
def double_sampling(*, n1: float, c1: float, n2: float, c2: float, p: Values) -> Double:
    """Probability of acceptance by double sampling: on the first sample, and on the second.

    Accepted at once with at most c1 in n1; rejected with more than c2; else a second sample n2 is
    taken and the lot accepted with at most c2 in both. ASN = n1 + n2 P(second sample), without
    curtailment.

    Args:
        n1, c1, n2, c2: Of the plan, c1 < c2. p: Fraction nonconforming.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 15.3.1.
    """
    if c2 <= c1:
        raise ArgumentError("c2", c2, "", f"more than c1, {c1}", "is not above c1")
    share = np.asarray(p, float)
    first = _binomial(c1, n1, share)
    second, drawn = np.zeros_like(share), np.zeros_like(share)
    for found in range(int(c1) + 1, int(c2) + 1):
        here = _binomial(found, n1, share) - _binomial(found - 1, n1, share)
        second = second + here * _binomial(c2 - found, n2, share)
        drawn = drawn + here
    return Double(first, second, first + second, n1 + n2 * drawn)


@calculation(
    source=f"{_TEXT}, Eqs 15.11 to 15.13 (sequential sampling); A. Wald, Sequential Analysis",
    needs={"p1": _INSIDE, "p2": _INSIDE, "alpha": _INSIDE, "beta": _INSIDE},
)
def sequential_sampling(*, p1: Values, alpha: Values, p2: Values, beta: Values) -> Sequential:
    """Lines of a sequential plan: accept at -h1 + s n, reject at h2 + s n nonconforming.

    k = ln[p2 (1 - p1)/(p1 (1 - p2))], h1 = ln[(1 - alpha)/beta]/k, h2 = ln[(1 - beta)/alpha]/k,
    s = ln[(1 - p1)/(1 - p2)]/k.

    Args:
        p1: Quality accepted with 1 - alpha. p2 > p1: Quality accepted with beta.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 15.3.3.
    """
    if np.any(np.asarray(p2) <= np.asarray(p1)):
        raise ArgumentError("p2", p2, "", f"more than p1, {p1}", "is not above p1")
    k = np.log(p2 * (1.0 - np.asarray(p1)) / (p1 * (1.0 - np.asarray(p2))))
    return Sequential(
        np.log((1.0 - np.asarray(alpha)) / beta) / k,
        np.log((1.0 - np.asarray(beta)) / alpha) / k,
        np.log((1.0 - np.asarray(p1)) / (1.0 - np.asarray(p2))) / k,
    )


@calculation(
    source="binomial operating characteristic as in ISO 2859-1:1999, Table 10; by the beta law",
    needs={"n": _SIZE, "c": (0.0, 1e9), "accept_probability": _INSIDE},
    gives="percent_nonconforming",
    basis="computed",
)
def quality_at_acceptance(*, n: Values, c: Values, accept_probability: Values) -> Values:
    """Per cent nonconforming that a single plan accepts with a given probability.

    100 times the p with sum_(d <= c) C(n, d) p^d (1 - p)^(n - d) = Pa: the 1 - Pa quantile of
    the beta law (c + 1, n - c).

    Args:
        n, c: Sample size and acceptance number, c < n. accept_probability: Pa.

    References:
        ISO 2859-1:1999, Table 10.
    """
    _refuse_more(c, n, "c", below=True)
    left = 1.0 - np.asarray(accept_probability)
    return 100.0 * betaincinv(np.asarray(c) + 1.0, np.asarray(n) - np.asarray(c), left)


@calculation(
    source="C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404-413 (exact limits of a "
    "proportion)",
    needs={"x": (0.0, 1e9), "n": _SIZE, "confidence": _INSIDE},
)
def proportion_interval(*, x: Values, n: Values, confidence: Values = 0.95) -> Interval:
    """Exact two-sided confidence limits of a proportion, x of n.

    Args:
        x, n: Counted and looked at. confidence: Two-sided.

    References:
        C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404-413.
    """
    _refuse_more(x, n, "x")
    rest = (1.0 - np.asarray(confidence)) / 2.0
    return Interval(_beta_low(x, n, rest), 1.0 - _beta_low(np.asarray(n) - x, n, rest))


@calculation(
    source="C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404-413 (exact one-sided limit)",
    needs={"good": (0.0, 1e9), "n": _SIZE, "confidence": _INSIDE},
    gives="lower",
)
def proportion_lower_limit(*, good: Values, n: Values, confidence: Values = 0.95) -> Values:
    """Exact one-sided lower confidence limit of a proportion, good of n.

    All good: (1 - confidence)^(1/n).

    Args:
        good, n: Counted and looked at. confidence: One-sided.

    References:
        C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404-413.
    """
    _refuse_more(good, n, "good")
    return _beta_low(good, n, 1.0 - np.asarray(confidence))


@calculation(
    source="chi-square limit of a Poisson mean, chi2(confidence; 2 r + 2)/2; F. Garwood, "
    "Biometrika 28 (1936) 437-442",
    needs={"events": (0.0, 1e9), "confidence": _INSIDE},
)
def poisson_mean_upper_limit(*, events: Values, confidence: Values = 0.95) -> PoissonLimit:
    """One-sided upper confidence limit of a Poisson mean after r events, none included.

    Args:
        events: r. confidence: One-sided; several give one row each.

    Returns:
        At the confidence asked for, and at 90, 95 and 99 %.

    References:
        F. Garwood, Biometrika 28 (1936) 437-442.
    """
    counts, wanted = np.asarray(events, float), np.asarray(confidence, float)
    asked = wanted.reshape(wanted.shape + (1,) * counts.ndim)

    def at(share: Values) -> Values:
        return chdtri(2.0 * counts + 2.0, 1.0 - np.asarray(share)) / 2.0

    return PoissonLimit(at(asked), at(0.90), at(0.95), at(0.99))


def _binomial(c: Values, n: Values, p: Values) -> Values:
    """At most c of n; 1 where c reaches n."""
    found, size = np.floor(np.asarray(c, float)), np.asarray(np.round(n), float)
    most = np.minimum(found, size)
    inside = bdtr(np.maximum(most, 0.0), size.astype(int), p)
    return np.where(found < 0, 0.0, inside)


def _beta_low(x: Values, n: Values, rest: Values) -> Values:
    counted, size = np.broadcast_arrays(np.asarray(x, float), np.asarray(n, float))
    none = counted <= 0
    return np.where(none, 0.0, betaincinv(np.where(none, 1.0, counted), size - counted + 1.0, rest))


def _refuse_more(x: Values, n: Values, name: str, *, below: bool = False) -> None:
    found, size = np.asarray(x), np.asarray(n)
    if np.any(found >= size if below else found > size):
        accepted = "less than n" if below else "at most n"
        raise ArgumentError(name, float(np.max(found)), "", accepted)
