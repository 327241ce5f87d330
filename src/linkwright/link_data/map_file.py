"""map.toml: which file holds which readings, how it is written, and which column is which.

``read_map(path)`` and ``map_of_bytes(raw, name)`` give a `Map` of `FileMap`s, or raise
`InputErrors` with every problem of the file, its line and what would be accepted. A column is
taken from a head of the file or held fixed; units are those of the closed table and are
converted exactly; bounds are in our unit.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any, Literal

from pydantic import Field

from linkwright.link_data.columns import KINDS, MACHINE_NAME, ORIGIN, Column, Kind, kind
from linkwright.link_data.map_faults import Where, unit_faults, zone_faults
from linkwright.quantities import QuantityError, nearest, quantity, unit_of_text
from linkwright.works.reading import checked
from linkwright.works.schema import schema_of, text_of
from linkwright.works.table import Contradiction, Table, Text
from linkwright.works.toml_file import TomlFile, printable, read_toml, toml_of_bytes

TIMED = ("weld", "harden", "temper")
"""Kinds of reading that clocks can be found from: one row a link."""
KindName = Literal["weld", "harden", "temper", "pull", "gauge", "event", "wave", "passage"]
ClockForm = Literal["iso", "day.month.year", "month/day/year", "unix_s", "unix_ms", "unix_us"]
Encoding = Literal["utf-8", "utf-16", "cp1250", "cp1252", "iso8859-1", "iso8859-2", "iso8859-15"]


class ColumnTable(Table):
    """[[file.column]]: one column of ours and where it comes from."""

    name: Text = Field(description="our column", examples=["current_A"])
    head: Text | None = Field(
        None, alias="from", description="head in the file, or number of the column from 1"
    )
    fixed: str | int | float | None = Field(None, description="value of every row instead")
    unit: Text | None = Field(None, description="unit in the file; ours if left out")
    least: float | None = Field(None, description="rows below are set aside; in our unit")
    greatest: float | None = Field(None, description="rows above are set aside; in our unit")
    form: ClockForm | None = Field(None, description="how the clock is written; iso if left out")


class FileTable(Table):
    """[[file]]: files of one pattern."""

    pattern: Text = Field(description="pattern of the file's name", examples=["W*.csv"])
    kind: KindName = Field(description="kind of reading", examples=["weld"])
    form: Literal["csv", "parquet", "jsonl"] | None = Field(
        None, description="form of the file; by its ending if left out"
    )
    delimiter: Literal[",", ";", "tab", "|"] | None = Field(
        None, description="between cells; found in the head if left out"
    )
    decimal: Literal[".", ","] = Field(".", description="decimal sign of numbers")
    thousands: Literal[",", ".", "'", " "] | None = Field(
        None, description="sign between thousands; none if left out"
    )
    encoding: Encoding = Field("utf-8", description="a byte order mark is found by itself")
    head: bool = Field(True, description="false: no head, columns are called by number")
    rows_before_head: int = Field(0, ge=0, le=1000, description="rows passed over before the head")
    units_row: bool = Field(False, description="a row of units stands below the head")
    zone: Text = Field("UTC", description="zone of the clock where the text names none")
    repeated_hour: Literal["refuse", "earlier", "later"] = Field(
        "refuse", description="local times that stand twice when clocks go back"
    )
    column: list[ColumnTable] = Field(min_length=1, max_length=64, description="columns")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Columns that the kind does not have, twice, without origin, in a wrong unit."""
        rows, of = given.get("column"), KINDS.get(str(given.get("kind")))
        if given.get("thousands") is not None:
            decimal = given.get("decimal", ".")
            if given["thousands"] == decimal or given["thousands"] == given.get("delimiter"):
                yield Contradiction(("thousands",), "is the sign of something else too", "another")
        yield from zone_faults(given)
        if of is None or not isinstance(rows, list):
            return
        seen: set[str] = set()
        for place, row in enumerate(rows):
            if isinstance(row, dict) and isinstance(row.get("name"), str):
                yield from _column_faults(row, of, ("column", place), seen)
        for name in ("machine", "counter", "clock"):
            if name not in seen:
                words = f"no [[file.column]] is called {name}"
                yield Contradiction(("column",), words, "machine, counter and clock are needed")


class ClocksTable(Table):
    """[[clocks]]: two machines that links pass one after the other, for their clocks."""

    here: Text = Field(alias="from", description="kind and machine", examples=["harden/H01"])
    there: Text = Field(alias="to", description="where links come next", examples=["temper/T01"])
    least: Text = Field(description="least time of a link between them", examples=["40 s"])
    greatest: Text = Field(description="greatest time between them", examples=["60 s"])

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Ends that are no kind and machine, times that are none, or the wrong way round."""
        for key in ("from", "to"):
            of, _, machine = str(given.get(key, "")).partition("/")
            if of not in TIMED or not MACHINE_NAME.fullmatch(machine):
                words = f"'{printable(str(given.get(key)))}' is no kind and machine"
                yield Contradiction((key,), words, f"{', '.join(TIMED)}, such as harden/H01")
        times = [_seconds(given.get(key)) for key in ("least", "greatest")]
        for key, found in zip(("least", "greatest"), times, strict=True):
            if found is None:
                yield Contradiction((key,), "is no time", "a number with a unit, such as 40 s")
        if None not in times and not 0.0 <= times[0] <= times[1]:  # type: ignore[operator]
            yield Contradiction(("least",), "is above greatest", "0 s to greatest")


class MapFile(Table):
    """map.toml as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    file: list[FileTable] = Field(min_length=1, max_length=200, description="kinds of file")
    clocks: list[ClocksTable] = Field(
        [], max_length=200, description="pairs of machines whose clocks are found from their links"
    )


@dataclass(frozen=True)
class ColumnMap:
    """One column of ours after reading: where it comes from and what is accepted."""

    column: Column
    head: str | None
    fixed: Any
    unit: str
    least: float
    greatest: float
    form: str


@dataclass(frozen=True)
class FileMap:
    """How files of one pattern are read; ``line`` is that of the pattern in the map file."""

    pattern: str
    kind: Kind
    form: str | None
    delimiter: str | None
    decimal: str
    thousands: str
    encoding: str
    head: bool
    rows_before_head: int
    units_row: bool
    zone: str
    repeated_hour: str
    columns: tuple[ColumnMap, ...]
    digest: str
    """SHA-256 over all that decides what is read, 64 hex digits."""

    @property
    def read(self) -> tuple[ColumnMap, ...]:
        """The columns that come from the file."""
        return tuple(one for one in self.columns if one.head is not None)


@dataclass(frozen=True)
class ClockPair:
    """Two machines (kind, name) that links pass, and the bounds of the time between."""

    here: tuple[str, str]
    there: tuple[str, str]
    least_s: float
    greatest_s: float


@dataclass(frozen=True)
class Map:
    """A whole map; the first pattern that a name meets counts."""

    name: str
    files: tuple[FileMap, ...]
    clocks: tuple[ClockPair, ...] = ()

    def of(self, name: str) -> FileMap | None:
        """How a file of that name is read; None if no pattern meets it."""
        return next((one for one in self.files if fnmatchcase(name, one.pattern)), None)


def map_schema_text() -> str:
    """The JSON Schema of map.toml as it is published."""
    return text_of(schema_of("map", MapFile))


def read_map(path: str | os.PathLike[str]) -> Map:
    """Read a map file; raises `InputErrors` with all that is wrong."""
    return _map(read_toml(path))


def map_of_bytes(raw: bytes, name: str = "map.toml") -> Map:
    """Read the content of a map file; raises `InputErrors`."""
    return _map(toml_of_bytes(raw, name))


def _map(file: TomlFile) -> Map:
    model = checked(file, MapFile).model
    return Map(file.name, tuple(map(_file, model.file)), tuple(map(_pair, model.clocks)))


def _pair(table: ClocksTable) -> ClockPair:
    ends = [one.partition("/") for one in (table.here, table.there)]
    times = [quantity(text, "time_s") for text in (table.least, table.greatest)]
    return ClockPair(
        (ends[0][0], ends[0][2]), (ends[1][0], ends[1][2]), times[0], times[1]
    )  # fmt: skip


def _seconds(text: Any) -> float | None:
    try:
        return quantity(text, "time_s") if isinstance(text, str) else None
    except QuantityError:
        return None


def _file(table: FileTable) -> FileMap:
    of = kind(table.kind)
    settled = table.model_dump(exclude={"pattern"}, by_alias=True)
    text = json.dumps(settled, sort_keys=True, ensure_ascii=False)
    return FileMap(
        table.pattern, of, table.form, "\t" if table.delimiter == "tab" else table.delimiter,
        table.decimal, table.thousands or "", table.encoding, table.head, table.rows_before_head,
        table.units_row, table.zone, table.repeated_hour,
        tuple(_column(one, of) for one in table.column),
        hashlib.sha256(text.encode()).hexdigest(),
    )  # fmt: skip


def _column(table: ColumnTable, of: Kind) -> ColumnMap:
    column = of.column(table.name)
    unit = unit_of_text(table.unit) if table.unit is not None else column.unit
    least = -math.inf if table.least is None else table.least
    greatest = math.inf if table.greatest is None else table.greatest
    fixed = str(table.fixed) if column.form == "text" and table.fixed is not None else table.fixed
    return ColumnMap(column, table.head, fixed, unit, least, greatest, table.form or "iso")


def _column_faults(
    row: Mapping[str, Any], of: Kind, path: Where, seen: set[str]
) -> Iterator[Contradiction]:
    name = row["name"]
    allowed = [one for one in of.names if one not in ORIGIN]
    if name not in allowed:
        words = f"'{printable(name)}' is no column of {of.name}"
        yield Contradiction((*path, "name"), words, ", ".join(nearest(name, allowed) or allowed))
        return
    if name in seen:
        yield Contradiction((*path, "name"), f"{name} stands twice", "each column once")
    seen.add(name)
    if ("from" in row) == ("fixed" in row):
        yield Contradiction((*path, "name"), f"{name} needs its origin", "either from or fixed")
    column = of.column(name)
    if "fixed" in row:
        yield from _fixed_faults(row["fixed"], column, path)
    if "unit" in row:
        yield from unit_faults(row["unit"], column, path)
    if "form" in row and column.form != "clock":
        yield Contradiction((*path, "form"), "belongs to the clock", "no form")
    bounds = [row[key] for key in ("least", "greatest") if key in row]
    if bounds and column.form not in ("number", "whole"):
        yield Contradiction((*path, "name"), f"{name} has no bounds", "bounds of numbers only")
    numbers = [one for one in bounds if isinstance(one, (int, float))]
    if len(numbers) == 2 and numbers[0] > numbers[1]:
        yield Contradiction((*path, "least"), "is above greatest", "at most greatest")


def _fixed_faults(fixed: Any, column: Column, path: Where) -> Iterator[Contradiction]:
    form, here = column.form, (*path, "fixed")
    if form in ("clock", "numbers"):
        yield Contradiction(here, f"{column.name} cannot be fixed", "from = a head of the file")
    elif form == "whole" and (isinstance(fixed, bool) or not isinstance(fixed, int)):
        yield Contradiction(here, "is no whole number", "a whole number")
    elif form == "whole" and abs(fixed) >= 10**18:
        yield Contradiction(here, "is too large", "fewer than 19 digits")
    elif form == "number" and (isinstance(fixed, bool) or not isinstance(fixed, (int, float))):
        yield Contradiction(here, "is no number", f"a number in {column.unit}")
    elif column.name == "machine" and not MACHINE_NAME.fullmatch(str(fixed)):
        words = f"'{printable(str(fixed))}' cannot be the name of a machine"
        yield Contradiction(here, words, "letters, digits, _ . - such as W07")
    elif form == "text" and (isinstance(fixed, (bool, float)) or not str(fixed).strip()):
        yield Contradiction(here, "is no text", "a text in quotation marks")
