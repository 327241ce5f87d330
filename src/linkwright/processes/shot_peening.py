"""Shot peening of link plates: balls dent every face until it lies in compression.

An option after tumbling. Time follows from the dents and the coverage wanted; depth in compression
from a model of indentation; its height is what the works has measured. What it adds to the fatigue
strength is left out: no formula is held that one could vouch for.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import chosen, computed, held_of, solved_for
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.peening import (
    dent_zone,
    peened_balance,
    peening_load,
    shot_dent,
)
from linkwright.processes.models.plate_sums import load_hours
from linkwright.processes.models.size_limits import share_of_size
from linkwright.processes.models.surface import blast_coverage, blast_time, shot_impacts
from linkwright.processes.of_part import OfPart
from linkwright.processes.plate_charge import PLATE_SIZES
from linkwright.route import (
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
_LOAD = ("area_mm2", "perimeter_mm", "hole_diameter_mm", "plate_thickness_mm", "plate_mass_kg")


class ShotPeening(OfPart):
    """Plates tumble under a wheel that throws hard balls, until hardly a spot is left unhit."""

    name = "shot_peening"
    card = (
        "shot_diameter_mm", "shot_speed_m_per_s", "shot_flow_kg_per_h", "peening_time_min",
        "load_mass_kg", "shot_kind", "almen_height",
    )  # fmt: skip
    scatter = (
        Scatter("lot/plate/shot_peening/shot_speed_m_per_s", 0.03,
                "wear of the blades between two changes: common practice, no source",
                relative=True),
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Plates as they are handed on: steel shot takes no size that counts."""
        return {MAIN: {name: wanted[name] for name in (*PLATE_SIZES, "tensile_strength_MPa")}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The plate as it came."""
        return stocks[MAIN]

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time for the coverage wanted with the dents of this shot on these plates."""
        plate = stocks[MAIN]
        shot = computed(
            "shot_diameter_mm", "the works' share of the thickness, so that depth is one too",
            lambda: share_of_size(
                size_mm=plate["plate_thickness_mm"],
                share_percent=machine.held["shot_over_plate_percent"],
            ),
            machine, given, check="sieve, each week", share=0.15,
        )  # fmt: skip
        speed = chosen("shot_speed_m_per_s", machine, given, share=0.05,
                       check="speed of the wheel; Almen strip, each shift")  # fmt: skip
        flow = chosen("shot_flow_kg_per_h", machine, given, share=0.1,
                      check="current of the wheel, each load")  # fmt: skip
        load = computed(
            "load_mass_kg", "the surface over which the shot is shared",
            lambda: peening_load(
                treated_surface_m2=machine.held["treated_surface_m2"],
                **{name: plate[name] for name in _LOAD},
            ),
            machine, given, check="scale, each load", share=0.05,
        )  # fmt: skip
        settings = (shot, speed, flow, load)
        time = self._time(plate, {one.name: one.value for one in settings}, machine, given)
        return SetUp((*settings, time), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Dents, coverage, depth in compression, tension of the core."""
        plate = stocks[MAIN]
        speed = self.actual(factors, "lot", "shot_speed_m_per_s", settings["shot_speed_m_per_s"])
        dent = _dent(plate, settings["shot_diameter_mm"], speed, machine)
        depth = dent_zone(
            indent_diameter_mm=dent,
            shot_diameter_mm=settings["shot_diameter_mm"],
            yield_strength_MPa=plate["yield_strength_MPa"],
        )
        stress = peened_balance(
            yield_strength_MPa=plate["yield_strength_MPa"],
            yielding_depth_mm=depth,
            plate_thickness_mm=plate["plate_thickness_mm"],
            stress_share=machine.held["face_stress_share"],
        )
        covered = blast_coverage(
            indent_diameter_mm=dent,
            impacts_per_mm2_per_min=_impacts(settings, machine),
            time_min=settings["peening_time_min"],
        )
        return Step(
            _findings(plate, dent, depth, stress, covered, machine),
            plate.changed(
                "plate",
                shape={"peened_depth_mm": depth},
                condition={"face_residual_stress_MPa": stress.face_stress_MPa},
            ),
            use=_use(plate, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _picture(dent, settings, machine),
        )

    def _time(
        self,
        plate: Stock,
        shot: Mapping[str, Any],
        machine: Machine,
        given: Mapping[str, Any],
    ) -> Setting:
        """Nominal time; the dent is that of the nominal speed."""
        inputs = {
            "coverage_percent": machine.held["coverage_percent"],
            "indent_diameter_mm": _dent(
                plate, shot["shot_diameter_mm"], shot["shot_speed_m_per_s"], machine
            ),
            "impacts_per_mm2_per_min": _impacts(shot, machine),
        }
        return solved_for(
            "peening_time_min", "the coverage that the works asks for",
            lambda: blast_time(**inputs), machine, given, inputs=inputs, share=0.1,
            check="timer, each load; dye on five plates, each shift: none left under a lens",
        )  # fmt: skip


def _dent(plate: Stock, shot_mm: Any, speed_m_per_s: Any, machine: Machine) -> Any:
    return shot_dent(
        shot_diameter_mm=shot_mm,
        shot_speed_m_per_s=speed_m_per_s,
        hardness_HV=plate["hardness_HV"],
        **held_of(machine, restitution="restitution_coefficient"),
    )


def _impacts(shot: Mapping[str, Any], machine: Machine) -> Any:
    names = {name: machine.held[name] for name in ("treated_surface_m2", "hitting_share")}
    return shot_impacts(
        shot_flow_kg_per_h=shot["shot_flow_kg_per_h"],
        shot_diameter_mm=shot["shot_diameter_mm"],
        **names,
    )


def _findings(
    plate: Stock, dent: Any, depth: Any, stress: Any, covered: Any, machine: Machine
) -> tuple[Finding, ...]:
    held, thickness = machine.held, plate["plate_thickness_mm"]
    least, greatest = (
        share_of_size(size_mm=thickness, share_percent=held[f"{end}_depth_percent"])
        for end in ("least", "greatest")
    )
    return (
        Finding("coverage_percent", covered, held["least_coverage_percent"], None, _HELD,
                "dents at random, by Avrami's equation"),
        Finding("indent_diameter_mm", dent),
        Finding("peened_depth_mm", depth, least, greatest, f"{_HELD}: share of the thickness",
                "to which metal yields below a dent"),
        Finding("face_residual_stress_MPa", stress.face_stress_MPa,
                note="the works' own share of the yield stress; what it adds to the fatigue "
                "strength is left out: no formula is held"),
        Finding("core_residual_stress_MPa", stress.core_stress_MPa, note="balances the faces"),
    )  # fmt: skip


def _use(plate: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    hours = load_hours(
        steel_kg=plate["steel_kg"],
        load_mass_kg=settings["load_mass_kg"],
        time_min=settings["peening_time_min"],
        handling_time_min=machine.rate["handling_time_min"],
        machines=machine.many,
    )
    return use_of_machine(hours, machine)


def _picture(dent: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Coverage over time."""
    time = np.linspace(0.0, 2.0 * float(settings["peening_time_min"]), 41)
    with not_recording():
        covered = blast_coverage(
            indent_diameter_mm=float(dent),
            impacts_per_mm2_per_min=float(_impacts(settings, machine)),
            time_min=time,
        )
    return {
        "time_min": [float(one) for one in time],
        "coverage_percent": [float(one) for one in covered],
    }


_CAUTIONS = (
    Caution(
        "Shot leaves an open cabin like hail; spilt balls roll under shoes",
        "door switch tried each shift, floor swept, eye protection",
    ),
    Caution(
        "Dust of shot and scale harms lungs and can burn",
        "extraction running before the wheel starts; no flame, no sparks near the filter",
    ),
)
