"""Constants of control charts, from the distributions they stand for, for any sample size.

Offers `range_moments`, `control_chart_constants` and `gauge_range_constants`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from scipy.special import gammaln, ndtr

from linkwright.catalogue import Values, calculation

_NODES, _WIDEST = 128, 9.0
"""Of the integrals: nine standard deviations hold all but 1e-18 of a normal value; with so many
nodes d3 is right to 1e-12 for n up to 25, to 4e-7 for 1000."""
_MOST = 1000.0


class ChartConstants(NamedTuple):
    """Results of `control_chart_constants`."""

    c4: Values
    d2: Values
    d3: Values
    A: Values
    A2: Values
    A3: Values
    B3: Values
    B4: Values
    B5: Values
    B6: Values
    D1: Values
    D2: Values
    D3: Values
    D4: Values
    E2: Values
    E3: Values


class RangeConstants(NamedTuple):
    """Results of `gauge_range_constants`."""

    d2_star: Values
    K: Values
    dof: Values


@lru_cache(maxsize=512)
def range_moments(n: int) -> tuple[float, float]:
    """Mean d2 and standard deviation d3 of the range of n standard normal values.

    d2 = int 1 - F^n - (1 - F)^n dx; E W^2 = 2 int int 1 - F(y)^n - (1 - F(x))^n +
    (F(y) - F(x))^n over x < y (L. H. C. Tippett, Biometrika 17 (1925) 364-387), by Gauss-Legendre.

    >>> round(range_moments(5)[0], 4), round(range_moments(5)[1], 4)
    (2.3259, 0.8641)
    """
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    x, dx = _WIDEST * nodes, _WIDEST * weights
    below, above = ndtr(x), ndtr(-x)
    mean = float(np.sum(dx * (1.0 - below**n - above**n)))
    apart, d_apart = _WIDEST * (nodes + 1.0), _WIDEST * weights
    lower, upper = ndtr(x)[:, None], ndtr(x[:, None] + apart)
    # by logarithms, as powers that run out of digits take long
    between = np.exp(np.maximum(n * np.log(np.maximum(upper - lower, 1e-300)), -700.0))
    inside = 1.0 - upper**n - above[:, None] ** n + between
    square = 2.0 * float(np.einsum("i,ij,j", dx, inside, d_apart))
    return mean, float(np.sqrt(square - mean**2))


@calculation(
    source="ASTM MNL7, Manual on Presentation of Data and Control Chart Analysis, 8th ed., "
    "Table 49 (control chart constants); ISO 7870-2; computed from the distributions of s and R",
    needs={"n": (2.0, _MOST)},
    basis="computed",
)
def control_chart_constants(*, n: Values) -> ChartConstants:
    """Constants of control charts for means, ranges and standard deviations of samples of n.

    c4 = sqrt(2/(n-1)) Gamma(n/2)/Gamma((n-1)/2); d2, d3: mean and standard deviation of the range
    of n standard normal values, by integration, so any n. A = 3/sqrt n, A2 = A/d2, A3 = A/c4;
    B3, B4 = 1 -+ 3 sqrt(1 - c4^2)/c4, B5, B6 = c4 -+ 3 sqrt(1 - c4^2); D1, D2 = d2 -+ 3 d3,
    D3, D4 = 1 -+ 3 d3/d2; E2 = 3/d2, E3 = 3/c4. Lower ones not below 0.

    Args:
        n: Sample size, whole numbers from 2.

    References:
        ASTM MNL7, 8th ed., Table 49; L. H. C. Tippett, Biometrika 17 (1925) 364-387.

    Example:
        >>> round(control_chart_constants(n=5).A2, 3)
        0.577
    """
    sizes = np.asarray(np.round(n))
    moments = np.array([range_moments(int(one)) for one in sizes.ravel()])
    d2, d3 = (moments[:, index].reshape(sizes.shape) for index in (0, 1))
    c4 = np.sqrt(2.0 / (sizes - 1.0)) * np.exp(gammaln(sizes / 2.0) - gammaln((sizes - 1.0) / 2.0))
    spread = np.sqrt(1.0 - c4**2)
    three = 3.0 / np.sqrt(sizes)
    return ChartConstants(
        c4, d2, d3, three, three / d2, three / c4,
        np.maximum(0.0, 1.0 - 3.0 * spread / c4), 1.0 + 3.0 * spread / c4,
        np.maximum(0.0, c4 - 3.0 * spread), c4 + 3.0 * spread,
        np.maximum(0.0, d2 - 3.0 * d3), d2 + 3.0 * d3,
        np.maximum(0.0, 1.0 - 3.0 * d3 / d2), 1.0 + 3.0 * d3 / d2,
        3.0 / d2, 3.0 / c4,
    )  # fmt: skip


@calculation(
    source="A. J. Duncan, Quality Control and Industrial Statistics (d2*); AIAG Measurement "
    "Systems Analysis, 4th ed. (2010), Appendix C",
    needs={"m": (2.0, _MOST), "g": (1.0, 1e6)},
    basis="computed",
)
def gauge_range_constants(*, m: Values, g: Values = 1.0) -> RangeConstants:
    """Factor d2* by which a mean of g ranges of m values each estimates a standard deviation.

    d2* = sqrt(d2^2 + d3^2/g), so that (mean range/d2*)^2 has no bias; K = 1/d2* (K1 for many
    ranges, K2 of appraisers and K3 of parts with g = 1). dof = g d2^2/(2 d3^2): degrees of freedom
    of the chi that varies as much about its mean as the mean range does.

    Args:
        m: Values in a range. g: Number of ranges.

    References:
        A. J. Duncan, Quality Control and Industrial Statistics; AIAG MSA, 4th ed., Appendix C.
    """
    sizes, many = np.broadcast_arrays(np.asarray(np.round(m)), np.asarray(g, dtype=float))
    moments = np.array([range_moments(int(one)) for one in sizes.ravel()])
    d2, d3 = (moments[:, index].reshape(sizes.shape) for index in (0, 1))
    star = np.sqrt(d2**2 + d3**2 / many)
    return RangeConstants(star, 1.0 / star, many * d2**2 / (2.0 * d3**2))
