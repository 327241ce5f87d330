"""Rows written as Parquet, one file a day and machine, several at once.

`split` takes a table apart by day and machine; `PartWriter` gathers what comes in the order of
the file and writes row groups of `GROUP_ROWS` in a pool of threads, never holding more than
about `MOST_HELD` rows. It keeps the range of counters of each part, and whether they only rise.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from linkwright.link_data.arrow_schema import arrow_schema
from linkwright.link_data.ledger import sync_file

GROUP_ROWS = 131_072
MOST_HELD = 2_000_000
_DAY_US = 86_400_000_000
_RISING = ("counter", "clock", "row", "position")
"""Columns whose values mostly rise: kept as differences."""


class Slice(NamedTuple):
    """Rows of one day and machine."""

    day: int
    machine: str
    table: pa.Table


def split(table: pa.Table) -> list[Slice]:
    """The rows by day and machine, each in their order."""
    if table.num_rows == 0:
        return []
    machines = table["machine"].combine_chunks()
    days = np.asarray(table["clock"].cast(pa.int64())) // _DAY_US
    codes = np.asarray(machines.indices).astype(np.int64)
    both = days * (len(machines.dictionary) + 1) + codes
    if both[0] == both[-1] and (both == both[0]).all():
        return [Slice(int(days[0]), machines[0].as_py(), table)]
    order = np.argsort(both, kind="stable")
    ends = np.flatnonzero(np.diff(both[order])) + 1
    sorted_table = table.take(pa.array(order))
    made = []
    for begin, end in zip([0, *ends], [*ends, len(order)], strict=True):
        at = int(order[begin])
        made.append(Slice(int(days[at]), machines[at].as_py(),
                          sorted_table.slice(begin, end - begin)))  # fmt: skip
    return made


def write_part(path: Path, kind: str, table: pa.Table) -> None:
    """Write one whole part."""
    writer = _writer(path, kind)
    with writer:
        writer.write_table(table.cast(packed_schema(kind)), row_group_size=GROUP_ROWS)
    sync_file(path)


def packed_schema(kind: str) -> pa.Schema:
    """The schema of a kind with texts as dictionaries."""
    packed = pa.dictionary(pa.int32(), pa.string())
    plain = arrow_schema(kind)
    fields = [one.with_type(packed) if one.type == pa.string() else one for one in plain]
    return pa.schema(fields, metadata=plain.metadata)


@dataclass
class Part:
    """One part that is being written, and what its counters say."""

    day: int
    machine: str
    path: Path
    pending: list[tuple[int, pa.Table]] = field(default_factory=list)
    held: int = 0
    rows: int = 0
    least: int = 0
    greatest: int = 0
    rising: bool = True
    writer: pq.ParquetWriter | None = None
    last: Future[None] | None = None


class PartWriter:
    """The parts of one file."""

    def __init__(self, folder: Path, kind: str, source: str, pool: Executor) -> None:
        self._folder, self._kind, self._source, self._pool = folder, kind, source, pool
        self._parts: dict[tuple[int, str], Part] = {}
        self._held = 0
        self._running: list[Future[None]] = []

    def add(self, slices: Sequence[Slice], offset: int) -> None:
        """Rows that follow; ``offset`` is added to their ``row``."""
        for one in slices:
            key = (one.day, one.machine)
            if key not in self._parts:
                path = self._folder / f"{len(self._parts)}.part"
                self._parts[key] = Part(one.day, one.machine, path)
            part = self._parts[key]
            part.pending.append((offset, one.table))
            part.held += one.table.num_rows
            self._held += one.table.num_rows
            if part.held >= GROUP_ROWS:
                self._flush(part)
        while self._held > MOST_HELD:
            self._flush(max(self._parts.values(), key=lambda part: part.held))

    def close(self) -> list[Part]:
        """Write what is left and end all files; the parts in the order of day and machine."""
        for part in self._parts.values():
            if part.held:
                self._flush(part)
        self._wait(0)
        ends = [self._pool.submit(self._end, part) for part in self._parts.values()]
        for one in ends:
            one.result()
        return [self._parts[key] for key in sorted(self._parts)]

    def abandon(self) -> None:
        """Let go of all files after an error."""
        for one in self._running:
            one.cancel()
        for part in self._parts.values():
            if part.last is not None and not part.last.cancelled():
                part.last.exception()
            if part.writer is not None:
                try:
                    part.writer.close()
                except (OSError, pa.ArrowException):
                    continue

    def _flush(self, part: Part) -> None:
        pending, part.pending = part.pending, []
        self._held -= part.held
        part.held = 0
        part.last = self._pool.submit(self._write, part, pending, part.last)
        self._running.append(part.last)
        self._wait(4)

    def _wait(self, most: int) -> None:
        while len(self._running) > most:
            self._running.pop(0).result()

    def _write(
        self, part: Part, pending: list[tuple[int, pa.Table]], before: Future[None] | None
    ) -> None:
        if before is not None:
            before.result()  # row groups stand in the order of the file
        tables = []
        for offset, table in pending:
            at = table.schema.get_field_index("row")
            moved = pc.add(table["row"], pa.scalar(offset, pa.int64()))
            tables.append(table.set_column(at, "row", moved))
        whole = pa.concat_tables(tables)
        source = pa.DictionaryArray.from_arrays(
            pa.array(np.zeros(whole.num_rows, np.int32)), pa.array([self._source])
        )
        schema = packed_schema(self._kind)
        whole = whole.append_column("source", source).select(schema.names)
        whole = whole.unify_dictionaries().combine_chunks().cast(schema)
        _note(part, whole)
        if part.writer is None:
            part.writer = _writer(part.path, self._kind)
        part.writer.write_table(whole, row_group_size=GROUP_ROWS)

    def _end(self, part: Part) -> None:
        if part.writer is not None:
            part.writer.close()
            part.writer = None
            sync_file(part.path)


def _note(part: Part, table: pa.Table) -> None:
    counters = np.asarray(table["counter"])
    rises = bool((np.diff(counters) > 0).all())
    part.rising &= rises and (part.rows == 0 or int(counters[0]) > part.greatest)
    least, greatest = int(counters.min()), int(counters.max())
    part.least = least if part.rows == 0 else min(part.least, least)
    part.greatest = greatest if part.rows == 0 else max(part.greatest, greatest)
    part.rows += table.num_rows


def _writer(path: Path, kind: str) -> pq.ParquetWriter:
    schema = packed_schema(kind)
    rising = [name for name in _RISING if name in schema.names]
    return pq.ParquetWriter(
        path, schema, compression="zstd", compression_level=1,
        use_dictionary=[one.name for one in schema
                        if one.name not in rising and not pa.types.is_list(one.type)],
        column_encoding=dict.fromkeys(rising, "DELTA_BINARY_PACKED"),
        write_statistics=True,
    )  # fmt: skip
