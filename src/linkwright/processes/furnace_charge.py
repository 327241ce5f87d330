"""What the furnaces of the heat-treatment shop have in common: charge, soak, time, use.

- `heating_arguments`: arguments that every calculation of a furnace takes
- `time_settings`, `charge_setting`: the soak and the time in the furnace that gives it; charge
- `belt_settings`: speed of the belt of a continuous furnace
- `throughput`, `charge_findings`, `charge_use`: metal an hour; soak and power against their
  limits; hours and energy
- `FURNACE_CAUTIONS`: what can hurt someone at a hot furnace

A machine holds ``charge_kg`` (of a continuous furnace: the metal within its heated length),
``exposed_share`` and ``contact_share`` (share of the surface that sees the furnace),
``convection_W_per_m2K``, ``furnace_efficiency`` and ``loading_time_min``; a continuous one also
``heated_length_mm``, so that the speed of its belt is a setting.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from linkwright.processes.choosing import chosen, rising_root, solved_for
from linkwright.processes.models.furnace import furnace_energy, line_heating_power
from linkwright.processes.models.furnace_sums import (
    belt_speed,
    furnace_electricity,
    furnace_throughput,
    furnace_time,
)
from linkwright.route import Caution, Finding, Machine, Setting, SetUp
from linkwright.route.stock import Stock

_SHORTEST_MIN, _LONGEST_MIN = 0.5, 1200.0


def heating_arguments(stock: Stock, machine: Machine) -> dict[str, Any]:
    """Size of the wire and how the charge lies: arguments of `furnace_heat`."""
    names = ("exposed_share", "contact_share", "convection_W_per_m2K", "soak_band_K")
    return {
        "wire_diameter_mm": stock["lot_wire_diameter_mm"],
        **{name: machine.held[name] for name in names},
    }


def time_settings(
    heated: Callable[..., Any],
    temperature: Any,
    charge: Mapping[str, Any],
    machine: Machine,
    given: Mapping[str, Any],
) -> tuple[Setting, ...]:
    """Soak, the time in the furnace that gives it, charge, and the belt's speed if there is one.

    ``heated`` is `furnace_heating` or `furnace_temper`.
    """
    soak = chosen("soak_time_min", machine, given, check="record of each charge", tolerance=5.0)

    def soaked(times: np.ndarray) -> np.ndarray:
        result = heated(
            furnace_temperature_degC=float(temperature), time_in_furnace_min=times, **charge
        )
        return np.asarray(result.soak_time_min)

    aim = f"a soak of {float(soak.value):g} min at {float(temperature):.0f} °C"
    time = solved_for(
        "time_in_furnace_min",
        aim,
        lambda: rising_root(
            soaked,
            float(soak.value),
            _SHORTEST_MIN,
            _LONGEST_MIN,
            f"{machine.name!r} does not reach {aim}: no time in the furnace in minutes",
        ),
        machine,
        given,
        inputs={"temperature_degC": temperature, "soak_time_min": soak.value, **charge},
        check="clock of the furnace, each charge",
        tolerance=2.0,
    )
    return (soak, time, charge_setting(machine, given), *belt_settings(time, machine, given))


def charge_setting(machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Metal in the furnace at one time."""
    return chosen("charge_kg", machine, given, check="scale, each charge", share=0.1)


def belt_settings(time: Setting, machine: Machine, given: Mapping[str, Any]) -> tuple[Setting, ...]:
    """Speed of the belt for the time in the furnace; nothing for a batch furnace."""
    if "heated_length_mm" not in machine.held:
        return ()
    known = {
        "heated_length_mm": machine.held["heated_length_mm"],
        "time_in_furnace_min": time.value,
    }
    speed = solved_for(
        "belt_speed_m_per_min",
        f"{float(time.value):.1f} min within the heated length",
        lambda: float(belt_speed(**known)),
        machine,
        given,
        inputs=known,
        check="mark on the belt, each shift",
        tolerance=0.005,
    )
    return (speed,)


def throughput(settings: SetUp, machine: Machine) -> Any:
    """Metal an hour of one furnace."""
    return furnace_throughput(
        charge_kg=machine.held["charge_kg"],
        time_in_furnace_min=settings["time_in_furnace_min"],
        loading_time_min=machine.held["loading_time_min"],
    )


def charge_findings(
    heated: Any, end_degC: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """Heating time and soak; mean power of the furnace against its range."""
    power = line_heating_power(
        throughput_kg_per_h=throughput(settings, machine),
        end_degC=end_degC,
        overall_efficiency=machine.held["furnace_efficiency"],
    )
    return (
        Finding("heating_time_min", heated.heating_time_min, note="until the coldest place soaks"),
        Finding(
            "soak_time_min",
            heated.soak_time_min,
            machine.held["least_soak_time_min"],
            None,
            "held by the works: least soak of the coldest place",
        ),
        Finding(
            "furnace_power_kW",
            power,
            None,
            machine.limits("furnace_power_kW")[1],
            f"range of {machine.name}",
        ),
    )


def charge_use(stock: Stock, end_degC: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Hours of the furnaces and electricity of heat and drives."""
    hours = furnace_time(
        steel_kg=stock["steel_kg"],
        charge_kg=machine.held["charge_kg"],
        time_in_furnace_min=settings["time_in_furnace_min"],
        loading_time_min=machine.held["loading_time_min"],
        machines=machine.many,
    )
    heat = furnace_energy(
        mass_kg=stock["steel_kg"],
        end_degC=end_degC,
        efficiency=machine.held["furnace_efficiency"],
    )
    electricity = furnace_electricity(
        energy_kWh=heat.energy_kWh,
        machine_time_h=hours,
        connected_power_kW=machine.rate["connected_power_kW"],
    )
    return {"machine_time_h": hours, "electricity_kWh": electricity}


FURNACE_CAUTIONS = (
    Caution(
        "Metal at red heat and heavy hot baskets",
        "guards and doors closed, face shield and gloves, nobody under a moving charge",
    ),
    Caution(
        "Fumes of grease and scale; protective gas can explode or poison",
        "extraction running; purging, flame curtain and gas alarm by the furnace maker's "
        "instructions and local codes",
    ),
)
