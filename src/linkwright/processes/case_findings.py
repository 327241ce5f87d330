"""What case hardening shows: case, surface and core against the works' limits; furnace hours.

`nitrogen_findings` and `ammonia_use` are those of carbonitriding beside them.
"""

from __future__ import annotations

from typing import Any

from linkwright.catalogue import sourced
from linkwright.materials.grain import austenite_grain_size, grain_size_number
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.carbonitriding import ammonia_of_loads
from linkwright.processes.models.case_hardening import (
    HardenedCase,
    case_share,
    colder_of,
    cycle_time,
    gas_time,
    hot_time,
    seconds_of,
)
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.plate_quench import flash_point_margin
from linkwright.processes.models.plate_sums import load_hours
from linkwright.route import Caution, Finding, Machine, SetUp
from linkwright.route.stock import Stock

_HELD = "held by the works"
_SOLID = 0.0
_SAFE_DEGC = 750.0
_SAFE_SOURCE = (
    "ISO 13577-3, flammable gas in a furnace only above 750 °C (remembered); local codes first"
)


def case_findings(
    part: str,
    case: HardenedCase,
    depth: Any,
    strength: Any,
    stock: Stock,
    settings: SetUp,
    rate: Any,
    machine: Machine,
) -> tuple[Finding, ...]:
    """Depth, carbon, hardness, austenite that is left; grain and bath."""
    held, aim = machine.held, settings.prepared["wanted"]
    off = held["case_depth_tolerance_percent"]
    outside, bore = section_of(part, stock)
    share = case_share(case_depth_mm=depth, section_mm=outside, bore_mm=bore)
    return (
        Finding("case_depth_mm", depth, with_margin(limit=aim, margin_percent=-off),
                with_margin(limit=aim, margin_percent=off), f"{_HELD}: about the depth wanted"),
        Finding("case_share_percent", share, None, held["greatest_case_percent"],
                f"{_HELD}: of the way to the middle; one hard throughout breaks at once"),
        Finding("surface_carbon_percent", case.surface_carbon_percent,
                held["least_surface_carbon_percent"], held["greatest_surface_carbon_percent"],
                _HELD),
        Finding("surface_hardness_HV", case.surface_hardness_HV, held["least_surface_HV"], None,
                _HELD, "after the low temper"),
        Finding("retained_austenite_percent", case.retained_austenite_percent, None,
                held["greatest_retained_austenite_percent"], _HELD),
        Finding("core_hardness_HV", case.core_hardness_HV, held["least_core_HV"],
                held["greatest_core_HV"], _HELD),
        Finding("core_martensite_percent", case.core_martensite_percent),
        Finding("core_tensile_strength_MPa", strength, note="ISO 18265 by hardness"),
        Finding("cooling_rate_K_per_s", rate, note="at 700 °C, the part taken as even"),
        *_grain(stock, settings, machine),
        _gas(settings),
        *_bath(settings, machine),
    )  # fmt: skip


def case_use(stock: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Hours of the furnace line by loads, and its power."""
    time = cycle_time(
        heating_time_min=machine.rate["heating_time_min"],
        **{name: settings[name] for name in
           ("boost_time_h", "diffuse_time_h", "hold_time_min", "time_in_bath_s",
            "temper_time_min")},
    )  # fmt: skip
    hours = load_hours(
        steel_kg=stock["steel_kg"],
        load_mass_kg=settings["load_mass_kg"],
        time_min=time,
        handling_time_min=machine.rate["handling_time_min"],
        machines=machine.many,
    )
    return use_of_machine(hours, machine)


def nitrogen_findings(case: HardenedCase, machine: Machine) -> tuple[Finding, ...]:
    """Nitrogen at the surface: enough to harden, not so much that it leaves as gas."""
    held = machine.held
    return (
        Finding("surface_nitrogen_percent", case.surface_nitrogen_percent,
                held["least_surface_nitrogen_percent"], held["greatest_surface_nitrogen_percent"],
                f"{_HELD}; above some 0.4 to 0.5 % nitrogen gas leaves voids: common practice, no "
                "source", "voids are seen on a polished, unetched section"),
    )  # fmt: skip


def ammonia_use(stock: Stock, settings: SetUp, machine: Machine) -> Any:
    """Ammonia in kilograms: it flows from boost to quench of each load."""
    return ammonia_of_loads(
        steel_kg=stock["steel_kg"],
        load_mass_kg=settings["load_mass_kg"],
        gas_flow_m3_per_h=machine.held["gas_flow_m3_per_h"],
        ammonia_percent=settings["ammonia_percent"],
        gas_time_h=gas_time(
            **{name: settings[name] for name in
               ("boost_time_h", "diffuse_time_h", "hold_time_min")}
        ),
    )  # fmt: skip


def section_of(part: str, stock: Stock) -> tuple[Any, Any]:
    """Outside diameter and bore of a part; a pin has none (0)."""
    if part == "pin":
        return stock["diameter_mm"], _SOLID
    return stock[f"{part}_outside_mm"], stock[f"{part}_bore_mm"]


def _grain(stock: Stock, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    grain = austenite_grain_size(
        temperature_degC=settings["temperature_degC"],
        time_s=seconds_of(
            time_h=hot_time(**{n: settings[n] for n in ("boost_time_h", "diffuse_time_h")})
        ),
        **stock.elements("C", "Ni", "Cr", "Mo"),
    )
    return (
        Finding("austenite_grain_size_number", grain_size_number(mean_intercept_um=grain),
                machine.held["least_grain_size_number"], None,
                f"{_HELD}; Lee and Lee 2008, killed steel stays finer"),
    )  # fmt: skip


def _gas(settings: SetUp) -> Finding:
    """The coldest that gas meets, against the temperature below which it may explode."""
    least = sourced("lowest_gas_temperature_degC", _SAFE_DEGC, "table", _SAFE_SOURCE, "memory")
    coldest = colder_of(
        temperature_degC=settings["temperature_degC"],
        hold_temperature_degC=settings["hold_temperature_degC"],
    )
    return Finding("lowest_gas_temperature_degC", coldest, least, None, _SAFE_SOURCE)


def _bath(settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    margin = flash_point_margin(
        bath_temperature_degC=settings["bath_temperature_degC"],
        temperature_rise_K=machine.held["bath_rise_K"],
        flash_point_degC=machine.held["flash_point_degC"],
    )
    return (
        Finding("flash_point_margin_K", margin.flash_point_margin_K,
                machine.held["least_flash_point_margin_K"], None,
                f"{_HELD}; the oil maker's data and the local fire code come first"),
    )  # fmt: skip


CASE_CAUTIONS = (
    Caution(
        "Carburising gas is poisonous (carbon monoxide) and explodes with air below 750 °C",
        "purged with nitrogen on start, stop and below 750 °C, pilot flames and burn-off tried "
        "each shift, gas alarm; local codes for furnace atmospheres come first",
    ),
    Caution(
        "Quenching oil burns, and boils over where water is in it",
        "temperature guard and cooler tried each shift, oil tested for water, lid and "
        "extinguishing gas ready; no water on burning oil",
    ),
    Caution("Loads leave the furnace at red heat", "doors interlocked, face shield and sleeves"),
)
