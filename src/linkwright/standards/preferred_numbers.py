"""Preferred numbers of ISO 3 and the rounding that chain standards do with them.

`R40` and `R10_ROUNDED` are the series (one decade); `preferred_number_at_most` goes down
to a series, `preferred_number_nearest` to the nearest number of it, `to_figures` rounds
to significant figures as printed tables do.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import Values, calculation
from linkwright.quantities import UnknownName

R40 = (
    1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70,
    1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80, 3.00,
    3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30,
    5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50, 9.00, 9.50,
)  # fmt: skip
"""Series R40 of ISO 3:1973, Table 1."""
R20 = R40[::2]
"""Series R20 of ISO 3:1973, Table 1."""
R10 = R40[::4]
"""Series R10 of ISO 3:1973, Table 1."""
R5 = R40[::8]
"""Series R5 of ISO 3:1973, Table 1."""
R10_ROUNDED = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 8.0)
"""Series R'10 (R10 with 3.2 in place of 3.15), ISO 497."""

SERIES = {"R5": R5, "R10": R10, "R20": R20, "R40": R40, "R'10": R10_ROUNDED}
_ULPS = 1e-9  # a computed 2.5 may stand a rounding error below 2.5


@calculation(
    source="ISO 3:1973, Preferred numbers, Table 1 (R5 to R40); R'10 as in ISO 497",
    gives="preferred_number",
    needs={"value": (1e-12, 1e12)},
)
def preferred_number_at_most(*, value: Values, series: str = "R40") -> Values:
    """Greatest preferred number that is not above a value.

    Series repeat in every decade: N = n 10^k with n of the series, k an integer.

    Args:
        value: Number to be taken down (1e-12 to 1e12).
        series: "R5", "R10", "R20", "R40" or "R'10".

    Raises:
        UnknownName: the series is none of these.

    References:
        ISO 3:1973, Table 1; ISO 497 for the rounded series R'10.

    Example:
        >>> float(preferred_number_at_most(value=3.2035))
        3.15
    """
    steps, mantissa, decade = _decades(value, series)
    place = np.searchsorted(steps, mantissa * (1.0 + _ULPS), side="right") - 1
    return _composed(steps[place], decade)


@calculation(
    source="ISO 3:1973, Preferred numbers, Table 1 (R5 to R40); R'10 as in ISO 497",
    gives="preferred_number",
    needs={"value": (1e-12, 1e12)},
)
def preferred_number_nearest(*, value: Values, series: str = "R40") -> Values:
    """Preferred number nearest to a value (by difference; half way goes up).

    Args:
        value: Number to be rounded (1e-12 to 1e12).
        series: "R5", "R10", "R20", "R40" or "R'10".

    Raises:
        UnknownName: the series is none of these.

    References:
        ISO 3:1973, Table 1; ISO 497 for the rounded series R'10.

    Example:
        >>> float(preferred_number_nearest(value=31.25, series="R'10"))
        32.0
    """
    steps, mantissa, decade = _decades(value, series)
    ends = np.append(steps, 10.0)
    middles = (ends[1:] + ends[:-1]) / 2.0
    place = np.searchsorted(middles * (1.0 - _ULPS), mantissa, side="right")
    return _composed(ends[place], decade)


def to_figures(value: Values, figures: int = 3) -> Values:
    """``value`` rounded to significant figures, as printed tables do.

    >>> float(to_figures(1017.9)), float(to_figures(78.5398))
    (1020.0, 78.5)
    """
    number = np.asarray(value, dtype=float)
    magnitude = np.floor(np.log10(np.abs(number)))
    step = np.power(10.0, figures - 1 - magnitude)
    return _clean(np.round(number * step) / step)[()]


def _decades(value: Values, series: str) -> tuple[Values, Values, Values]:
    try:
        steps = np.array(SERIES[series])
    except KeyError:
        raise UnknownName("series", series, SERIES) from None
    number = np.asarray(value, dtype=float)
    decade = np.floor(np.log10(number * (1.0 + _ULPS)))
    return steps, np.maximum(number / np.power(10.0, decade), 1.0), decade


def _composed(mantissa: Values, decade: Values) -> Values:
    return _clean(mantissa * np.power(10.0, decade))[()]


def _clean(number: Values) -> Values:
    """Drop the last bits that scaling by powers of ten leaves: 4.0 and not 4.000000000000001."""
    digits = 12 - np.floor(np.log10(np.abs(number)))
    return np.where(digits < 300, np.round(number * 10.0**digits) / 10.0**digits, number)
