"""From a batch to rows in our columns and units, and what is set aside with its reason.

`judged` converts units exactly, refuses what is out of bounds, empty where a value is needed,
no machine's name or a clock that lost its setting; every refused row keeps its text.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from linkwright.link_data.batch import Batch, Fault, Rejected
from linkwright.link_data.cells import shown
from linkwright.link_data.clocks import EARLIEST_US, LATEST_US, UTC_TIME
from linkwright.link_data.columns import KEY, MACHINE_NAME
from linkwright.link_data.map_file import ColumnMap, FileMap
from linkwright.quantities import convert

PACKED = pa.dictionary(pa.int32(), pa.string())
"""Texts as they are kept while they are read: each word once."""


class Judged(NamedTuple):
    """Rows by our columns without ``source``; ``row`` counts from 0 in the piece."""

    table: pa.Table
    rejected: tuple[Rejected, ...]
    records: int
    passed: int


def judged(batch: Batch, how: FileMap) -> Judged:
    """Judge one batch."""
    count, faults = len(batch.rows), list(batch.faults)
    columns: dict[str, pa.Array] = {}
    for one in how.columns:
        values = _values(one, batch, count)
        if one.column.form == "number":
            values, wrong = _in_our_unit(values, one)
            faults += wrong
        faults += _beyond(values, one)
        columns[one.column.name] = values
    faults += [*_empty(columns), *_no_machines(columns["machine"]), *_lost(columns["clock"])]
    names = [one.name for one in how.kind.columns if one.name not in ("source",)]
    arrays = [_column(name, columns, batch, how, count) for name in names]
    table = pa.table(arrays, names=names)
    if not faults:
        return Judged(table, batch.rejected, batch.records, batch.passed)
    return _without(table, batch, faults)


def _values(one: ColumnMap, batch: Batch, count: int) -> pa.Array:
    form = one.column.form
    if one.head is not None:
        made = batch.columns[one.column.name]
        packed = form == "text" and not pa.types.is_dictionary(made.type)
        return made.cast(PACKED) if packed else made
    if form == "text":
        codes = pa.array(np.zeros(count, np.int32))
        return pa.DictionaryArray.from_arrays(codes, pa.array([one.fixed], pa.string()))
    return pa.array(np.full(count, one.fixed, np.int64 if form == "whole" else np.float64))


def _column(
    name: str, columns: dict[str, pa.Array], batch: Batch, how: FileMap, count: int
) -> pa.Array:
    if name == "row":
        return pa.array(batch.rows.astype(np.int64))
    if name in columns:
        return columns[name]
    types = {"text": PACKED, "whole": pa.int64(), "number": pa.float64(), "clock": UTC_TIME,
             "numbers": pa.list_(pa.float64())}  # fmt: skip
    return pa.nulls(count, types[how.kind.column(name).form])


def _in_our_unit(values: pa.Array, one: ColumnMap) -> tuple[pa.Array, list[Fault]]:
    if one.unit == one.column.unit or one.head is None:
        return values, []
    missing = np.asarray(pc.is_null(values))
    difference = one.column.quantity == "temperature difference"
    plain = values.to_numpy(zero_copy_only=False)
    with np.errstate(over="ignore", invalid="ignore"):
        moved = convert(plain, one.unit, one.column.unit, difference=difference)
    wrong = np.flatnonzero(~np.isfinite(moved) & ~missing)
    faults = [Fault(int(at), f"{one.column.name}: is too large") for at in wrong]
    return pa.array(moved, mask=missing), faults


def _beyond(values: pa.Array, one: ColumnMap) -> Iterator[Fault]:
    if np.isinf(one.least) and np.isinf(one.greatest):
        return
    if one.column.form not in ("number", "whole"):
        return
    ends = pc.min_max(values).as_py()
    if ends["min"] is None or (ends["min"] >= one.least and ends["max"] <= one.greatest):
        return
    plain = values.to_numpy(zero_copy_only=False).astype(float)
    with np.errstate(invalid="ignore"):
        wrong = (plain < one.least) | (plain > one.greatest)
    bounds = f"{one.least:g} to {one.greatest:g} {one.column.unit}".strip()
    for at in np.flatnonzero(wrong):
        yield Fault(int(at), f"{one.column.name}: {plain[at]:g} is outside {bounds}")


def _empty(columns: dict[str, pa.Array]) -> Iterator[Fault]:
    for name in KEY:
        if columns[name].null_count:
            for at in np.flatnonzero(np.asarray(pc.is_null(columns[name]))):
                yield Fault(int(at), f"{name}: is empty")


def _no_machines(machines: pa.DictionaryArray) -> Iterator[Fault]:
    words = machines.dictionary.to_pylist()
    wrong = [at for at, word in enumerate(words)
             if word is not None and not MACHINE_NAME.fullmatch(word)]  # fmt: skip
    if wrong:
        codes = machines.indices.to_numpy(zero_copy_only=False)
        for at in np.flatnonzero(np.isin(codes, wrong)):
            word = shown(words[int(codes[at])])
            yield Fault(int(at), f"machine: {word} cannot be the name of a machine")


def _lost(clock: pa.Array) -> Iterator[Fault]:
    ends = pc.min_max(clock.cast(pa.int64())).as_py()
    if ends["min"] is None or (ends["min"] >= EARLIEST_US and ends["max"] < LATEST_US):
        return
    us = clock.cast(pa.int64()).to_numpy(zero_copy_only=False).astype(float)
    with np.errstate(invalid="ignore"):
        wrong = (us < EARLIEST_US) | (us >= LATEST_US)
    for at in np.flatnonzero(wrong):
        yield Fault(int(at), "clock: is outside the years 1970 to 2199")


def _without(table: pa.Table, batch: Batch, faults: list[Fault]) -> Judged:
    """The table without faulty rows; of several faults of a row the first in column order."""
    first: dict[int, str] = {}
    for fault in faults:
        # an unreadable cell is empty too: the first reason is the one that helps
        first.setdefault(fault.place, fault.reason)
    places = sorted(first)
    aside = [Rejected(int(batch.rows[at]), first[at], batch.text(at)) for at in places]
    kept = np.delete(np.arange(table.num_rows), places)
    rejected = tuple(sorted([*batch.rejected, *aside]))
    return Judged(table.take(pa.array(kept)), rejected, batch.records, batch.passed)
