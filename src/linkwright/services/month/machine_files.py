"""Readings written as the machines write them: one file a machine and day, by its own clock.

- `DayFiles`: takes a machine's readings strand by strand and writes each day once it is over
- `Row`, `write_rows`: events and passages, a file a day
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import numpy as np

from linkwright.quantities import convert, split
from linkwright.services.month.dialects import Cell, Dialect
from linkwright.services.month.number_bytes import (
    Field,
    clock,
    decimals,
    joined,
    literal,
    texts,
    whole,
)
from linkwright.services.month.put_in import BEGIN, moment
from linkwright.services.month.readings import Columns

_MIDNIGHT = BEGIN.replace(hour=0)
_EVENING_S = (BEGIN - _MIDNIGHT).total_seconds()
_UNIX_S = int(_MIDNIGHT.timestamp())


class DayFiles:
    """Files of one machine. known: texts by the numbers that stand for them in the columns.

    Readings must come in the order of days; a day is written when a later one begins, so that
    no more than two days are held.
    """

    def __init__(
        self, folder: Path, dialect: Dialect, machine: str, known: Mapping[str, Sequence[str]],
        *, change: Callable[[str, bytes], bytes] | None = None,
    ) -> None:  # fmt: skip
        self._folder, self._dialect, self._machine = folder, dialect, machine
        self._known, self._change = known, change
        self._held: dict[int, list[Columns]] = {}
        self.rows = 0
        self.names: list[str] = []

    def add(self, columns: Columns) -> None:
        """The readings of one strand."""
        shown_ms = np.rint((columns["clock"] + _EVENING_S) * 1e3).astype(np.int64)
        days = shown_ms // 86_400_000
        size = days.size
        self.rows += size
        columns = {name: np.broadcast_to(one, (size,)) for name, one in columns.items()}
        for day in np.unique(days).tolist():
            rows = days == day
            some = {name: one[rows] for name, one in columns.items()}
            some["clock"] = shown_ms[rows] - day * 86_400_000
            self._held.setdefault(day, []).append(some)
        # a clock that is set back, or a strand over midnight, may still add to the day before
        for day in sorted(self._held)[:-2]:
            self._write(day)

    def close(self) -> None:
        """Write what is still held."""
        for day in sorted(self._held):
            self._write(day)

    def _write(self, day: int) -> None:
        parts = self._held.pop(day)
        table = {name: np.concatenate([one[name] for one in parts]) for name in parts[0]}
        on = _MIDNIGHT.date() + timedelta(days=day)
        name = f"{self._machine}_{on.isoformat()}.{self._dialect.ending}"
        if self._dialect.form == "parquet":
            self._parquet(self._folder / name, table, day)
        else:
            data = self._text(table, on, day)
            data = data if self._change is None else self._change(name, data)
            (self._folder / name).write_bytes(data)
        self.names.append(name)

    def _text(self, table: Columns, on: date, day: int) -> bytes:
        size, dialect = table["clock"].size, self._dialect
        fields: list[Field] = []
        lines = dialect.form == "jsonl"
        for place, cell in enumerate(dialect.cells):
            before = dialect.delimiter if place else ""
            if lines:
                before = ("," if place else "{") + f'"{cell.head}":'
            fields += [literal(before, size)] if before else []
            quoted = lines and (cell.ours == "machine" or cell.ours in self._known)
            fields += [literal('"', size)] if quoted else []
            fields += self._cell(cell, table, on, day)
            fields += [literal('"', size)] if quoted else []
        fields.append(literal("}\n" if lines else "\r\n", size))
        return (b"" if lines else _heads(dialect)) + joined(fields)

    def _cell(self, cell: Cell, table: Columns, on: date, day: int) -> list[Field]:
        dialect, size = self._dialect, table["clock"].size
        if cell.ours == "machine":
            return [literal(self._machine, size)]
        if cell.ours in self._known:
            return [texts(table[cell.ours], self._known[cell.ours], dialect.encoding)]
        if cell.ours == "clock":
            return _clock(table["clock"], dialect, on, day)
        if not cell.is_number:
            return [whole(table[cell.ours])]
        values = convert(table[cell.ours], split(cell.ours)[1], cell.unit)
        missing = "null" if dialect.form == "jsonl" else ""
        return [decimals(values, cell.places, dialect.decimal, missing)]

    def _parquet(self, path: Path, table: Columns, day: int) -> None:
        import pyarrow as pa  # noqa: PLC0415 - loaded on use
        import pyarrow.parquet as pq  # noqa: PLC0415

        size, arrays = table["clock"].size, {}
        for cell in self._dialect.cells:
            if cell.ours == "machine":
                made = pa.array(np.full(size, self._machine))
            elif cell.ours in self._known:
                codes = pa.array(table[cell.ours].astype(np.int32))
                made = pa.DictionaryArray.from_arrays(codes, list(self._known[cell.ours]))
                made = made.cast(pa.string())
            elif cell.ours == "clock":
                made = pa.array(1000 * (table["clock"] + 1000 * (_UNIX_S + 86_400 * day)))
            elif not cell.is_number:
                made = pa.array(table[cell.ours].astype(np.int64))
            else:
                values = convert(table[cell.ours], split(cell.ours)[1], cell.unit)
                made = pa.array(np.round(values, cell.places))
            arrays[cell.head] = made
        pq.write_table(pa.table(arrays), path, compression="zstd")


def _clock(day_ms: np.ndarray, dialect: Dialect, on: date, day: int) -> list[Field]:
    size = day_ms.size
    if dialect.clock == "unix_ms":
        return [whole(day_ms + 1000 * (_UNIX_S + 86_400 * day))]
    if dialect.clock == "day.month.year":
        return [literal(on.strftime("%d.%m.%Y "), size), clock(day_ms)]
    return [literal(on.isoformat() + "T", size), clock(day_ms), literal("Z", size)]


def _heads(dialect: Dialect) -> bytes:
    lines = [dialect.delimiter.join(cell.head for cell in dialect.cells)]
    if dialect.units_row:
        lines.append(dialect.delimiter.join(_unit_words(cell) for cell in dialect.cells))
    text = "".join(f"{line}\r\n" for line in lines)
    return (b"\xef\xbb\xbf" if dialect.marked else b"") + text.encode(dialect.encoding)


def _unit_words(cell: Cell) -> str:
    return {"degC": "°C", "m_per_min": "m/min"}.get(cell.unit, cell.unit)


class Row(NamedTuple):
    """An event or a passage: when it is written, by which machine, and its own cells."""

    at_s: float
    machine: str
    cells: tuple[object, ...]


def write_rows(
    folder: Path, dialect: Dialect, name: str, rows: Iterable[Row], first_number: int = 1
) -> list[str]:
    """Rows in the order of time, a file a day; the running number goes on from day to day."""
    by_day: dict[str, list[list[object]]] = {}
    for number, row in enumerate(sorted(rows, key=lambda one: one.at_s), first_number):
        at = moment(row.at_s)
        line = [row.machine, number, at.replace("+00:00", "Z"), *row.cells]
        by_day.setdefault(at[:10], []).append(line)
    names = []
    for day, lines in by_day.items():
        text = io.StringIO()
        out = csv.writer(text, lineterminator="\r\n")
        out.writerow([cell.head for cell in dialect.cells])
        out.writerows(lines)
        names.append(f"{name}_{day}.{dialect.ending}")
        (folder / names[-1]).write_bytes(text.getvalue().encode())
    return names
