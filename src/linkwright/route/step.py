"""A step: everything that one operation did, found, used and handed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from linkwright.catalogue import Values
from linkwright.route.finding import Finding
from linkwright.route.stock import Stock


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt someone at this step, and the guard to prove before start."""

    danger: str
    guard: str


@dataclass(frozen=True)
class Step:
    """Outcome of one operation.

    use: what the step takes from the works, by name with unit (``machine_time_h``,
    ``electricity_kWh``, ``steel_kg``, ``water_m3`` ...); costing prices it later.
    curves: named data for pictures: arrays of the nominal pass, or a function that makes
    them when they are wanted.
    """

    findings: tuple[Finding, ...]
    stock: Stock
    use: Mapping[str, Values] = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()
    curves: Mapping[str, Any] = field(default_factory=dict)

    def finding(self, subject: str) -> Finding:
        """The finding about ``subject``."""
        for found in self.findings:
            if found.subject == subject:
                return found
        raise KeyError(subject)
