"""Control charts of a file of readings: typed request in, chart, picture and limits out.

- `ChartRequest`: the request; `chart_of_file`: the chart; `chart_of_readings`: of arrays
- `ChartAnswer`: what comes out; `FileInUse`: a file would be replaced
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.documents.control_chart import control_chart_picture
from linkwright.quality.chart_limits import (
    KINDS,
    LEAST_READINGS,
    Limits,
    Options,
    limits_of,
    refrozen,
    set_limits,
)
from linkwright.quality.charts import USUAL_RULES, Chart, Signal, control_chart
from linkwright.quantities import (
    ArgumentError,
    InputErrors,
    Problem,
    UnknownName,
    unit_text,
)
from linkwright.services.csv_file import Column, Table, read_csv
from linkwright.services.plain import SCHEMA_VERSION, plain
from linkwright.services.written_file import FileInUse, refuse_existing, write_file

__all__ = [
    "ChartAnswer",
    "ChartRequest",
    "FileInUse",
    "Options",
    "chart_of_file",
    "chart_of_readings",
]

_LARGEST = 1_000_000


@dataclass(frozen=True)
class ChartRequest:
    """What is asked.

    columns: one, or several for points of several readings. subgroup: so many readings in a row
    make a point. size: a column or a number of pieces looked at. baseline: points that set the
    limits. limits: frozen ones, or their file; freeze: the file to write. causes: a file of point,
    cause and action.
    """

    file: Path
    kind: str = "individuals"
    columns: tuple[str, ...] = ()
    subgroup: int | None = None
    size: str | None = None
    baseline: int | None = None
    rules: tuple[int, ...] = USUAL_RULES
    options: Options = field(default_factory=Options)
    limits: Path | Limits | None = None
    freeze: Path | None = None
    causes: Path | None = None
    out: Path | None = None
    title: str | None = None
    force: bool = False


@dataclass(frozen=True)
class ChartAnswer:
    """The chart, its signals with what a person wrote of them, and the files written."""

    chart: Chart
    signals: tuple[Signal, ...]
    heads: tuple[str, ...]
    unit: str
    notes: tuple[str, ...]
    files: tuple[Path, ...] = ()

    @property
    def unanswered(self) -> tuple[Signal, ...]:
        """Signals whose cause or action nobody has written yet."""
        return tuple(one for one in self.signals if not (one.cause and one.action))

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        panels = []
        for panel in self.chart.panels:
            held = {"values": panel.values, "center": panel.center, "ucl": panel.ucl,
                    "lcl": panel.lcl, "second": panel.second}  # fmt: skip
            panels.append({"name": panel.name, **plain(held)[0]})
        limits = {key: value for key, value in self.chart.limits.to_dict().items()
                  if key != "schema_version"}  # fmt: skip
        return {
            "schema_version": SCHEMA_VERSION, "kind": self.chart.kind,
            "columns": list(self.heads), "unit": self.unit, "limits": limits, "panels": panels,
            "signals": [one.to_dict() for one in self.signals],
            "unanswered": len(self.unanswered), "notes": list(self.notes),
            "files": [str(path) for path in self.files],
        }  # fmt: skip


def chart_of_file(request: ChartRequest) -> ChartAnswer:
    """Chart the readings of a file.

    Raises `InputErrors`, `ArgumentError`, `UnknownName` for what is wrong with the request or its
    files, `FileInUse` for a file that would be replaced.
    """
    _refuse_request(request)
    table = read_csv(request.file)
    columns = _columns(table, request)
    readings = _readings(columns, request)
    sizes = _sizes(table, request, len(readings))
    unit = columns[0].unit if request.kind not in ("p", "np", "c", "u") else ""
    heads = tuple(one.head for one in columns)
    return _charted(request, readings, sizes, unit, heads, columns[0].name)


def chart_of_readings(
    request: ChartRequest,
    readings: np.ndarray,
    unit: str,
    heads: tuple[str, ...],
    sizes: np.ndarray | None = None,
) -> ChartAnswer:
    """Chart readings that come from elsewhere: a row a reading, a column each of ``heads``.

    sizes: pieces looked at, for each row of counts. Raises as `chart_of_file`.
    """
    _refuse_request(request)
    values = _in_subgroups(readings, request)
    return _charted(request, values, sizes, unit, heads, heads[0])


def _refuse_request(request: ChartRequest) -> None:
    if request.kind not in KINDS:
        raise UnknownName("kind", request.kind, KINDS)
    for path in filter(None, (request.out, request.freeze)):
        again = request.force or path == request.limits
        refuse_existing(path, force=again, read=(request.file,))


def _charted(
    request: ChartRequest,
    readings: np.ndarray,
    sizes: np.ndarray | None,
    unit: str,
    heads: tuple[str, ...],
    name: str,
) -> ChartAnswer:
    limits, notes = _limits(request, readings, sizes, unit)
    chart = control_chart(readings, limits, sizes=sizes, rules=request.rules)
    signals = _with_causes(chart.signals, request.causes)
    answer = ChartAnswer(chart, signals, heads, unit, notes)
    return replace(answer, files=_written(answer, request, name))


def _columns(table: Table, request: ChartRequest) -> list[Column]:
    if request.columns:
        return [table.column(name) for name in request.columns]
    if len(table.columns) == 1:
        return list(table.columns)
    numbers = [one for one in table.columns if one.are_numbers()]
    if request.kind == "t2" and len(numbers) > 1:
        return numbers
    if len(numbers) == 1:
        return numbers
    heads = ", ".join(one.head for one in table.columns)
    raise InputErrors([Problem("no-column", "which column?", table.file, None, "column", heads)])


def _readings(columns: Sequence[Column], request: ChartRequest) -> np.ndarray:
    lists = [column.numbers() for column in columns]
    lengths = {len(one) for one in lists}
    if len(lengths) > 1:
        named = ", ".join(f"{one.head} has {len(one.cells)}" for one in columns)
        text = f"columns of different length: {named}"
        raise InputErrors([Problem("lists", text, columns[0].file)])
    return _in_subgroups(np.array(lists).T, request)


def _in_subgroups(values: np.ndarray, request: ChartRequest) -> np.ndarray:
    if request.subgroup is None:
        return values[:, 0] if values.shape[1] == 1 else values
    if values.shape[1] > 1 or request.subgroup < 2:
        accepted = "2 or more readings in a row of one column"
        raise ArgumentError("subgroup", request.subgroup, "", accepted)
    whole = len(values) // request.subgroup
    if whole == 0:
        accepted = f"at most {len(values)}, the readings there are"
        raise ArgumentError("subgroup", request.subgroup, "", accepted)
    return values[: whole * request.subgroup, 0].reshape(whole, request.subgroup)


def _sizes(table: Table, request: ChartRequest, count: int) -> np.ndarray | None:
    if request.size is None:
        return None
    try:
        number = float(request.size)
    except ValueError:
        held = table.column(request.size).numbers()
        if len(held) != count:
            text = f"{len(held)} sizes for {count} points"
            raise InputErrors([Problem("lists", text, table.file, None, request.size)]) from None
        return np.array(held)
    return np.full(count, number)


def _limits(
    request: ChartRequest, readings: np.ndarray, sizes: np.ndarray | None, unit: str
) -> tuple[Limits, tuple[str, ...]]:
    held = request.limits
    old = _read_limits(held) if isinstance(held, Path) else held
    if old is not None and request.freeze is None:
        if old.kind != request.kind or old.unit != unit:
            accepted = f"{old.kind} in {old.unit or 'no unit'}, as the limits are"
            raise ArgumentError("kind", f"{request.kind} in {unit or 'no unit'}", "", accepted)
        return old, ()
    first = len(readings) if request.baseline is None else request.baseline
    if not 3 <= first <= len(readings):
        raise ArgumentError("baseline", first, "", f"3 to {len(readings)} points")
    part = None if sizes is None else sizes[:first]
    made = set_limits(
        request.kind, readings[:first], sizes=part, unit=unit, options=request.options
    )
    notes = []
    if first < LEAST_READINGS:
        notes.append(f"limits from {first} points are a guess; {LEAST_READINGS} or more are usual")
    if request.subgroup and len(readings) * request.subgroup != readings.size:
        notes.append("readings at the end that fill no subgroup are left out")
    return (refrozen(made, old) if old is not None else made), tuple(notes)


def _read_limits(path: Path) -> Limits:
    if not path.is_file() or path.stat().st_size > _LARGEST:
        raise InputErrors([Problem("file", "is no file of limits", str(path))])
    try:
        data = json.loads(path.read_text("utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputErrors([Problem("syntax", f"is not JSON: {error}", str(path))]) from None
    return limits_of(data if isinstance(data, dict) else {}, str(path))


def _with_causes(signals: tuple[Signal, ...], path: Path | None) -> tuple[Signal, ...]:
    """The signals with cause and action from a file of point, cause and action."""
    if path is None:
        return signals
    table = read_csv(path)
    points = [int(one) for one in table.column("point").numbers()]
    held: dict[int, tuple[str, str]] = {}
    causes, actions = table.column("cause").texts(), table.column("action").texts()
    for at, point in enumerate(points):
        cause = causes[at] if at < len(causes) else ""
        held[point] = (cause, actions[at] if at < len(actions) else "")
    strange = sorted(set(held) - {one.point for one in signals})
    if strange:
        listed = ", ".join(str(one.point) for one in signals) or "no point"
        text = f"point {strange[0]} gives no signal"
        raise InputErrors([Problem("value", text, str(path), None, "point", listed)])
    return tuple(
        replace(one, cause=held[one.point][0] or None, action=held[one.point][1] or None)
        if one.point in held
        else one
        for one in signals
    )


def _written(answer: ChartAnswer, request: ChartRequest, column: str) -> tuple[Path, ...]:
    made: list[Path] = []
    if request.out is not None:
        name = " and ".join(head.replace("_", " ") for head in answer.heads[:3])
        quantity = column.replace("_", " ") if len(answer.heads) == 1 else name
        title = request.title or f"{request.kind}: {quantity}, {request.file.name}"
        shown = unit_text(answer.unit) if answer.unit else ""
        drawing = control_chart_picture(answer.chart, title, quantity, shown)
        made.append(write_file(request.out, drawing.text()))
    if request.freeze is not None:
        text = json.dumps(answer.chart.limits.to_dict(), indent=2, allow_nan=False) + "\n"
        made.append(write_file(request.freeze, text))
    return tuple(made)
