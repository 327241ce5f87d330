"""How an operation comes by a setting: given by the order, held by the works, or solved.

- `chosen`: given or held, else the machine's file lacks it
- `as_it_comes`: a size asked for, or the one that a given setting makes come instead
- `rising_root`: the root of a rising result over trials that run together
- `solved_for`: given if the order fixes it, else the solver's value, with its entry
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording, solved
from linkwright.quantities import CannotPlan
from linkwright.route import GIVEN, HELD, SOLVED, Machine, Setting, Wanted
from linkwright.route.stock import Stock

_TRIALS = 32
_SAME_SIZE = 1e-6


def chosen(
    name: str,
    machine: Machine,
    given: Mapping[str, Any],
    *,
    check: str = "",
    tolerance: float | None = None,
) -> Setting:
    """A setting that the order gives or the works holds.

    A number that the works file lacks is an error that names its line.
    """
    low, high = machine.limits(name)
    if name in given:
        value, how = given[name], GIVEN
    else:
        value, how = machine.held[name], HELD
    return _within(Setting(name, value, how, "", low, high, tolerance, check), machine)


def solved_for(
    name: str,
    aim: str,
    solve: Callable[[], float],
    machine: Machine,
    given: Mapping[str, Any],
    *,
    inputs: Mapping[str, Any],
    bracket: tuple[float, float] | None = None,
    check: str = "",
    tolerance: float | None = None,
) -> Setting:
    """A setting found by ``solve`` for ``aim``; the solver's trials stay out of the derivation.

    ``inputs`` are the numbers that the answer rests on, by name.
    """
    low, high = machine.limits(name)
    if name in given:
        value, how = given[name], GIVEN
    else:
        with not_recording():
            found = float(solve())
        within = f" within [{bracket[0]:.6g}, {bracket[1]:.6g}]" if bracket else ""
        value, how = solved(name, found, f"solved for {aim}{within}", **inputs), SOLVED
    return _within(Setting(name, value, how, aim, low, high, tolerance, check), machine)


def as_it_comes(name: str, wanted: Wanted, near: Stock | None) -> Any:
    """The size wanted of the operation before, or the one that comes in where it differs.

    They differ where the order gives a setting (a die, a finger) instead of having it solved;
    what is asked further back must then fit the size that really comes.
    """
    asked = wanted[name]
    if near is None or name not in near:
        return asked
    return asked if abs(float(near[name]) / float(asked) - 1.0) <= _SAME_SIZE else near[name]


def rising_root(
    reached: Callable[[np.ndarray], Any],
    wanted: float,
    low: float,
    high: float,
    failure: str,
    *,
    rounds: int = 2,
    smooth: bool = False,
) -> float:
    """Where a rising result reaches what is wanted, by trials that run as members together.

    Rounds of 32 trials, evenly spread in the logarithm, each inside the last bracket; the
    last bracket (two rounds: half a per cent wide) is divided by a straight line or, where
    the result is ``smooth``, by the cubic through the four nearest trials. Raises
    `CannotPlan` with ``failure`` and the bracket if there is no root.
    """
    start = (low, high)
    for _ in range(rounds):
        trial = np.geomspace(low, high, _TRIALS)
        value = np.asarray(reached(trial), float)
        upper = int(np.argmax(value >= wanted))
        if not value[0] < wanted <= value[upper]:
            raise CannotPlan(f"{failure} between {start[0]:g} and {start[1]:g}")
        low, high = float(trial[upper - 1]), float(trial[upper])
    if smooth:
        return _inverse_cubic(trial, value, upper, wanted)
    part = (wanted - value[upper - 1]) / (value[upper] - value[upper - 1])
    return low + float(part) * (high - low)


def _inverse_cubic(trial: np.ndarray, value: np.ndarray, upper: int, wanted: float) -> float:
    """The trial for a value: Lagrange's cubic of trial over value through the four nearest."""
    first = min(max(upper - 2, 0), trial.size - 4)
    near, level = trial[first : first + 4], value[first : first + 4]
    total = 0.0
    for index in range(4):
        others = np.delete(level, index)
        total += near[index] * float(np.prod((wanted - others) / (level[index] - others)))
    return total


def _within(setting: Setting, machine: Machine) -> Setting:
    if not setting.reachable:
        raise CannotPlan(
            f"{machine.name!r} cannot hold {setting.name} = {float(setting.value):.5g}: its range "
            f"is {setting.low} to {setting.high} ({setting.aim or setting.how})"
        )
    return setting
