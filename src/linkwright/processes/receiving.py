"""Receiving: the rod that comes in, its analysis against the chain's own limits.

Nothing is set here. The heat's analysis and the rod's strength vary; every later operation
uses what really came in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.materials.flow_fits import hollomon_from_tensile
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_PRODUCT_ANALYSIS = "spread of a check analysis about the cast analysis: common practice, no source"
_SPREADS = {"C": 0.006, "Si": 0.012, "Mn": 0.02, "Cr": 0.012, "Ni": 0.012, "Mo": 0.007}


@dataclass(frozen=True)
class ElementLimit:
    """What the chain's standard allows of one element."""

    element: str
    least: Any
    greatest: Any
    source: str


class Receiving(Operation):
    """Accept a coil of rod for this chain, or say what forbids it."""

    name = "receiving"
    scatter = (
        *(
            Scatter(f"heat/wire/receiving/{element}_percent", sd, _PRODUCT_ANALYSIS)
            for element, sd in _SPREADS.items()
        ),
        Scatter(
            "lot/wire/receiving/tensile_strength_MPa",
            0.02,
            "coil to coil, 2 %: common practice, no source",
            relative=True,
        ),
    )

    def __init__(self, limits: Sequence[ElementLimit]) -> None:
        self.limits = tuple(limits)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The rod is what the store holds: nothing is asked of an earlier operation."""
        return {}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Nothing is dialled in."""
        return SetUp((), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The rod with its real analysis and strength, and the analysis against the limits."""
        rod = stocks[MAIN]
        real = {
            name: factors.actual(f"heat/wire/receiving/{name}", value, least=0.0)
            if f"heat/wire/receiving/{name}" in factors.scatter
            else value
            for name, value in rod.analysis().items()
        }
        strength = factors.actual(
            "lot/wire/receiving/tensile_strength_MPa", rod["tensile_strength_MPa"]
        )
        hardening = rod["n"]
        K = hollomon_from_tensile(tensile_strength_MPa=strength, n=hardening)
        findings = [
            Finding(
                f"{limit.element}_percent",
                # the cast analysis is a document: what is judged is what it says
                rod[f"{limit.element}_percent"],
                limit.least,
                limit.greatest,
                limit.source,
            )
            for limit in self.limits
            if f"{limit.element}_percent" in rod
        ]
        findings.append(Finding("rod_tensile_strength_MPa", strength))
        stock = rod.changed(condition={**real, "tensile_strength_MPa": strength, "K_MPa": K})
        return Step(
            tuple(findings),
            stock,
            use={"steel_kg": rod["steel_kg"]},
            cautions=(
                Caution(
                    "A coil of rod can spring open when its bands are cut, and it is heavy",
                    "bands cut from the side, coil held; lifting gear in test",
                ),
            ),
        )
