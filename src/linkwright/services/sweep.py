"""A calculation over a range of one of its arguments: the same as giving it a list.

Offers `sweep` and `usual_range`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.quantities import InputErrors, Problem
from linkwright.services.calculations import Answer, ArgumentNote, calculate, describe

POINTS = 81
"""Points of a sweep."""


@dataclass(frozen=True)
class Sweep:
    """Results by name over the values of one argument; nan where there is none."""

    over: str
    values: list[float]
    results: Mapping[str, list[float]]


def sweep(name: str, given: Mapping[str, Any], over: str, low: float, high: float) -> Sweep:
    """The calculation at `POINTS` even steps of ``over``, in the unit of its name.

    Raises as `calculate`; `InputErrors` for a range that is none.
    """
    if not (math.isfinite(low) and math.isfinite(high) and low < high):
        accepted = "two numbers, the first less than the second"
        raise InputErrors([Problem("range", "is no range", key=over, accepted=accepted)])
    values = np.linspace(low, high, POINTS).tolist()
    answer = calculate(name, **{**given, over: values})
    found = {key: _numbers(value) for key, value in answer.results.items()}
    return Sweep(over, values, {key: row for key, row in found.items() if len(row) == POINTS})


def swept(answer: Answer) -> list[str]:
    """The arguments of an answer that can be swept: single numbers."""
    return [
        name
        for name, value in answer.arguments.items()
        if isinstance(value, (int, float)) and not isinstance(value, bool)
    ]


def usual_range(name: str, argument: str, value: float) -> tuple[float, float]:
    """Where a sweep begins and ends: half to half as much again, inside what the source covers."""
    note = next(one for one in describe(name).arguments if one.name == argument)
    low, high = sorted((0.5 * value, 1.5 * value)) if value else (-1.0, 1.0)
    least, greatest = _bounds(note)
    return (low if least is None else max(low, least),
            high if greatest is None else min(high, greatest))  # fmt: skip


def _bounds(note: ArgumentNote) -> tuple[float | None, float | None]:
    """The narrower of domain and validity."""
    lows = [one[0] for one in (note.needs, note.valid) if one and one[0] is not None]
    highs = [one[1] for one in (note.needs, note.valid) if one and one[1] is not None]
    return max(lows, default=None), min(highs, default=None)


def _numbers(value: Any) -> list[float]:
    """A result as a list of floats; empty for anything else."""
    if isinstance(value, np.ndarray) and value.ndim == 1 and value.dtype.kind in "fiu":
        return [float(one) for one in value]
    return []
