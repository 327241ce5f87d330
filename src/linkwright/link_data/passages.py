"""Where metal went: runs of one numbering that became runs of another, as exact maps of integers.

A *numbering* counts metal or work somewhere: welds of a machine, links of a strand, strokes of a
calibrator, links of a piece. A *passage* says that numbers first to last of one became first to
last of another, in the same or the opposite sense, one to one or in any other ratio. Number i of n
and number j of m touch where [i/n, (i+1)/n) and [j/m, (j+1)/m) overlap; so a range becomes

    [floor(s m / n), ceil(e m / n))    of the half-open range [s, e)

in whole numbers: nothing is lost there or back, and nothing is rounded where n = m.
All numberings lie one after the other on one line of integers; a set of metal anywhere is then a
set of ranges on that line.

- `Passage`: one row; `Passages`: many, ready for `carried`; `passages_of`: from columns
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from linkwright.link_data.ranges import Ranges, merged, overlapping
from linkwright.quantities import ArgumentError, UnknownName

_MOST = 2**62
"""What products and the line may reach in 64 bits."""


class Passage(NamedTuple):
    """One run of metal; lasts are included, a last below its first runs backwards."""

    from_kind: str
    from_name: str
    from_first: int
    from_last: int
    to_kind: str
    to_name: str
    to_first: int
    to_last: int


class Numbering(NamedTuple):
    """What is counted where, such as ("weld", "W07")."""

    kind: str
    name: str


@dataclass(frozen=True)
class Side:
    """Passages of one pair of kinds, sorted by the side they are entered from, on the line."""

    first: np.ndarray
    last: np.ndarray
    reach: np.ndarray
    there_first: np.ndarray
    there_last: np.ndarray
    back: np.ndarray
    ident: np.ndarray


@dataclass(frozen=True)
class Passages:
    """All passages, and the line on which their numberings lie.

    ``first`` and ``last`` of each numbering, and ``start``: where its first lies on the line.
    ``pairs``: kinds (from, to), each with its passages entered from either side.
    """

    numberings: tuple[Numbering, ...]
    first: np.ndarray
    last: np.ndarray
    start: np.ndarray
    pairs: Mapping[tuple[str, str], tuple[Side, Side]]
    count: int

    @cached_property
    def places(self) -> dict[Numbering, int]:
        """Place of each numbering."""
        return {one: at for at, one in enumerate(self.numberings)}

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of numbering there are."""
        return tuple(dict.fromkeys(one.kind for one in self.numberings))

    def names(self, kind: str) -> list[str]:
        """Names of the numberings of a kind."""
        return [one.name for one in self.numberings if one.kind == kind]

    def extent(self, kind: str, name: str) -> tuple[int, int]:
        """First and last number of a numbering. Raises `UnknownName`."""
        at = self.places.get(Numbering(kind, name))
        if at is None:
            raise UnknownName(kind, name, self.names(kind) or [f"no {kind} is known"])
        return int(self.first[at]), int(self.last[at])

    def on_line(self, kind: str, name: str, first: Any, last: Any) -> Ranges:
        """Numbers of one numbering on the line; those it does not have are left out."""
        low, high = self.extent(kind, name)
        shift = int(self.start[self.places[Numbering(kind, name)]]) - low
        lows, highs = np.maximum(np.atleast_1d(first), low), np.minimum(np.atleast_1d(last), high)
        held = lows <= highs
        return merged(lows[held] + shift, highs[held] + shift)

    def split(self, ranges: Ranges) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Ranges of the line as numbering, first and last number there."""
        ends = self.start + (self.last - self.first)
        mine, at = overlapping(ranges, self.start, ends, ends)
        first = np.maximum(ranges.first[mine], self.start[at]) - self.start[at] + self.first[at]
        last = np.minimum(ranges.last[mine], ends[at]) - self.start[at] + self.first[at]
        return at, first, last

    def widened(self, ranges: Ranges, numbers: int) -> Ranges:
        """Each range longer by so many numbers at both ends, within its numbering."""
        if not numbers:
            return ranges
        at, first, last = self.split(ranges)
        low, high = self.first[at], self.last[at]
        first, last = np.maximum(first - numbers, low), np.minimum(last + numbers, high)
        shift = self.start[at] - low
        return merged(first + shift, last + shift)


class Carried(NamedTuple):
    """What becomes of ranges through passages: whole, the part without rounding, the passages."""

    there: Ranges
    exact: Ranges
    used: np.ndarray


def carried(ranges: Ranges, side: Side, skipped: np.ndarray | None = None) -> Carried:
    """The numbers that the ranges become. ``skipped``: passages that are not entered.

    exact: by passages in which each number there is made of whole numbers here or of one alone.
    """
    mine, at = overlapping(ranges, side.first, side.last, side.reach)
    if skipped is not None:
        open_ = ~skipped[side.ident[at]]
        mine, at = mine[open_], at[open_]
    here = side.last[at] - side.first[at] + 1
    there = side.there_last[at] - side.there_first[at] + 1
    begin = np.maximum(ranges.first[mine], side.first[at]) - side.first[at]
    end = np.minimum(ranges.last[mine], side.last[at]) - side.first[at] + 1
    low, high = begin * there // here, -(-end * there // here)
    back = side.back[at]
    low, high = np.where(back, there - high, low), np.where(back, there - low, high)
    first, last = side.there_first[at] + low, side.there_first[at] + high - 1
    whole = there % here == 0
    return Carried(merged(first, last), merged(first[whole], last[whole]), side.ident[at])


def passages_of(columns: Mapping[str, Any]) -> Passages:
    """Passages of eight columns called as in `Passage`: arrays, lists or Arrow columns.

    Raises `ArgumentError` where the numbers are beyond what 64 bits can hold.
    """
    count = len(columns["from_first"])
    numberings, idents = _numbered(columns, count)
    ends = [np.asarray(columns[name], np.int64) for name in _ENDS]
    a0, a1 = np.minimum(ends[0], ends[1]), np.maximum(ends[0], ends[1])
    b0, b1 = np.minimum(ends[2], ends[3]), np.maximum(ends[2], ends[3])
    back = (ends[0] > ends[1]) != (ends[2] > ends[3])
    _refuse_too_long(a0, a1, b0, b1)
    first, last, start = _laid_out(len(numberings), idents, (a0, b0), (a1, b1))
    shift = start - first
    a0, a1 = a0 + shift[idents[0]], a1 + shift[idents[0]]
    b0, b1 = b0 + shift[idents[1]], b1 + shift[idents[1]]
    known = {kind: at for at, kind in enumerate(dict.fromkeys(one.kind for one in numberings))}
    kinds = np.array([known[one.kind] for one in numberings], np.int64)
    pair = kinds[idents[0]] * len(known) + kinds[idents[1]]
    pairs = {}
    for one in np.unique(pair).tolist():
        at = np.flatnonzero(pair == one)
        named = tuple(numberings[int(idents[side][at[0]])].kind for side in (0, 1))
        pairs[named[0], named[1]] = (
            _side(a0[at], a1[at], b0[at], b1[at], back[at], at),
            _side(b0[at], b1[at], a0[at], a1[at], back[at], at),
        )
    return Passages(numberings, first, last, start, pairs, count)


def columns_of(rows: Iterable[Passage]) -> dict[str, list[Any]]:
    """Rows as columns."""
    held = list(rows)
    return {name: [row[at] for row in held] for at, name in enumerate(Passage._fields)}


_ENDS = ("from_first", "from_last", "to_first", "to_last")


def _numbered(
    columns: Mapping[str, Any], count: int
) -> tuple[tuple[Numbering, ...], tuple[np.ndarray, np.ndarray]]:
    """Each numbering once, and the place of each passage's two."""
    import pyarrow as pa  # noqa: PLC0415
    import pyarrow.compute as pc  # noqa: PLC0415

    halves = []
    for end in ("from", "to"):
        given = [columns[f"{end}_{part}"] for part in ("kind", "name")]
        texts = [one if isinstance(one, pa.Array) else pa.array(one, pa.string()) for one in given]
        halves.append(pc.binary_join_element_wise(*texts, "\x1f"))
    coded = pa.concat_arrays(halves).dictionary_encode()
    places = np.asarray(coded.indices, np.int64)
    named = [str(text).split("\x1f", 1) for text in coded.dictionary.to_pylist()]
    made = tuple(Numbering(kind, name) for kind, name in named)
    return made, (places[:count], places[count:])


def _refuse_too_long(a0: np.ndarray, a1: np.ndarray, b0: np.ndarray, b1: np.ndarray) -> None:
    here = a1.astype(float) - a0.astype(float) + 1.0
    there = b1.astype(float) - b0.astype(float) + 1.0
    if here.size and float(np.max(here * there)) > _MOST:
        raise ArgumentError("passage", "a run", "", "numbers whose product fits 62 bits")


def _laid_out(
    count: int,
    idents: tuple[np.ndarray, np.ndarray],
    lows: tuple[np.ndarray, np.ndarray],
    highs: tuple[np.ndarray, np.ndarray],
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """First and last number of each numbering, and where it starts on the line."""
    first = np.full(count, np.iinfo(np.int64).max)
    last = np.full(count, np.iinfo(np.int64).min)
    for at, low, high in zip(idents, lows, highs, strict=True):
        np.minimum.at(first, at, low)
        np.maximum.at(last, at, high)
    if count and float(np.sum(last.astype(float) - first.astype(float) + 2.0)) > _MOST:
        raise ArgumentError("passages", "their numbers", "", "numberings that fit 62 bits together")
    # a gap of one between numberings keeps ranges that touch the seam apart
    start = np.concatenate(([0], np.cumsum(last - first + 2)[:-1])) if count else first
    return first, last, start.astype(np.int64)


def _side(
    first: np.ndarray, last: np.ndarray, there_first: np.ndarray, there_last: np.ndarray,
    back: np.ndarray, ident: np.ndarray,
) -> Side:  # fmt: skip
    order = np.argsort(first, kind="stable")
    last = last[order]
    return Side(first[order], last, np.maximum.accumulate(last), there_first[order],
                there_last[order], back[order], ident[order])  # fmt: skip
