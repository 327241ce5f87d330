"""Pins: a cross hole for the cotter at one end, drilled before the pin is hardened.

The end with its hole is kept from the case by stop-off paste, as an end is that will be riveted.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, computed
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.cottered_end import DrilledHole, cross_drilled, hole_net_section
from linkwright.processes.models.pin_work import over_size, turning_hours
from linkwright.processes.of_part import OfPart
from linkwright.processes.strand import CotteredEnd
from linkwright.route import (
    FOLLOWS,
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_HELD = "held by the works"
_ISO = "ISO 1234, hole H14 (H13 to 1.2 mm), remembered"


class PinDrilling(OfPart):
    """Hole of the cotter's nominal size through the middle of the pin, edges broken."""

    name = "pin_drilling"
    part = "pin"
    card = (
        "hole_diameter_mm", "hole_from_end_mm", "feed_mm", "cutting_speed_m_per_min",
        "spindle_speed_rpm", "drill", "hole_edges",
    )  # fmt: skip
    scatter = (
        Scatter("lot/pin/pin_drilling/hole_diameter_mm", 0.02,
                "drills cut large, from drill to drill: common practice, no source"),
        Scatter("link/pin/pin_drilling/hole_from_end_mm", 0.05,
                "play of the stop: common practice, no source"),
    )  # fmt: skip

    def __init__(self, end: CotteredEnd) -> None:
        """``end``: what the cotter wants of the pin."""
        super().__init__("pin")
        self.end = end

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The pin as turned: a hole changes neither diameter nor length."""
        return {MAIN: dict(wanted)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Drill and stop by the cotter, speed and feed as held."""
        hole = computed(
            "hole_diameter_mm", "the nominal size of the cotter",
            lambda: self.end.cotter.cotter_hole_mm, machine, given,
            check="plug gauge go and no go, each hour and new drill", tolerance=0.2,
        )  # fmt: skip
        place = computed(
            "hole_from_end_mm", "the drawing of the cottered end",
            lambda: self.end.hole_from_end_mm, machine, given,
            check="caliper to the edge of the hole, each hour", tolerance=0.15,
        )  # fmt: skip
        held = (
            chosen("feed_mm", machine, given, check="display", share=0.1),
            chosen("cutting_speed_m_per_min", machine, given, check="display", share=0.1),
        )
        made = {one.name: one.value for one in (hole, place, *held)}
        drilled = self._drilled(stocks[MAIN], made, machine)
        speed = Setting("spindle_speed_rpm", drilled.spindle_speed_rpm, FOLLOWS,
                        "the cutting speed at the lips", tolerance=50.0,
                        check="display")  # fmt: skip
        return SetUp((hole, place, *held, speed), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Hole, what it leaves of the section, torque and power; hours of the drills."""
        pin, cotter = stocks[MAIN], self.end.cotter
        drilled = self._drilled(pin, settings, machine)
        hole = self.actual(factors, "lot", "hole_diameter_mm", settings["hole_diameter_mm"])
        place = self.actual(factors, "link", "hole_from_end_mm", settings["hole_from_end_mm"])
        net = hole_net_section(pin_diameter_mm=pin["diameter_mm"], cotter_hole_mm=hole)
        hours = turning_hours(
            pieces=pin["pieces"], turning_time_s=drilled.drilling_time_s,
            handling_time_s=machine.rate["handling_time_s"], machines=machine.many,
        )  # fmt: skip
        return Step(
            (
                Finding("hole_diameter_mm", hole, cotter.greatest_cotter_mm,
                        over_size(size_mm=cotter.cotter_hole_mm,
                                  tolerance_mm=cotter.hole_tolerance_mm),
                        f"{_ISO}; below it the cotter does not enter"),
                Finding("hole_net_percent", net.net_percent, machine.held["least_net_percent"],
                        None, f"{_HELD}: of the pin's section, before grinding"),
                Finding("drilling_torque_Nm", drilled.torque_Nm),
                Finding("drilling_power_kW", drilled.drilling_power_kW, None,
                        machine.held["spindle_power_kW"], f"spindle of {machine.name}"),
                Finding("spindle_speed_rpm", drilled.spindle_speed_rpm, None,
                        machine.held["greatest_spindle_speed_rpm"], _HELD),
            ),
            pin.changed("pin", shape={"cotter_hole_mm": hole, "hole_from_end_mm": place}),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _drilled(self, pin: Stock, made: Any, machine: Machine) -> DrilledHole:
        return cross_drilled(
            pin_diameter_mm=pin["diameter_mm"],
            hole_diameter_mm=made["hole_diameter_mm"],
            **{name: made[name] for name in ("feed_mm", "cutting_speed_m_per_min")},
            specific_cutting_force_MPa=machine.held["specific_cutting_force_MPa"],
            kienzle_exponent=machine.held["kienzle_exponent"],
        )


_CAUTIONS = (
    Caution(
        "A drill catches sleeves and hair, a broken drill flies; chips cut",
        "guard closed, pin clamped and never held by hand, no gloves, eye protection, chips by "
        "brush",
    ),
)
