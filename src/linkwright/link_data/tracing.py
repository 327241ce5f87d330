"""Following metal through passages: back to what it was made of, then on to all it became.

From a start the trace first goes back (strand to welds to coil), then on from everything that it
met (to heat treatment, strokes, pieces, lots, certificates). It never goes on by a passage that it
came back by, and where going back had to round (a link is no whole number of mm of the coil), it
goes on from there only to kinds of numbering that are not reached otherwise: so a link stays the
same link, however many numberings are asked.

Counts of machines may be off: with ``miscount`` links, every step between a machine and the metal
is widened by so many links of the metal.

- `trace`: from a set of numbers; `Traced`: what was reached, as `Found` ranges
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.link_data.passages import Passages, Side, carried
from linkwright.link_data.ranges import NOTHING, Ranges, joined, merged, without
from linkwright.quantities import CannotPlan

MACHINES = ("weld", "harden", "temper", "stroke", "gauge")
"""Numberings that a machine counts; all others are of the metal itself."""
_MEASURED = ("coil_mm",)
"""Numberings that count no links: a miscount of links does not widen them."""
_MOST_ROUNDS = 200
ORDER = ("coil_mm", "coil", "weld", "strand", "harden", "temper", "stroke", "gauge", "mark",
         "piece", "lot", "certificate")  # fmt: skip
"""Numberings in the order in which metal meets them; others follow."""


class PassagesCircle(CannotPlan):
    """Passages lead metal back into itself."""

    code = "passages-circle"


class Found(NamedTuple):
    """Numbers first to last of one numbering."""

    kind: str
    name: str
    first: int
    last: int

    @property
    def numbers(self) -> int:
        """How many numbers."""
        return self.last - self.first + 1


@dataclass(frozen=True)
class Traced:
    """What a trace reached, by kind, on the line of the passages."""

    passages: Passages
    reached: Mapping[str, Ranges]

    def found(self, kind: str | None = None) -> list[Found]:
        """Merged ranges, by kind and in the order in which numberings are known."""
        kinds = self.reached if kind is None else [kind] if kind in self.reached else []
        return [one for name in kinds for one in self._of(name)]

    def count(self, kind: str) -> int:
        """How many numbers of a kind were reached."""
        return self.reached.get(kind, NOTHING).members

    def names(self, kind: str) -> list[str]:
        """The numberings of a kind that were reached."""
        return list(dict.fromkeys(one.name for one in self.found(kind)))

    def _of(self, kind: str) -> Iterator[Found]:
        at, first, last = self.passages.split(self.reached[kind])
        known = self.passages.numberings
        for place, low, high in zip(at.tolist(), first.tolist(), last.tolist(), strict=True):
            yield Found(kind, known[place].name, low, high)


class _Walk:
    """One trace under way: what was reached surely, what only with rounding."""

    def __init__(self, passages: Passages, miscount: int) -> None:
        self.passages, self.miscount = passages, miscount
        self.exact: dict[str, Ranges] = {}
        self.loose: dict[str, Ranges] = {}
        self.used = np.zeros(passages.count, bool)

    def go_back(self, kind: str, start: Ranges) -> None:
        self.exact[kind] = start
        fresh = [kind]
        for _ in range(_MOST_ROUNDS):
            fresh = self._one_back(fresh)
            if not fresh:
                return
        raise PassagesCircle(f"the passages of {kind} lead back into themselves without an end")

    def _one_back(self, fresh: list[str]) -> list[str]:
        grown: list[str] = []
        for (older, kind), (_, side) in self.passages.pairs.items():
            if kind not in fresh:
                continue
            counted = self._counted(kind, older)
            whole, sure, used = self._step(self.exact.get(kind, NOTHING), side, kind, older)
            self.used[used] = True
            if counted and older in MACHINES:
                sure = NOTHING
            rest, _, _ = self._step(self.loose.get(kind, NOTHING), side, kind, older)
            more = _grow(self.exact, older, sure)
            more |= _grow(self.loose, older, without(joined(whole, rest), self._sure(older)))
            if more:
                grown.append(older)
        return grown

    def go_on(self) -> None:
        before = dict(self.exact)
        self._on(self.exact, list(self.exact), ())
        closed = tuple({*self.exact, *self.loose} | set(before))
        self._on(self.loose, list(self.loose), closed)

    def _on(self, reached: dict[str, Ranges], fresh: list[str], closed: tuple[str, ...]) -> None:
        for _ in range(_MOST_ROUNDS):
            grown: list[str] = []
            for (kind, newer), (side, _) in self.passages.pairs.items():
                if kind not in fresh or (newer in closed and newer != kind):
                    continue
                whole, _, _ = self._step(reached[kind], side, kind, newer, self.used)
                if _grow(reached, newer, whole):
                    grown.append(newer)
            fresh = grown
            if not fresh:
                return
        raise PassagesCircle(f"the passages of {fresh[0]} lead back into themselves forever")

    def _step(
        self, ranges: Ranges, side: Side, here: str, there: str, skipped: np.ndarray | None = None
    ) -> tuple[Ranges, Ranges, np.ndarray]:
        """One step; by a count it is widened on the side of the metal."""
        counted = self._counted(here, there)
        if counted and here not in MACHINES:
            ranges = self.passages.widened(ranges, self.miscount)
        made = carried(ranges, side, skipped)
        whole, sure = made.there, made.exact
        if counted and there not in MACHINES:
            whole = self.passages.widened(whole, self.miscount)
            sure = self.passages.widened(sure, self.miscount)
        return whole, sure, made.used

    def _counted(self, here: str, there: str) -> bool:
        metal = {here, there}.isdisjoint(_MEASURED)
        return bool(self.miscount) and metal and (here in MACHINES) != (there in MACHINES)

    def _sure(self, kind: str) -> Ranges:
        return self.exact.get(kind, NOTHING)


def trace(passages: Passages, kind: str, start: Ranges, *, miscount: int = 0) -> Traced:
    """Everything that the numbers ``start`` (on the line) of a kind came from and became.

    Raises `PassagesCircle`.
    """
    walk = _Walk(passages, miscount)
    walk.go_back(kind, start)
    walk.go_on()
    place = {one: at for at, one in enumerate(ORDER)}
    kinds = sorted({*walk.exact, *walk.loose}, key=lambda one: (place.get(one, len(place)), one))
    reached = {one: joined(walk.exact.get(one, NOTHING), walk.loose.get(one, NOTHING))
               for one in kinds}  # fmt: skip
    return Traced(passages, {one: held for one, held in reached.items() if held.first.size})


def going_nowhere(passages: Passages, kind: str, ranges: Ranges, into: str) -> Ranges:
    """The numbers of a kind from which no passage leads into another kind, such as "piece"."""
    side = passages.pairs.get((kind, into))
    if side is None:
        return ranges
    return without(ranges, merged(side[0].first, side[0].last))


def _grow(held: dict[str, Ranges], kind: str, more: Ranges) -> bool:
    """Add to a set; whether it grew."""
    if not more.first.size:
        return False
    before = held.get(kind, NOTHING)
    after = joined(before, more)
    held[kind] = after
    return not after.same(before)
