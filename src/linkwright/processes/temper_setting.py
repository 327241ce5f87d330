"""The temperature of a tempering furnace for a strength, by trials that run together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.materials.transformation import andrews_ac1
from linkwright.processes.choosing import rising_root, solved_for
from linkwright.route import Machine, Setting
from linkwright.route.stock import Stock

_LEAST_DEGC, _BELOW_AC1_K = 150.0, 15.0


def temper_for_strength(
    strength_at: Callable[[np.ndarray], np.ndarray],
    strength: Any,
    stock: Stock,
    machine: Machine,
    given: Mapping[str, Any],
    inputs: Mapping[str, Any],
    check: str,
) -> Setting:
    """Temperature at which the stock comes to a strength, or the softest the furnace gives.

    ``strength_at`` gives the strength over trial temperatures. The search stays within the range
    of the machine and 15 K below Ac1. Raises `CannotPlan` if even the coldest temper is too soft.
    """
    low, high = machine.limits("temperature_degC")
    with not_recording():
        ceiling = float(lower_critical(stock)) - _BELOW_AC1_K
    bracket = (low or _LEAST_DEGC, min(high or ceiling, ceiling))
    aim = f"a tensile strength of {float(strength):.0f} MPa"

    def solve() -> float:
        least = strength_at(np.array([bracket[1]]))[0]
        if least >= float(strength):
            return bracket[1]  # stronger than asked even at the softest the furnace gives
        failure = f"{machine.name!r} does not reach {aim}: no temperature in °C at this time"
        # strength falls as the temper rises; the search wants a rising result
        return rising_root(
            lambda trial: -strength_at(trial), -float(strength), *bracket, failure, rounds=3
        )

    return solved_for(
        "temperature_degC",
        f"{aim}, or the softest the furnace gives if that is stronger",
        solve,
        machine,
        given,
        inputs=inputs,
        bracket=bracket,
        check=check,
        tolerance=8.0,
    )


def lower_critical(stock: Stock) -> Any:
    """Ac1 of the analysis, Andrews 1965."""
    return andrews_ac1(**stock.elements("Mn", "Si", "Ni", "Cr"))


def change_per_kelvin(result: Callable[[np.ndarray], np.ndarray], temperature: Any) -> float:
    """Change of a result with temperature about a setting, over 6 K."""
    with not_recording():
        near = float(temperature) + np.array([-3.0, 3.0])
        values = result(near)
    return float((values[1] - values[0]) / (near[1] - near[0]))
