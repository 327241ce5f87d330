"""Exponentially weighted moving averages: the chart and its average run length.

Offers `ewma`, `ewma_run_length` and `shewhart_run_length`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_banded
from scipy.special import ndtr

from linkwright.catalogue import POSITIVE, Values, calculation

_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_NODES = 128


class Ewma(NamedTuple):
    """Results of `ewma`."""

    ewma: Values
    limit_half_width: Values
    limit_half_width_first: float
    limit_half_width_last: float
    first_signal: int | None


@calculation(
    source=f"{_TEXT}, Eqs 9.22 to 9.26 (EWMA chart); S. W. Roberts, Technometrics 1 (1959) 239-250",
    needs={"sigma": POSITIVE, "weight": (1e-3, 1.0), "L": POSITIVE},
    carries=(
        "target", "sigma", "data", "ewma", "limit_half_width", "limit_half_width_first",
        "limit_half_width_last",
    ),
)  # fmt: skip
def ewma(*, target: float, sigma: float, weight: float, L: float, data: Values) -> Ewma:
    """Exponentially weighted moving average with its limits that widen from the start.

    z_i = w x_i + (1 - w) z_(i-1), z_0 = target;
    half-width L sigma sqrt(w/(2 - w) (1 - (1 - w)^(2 i))).

    Args:
        target: Centre. sigma: Of one reading. weight: w. L: Width of the limits in sigma of z.
        data: Readings in the order of time.

    Returns:
        z, half-widths, and the first point (from 1) beyond a limit; none without one.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 9.2.
    """
    values = np.ravel(data)
    smoothed = _smoothed(values, float(target), weight)
    number = np.arange(1, values.size + 1)
    grown = 1.0 - (1.0 - weight) ** (2 * number)
    half = L * sigma * np.sqrt(weight / (2.0 - weight) * grown)
    beyond = np.flatnonzero(np.abs(smoothed - target) > half)
    first = int(beyond[0]) + 1 if beyond.size else None
    return Ewma(smoothed, half, float(half[0]), float(half[-1]), first)


def _smoothed(values: np.ndarray, target: float, weight: float) -> np.ndarray:
    """The recursion z_i - (1 - w) z_(i-1) = w x_i as a system of two bands, solved at once."""
    bands = np.ones((2, values.size))
    bands[1] = weight - 1.0
    right = weight * values
    right[:1] += (1.0 - weight) * target
    return np.asarray(solve_banded((1, 0), bands, right, overwrite_ab=True, overwrite_b=True))


@calculation(
    source="S. V. Crowder, Technometrics 29 (1987) 401-407 (EWMA average run length, integral "
    "equation); J. M. Lucas & M. S. Saccucci, Technometrics 32 (1990) 1-12",
    needs={"weight": (0.01, 1.0), "L": (0.2, 6.0)},
    gives="arl",
    basis="computed",
)
def ewma_run_length(*, weight: Values, L: Values, shift_sigma: Values = 0.0) -> Values:
    """Average run length of a two-sided EWMA of normal values, fixed limits, from the centre.

    A(u) = 1 + (1/w) int_-b^b A(y) phi((y - (1 - w) u)/w - d) dy, b = L sqrt(w/(2 - w)), by
    Gauss-Legendre.

    Args:
        weight, L: Of the chart. shift_sigma: Shifts d of the mean in sigma of a reading.

    Returns:
        Rows by weight and L, columns by shift.

    References:
        S. V. Crowder, Technometrics 29 (1987) 401-407.
    """
    weights, widths = np.broadcast_arrays(np.asarray(weight, float), np.asarray(L, float))
    shifts = np.asarray(shift_sigma, float)
    found = [
        _run_length(w, width, shift)
        for w, width in zip(weights.ravel(), widths.ravel(), strict=True)
        for shift in shifts.ravel()
    ]
    return np.array(found).reshape(weights.shape + shifts.shape)


@calculation(
    source=f"{_TEXT}, Sec. 6.2.6 (average run length of a Shewhart chart)",
    needs={"L": POSITIVE},
    gives="arl",
)
def shewhart_run_length(*, shift_sigma_of_mean: Values, L: Values = 3.0) -> Values:
    """Average run length of limits at L sigma of the plotted value: 1/(Phi(-L-d) + Phi(-L+d)).

    Args:
        shift_sigma_of_mean: Shift d in standard deviations of what is plotted (sigma/sqrt n).
        L: Width of the limits.

    References:
        D. C. Montgomery, Introduction to Statistical Quality Control, Sec. 6.2.6.
    """
    shift = np.asarray(shift_sigma_of_mean, float)
    return 1.0 / (ndtr(-L - shift) + ndtr(-L + shift))


def _run_length(weight: float, width: float, shift: float) -> float:
    if weight > 0.999:
        return float(1.0 / (ndtr(-width - shift) + ndtr(-width + shift)))
    nodes, parts = np.polynomial.legendre.leggauss(_NODES)
    border = width * np.sqrt(weight / (2.0 - weight))
    y, w = np.append(border * nodes, 0.0), np.append(border * parts, 0.0)
    step = (y[None, :] - (1.0 - weight) * y[:, None]) / weight - shift
    kernel = w * np.exp(-0.5 * step**2) / np.sqrt(2.0 * np.pi) / weight
    return float(np.linalg.solve(np.eye(y.size) - kernel, np.ones(y.size))[-1])
