"""All of it together: sources in threads of their own, one writer, and an end in order.

`Collector.run` takes until it is stopped: what comes is written, synchronised and only then
confirmed. At the end nothing new is taken, what was taken is settled, and only then the sources
part from the other side.
"""

from __future__ import annotations

import hashlib
import json
import queue
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from linkwright.link_data.live.collect_file import Collecting
from linkwright.link_data.live.counters import Counters, Finding
from linkwright.link_data.live.retries import Clock, Failed, Waits, keep_trying
from linkwright.link_data.live.row import Row
from linkwright.link_data.live.sources import Arrival, Say, Signals, Source
from linkwright.link_data.live.spool import NotWritten, Spool

MOST_WAITING = 2000
"""Arrivals that wait for the disk."""
MOST_REMEMBERED = 50_000
"""Readings that are remembered so that a repeat is known."""
_BATCH, _TICK_S, _PARTING_S = 500, 0.1, 15.0
_DISK = Waits(first_s=0.5, longest_s=30.0)


@dataclass(frozen=True)
class Until:
    """When collecting ends by itself: after a time, or when nothing has come for a while."""

    for_s: float | None = None
    quiet_s: float | None = None


@dataclass
class Tally:
    """What happened."""

    rows: int = 0
    repeats: int = 0
    set_aside: int = 0
    not_kept: int = 0
    unwritten: int = 0
    files: list[Path] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


class Collector:
    """One run of collecting."""

    def __init__(
        self, collecting: Collecting, spool: Spool, signals: Signals, say: Say,
        closed: Callable[[Path], None] | None = None,
    ) -> None:  # fmt: skip
        self._collecting, self._spool, self.signals, self._say = collecting, spool, signals, say
        self._closed = closed or (lambda path: None)
        self.sources: Sequence[Source] = ()
        self.tally, self.counters = Tally(), Counters(spool.state())
        self._queue: queue.Queue[Arrival] = queue.Queue(MOST_WAITING)
        self._known: OrderedDict[tuple[str, str, int, str], bytes] = OrderedDict()
        self._clock = Clock(signals.stop)
        self._last_arrival = time.monotonic()

    def offer(self, arrival: Arrival, wait_s: float) -> bool:
        """Take what came into the queue; False if there is no room."""
        try:
            self._queue.put(arrival, block=wait_s > 0.0, timeout=wait_s or None)
        except queue.Full:
            return False
        return True

    def recover(self) -> None:
        """Close what a fall left open, and know again what it holds."""
        kinds = {one.name: one.kind.name for one in self._collecting.readings}
        for found in self._spool.recovered():
            self._say(f"{found.path.name}: was left open by a run that did not end, and is closed")
            self.tally.files.append(found.path)
            for line in found.path.read_bytes().splitlines():
                self._remember(kinds.get(found.name), line)
            self._closed(found.path)

    def run(self, until: Until) -> None:
        """Collect until it ends; `Tally` and the sources' states say what happened."""
        threads = [threading.Thread(target=self._kept_up, args=(one, until), daemon=True)
                   for one in self.sources]  # fmt: skip
        for thread in threads:
            thread.start()
        begun = self._last_arrival = time.monotonic()
        while not self._over(begun, until):
            self._take(self._waiting())
            self._close_due()
        self.signals.stop.set()
        while not all(one.state.quiet.is_set() for one in self.sources) or self._queue.qsize():
            self._take(self._waiting())
        self.signals.close.set()
        for thread in threads:
            thread.join(_PARTING_S)
        self._close_due(every=True)
        self._spool.keep_state(self.counters.to_dict())

    def _kept_up(self, source: Source, until: Until) -> None:
        """Keep one source connected; the body of its thread."""
        told: dict[str, str] = {}
        name = f"{source.server.name} ({source.server.url})"

        def failing(why: str, delay: float | None) -> None:
            source.state.last_error = why
            if delay is None or told.get("why") != why or delay >= Waits().longest_s:
                self._say(f"{name}: {why}; {_next(delay)}")
            told["why"] = why

        def session() -> bool:
            ended = source.session()
            told.clear()
            return ended

        end = self._collecting.give_up_after_s
        if end is None and until.quiet_s is not None:
            end = 10.0
        try:
            keep_trying(session, Waits(end_s=end), self._clock, failing)
        except Exception as error:
            source.state.last_error = f"a mistake of the program: {type(error).__name__}: {error}"
            self._say(f"{source.server.name}: {source.state.last_error}")
        finally:
            source.state.quiet.set()

    def _over(self, begun: float, until: Until) -> bool:
        now = time.monotonic()
        if self.signals.stop.is_set():
            return True
        if until.for_s is not None and now - begun >= until.for_s:
            return True
        if all(one.state.quiet.is_set() for one in self.sources):
            return not self._queue.qsize()
        if until.quiet_s is None:
            return False
        there = [one.state.connections or one.state.quiet.is_set() for one in self.sources]
        if not all(there):
            self._last_arrival = now
        return now - self._last_arrival >= until.quiet_s and not self._queue.qsize()

    def _waiting(self) -> list[Arrival]:
        """What waits, after a moment for more."""
        made: list[Arrival] = []
        try:
            made.append(self._queue.get(timeout=_TICK_S))
            while len(made) < _BATCH:
                made.append(self._queue.get_nowait())
        except queue.Empty:
            pass
        return made

    def _take(self, arrivals: Sequence[Arrival]) -> None:
        """Write, synchronise, confirm."""
        if not arrivals:
            return
        self._last_arrival = time.monotonic()
        rows = [row for one in arrivals for row in one.rows]
        fresh = self._fresh(rows)
        lines: dict[str, list[bytes]] = {}
        for row in fresh:
            lines.setdefault(row.reading.name, []).append(row.line)
        asides = [aside.line() for one in arrivals for aside in one.asides]
        if (lines or asides) and not self._written(lines, asides):
            self.tally.unwritten += len(fresh) + len(asides)
            for row in fresh:
                self._known.pop(row.key, None)
            return
        for one in arrivals:
            one.confirm()
        self.tally.rows += len(fresh)
        self.tally.repeats += len(rows) - len(fresh)
        self.tally.set_aside += len(asides)
        for row in fresh:
            self._counted(row.reading.kind.name, row.machine, row.counter, row.clock)

    def _written(self, lines: dict[str, list[bytes]], asides: list[bytes]) -> bool:
        def write() -> bool:
            lost = self._spool.write(lines, asides)
            if lost and not self.tally.not_kept:
                self._say("no more room for what is set aside; it is counted only")
            self.tally.not_kept += lost
            return True

        return keep_trying(write, _DISK, self._clock, self._full) == "done"

    def _full(self, why: str, delay: float | None) -> None:
        self._say(f"{why}; {_next(delay)}")

    def _fresh(self, rows: Sequence[Row]) -> list[Row]:
        """Rows that are not told again."""
        made = []
        for row in rows:
            digest = _digest(row.content)
            known = self._known.get(row.key)
            last = self.counters.at(row.reading.kind.name, row.machine)
            again = row.told_again and (known is not None or last == (row.counter, row.clock))
            if known == digest or again:
                continue
            self._known[row.key] = digest
            if len(self._known) > MOST_REMEMBERED:
                self._known.popitem(last=False)
            made.append(row)
        return made

    def _remember(self, kind: str | None, line: bytes) -> None:
        """A row of an earlier run."""
        try:
            held: dict[str, Any] = json.loads(line)
            key = (str(held["machine"]), int(held["counter"]), str(held["clock"]))
        except (ValueError, KeyError, TypeError):
            return
        if kind is None:
            return
        for beside in ("server", "topic", "arrived", "stamps"):
            held.pop(beside, None)
        self._known[kind, *key] = _digest(json.dumps(held, sort_keys=True))
        self._counted(kind, *key)

    def _counted(self, kind: str, machine: str, counter: int, clock: str) -> None:
        found = self.counters.seen(kind, machine, counter, clock)
        if found is not None:
            self.tally.findings.append(found)
            self._say(found.sentence())

    def _close_due(self, *, every: bool = False) -> None:
        try:
            paths = self._spool.close_due(every=every)
        except NotWritten as error:
            self._say(str(error))
            return
        if paths:
            self._spool.keep_state(self.counters.to_dict())
        for path in paths:
            self.tally.files.append(path)
            try:
                self._closed(path)
            except Failed as error:
                self._say(f"{path.name}: {error}")


def _digest(content: str) -> bytes:
    return hashlib.blake2b(content.encode(), digest_size=8).digest()


def _next(delay: float | None) -> str:
    return "given up" if delay is None else f"next try in {delay:.3g} s"
