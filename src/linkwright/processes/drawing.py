"""Drawing: rod is pulled through a die in grease and becomes wire of the size wanted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.materials.flow_curves import flow_stress_hollomon
from linkwright.materials.necking import prestrained_swift
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.drawing import (
    drawing_force,
    drawing_mass_balance,
    drawing_stress_ratio,
    drawing_temperature_rise,
    drum_power,
)
from linkwright.processes.models.drawing_limits import drawing_limit_slab
from linkwright.processes.models.drawing_stress import drawing_stress_schey, drawing_stress_siebel
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.processes.models.works_factor import corrected_force
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Operation,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_FORCE = Factor(
    "factor/drawing/force",
    1.0,
    0.08,
    "works' own factor on drawing force, not yet learned: stated band 8 %",
    "read the drum's drive power on ten coils",
)


class Drawing(Operation):
    """One pass through a die; force by Schey, with Siebel beside it."""

    name = "drawing"
    scatter = (
        Scatter(
            "lot/wire/drawing/wire_diameter_mm",
            0.012,
            "die wear between regrinds: common practice, no source",
        ),
        Scatter(
            "link/wire/drawing/wire_diameter_mm",
            0.006,
            "along a coil: common practice, no source",
        ),
    )
    factors = (_FORCE,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Rod thicker than the wire; which rod is the store's choice."""
        return {MAIN: {"wire_diameter_mm": wanted["wire_diameter_mm"]}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The die has the diameter of the wire wanted; angle and speed are held."""
        die = solved_for(
            "die_diameter_mm",
            "wire of the diameter wanted; elastic recovery of the wire neglected",
            lambda: wanted["wire_diameter_mm"],
            machine,
            given,
            inputs=dict(wanted),
            check="micrometer on the wire, both ends of each coil, two directions",
            tolerance=0.02,
        )
        angle = chosen("die_half_angle_deg", machine, given, check="die certificate at regrind")
        speed = chosen("drawing_speed_m_per_s", machine, given, check="drum counter, each coil")
        return SetUp((die, angle, speed), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Wire, the force and power that it took, how near it came to breaking."""
        rod = stocks[MAIN]
        wire = factors.actual("lot/wire/drawing/wire_diameter_mm", settings["die_diameter_mm"])
        pass_ = {
            "start_diameter_mm": rod["wire_diameter_mm"],
            "final_diameter_mm": wire,
            "die_half_angle_deg": settings["die_half_angle_deg"],
            "friction_coefficient": machine.held["friction_coefficient"],
            "K_MPa": rod["K_MPa"],
            "n": rod["n"],
        }
        schey = drawing_stress_schey(**pass_)
        siebel = drawing_stress_siebel(**pass_)
        worked = prestrained_swift(K_MPa=rod["K_MPa"], n=rod["n"], true_strain=schey.true_strain)
        stock = rod.changed(
            "wire",
            shape={
                "wire_diameter_mm": factors.actual("link/wire/drawing/wire_diameter_mm", wire),
                # fields inside the section are run once a lot, at the lot's own wire
                "lot_wire_diameter_mm": wire,
            },
            condition={
                "prestrain": worked.prestrain,
                "yield_MPa": worked.yield_MPa,
                "tensile_strength_MPa": worked.tensile_strength_MPa,
            },
        )
        force, power = _load(wire, schey.drawing_stress_MPa, settings, machine, factors)
        findings = (
            *_findings(rod, wire, schey, siebel, settings, machine),
            Finding(
                "drawing_force_N", force, None, machine.limits("drawing_force_N")[1], "the bench"
            ),
            Finding("drum_power_kW", power, None, machine.rate["connected_power_kW"], "the drive"),
        )
        hours = running_time(
            length_m=rod["wire_length_m"], speed_m_per_s=settings["drawing_speed_m_per_s"]
        )
        return Step(
            findings,
            stock,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=power),
            },
            cautions=_CAUTIONS,
        )


def _load(
    wire: Any, stress: Any, settings: SetUp, machine: Machine, factors: Conditions
) -> tuple[Any, Any]:
    """Force at the drum as this works measures it, and the drive's power."""
    force = corrected_force(
        force_N=drawing_force(drawing_stress_MPa=stress, final_diameter_mm=wire),
        factor=factors.factor(_FORCE.name),
    )
    power = drum_power(
        drawing_force_N=force,
        exit_speed_m_per_s=settings["drawing_speed_m_per_s"],
        drive_efficiency=machine.held["drive_efficiency"],
    )
    return force, power


def _findings(
    rod: Stock, wire: Any, schey: Any, siebel: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """How hard the pass is for the metal."""
    exit_stress = flow_stress_hollomon(
        K_MPa=rod["K_MPa"], n=rod["n"], true_strain=schey.true_strain
    )
    ratio = drawing_stress_ratio(
        drawing_stress_MPa=schey.drawing_stress_MPa, exit_flow_stress_MPa=exit_stress
    )
    balance = drawing_mass_balance(
        start_diameter_mm=rod["wire_diameter_mm"],
        final_diameter_mm=wire,
        entry_speed_m_per_s=settings["drawing_speed_m_per_s"],
    )
    limit = drawing_limit_slab(
        die_half_angle_deg=settings["die_half_angle_deg"],
        friction_coefficient=machine.held["friction_coefficient"],
    )
    rise = drawing_temperature_rise(
        drawing_stress_MPa=schey.drawing_stress_MPa,
        density_kg_per_m3=machine.held["wire_density_kg_per_m3"],
        specific_heat_J_per_kgK=machine.held["wire_specific_heat_J_per_kgK"],
    )
    most, slab = machine.held["greatest_stress_ratio"], "slab method, stress equal to flow stress"
    held = "held by the works: drawing stress over flow stress at the exit"
    return (
        Finding("wire_diameter_mm", wire),
        Finding("reduction", balance.reduction, None, limit.max_reduction, slab),
        Finding("drawing_stress_ratio", ratio, None, most, held),
        Finding("drawing_stress_MPa", schey.drawing_stress_MPa, note="Schey, redundant work"),
        Finding("drawing_stress_siebel_MPa", siebel.drawing_stress_MPa, note="Siebel, beside it"),
        Finding("wire_temperature_rise_K", rise),
    )


_CAUTIONS = (
    Caution(
        "A wire that breaks runs back like a whip",
        "run-back guard closed and its switch tried before start; nobody in line with the wire",
    ),
    Caution(
        "Fingers and clothes are drawn in at the drum",
        "emergency stop within reach, tried before start",
    ),
)
