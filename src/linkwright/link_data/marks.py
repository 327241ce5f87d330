"""A failed link found by counting to a serial mark.

Marks are passages from a strand or piece to a numbering of the kind "mark", called by its serial.
Counting ``count`` links from a mark gives a link on either side; a second mark that was counted
towards says which. A miscount of n links widens both.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.link_data.passages import Passages
from linkwright.link_data.ranges import NOTHING, Ranges, joined
from linkwright.link_data.tracing import trace


class Candidates(NamedTuple):
    """Links that the failed one may be; ``sides``: 1 if the direction is known, else 2."""

    kind: str
    links: Ranges
    sides: int


def links_by_mark(
    passages: Passages, serial: str, count: int, *, toward: str | None = None, miscount: int = 0
) -> Candidates:
    """Links that lie ``count`` links from a mark. Raises `UnknownName` for a serial not known.

    ``toward``: another mark that the count went towards. Marks on several pieces give all.
    """
    kind, places = _places(passages, serial)
    ends = NOTHING if toward is None else _places(passages, toward)[1]
    found, sides = [], 1
    at, first, last = passages.split(places)
    other, there, _ = passages.split(ends)
    for numbering, low, high in zip(at.tolist(), first.tolist(), last.tolist(), strict=True):
        same = [int(one) for one, where in zip(there.tolist(), other.tolist(), strict=True)
                if where == numbering]  # fmt: skip
        ways = [1 if same[0] > low else -1] if same else [-1, 1]
        sides = max(sides, len(ways))
        name = passages.numberings[numbering].name
        for way in ways:
            middle = high + count if way > 0 else low - count
            found.append(passages.on_line(kind, name, middle - miscount, middle + miscount))
    return Candidates(kind, joined(*found), sides)


def _places(passages: Passages, serial: str) -> tuple[str, Ranges]:
    """The links that bear a mark, in the strand if it is known there, else in their piece."""
    start = passages.on_line("mark", serial, *passages.extent("mark", serial))
    reached = trace(passages, "mark", start).reached
    kind = next(one for one in ("strand", "piece", "lot") if one in reached)
    return kind, reached[kind]
