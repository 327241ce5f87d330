"""Control charts of link data: one machine's readings, and the links of points that stand out.

Charts of counts count the readings beyond given limits: p and u by the hour of the machine's
clock or by so many readings in a row, np and c by so many in a row, since they want equal samples.

- `LinkChartRequest`: the request; `chart_of_links`: the chart
- `LinkChartAnswer`: what comes out, with the `Links` of every signal
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import numpy as np

from linkwright.link_data.columns import kind
from linkwright.link_data.dataset import opened
from linkwright.link_data.statistics import Series, Span, machines, series
from linkwright.quantities import ArgumentError, InputErrors, Problem, UnknownName
from linkwright.services.control_charts import ChartAnswer, ChartRequest, chart_of_readings

_COUNTED = ("p", "np", "c", "u")
_HOUR_US = 3_600_000_000


@dataclass(frozen=True)
class LinkChartRequest:
    """What is asked: a chart whose file is a folder of link data, a kind and a machine.

    machine may be left out where there is one. since, until: times in UTC, until not included.
    least, greatest: for charts of counts, a reading below or above is counted.
    """

    chart: ChartRequest
    kind: str
    machine: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    least: float | None = None
    greatest: float | None = None

    @property
    def quantity(self) -> str:
        """What is plotted, in words; counts beyond other limits are another quantity."""
        bounds = (("least", self.least), ("greatest", self.greatest))
        beyond = [f"{name} {value:.12g}" for name, value in bounds if value is not None]
        by = f"by {self.chart.subgroup}" if self.chart.subgroup else "by hour"
        words = [*self.chart.columns, self.chart.kind, *beyond, *([by] if beyond else [])]
        return " ".join(words)


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
    _refuse_counts(request)
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
    firsts, ends = _points(read, request)
    answer = _counted(request, read, firsts, ends) if asked.kind in _COUNTED else chart_of_readings(
        asked, read.values, of.column(asked.columns[0]).unit, asked.columns
    )  # fmt: skip
    points = list(dict.fromkeys(one.point for one in answer.signals))
    links = (_links(read, one, int(firsts[one - 1]), int(ends[one - 1]) - 1) for one in points)
    return LinkChartAnswer(answer, of.name, machine, tuple(links))


def _refuse_counts(request: LinkChartRequest) -> None:
    """Limits of single readings belong to charts of counts, and these want them."""
    asked, bounds = request.chart, (request.least, request.greatest)
    if asked.size is not None:
        accepted = "no size: the readings of each point are counted"
        raise ArgumentError("size", asked.size, "", accepted)
    if asked.kind not in _COUNTED:
        for name, value in zip(("least", "greatest"), bounds, strict=True):
            if value is not None:
                accepted = "a chart of counts: " + ", ".join(_COUNTED)
                raise ArgumentError(name, value, "", accepted, f"is not for {asked.kind}")
        return
    if len(asked.columns) > 1:
        raise ArgumentError("column", ", ".join(asked.columns), "", "one column")
    if bounds == (None, None):
        accepted = "least or greatest: the readings beyond them are counted"
        raise ArgumentError("least", "none", "", accepted)
    if not all(one is None or np.isfinite(one) for one in bounds):
        raise ArgumentError("least", str(bounds), "", "finite limits")
    if None not in bounds and request.least >= request.greatest:  # type: ignore[operator]
        raise ArgumentError("least", request.least, "", f"less than {request.greatest}")
    if asked.subgroup is not None and asked.subgroup < 2:
        raise ArgumentError("subgroup", asked.subgroup, "", "2 or more readings in a row")
    if asked.kind in ("np", "c") and asked.subgroup is None:
        accepted = "so many readings in a row; p and u also go by the hour"
        raise ArgumentError("subgroup", "none", "", accepted, f"is needed for {asked.kind}")


def _points(read: Series, request: LinkChartRequest) -> tuple[np.ndarray, np.ndarray]:
    """First reading of each point and the one after its last."""
    asked = request.chart
    if asked.kind in _COUNTED and asked.subgroup is None:
        hours = read.clock // _HOUR_US
        firsts = np.flatnonzero(np.diff(hours, prepend=hours[0] - 1))
        return firsts, np.append(firsts[1:], len(hours))
    size = asked.subgroup or 1
    firsts = np.arange(len(read.clock) // size) * size
    return firsts, firsts + size


def _counted(
    request: LinkChartRequest, read: Series, firsts: np.ndarray, ends: np.ndarray
) -> ChartAnswer:
    if not len(firsts):
        accepted = f"at most {len(read.clock)}, the readings there are"
        raise ArgumentError("subgroup", request.chart.subgroup, "", accepted)
    x = read.values[:, 0]
    least = -np.inf if request.least is None else request.least
    greatest = np.inf if request.greatest is None else request.greatest
    before = np.concatenate([[0], np.cumsum((x < least) | (x > greatest))])
    counts = (before[ends] - before[firsts]).astype(float)
    asked = replace(request.chart, subgroup=None)
    sizes = None if asked.kind == "c" else (ends - firsts).astype(float)
    answer = chart_of_readings(asked, counts[:, None], "", asked.columns, sizes)
    left = len(x) - int(ends[-1])
    note = f"{left} readings at the end that fill no sample are left out"
    return replace(answer, notes=(*answer.notes, note)) if left else answer


def _links(read: Series, point: int, first: int, last: int) -> Links:
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
