"""Passages of a folder: those taken in, and those that the readings themselves tell.

A reading that carries strand and position says which number of the machine is which link. Where
position less counter is one number over a whole strand the strand ran through as it is counted;
where their sum is, the other end went first; else its runs are found one by one. A coil's welds are
numbered from 0 in the order of the welder's counter (kind "coil"). Each stroke of a calibrator is a
passage of its links.

- `passages_in`: all of a folder, with further rows of the caller
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from linkwright.link_data.dataset import Dataset
from linkwright.link_data.passages import Passage, Passages, columns_of, passages_of
from linkwright.link_data.questions import (
    LINK_KINDS,
    coil_runs,
    coiled_readings,
    passage_rows,
    placed_readings,
    sql,
    strand_runs,
    strokes,
)

MACHINE_FIRST = ("weld",)
"""Kinds that come before the strand: the passage leads from the machine to it."""
FOUND = "passages-found"
"""Folder beside the kinds in which passages found in readings are kept; may be deleted."""
_SCHEMA = pa.schema([
    (name, pa.string() if name.endswith(("kind", "name")) else pa.int64())
    for name in Passage._fields
])  # fmt: skip


def passages_in(data: Dataset, further: Iterable[Passage] = ()) -> tuple[Passages, int]:
    """All passages, and how many rows were left out because a name or number is missing."""
    taken = answer(data, passage_rows()).cast(_SCHEMA)
    whole = taken.drop_null()
    parts = [_table(columns_of(further)), whole, _kept(data)]
    joined = pa.concat_tables(parts).combine_chunks()
    columns = {name: joined[name].combine_chunks() for name in Passage._fields}
    return passages_of(columns), taken.num_rows - whole.num_rows


def _kept(data: Dataset) -> pa.Table:
    """Passages that readings tell, kept until other files of readings are there.

    Names of parts come from their content, so the same names hold the same readings.
    """
    files = [part.relative_to(data.folder).as_posix()
             for kind in (*LINK_KINDS, "pull") for part in data.files(kind)]  # fmt: skip
    digest = hashlib.sha256("\n".join(files).encode()).hexdigest()[:32]
    path = data.folder / FOUND / f"{digest}.parquet"
    try:
        return pq.read_table(path, schema=_SCHEMA)
    except (OSError, pa.ArrowInvalid):
        pass  # not found yet, or by another version
    rows = [one for kind in LINK_KINDS for one in _of_strands(data, kind)] + _of_coils(data)
    made = pa.concat_tables([_table(columns_of(rows)), _table(_of_strokes(data))])
    part = path.with_name(f"{digest}.{os.getpid()}.part")
    with contextlib.suppress(OSError):  # a folder that may only be read is traced all the same
        path.parent.mkdir(exist_ok=True)
        pq.write_table(made, part)
        os.replace(part, path)
        for old in path.parent.glob("*.parquet"):
            if old != path:
                old.unlink(missing_ok=True)
    return made


def _table(columns: Mapping[str, Any]) -> pa.Table:
    return pa.table({name: columns[name] for name in Passage._fields}, schema=_SCHEMA)


def answer(data: Dataset, question: Any) -> Any:
    """The answer of DuckDB as an Arrow table."""
    return data.connection.sql(sql(question)).to_arrow_table()


def _of_strands(data: Dataset, kind: str) -> list[Passage]:
    made, mixed = [], []
    for row in answer(data, strand_runs(kind)).to_pylist():
        ends = (row["first_counter"], row["last_counter"])
        links = (row["first_position"], row["last_position"])
        if row["first_apart"] == row["last_apart"]:
            made.append(_passage(kind, row["machine"], ends, row["strand"], links))
        elif row["first_together"] == row["last_together"]:
            made.append(_passage(kind, row["machine"], ends, row["strand"], links[::-1]))
        else:
            mixed.append(row)
    if mixed:
        rows = answer(data, placed_readings(kind, {one["machine"] for one in mixed},
                                            {one["strand"] for one in mixed}))  # fmt: skip
        machine, strand = (np.array(rows[name].to_pylist()) for name in ("machine", "strand"))
        counter, position = (rows[name].to_numpy() for name in ("counter", "position"))
        for row in mixed:
            at = (machine == row["machine"]) & (strand == row["strand"])
            made += [_passage(kind, row["machine"], ends, row["strand"], links)
                     for ends, links in straight_runs(counter[at], position[at])]  # fmt: skip
    return made


def straight_runs(
    counter: np.ndarray, position: np.ndarray
) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Runs of counters in which positions rise, or fall, one by one; counters in order.

    >>> straight_runs(np.array([1, 2, 3, 4, 5]), np.array([7, 8, 9, 3, 2]))
    [((1, 3), (7, 9)), ((4, 5), (3, 2))]
    """
    steps, moves = np.diff(counter).tolist(), np.diff(position).tolist()
    found, start, sense = [], 0, 0
    for at, (step, move) in enumerate(zip(steps, moves, strict=True), 1):
        way = 0 if not step or abs(move) != step else (1 if move > 0 else -1)
        if way and sense in (0, way):
            sense = way
            continue
        found.append((start, at - 1))
        start, sense = at, 0
    found.append((start, len(steps)))
    return [((int(counter[a]), int(counter[b])), (int(position[a]), int(position[b])))
            for a, b in found]  # fmt: skip


def _passage(
    kind: str, machine: str, ends: tuple[int, int], strand: str, links: tuple[int, int]
) -> Passage:
    if kind in MACHINE_FIRST:
        return Passage(kind, machine, *ends, "strand", strand, *links)
    return Passage("strand", strand, *links, kind, machine, *ends)


def _of_coils(data: Dataset) -> list[Passage]:
    rows = answer(data, coil_runs()).to_pylist()
    split = {one["machine"] for one in rows if one["last"] - one["first"] + 1 != one["links"]}
    pieces = [(one["coil"], one["machine"], one["first"], one["last"])
              for one in rows if one["machine"] not in split]  # fmt: skip
    if split:
        pieces += _coil_pieces(answer(data, coiled_readings(split)))
    made, welded = [], dict.fromkeys((one[0] for one in pieces), 0)
    for coil, machine, first, last in pieces:
        begin = welded[coil]
        welded[coil] = begin + last - first + 1
        made.append(Passage("coil", coil, begin, welded[coil] - 1, "weld", machine, first, last))
    return made


def _coil_pieces(rows: Any) -> list[tuple[str, str, int, int]]:
    """Counters in a row of one coil on one machine."""
    machine, coil = rows["machine"].to_pylist(), rows["coil"].to_pylist()
    counter = rows["counter"].to_numpy()
    found: list[tuple[str, str, int, int]] = []
    for at, number in enumerate(counter.tolist()):
        last = found[-1] if found else None
        if last and last[:2] == (coil[at], machine[at]) and number <= last[3] + 1:
            found[-1] = (*last[:3], number)
        else:
            found.append((coil[at], machine[at], number, number))
    return found


def _of_strokes(data: Dataset) -> dict[str, Any]:
    rows = answer(data, strokes())
    count = rows.num_rows
    held = {name: rows[name].to_pylist() for name in rows.column_names}
    return {
        "from_kind": ["strand"] * count, "from_name": held["strand"],
        "from_first": held["first_position"], "from_last": held["last_position"],
        "to_kind": ["stroke"] * count, "to_name": held["machine"],
        "to_first": held["counter"], "to_last": held["counter"],
    }  # fmt: skip
