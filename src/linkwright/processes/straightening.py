"""Straightening: wire from the coil is bent to and fro by rolls until it lies straight."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.catalogue import sourced
from linkwright.processes.choosing import Possible, chosen, solved_for
from linkwright.processes.models.straightening import three_point_roll_force
from linkwright.processes.models.straightening_rolls import (
    last_roll_for_straight,
    roll_intermesh,
    roll_opening,
    straightness_after_rolls,
    tangent_hardening,
    yield_curvature,
)
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.route import (
    FOLLOWS,
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock


class Straightening(Operation):
    """Rolls so deep at the entry that the coil is forgotten, and at the exit that no bow stays."""

    name = "straightening"
    card = (
        "curvature_ratio", "first_roll_intermesh_mm", "last_roll_intermesh_mm", "roll_2_opening_mm",
        "straightening_plane",
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Wire of the same diameter."""
        return {MAIN: dict(wanted)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """First roll for a curvature held as a ratio to yield, last roll for straight wire."""
        wire = stocks[MAIN]
        ratio = chosen(
            "curvature_ratio",
            machine,
            given,
            check="by the opening of roll 2, at set-up",
            share=0.1,
            possible=Possible(0.0, 50.0),
        )
        metal = {
            "wire_diameter_mm": wire["lot_wire_diameter_mm"],
            "yield_MPa": wire["yield_MPa"],
            "E_MPa": machine.held["E_MPa"],
        }
        first = solved_for(
            "first_roll_intermesh_mm",
            "the curvature at the first rolls",
            lambda: roll_intermesh(
                curvature_per_mm=ratio.value * yield_curvature(**metal),
                roll_pitch_mm=machine.held["roll_pitch_mm"],
            ),
            machine,
            given,
            inputs=metal,
            check="scale at roll 2, at set-up",
            share=0.1,
        )
        rolls = _rolls(wire, machine)
        last = solved_for(
            "last_roll_intermesh_mm",
            "wire that lies straight after the rolls",
            lambda: last_roll_for_straight(first.value, **rolls),
            machine,
            given,
            inputs={"first_roll_intermesh_mm": first.value, **rolls},
            check="a metre of wire laid on the plate, each coil",
            share=0.1,
        )
        openings = _openings(wire, first, last, machine)
        return SetUp((ratio, first, last, *openings), {"machine": machine.name})

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The same wire: rolls change no size that is asked for."""
        return stocks[MAIN]

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Straight wire: curvature that is left, force of a roll, force that feeds the wire."""
        wire = stocks[MAIN]
        force = three_point_roll_force(
            diameter_mm=wire["lot_wire_diameter_mm"],
            yield_MPa=wire["yield_MPa"],
            roll_pitch_mm=machine.held["roll_pitch_mm"],
            curvature_ratio=settings["curvature_ratio"],
        )
        left = straightness_after_rolls(
            first_roll_intermesh_mm=settings["first_roll_intermesh_mm"],
            last_roll_intermesh_mm=settings["last_roll_intermesh_mm"],
            **_rolls(wire, machine),
        )
        hours = running_time(
            length_m=wire["wire_length_m"], speed_m_per_s=machine.held["wire_speed_m_per_s"]
        )
        most, pull = machine.limits("roll_force_N")[1], machine.limits("feed_force_N")[1]
        bow = machine.held.get("greatest_bow_per_metre_mm")
        range_ = f"range of {machine.name}"
        return Step(
            (
                Finding("bow_per_metre_mm", left.bow_per_metre_mm, None, bow,
                        f"held by the works for {machine.name}" if bow is not None else ""),
                Finding("roll_force_N", force.force_N, None, most, range_),
                Finding("feed_force_N", left.feed_force_N, None, pull,
                        range_ if pull is not None else "",
                        "plastic work of all bends; friction of the rolls comes on top"),
            ),
            wire,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=_CAUTIONS,
        )  # fmt: skip


def _rolls(wire: Stock, machine: Machine) -> dict[str, Any]:
    """Wire and rolls as arguments of the straightening calculations; one value a lot."""
    held = machine.held
    return {
        "wire_diameter_mm": wire["lot_wire_diameter_mm"],
        "yield_MPa": wire["yield_MPa"],
        "E_MPa": held["E_MPa"],
        "hardening_MPa": tangent_hardening(
            yield_MPa=wire["yield_MPa"], n=wire["n"], prestrain=wire["prestrain"]
        ),
        "coil_diameter_mm": held["coil_diameter_mm"],
        "roll_pitch_mm": held["roll_pitch_mm"],
        "roll_count": held["roll_count"],
    }


def _openings(wire: Stock, first: Setting, last: Setting, machine: Machine) -> list[Setting]:
    """A setting for every bending roll: evenly from the first to the last."""
    count = int(machine.held["roll_count"])
    made = []
    for number in range(2, count):
        name = f"roll_{number}_opening_mm"
        value = roll_opening(
            wire_diameter_mm=wire["lot_wire_diameter_mm"],
            first_roll_intermesh_mm=first.value,
            last_roll_intermesh_mm=last.value,
            roll_number=sourced("roll_number", float(number), "choice", "rolls from the entry"),
            roll_count=machine.held["roll_count"],
        )
        made.append(
            Setting(
                name,
                value,
                FOLLOWS,
                "rolls set evenly; rolls 1 and last just touch the wire",
                tolerance=0.05,
                check="gauge between the rows, at set-up and at each change of size",
            )
        )
    return made


_CAUTIONS = (
    Caution(
        "Fingers and gloves are drawn in between the rolls",
        "roll guard closed, emergency stop tried before start",
    ),
    Caution("The end of the wire whips as it leaves", "end stop closed; nobody beside the run-out"),
)
