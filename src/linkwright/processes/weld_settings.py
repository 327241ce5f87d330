"""How a welder is set before the current: lengths, cycles of the mains, forces, tools.

- `held_length`, `held_time`, `held_force`: kept outright, or by ratio, reference wire, pressure
- `mechanical`, `timed`: the settings by group
- `weld_arguments`, `press_arguments`: what the weld's calculations are told of them

Current, upset force, transformer, water and reject limits follow in `weld_power`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from linkwright.materials.transformation import andrews_ac3_extended
from linkwright.processes.choosing import computed
from linkwright.processes.models.hot_strength import solidus_temperature
from linkwright.processes.models.link_geometry import trimming_bore
from linkwright.processes.models.weld_schedule import (
    closing_stroke,
    force_of_pressure,
    time_for_wire,
    time_of_cycles,
    whole_cycles,
    wire_multiple,
)
from linkwright.route import Machine, Setting
from linkwright.route.stock import Stock

Given = Mapping[str, Any]


def held_length(name: str, machine: Machine, wire_mm: Any) -> Any:
    """A length kept as it is (``burn_off_mm``) or as ratio to the wire (``burn_off_ratio``)."""
    if name in machine.held:
        return machine.held[name]
    ratio = machine.held[name.removesuffix("_mm") + "_ratio"]
    return wire_multiple(wire_diameter_mm=wire_mm, ratio=ratio)


def held_time(name: str, machine: Machine, wire_mm: Any) -> Any:
    """A time kept for the reference wire; it grows with the square of the wire."""
    return time_for_wire(
        time_s=machine.held[name],
        wire_diameter_mm=wire_mm,
        reference_diameter_mm=machine.held["reference_diameter_mm"],
    )


def held_force(name: str, machine: Machine, wire_mm: Any) -> Any:
    """A force from the pressure kept on the wire's section (``squeeze_pressure_MPa``)."""
    pressure = machine.held[name.removesuffix("_force_kN") + "_pressure_MPa"]
    return force_of_pressure(pressure_MPa=pressure, wire_diameter_mm=wire_mm)


def mechanical(link: Stock, machine: Machine, given: Given) -> list[Setting]:
    """Stops, strokes, squeeze and electrodes for this wire."""
    wire = link["wire_diameter_mm"]

    def of_wire(name: str, check: str, tolerance: float) -> Setting:
        return computed(
            name, "this wire", lambda: held_length(name, machine, wire), machine, given,
            check=check, tolerance=tolerance,
        )  # fmt: skip

    def pressed(name: str, share: float) -> Setting:
        return computed(
            name, "the pressure on the wire", lambda: held_force(name, machine, wire), machine,
            given, check="gauge at the cylinder, each shift", share=share,
        )  # fmt: skip

    upset = of_wire("upset_length_mm", "stop, gauge block at set-up; displacement of each weld",
                    0.1)  # fmt: skip
    burn_off = of_wire("burn_off_mm", "length of 20 links before and after, at set-up", 0.1)
    stroke = computed(
        "closing_stroke_mm",
        "gap, burn-off and upset",
        lambda: closing_stroke(
            gap_mm=link["gap_mm"], burn_off_mm=burn_off.value, upset_length_mm=upset.value
        ),
        machine,
        given,
        check="scale at the ram, at set-up",
        tolerance=0.2,
    )
    distance = of_wire("electrode_distance_mm", "gauge block between the electrodes, each shift",
                       0.2)  # fmt: skip
    tool = computed(
        "trimming_diameter_mm",
        "flash taken off to a bore that clears the wire",
        lambda: trimming_bore(wire_diameter_mm=wire, ratio=machine.held["trimming_ratio"]),
        machine,
        given,
        check="plug gauge at set-up; caliper at the weld, one link in 200",
        tolerance=0.1,
    )
    forces = [pressed("squeeze_force_kN", 0.06), pressed("electrode_force_kN", 0.1)]
    return [upset, burn_off, stroke, distance, tool, *forces]


def timed(link: Stock, machine: Machine, given: Given) -> list[Setting]:
    """Squeeze, heat, upset and hold in whole cycles of the mains."""
    wire, mains = link["wire_diameter_mm"], machine.held["mains_frequency_Hz"]

    def cycles(phase: str, time: Any) -> Setting:
        return computed(
            f"{phase}_cycles", "whole cycles of the mains",
            lambda: whole_cycles(time_s=time(), frequency_Hz=mains), machine, given,
            check="timer of the control at set-up; weld record", tolerance=1.0,
        )  # fmt: skip

    return [
        cycles("squeeze", lambda: machine.held["squeeze_time_s"]),
        cycles("heat", lambda: held_time("weld_time_s", machine, wire)),
        cycles("upset", lambda: held_time("upset_time_s", machine, wire)),
        cycles("hold", lambda: held_time("hold_time_s", machine, wire)),
    ]


class Metal(NamedTuple):
    """What the joint's tables are made of: one value for all members."""

    C_percent: Any
    tensile_strength_MPa: Any
    contact_length_mm: Any
    link_centreline_length_mm: Any

    @classmethod
    def of(cls, link: Stock, machine: Machine) -> Metal:
        """The nominal link that comes in."""
        return cls(
            link["C_percent"],
            link["tensile_strength_MPa"],
            held_length("contact_length_mm", machine, link["wire_diameter_mm"]),
            link["cut_length_mm"],
        )


def weld_arguments(link: Stock, dialled: Given, metal: Metal, machine: Machine) -> dict[str, Any]:
    """Arguments of `upset_weld_heating` but the current; `Metal` is one value for all members."""
    mains = machine.held["mains_frequency_Hz"]
    elements = ("C", "Si", "Mn", "P", "S", "Ni", "Cr", "Al")
    more = ("C", "Mn", "Si", "Ni", "Cr", "Mo", "V", "W", "Cu", "P", "Al", "As", "Ti")
    return {
        "wire_diameter_mm": link["lot_wire_diameter_mm"],
        "weld_time_s": time_of_cycles(cycles=dialled["heat_cycles"], frequency_Hz=mains),
        "squeeze_force_kN": dialled["squeeze_force_kN"],
        "electrode_distance_mm": dialled["electrode_distance_mm"],
        **metal._asdict(),
        "loop_resistance_microohm": machine.held["loop_resistance_microohm"],
        "loop_reactance_microohm": machine.held["loop_reactance_microohm"],
        "frequency_Hz": mains,
        "upper_critical_temperature_degC": andrews_ac3_extended(**link.elements(*more)),
        "solidus_temperature_degC": solidus_temperature(**link.elements(*elements)),
    }


def press_arguments(link: Stock, dialled: Given, machine: Machine, factor: Any) -> dict[str, Any]:
    """Arguments of `upset_length` but force and temperatures."""
    mains = machine.held["mains_frequency_Hz"]
    return {
        "wire_diameter_mm": link["lot_wire_diameter_mm"],
        "electrode_distance_mm": dialled["electrode_distance_mm"],
        "upset_stop_mm": dialled["upset_length_mm"],
        "upset_time_s": time_of_cycles(cycles=dialled["upset_cycles"], frequency_Hz=mains),
        "C_percent": link["C_percent"],
        "flow_stress_factor": factor,
    }
