"""Why lots failed: results of the books beside the mean readings of each lot's own links.

Every lot with a result is traced to its welds, heats and strokes; what the machines read of these
links is averaged and ranked by `rank_causes`, with the sensitivities of a plan if one is given.
Offers `causes_of_lots`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyarrow as pa

from linkwright.link_data.columns import KINDS
from linkwright.link_data.dataset import Dataset, opened
from linkwright.link_data.found_passages import passages_in
from linkwright.link_data.passages import Passage, Passages
from linkwright.link_data.tracing import trace
from linkwright.quantities import InputErrors, Problem, UnknownName, split
from linkwright.records.kinds import Lot, Requirement, Test
from linkwright.records.store import Store, shown
from linkwright.records.writing import all_latest, found
from linkwright.services.csv_file import Column
from linkwright.services.failure_causes import DOUBT, CausesAnswer, causes_of_columns
from linkwright.services.passages_of_books import passages_of_books

_READ = {"weld": "weld", "harden": "harden", "temper": "temper", "stroke": "pull"}
"""Numberings that lots are traced to, and the kind of reading that each has."""


@dataclass(frozen=True)
class _Results:
    """Of each lot that was tested: its name and the mean of its results."""

    lots: tuple[str, ...]
    values: np.ndarray
    unit: str
    passages: tuple[Passage, ...]


def causes_of_lots(
    links: Path, store: Store, characteristic: str, *, least: str | None = None,
    greatest: str | None = None, plan: Path | None = None, line: str | None = None,
    doubt: float = DOUBT,
) -> CausesAnswer:  # fmt: skip
    """Rank what the machines read of lots by what it explains of their results in the books.

    Raises `UnknownName`, `ArgumentError`, `InputErrors`.
    """
    held = _results(store, characteristic)
    with opened(links) as data:
        passages, _ = passages_in(data, held.passages)
        columns = _means(data, passages, held.lots)
    if not columns:
        raise InputErrors([Problem("no-rows", "holds no readings of these lots", str(links))])
    whole = [one for one in columns if len(one.by_lot) == len(columns[0].by_lot)]
    lots = [lot for lot in held.lots if lot in columns[0].by_lot]
    value = dict(zip(held.lots, held.values.tolist(), strict=True))
    head = f"{characteristic.replace(' ', '_')}_{held.unit}"
    result = _column(head, [value[lot] for lot in lots])
    read = [_column(one.name, [one.by_lot[lot] for lot in lots]) for one in whole]
    source = f"means of {links.name} over the lots of {shown(store.place)}"
    return causes_of_columns(result, read, lots, source, least=least, greatest=greatest,
                             plan=plan, line=line, doubt=doubt)  # fmt: skip


def _column(head: str, values: Sequence[float]) -> Column:
    """Values of the lots under a name with its unit."""
    name, unit = split(head)
    return Column("lots", head, name, unit, tuple(enumerate(map(repr, values), start=1)))


@dataclass(frozen=True)
class _Mean:
    """The mean of one reading over the links of each lot."""

    name: str
    by_lot: dict[str, float]


def _results(store: Store, characteristic: str) -> _Results:
    with store.reading() as session:
        asked = {row.id: row for row in all_latest(session, Requirement)}
        wanted = {key for key, row in asked.items() if row.characteristic == characteristic}
        if not wanted:
            names = sorted({row.characteristic for row in asked.values()})
            raise UnknownName("result", characteristic, names)
        of: dict[str, list[float]] = {}
        for test in all_latest(session, Test, state="counts"):
            if test.requirement_id in wanted:
                of.setdefault(found(session, Lot, test.lot_id).name, []).append(test.value)
        unit = next(asked[key].unit for key in wanted)
        passages = passages_of_books(session)
    values = np.array([float(np.mean(one)) for one in of.values()])
    return _Results(tuple(of), values, unit, passages)


def _means(data: Dataset, passages: Passages, lots: Sequence[str]) -> list[_Mean]:
    rows: dict[str, list[tuple[str, str, int, int]]] = {kind: [] for kind in _READ}
    for lot in lots:
        if "lot" not in passages.kinds or lot not in passages.names("lot"):
            continue
        start = passages.on_line("lot", lot, *passages.extent("lot", lot))
        traced = trace(passages, "lot", start)
        for kind in _READ:
            rows[kind] += [(lot, one.name, one.first, one.last) for one in traced.found(kind)]
    return [mean for kind, held in rows.items() if held for mean in _of_kind(data, kind, held)]


def _of_kind(data: Dataset, kind: str, rows: list[tuple[str, str, int, int]]) -> list[_Mean]:
    reading = _READ[kind]
    names = [one for one in KINDS[reading].numbers if split(one)[1]]
    table = pa.table(dict(zip(("lot", "machine", "low", "high"), zip(*rows, strict=True),
                              strict=True)))  # fmt: skip
    data.connection.register("lots_asked", table)
    means = ", ".join(f'avg(read."{name}")' for name in names)
    query = (
        f"SELECT asked.lot, {means} FROM {reading} read JOIN lots_asked asked "  # noqa: S608
        "ON read.machine = asked.machine AND read.counter BETWEEN asked.low AND asked.high "
        "GROUP BY asked.lot"
    )
    found_ = data.sql(query).fetchall()
    data.connection.unregister("lots_asked")
    made = []
    for at, name in enumerate(names, start=1):
        by_lot = {row[0]: float(row[at]) for row in found_ if row[at] is not None}
        if by_lot and len(set(by_lot.values())) > 1:
            made.append(_Mean(f"{reading}_{name}", by_lot))
    return made
