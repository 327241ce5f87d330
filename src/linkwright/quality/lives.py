"""Lives of a sample: laws fitted to them, survival with stopped tests.

Offers `birnbaum_saunders_fit`, `life_sample`, `product_limit` and `exponential_life`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import chdtri

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quality.weibull import weibull_fit
from linkwright.quantities import ArgumentError


class BirnbaumSaunders(NamedTuple):
    """Results of `birnbaum_saunders_fit`."""

    n: int
    alpha: float
    beta: float


class LifeSample(NamedTuple):
    """Results of `life_sample`."""

    n: int
    mean: float
    s: float
    log10_mean: float
    log10_of_s: float
    weibull_shape: float
    weibull_scale: float


class ProductLimit(NamedTuple):
    """Results of `product_limit`."""

    time: Values
    survival: Values
    standard_error: Values
    at_risk: Values
    exponential_rate: float


class ExponentialLife(NamedTuple):
    """Results of `exponential_life`."""

    events: int
    total_time: float
    exponential_rate: float
    mean_life: float
    mean_life_lower: float
    mean_life_upper: float


@calculation(
    source="Z. W. Birnbaum & S. C. Saunders, Journal of Applied Probability 6 (1969) 328-347 "
    "(fatigue life law, maximum likelihood)",
    needs={"lives": POSITIVE},
    carries=("lives", "beta"),
)
def birnbaum_saunders_fit(*, lives: Values) -> BirnbaumSaunders:
    """Law of Birnbaum and Saunders of a sample of lives, by maximum likelihood.

    With s = mean, r = harmonic mean, K(x) = 1/mean(1/(x + t)): beta is the root of
    x^2 - x (2 r + K(x)) + r (s + K(x)) = 0 between r and s, alpha^2 = s/beta + beta/r - 2.

    Args:
        lives: At least 2 that differ.

    Returns:
        Number, shape alpha, scale beta (the median life).

    References:
        Z. W. Birnbaum & S. C. Saunders, J. Applied Probability 6 (1969) 328-347.
    """
    from scipy.optimize import brentq  # noqa: PLC0415

    t = np.ravel(lives)
    _refuse_few(t)
    mean, harmonic = float(t.mean()), float(1.0 / np.mean(1.0 / t))

    def short(x: float) -> float:
        k = 1.0 / np.mean(1.0 / (x + t))
        return float(x**2 - x * (2.0 * harmonic + k) + harmonic * (mean + k))

    beta = float(brentq(short, harmonic, mean, xtol=1e-12, rtol=1e-13))
    return BirnbaumSaunders(t.size, float(np.sqrt(mean / beta + beta / harmonic - 2.0)), beta)


@calculation(
    source="definitions; log-normal and Weibull laws by maximum likelihood (J. F. Lawless, "
    "Statistical Models and Methods for Lifetime Data)",
    needs={"lives": POSITIVE},
    carries=("lives", "mean", "s", "weibull_scale"),
)
def life_sample(*, lives: Values) -> LifeSample:
    """Mean, standard deviation, log moments and Weibull law of a sample of lives.

    s and that of log10 with n - 1.

    Args:
        lives: At least 2 that differ.

    References:
        J. F. Lawless, Statistical Models and Methods for Lifetime Data.
    """
    t = np.ravel(lives)
    _refuse_few(t)
    fitted, logs = weibull_fit(failures=t), np.log10(t)
    return LifeSample(
        t.size, float(t.mean()), float(t.std(ddof=1)), float(logs.mean()),
        float(logs.std(ddof=1)), fitted.shape, fitted.scale,
    )  # fmt: skip


@calculation(
    source="E. L. Kaplan & P. Meier, Journal of the American Statistical Association 53 (1958) "
    "457-481 (product-limit survival); M. Greenwood (1926)",
    needs={"event": NOT_NEGATIVE, "censored": NOT_NEGATIVE},
    carries=("event", "censored", "time"),
    per=("exponential_rate",),
)
def product_limit(*, event: Values, censored: Values | None = None) -> ProductLimit:
    """Survival of a sample with tests that were stopped, by the product limit.

    S(t) = prod over event times (1 - d/n), n still at risk; one stopped at an event's time counts
    as at risk. Standard error by Greenwood. Rate of an exponential law: events over all time.

    Args:
        event: Times of failures. censored: Times at which tests were stopped.

    Returns:
        Times with failures in order, survival after each, its standard error, number at risk.

    References:
        E. L. Kaplan & P. Meier, JASA 53 (1958) 457-481.
    """
    times = np.ravel(event)
    stopped = np.array([]) if censored is None else np.ravel(censored)
    at, died = np.unique(times, return_counts=True)
    everything = np.concatenate([times, stopped])
    risk = np.array([np.sum(everything >= one) for one in at], float)
    survival = np.cumprod(1.0 - died / risk)
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(risk > died, died / (risk * (risk - died)), 0.0)
    error = survival * np.sqrt(np.cumsum(terms))
    return ProductLimit(at, survival, error, risk, float(times.size / everything.sum()))


@calculation(
    source="B. Epstein & M. Sobel, Journal of the American Statistical Association 48 (1953) "
    "486-502 (exponential life, chi-square limits); W. Nelson, Applied Life Data Analysis (1982)",
    needs={"time": POSITIVE, "confidence": (0.01, 0.9999)},
    carries=("time", "total_time", "mean_life", "mean_life_lower", "mean_life_upper"),
    per=("exponential_rate",),
)
def exponential_life(
    *, time: Values, status: Values | None = None, confidence: float = 0.95
) -> ExponentialLife:
    """Mean life of an exponential law from times of use and what became of each piece.

    rate = r/T with r failures in the total time T; limits of the mean life
    2 T/chi2(1 - a/2; 2 r + 2) and 2 T/chi2(a/2; 2 r): exact if stopped at a failure, safe if
    stopped at a time.

    Args:
        time: Of each piece. status: 1 failed, 0 still running; all failed if left out.
        confidence: Two-sided.

    References:
        Epstein & Sobel, JASA 48 (1953) 486-502.
    """
    times = np.ravel(time)
    failed = np.ones(times.size) if status is None else np.ravel(status)
    if failed.size != times.size or not np.isin(failed, (0.0, 1.0)).all():
        raise ArgumentError("status", "the list", "", "a 1 or 0 for each time")
    r, total = int(failed.sum()), float(times.sum())
    if r == 0:
        raise ArgumentError("status", "no failure", "", "at least one 1")
    rest = (1.0 - confidence) / 2.0
    low = 2.0 * total / float(chdtri(2 * r + 2, rest))
    high = 2.0 * total / float(chdtri(2 * r, 1.0 - rest))
    return ExponentialLife(r, total, r / total, total / r, low, high)


def _refuse_few(lives: np.ndarray) -> None:
    if lives.size < 2 or np.ptp(lives) <= 1e-9 * lives.max():
        raise ArgumentError("lives", f"{lives.size} values", "", "at least 2 that differ")
