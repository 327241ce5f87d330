"""Infeed of the jack chain machine: wire runs in through rolls and is cut to one link's length.

- `JackStraightening`: rolls at the infeed
- `JackCutting`: the piece of one link
- `NOT_FOR_LIFTING`: the caution that every step of this chain carries

The machine does both in its own cycle; hours and energy are counted at `jack_forming`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.cutting import Cutting
from linkwright.processes.straightening import Straightening
from linkwright.route import MAIN, Caution, Conditions, Machine, SetUp, Step, Stocks, Wanted

NOT_FOR_LIFTING = Caution(
    "Jack chain is not for lifting or overhead safety loads: its open eyes give way",
    "say so on the package and the delivery note; local codes come first",
)
"""Printed on every step of this chain."""


class JackStraightening(Straightening):
    """Rolls at the infeed of the link machine; its hours are counted at forming."""

    name = "jack_straightening"

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Straight wire; the rolls run in the machine's own cycle."""
        step = super().run(stocks, settings, machine, factors)
        return replace(step, use={}, cautions=(*step.cautions, NOT_FOR_LIFTING))


class JackCutting(Cutting):
    """Cut the wire of one link; no notch, as nothing is welded."""

    name = "jack_cutting"

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The feed is set to the length wanted; the knife is held by the works."""
        length = solved_for(
            "cut_length_mm",
            "the wire of both eyes and the neck",
            lambda: wanted["cut_length_mm"],
            machine,
            given,
            inputs={
                "cut_length_mm": wanted["cut_length_mm"],
                "wire_diameter_mm": stocks[MAIN]["wire_diameter_mm"],
            },
            check="caliper, first five pieces, then one in 1000",
            tolerance=0.1,
        )
        knife = chosen("knife_clearance_mm", machine, given, check="feeler gauge at set-up")
        return SetUp((length, knife), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pieces, the force at the knife and the energy of a cut."""
        step = super().run(stocks, settings, machine, factors)
        return replace(step, cautions=(*step.cautions, NOT_FOR_LIFTING))
