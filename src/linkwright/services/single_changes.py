"""Single changes of an order line or its works that may mend a plan that fails.

`Case` is what is planned; `Change` turns one case into another and says how small it is;
`Lever` moves one setting step by step. `leavings`, `other_steels`, `other_machines` and
`levers` list what may be tried. The size of a change is

    setting     |ln(new/old)|; of a temperature the difference over 100 K
    steel       sum of the differences of the analysis in per cent by mass, and |ln| of the
                ratio of the diameters
    machine     1

so that half as much again of the water (0.41) and 0.4 per cent of nickel count alike. The
measure is our own; it ranks, and proves nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from linkwright.products.job import Choice
from linkwright.services.chain_jobs import machines_of
from linkwright.works import FiledNumbers, Line, SteelRecord, Works
from linkwright.works.filed import Where

STEEL, ROD, SETTING, MACHINE = "steel", "rod size", "setting", "machine"
MEASURE = (
    "setting: |ln(new/old)|, a temperature: difference over 100 K; steel: sum of the differences "
    "of the analysis in per cent, and |ln| of the ratio of the diameters; machine: 1"
)
_DEGREES, _PER_DEGREE = "_degC", 0.01
_FIRST_RATIO, _FIRST_DEGREES, _GREATEST = 0.22, 0.2, 1.1
_LEAVING = 0.05


class Handle(NamedTuple):
    """A setting that people turn, which way, and when findings of which operations fail."""

    operation: str
    name: str
    ways: tuple[int, ...]
    serves: tuple[str, ...]


_WIRE, _WELD = ("drawing", "wiredrawing"), ("welding",)
_HARD, _END = ("hardening", "quenching"), ("tempering", "calibrating", "inspection")
_CASE = ("link_case_hardening", "case_tempering")
_BATH = ("furnace_hardening", "furnace_tempering", "normalising")
HANDLES = (
    Handle("drawing", "die_half_angle_deg", (1, -1), _WIRE),
    Handle("cutting", "notch_depth_mm", (1,), ("cutting",)),
    Handle("forming", "links_per_min", (-1,), ("forming",)),
    Handle("welding", "upset_length_mm", (1, -1), _WELD),
    Handle("welding", "weld_time_s", (1, -1), _WELD),
    Handle("hardening", "line_speed_m_per_s", (-1,), (*_HARD, "tempering")),
    Handle("hardening", "temperature_degC", (1, -1), _HARD),
    Handle("quenching", "water_flow_l_per_min", (1,), ("quenching", *_END)),
    Handle("quenching", "gap_length_mm", (-1,), ("quenching",)),
    Handle("tempering", "temperature_degC", (1, -1), _END),
    Handle("furnace_hardening", "temperature_degC", (1, -1), _BATH),
    Handle("furnace_tempering", "temperature_degC", (1, -1), (*_BATH, *_END)),
    Handle("normalising", "temperature_degC", (1, -1), (*_BATH, *_END)),
    Handle("link_case_hardening", "boost_time_h", (1, -1), _CASE),
    Handle("case_tempering", "temperature_degC", (1, -1), (*_CASE, *_END)),
)
"""Which setting is turned for what: common practice, no source."""


@dataclass(frozen=True)
class Case:
    """What a line is planned from; ``choice`` of rod and treatment, None for the usual one."""

    line: Line
    works: Works
    choice: Choice | None = None


@dataclass(frozen=True)
class Change:
    """One change. key: what is changed, as the order or works file names it; size: `MEASURE`."""

    kind: str
    key: str
    a: Any
    b: Any
    size: float
    case: Case


@dataclass(frozen=True)
class Lever:
    """A setting moved one way from its value; ``place`` is how far, in sizes of a change."""

    operation: str
    name: str
    value: float
    way: int
    low: float | None
    high: float | None

    @property
    def first(self) -> float:
        """How far to go first."""
        return _FIRST_DEGREES if self.name.endswith(_DEGREES) else _FIRST_RATIO

    @property
    def last(self) -> float:
        """How far the machine lets it go; at most to three times or a third, or by 110 K."""
        end = self.high if self.way > 0 else self.low
        return _GREATEST if end is None else min(_GREATEST, self.size(float(end)))

    def size(self, value: float) -> float:
        """How far a value lies from the present one, the way of the lever."""
        if self.name.endswith(_DEGREES):
            return self.way * (value - self.value) * _PER_DEGREE
        return self.way * math.log(max(value, 1e-300) / self.value)

    def change(self, case: Case, place: float) -> Change:
        """The change to a place, its value rounded to three figures but never out of range."""
        if self.name.endswith(_DEGREES):
            value = self.value + self.way * place / _PER_DEGREE
        else:
            value = self.value * math.exp(self.way * place)
        value = float(f"{value:.3g}")
        low = -math.inf if self.low is None else float(self.low)
        value = min(max(value, low), math.inf if self.high is None else float(self.high))
        key = f"{self.operation}.{self.name}"
        size = abs(self.size(value))
        return Change(SETTING, key, self.value, value, size, with_setting(case, key, value))


def with_setting(case: Case, key: str, value: float) -> Case:
    """The case with a setting as the order would give it."""
    own = case.line.settings
    lines = {**own.where.lines, key: own.where.line}
    where = replace(own.where, lines=lines, keys={**own.where.keys, key: key})
    return _with_settings(case, {**own.numbers, key: value}, where)


def leavings(case: Case) -> Iterator[Change]:
    """Each setting that the order gives, left to the works and its solvers."""
    own = case.line.settings
    for key, value in own.numbers.items():
        left = {name: number for name, number in own.numbers.items() if name != key}
        yield Change(SETTING, key, value, None, _LEAVING, _with_settings(case, left, own.where))


def _with_settings(case: Case, numbers: Mapping[str, float], where: Where) -> Case:
    settings = FiledNumbers(numbers, where, case.line.settings.difference)
    return replace(case, line=replace(case.line, settings=settings))


def other_steels(case: Case, present: str | None) -> Iterator[Change]:
    """Each other rod of the stock; ``present`` is the name of the one that fails."""
    mine = next((one for one in case.works.rods if one.name == present), None)
    for other in case.works.rods:
        if other.name == present:
            continue
        kind = ROD if mine is not None and _same_metal(mine, other) else STEEL
        line = replace(case.line, steel=other.name)
        size = _distance(mine, other, case.line)
        yield Change(kind, "steel", present, other.name, size, Case(line, case.works))


def _same_metal(one: SteelRecord, other: SteelRecord) -> bool:
    return one.analysis.to_dict() == other.analysis.to_dict()


def _distance(mine: SteelRecord | None, other: SteelRecord, line: Line) -> float:
    if mine is None:
        bought = float(line.size_mm or other.diameter_mm)
        return abs(math.log(float(other.diameter_mm) / bought))
    one, two = mine.analysis.to_dict(), other.analysis.to_dict()
    metal = sum(abs(one.get(key, 0.0) - two.get(key, 0.0)) for key in {*one, *two})
    return metal + abs(math.log(float(other.diameter_mm) / float(mine.diameter_mm)))


def other_machines(case: Case, operations: Mapping[str, Any]) -> Iterator[Change]:
    """For each operation that several machines do: all but the one that is used."""
    used = machines_of(case.line, case.works)
    seen: set[str] = set()
    for operation in operations:
        machine = used.get(operation)
        if machine is None or machine.name in seen:
            continue
        seen.add(machine.name)
        left = tuple(one for one in case.works.machines if one is not machine)
        works = replace(case.works, machines=left)
        then = machines_of(case.line, works)
        if all(one in then for one in machine.operations if one in operations):
            other = replace(case, works=works)
            yield Change(MACHINE, operation, machine.name, then[operation].name, 1.0, other)


def levers(case: Case, operations: Mapping[str, Any], failing: str | None) -> Iterator[Lever]:
    """The handles that serve the failing operation, and what the order gives, both ways.

    operations: by name the set-up, or None where the plan did not come to it. failing: the
    first operation with a finding outside; None if nobody knows, and then every handle serves.
    """
    machines = machines_of(case.line, case.works)
    handles = {
        (one.operation, one.name): one.ways
        for one in HANDLES
        if failing is None or failing in one.serves
    }
    for key in case.line.settings.numbers:
        operation, _, name = key.partition(".")
        handles[operation, name] = (1, -1)
    for (operation, name), ways in handles.items():
        machine = machines.get(operation)
        value = _present(case, operation, name, operations, machine)
        if operation not in operations or machine is None or not value:
            continue
        low, high = machine.limits(name)
        given = f"{operation}.{name}" in case.line.settings.numbers
        if low is None and high is None and not given:
            continue  # nobody says how far this machine lets it go
        for way in ways:
            lever = Lever(operation, name, value, way, low, high)
            if lever.last > 0.0:
                yield lever


def _present(
    case: Case, operation: str, name: str, operations: Mapping[str, Any], machine: Any
) -> float | None:
    """The value that a setting has now: as planned, else as ordered, else as held."""
    set_up = operations.get(operation)
    if set_up is not None:
        return float(set_up[name]) if name in set_up else None
    key = f"{operation}.{name}"
    if key in case.line.settings.numbers:
        return float(case.line.settings.numbers[key])
    held = getattr(machine, "held", {})
    return float(held[name]) if name in held else None
