"""Process capability with its confidence: from figures and from readings.

Offers `capability`, `cp_interval`, `cpk_interval`, `cp_lower_limit_share` and
`capability_of_readings`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import chdtri, ndtr, ndtri

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quality.control_constants import control_chart_constants
from linkwright.quantities import ArgumentError

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_SHARE = (1e-6, 1.0 - 1e-6)


class Capability(NamedTuple):
    """Results of `capability`."""

    cp: Values
    cpu: Values
    cpl: Values
    cpk: Values
    k: Values


class CpInterval(NamedTuple):
    """Results of `cp_interval`."""

    cp: Values
    lower: Values
    upper: Values


class CpkInterval(NamedTuple):
    """Results of `cpk_interval`."""

    lower: Values
    upper: Values


class CapabilityOfReadings(NamedTuple):
    """Results of `capability_of_readings`."""

    n: int
    mean: float
    s: float
    sigma_within: float
    pp: float | None
    pp_lower: float | None
    pp_upper: float | None
    ppk: float
    ppk_lower: float
    ppk_upper: float
    cp: float | None
    cpk: float
    outside_normal_percent: float
    outside_counted_percent: float
    normality_p: float


@calculation(
    source="NIST/SEMATECH e-Handbook of Statistical Methods, Sec. 6.1.6; ISO 22514-2",
    needs={"sigma": POSITIVE},
    carries=("usl", "lsl", "mean", "sigma"),
)
def capability(*, usl: Values, lsl: Values, mean: Values, sigma: Values) -> Capability:
    """Capability indices of a process with two limits.

    Cp = (USL - LSL)/(6 sigma), Cpu = (USL - mean)/(3 sigma), Cpl = (mean - LSL)/(3 sigma),
    Cpk = min, k = |middle - mean|/((USL - LSL)/2), so Cpk = Cp (1 - k) between the limits.

    Args:
        usl, lsl: Limits. mean, sigma: Of the process. All in one unit.

    References:
        NIST/SEMATECH e-Handbook of Statistical Methods, Sec. 6.1.6.
    """
    _refuse_order(usl, lsl)
    upper, lower = (usl - mean) / (3.0 * sigma), (mean - lsl) / (3.0 * sigma)
    off = np.abs((usl + lsl) / 2.0 - mean) / ((usl - lsl) / 2.0)
    return Capability((usl - lsl) / (6.0 * sigma), upper, lower, np.minimum(upper, lower), off)


@calculation(
    source=f"{_TEXT}, Eq. 8.19 (interval of Cp by chi-square); ISO 22514-2",
    needs={"s": POSITIVE, "n": (2.0, 1e9), "confidence": _SHARE},
    carries=("usl", "lsl", "s"),
)
def cp_interval(
    *, usl: Values, lsl: Values, s: Values, n: Values, confidence: Values = 0.95
) -> CpInterval:
    """Two-sided confidence interval of Cp: cp sqrt(chi2(a/2 or 1 - a/2; n - 1)/(n - 1)).

    Args:
        usl, lsl: Limits. s: Standard deviation of n normal readings, same unit.
        confidence: Two-sided, 0 to 1.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 8.3.4.
    """
    _refuse_order(usl, lsl)
    cp = (usl - lsl) / (6.0 * np.asarray(s))
    low, high = (_chi_share(share, n) for share in _tails(confidence))
    return CpInterval(cp, cp * low, cp * high)


@calculation(
    source=f"{_TEXT}, Eq. 8.21 (interval of Cpk); A. F. Bissell, Applied Statistics 39 (1990) "
    "331-340",
    needs={"n": (2.0, 1e9), "confidence": _SHARE},
    valid={"n": (25.0, None)},
)
def cpk_interval(*, cpk: Values, n: Values, confidence: Values = 0.95) -> CpkInterval:
    """Two-sided confidence interval of Cpk: cpk (1 -+ z sqrt(1/(9 n cpk^2) + 1/(2 (n - 1)))).

    Args:
        cpk: Estimate from n normal readings. confidence: Two-sided.

    References:
        A. F. Bissell, Applied Statistics 39 (1990) 331-340 (normal approximation).
    """
    low, high = _bissell(cpk, n, confidence)
    return CpkInterval(low, high)


@calculation(
    source="Y.-M. Chou, D. Owen & S. Borrego, Journal of Quality Technology 22 (1990) 223-229, "
    "case of Cp (chi-square limit)",
    needs={"n": (2.0, 1e9), "confidence": _SHARE},
    gives="lower_over_estimate",
)
def cp_lower_limit_share(*, n: Values, confidence: Values = 0.95) -> Values:
    """One-sided lower confidence limit of Cp over its estimate: sqrt(chi2(1 - conf; n-1)/(n-1)).

    Args:
        n: Readings. confidence: One-sided.

    References:
        Chou, Owen & Borrego, Journal of Quality Technology 22 (1990) 223-229.
    """
    return _chi_share(1.0 - np.asarray(confidence), n)


@calculation(
    source="ISO 22514-2; NIST/SEMATECH e-Handbook of Statistical Methods, Sec. 6.1.6; intervals "
    "by chi-square and Bissell (1990); normality by S. S. Shapiro & M. B. Wilk, Biometrika 52 "
    "(1965)",
    needs={"confidence": _SHARE},
    carries=("readings", "usl", "lsl", "mean", "s", "sigma_within"),
)
def capability_of_readings(
    *,
    readings: Values,
    usl: float | None = None,
    lsl: float | None = None,
    confidence: float = 0.95,
) -> CapabilityOfReadings:
    """Capability and performance of a run of readings, with intervals.

    Pp, Ppk from the overall s; Cp, Cpk from the spread within (moving ranges of single readings,
    mean s/c4 of the rows of a table). Interval of Pp by chi-square, of Ppk by Bissell.

    Args:
        readings: In the order of time; a table gives subgroups by row. usl, lsl: At least one.
        confidence: Two-sided.

    Returns:
        Figures; the share outside under the normal law and as counted; p of Shapiro and Wilk
        (small: not normal, the indices mislead). Without two limits Cp and Pp have no value.

    Raises:
        ArgumentError: no limit, fewer than 5 readings, or all readings equal.

    References:
        ISO 22514-2; A. F. Bissell, Applied Statistics 39 (1990) 331-340.
    """
    from scipy import stats  # noqa: PLC0415 - takes a second to load

    values = np.asarray(readings, float)
    mean, s, within = _spreads(values, usl, lsl)
    flat, n = values.ravel(), values.size
    parts = [(usl - mean) / 3.0 if usl is not None else np.inf,
             (mean - lsl) / 3.0 if lsl is not None else np.inf]  # fmt: skip
    ppk, cpk = float(min(parts) / s), float(min(parts) / within)
    low, high = _bissell(ppk, n, confidence)
    both = (usl - lsl) / 6.0 if usl is not None and lsl is not None else None
    shares = [None if both is None else float(both / s * _chi_share(t, n))
              for t in _tails(confidence)]  # fmt: skip
    tails = [ndtr(-3.0 * part / s) for part in parts]
    counted = np.mean((flat > (np.inf if usl is None else usl))
                      | (flat < (-np.inf if lsl is None else lsl)))  # fmt: skip
    return CapabilityOfReadings(
        n, mean, s, within, None if both is None else both / s, shares[0], shares[1],
        ppk, float(low), float(high), None if both is None else both / within, cpk,
        float(100.0 * sum(tails)), float(100.0 * counted),
        float(stats.shapiro(flat[:5000]).pvalue),
    )  # fmt: skip


def _spreads(
    values: np.ndarray, usl: float | None, lsl: float | None
) -> tuple[float, float, float]:
    """Mean, overall and within standard deviation; refuses what has no capability."""
    if usl is None and lsl is None:
        raise ArgumentError("usl", "none", "", "usl, lsl or both", "is needed, or lsl")
    if usl is not None and lsl is not None:
        _refuse_order(usl, lsl)
    if values.size < 5 or values.std() == 0.0:
        reason = "has no spread to judge by"
        raise ArgumentError("readings", f"{values.size} values", "", "5 or more, not equal", reason)
    s = float(values.std(ddof=1))
    if values.ndim > 1 and values.shape[1] > 1:
        c4 = control_chart_constants(n=float(values.shape[1])).c4
        within = float(values.std(axis=1, ddof=1).mean() / c4)
    else:
        within = float(np.abs(np.diff(values.ravel())).mean() / control_chart_constants(n=2.0).d2)
    return float(values.mean()), s, within


def _bissell(cpk: Values, n: Values, confidence: Values) -> tuple[Values, Values]:
    z = ndtri((1.0 + np.asarray(confidence)) / 2.0)
    reach = z * np.sqrt(1.0 / (9.0 * np.asarray(n)) + np.asarray(cpk) ** 2 / (2.0 * (n - 1.0)))
    return cpk - reach, cpk + reach


def _tails(confidence: Values) -> tuple[Values, Values]:
    rest = (1.0 - np.asarray(confidence)) / 2.0
    return rest, 1.0 - rest


def _chi_share(share: Values, n: Values) -> Values:
    """sqrt(chi2(share; n - 1)/(n - 1))."""
    dof = np.asarray(n, float) - 1.0
    return np.sqrt(chdtri(dof, 1.0 - np.asarray(share)) / dof)


def _refuse_order(usl: Values, lsl: Values) -> None:
    if np.any(np.asarray(usl) <= np.asarray(lsl)):
        raise ArgumentError("usl", usl, "", f"more than lsl, {lsl}", "is not above lsl")
