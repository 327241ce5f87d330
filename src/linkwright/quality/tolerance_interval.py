"""Tolerance factors: how far a limit must stand off so that it holds a share of all pieces.

Offers `one_sided_tolerance_factor`, `one_sided_tolerance_compared`, `two_sided_tolerance_factor`,
`tolerance_of_readings` and `sample_size_without_law`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import chdtr, chdtri, ndtr, ndtri

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError

_ISO = "ISO 16269-6:2014, Statistical interpretation of data - Determination of tolerance intervals"
_SHARE = (1e-6, 1.0 - 1e-6)
_NEEDS: dict[str, tuple[float | None, float | None]] = {
    "n": (2.0, 1e6), "proportion": _SHARE, "confidence": _SHARE,
}  # fmt: skip


class Compared(NamedTuple):
    """Results of `one_sided_tolerance_compared`."""

    k_approximate: Values
    k_exact: Values


class TwoSided(NamedTuple):
    """Results of `two_sided_tolerance_factor`."""

    k: Values
    k_howe: Values


class Tolerance(NamedTuple):
    """Results of `tolerance_of_readings`."""

    n: int
    mean: float
    s: float
    k: float
    lower: float
    upper: float


@calculation(
    source=f"{_ISO}, one-sided table; M. G. Natrella, Experimental Statistics, NBS Handbook 91 "
    "(1963), Table A-7 (one-sided tolerance factor)",
    needs=_NEEDS,
    gives="k",
    basis="computed",
)
def one_sided_tolerance_factor(
    *, n: Values, proportion: Values = 0.9, confidence: Values = 0.95
) -> Values:
    """One-sided normal tolerance factor k: mean - k s lies below a share of all values.

    k = t(confidence; n - 1, z_p sqrt n)/sqrt n, noncentral t.

    Args:
        n: Readings. proportion: Share p of all values. confidence: That the limit holds it.

    References:
        ISO 16269-6:2014; D. B. Owen, Technometrics 10 (1968) 445-478.
    """
    return _one_sided(n, proportion, confidence)


@calculation(
    source="NIST/SEMATECH e-Handbook of Statistical Methods, Sec. 7.2.6.3 (one-sided tolerance "
    "factor, approximate and exact)",
    needs=_NEEDS,
    basis="computed",
)
def one_sided_tolerance_compared(
    *, n: Values, proportion: Values = 0.9, confidence: Values = 0.95
) -> Compared:
    """One-sided tolerance factor by Natrella's approximation beside the exact one.

    a = 1 - z_c^2/(2 (n - 1)), b = z_p^2 - z_c^2/n, k = (z_p + sqrt(z_p^2 - a b))/a.

    Args:
        n: Readings. proportion: Share of all values. confidence: That the limit holds it.

    References:
        M. G. Natrella, NBS Handbook 91 (1963), Sec. 2-5.
    """
    size = np.asarray(n, float)
    z_c, z_p = ndtri(np.asarray(confidence)), ndtri(np.asarray(proportion))
    a, b = 1.0 - z_c**2 / (2.0 * (size - 1.0)), z_p**2 - z_c**2 / size
    if np.any(a <= 0.0) or np.any(z_p**2 < a * b):
        raise ArgumentError("n", float(np.min(size)), "", "more readings for the approximation")
    return Compared((z_p + np.sqrt(z_p**2 - a * b)) / a, _one_sided(n, proportion, confidence))


@calculation(
    source=f"{_ISO}, two-sided table; W. G. Howe, Journal of the American Statistical Association "
    "64 (1969) 610-620 (two-sided tolerance factor)",
    needs=_NEEDS,
    basis="computed",
)
def two_sided_tolerance_factor(
    *, n: Values, proportion: Values = 0.9, confidence: Values = 0.95
) -> TwoSided:
    """Two-sided normal tolerance factor k: mean -+ k s holds a share of all values.

    Exact: the k with E over the mean z of P[chi2(n - 1) > (n - 1) r(z)^2/k^2] = confidence, where
    Phi(z + r) - Phi(z - r) = p and z is normal with variance 1/n. Howe's approximation:
    z_((1+p)/2) sqrt((n - 1)(1 + 1/n)/chi2(1 - confidence; n - 1)).

    Args:
        n: Readings. proportion: Share p of all values. confidence: That the limits hold it.

    References:
        ISO 16269-6:2014; W. G. Howe, JASA 64 (1969) 610-620.
    """
    cells = np.broadcast(np.asarray(n, float), np.asarray(proportion), np.asarray(confidence))
    exact = np.array([_two_sided(*map(float, one)) for one in cells]).reshape(cells.shape)
    size = np.asarray(n, float)
    chi = chdtri(size - 1.0, np.asarray(confidence))
    middle = ndtri((1.0 + np.asarray(proportion)) / 2.0)
    return TwoSided(exact, middle * np.sqrt((size - 1.0) * (1.0 + 1.0 / size) / chi))


@calculation(
    source=f"{_ISO}; one-sided by the noncentral t, two-sided exact",
    needs={"proportion": _SHARE, "confidence": _SHARE},
    carries=("readings", "mean", "s", "lower", "upper"),
)
def tolerance_of_readings(
    *,
    readings: Values,
    proportion: float = 0.9,
    confidence: float = 0.95,
    two_sided: bool = False,
) -> Tolerance:
    """Tolerance limits of normal readings, such as a guaranteed strength from tests.

    Args:
        readings: At least 2. proportion: Share of all values. confidence: That they are held.
        two_sided: Both limits hold the share together; else each limit alone does.

    References:
        ISO 16269-6:2014.
    """
    values = np.ravel(readings)
    if values.size < 2:
        raise ArgumentError("readings", "one value", "", "at least 2", "is too few")
    size = float(values.size)
    k = (
        _two_sided(size, proportion, confidence)
        if two_sided
        else float(_one_sided(size, proportion, confidence))
    )
    mean, s = float(values.mean()), float(values.std(ddof=1))
    return Tolerance(values.size, mean, s, k, mean - k * s, mean + k * s)


@calculation(
    source="S. S. Wilks, Annals of Mathematical Statistics 12 (1941) 91-96 (tolerance without a "
    "law); ISO 16269-6:2014",
    needs={"proportion": _SHARE, "confidence": _SHARE},
    gives="n",
)
def sample_size_without_law(
    *, proportion: Values, confidence: Values = 0.95, two_sided: bool = False
) -> Values:
    """Least sample whose smallest (or smallest and greatest) reading holds a share of all.

    One-sided: n with 1 - p^n >= confidence. Two-sided: 1 - n p^(n-1) + (n - 1) p^n >= confidence.

    Args:
        proportion: p. confidence: Asked for. two_sided: Both ends.

    References:
        S. S. Wilks, Annals of Mathematical Statistics 12 (1941) 91-96.

    Example:
        >>> sample_size_without_law(proportion=0.9, confidence=0.95)
        29.0
    """
    share, wanted = np.asarray(proportion, float), np.asarray(confidence, float)
    size = np.ceil(np.log(1.0 - wanted) / np.log(share) - 1e-9)
    if two_sided:
        short = np.ones(np.broadcast_shapes(share.shape, wanted.shape), bool)
        while np.any(short):
            held = 1.0 - size * share ** (size - 1.0) + (size - 1.0) * share**size
            short = held < wanted
            size = size + short
    return size


def _one_sided(n: Values, proportion: Values, confidence: Values) -> Values:
    from scipy import stats  # noqa: PLC0415 - takes a second to load

    size = np.asarray(n, float)
    off = ndtri(np.asarray(proportion)) * np.sqrt(size)
    return stats.nct.ppf(np.asarray(confidence), size - 1.0, off) / np.sqrt(size)


def _two_sided(n: float, proportion: float, confidence: float) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415

    nodes, weights = np.polynomial.legendre.leggauss(64)
    reach = 8.0 / np.sqrt(n)
    z = reach * (nodes + 1.0) / 2.0
    density = reach * weights * np.exp(-0.5 * n * z**2) * np.sqrt(n / (2.0 * np.pi))
    radius = np.array([_radius(one, proportion) for one in z])

    def short(k: float) -> float:
        held = 1.0 - chdtr(n - 1.0, (n - 1.0) * radius**2 / k**2)
        return float(np.sum(density * held)) - confidence

    return float(brentq(short, 1e-3, 1e6, xtol=1e-10, rtol=1e-12))


def _radius(z: float, proportion: float) -> float:
    """Half width of the interval about z that holds the share of a standard normal law."""
    from scipy.optimize import brentq  # noqa: PLC0415

    return float(
        brentq(lambda r: ndtr(z + r) - ndtr(z - r) - proportion, 0.0, z + 12.0, xtol=1e-13)
    )
