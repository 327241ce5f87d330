"""Furnaces and stocks made by hand for the tests of the furnace route."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.catalogue import Derivation, sourced
from linkwright.planning.draws import Ensemble, drawn, single
from linkwright.route import MAIN, Conditions, Operation, SetUp, Step, Stock

_FILE = Path(__file__).with_name("furnace_works.toml")
ENSEMBLE = Ensemble(lots=16, pairs=1)
SIZES = {"wire_diameter_mm": 8.048, "pitch_mm": 23.5, "outer_width_mm": 26.9}


@lru_cache(maxsize=1)
def _content() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text("utf-8"))


class Filed(Mapping[str, float]):
    """Numbers of one table of the works file; each knows its table while recording."""

    def __init__(self, numbers: Mapping[str, float], table: str) -> None:
        self.numbers, self.table = dict(numbers), table

    def __getitem__(self, key: str) -> Any:
        return sourced(key, float(self.numbers[key]), "file", self.place(key))

    def __iter__(self) -> Iterator[str]:
        return iter(self.numbers)

    def __len__(self) -> int:
        return len(self.numbers)

    def place(self, name: str) -> str:
        """Where the number stands."""
        return f"{_FILE.name} [{self.table}] {name}"


@dataclass(frozen=True)
class Furnace:
    """A machine of the works file, as a route needs it."""

    name: str
    count: float
    range: Mapping[str, tuple[float, float]]
    held: Filed
    spread: Filed
    rate: Filed
    operations: tuple[str, ...] = ()
    card: tuple[Any, ...] = ()

    @property
    def many(self) -> Any:
        """How many alike there are."""
        return sourced("machines", self.count, "file", f"{_FILE.name} [machine] count")

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """Least and greatest value that the machine can hold."""
        low, high = self.range.get(key, (None, None))
        return low, high

    def changed(self, **held: float) -> Furnace:
        """The machine with some held values new."""
        numbers = {**self.held.numbers, **held}
        filed = Filed(numbers, self.held.table)
        return Furnace(self.name, self.count, self.range, filed, self.spread, self.rate)

    def without(self, *held: str) -> Furnace:
        """The machine without some held values."""
        numbers = {key: one for key, one in self.held.numbers.items() if key not in held}
        filed = Filed(numbers, self.held.table)
        return Furnace(self.name, self.count, self.range, filed, self.spread, self.rate)


def furnace(operation: str) -> Furnace:
    """The furnace of an operation."""
    row = next(one for one in _content()["machine"] if one["operation"] == operation)
    tables = [Filed(row.get(name, {}), f"machine.{name}") for name in ("held", "spread", "rate")]
    limits = {key: (low, high) for key, (low, high) in row["range"].items()}
    return Furnace(row["name"], float(row.get("count", 1)), limits, *tables)


def closed_link(steel: str = "21Mn5", **sizes: float) -> Stock:
    """Welded chain of one steel of the works file, as it comes to the furnace."""
    row = next(one for one in _content()["steel"] if one["grade"] == steel)
    shape = Filed({**SIZES, "lot_wire_diameter_mm": 8.048, "weld_diameter_mm": 8.5,
                   "weld_affected_length_mm": 1.7, **sizes}, "made by hand")  # fmt: skip
    condition = Filed({**row["analysis"], "tensile_strength_MPa": 650.0}, "steel.analysis")
    amount = Filed(
        {
            "links": 12750.0,
            "length_m": 300.0,
            "ordered_length_m": 300.0,
            "steel_kg": 430.0,
            "lots": 2.0,
        },
        "order",
    )
    return Stock("closed link", steel, dict(shape), dict(condition), dict(amount))


def conditions(*operations: Operation, ensemble: Ensemble | None = None) -> Conditions:
    """Nominal conditions of operations, or all members of an ensemble."""
    scatter = {one.name: one for operation in operations for one in operation.scatter}
    factors = {one.name: one for operation in operations for one in operation.factors}
    if ensemble is None:
        return Conditions(scatter, factors)
    return drawn(scatter.values(), factors.values(), ensemble)


def worked(
    operation: Operation,
    stock: Stock,
    machine: Furnace,
    wanted: Mapping[str, float] | None = None,
    given: Mapping[str, float] | None = None,
) -> tuple[SetUp, Step]:
    """Set up and run one operation once."""
    nominal = conditions(operation)
    asked = {**SIZES, **(wanted or {})}
    set_up = operation.set_up({MAIN: stock}, asked, machine, nominal, given or {})
    return set_up, operation.run({MAIN: stock}, set_up, machine, nominal)


def members(
    operation: Operation, stock: Stock, machine: Furnace, wanted: Mapping[str, float] | None = None
) -> tuple[SetUp, Step, Conditions]:
    """Set up once and run all members of an ensemble."""
    nominal, drawn_all = conditions(operation), conditions(operation, ensemble=ENSEMBLE)
    set_up = operation.set_up({MAIN: stock}, {**SIZES, **(wanted or {})}, machine, nominal, {})
    return set_up, operation.run({MAIN: stock}, set_up, machine, drawn_all), drawn_all


def bare_entries(book: Derivation) -> list[str]:
    """Entries whose source was lost in arithmetic."""
    return [entry.id for entry in book.entries.values() if entry.kind == "bare"]


def alone(
    operation: Operation,
    stock: Stock,
    machine: Furnace,
    set_up: SetUp,
    drawn_all: Conditions,
    lot: int,
    link: int,
) -> Step:
    """One member of the ensemble run by itself with the same settings."""
    return operation.run({MAIN: stock}, set_up, machine, single(drawn_all, lot, link))


def differing(whole: Step, one: Step, lot: int, link: int) -> list[str]:
    """Findings and stock fields in which a member run singly is not its place to 1e-9."""
    found = {f.subject: (f.value, one.finding(f.subject).value) for f in whole.findings}
    found |= {key: (value, one.stock.condition[key]) for key, value in
              whole.stock.condition.items()}  # fmt: skip
    return [name for name, (wide, lone) in found.items() if not _same(wide, lone, lot, link)]


def _same(wide: Any, lone: Any, lot: int, link: int) -> bool:
    whole, part = np.asarray(wide, float), np.asarray(lone, float)
    if whole.ndim >= 2 and whole.shape[-2] in (1, ENSEMBLE.lots):
        whole = whole[..., min(lot, whole.shape[-2] - 1), min(link, whole.shape[-1] - 1)]
    return bool(np.allclose(np.squeeze(part), np.squeeze(whole), rtol=1e-9, atol=1e-12))
