"""Cumulative sums: the tabular chart and its average run length.

Offers `cusum`, `cusum_run_length_siegmund` and `cusum_run_length`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import ndtr

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_NODES = 96
_BOUNDARY = 1.166
"""Siegmund's correction for the overshoot of a boundary by a normal walk."""
_BLOCK = 4096
"""Readings that are summed at once."""


class Cusum(NamedTuple):
    """Results of `cusum`."""

    upper: Values
    lower: Values
    first_signal: int | None
    count_since_zero_at_signal: int | None
    new_mean_estimate: float | None


class SiegmundRunLength(NamedTuple):
    """Results of `cusum_run_length_siegmund`."""

    arl_one_sided: Values
    arl_two_sided: Values
    arl_two_sided_in_control: Values


class CusumRunLength(NamedTuple):
    """Results of `cusum_run_length`."""

    arl: Values
    arl_two_sided: Values


@calculation(
    source=f"{_TEXT}, Eqs 9.2 and 9.3; NIST/SEMATECH e-Handbook of Statistical Methods, "
    "Sec. 6.3.2.3 (tabular CUSUM); E. S. Page, Biometrika 41 (1954) 100-115",
    needs={"k": NOT_NEGATIVE, "h": POSITIVE, "sigma": POSITIVE, "head_start": NOT_NEGATIVE},
    carries=("target", "k", "h", "data", "upper", "lower", "new_mean_estimate", "head_start"),
)
def cusum(
    *,
    target: float,
    k: float,
    h: float,
    data: Values,
    sigma: float = 1.0,
    head_start: float = 0.0,
) -> Cusum:
    """Tabular cumulative sums C+ and C- with the point where one exceeds h.

    C+ = max(0, x - (target + k) + C+ before), C- = max(0, (target - k) - x + C- before).

    Args:
        target: Aim. k: Allowance (half the shift to be found). h: Decision interval. All three
            and data in one unit; with sigma, k and h are multiples of it.
        data: Readings in the order of time.
        sigma: 1 if k and h are given in the unit of the data.
        head_start: Value from which both sums start (half of h is usual).

    Returns:
        The sums; the first point (from 1) whose sum exceeds h, how many points the sum was above
        0 then, and the new mean, target +- (k + C/N). Without a signal the last three are none.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 9.1.
    """
    k, h = k * sigma, h * sigma
    values = np.ravel(data)
    begin = head_start * sigma
    sums = np.array([_sums(values - target - k, begin), _sums(target - k - values, begin)])
    beyond = np.flatnonzero((sums > h).any(axis=0))
    if not beyond.size:
        return Cusum(sums[0], sums[1], None, None, None)
    at = int(beyond[0])
    side = 0 if sums[0, at] > h else 1
    zeros = np.flatnonzero(sums[side, : at + 1] == 0.0)
    number = at - int(zeros[-1]) if zeros.size else at + 1
    shift = float(k + sums[side, at] / number) * (1.0 if side == 0 else -1.0)
    return Cusum(sums[0], sums[1], at + 1, number, float(target) + shift)


def _sums(steps: np.ndarray, begin: float) -> np.ndarray:
    """C_i = max(0, C_(i-1) + step_i) from C_0 = begin, without a loop over readings.

    With U the plain cumulative sum, C = U - min(0, least U so far). Block by block, so that a
    sum of millions of steps takes no digits from its end.
    """
    made = np.empty(steps.size)
    for first in range(0, steps.size, _BLOCK):
        plain = begin + np.cumsum(steps[first : first + _BLOCK])
        made[first : first + _BLOCK] = plain - np.minimum(0.0, np.minimum.accumulate(plain))
        begin = float(made[min(first + _BLOCK, steps.size) - 1])
    return made


@calculation(
    source=f"{_TEXT}, Eq. 9.6; D. Siegmund, Sequential Analysis (1985) (CUSUM run length, "
    "Siegmund approximation)",
    needs={"k": NOT_NEGATIVE, "h": POSITIVE},
)
def cusum_run_length_siegmund(
    *, k: Values, h: Values, shift_sigma: Values = 0.0
) -> SiegmundRunLength:
    """Average run length of a CUSUM by Siegmund's approximation.

    (exp(-2 D b) + 2 D b - 1)/(2 D^2), b = h + 1.166, D = shift - k; b^2 for D = 0. Two sides:
    1/ARL = 1/ARL+ + 1/ARL-.

    Args:
        k, h: Allowance and decision interval in sigma. shift_sigma: Shift of the mean in sigma.

    Returns:
        Of the side towards the shift, of both sides, and of both without a shift.

    References:
        D. Siegmund, Sequential Analysis (1985).
    """
    towards, away, still = (
        _siegmund(k, h, shift) for shift in (shift_sigma, -np.asarray(shift_sigma), 0.0)
    )
    return SiegmundRunLength(towards, 1.0 / (1.0 / towards + 1.0 / away), still / 2.0)


@calculation(
    source="E. S. Page, Biometrika 41 (1954) 100-115; D. Brook & D. A. Evans, Biometrika 59 (1972) "
    "539-549 (exact CUSUM run length, integral equation)",
    needs={"k": NOT_NEGATIVE, "h": (0.05, 50.0)},
    basis="computed",
)
def cusum_run_length(*, k: Values, h: Values, shift_sigma: Values = 0.0) -> CusumRunLength:
    """Average run length of a one-sided and a two-sided CUSUM of normal values, from zero.

    L(z) = 1 + L(0) Phi(k - z - d) + int_0^h L(y) phi(y + k - z - d) dy, by Gauss-Legendre.

    Args:
        k, h: Allowance and decision interval in sigma. shift_sigma: Shifts d of the mean.

    Returns:
        Rows by k and h, columns by shift: of the upper side, and of both sides.

    References:
        D. Brook & D. A. Evans, Biometrika 59 (1972) 539-549.
    """
    allowance, interval = np.broadcast_arrays(np.asarray(k, float), np.asarray(h, float))
    shifts = np.asarray(shift_sigma, float)
    shape = allowance.shape + shifts.shape
    pairs = [
        (_one_sided(a, b, d), _one_sided(a, b, -d))
        for a, b in zip(allowance.ravel(), interval.ravel(), strict=True)
        for d in shifts.ravel()
    ]
    up, down = np.array(pairs).T.reshape(2, *shape)
    return CusumRunLength(up, 1.0 / (1.0 / up + 1.0 / down))


def _one_sided(k: float, h: float, shift: float) -> float:
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    y, w = np.append(0.0, h * (nodes + 1.0) / 2.0), np.append(0.0, h * weights / 2.0)
    step = y[None, :] + k - y[:, None] - shift
    kernel = w * np.exp(-0.5 * step**2) / np.sqrt(2.0 * np.pi)
    kernel[:, 0] += ndtr(k - y - shift)
    return float(np.linalg.solve(np.eye(y.size) - kernel, np.ones(y.size))[0])


def _siegmund(k: Values, h: Values, shift: Values) -> np.ndarray:
    b = np.asarray(h, float) + _BOUNDARY
    drift = np.asarray(shift, float) - k
    safe = np.where(np.abs(drift) < 1e-8, 1.0, drift)
    value = (np.exp(-2.0 * safe * b) + 2.0 * safe * b - 1.0) / (2.0 * safe**2)
    return np.where(np.abs(drift) < 1e-8, b**2, value)
