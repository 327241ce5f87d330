"""What heat treatments have in common that change a chain's structure and none of its sizes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.route import MAIN, Conditions, Machine, Operation, Stocks, Wanted
from linkwright.route.stock import Stock

SIZES = ("wire_diameter_mm", "pitch_mm", "outer_width_mm")


class HeatOperation(Operation):
    """Sizes are asked for as they are handed on; a strength wanted is taken as met meanwhile."""

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A closed link of the same sizes; what it was before is none of this step's wishes."""
        return {MAIN: {name: wanted[name] for name in SIZES}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The chain as it came, with the strength wanted until the real one is known."""
        met = {name: wanted[name] for name in ("tensile_strength_MPa",) if name in wanted}
        return stocks[MAIN].changed("chain", condition=met)
