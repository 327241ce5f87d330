"""Sets of whole numbers as ranges: first and last included, sorted, apart from each other.

`Ranges` holds them as two arrays, so that a set of a million ranges costs a few sweeps.
Offers `merged`, `without`, `within` and the counting of members.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from linkwright.quantities import ArgumentError


class Ranges(NamedTuple):
    """Whole numbers from each ``first`` to its ``last``; the work of `merged`."""

    first: np.ndarray
    last: np.ndarray

    @property
    def members(self) -> int:
        """How many numbers there are.

        >>> merged([5, 1], [9, 3]).members
        8
        """
        return int(np.sum(self.last - self.first + 1)) if self.first.size else 0

    def pairs(self) -> list[tuple[int, int]]:
        """The ranges as plain pairs."""
        return list(zip(self.first.tolist(), self.last.tolist(), strict=True))

    def same(self, other: Ranges) -> bool:
        """Whether both hold the same numbers."""
        return np.array_equal(self.first, other.first) and np.array_equal(self.last, other.last)


NOTHING = Ranges(np.empty(0, np.int64), np.empty(0, np.int64))
"""No numbers."""


def merged(first: Iterable[int] | np.ndarray, last: Iterable[int] | np.ndarray) -> Ranges:
    """The union of ranges in any order; touching ones become one.

    >>> merged([10, 1, 4], [12, 3, 8]).pairs()
    [(1, 8), (10, 12)]
    """
    lows, highs = _whole(first), _whole(last)
    if lows.size != highs.size or bool(np.any(lows > highs)):
        raise ArgumentError("ranges", "first and last", "", "as many lasts, none below its first")
    if lows.size < 2:
        return Ranges(lows, highs)
    order = np.argsort(lows, kind="stable")
    lows, reach = lows[order], np.maximum.accumulate(highs[order])
    begins = np.flatnonzero(np.concatenate(([True], lows[1:] > reach[:-1] + 1)))
    ends = np.concatenate((begins[1:] - 1, [lows.size - 1]))
    return Ranges(lows[begins], reach[ends])


def joined(*sets: Ranges) -> Ranges:
    """The union of sets."""
    held = [one for one in sets if one.first.size]
    if not held:
        return NOTHING
    return merged(np.concatenate([one.first for one in held]),
                  np.concatenate([one.last for one in held]))  # fmt: skip


def without(ranges: Ranges, other: Ranges) -> Ranges:
    """The numbers of ``ranges`` that are not in ``other``.

    >>> without(merged([0], [20]), merged([5, 15], [7, 30])).pairs()
    [(0, 4), (8, 14)]
    """
    if not (ranges.first.size and other.first.size):
        return ranges
    least = min(int(ranges.first[0]), int(other.first[0])) - 2
    most = max(int(ranges.last[-1]), int(other.last[-1])) + 2
    gaps = Ranges(np.concatenate(([least], other.last + 1)),
                  np.concatenate((other.first - 1, [most])))  # fmt: skip
    return within(ranges, gaps)


def within(ranges: Ranges, other: Ranges) -> Ranges:
    """The numbers that are in both.

    >>> within(merged([0, 10], [6, 20]), merged([5], [12])).pairs()
    [(5, 6), (10, 12)]
    """
    mine, theirs = overlapping(ranges, other.first, other.last)
    if not mine.size:
        return NOTHING
    return merged(np.maximum(ranges.first[mine], other.first[theirs]),
                  np.minimum(ranges.last[mine], other.last[theirs]))  # fmt: skip


def overlapping(
    ranges: Ranges, first: np.ndarray, last: np.ndarray, reach: np.ndarray | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Pairs (place in ``ranges``, place in the list) that share a number.

    The list is sorted by ``first`` and may overlap itself; ``reach`` is its running greatest
    ``last``, where that is known already.
    """
    far = np.maximum.accumulate(last) if reach is None and last.size else reach
    if far is None or not ranges.first.size:
        return np.empty(0, np.intp), np.empty(0, np.intp)
    begin = np.searchsorted(far, ranges.first, "left")
    count = np.maximum(np.searchsorted(first, ranges.last, "right") - begin, 0)
    mine = np.repeat(np.arange(count.size), count)
    theirs = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + begin[mine]
    met = last[theirs] >= ranges.first[mine]
    return mine[met], theirs[met]


def runs(numbers: np.ndarray) -> Ranges:
    """Single numbers as ranges.

    >>> runs(np.array([7, 3, 4, 5])).pairs()
    [(3, 5), (7, 7)]
    """
    return merged(numbers, numbers)


def _whole(values: Iterable[int] | np.ndarray) -> np.ndarray:
    made = np.asarray(values if isinstance(values, np.ndarray) else list(values))
    return made.astype(np.int64) if made.size else np.empty(0, np.int64)
