"""Limits of Shewhart charts from the figures of a first period.

- measured: `xbar_r_limits`, `xbar_s_limits`, `individuals_limits`
- counted: `p_chart_limits`, `np_chart_limits`, `c_chart_limits`, `u_chart_limits`
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quality.control_constants import control_chart_constants
from linkwright.quantities import ArgumentError

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_SIZE = (2.0, 1000.0)


class MeanRangeLimits(NamedTuple):
    """Results of `xbar_r_limits`."""

    ucl_mean: Values
    lcl_mean: Values
    ucl_range: Values
    lcl_range: Values
    sigma: Values


class MeanSpreadLimits(NamedTuple):
    """Results of `xbar_s_limits`."""

    ucl_mean: Values
    lcl_mean: Values
    ucl_of_s: Values
    lcl_of_s: Values
    sigma: Values


class IndividualLimits(NamedTuple):
    """Results of `individuals_limits`."""

    center: float
    ucl: float
    lcl: float
    sigma: float
    mean_moving_range: float
    ucl_moving_range: float


class ShareLimits(NamedTuple):
    """Results of `p_chart_limits`."""

    p_bar: Values
    ucl: Values
    lcl: Values


class NumberLimits(NamedTuple):
    """Results of `np_chart_limits`."""

    np_bar: Values
    ucl: Values
    lcl: Values


class CountLimits(NamedTuple):
    """Results of `c_chart_limits`."""

    c_bar: Values
    ucl: Values
    lcl: Values


class RateLimits(NamedTuple):
    """Results of `u_chart_limits`."""

    ucl: Values
    lcl: Values


@calculation(
    source=f"{_TEXT}, Eqs 6.4 to 6.6 (x-bar and R charts); ISO 7870-2",
    needs={"mean_range": NOT_NEGATIVE, "n": _SIZE},
    carries=(
        "grand_mean", "mean_range", "ucl_mean", "lcl_mean", "ucl_range", "lcl_range", "sigma",
    ),
)  # fmt: skip
def xbar_r_limits(*, grand_mean: Values, mean_range: Values, n: Values) -> MeanRangeLimits:
    """Limits of a chart of means and ranges of subgroups of n: grand mean -+ A2 R, D3 R, D4 R.

    Args:
        grand_mean: Mean of the subgroup means. mean_range: Mean of the ranges. n: Subgroup size.

    Returns:
        Limits, and sigma = R/d2 within subgroups; all in the unit of the readings.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 6.2.
    """
    of = control_chart_constants(n=n)
    reach = of.A2 * mean_range
    return MeanRangeLimits(
        grand_mean + reach, grand_mean - reach, of.D4 * mean_range, of.D3 * mean_range,
        mean_range / of.d2,
    )  # fmt: skip


@calculation(
    source=f"{_TEXT}, Eqs 6.25 to 6.27 (x-bar and s charts); ISO 7870-2",
    needs={"mean_of_s": NOT_NEGATIVE, "n": _SIZE},
    carries=(
        "grand_mean", "mean_of_s", "ucl_mean", "lcl_mean", "ucl_of_s", "lcl_of_s", "sigma",
    ),
)  # fmt: skip
def xbar_s_limits(*, grand_mean: Values, mean_of_s: Values, n: Values) -> MeanSpreadLimits:
    """Limits of a chart of means and standard deviations: grand mean -+ A3 s, B3 s, B4 s.

    Args:
        grand_mean: Mean of the subgroup means. mean_of_s: Mean of the subgroup standard
            deviations. n: Subgroup size.

    Returns:
        Limits, and sigma = s/c4 within subgroups; all in the unit of the readings.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 6.3.
    """
    of = control_chart_constants(n=n)
    reach = of.A3 * mean_of_s
    return MeanSpreadLimits(
        grand_mean + reach, grand_mean - reach, of.B4 * mean_of_s, of.B3 * mean_of_s,
        mean_of_s / of.c4,
    )  # fmt: skip


@calculation(
    source=f"{_TEXT}, Sec. 6.4 (individuals and moving ranges); ISO 7870-2",
    carries=(
        "readings", "center", "ucl", "lcl", "sigma", "mean_moving_range", "ucl_moving_range",
    ),
)  # fmt: skip
def individuals_limits(*, readings: Values) -> IndividualLimits:
    """Limits of a chart of single readings: mean -+ 3 MR/d2, ranges of two in a row, D4 MR.

    Args:
        readings: In the order of time, at least 3.

    Returns:
        Centre, limits, sigma = MR/1.128; all in the unit of the readings.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 6.4.
    """
    values = np.ravel(readings)
    if values.size < 3:
        raise ArgumentError("readings", f"{values.size} values", "", "at least 3", "is too few")
    of = control_chart_constants(n=2.0)
    center, moving = float(values.mean()), float(np.abs(np.diff(values)).mean())
    sigma = moving / of.d2
    return IndividualLimits(
        center, center + 3 * sigma, center - 3 * sigma, sigma, moving, of.D4 * moving
    )


@calculation(
    source=f"{_TEXT}, Eq. 7.8 (p chart); ISO 7870-2",
    needs={"nonconforming": NOT_NEGATIVE, "samples": POSITIVE, "n": POSITIVE},
)
def p_chart_limits(*, nonconforming: Values, samples: Values = 1.0, n: Values) -> ShareLimits:
    """Limits of a chart of the fraction nonconforming: p -+ 3 sqrt(p (1 - p)/n), within 0 to 1.

    Args:
        nonconforming: Pieces in all samples together. samples: Their number. n: Pieces in each.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 7.2.
    """
    share = nonconforming / (samples * n)
    _refuse_over_one(share)
    reach = 3.0 * np.sqrt(share * (1.0 - share) / n)
    return ShareLimits(share, np.minimum(1.0, share + reach), np.maximum(0.0, share - reach))


@calculation(
    source=f"{_TEXT}, Eq. 7.13 (np chart); ISO 7870-2",
    needs={"nonconforming": NOT_NEGATIVE, "samples": POSITIVE, "n": POSITIVE},
)
def np_chart_limits(*, nonconforming: Values, samples: Values, n: Values) -> NumberLimits:
    """Limits of a chart of numbers nonconforming: n p -+ 3 sqrt(n p (1 - p)), not below 0.

    Args:
        nonconforming: Pieces in all samples together. samples: Their number. n: Pieces in each.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 7.2.
    """
    share = nonconforming / (samples * n)
    _refuse_over_one(share)
    reach = 3.0 * np.sqrt(n * share * (1.0 - share))
    return NumberLimits(n * share, n * share + reach, np.maximum(0.0, n * share - reach))


@calculation(
    source=f"{_TEXT}, Eq. 7.16 (c chart); ISO 7870-2",
    needs={"count": NOT_NEGATIVE, "units": POSITIVE},
)
def c_chart_limits(*, count: Values, units: Values = 1.0) -> CountLimits:
    """Limits of a chart of counts of nonconformities in equal units: c -+ 3 sqrt c, not below 0.

    Args:
        count: Nonconformities in all units together. units: Their number.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 7.3.
    """
    mean = count / units
    reach = 3.0 * np.sqrt(mean)
    return CountLimits(mean, mean + reach, np.maximum(0.0, mean - reach))


@calculation(
    source=f"{_TEXT}, Eq. 7.19 (u chart); ISO 7870-2",
    needs={"mean_per_unit": NOT_NEGATIVE, "units": POSITIVE},
)
def u_chart_limits(*, mean_per_unit: Values, units: Values) -> RateLimits:
    """Limits of a chart of counts per unit: u -+ 3 sqrt(u/n), not below 0, for each sample size.

    Args:
        mean_per_unit: u. units: Units in each sample, equal or not.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 7.3.
    """
    reach = 3.0 * np.sqrt(mean_per_unit / np.asarray(units))
    return RateLimits(mean_per_unit + reach, np.maximum(0.0, mean_per_unit - reach))


def _refuse_over_one(share: Values) -> None:
    if np.any(np.asarray(share) > 1.0):
        accepted = "at most samples x n"
        raise ArgumentError("nonconforming", "more pieces than were looked at", "", accepted)
