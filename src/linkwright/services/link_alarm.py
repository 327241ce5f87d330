"""Drift of a machine's readings: the alarm, when the change began, and which links it touches.

Single readings have heavier tails than the normal law that false alarms are reckoned by, so
medians of some readings in a row are watched. Offers `AlarmRequest` and `alarm_of_links`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.link_data.columns import kind
from linkwright.link_data.dataset import opened
from linkwright.link_data.statistics import Series, Span, machines, series
from linkwright.quality.drift_alarm import DriftAlarm, change_point, drift_alarm
from linkwright.quantities import ArgumentError, InputErrors, Problem, UnknownName
from linkwright.services.plain import SCHEMA_VERSION, plain

_LEAST_AROUND = 40
"""Medians on either side that the change point is looked for in, at least."""


@dataclass(frozen=True)
class AlarmRequest:
    """What is watched.

    group: readings that a median is of. baseline: medians of the first period. k: half the shift
    that matters, in sigma of a median. once_in: medians between two false alarms, on average.
    """

    links: Path
    kind: str
    machine: str
    column: str
    group: int = 10
    baseline: int = 250
    k: float = 2.0
    once_in: float = 1e5
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class Change:
    """Readings from the change to the alarm, or to where it ended: counters, times, strand."""

    first_counter: int
    last_counter: int
    first_clock: str
    alarm_clock: str
    minutes_to_alarm: float
    strand: str | None
    first_position: int | None
    mean_before: float
    mean_after: float


@dataclass(frozen=True)
class AlarmAnswer:
    """The alarm in medians, and what it means in links; change None where there is no alarm."""

    machine: str
    column: str
    unit: str
    medians: int
    group: int
    alarm: DriftAlarm
    change: Change | None

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        found = plain(self.alarm._asdict())[0]
        change = None if self.change is None else plain(vars(self.change))[0]
        return {
            "schema_version": SCHEMA_VERSION, "machine": self.machine, "column": self.column,
            "unit": self.unit, "medians": self.medians, "group": self.group, "alarm": found,
            "change": change,
        }  # fmt: skip


def alarm_of_links(request: AlarmRequest) -> AlarmAnswer:
    """Watch the readings of one machine. Raises `UnknownName`, `ArgumentError`, `InputErrors`."""
    of = kind(request.kind)
    if not 1 <= request.group <= 1000:
        raise ArgumentError("group", request.group, "", "1 to 1000 readings")
    with opened(request.links) as data:
        known = machines(data, of.name)
        if request.machine not in known:
            raise UnknownName("machine", request.machine, known or [f"no readings of {of.name}"])
        span = Span(request.machine, request.since, request.until)
        (read,) = series(data, of.name, (request.column,), span)
    whole = len(read.clock) // request.group
    if whole <= request.baseline:
        said = (
            f"holds {whole} medians of {request.group}, the first period wants {request.baseline}"
        )
        raise InputErrors([Problem("no-rows", said, str(request.links))])
    medians = np.median(read.values[: whole * request.group, 0].reshape(whole, -1), axis=1)
    found = drift_alarm(readings=medians, baseline=float(request.baseline), k=request.k,
                        readings_between_false_alarms=request.once_in)  # fmt: skip
    change = None if found.alarm is None else _change(read, medians, found, request.group)
    return AlarmAnswer(
        request.machine, request.column, of.column(request.column).unit, whole, request.group,
        found, change,
    )  # fmt: skip


def _change(read: Series, medians: np.ndarray, found: DriftAlarm, group: int) -> Change:
    """When it began: the likeliest step among the readings around the sum's last zero."""
    assert found.alarm is not None  # noqa: S101 - asked for only with an alarm
    begun = found.alarm - 1 if found.last_before is None else int(found.last_before)
    around = max(_LEAST_AROUND, 2 * (int(found.alarm) - begun))
    first = max(0, begun - around) * group
    last = min(len(medians), int(found.alarm)) * group
    step = change_point(readings=read.values[first:last, 0])
    at, alarm = first + step.last_before, last - 1
    minutes = (int(read.clock[alarm]) - int(read.clock[at])) / 60e6
    strand = read.strand[at] if isinstance(read.strand[at], str) and read.strand[at] else None
    known = not np.ma.getmaskarray(read.position)[at]
    return Change(
        int(read.counter[at]), int(read.counter[alarm]), _time(read.clock[at]),
        _time(read.clock[alarm]), minutes, strand if known else None,
        int(read.position[at]) if known else None, step.mean_before, step.mean_after,
    )  # fmt: skip


def _time(us: np.int64) -> str:
    return datetime.fromtimestamp(int(us) / 1e6, UTC).isoformat(timespec="seconds")
