"""Straightening: wire from the coil is bent to and fro by rolls until it lies straight."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.straightening import three_point_roll_force
from linkwright.processes.models.straightening_rolls import (
    roll_intermesh,
    straightness_after_rolls,
    yield_curvature,
)
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock


class Straightening(Operation):
    """Rolls set so deep at the entry that the coil's curvature is forgotten."""

    name = "straightening"

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
        """The first roll is set for a curvature that the works holds as a ratio to yield."""
        wire = stocks[MAIN]
        ratio = chosen("curvature_ratio", machine, given, check="set by the intermesh")
        inputs = {
            "wire_diameter_mm": wire["wire_diameter_mm"],
            "yield_MPa": wire["yield_MPa"],
            "E_MPa": machine.held["E_MPa"],
        }
        first = solved_for(
            "first_roll_intermesh_mm",
            "the curvature at the first rolls",
            lambda: roll_intermesh(
                curvature_per_mm=ratio.value * yield_curvature(**inputs),
                roll_pitch_mm=machine.held["roll_pitch_mm"],
            ),
            machine,
            given,
            inputs=inputs,
            check="scale at the roll; a metre of wire laid on the plate, each coil",
            tolerance=0.1,
        )
        return SetUp((ratio, first), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Straight wire: curvature that is left, force of a roll."""
        wire = stocks[MAIN]
        diameter, yield_MPa = wire["wire_diameter_mm"], wire["yield_MPa"]
        force = three_point_roll_force(
            diameter_mm=diameter,
            yield_MPa=yield_MPa,
            roll_pitch_mm=machine.held["roll_pitch_mm"],
            curvature_ratio=settings["curvature_ratio"],
        )
        left = straightness_after_rolls(
            wire_diameter_mm=diameter,
            yield_MPa=yield_MPa,
            E_MPa=machine.held["E_MPa"],
            coil_diameter_mm=machine.held["coil_diameter_mm"],
            first_roll_intermesh_mm=settings["first_roll_intermesh_mm"],
            roll_pitch_mm=machine.held["roll_pitch_mm"],
            roll_count=machine.held["roll_count"],
        )
        hours = running_time(
            length_m=wire["wire_length_m"], speed_m_per_s=machine.held["wire_speed_m_per_s"]
        )
        return Step(
            (
                Finding(
                    "bow_per_metre_mm",
                    left,
                    None,
                    machine.held.get("greatest_bow_per_metre_mm"),
                    f"held by the works for {machine.name}",
                ),
                Finding("roll_force_N", force.force_N, None, machine.limits("roll_force_N")[1],
                        f"range of {machine.name}"),
            ),
            wire,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=(
                Caution("Fingers and gloves are drawn in between the rolls",
                        "roll guard closed, emergency stop tried before start"),
                Caution("The end of the wire whips as it leaves",
                        "end stop closed; nobody beside the run-out"),
            ),
        )  # fmt: skip
