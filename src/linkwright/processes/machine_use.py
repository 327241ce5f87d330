"""What a step takes of its machine: hours, and electricity at the power it is connected to."""

from __future__ import annotations

from typing import Any

from linkwright.processes.models.use import energy_of_time
from linkwright.route import Machine


def use_of_machine(hours: Any, machine: Machine) -> dict[str, Any]:
    """Hours, and the electricity of the connected power over them, for costing to price."""
    power = machine.rate["connected_power_kW"]
    return {
        "machine_time_h": hours,
        "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=power),
    }
