"""What the two coils of the hardening line have in common: field, zones, current solved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from linkwright.processes.choosing import rising_root
from linkwright.route import Machine
from linkwright.route.stock import Stock

LEAST_FIELD_KA_PER_M, GREATEST_FIELD_KA_PER_M = 5.0, 200.0


def coil_arguments(stock: Stock, machine: Machine, line: Mapping[str, Any]) -> dict[str, Any]:
    """Arguments that every calculation of a coil takes."""
    return {
        "wire_diameter_mm": stock["lot_wire_diameter_mm"],
        "line_speed_m_per_s": line["line_speed_m_per_s"],
        "coil_length_mm": machine.held["coil_length_mm"],
        "frequency_kHz": machine.held["frequency_kHz"],
        "crown_coupling": machine.held["crown_coupling"],
        "contact_coupling": machine.held["contact_coupling"],
    }


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
