"""Bayes' rule where the answer is a formula: shares, means, rates, mean and variance together.

Offers `beta_binomial_update`, `normal_update`, `gamma_poisson_update` and
`normal_variance_update`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import betaincinv, gammaincinv

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_BOOK = "A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013)"


class BetaPosterior(NamedTuple):
    """Results of `beta_binomial_update`."""

    posterior: Values
    mean: float
    sd: float
    lower_95: float
    upper_95: float


class NormalPosterior(NamedTuple):
    """Results of `normal_update`."""

    mean: Values
    sd: Values


class GammaPosterior(NamedTuple):
    """Results of `gamma_poisson_update`."""

    posterior: Values
    mean: float
    lower_95: float
    upper_95: float


class NormalVariancePosterior(NamedTuple):
    """Results of `normal_variance_update`."""

    mu_n: Values
    kappa_n: Values
    nu_n: Values
    var_n: Values


@calculation(
    source=f"{_BOOK}, Sec. 2.4 (beta prior, binomial data)",
    needs={"prior": POSITIVE, "successes": NOT_NEGATIVE, "trials": NOT_NEGATIVE},
)
def beta_binomial_update(
    *, successes: float, trials: float, prior: Values = (1.0, 1.0)
) -> BetaPosterior:
    """Posterior of a share: Beta(a + successes, b + trials - successes).

    Args:
        successes, trials: Counted. prior: a and b; 1, 1 is uniform, 1/2, 1/2 Jeffreys'.

    Returns:
        Both parameters, mean, standard deviation, central 95 % interval.

    References:
        Gelman et al., Bayesian Data Analysis, Sec. 2.4.
    """
    if successes > trials:
        raise ArgumentError("successes", successes, "", f"at most trials, {trials:g}")
    a, b = _pair(prior) + np.array([successes, trials - successes])
    total = a + b
    low, high = betaincinv(a, b, [0.025, 0.975])
    sd = np.sqrt(a * b / (total**2 * (total + 1.0)))
    return BetaPosterior(np.array([a, b]), float(a / total), float(sd), float(low), float(high))


@calculation(
    source=f"{_BOOK}, Eqs 2.11 and 2.12 (normal prior, known sigma)",
    needs={"prior_sd": POSITIVE, "sigma": POSITIVE, "n": POSITIVE},
    carries=("prior_mean", "prior_sd", "sample_mean", "sigma", "mean", "sd"),
)
def normal_update(
    *, prior_mean: Values, prior_sd: Values, sample_mean: Values, sigma: Values, n: Values = 1.0
) -> NormalPosterior:
    """Posterior of a mean whose readings have a known standard deviation.

    1/sd^2 = 1/prior_sd^2 + n/sigma^2; mean weighted by these precisions.

    Args:
        prior_mean, prior_sd: Before. sample_mean: Of n readings. sigma: Of one reading.

    References:
        Gelman et al., Bayesian Data Analysis, Sec. 2.5.
    """
    before, data = 1.0 / np.asarray(prior_sd) ** 2, n / np.asarray(sigma) ** 2
    return NormalPosterior(
        (before * prior_mean + data * sample_mean) / (before + data), 1.0 / np.sqrt(before + data)
    )


@calculation(
    source=f"{_BOOK}, Sec. 2.6 (gamma prior, Poisson data with exposure)",
    needs={"prior": POSITIVE, "events": NOT_NEGATIVE, "exposure": NOT_NEGATIVE},
)
def gamma_poisson_update(*, events: float, exposure: float, prior: Values) -> GammaPosterior:
    """Posterior of a rate: Gamma(a + events, b + exposure).

    Args:
        events: Counted. exposure: Units, hours or lots watched. prior: a and b; a/b is the mean.

    Returns:
        Both parameters, mean, central 95 % interval.

    References:
        Gelman et al., Bayesian Data Analysis, Sec. 2.6.
    """
    a, b = _pair(prior) + np.array([events, exposure])
    low, high = gammaincinv(a, [0.025, 0.975]) / b
    return GammaPosterior(np.array([a, b]), float(a / b), float(low), float(high))


@calculation(
    source=f"{_BOOK}, Sec. 3.3 (conjugate normal-inverse-gamma, mean and variance together)",
    needs={"kappa0": POSITIVE, "nu0": POSITIVE, "var0": POSITIVE, "n": POSITIVE,
           "sample_var": NOT_NEGATIVE},
)  # fmt: skip
def normal_variance_update(
    *,
    mu0: Values,
    kappa0: Values,
    nu0: Values,
    var0: Values,
    n: Values,
    sample_mean: Values,
    sample_var: Values,
) -> NormalVariancePosterior:
    """Posterior of mean and variance together.

    kappa_n = kappa0 + n, nu_n = nu0 + n, mu_n = (kappa0 mu0 + n xbar)/kappa_n,
    nu_n var_n = nu0 var0 + (n - 1) s^2 + kappa0 n/kappa_n (xbar - mu0)^2.

    Args:
        mu0, kappa0: Prior mean and the readings it is worth. var0, nu0: Prior variance and its
            degrees of freedom. n, sample_mean, sample_var: Of the readings (s^2 with n - 1).

    References:
        Gelman et al., Bayesian Data Analysis, Sec. 3.3.
    """
    kappa, nu = np.asarray(kappa0) + n, np.asarray(nu0) + n
    away = (np.asarray(sample_mean) - mu0) ** 2
    squares = (
        nu0 * np.asarray(var0) + (n - 1.0) * np.asarray(sample_var) + kappa0 * n / kappa * away
    )
    return NormalVariancePosterior((kappa0 * np.asarray(mu0) + n * sample_mean) / kappa, kappa, nu,
                                   squares / nu)  # fmt: skip


def _pair(prior: Values) -> np.ndarray:
    pair = np.ravel(np.asarray(prior, float))
    if pair.size != 2:
        raise ArgumentError("prior", f"{pair.size} values", "", "two, such as [1, 1]")
    return pair
