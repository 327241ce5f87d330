"""Toy operations on a machine without limits, for tests of routes."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from linkwright.catalogue import solved
from linkwright.route import (
    GIVEN,
    MAIN,
    SOLVED,
    Conditions,
    Finding,
    Operation,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stock,
    Stocks,
    Wanted,
)

NOMINAL = Conditions()
SPREAD = Scatter("link/chain/forming/pitch_mm", 0.05, "invented")


class Bench:
    """A machine without limits, for toys."""

    name, many = "bench", 1.0
    operations: tuple[str, ...] = ()
    card: tuple[Any, ...] = ()
    held: Any = MappingProxyType({})
    spread: Any = held
    rate: Any = held

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """None."""
        return None, None


class Toy(Operation):
    """Hands on `size` as it was set; subclasses say what they ask for."""

    size = "pitch_mm"
    form = "piece"
    share = 0.0  # of the stock that came in, which the ask for the next one falls by

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The size wanted, less a share of what last came in."""
        came = self.share * near[self.size] if near and self.size in near else 0.0
        return {MAIN: {self.size: wanted[self.size] - came}}

    def set_up(
        self, stocks: Stocks, wanted: Wanted, machine: Any, factors: Conditions, given: Any
    ) -> SetUp:
        """The size as given, else solved for what is wanted."""
        if self.size in given:
            return SetUp((Setting(self.size, given[self.size], GIVEN),))
        value = solved(self.size, wanted[self.size], "for the size wanted", **wanted)
        return SetUp((Setting(self.size, value, SOLVED, "the size wanted"),))

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """The size set, for each member as it scatters."""
        value = factors.actual(SPREAD.name, settings[self.size])
        (came,) = stocks.values()
        return Step((Finding(self.size, value),), came.changed(self.form, shape={self.size: value}))
