"""What heat treatments have in common that change a part's structure and none of its sizes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from linkwright.route import MAIN, Conditions, Machine, Operation, Stocks, Wanted
from linkwright.route.stock import Stock

SIZES = ("wire_diameter_mm", "pitch_mm", "outer_width_mm")


class HeatOperation(Operation):
    """Sizes are asked for as they are handed on; a strength wanted is taken as met meanwhile.

    asked: the sizes, those of a closed link of chain unless a part says otherwise; form: what
    comes out.
    """

    asked: ClassVar[tuple[str, ...]] = SIZES
    form: ClassVar[str] = "chain"

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A part of the same sizes; what it was before is none of this step's wishes."""
        return {MAIN: {name: wanted[name] for name in self.asked}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The part as it came, with the strength wanted until the real one is known."""
        met = {name: wanted[name] for name in ("tensile_strength_MPa",) if name in wanted}
        return stocks[MAIN].changed(self.form, condition=met)
