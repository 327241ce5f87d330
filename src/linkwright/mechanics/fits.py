"""Toleranced fits of holes and shafts by ISO 286: limit deviations and interference.

- `iso286_limits`: lower and upper deviation of one tolerance class, such as H7 or p6
- `iso286_fit`: least and greatest interference of a fit, such as H7/p6
- `iso286_tolerance`: the tolerance of a grade at a size

Sizes up to 500 mm; grades IT4 to IT13; shafts c to h, js, k, m, n, p, r, s, t, u, x and the
holes of the same letters. The numbers stand in data/iso286.toml.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

_FILE = Path(__file__).parent / "data" / "iso286.toml"
_SOURCE = "ISO 286-1:2010, Tables 1 to 5"
_SIZE = (5e-324, 500.0)
_CLASS = re.compile(r"([A-Za-z]{1,2})([0-9]{1,2})")
_GRADES = range(4, 14)
_SMALLEST_RANGE_MM = 3.0
_COARSEST_LIFTED_K = 7


class Limits(NamedTuple):
    """Lower and upper limit deviation from the nominal size."""

    lower_um: Values
    upper_um: Values


class FitLimits(NamedTuple):
    """Results of `iso286_fit`; a negative interference is a clearance."""

    min_interference_um: Values
    max_interference_um: Values
    hole_lower_um: Values
    hole_upper_um: Values
    shaft_lower_um: Values
    shaft_upper_um: Values


@calculation(source=_SOURCE, basis="memory", needs={"nominal_mm": _SIZE})
def iso286_limits(*, nominal_mm: Values, tolerance_class: str | list[str]) -> Limits:
    """Limit deviations of a hole (capital letter) or a shaft (small letter).

    Shafts c to h hang from their upper deviation, k to x stand on their lower one; js lies
    half to each side. Shafts k coarser than grade 7 start at 0. Holes C to H mirror the
    shafts; K, M and N up to grade 8 and P to X up to grade 7 take -ei + Delta with
    Delta = IT(n) - IT(n-1) above 3 mm, else -ei; N from grade 9 on takes 0 above 3 mm.

    Raises `ArgumentError` for a class that is not of this form, is not in the tables, or is
    not defined at the size.

    References: ISO 286-1:2010, Tables 1 to 5. The single exception M6 over 250 to 315 mm is
    kept (ES = -9).

    Example:
        >>> limits = iso286_limits(nominal_mm=40.0, tolerance_class="s6")
        >>> print(*limits)
        43.0 59.0
    """
    return Limits(*_each(_limits, nominal_mm, tolerance_class))


@calculation(
    source=_SOURCE,
    gives="tolerance_um",
    basis="memory",
    needs={"nominal_mm": _SIZE, "grade": (4.0, 13.0)},
)
def iso286_tolerance(*, nominal_mm: Values, grade: Values) -> Values:
    """Standard tolerance of grade IT4 to IT13 at a nominal size up to 500 mm.

    References: ISO 286-1:2010, Table 1.

    Example:
        >>> print(iso286_tolerance(nominal_mm=40.0, grade=7.0))
        25.0
    """
    return np.vectorize(lambda size, g: _tolerance(float(size), round(g)), otypes=[float])(
        nominal_mm, grade
    )[()]


@calculation(source=_SOURCE, basis="memory", needs={"nominal_mm": _SIZE})
def iso286_fit(
    *,
    nominal_mm: Values,
    fit: str | list[str],
    hole_lower_um: Values = None,
    hole_upper_um: Values = None,
    shaft_lower_um: Values = None,
    shaft_upper_um: Values = None,
) -> FitLimits:
    """Least and greatest interference of a fit such as H7/p6.

    least = shaft lower - hole upper, greatest = shaft upper - hole lower; negative values
    are clearances. Deviations that are given (as measured, or from another table) stand
    before those of the tables.

    Several fits are a list, or one text with commas, as many as there are sizes.

    Raises `ArgumentError` for a fit that is not hole/shaft, or a class not in the tables.

    References: ISO 286-1:2010.

    Example:
        >>> limits = iso286_fit(nominal_mm=8.0, fit="H7/s6")
        >>> print(limits.min_interference_um, limits.max_interference_um)
        8.0 32.0
    """
    holes, shafts = _taken_apart(fit)
    hole_low, hole_high = _given_or_tabled(nominal_mm, holes, hole_lower_um, hole_upper_um)
    low, high = _given_or_tabled(nominal_mm, shafts, shaft_lower_um, shaft_upper_um)
    return FitLimits(low - hole_high, high - hole_low, hole_low, hole_high, low, high)


def _each(
    function: Callable[[float, str], tuple[float, ...]], nominal: Values, text: str | list[str]
) -> tuple[Values, ...]:
    sizes, names = np.broadcast_arrays(np.asarray(nominal, float), np.asarray(text, dtype=object))
    if sizes.ndim == 0:
        return function(float(sizes), str(names[()]))
    rows = np.array(
        [function(float(s), str(t)) for s, t in zip(sizes.ravel(), names.ravel(), strict=True)]
    )
    return tuple(column.reshape(sizes.shape) for column in rows.T)


def _taken_apart(fit: str | list[str]) -> tuple[Any, Any]:
    pairs = []
    if isinstance(fit, str) and "," in fit:
        fit = fit.split(",")
    for text in [fit] if isinstance(fit, str) else fit:
        hole, slash, shaft = text.replace(" ", "").partition("/")
        if not slash or not hole[:1].isupper() or not shaft[:1].islower():
            raise ArgumentError("fit", text, "", "hole/shaft, such as H7/p6")
        pairs.append((hole, shaft))
    if isinstance(fit, str):
        return pairs[0]
    return [hole for hole, _ in pairs], [shaft for _, shaft in pairs]


def _given_or_tabled(
    nominal: Values, tolerance_class: str | list[str], lower: Values, upper: Values
) -> tuple[Values, Values]:
    if lower is not None and upper is not None:
        return lower, upper
    tabled = _each(_limits, nominal, tolerance_class)
    return tabled[0] if lower is None else lower, tabled[1] if upper is None else upper


def _limits(nominal: float, tolerance_class: str) -> tuple[float, float]:
    match = _CLASS.fullmatch(tolerance_class.strip())
    if match is None or int(match[2]) not in _GRADES or match[1] not in (
        match[1].lower(), match[1].upper()
    ):  # fmt: skip
        accepted = "letter and grade, such as H7 or p6, grades 4 to 13"
        raise ArgumentError("tolerance_class", tolerance_class, "", accepted)
    letter, grade = match[1], int(match[2])
    width = _tolerance(nominal, grade)
    if letter.lower() == "js":
        return -width / 2.0, width / 2.0
    start = _deviation(nominal, letter.lower())
    if letter.islower():
        if letter == "k" and grade > _COARSEST_LIFTED_K:
            start = 0.0
        return (start - width, start) if letter <= "h" else (start, start + width)
    if letter <= "H":
        return 0.0 - start, width - start
    upper = _hole_upper(nominal, letter, grade, start)
    return upper - width, upper


def _hole_upper(nominal: float, letter: str, grade: int, start: float) -> float:
    if letter == "M" and grade == 6 and 250.0 < nominal <= 315.0:
        return -9.0
    closest = 8 if letter in "KMN" else 7
    if letter == "K" and grade > closest:
        raise ArgumentError("tolerance_class", f"{letter}{grade}", "", "K up to grade 8")
    if letter == "N" and grade > closest and nominal > _SMALLEST_RANGE_MM:
        return 0.0
    if nominal <= _SMALLEST_RANGE_MM or grade > closest:
        return -start
    if grade - 1 not in _GRADES:
        raise ArgumentError("tolerance_class", f"{letter}{grade}", "", "grade 5 or coarser")
    return -start + _tolerance(nominal, grade) - _tolerance(nominal, grade - 1)


def _deviation(nominal: float, letter: str) -> float:
    shafts = _data()["shafts"]
    for ranges in ("main_ranges", "intermediate_ranges"):
        if letter in shafts[ranges]:
            return _read(ranges, letter, nominal)
    known = [name for ranges in shafts.values() for name in ranges if name != "up_to_mm"]
    raise UnknownName("tolerance_class", letter, [*known, "js"])


def _read(ranges: str, letter: str, nominal: float) -> float:
    table = _data()["shafts"][ranges]
    value = table[letter][_row(table["up_to_mm"], nominal)]
    if value == "-":
        raise ArgumentError("nominal_mm", nominal, "mm", f"above 24 mm for {letter}")
    return float(value)


def _tolerance(nominal: float, grade: int) -> float:
    grades = _data()["grades"]
    return float(grades[f"IT{grade}"][_row(grades["up_to_mm"], nominal)])


def _row(up_to: list[float], nominal: float) -> int:
    return next(index for index, end in enumerate(up_to) if nominal <= end)


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
