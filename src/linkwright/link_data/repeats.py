"""Readings that are known already: the same once more is a repeat, another one is a conflict.

`without_repeats` compares the rows of a new part among themselves and with those of parts that
are there, by counter and clock; machine and day are the same for all. Most parts never get here:
counters that only rise and lie beyond those of other parts have no repeats.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from linkwright.link_data.arrow_schema import arrow_schema
from linkwright.link_data.columns import ORIGIN


class Conflict(NamedTuple):
    """A row that says something else than one of the same key that is there."""

    row: int
    source: str
    other_row: int


class Sifted(NamedTuple):
    """The new rows, how many repeats were left out, and the conflicts."""

    table: pa.Table
    repeats: int
    conflicts: tuple[Conflict, ...]


def counter_range(path: Path) -> tuple[int, int] | None:
    """Least and greatest counter of a part by its footer; None if it does not say."""
    meta = pq.read_metadata(path)
    at = meta.schema.names.index("counter")
    ends = [meta.row_group(group).column(at).statistics for group in range(meta.num_row_groups)]
    if not ends or any(one is None or not one.has_min_max for one in ends):
        return None
    return min(one.min for one in ends), max(one.max for one in ends)


def read_part(path: Path, kind: str) -> pa.Table:
    """All rows of a part in the plain schema."""
    schema = arrow_schema(kind)
    return pq.ParquetFile(path).read(columns=schema.names).select(schema.names).cast(schema)


def without_repeats(new: Path, present: Sequence[Path], kind: str) -> Sifted:
    """Sift a staged part. Rows there first, then in the order of the file, count."""
    fresh = read_part(new, kind)
    tables = [*(read_part(path, kind) for path in present), fresh]
    every = pa.concat_tables(tables).combine_chunks()
    known = every.num_rows - fresh.num_rows
    counter = np.asarray(every["counter"])
    clock = np.asarray(every["clock"].cast(pa.int64()))
    order = np.lexsort((np.arange(len(counter)), clock, counter))
    begins = np.ones(len(order), bool)
    begins[1:] = (np.diff(counter[order]) != 0) | (np.diff(clock[order]) != 0)
    leader = np.empty(len(order), np.int64)
    leader[order] = order[np.maximum.accumulate(np.where(begins, np.arange(len(order)), 0))]
    again = np.flatnonzero((leader != np.arange(len(order))) & (np.arange(len(order)) >= known))
    if not again.size:
        return Sifted(fresh, 0, ())
    same = _same(every.take(pa.array(again)), every.take(pa.array(leader[again])))
    conflicts = []
    for at, first in zip(again[~same], leader[again[~same]], strict=True):
        conflicts.append(Conflict(every["row"][int(at)].as_py(),
                                  every["source"][int(first)].as_py(),
                                  every["row"][int(first)].as_py()))  # fmt: skip
    kept = np.delete(np.arange(fresh.num_rows), again - known)
    return Sifted(fresh.take(pa.array(kept)), int(same.sum()), tuple(conflicts))


def _same(left: pa.Table, right: pa.Table) -> np.ndarray:
    """Row by row whether all columns but those of the origin say the same."""
    found = np.ones(left.num_rows, bool)
    for name in left.column_names:
        if name in ORIGIN:
            continue
        one, other = left[name], right[name]
        if pa.types.is_list(one.type):
            pairs = zip(one.to_pylist(), other.to_pylist(), strict=True)
            found &= np.array([first == second for first, second in pairs], bool)
            continue
        both = pc.and_(pc.is_null(one), pc.is_null(other))
        found &= np.asarray(pc.or_(both, pc.fill_null(pc.equal(one, other), False)))
    return found
