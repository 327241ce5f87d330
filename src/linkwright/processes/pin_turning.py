"""Pins: both ends faced and chamfered, so that they enter bushing and plate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, computed
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.processes.models.pin_work import (
    TurnedEnd,
    pin_before_turning,
    pin_mass,
    turned_end,
    turning_hours,
)
from linkwright.processes.models.sheared_pin import face_room, turned_allowance
from linkwright.processes.of_part import OfPart
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


class PinTurning(OfPart):
    """Facing and chamfer of both ends; force and power by Kienzle."""

    name = "pin_turning"
    part = "pin"
    card = (
        "pin_length_mm", "facing_mm", "chamfer_mm", "feed_mm", "cutting_speed_m_per_min",
        "spindle_speed_rpm", "insert",
    )  # fmt: skip
    scatter = (
        Scatter("link/pin/pin_turning/pin_length_mm", 0.02,
                "play of the stops: common practice, no source"),
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Pieces longer by what facing takes off both ends; shears add their crooked faces."""
        length = pin_before_turning(
            pin_length_mm=wanted["pin_length_mm"], facing_mm=machine.held["facing_mm"]
        )
        return {MAIN: {"diameter_mm": wanted["diameter_mm"], "cut_length_mm": length}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Stops at the length, chamfer by the diameter, speed and feed as held."""
        pin = stocks[MAIN]
        length = computed(
            "pin_length_mm", "the pin of the drawing", lambda: wanted["pin_length_mm"], machine,
            given, check="caliper, each hour", tolerance=0.1,
        )  # fmt: skip
        chamfer = computed(
            "chamfer_mm", "a share of the diameter",
            lambda: sized_by_wire(
                wire_diameter_mm=pin["diameter_mm"], ratio=machine.held["chamfer_over_pin_ratio"]
            ),
            machine, given, check="lens, each new insert", share=0.2,
        )  # fmt: skip
        held = (
            chosen("facing_mm", machine, given, check="caliper before and after", tolerance=0.1),
            chosen("feed_mm", machine, given, check="display", share=0.1),
            chosen("cutting_speed_m_per_min", machine, given, check="display", share=0.1),
        )
        made = {one.name: one.value for one in (length, chamfer, *held)}
        taken: tuple[Setting, ...] = ()
        if _FACE in pin:
            made["end_allowance_mm"] = turned_allowance(
                facing_mm=made["facing_mm"], out_of_square_mm=pin[_FACE]
            )
            taken = (Setting("end_allowance_mm", made["end_allowance_mm"], FOLLOWS,
                             "facing beyond the sheared face", tolerance=0.1,
                             check="caliper before and after"),)  # fmt: skip
        end = self._end(pin, made, machine)
        speed = Setting("spindle_speed_rpm", end.spindle_speed_rpm, FOLLOWS,
                        "the cutting speed at the outside", tolerance=50.0,
                        check="display")  # fmt: skip
        return SetUp((length, chamfer, *held, *taken, speed), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Length, force and power, hours of the lathes."""
        pin = stocks[MAIN]
        end = self._end(pin, settings, machine)
        length = self.actual(factors, "link", "pin_length_mm", settings["pin_length_mm"])
        hours = turning_hours(
            pieces=pin["pieces"],
            turning_time_s=end.turning_time_s,
            handling_time_s=machine.rate["handling_time_s"],
            machines=machine.many,
        )
        return Step(
            (
                Finding("pin_length_mm", length),
                Finding("cutting_force_N", end.cutting_force_N),
                Finding("cutting_power_kW", end.cutting_power_kW, None,
                        machine.held["spindle_power_kW"], f"spindle of {machine.name}"),
                Finding("spindle_speed_rpm", end.spindle_speed_rpm, None,
                        machine.held["greatest_spindle_speed_rpm"], _HELD),
                *_sheared(pin, length),
            ),
            pin.changed(
                "pin",
                shape={"pin_length_mm": length},
                amount={"piece_mass_kg": pin_mass(diameter_mm=pin["diameter_mm"],
                                                  length_mm=length)},
            ),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _end(self, pin: Stock, made: Any, machine: Machine) -> TurnedEnd:
        names = ("chamfer_mm", "feed_mm", "cutting_speed_m_per_min")
        return turned_end(
            diameter_mm=pin["diameter_mm"],
            facing_mm=made["end_allowance_mm" if "end_allowance_mm" in made else "facing_mm"],
            **{name: made[name] for name in names},
            specific_cutting_force_MPa=machine.held["specific_cutting_force_MPa"],
            kienzle_exponent=machine.held["kienzle_exponent"],
        )


_FACE = "end_out_of_square_mm"


def _sheared(pin: Stock, length_mm: Any) -> tuple[Finding, ...]:
    """Whether facing reached the bottom of a sheared face."""
    if _FACE not in pin:
        return ()
    room = face_room(
        cut_length_mm=pin["cut_length_mm"], pin_length_mm=length_mm, out_of_square_mm=pin[_FACE]
    )
    return (Finding("face_room_mm", room, _NONE, None, "a face must be turned whole: geometry",
                    "cut below the lowest point of the sheared face"),)  # fmt: skip


_NONE = 0.0
_CAUTIONS = (
    Caution(
        "Chips are sharp and hot, the spindle catches sleeves",
        "guard closed, chips by hook and never by hand, no gloves at the turning spindle",
    ),
)
