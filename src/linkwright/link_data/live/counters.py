"""The machine's own running number: what was missed, told again, or begun anew.

`Counters` sees every row and tells a `Finding` where the numbers do not follow each other.
Missing numbers that come later are taken off again. The memory is bounded and is kept as plain
data, so that a new start knows where the last one ended.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any, Literal, NamedTuple

MOST_RANGES = 1000
"""Ranges of missing numbers that are remembered for a machine; the oldest go first."""


class Finding(NamedTuple):
    """Numbers that are missing, or a counter that began anew at ``first``."""

    what: Literal["gap", "anew"]
    kind: str
    machine: str
    first: int
    last: int

    def sentence(self) -> str:
        """For people."""
        of = f"{self.machine}, {self.kind}"
        if self.what == "anew":
            return f"{of}: the counter began anew at {self.first}"
        count = self.last - self.first + 1
        span = f"{self.first}" if count == 1 else f"{self.first} to {self.last}"
        return f"{of}: {count} reading{'' if count == 1 else 's'} missing, number {span}"


@dataclass
class _Line:
    last: int
    clock: str
    missing: list[tuple[int, int]] = field(default_factory=list)


class Counters:
    """Where each machine's counter is, for each kind of reading."""

    def __init__(self, kept: Mapping[str, Any] | None = None) -> None:
        self._lines: dict[tuple[str, str], _Line] = {}
        for row in (kept or {}).get("counters", ()):
            missing = [(int(first), int(last)) for first, last in row["missing"]]
            line = _Line(int(row["last"]), str(row["clock"]), missing)
            self._lines[row["kind"], row["machine"]] = line

    def seen(self, kind: str, machine: str, counter: int, clock: str) -> Finding | None:
        """Note a row; what it shows.

        >>> counters = Counters()
        >>> counters.seen("weld", "W07", 1, "1"), counters.seen("weld", "W07", 4, "2").first
        (None, 2)
        """
        line = self._lines.get((kind, machine))
        if line is None:
            self._lines[kind, machine] = _Line(counter, clock)
            return None
        if counter > line.last:
            gap = (line.last + 1, counter - 1)
            line.last, line.clock = counter, clock
            if gap[0] > gap[1]:
                return None
            line.missing = [*line.missing, gap][-MOST_RANGES:]
            return Finding("gap", kind, machine, *gap)
        if self._filled(line, counter) or not later(clock, line.clock):
            return None
        line.last, line.clock = counter, clock
        return Finding("anew", kind, machine, counter, counter)

    def at(self, kind: str, machine: str) -> tuple[int, str] | None:
        """The last number and its time."""
        line = self._lines.get((kind, machine))
        return None if line is None else (line.last, line.clock)

    def gaps(self) -> Iterator[Finding]:
        """All that is still missing."""
        for (kind, machine), line in sorted(self._lines.items()):
            for first, last in line.missing:
                yield Finding("gap", kind, machine, first, last)

    def to_dict(self) -> dict[str, Any]:
        """Plain data for the next start."""
        rows = [
            {"kind": kind, "machine": machine, "last": line.last, "clock": line.clock,
             "missing": [list(one) for one in line.missing]}
            for (kind, machine), line in sorted(self._lines.items())
        ]  # fmt: skip
        return {"counters": rows}

    @staticmethod
    def _filled(line: _Line, counter: int) -> bool:
        """Take a late number off the missing ones."""
        for place, (first, last) in enumerate(line.missing):
            if first <= counter <= last:
                parts = [(first, counter - 1), (counter + 1, last)]
                line.missing[place : place + 1] = [one for one in parts if one[0] <= one[1]]
                return True
        return False


def later(one: str, other: str) -> bool:
    """Whether a time as a machine writes it is after another of the same form."""
    try:
        return Decimal(one) > Decimal(other)
    except InvalidOperation:
        return one > other
