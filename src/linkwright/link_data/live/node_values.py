"""From values of nodes, each with its own time, to rows: the count says when a row is whole.

A server tells each node by itself, and several counts in one notice. The machine writes its
values and then counts: a row holds, for each column, the newest value that is no later than the
count (by ``late_s`` at most), as a value holds until the next. All times are source timestamps.
A value whose status is not good is no number: its row is set aside, with all that is known.
"""

from __future__ import annotations

import bisect
import datetime
import json
from collections import deque
from collections.abc import Callable
from typing import Any, NamedTuple

from linkwright.link_data.live.collect_file import Reading
from linkwright.link_data.live.row import Aside, Row, Wrong, judged, utc_text

MOST_HELD = 10_000
"""Values of one node that are held while counts are waited for."""
_OVERFLOW = 0x0480
Moment = datetime.datetime


class Sample(NamedTuple):
    """What a server told of a node: value, status code and name, both times."""

    value: Any
    status: int
    status_name: str
    source: Moment | None
    server: Moment | None

    @property
    def good(self) -> bool:
        """Whether the value may be used."""
        return self.status >> 30 == 0

    @property
    def overflowed(self) -> bool:
        """Whether the server had to drop values before this one."""
        return self.status & _OVERFLOW == _OVERFLOW

    def stamps(self) -> list[Any]:
        """Source time, server time, status code."""
        times = [None if one is None else utc_text(one) for one in (self.source, self.server)]
        return [*times, self.status]


class Joining:
    """The values of one reading's nodes, and the counts that wait for them."""

    def __init__(self, reading: Reading, server: str) -> None:
        self._reading, self._server = reading, server
        self._held: dict[str, list[Sample]] = {one.column.name: [] for one in reading.columns}
        self._counts: deque[tuple[float, Sample]] = deque()
        self._settled: Sample | None = None
        self._late = datetime.timedelta(seconds=reading.late_s)

    def add(self, name: str, sample: Sample, now: float) -> None:
        """Take what the server told of the node of a column."""
        if name == "counter":
            if len(self._counts) < MOST_HELD:
                self._counts.append((now, sample))
            return
        held = self._held[name]
        bisect.insort(held, sample, key=_time)
        del held[:-MOST_HELD]

    def due(
        self, now: float, arrived: Callable[[], str], *, every: bool = False
    ) -> list[Row | Aside]:
        """The rows whose values have had time to come; all that wait if ``every``."""
        patience = self._reading.interval_s + self._reading.late_s
        made: list[Row | Aside] = []
        while self._counts and (every or now - self._counts[0][0] >= patience):
            count = self._counts.popleft()[1]
            if self._settled is None or count[:4] != self._settled[:4]:
                made.append(self._row(count, arrived()))
        return made

    def _row(self, count: Sample, arrived: str) -> Row | Aside:
        used = {"counter": count}
        try:
            self._usable("counter", count)
            assert count.source is not None  # noqa: S101 - has just been looked at
            for one in self._reading.columns:
                name = one.column.name
                if name != "counter":
                    used[name] = self._value(name, count.source, fresh=one.fresh)
                    self._usable(name, used[name])
            values = {name: sample.value for name, sample in used.items()}
            values.setdefault("clock", count.source)
            beside = {"server": self._server, "arrived": arrived, "stamps": _stamps(used)}
            row = judged(self._reading, self._reading.machine, values, beside, told_again=True)
        except Wrong as error:
            text = {name: [str(one.value)[:80], *one.stamps()] for name, one in used.items()}
            place = self._reading.name
            return Aside(self._server, place, str(error), json.dumps(text), arrived)
        finally:
            self._settled = count
            self._forget(count)
        return row

    def _usable(self, name: str, sample: Sample) -> None:
        if not sample.good:
            raise Wrong(f"{name}: status {sample.status_name}")
        if sample.source is None:
            raise Wrong(f"{name}: has no source timestamp")

    def _value(self, name: str, moment: Moment, *, fresh: bool) -> Sample:
        """The newest value no later than the count."""
        held = self._held[name]
        at = bisect.bisect_right(held, _aware(moment) + self._late, key=_time)
        if not at:
            raise Wrong(f"{name}: no value is known from before the count")
        found = held[at - 1]
        if fresh and self._settled is not None and _time(found) <= _time(self._settled):
            raise Wrong(f"{name}: was not written since the count before")
        return found

    def _forget(self, count: Sample) -> None:
        """Values that no later count can need."""
        if count.source is None:
            return
        for held in self._held.values():
            at = bisect.bisect_right(held, _aware(count.source), key=_time)
            del held[: max(at - 1, 0)]


_BEGINNING = datetime.datetime(1, 1, 1, tzinfo=datetime.UTC)


def _time(sample: Sample) -> Moment:
    return _BEGINNING if sample.source is None else _aware(sample.source)


def _aware(moment: Moment) -> Moment:
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=datetime.UTC)


def _stamps(used: dict[str, Sample]) -> dict[str, list[Any]]:
    return {name: sample.stamps() for name, sample in used.items()}
