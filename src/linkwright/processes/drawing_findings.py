"""What drawing finds: how hard each pass is for metal, die and machine, and what wire comes out.

- `pass_findings`: of one die
- `whole_findings`: of the wire after all of them
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linkwright.processes.choosing import held_of
from linkwright.processes.drawing_passes import Pass
from linkwright.processes.models.drawing import drawing_temperature_rise
from linkwright.processes.models.drawing_die import (
    die_life_length,
    die_pressure,
    die_surface_temperature,
    dies_used,
)
from linkwright.processes.models.drawing_limits import drawing_limit_slab
from linkwright.processes.models.drawing_stress import drawing_stress_wright
from linkwright.route import Conditions, Factor, Finding, Machine, SetUp
from linkwright.route.stock import Stock

_RATIO = "held by the works: drawing stress over flow stress at the exit"
_SLAB = "slab method, stress equal to flow stress"


def pass_findings(
    prefix: str, done: Pass, force: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """Stress by both theories, nearness to breaking, force, heat."""
    friction = machine.held["friction_coefficient"]
    limit = drawing_limit_slab(
        die_half_angle_deg=settings["die_half_angle_deg"], friction_coefficient=friction
    )
    rise = drawing_temperature_rise(
        drawing_stress_MPa=done.schey.drawing_stress_MPa,
        density_kg_per_m3=machine.held["wire_density_kg_per_m3"],
        specific_heat_J_per_kgK=machine.held["wire_specific_heat_J_per_kgK"],
    )
    most = machine.held["greatest_stress_ratio"]
    range_ = machine.limits("drawing_force_N")[1]
    schey, siebel = done.schey.drawing_stress_MPa, done.siebel.drawing_stress_MPa
    return (
        Finding(f"{prefix}reduction", done.balance.reduction, None, limit.max_reduction, _SLAB),
        Finding(f"{prefix}drawing_stress_ratio", done.ratio, None, most, _RATIO),
        Finding(f"{prefix}drawing_stress_MPa", schey, note="Schey, redundant work"),
        Finding(f"{prefix}drawing_stress_siebel_MPa", siebel, note="Siebel, beside it"),
        Finding(f"{prefix}drawing_force_N", force, None, range_, f"range of {machine.name}"),
        Finding(f"{prefix}wire_temperature_rise_K", rise, note="cooled on the drum before"),
    )


def whole_findings(
    done: Sequence[Pass],
    power: Any,
    rod: Stock,
    settings: SetUp,
    machine: Machine,
    factors: Conditions,
    die_life: Factor,
) -> tuple[Finding, ...]:
    """The wire after all passes, all drives together, the last die."""
    last = done[-1]
    strained = "held by the works: beyond it the rod is annealed between passes"
    most_strain = machine.held.get("greatest_total_true_strain")
    return (
        Finding("drawn_wire_diameter_mm", last.die_mm),
        Finding(
            "total_true_strain", last.curve.prestrain, None, most_strain,
            strained if most_strain is not None else "",
        ),
        Finding("drawn_yield_MPa", last.curve.yield_MPa),
        Finding("drawn_tensile_strength_MPa", last.curve.tensile_strength_MPa),
        Finding("drum_power_kW", power, None, machine.rate["connected_power_kW"], "the drives"),
        *_die_findings(last, rod, settings, machine, factors, die_life),
    )  # fmt: skip


def _die_findings(
    last: Pass,
    rod: Stock,
    settings: SetUp,
    machine: Machine,
    factors: Conditions,
    die_life: Factor,
) -> tuple[Finding, ...]:
    """Pressure, shape of the zone, heat and wear at the last die."""
    angle, held = settings["die_half_angle_deg"], machine.held
    pressure = die_pressure(
        drawing_stress_MPa=last.schey.drawing_stress_MPa,
        start_diameter_mm=last.start_mm,
        final_diameter_mm=last.die_mm,
        die_half_angle_deg=angle,
        friction_coefficient=held["friction_coefficient"],
    )
    metal = {
        "density_kg_per_m3": held["wire_density_kg_per_m3"],
        "specific_heat_J_per_kgK": held["wire_specific_heat_J_per_kgK"],
    }
    rise = drawing_temperature_rise(drawing_stress_MPa=last.schey.drawing_stress_MPa, **metal)
    surface = die_surface_temperature(
        temperature_rise_K=rise,
        die_pressure_MPa=pressure,
        friction_coefficient=held["friction_coefficient"],
        drawing_speed_m_per_s=settings["drawing_speed_m_per_s"],
        contact_length_mm=last.schey.contact_length_mm,
        **metal,
        **held_of(machine, start_temperature_degC="wire_temperature_degC"),
    )
    zone = drawing_stress_wright(
        reduction=last.balance.reduction,
        die_half_angle_deg=angle,
        friction_coefficient=held["friction_coefficient"],
    )
    life = die_life_length(
        die_diameter_mm=last.die_mm,
        die_pressure_MPa=pressure,
        life_factor=factors.factor(die_life.name),
        **held_of(machine, growth_ratio="die_growth_ratio"),
    )
    used = dies_used(length_m=rod["wire_length_m"], next_regrind_km=life)
    learned = factors.factors[die_life.name].kind == "file"
    trial = "" if learned else f"not learned yet: {die_life.trial}"
    hottest = held.get("greatest_lubricant_temperature_degC")
    source = "held by the works: what its lubricant stands" if hottest is not None else ""
    return (
        Finding("die_pressure_MPa", pressure),
        Finding("die_exit_surface_temperature_degC", surface, None, hottest, source,
                "all heat of friction into the wire: an upper bound"),
        Finding("deformation_zone_shape", zone.delta,
                note="great values: redundant work, tension at the centre of the wire"),
        Finding("dies_used_count", used, note=trial),
    )  # fmt: skip
