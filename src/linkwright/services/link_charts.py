"""Control charts of link data: one machine's readings, and the links of points that stand out.

- `LinkChartRequest`: the request; `chart_of_links`: the chart
- `LinkChartAnswer`: what comes out, with the `Links` of every signal
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np

from linkwright.link_data.columns import kind
from linkwright.link_data.dataset import opened
from linkwright.link_data.statistics import Series, Span, machines, series
from linkwright.quantities import ArgumentError, InputErrors, Problem, UnknownName
from linkwright.services.control_charts import ChartAnswer, ChartRequest, chart_of_readings

_COUNTED = ("p", "np", "c", "u")


@dataclass(frozen=True)
class LinkChartRequest:
    """What is asked: a chart whose file is a folder of link data, a kind and a machine.

    machine may be left out where there is one. since, until: times in UTC, until not included.
    """

    chart: ChartRequest
    kind: str
    machine: str | None = None
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class Links:
    """The readings of one point: counters and times of the first and last, strand, positions."""

    point: int
    first_counter: int
    last_counter: int
    first_clock: str
    last_clock: str
    strand: str | None
    first_position: int | None
    last_position: int | None


@dataclass(frozen=True)
class LinkChartAnswer:
    """The chart and the links of its signals, in the order of the signals' points."""

    chart: ChartAnswer
    kind: str
    machine: str
    links: tuple[Links, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        links = [dict(vars(one)) for one in self.links]
        of = {"link_kind": self.kind, "machine": self.machine, "links": links}
        return {**self.chart.to_dict(), **of}


def chart_of_links(request: LinkChartRequest) -> LinkChartAnswer:
    """Chart the readings of one machine. Raises as `chart_of_file`."""
    asked, of = request.chart, kind(request.kind)
    if asked.kind in _COUNTED:
        raise ArgumentError("kind", asked.kind, "", "a chart of measured readings", "counts pieces")
    if not asked.columns:
        found = ", ".join(of.numbers)
        raise InputErrors([Problem("no-column", "which column?", str(asked.file), None, "column",
                                   found)])  # fmt: skip
    with opened(asked.file) as data:
        known = machines(data, of.name)
        machine = request.machine or (known[0] if len(known) == 1 else None)
        if machine is None:
            words = "which machine?" if known else f"holds no readings of {of.name}"
            raise InputErrors([Problem("no-machine", words, str(asked.file), None, "machine",
                                       ", ".join(known) or "other readings")])  # fmt: skip
        if machine not in known:
            raise UnknownName("machine", machine, known)
        span = Span(machine, request.since, request.until)
        (read,) = series(data, of.name, asked.columns, span)
    if not len(read.clock):
        raise InputErrors([Problem("no-rows", "no reading in that time", str(asked.file))])
    values = read.values if asked.subgroup or len(asked.columns) > 1 else read.values[:, :1]
    answer = chart_of_readings(asked, values, of.column(asked.columns[0]).unit, asked.columns)
    points = list(dict.fromkeys(one.point for one in answer.signals))
    size = asked.subgroup or 1
    return LinkChartAnswer(
        answer, of.name, machine, tuple(_links(read, point, size) for point in points)
    )


def _links(read: Series, point: int, size: int) -> Links:
    first, last = (point - 1) * size, point * size - 1
    same = read.strand[first] == read.strand[last] and isinstance(read.strand[first], str)
    return Links(
        point, int(read.counter[first]), int(read.counter[last]),
        _time(read.clock[first]), _time(read.clock[last]),
        str(read.strand[first]) if same else None,
        _whole(read.position, first) if same else None,
        _whole(read.position, last) if same else None,
    )  # fmt: skip


def _time(us: np.int64) -> str:
    return datetime.fromtimestamp(int(us) / 1e6, UTC).isoformat()


def _whole(values: np.ndarray, at: int) -> int | None:
    return None if np.ma.getmaskarray(values)[at] else int(values[at])
