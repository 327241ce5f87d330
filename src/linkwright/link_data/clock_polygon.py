"""Offset and drift of one machine's clock against another's, from the order of links.

A link passes machine A at a by A's clock and machine B at b by B's. Between them lies a delay d of
A's time, at least l and at most u (way over fastest and slowest speed). B's clock shows
b = t + offset + drift (t - reference) at A's time t = a + d, so each link says

    offset + drift (a + l - ref) <= b - (a + l)   and   offset + drift (a + u - ref) >= b - (a + u)

(B's clock runs forwards). The pairs (offset, drift) that all links allow are a convex polygon:
lines that pass below one set of points and above another. Only the hulls of the two sets matter,
and at drift m the offset lies between two piecewise-linear functions, one concave and one convex,
whose corners are the slopes of the hulls' edges. So millions of half-planes cost one sort.

- `clock_polygon`: its corners; empty where no clock could be so
- `clock_segments`: the least number of stretches of links that each have one, and where they part
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

MOST_DRIFT = 1e-3
"""No works clock loses more: 86 s a day (own assumption; an argument)."""
_ROUNDING_S = 1e-9
_BLOCK = 2048


class Bounds(NamedTuple):
    """What links say: points that the line passes below (x_over, over), above (x_under, under).

    Reduced to their hulls; times in s from a reference.
    """

    x_over: np.ndarray
    over: np.ndarray
    x_under: np.ndarray
    under: np.ndarray


class Segment(NamedTuple):
    """Links first to last (places in their order) that one offset and drift explain."""

    first: int
    last: int
    corners: np.ndarray


class Parting(NamedTuple):
    """A clock was set or jumped between these links: after ``after``, before ``before``."""

    after: int
    before: int


@dataclass(frozen=True)
class Segments:
    """Segments in the order of links, and where they part."""

    held: tuple[Segment, ...]
    partings: tuple[Parting, ...]


def bounds_of(
    here_s: np.ndarray, there_s: np.ndarray, least_s: np.ndarray, greatest_s: np.ndarray
) -> Bounds:
    """Half-planes of links as points, reduced to what can matter. Delays of each link."""
    early, late = here_s + least_s, here_s + greatest_s
    over = _lower_hull(early, there_s - early)
    x, y = _lower_hull(late, late - there_s)
    return Bounds(*over, x, -y)


def clock_polygon(bounds: Bounds, most_drift: float = MOST_DRIFT) -> np.ndarray:
    """Corners (offset_s, drift) of what the links allow, in order; none if nothing fits."""
    drift, over, under = _chains(bounds, most_drift)
    room = over - under
    inside = np.flatnonzero(room >= -_ROUNDING_S)
    if not inside.size:
        return np.empty((0, 2))
    first, last = int(inside[0]), int(inside[-1])
    drift, over, under = _to_the_ends(drift, over, under, first, last)
    upper = np.column_stack((np.maximum(over, under), drift))
    lower = np.column_stack((np.minimum(under, over), drift))
    return _distinct(np.concatenate((lower, upper[::-1])))


def centre(corners: np.ndarray) -> tuple[float, float]:
    """Centroid of the polygon; of a line or point the middle of its corners."""
    about = corners.mean(axis=0)
    x, y = (corners - about).T
    turn = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = float(turn.sum())
    size = float(np.ptp(x) * np.ptp(y))
    if corners.shape[0] < 3 or abs(area) <= 1e-9 * size:
        return float(about[0]), float(about[1])
    middle = [float(((one + np.roll(one, -1)) * turn).sum() / (3.0 * area)) for one in (x, y)]
    return float(about[0]) + middle[0], float(about[1]) + middle[1]


def clock_segments(
    here_s: np.ndarray, there_s: np.ndarray, least_s: np.ndarray, greatest_s: np.ndarray,
    most_drift: float = MOST_DRIFT,
) -> Segments:  # fmt: skip
    """Stretches of links, in the order given, that one offset and drift explain each.

    Each reaches as far as any can, which makes their number least. Going backwards finds how early
    the clock can have been set; between both nothing is certain.
    """
    given = (here_s, there_s, least_s, greatest_s)
    count = here_s.size
    reaching = _Blocks(given)
    starts = reaching.starts(most_drift)
    early: list[int] = []
    if len(starts) > 1:
        backwards = _Blocks(tuple(one[::-1] for one in given)).starts(most_drift)
        early = sorted(count - start for start in backwards[1:])
    partings = [Parting(min(first, last) - 1, last)
                for first, last in zip(early, starts[1:], strict=True)]  # fmt: skip
    held = []
    for at, start in enumerate(starts):
        # links that both neighbours explain may belong to either: they say nothing here
        sure = partings[at].after if at < len(partings) else count - 1
        end = partings[at].before - 1 if at < len(partings) else count - 1
        hull = reaching.hull(start, max(sure, start) + 1)
        held.append(Segment(start, end, clock_polygon(hull, most_drift)))
    return Segments(tuple(held), tuple(partings))


class _Blocks:
    """Links in blocks, each reduced to its hulls once."""

    def __init__(self, given: tuple[np.ndarray, ...]) -> None:
        self.given, self.count = given, int(given[0].size)
        self.blocks = [self._plain(at, at + _BLOCK) for at in range(0, self.count, _BLOCK)]

    def hull(self, start: int, end: int) -> Bounds:
        """Of links ``start`` up to ``end``, which is not included."""
        first, last = -(-start // _BLOCK), end // _BLOCK
        if end == self.count:
            last = len(self.blocks)
        if first >= last:
            return self._plain(start, end)
        parts = self.blocks[first:last]
        if start < first * _BLOCK:
            parts = [self._plain(start, first * _BLOCK), *parts]
        if end > last * _BLOCK:
            parts = [*parts, self._plain(last * _BLOCK, end)]
        return _together(parts)

    def starts(self, most_drift: float) -> list[int]:
        """Where each longest stretch begins."""
        found = [0]
        while (end := self._reaches(found[-1], most_drift)) < self.count:
            found.append(end)
        return found

    def _plain(self, start: int, end: int) -> Bounds:
        return bounds_of(*(one[start:end] for one in self.given))

    def _reaches(self, start: int, most_drift: float) -> int:
        """First link that does not fit those from ``start`` on: doubling, then halving."""

        def fits(end: int) -> bool:
            return clock_polygon(self.hull(start, end), most_drift).size > 0

        if fits(self.count):
            return self.count
        low, step = start + 1, 2  # one link always fits
        while low + step < self.count and fits(low + step):
            low, step = low + step, 2 * step
        high = min(low + step, self.count)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if fits(middle) else (low, middle)
        return low


def _together(parts: list[Bounds]) -> Bounds:
    over = _lower_hull(*(np.concatenate([part[at] for part in parts]) for at in (0, 1)))
    x = np.concatenate([part.x_under for part in parts])
    y = np.concatenate([part.under for part in parts])
    x, y = _lower_hull(x, -y)
    return Bounds(*over, x, -y)


def _chains(bounds: Bounds, most_drift: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Drifts at which either side of the polygon may turn, greatest and least offset there."""
    slopes = [np.diff(y) / np.diff(x) for x, y in
              ((bounds.x_over, bounds.over), (bounds.x_under, bounds.under))]  # fmt: skip
    turns = np.concatenate((*slopes, [-most_drift, most_drift]))
    drift = np.unique(np.clip(turns, -most_drift, most_drift))
    at = np.searchsorted(slopes[0], drift)
    over = bounds.over[at] - drift * bounds.x_over[at]
    at = np.searchsorted(-slopes[1], -drift)
    under = bounds.under[at] - drift * bounds.x_under[at]
    return drift, over, under


def _to_the_ends(
    drift: np.ndarray, over: np.ndarray, under: np.ndarray, first: int, last: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The chains from where they meet to where they part; both are straight between turns."""
    room = over - under
    rows = np.column_stack((drift, over, under))
    parts = [rows[first : last + 1]]
    if first and room[first] > 0.0:
        share = room[first] / (room[first] - room[first - 1])
        parts.insert(0, (rows[first] + share * (rows[first - 1] - rows[first]))[None])
    if last + 1 < drift.size and room[last] > 0.0:
        share = room[last] / (room[last] - room[last + 1])
        parts.append((rows[last] + share * (rows[last + 1] - rows[last]))[None])
    made = np.concatenate(parts)
    return made[:, 0], made[:, 1], made[:, 2]


def _distinct(corners: np.ndarray) -> np.ndarray:
    """Without corners that repeat the one before."""
    apart = np.any(np.abs(corners - np.roll(corners, 1, axis=0)) > 0.0, axis=1)
    return corners[apart] if apart.any() else corners[:1]


def _lower_hull(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The lower convex hull of points, by x.

    A point on or above the chord of two others is none of its corners; dropping all of them at
    once, again and again, leaves few; the last are done one by one.
    """
    if not bool(np.all(x[1:] > x[:-1])):
        order = np.lexsort((y, x))
        x, y = x[order], y[order]
        first = np.concatenate(([True], x[1:] > x[:-1]))
        x, y = x[first], y[first]
    for _ in range(40):
        if x.size < 64:
            break
        below = (y[1:-1] - y[:-2]) * (x[2:] - x[:-2]) < (y[2:] - y[:-2]) * (x[1:-1] - x[:-2])
        if below.all():
            return x, y
        kept = np.concatenate(([True], below, [True]))
        x, y = x[kept], y[kept]
    kept_at: list[int] = []
    xs, ys = x.tolist(), y.tolist()
    for at in range(len(xs)):
        while len(kept_at) > 1 and _turns_down(xs, ys, kept_at[-2], kept_at[-1], at):
            kept_at.pop()
        kept_at.append(at)
    return x[kept_at], y[kept_at]


def _turns_down(xs: list[float], ys: list[float], a: int, b: int, c: int) -> bool:
    """Whether b lies on or above the chord from a to c."""
    return (ys[b] - ys[a]) * (xs[c] - xs[a]) >= (ys[c] - ys[a]) * (xs[b] - xs[a])
