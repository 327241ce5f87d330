"""Drift of a running process: an alarm within minutes, and when the change began.

Offers `cusum_interval_for`, `change_point` and `drift_alarm`, for instance of the energy of every
weld of a machine.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import stdtr

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quality.control_limits import individuals_limits
from linkwright.quality.cusum import cusum, cusum_run_length
from linkwright.quantities import ArgumentError

_HAWKINS = (
    "D. M. Hawkins, P. Qiu & C. W. Kang, Journal of Quality Technology 35 (2003) 355-366 (change "
    "point of a normal mean); bound of the p by Bonferroni"
)


class ChangePoint(NamedTuple):
    """Results of `change_point`."""

    last_before: int
    mean_before: float
    mean_after: float
    t: float
    p_bound: float


class DriftAlarm(NamedTuple):
    """Results of `drift_alarm`."""

    alarm: int | None
    last_before: int | None
    shift: float | None
    center: float
    sigma: float
    decision_interval: float
    autocorrelation: float
    minutes_to_alarm: float | None
    readings_for_one_sigma: float
    readings_for_two_sigma: float


@calculation(
    source="E. S. Page, Biometrika 41 (1954) 100-115; run length by the integral equation of D. "
    "Brook & D. A. Evans, Biometrika 59 (1972) 539-549, solved for the interval",
    needs={"run_length": (3.0, 1e8), "k": NOT_NEGATIVE},
    gives="h",
    basis="computed",
)
def cusum_interval_for(*, run_length: float, k: float = 0.5) -> float:
    """Decision interval h of a two-sided CUSUM whose false alarms come once in so many readings.

    Args:
        run_length: Readings between false alarms on average. k: Allowance in sigma.

    Returns:
        h in sigma, by bisection of the exact run length.

    References:
        D. M. Hawkins & D. H. Olwell, Cumulative Sum Charts and Charting (1998).

    Example:
        >>> round(cusum_interval_for(run_length=370.0), 2)
        4.77
    """
    from scipy.optimize import brentq  # noqa: PLC0415

    def short(h: float) -> float:
        found = cusum_run_length(k=k, h=h, shift_sigma=0.0).arl_two_sided
        return float(np.log(found) - np.log(run_length))

    if short(0.05) > 0.0:
        raise ArgumentError("run_length", run_length, "", "a longer run")
    return float(brentq(short, 0.05, 45.0, xtol=1e-6))


@calculation(
    source=_HAWKINS,
    carries=("readings", "mean_before", "mean_after"),
    basis="computed",
)
def change_point(*, readings: Values) -> ChangePoint:
    """When a step of the mean most likely came, and how likely chance makes one as great.

    The place that makes |t| of the two-sample test greatest. p_bound: (n - 1) times the p of that
    t, at most 1: chance gives a greater one less often than that.

    Args:
        readings: In the order of time, at least 4.

    Returns:
        Last reading (from 1) before the change, means on both sides, t and p.

    References:
        Hawkins, Qiu & Kang, Journal of Quality Technology 35 (2003) 355-366.
    """
    x = np.ravel(readings)
    n = x.size
    if n < 4 or np.ptp(x) == 0.0:
        raise ArgumentError("readings", f"{n} values", "", "at least 4 that differ")
    away = x - x.mean()
    place = np.arange(1, n)
    sums = np.cumsum(away)[:-1]
    between = sums**2 * n / (place * (n - place))
    total = float(away @ away)
    within = np.maximum(total - between, 1e-300) / (n - 2)
    at = int(np.argmax(between))
    t = float(np.sqrt(between[at] / within[at]))
    chance = min(1.0, (n - 1) * 2.0 * float(stdtr(n - 2, -t)))
    last = at + 1
    return ChangePoint(last, float(x[:last].mean()), float(x[last:].mean()), t, chance)


@calculation(
    source="two-sided CUSUM: E. S. Page, Biometrika 41 (1954) 100-115; begin of the change from "
    "the sum's last zero: D. M. Hawkins & D. H. Olwell (1998) (drift alarm)",
    needs={"baseline": (10.0, None), "readings_between_false_alarms": (20.0, 1e7),
           "k": (0.0, 3.0), "seconds_per_reading_s": POSITIVE},
    carries=("readings", "shift", "center", "sigma", "decision_interval"),
)  # fmt: skip
def drift_alarm(
    *,
    readings: Values,
    baseline: float,
    readings_between_false_alarms: float = 10000.0,
    k: float = 0.5,
    seconds_per_reading_s: float | None = None,
) -> DriftAlarm:
    """Alarm at the first reading that shows a lasting shift from a first period.

    Centre and sigma (moving ranges) from the first period; a CUSUM with an interval solved for the
    wanted run between false alarms starts after it. The change began after the last zero of the
    sum that gave the alarm; its size is the mean since then less the centre.

    Args:
        readings: In the order of time, such as the energy of each weld.
        baseline: Readings of the first period, at least 10.
        readings_between_false_alarms: On average, without a shift.
        k: Allowance in sigma: half the shift that matters.
        seconds_per_reading_s: Time between readings, for the minutes.

    Returns:
        Alarm (reading from 1; none without one), last reading before the change, shift; centre,
        sigma, interval; lag-1 autocorrelation of the first period (above 0.2 or so false alarms
        come oftener than said); minutes from change to alarm; mean number of readings to the alarm
        for a shift of one and of two sigma.

    References:
        Page (1954); Hawkins & Olwell, Cumulative Sum Charts and Charting (1998).
    """
    x = np.ravel(readings)
    first = int(baseline)
    if first >= x.size:
        raise ArgumentError("baseline", first, "", f"less than the {x.size} readings")
    start = x[:first]
    limits = individuals_limits(readings=start)
    if limits.sigma == 0.0:
        raise ArgumentError("readings", "no spread", "", "a first period whose readings differ")
    h = cusum_interval_for(run_length=readings_between_false_alarms, k=k)
    found = cusum(target=limits.center, k=k, h=h, sigma=limits.sigma, data=x[first:])
    delays = cusum_run_length(k=k, h=h, shift_sigma=np.array([1.0, 2.0])).arl
    away = start - start.mean()
    lag = float(away[:-1] @ away[1:] / (away @ away))
    alarm = last = shift = minutes = None
    if found.first_signal is not None and found.count_since_zero_at_signal is not None:
        alarm = first + found.first_signal
        last = alarm - found.count_since_zero_at_signal
        shift = float(x[last:alarm].mean() - limits.center)
        if seconds_per_reading_s is not None:
            minutes = (alarm - last) * seconds_per_reading_s / 60.0
    return DriftAlarm(
        alarm, last, shift, limits.center, limits.sigma, h * limits.sigma, lag, minutes,
        float(delays[0]), float(delays[1]),
    )  # fmt: skip
