"""How an operation comes by a setting: given by the order, held by the works, or solved.

- `chosen`: given or held, else the machine's file lacks it
- `by_wire`: the same, or the works' ratio to the wire, so that one machine serves many sizes
- `held_of`: those of some numbers that the works holds, as arguments
- `held_by_wire`: a size held, or the works' ratio times the wire
- `tool`: the name of a tool that is to be put in, as words on the card
- `refusal`: the error of a value that cannot be, at its line of the file
- `computed`: given or held outright, else what a calculation makes of other numbers
- `as_it_comes`: a size asked for, or the one that a given setting makes come instead
- `rising_root`: the root of a rising result over trials that run together
- `solved_for`: given if the order fixes it, else the solver's value, with its entry
- `within`: refuses what the machine cannot hold
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import not_recording, solved
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.quantities import (
    CannotPlan,
    InputErrors,
    LinkwrightError,
    Problem,
    kind_of,
    split,
    value_text,
)
from linkwright.route import GIVEN, HELD, SOLVED, Machine, Setting, Wanted
from linkwright.route.stock import Stock

_TRIALS = 32
_SAME_SIZE = 1e-6


class Possible(NamedTuple):
    """What a setting can be at all, whatever the machine; None is no bound."""

    least: float | None = 0.0
    greatest: float | None = None


_ZERO_DEGC = -273.15
_ANY_SIZE = Possible()


def chosen(
    name: str,
    machine: Machine,
    given: Mapping[str, Any],
    *,
    check: str = "",
    tolerance: float | None = None,
    share: float | None = None,
    possible: Possible = _ANY_SIZE,
) -> Setting:
    """A setting that the order gives or the works holds.

    A number that the works file lacks, or one that cannot be, is an error that names its line.
    ``share`` is a tolerance as share of the value.
    """
    low, high = machine.limits(name)
    numbers, how = (given, GIVEN) if name in given else (machine.held, HELD)
    value = numbers[name]
    _refuse_impossible(name, value, numbers, possible)
    off = _off(value, tolerance, share)
    return within(Setting(name, value, how, "", low, high, off, check), machine)


def computed(
    name: str,
    aim: str,
    compute: Callable[[], Any],
    machine: Machine,
    given: Mapping[str, Any],
    *,
    check: str,
    tolerance: float | None = None,
    share: float | None = None,
    possible: Possible = _ANY_SIZE,
) -> Setting:
    """A setting that a calculation gives for ``aim``, unless order or works say it outright.

    ``compute`` gives a number that carries its entry; ``share`` is a tolerance as share of
    the value.
    """
    low, high = machine.limits(name)
    if name in given or name in machine.held:
        numbers, how = (given, GIVEN) if name in given else (machine.held, HELD)
        value = numbers[name]
        _refuse_impossible(name, value, numbers, possible)
    else:
        value, how = compute(), SOLVED
    off = _off(value, tolerance, share)
    made = Setting(name, value, how, aim if how == SOLVED else "", low, high, off, check)
    return within(made, machine)


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
    share: float | None = None,
    possible: Possible = _ANY_SIZE,
) -> Setting:
    """A setting found by ``solve`` for ``aim``; the solver's trials stay out of the derivation.

    ``inputs`` are the numbers that the answer rests on, by name; ``share`` is a tolerance as
    share of the value.
    """
    low, high = machine.limits(name)
    if name in given:
        value, how = given[name], GIVEN
        _refuse_impossible(name, value, given, possible)
    else:
        with not_recording():
            found = float(solve())
        bounds = f" within [{bracket[0]:.6g}, {bracket[1]:.6g}]" if bracket else ""
        value, how = solved(name, found, f"solved for {aim}{bounds}", **inputs), SOLVED
    off = _off(value, tolerance, share)
    return within(Setting(name, value, how, aim, low, high, off, check), machine)


def by_wire(
    name: str,
    wire_mm: Any,
    machine: Machine,
    given: Mapping[str, Any],
    *,
    check: str,
    tolerance: float | None = None,
    share: float | None = None,
    to: str = "wire",
) -> Setting:
    """A size that the order gives, the works holds, or the works' ratio times the wire.

    ``gap_mm`` is then ``gap_ratio`` times the wire diameter, or another size named by ``to``.
    """
    ratio = f"{split(name)[0]}_ratio"
    if name in given or ratio not in machine.held:
        return chosen(name, machine, given, check=check, tolerance=tolerance, share=share)
    held = machine.held[ratio]
    _refuse_impossible(ratio, held, machine.held, _ANY_SIZE)
    inputs = {"wire_diameter_mm": wire_mm, "ratio": held}
    return solved_for(
        name,
        f"the works' ratio to the {to}",
        lambda: sized_by_wire(**inputs),
        machine,
        given,
        inputs=inputs,
        check=check,
        tolerance=tolerance,
        share=share,
    )


def held_by_wire(name: str, wire_mm: Any, machine: Machine) -> Any:
    """A size that the works holds, or its ratio times the wire."""
    ratio = f"{split(name)[0]}_ratio"
    if ratio not in machine.held:
        return machine.held[name]
    return sized_by_wire(wire_diameter_mm=wire_mm, ratio=machine.held[ratio])


def held_of(machine: Machine, *names: str, **renamed: str) -> dict[str, Any]:
    """Those of these numbers that the works holds, as arguments of a calculation.

    What it does not hold keeps the calculation's own default. ``argument="held name"`` where
    the two differ.
    """
    wanted = {**{name: name for name in names}, **renamed}
    return {name: machine.held[key] for name, key in wanted.items() if key in machine.held}


def tool(name: str, words: str, aim: str, given: Mapping[str, Any], *, check: str) -> Setting:
    """A tool by its name, made from the size that it must have."""
    if name in given:
        return Setting(name, given[name], GIVEN, "", check=check)
    return Setting(name, words, SOLVED, aim, check=check)


def refusal(name: str, value: Any, numbers: Any, why: str, accepted: str) -> LinkwrightError:
    """The error of a given or held value that cannot be, with its line of the file if known."""
    text = f"{name} = {value_text(float(value), split(name)[1])} {why}"
    place = getattr(numbers, "place", None)
    if place is None:
        return CannotPlan(f"{text}; accepted: {accepted}")
    file, _, line = place(name).rpartition(":")
    where = getattr(numbers, "where", None)
    key = f"{where.header.strip('[]')}.{where.keys.get(name, name)}" if where else name
    return InputErrors([Problem("setting", text, file, int(line), key, accepted)])


def _off(value: Any, tolerance: float | None, share: float | None) -> float | None:
    """The tolerance itself, or a share of the value with two digits, as a card shows it."""
    return tolerance if share is None else float(f"{abs(share * float(value)):.2g}")


def _refuse_impossible(name: str, value: Any, numbers: Any, possible: Possible) -> None:
    """Raise for a value that no machine could hold: a negative gap, an angle beyond a turn."""
    if isinstance(value, str):
        return
    least, greatest = possible
    if possible is _ANY_SIZE and kind_of(name) == "temperature":
        least = _ZERO_DEGC if name.endswith("degC") else None
    below = least is not None and not float(value) >= least
    if below or (greatest is not None and not float(value) <= greatest):
        unit = split(name)[1]
        bounds = [
            f"{word} {value_text(bound, unit)}"
            for word, bound in (("at least", least), ("at most", greatest))
            if bound is not None
        ]
        raise refusal(name, value, numbers, "cannot be", ", ".join(bounds))


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


def within(setting: Setting, machine: Machine) -> Setting:
    """The setting itself; raises `CannotPlan` where the machine cannot hold it."""
    if not setting.reachable:
        raise CannotPlan(
            f"{machine.name!r} cannot hold {setting.name} = {float(setting.value):.5g}: its range "
            f"is {setting.low} to {setting.high} ({setting.aim or setting.how})"
        )
    return setting
