"""What the two coils of the hardening line have in common: field, current, power, pyrometer.

- `coil_arguments`, `coil_field_at`: what every calculation of a coil takes; field of a current
- `current_for`: coil current solved for a result that rises with the field
- `frequency_setting`: frequency of the works' generator for the wire
- `power_of`, `power_findings`, `power_use`: power of metal, coil, generator; hours, electricity
- `coil_settings`: bore and turns of the coil
- `reading_setting`, `power_reading`, `scrap_reading`, `pyrometer_settings`: what must be seen
  when all is right
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from linkwright.processes.choosing import chosen, rising_root, solved_for
from linkwright.processes.models.coil_generator import (
    coil_copper_loss,
    efficiency_of_coil,
    frequency_for_wire,
    pyrometer_reading,
    supply_power,
    within_range,
)
from linkwright.processes.models.line_heat import coil_field, coil_power
from linkwright.processes.models.line_stop import links_lost_by_stop
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.quantities import CannotPlan
from linkwright.route import FOLLOWS, Caution, Finding, Machine, Setting
from linkwright.route.stock import Stock
from linkwright.standards.link_blank import obround_link_blank

_POWER_BAND = 0.05
LEAST_FIELD_KA_PER_M, GREATEST_FIELD_KA_PER_M = 5.0, 200.0

FIELD_CAUTION = Caution(
    "Strong magnetic field at coil and busbars",
    "nobody with a heart pacemaker or metal implant inside the marked line",
)


class LinePower(NamedTuple):
    """Power of a coil: into the metal, lost in its copper, taken from the mains."""

    metal_kW: Any
    efficiency: Any
    generator_kW: Any


def coil_arguments(
    stock: Stock, machine: Machine, line_speed_m_per_s: Any, frequency_kHz: Any
) -> dict[str, Any]:
    """Arguments that every calculation of a coil takes."""
    return {
        "wire_diameter_mm": stock["lot_wire_diameter_mm"],
        "line_speed_m_per_s": line_speed_m_per_s,
        "coil_length_mm": machine.held["coil_length_mm"],
        "frequency_kHz": frequency_kHz,
        "crown_coupling": machine.held["crown_coupling"],
        "contact_coupling": machine.held["contact_coupling"],
    }


def coil_field_at(coil_current_A: Any, machine: Machine) -> Any:
    """Field of the coil at a current."""
    return coil_field(
        coil_current_A=coil_current_A,
        turns=machine.held["turns"],
        coil_length_mm=machine.held["coil_length_mm"],
    )


def current_for(
    wanted: float,
    reached: Callable[[np.ndarray], np.ndarray],
    machine: Machine,
    aim: str,
    *,
    rounds: int = 2,
) -> float:
    """Coil current at which ``reached(field_kA_per_m)`` is what is wanted; it must rise.

    Raises `CannotPlan` if no field in the range of the search reaches it.
    """
    length, turns = float(machine.held["coil_length_mm"]), float(machine.held["turns"])
    field = rising_root(
        reached,
        float(wanted),
        LEAST_FIELD_KA_PER_M,
        GREATEST_FIELD_KA_PER_M,
        f"{machine.name!r} does not reach {aim}: no field in kA/m at this frequency, speed and "
        f"coil length",
        rounds=rounds,
    )
    return float(field * length / (np.sqrt(2.0) * turns))


def frequency_setting(stock: Stock, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Frequency as held; without it, what suits the wire within the range of the generator.

    A generator that is too slow for the wire gives the greatest frequency it has: efficiency
    and power then tell what that costs.
    """
    check = "display of the generator, each shift"
    low, high = machine.limits("frequency_kHz")
    if "frequency_kHz" in machine.held or "frequency_kHz" in given:
        return chosen("frequency_kHz", machine, given, check=check, tolerance=3.0)
    if low is None or high is None:
        raise CannotPlan(
            f"{machine.name!r} has no frequency: give frequency_kHz under [machine.held], or the "
            f"least and greatest of its generator under [machine.range]"
        )
    known = {
        "wire_diameter_mm": stock["lot_wire_diameter_mm"],
        "resistivity_microohm_m": machine.held["hot_resistivity_microohm_m"],
        "wire_over_skin_depth_ratio": machine.held["wire_over_skin_depth_ratio"],
    }
    ratio = float(known["wire_over_skin_depth_ratio"])
    return solved_for(
        "frequency_kHz",
        f"hot wire of {ratio:g} skin depths, within the range of the generator",
        lambda: float(
            within_range(
                frequency_kHz=frequency_for_wire(**known), least_kHz=low, greatest_kHz=high
            )
        ),
        machine,
        given,
        inputs={**known, "least_kHz": low, "greatest_kHz": high},
        check=check,
        tolerance=3.0,
    )


def power_of(
    heated: Any, field: Any, line_speed_m_per_s: Any, frequency_kHz: Any, chain: Stock,
    machine: Machine,
) -> LinePower:  # fmt: skip
    """Power into the chain, efficiency of the coil and power of its generator."""
    blank = obround_link_blank(
        wire_diameter_mm=chain["wire_diameter_mm"],
        pitch_mm=chain["pitch_mm"],
        outer_width_mm=chain["outer_width_mm"],
    )
    metal = coil_power(
        heat_kJ_per_kg=heated.heat_kJ_per_kg,
        mass_per_length_kg_per_m=blank.mass_per_length_kg_per_m,
        line_speed_m_per_s=line_speed_m_per_s,
    )
    lost = coil_copper_loss(
        coil_field_kA_per_m=field,
        frequency_kHz=frequency_kHz,
        coil_inner_diameter_mm=machine.held["coil_inner_diameter_mm"],
        coil_length_mm=machine.held["coil_length_mm"],
    )
    both = {"metal_power_kW": metal, "coil_loss_kW": lost}
    supplied = supply_power(**both, generator_efficiency=machine.held["generator_efficiency"])
    return LinePower(metal, efficiency_of_coil(**both), supplied)


def power_findings(power: LinePower, machine: Machine, of: str = "") -> tuple[Finding, ...]:
    """Power into the metal, efficiency, and the generator against its range.

    ``of`` tells the coils of a line apart: a subject stands once in a plan.
    """
    return (
        Finding(f"{of}metal_power_kW", power.metal_kW),
        Finding(f"{of}coil_efficiency", power.efficiency),
        Finding(
            f"{of}generator_power_kW",
            power.generator_kW,
            None,
            machine.limits("generator_power_kW")[1],
            f"range of {machine.name}",
        ),
    )


def power_use(chain: Stock, line_speed_m_per_s: Any, power_kW: Any) -> dict[str, Any]:
    """Hours of the line and electricity of a power that is drawn all the time."""
    hours = running_time(length_m=chain["length_m"], speed_m_per_s=line_speed_m_per_s)
    return {
        "machine_time_h": hours,
        "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=power_kW),
    }


def reading_setting(name: str, value: Any, aim: str, *, check: str, tolerance: float) -> Setting:
    """What a display shows when the settings are right: nothing to dial, something to compare."""
    return Setting(name, value, FOLLOWS, aim, None, None, tolerance, check)


def power_reading(power: LinePower) -> Setting:
    """What the generator shows when current and speed are right."""
    return reading_setting(
        "generator_power_kW",
        power.generator_kW,
        "this chain at this speed",
        check="generator display, each quarter hour",
        tolerance=round(_POWER_BAND * float(power.generator_kW), 1),
    )


def scrap_reading(chain: Stock, length_mm: Any) -> Setting:
    """Links to cut out after a stop of the line."""
    return reading_setting(
        "stop_scrap_links",
        links_lost_by_stop(length_mm=length_mm, pitch_mm=chain["pitch_mm"]),
        "links to cut out after every stop, from the inlet of the coil on",
        check="count, at every stop",
        tolerance=0.0,
    )


def pyrometer_settings(
    surface_degC: Any, place: str, machine: Machine, given: Mapping[str, Any], tolerance: float
) -> tuple[Setting, Setting]:
    """Emissivity dialled in, and what the pyrometer then shows where the surface is right."""
    set_to = chosen(
        "pyrometer_emissivity",
        machine,
        given,
        check="display of the pyrometer, each shift; against a thermocouple each month",
        tolerance=0.02,
    )
    known = {
        "surface_temperature_degC": surface_degC,
        "set_emissivity": set_to.value,
        "surface_emissivity": machine.held["surface_emissivity"],
        "wavelength_um": machine.held["pyrometer_wavelength_um"],
    }
    aim = reading_setting(
        "pyrometer_reading_degC",
        pyrometer_reading(**known),
        f"the surface of the straight {place}",
        check="recorder of the pyrometer, continuous",
        tolerance=tolerance,
    )
    return set_to, aim


def coil_settings(machine: Machine, given: Mapping[str, Any]) -> tuple[Setting, ...]:
    """What tells the coil that belongs on the line from the others on the rack."""
    rows = (("coil_inner_diameter_mm", 0.5), ("turns", 0.0))
    return tuple(
        chosen(name, machine, given, check="stamp on the coil, at set-up", tolerance=off)
        for name, off in rows
    )
