"""Figures of control charts from link data, as arrays: nothing is judged here.

Readings of a machine stand in the order of its clock, then its counter. `series` gives them;
`subgroups` means, ranges and deviations of so many in a row, `individuals` the moving ranges,
`figures` both for several columns at once,
`hourly` means and counts beyond limits, `joint` means and covariance of several columns. Files
lie by day and machine in the order they were read in, so most of this needs no sorting: it is
checked, and sorted only where it must be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

import numpy as np

from linkwright.link_data.columns import kind as kind_by_name
from linkwright.link_data.dataset import Dataset
from linkwright.quantities import ArgumentError, UnknownName


@dataclass(frozen=True)
class Span:
    """Which readings: one machine or all, from a time on, before another (both UTC)."""

    machine: str | None = None
    since: datetime | None = None
    until: datetime | None = None


EVERYTHING = Span()


class Series(NamedTuple):
    """Readings of one machine in order; values a row each reading; rows with a null left out."""

    machine: str
    clock: np.ndarray
    counter: np.ndarray
    strand: np.ndarray
    position: np.ndarray
    values: np.ndarray


class Subgroups(NamedTuple):
    """Figures of the subgroups of one machine."""

    machine: str
    mean: np.ndarray
    range: np.ndarray
    deviation: np.ndarray


class Individuals(NamedTuple):
    """Figures of single readings of one machine."""

    machine: str
    readings: int
    mean: float
    mean_moving_range: float


class Hourly(NamedTuple):
    """A row each machine and hour."""

    machine: np.ndarray
    hour: np.ndarray
    readings: np.ndarray
    mean: np.ndarray
    beyond: np.ndarray


class Joint(NamedTuple):
    """Means and covariance of several columns of one machine."""

    machine: str
    readings: int
    mean: np.ndarray
    covariance: np.ndarray


def series(
    data: Dataset, kind: str, columns: Sequence[str], span: Span = EVERYTHING
) -> list[Series]:
    """Readings by machine, in order. Raises `UnknownName` for a kind or column."""
    asked = ", ".join(("epoch_us(clock) AS clock", "counter", "strand", "position", *columns))
    made = []
    for machine, found in _by_machine(data, kind, columns, asked, span):
        values = np.column_stack([_plain(found[one]) for one in columns])
        kept = np.isfinite(values).all(axis=1)
        made.append(Series(machine, _plain(found["clock"])[kept], _plain(found["counter"])[kept],
                           _plain(found["strand"])[kept], found["position"][kept],
                           values[kept]))  # fmt: skip
    return made


def subgroups(
    data: Dataset, kind: str, column: str, size: int, span: Span = EVERYTHING
) -> list[Subgroups]:
    """Subgroups of ``size`` readings in a row; a last one that is not full is left out."""
    return [found[column][0] for found in figures(data, kind, [column], size, span)]


def individuals(
    data: Dataset, kind: str, column: str, span: Span = EVERYTHING
) -> list[Individuals]:
    """Mean and mean moving range of the readings of each machine that has two or more."""
    found = [one[column][1] for one in figures(data, kind, [column], 2, span)]
    return [one for one in found if one.readings > 1]


def figures(
    data: Dataset, kind: str, columns: Sequence[str], size: int, span: Span = EVERYTHING
) -> list[dict[str, tuple[Subgroups, Individuals]]]:
    """By machine, of every column its subgroups and its single readings, read only once."""
    if size < 2:
        raise ArgumentError("size", size, "", "2 readings or more")
    asked = ", ".join(("epoch_us(clock) AS clock", "counter", *columns))
    made = []
    for machine, found in _by_machine(data, kind, columns, asked, span):
        values = {one: _without_null(found[one]) for one in columns}
        made.append({
            one: (_in_subgroups(machine, x, size), _single(machine, x)) for one, x in values.items()
        })  # fmt: skip
    return made


def _in_subgroups(machine: str, values: np.ndarray, size: int) -> Subgroups:
    """Place by place of the subgroups: a few passes over long arrays, no short rows."""
    whole = len(values) // size * size
    places = [values[at:whole:size] for at in range(size)]
    mean, low, high = places[0].copy(), places[0].copy(), places[0].copy()
    for one in places[1:]:
        mean += one
        np.minimum(low, one, out=low)
        np.maximum(high, one, out=high)
    mean /= size
    squares = sum((one - mean) ** 2 for one in places)
    return Subgroups(machine, mean, high - low, np.sqrt(squares / (size - 1)))


def _single(machine: str, x: np.ndarray) -> Individuals:
    moved = float(np.abs(np.diff(x)).mean()) if len(x) > 1 else np.nan
    return Individuals(machine, len(x), float(x.mean()) if len(x) else np.nan, moved)


def hourly(
    data: Dataset, kind: str, column: str, least: float, greatest: float,
    span: Span = EVERYTHING,
) -> Hourly:  # fmt: skip
    """Readings of each machine and hour: how many, their mean, how many beyond the limits."""
    _known(kind, [column])
    where, given = _condition(span)
    query = (
        "SELECT machine, epoch_us(clock) // 3600000000 AS hour, "  # noqa: S608 - closed names
        f"count({column}) AS n, avg({column}) AS mean, "
        f"count(*) FILTER ({column} < $least OR {column} > $greatest) AS beyond "
        f"FROM {kind} WHERE {where} GROUP BY ALL ORDER BY ALL"
    )
    found = data.sql(query, {**given, "least": least, "greatest": greatest}).fetchnumpy()
    hour = (_plain(found["hour"]).astype(np.int64) * 3_600_000_000).astype("datetime64[us]")
    return Hourly(_plain(found["machine"]), hour, _plain(found["n"]), _plain(found["mean"]),
                  _plain(found["beyond"]))  # fmt: skip


def joint(data: Dataset, kind: str, columns: Sequence[str], span: Span = EVERYTHING) -> list[Joint]:
    """Means and covariance matrix of the readings that have all the columns."""
    _known(kind, columns)
    where, given = _condition(span)
    size = len(columns)
    pairs = [(a, b) for a in range(size) for b in range(a, size)]
    asked = [f"avg({one})" for one in columns]
    asked += [f"covar_samp({columns[a]}, {columns[b]})" for a, b in pairs]
    full = " AND ".join(f"{one} IS NOT NULL" for one in columns)
    rows = data.sql(
        f"SELECT machine, count(*), {', '.join(asked)} FROM {kind} "  # noqa: S608 - closed names
        f"WHERE {full} AND {where} GROUP BY machine HAVING count(*) > 1 ORDER BY machine",
        given,
    ).fetchall()
    made = []
    for machine, count, *figures in rows:
        matrix = np.empty((size, size))
        for (a, b), value in zip(pairs, figures[size:], strict=True):
            matrix[a, b] = matrix[b, a] = value
        made.append(Joint(machine, count, np.array(figures[:size]), matrix))
    return made


def _by_machine(
    data: Dataset, kind: str, columns: Sequence[str], asked: str, span: Span
) -> list[tuple[str, dict[str, Any]]]:
    _known(kind, columns)
    names = [span.machine] if span.machine is not None else machines(data, kind)
    where, given = _condition(span)
    made = []
    for name in names:
        only = {**given, "machine": name}
        condition = where if span.machine is not None else f"machine = $machine AND {where}"
        query = f"SELECT {asked} FROM {kind} WHERE {condition}"  # noqa: S608 - closed names
        made.append((name, _in_order(data.sql(query, only).fetchnumpy())))
    return made


def machines(data: Dataset, kind: str) -> list[str]:
    """The machines that gave readings of a kind, by the names of their folders."""
    found = {path.parent.name.removeprefix("machine=") for path in data.files(kind)}
    return sorted(found)


def _in_order(found: dict[str, Any]) -> dict[str, Any]:
    clock, counter = found["clock"], found["counter"]
    step, count = np.diff(clock), np.diff(counter)
    if ((step > 0) | ((step == 0) & (count >= 0))).all():
        return found
    order = np.lexsort((counter, clock))
    return {name: values[order] for name, values in found.items()}


def _condition(span: Span) -> tuple[str, dict[str, Any]]:
    parts: list[str] = ["true"]
    given: dict[str, Any] = {}
    if span.machine is not None:
        parts.append("machine = $machine")
        given["machine"] = span.machine
    if span.since is not None:
        parts.append("clock >= $since AND day >= $since_day")
        given |= {"since": span.since, "since_day": span.since.date()}
    if span.until is not None:
        parts.append("clock < $until AND day <= $until_day")
        given |= {"until": span.until, "until_day": span.until.date()}
    return " AND ".join(parts), given


def _known(kind: str, columns: Sequence[str]) -> None:
    numbers = kind_by_name(kind).numbers
    for one in columns:
        if one not in numbers:
            raise UnknownName("column", one, numbers)


def _without_null(values: Any) -> np.ndarray:
    made = _plain(values)
    return made[np.isfinite(made)] if np.ma.isMaskedArray(values) else made


def _plain(values: Any) -> np.ndarray:
    if np.ma.isMaskedArray(values) and values.dtype.kind == "O":
        return values.filled(None)
    if np.ma.isMaskedArray(values):
        return values.filled(np.nan if values.dtype.kind == "f" else values.fill_value)
    return np.asarray(values)
