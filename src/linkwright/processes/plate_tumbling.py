"""Tumbling of link plates: edges broken, burr and scale off; what it takes is added beforehand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen
from linkwright.processes.finishing import BARREL, WEIGHED, barrel_speed, lost_in_time
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.plate_shape import burr_after_tumbling
from linkwright.processes.models.plate_sums import (
    load_hours,
    plate_after_loss,
    plate_before_loss,
)
from linkwright.processes.plate_charge import PLATE_SIZES
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

_HELD = "held by the works"
_WORN = ("plate_thickness_mm", "plate_height_mm", "waist_height_mm", "hole_diameter_mm")


class PlateTumbling(Operation):
    """Plates turn in a barrel with chips and water until their edges are round and bright."""

    name = "plate_tumbling"
    card = (
        "barrel_speed_rpm", "tumbling_time_min", "load_mass_kg", "tumbling_medium", "drying",
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Plates thicker and holes narrower by what the barrel takes."""
        loss = lost_in_time(machine, machine.held["tumbling_time_min"])
        before = plate_before_loss(
            surface_loss_g_per_m2=loss, **{name: wanted[name] for name in _WORN}
        )
        keep = {name: wanted[name] for name in (*PLATE_SIZES, "tensile_strength_MPa")}
        return {MAIN: {**keep, **before._asdict()}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Speed below the critical one; time and load as held."""
        speed = barrel_speed(machine, given)
        time = chosen("tumbling_time_min", machine, given, check="timer, each load", share=0.1)
        load = chosen("load_mass_kg", machine, given, check="scale, each load", share=0.1)
        return SetUp((speed, time, load), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Metal lost, sizes that are left, hours of the barrels."""
        plate = stocks[MAIN]
        loss = lost_in_time(machine, settings["tumbling_time_min"])
        left = plate_after_loss(surface_loss_g_per_m2=loss, **{name: plate[name] for name in _WORN})
        burr = burr_after_tumbling(
            burr_height_um=plate["burr_height_um"],
            burr_loss_um_per_h=machine.held["burr_loss_um_per_h"],
            time_min=settings["tumbling_time_min"],
        )
        hours = load_hours(
            steel_kg=plate["steel_kg"],
            load_mass_kg=settings["load_mass_kg"],
            time_min=settings["tumbling_time_min"],
            handling_time_min=machine.rate["handling_time_min"],
            machines=machine.many,
        )
        return Step(
            (
                Finding("surface_loss_g_per_m2", loss, None,
                        machine.held["greatest_loss_g_per_m2"],
                        WEIGHED),
                *(Finding(name, value) for name, value in left._asdict().items()),
                Finding("burr_height_um", burr, None, machine.held["greatest_burr_um"],
                        f"{_HELD}, of finished plates", "what the barrel leaves"),
            ),
            plate.changed("plate", shape={**left._asdict(), "burr_height_um": burr}),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip


_CAUTIONS = (
    BARREL,
    Caution(
        "Wet plates rust; acid cleaners charge hard plates with hydrogen that cracks them later",
        "alkaline compound only; dried and oiled within the hour",
    ),
)
