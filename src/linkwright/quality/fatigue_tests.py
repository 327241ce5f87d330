"""Fatigue tests evaluated: straight lines of life, and the staircase.

Offers `strain_life_line`, `stress_life_line`, `staircase` and `staircase_lower_limit`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import fdtri, stdtrit

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quality.tolerance_interval import one_sided_tolerance_factor
from linkwright.quantities import ArgumentError

_E739 = "ASTM E739, Statistical analysis of linear or linearized S-N and e-N fatigue data"


class LifeLine(NamedTuple):
    """Results of `strain_life_line` and `stress_life_line`."""

    A: float
    B: float
    variance: float
    A_lower: float
    A_upper: float
    B_lower: float
    B_upper: float
    lack_of_fit_f: float | None
    lack_of_fit_f_95: float | None


class Staircase(NamedTuple):
    """Results of `staircase`."""

    mean: float
    s: float
    s_valid: bool
    events_used: str
    A: float
    B: float
    step: float


@calculation(
    source=f"{_E739}, Example 1 (strain life)",
    needs={"strain_amplitude": POSITIVE, "cycles": POSITIVE, "confidence": (0.5, 0.9999)},
)
def strain_life_line(
    *, strain_amplitude: Values, cycles: Values, confidence: float = 0.95
) -> LifeLine:
    """Straight line log10 N = A + B log10(strain amplitude) by least squares.

    variance = sum of squares/(n - 2); intervals of A and B by Student's t; where strains repeat,
    F of the lack of fit beside its 95 % value.

    Args:
        strain_amplitude, cycles: A pair each specimen, at least 3; run-outs left out.
        confidence: Of the intervals.

    References:
        ASTM E739, Sec. 8 (linear model, log-normal life, equal scatter).
    """
    return _line(np.log10(np.ravel(strain_amplitude)), np.log10(np.ravel(cycles)), confidence)


@calculation(
    source=f"{_E739} (stress life, log-log)",
    needs={"stress_amplitude": POSITIVE, "cycles": POSITIVE, "confidence": (0.5, 0.9999)},
    carries=("stress_amplitude",),
)
def stress_life_line(
    *, stress_amplitude: Values, cycles: Values, confidence: float = 0.95
) -> LifeLine:
    """Straight line log10 N = A + B log10(stress or load amplitude) by least squares.

    Args:
        stress_amplitude, cycles: A pair each specimen, at least 3; run-outs left out.
        confidence: Of the intervals of A and B.

    References:
        ASTM E739, Sec. 8; ISO 12107, Sec. 7.
    """
    return _line(np.log10(np.ravel(stress_amplitude)), np.log10(np.ravel(cycles)), confidence)


@calculation(
    source="W. J. Dixon & A. M. Mood, Journal of the American Statistical Association 43 (1948) "
    "109-126; ISO 12107:2012, staircase method",
    needs={"level": POSITIVE, "step": POSITIVE},
    carries=("level", "step", "mean", "s"),
    basis="published",
)
def staircase(*, level: Values, failed: Values, step: float | None = None) -> Staircase:
    """Fatigue strength and its scatter from a staircase of tests.

    With the less frequent event, i = 0 at its lowest level, f_i events at level i:
    F = sum f, A = sum i f, B = sum i^2 f; mean = S0 + d (A/F -+ 1/2) (- for failures),
    s = 1.62 d ((F B - A^2)/F^2 + 0.029) where (F B - A^2)/F^2 >= 0.3, else about 0.53 d.

    Args:
        level: Stress or load of each test. failed: 1 failed, 0 ran out. step: d; the least
            difference of levels if left out.

    Returns:
        Mean, s, whether s follows from the formula, which events were used, A, B, d.

    Raises:
        ArgumentError: all failed or all ran out; levels that are not evenly spaced.

    References:
        Dixon & Mood, JASA 43 (1948) 109-126; ISO 12107:2012.
    """
    loads, broke = np.ravel(level), np.ravel(failed)
    if loads.size != broke.size or not np.isin(broke, (0.0, 1.0)).all():
        raise ArgumentError("failed", "the list", "", "a 1 or 0 for each level")
    count = int(broke.sum())
    if count in (0, loads.size):
        raise ArgumentError("failed", "one kind only", "", "failures and run-outs")
    d = _step(loads) if step is None else float(step)
    use_failures = 2 * count <= loads.size
    used = loads[broke == (1.0 if use_failures else 0.0)]
    lowest = float(used.min())
    places = (used - lowest) / d
    if np.any(np.abs(places - np.round(places)) > 0.05):
        raise ArgumentError("level", "uneven", "", "levels a whole number of steps apart")
    i = np.round(places)
    total, first, second = i.size, float(i.sum()), float((i**2).sum())
    mean = lowest + d * (first / total + (-0.5 if use_failures else 0.5))
    spread = (total * second - first**2) / total**2
    valid = spread >= 0.3
    s = 1.62 * d * (spread + 0.029) if valid else 0.53 * d
    events = "failures" if use_failures else "run-outs"
    return Staircase(mean, s, bool(valid), events, first, second, d)


@calculation(
    source="ISO 12107:2012 (lower limit of fatigue strength: mean - k s, k of the normal law)",
    needs={"s": POSITIVE, "n": (2.0, 1e6), "failure_probability": (1e-6, 0.5),
           "confidence": (0.5, 0.9999)},
    gives="lower_limit",
    carries=("mean", "s", "lower_limit"),
    basis="computed",
)  # fmt: skip
def staircase_lower_limit(
    *,
    mean: Values,
    s: Values,
    n: Values,
    failure_probability: Values = 0.1,
    confidence: Values = 0.95,
) -> Values:
    """Fatigue strength that a share of all specimens exceeds, with confidence: mean - k s.

    k by the noncentral t for n tests (n - 1 degrees of freedom); the estimate s of a staircase
    knows less than one of n plain readings, so this is the most that can be said.

    Args:
        mean, s: Of the staircase. n: Tests of the less frequent event, plus one.
        failure_probability: Share that may lie below. confidence: That the limit holds.

    References:
        ISO 12107:2012, Annex of one-sided tolerance limits.
    """
    k = one_sided_tolerance_factor(
        n=n, proportion=1.0 - np.asarray(failure_probability), confidence=confidence
    )
    return mean - k * np.asarray(s)


def _step(loads: np.ndarray) -> float:
    apart = np.diff(np.unique(loads))
    apart = apart[apart > 1e-9 * loads.max()]
    if not apart.size:
        raise ArgumentError("level", "one level", "", "several levels")
    return float(apart.min())


def _line(x: np.ndarray, y: np.ndarray, confidence: float) -> LifeLine:
    n = x.size
    if n != y.size or n < 3 or np.ptp(x) == 0.0:
        raise ArgumentError("cycles", f"{y.size} values", "", "a life for each of 3 or more levels")
    away = x - x.mean()
    sxx = float(away @ away)
    slope = float(away @ (y - y.mean()) / sxx)
    start = float(y.mean() - slope * x.mean())
    rest = y - start - slope * x
    variance = float(rest @ rest / (n - 2))
    t = float(stdtrit(n - 2, (1.0 + confidence) / 2.0))
    of_a = t * np.sqrt(variance * (1.0 / n + x.mean() ** 2 / sxx))
    of_b = t * np.sqrt(variance / sxx)
    return LifeLine(
        start, slope, variance, start - of_a, start + of_a, slope - of_b, slope + of_b,
        *_lack_of_fit(x, y, start + slope * x),
    )  # fmt: skip


def _lack_of_fit(
    x: np.ndarray, y: np.ndarray, line: np.ndarray
) -> tuple[float | None, float | None]:
    levels = np.unique(x)
    n, count = x.size, levels.size
    if count in (n, 1, 2):
        return None, None
    means = np.array([y[x == level].mean() for level in levels])[np.searchsorted(levels, x)]
    fit, pure = float(np.sum((means - line) ** 2)), float(np.sum((y - means) ** 2))
    if pure == 0.0:
        return None, None
    ratio = fit / (count - 2) / (pure / (n - count))
    return ratio, float(fdtri(count - 2, n - count, 0.95))
