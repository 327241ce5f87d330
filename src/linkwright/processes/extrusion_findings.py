"""What cold extrusion shows: the roller, its cup and slug, punch pressure, heat, the stations."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import held_of
from linkwright.processes.curling_findings import play_findings, size_findings
from linkwright.processes.models.cup_extrusion import (
    extrusion_heat,
    extrusion_pressure_johnson,
)
from linkwright.processes.models.plate_blanking import usable_force
from linkwright.processes.models.roller_slug import over_diameter, scrap_mass, stage_sum
from linkwright.processes.soft_metal import soft_curve
from linkwright.route import Finding, Machine, SetUp
from linkwright.route.stock import Stock

_HELD = "held by the works"
_PRACTICE = f"{_HELD}; common practice, no source"


def piece_findings(
    roller: Mapping[str, Any],
    done: Any,
    mass: Any,
    slug: Any,
    wire: Stock,
    settings: SetUp,
    machine: Machine,
) -> tuple[Finding, ...]:
    """Sizes of the roller and of what it is made from."""
    held = machine.held
    slender = over_diameter(
        length_mm=settings["slug_length_mm"], diameter_mm=wire["wire_diameter_mm"]
    )
    outside, bore = roller["roller_outside_mm"], roller["roller_bore_mm"]
    return (
        *size_findings("roller", outside, bore, settings.prepared["sizes"], machine),
        *play_findings("roller", bore, wire, machine),
        Finding("cup_height_mm", done.sizes.cup_height_mm, settings["faced_length_mm"], None,
                "the length that the cup is faced to"),
        Finding("slug_ratio", slender, held["least_slug_ratio"], held["greatest_slug_ratio"],
                f"{_PRACTICE}: shorter slugs shear askew, longer ones buckle"),
        Finding("cup_depth_ratio", done.sizes.depth_ratio, None, held["greatest_depth_ratio"],
                f"{_PRACTICE}: depth of the cup over the punch"),
        Finding("area_reduction_percent", done.sizes.area_reduction_percent,
                held["least_area_reduction_percent"], held["greatest_area_reduction_percent"],
                _PRACTICE),
        Finding("piece_mass_kg", mass),
        Finding("scrap_mass_kg", scrap_mass(slug_mass_kg=slug, piece_mass_kg=mass),
                note="web and rim of one piece"),
    )  # fmt: skip


def extrusion_findings(
    done: Any, wire: Stock, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """Pressure on the punch by two authors, strain of the wall, heat."""
    cup, held = done.cup, machine.held
    other = extrusion_pressure_johnson(
        die_diameter_mm=done.die_mm, punch_diameter_mm=done.punch_mm, **soft_curve(wire, machine)
    )
    heat = extrusion_heat(
        punch_pressure_MPa=cup.punch_pressure_MPa,
        punch_diameter_mm=done.punch_mm,
        upset_height_mm=done.upset.upset_height_mm,
        web_thickness_mm=settings["web_thickness_mm"],
        slug_volume_mm3=done.slug_mm3,
    )
    return (
        Finding("punch_pressure_MPa", cup.punch_pressure_MPa, None,
                held["greatest_punch_stress_MPa"], f"{_HELD} for its tool steel",
                "Dipper, at the end of the stroke"),
        Finding("punch_pressure_johnson_MPa", other, note="Johnson, beside it; knows no web"),
        Finding("upset_strain", done.upset.upset_strain),
        Finding("wall_strain", cup.wall_strain, note="beside that of upsetting"),
        Finding("wall_flow_stress_MPa", cup.wall_flow_stress_MPa,
                note="of the hardened wall, before it is heat treated"),
        Finding("temperature_rise_K", heat, None, held["greatest_temperature_rise_K"],
                f"{_HELD}: what the coating of the slugs stands", "mean of the cup, without loss"),
    )  # fmt: skip


def station_findings(done: Any, machine: Machine) -> tuple[Finding, ...]:
    """Force of each station, and of the ram."""
    ram = stage_sum(
        upsetting_force_kN=done.upset.upsetting_force_kN,
        extrusion_force_kN=done.cup.extrusion_force_kN,
        piercing_force_kN=done.piercing_kN,
    )
    force = usable_force(
        press_force_kN=machine.held["press_force_kN"],
        **held_of(machine, used_share="used_force_share"),
    )
    return (
        Finding("cropping_force_kN", done.cropping_kN, note="by the knife, beside the ram"),
        Finding("upsetting_force_kN", done.upset.upsetting_force_kN),
        Finding("extrusion_force_kN", done.cup.extrusion_force_kN),
        Finding("piercing_force_kN", done.piercing_kN),
        Finding("ram_force_kN", ram, None, force,
                f"share of the force of {machine.name} that the works uses"),
    )  # fmt: skip
