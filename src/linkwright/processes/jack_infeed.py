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

from linkwright.processes.cutting import Cutting, feed_length, knife_clearance
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
    card = ("cut_length_mm", "first_piece_gauge_mm", "knife_clearance_mm")

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The feed is set to the length wanted; the knife is held by the works."""
        wire = stocks[MAIN]["lot_wire_diameter_mm"]
        length = feed_length("the wire of both eyes and the neck", wanted, wire, machine, given)
        return SetUp((*length, knife_clearance(wire, machine, given)), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pieces, the force at the knife and the energy of a cut."""
        step = super().run(stocks, settings, machine, factors)
        return replace(step, cautions=(*step.cautions, NOT_FOR_LIFTING))
