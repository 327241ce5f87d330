"""Pins: bright bar is sawn to length in bundles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.machining import saw_cutting_time
from linkwright.processes.models.pin_work import sawn_per_minute
from linkwright.processes.models.use import working_time
from linkwright.processes.pins_from_bar import PinsFromBar, bar_findings, bar_used
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Machine,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock


class PinCutting(PinsFromBar):
    """Bar of the blank's diameter; a bundle a cut, so long as turning wants it."""

    name = "pin_cutting"
    card = ("cut_length_mm", "kerf_mm", "bundle_count", "cutting_rate_cm2_per_min")
    scatter = (
        Scatter("lot/pin/pin_cutting/diameter_mm", 0.004,
                "bright bar within its tolerance: common practice, no source"),
        Scatter("link/pin/pin_cutting/cut_length_mm", 0.05,
                "play of the stop: common practice, no source"),
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Stop at the length wanted; kerf, bundle and rate as held."""
        settings = (
            self.stop(
                lambda: wanted["cut_length_mm"], "the pin with what turning takes off its ends",
                machine, given,
            ),
            chosen("kerf_mm", machine, given, check="caliper, each new blade", tolerance=0.2),
            chosen("bundle_count", machine, given, check="counted at the clamp", tolerance=0.0),
            chosen("cutting_rate_cm2_per_min", machine, given, check="display", share=0.1),
        )  # fmt: skip
        return SetUp(settings, {"wanted": dict(wanted), "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pins as sawn, bars used, hours of the saw."""
        bar = stocks[MAIN]
        used = bar_used(bar, settings["cut_length_mm"], settings["kerf_mm"], machine)
        pins = self.as_cut(bar, settings, factors, used)
        return Step(
            bar_findings(bar, pins, used, settings, machine, "soft for saw and turning",
                         "the rest is kerf and end"),
            pins,
            use=self._use(bar, settings, used.steel_kg, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _use(self, bar: Stock, settings: SetUp, steel: Any, machine: Machine) -> dict[str, Any]:
        cut = saw_cutting_time(
            bar_diameter_mm=bar["diameter_mm"],
            cutting_rate_cm2_per_min=settings["cutting_rate_cm2_per_min"],
        )
        hours = working_time(
            pieces=bar["pieces"],
            pieces_per_minute=sawn_per_minute(
                cut_time_min=cut.time_min,
                bundle=settings["bundle_count"],
                feed_time_min=machine.rate["feed_time_min"],
            ),
            machines=machine.many,
        )
        return {
            **use_of_machine(hours, machine),
            "steel_kg": steel,
        }


_CAUTIONS = (
    Caution(
        "The saw draws in hands; a bundle of bars rolls and crushes",
        "guard closed and its switch tried, clamp holds before the cut, bars stopped on the rack",
    ),
)
