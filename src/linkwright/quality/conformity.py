"""Deciding with uncertainty: guard bands and the chance of conforming, after JCGM 106.

Offers `guard_band`, `conformance_probability` and `decision_risks`.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_JCGM = "JCGM 106:2012, The role of measurement uncertainty in conformity assessment"


class GuardBand(NamedTuple):
    """Results of `guard_band`."""

    guard_over_u: Values
    guard: Values
    acceptance_limit: Values
    lower_acceptance_limit: Values | None


class Conformance(NamedTuple):
    """Results of `conformance_probability`."""

    probability: Values
    capability_index: Values | None


class Risks(NamedTuple):
    """Results of `decision_risks`."""

    conforming: float
    consumer_risk: float
    producer_risk: float
    accepted: float


@calculation(
    source=f"{_JCGM}, clause 8; ISO 14253-1:2017; ILAC-G8:09/2019 (guard band)",
    needs={"u": NOT_NEGATIVE, "risk": (1e-9, 0.5)},
    carries=("u", "upper", "lower", "guard", "acceptance_limit", "lower_acceptance_limit"),
)
def guard_band(
    *,
    u: Values,
    upper: Values | None = None,
    lower: Values | None = None,
    risk: Values = 0.05,
) -> GuardBand:
    """Guard band that keeps the risk of a wrong acceptance at the limit below a value.

    w = z_(1 - risk) u; accept up to upper - w, and from lower + w.

    Args:
        u: Standard uncertainty. upper, lower: Limits, at least one. risk: Greatest chance that an
            accepted value at the acceptance limit lies beyond the tolerance limit.

    Returns:
        w/u, w, the acceptance limit (of the upper limit if there is one, else of the lower) and
        the lower acceptance limit.

    Raises:
        ArgumentError: no limit, or guard bands that leave nothing between.

    References:
        JCGM 106:2012, 8.3; ISO 14253-1:2017.
    """
    factor = -ndtri(np.asarray(risk, float))
    band = factor * np.asarray(u)
    if upper is None and lower is None:
        raise ArgumentError("upper", "none", "", "upper, lower or both", "is needed, or lower")
    low = None if lower is None else lower + band
    if upper is None:
        return GuardBand(factor, band, low, low)
    high = upper - band
    if low is not None and np.any(high <= low):
        reason = "leaves nothing between the acceptance limits"
        raise ArgumentError("u", float(np.max(u)), "", "a smaller uncertainty or risk", reason)
    return GuardBand(factor, band, high, low)


@calculation(
    source=f"{_JCGM}, 7.2 to 7.5 (probability of conformity, normal law)",
    needs={"u": POSITIVE},
    carries=("value", "u", "upper", "lower"),
)
def conformance_probability(
    *, value: Values, u: Values, upper: Values | None = None, lower: Values | None = None
) -> Conformance:
    """Probability that what was measured conforms: Phi((U - y)/u) - Phi((L - y)/u).

    The measured value and its uncertainty are taken as all that is known.

    Args:
        value: y. u: Standard uncertainty. upper, lower: Limits, at least one.

    Returns:
        Probability; with two limits the measurement capability index (U - L)/(4 u).

    References:
        JCGM 106:2012, 7.2 to 7.6.
    """
    if upper is None and lower is None:
        raise ArgumentError("upper", "none", "", "upper, lower or both", "is needed, or lower")
    at = np.asarray(value, float)
    above = 0.0 if upper is None else ndtr((at - upper) / u)
    below = 0.0 if lower is None else ndtr((np.asarray(lower) - at) / u)
    index = None
    if upper is not None and lower is not None:
        index = (np.asarray(upper) - lower) / (4.0 * np.asarray(u))
    return Conformance(1.0 - above - below, index)


@calculation(
    source=f"{_JCGM}, 9.5 (global consumer's and producer's risk, normal process)",
    needs={"sigma": POSITIVE, "u": POSITIVE},
    carries=(
        "mean", "sigma", "u", "upper", "lower", "upper_acceptance_limit", "lower_acceptance_limit",
    ),
)  # fmt: skip
def decision_risks(
    *,
    mean: float,
    sigma: float,
    u: float,
    upper: float | None = None,
    lower: float | None = None,
    upper_acceptance_limit: float | None = None,
    lower_acceptance_limit: float | None = None,
) -> Risks:
    """Risks of deciding pieces of a normal process by a gauge with uncertainty.

    R_C = P(not conforming and accepted), R_P = P(conforming and rejected), by integrating the
    chance of acceptance over the true value.

    Args:
        mean, sigma: Of the process. u: Standard uncertainty. upper, lower: Tolerance limits.
        upper_acceptance_limit, lower_acceptance_limit: The tolerance limits if left out.

    Returns:
        Share conforming, both risks, share accepted.

    References:
        JCGM 106:2012, 9.5.
    """
    if upper is None and lower is None:
        raise ArgumentError("upper", "none", "", "upper, lower or both", "is needed, or lower")
    top, foot = np.inf if upper is None else upper, -np.inf if lower is None else lower
    high = top if upper_acceptance_limit is None else upper_acceptance_limit
    low = foot if lower_acceptance_limit is None else lower_acceptance_limit
    # split at the limits, so that each part is smooth
    ends = sorted({mean - 9 * sigma, mean + 9 * sigma, *(
        limit for limit in (top, foot) if abs(limit - mean) < 9 * sigma)})  # fmt: skip
    nodes, weights = np.polynomial.legendre.leggauss(200)
    found = np.zeros(3)
    for left, right in pairwise(ends):
        x = (right - left) / 2.0 * nodes + (left + right) / 2.0
        density = np.exp(-0.5 * ((x - mean) / sigma) ** 2) / (sigma * np.sqrt(2.0 * np.pi))
        mass = density * weights * (right - left) / 2.0
        taken = ndtr((high - x) / u) - ndtr((low - x) / u)
        inside = foot <= (left + right) / 2.0 <= top
        found += [inside * mass.sum(), (not inside) * mass @ taken, inside * mass @ (1.0 - taken)]
    conforming, consumer, producer = map(float, found)
    return Risks(conforming, consumer, producer, conforming - producer + consumer)
