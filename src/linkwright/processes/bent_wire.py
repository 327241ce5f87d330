"""What the machines that bend links have in common: the wire as a bar, time and energy."""

from __future__ import annotations

from typing import Any

from linkwright.processes.models.use import energy_of_time, working_time
from linkwright.route import Machine, SetUp
from linkwright.route.stock import Stock


def bent_wire(piece: Stock, machine: Machine) -> dict[str, Any]:
    """The wire as arguments of the bending calculations."""
    return {
        "diameter_mm": piece["lot_wire_diameter_mm"],
        "K_MPa": piece["K_MPa"],
        "n": piece["n"],
        "prestrain": piece["prestrain"],
        "E_MPa": machine.held["E_MPa"],
    }


def forming_use(piece: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Hours and electricity of all machines alike at the links a minute that are set."""
    hours = working_time(
        pieces=piece["links"],
        pieces_per_minute=settings["links_per_min"],
        machines=machine.many,
    )
    energy = energy_of_time(
        machine_time_h=hours, power_kW=machine.rate["connected_power_kW"], machines=machine.many
    )
    return {"machine_time_h": hours, "electricity_kWh": energy}
