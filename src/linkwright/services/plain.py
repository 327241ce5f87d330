"""Answers as plain data for JSON: numbers as numbers, what is not finite as null with a reason.

Offers `plain` and `SCHEMA_VERSION`. Keys keep their order and carry their units.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

SCHEMA_VERSION = 1
"""Version of every machine-readable answer; it grows when a key changes its meaning."""


def plain(values: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Plain data of named values, and for each value with a null in it the reason.

    >>> plain({"pressure_MPa": float("inf"), "teeth": 17})
    ({'pressure_MPa': None, 'teeth': 17}, {'pressure_MPa': '1 of 1 values is infinite'})
    """
    data: dict[str, Any] = {}
    reasons: dict[str, str] = {}
    for key, value in values.items():
        lost: list[str] = []
        counted = [0]
        data[key] = _plain(value, lost, counted)
        if lost:
            kinds = " or ".join(sorted(set(lost)))
            verb = "is" if len(lost) == 1 else "are"
            reasons[key] = f"{len(lost)} of {counted[0]} values {verb} {kinds}"
    return data, reasons


def _plain(value: Any, lost: list[str], counted: list[int]) -> Any:
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        return [_plain(item, lost, counted) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item, lost, counted) for key, item in value.items()}
    counted[0] += 1
    if value is None or isinstance(value, (bool, int, str)):
        return value
    if isinstance(value, float):
        if math.isfinite(value):
            return float(value)
        lost.append("not a number" if math.isnan(value) else "infinite")
        return None
    return str(value)
