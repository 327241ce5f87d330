"""Conditions: what varies between members and what nobody knows, apart from each other.

A `Scatter` varies from heat to heat, lot to lot or link to link. A `Factor` is a number of
a model that is the same everywhere but known only within a band, until the works' own
tests narrow it. An operation declares both; `Conditions` hands it their values: nothing
but the nominal value in the nominal pass, arrays over (lots, links) in the ensemble.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from linkwright.catalogue import sourced

LOT_LEVELS = ("heat", "lot")


@dataclass(frozen=True, slots=True)
class Scatter:
    """One source of scatter: normal about the nominal value.

    name: ``level/branch/operation/quantity``, level one of heat, lot, link. sd: standard
    deviation in the unit of the quantity, or as share of the value if ``relative``. A
    machine's own spread of that quantity, if the works file gives one, replaces ``sd``.
    """

    name: str
    sd: float
    source: str
    relative: bool = False

    @property
    def level(self) -> str:
        """heat, lot or link."""
        return self.name.split("/", 1)[0]

    @property
    def quantity(self) -> str:
        """The last part of the name."""
        return self.name.rsplit("/", 1)[-1]


@dataclass(frozen=True, slots=True)
class Factor:
    """One unknown number of a model: log-normal about its median.

    spread is the standard deviation of the logarithm; trial says what would narrow it; kind
    is "default" until a file of the works gives the factor, then "file".
    """

    name: str
    median: float
    spread: float
    source: str
    trial: str = ""
    kind: str = "default"


@dataclass(frozen=True)
class Conditions:
    """Nominal if ``draws`` is empty; else standard normal deviates by name.

    Deviates have shape (lots, 1) for heat, lot and factor columns and (lots, links) for
    link columns, so that members broadcast.
    """

    scatter: Mapping[str, Scatter] = field(default_factory=dict)
    factors: Mapping[str, Factor] = field(default_factory=dict)
    draws: Mapping[str, np.ndarray] = field(default_factory=dict)

    def actual(self, name: str, value: Any, *, least: float | None = None) -> Any:
        """``value`` as it really is for each member; the value itself in the nominal pass."""
        draw = self.draws.get(name)
        if draw is None:
            return value
        source = self.scatter[name]
        moved = value * (1.0 + source.sd * draw) if source.relative else value + source.sd * draw
        return moved if least is None else np.maximum(moved, least)

    def factor(self, name: str) -> Any:
        """A model factor: its median, or median exp(spread z) for each member."""
        known = self.factors[name]
        draw = self.draws.get(name)
        if draw is None:
            return sourced(name, known.median, known.kind, known.source)
        return known.median * np.exp(known.spread * draw)

    def lot_only(self) -> Conditions:
        """The same lots with every link at its lot's own middle: for fields run once a lot."""
        kept = {
            name: draw
            for name, draw in self.draws.items()
            if name not in self.scatter or self.scatter[name].level in LOT_LEVELS
        }
        return Conditions(self.scatter, self.factors, kept)
