"""Washing: coolant and abrasive off ground pins, before they meet grease and bore."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.pin_work import washing_heat
from linkwright.processes.models.plate_sums import load_hours
from linkwright.processes.of_part import OfPart
from linkwright.route import (
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.operation import MAIN


class PartWashing(OfPart, KeepsSizes):
    """Alkaline spray and rinse, then hot air; loads by mass, heat for bath and metal."""

    name = "part_washing"
    part = "pin"
    card = (
        "wash_temperature_degC", "washing_time_min", "drying_time_min", "load_mass_kg",
        "washing_agent", "corrosion_protection",
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature, times and load as held."""
        settings = (
            chosen("wash_temperature_degC", machine, given, check="thermometer, each hour",
                   tolerance=5.0),
            chosen("washing_time_min", machine, given, check="timer, each load", share=0.1),
            chosen("drying_time_min", machine, given, check="timer, each load", share=0.1),
            chosen("load_mass_kg", machine, given, check="scale, each load", share=0.1),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Heat of a load against the heater, hours."""
        part, held = stocks[MAIN], machine.held
        heat = washing_heat(
            load_mass_kg=settings["load_mass_kg"],
            wash_temperature_degC=settings["wash_temperature_degC"],
            washing_time_min=settings["washing_time_min"],
            loss_kW=held["wall_loss_kW"],
        )
        hours = load_hours(
            steel_kg=part["steel_kg"],
            load_mass_kg=settings["load_mass_kg"],
            time_min=settings["washing_time_min"],
            handling_time_min=settings["drying_time_min"],
            machines=machine.many,
        )
        return Step(
            (
                Finding("heating_power_kW", heat, None, held["heater_power_kW"],
                        f"heater of {machine.name}"),
            ),
            part,
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip


_CAUTIONS = (
    Caution(
        "Hot alkaline wash burns eyes and skin",
        "hood closed while it sprays and its switch tried, goggles and gloves at the bath",
    ),
)
