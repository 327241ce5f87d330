"""Where every link of the invented month goes, and when: heads, coils, strands, heats, strokes.

A line of the works has three welding heads, one hardening and one tempering coil and a
calibrator. Two heads weld day and night, the third by day: 39 000 links a night of twelve hours,
61 000 a day. More than three million links run on further lines. Each strand becomes one piece of
150 m and one lot; links that the welder rejects are cut out at once, the sample is cut off the
front. All times are seconds from the begin of the month.

- `Head`, `Strand`, `Line`: who makes what when; `works_flow`: the lines for so many links
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkwright.planning.draws import stream
from linkwright.services.month.put_in import PutIn, seconds

NIGHT_LINKS, DAY_LINKS, SHIFT_S = 39_000, 61_000, 43_200.0
LINE_LINKS = 30 * (NIGHT_LINKS + DAY_LINKS)
"""What one line makes in a month of 30 days."""
SAMPLE_LINKS = 7
"""Cut off the front of every strand: five to be pulled, one of each end cut through."""
PIECE_M, LINKS_A_STROKE, STROKE_S, LEAD_LINKS = 150.0, 41, 10.25, 40
_REJECTED, _UNDISTURBED = 4e-4, 2
_TO_HARDEN_S, _BETWEEN_S, _TO_TEMPER_S, _TO_PULL_S = 1800.0, 180.0, 90.0, 3600.0
_FIRST_STRAND = (3100, 0, 4400)


@dataclass(frozen=True)
class Head:
    """A welding head: its name, rhythm and counter; ``day``: from six to six by day only."""

    machine: str
    period_s: float
    first_counter: int
    day: bool
    wear_links: int
    stop_s: float
    coil_links: int

    def weld_s(self, weld: np.ndarray | int) -> np.ndarray:
        """When it welds its weld number so and so (from 0), with the stops for dressing."""
        rest = self.stop_s / self.wear_links
        run = np.asarray(weld) * (self.period_s - rest) + self.stop_s * (
            np.asarray(weld) // self.wear_links
        )
        if not self.day:
            return np.asarray(run, float)
        return np.asarray(run + SHIFT_S * (1.0 + run // SHIFT_S))

    def coil(self, place: int) -> str:
        """Mark of its coil number so and so: heat of rod, head, number."""
        return f"H-2107/{self.machine}/{place + 1:02d}"


@dataclass(frozen=True)
class Strand:
    """A strand: its welds (from 0, ``first_weld``), those rejected, where and when it runs."""

    place: int
    mark: str
    head: Head
    first_weld: int
    rejected: tuple[int, ...]
    links: int
    harden_s: float
    first_heat: int
    pull_s: float
    first_stroke: int

    @property
    def lot(self) -> str:
        """Lot and piece carry the number of the strand."""
        return f"L{self.mark[1:]}"

    @property
    def piece(self) -> str:
        """Mark of the piece."""
        return f"P{self.mark[1:]}"

    @property
    def welds(self) -> int:
        """Welds made for it."""
        return self.links + len(self.rejected)

    @property
    def strokes(self) -> int:
        """Strokes of the calibrator; the last may hold fewer links."""
        return -(-self.links // LINKS_A_STROKE)

    @property
    def temper_s(self) -> float:
        """When its first link is under the temper pyrometer."""
        return self.harden_s + _TO_TEMPER_S

    @cached_property
    def weld_numbers(self) -> np.ndarray:
        """Numbers (from 0) of all its welds."""
        return self.first_weld + np.arange(self.welds)

    def weld_runs(self) -> Iterator[tuple[int, int, int]]:
        """Unbroken runs: first and last weld (from 0), position of the first."""
        begin, position = 0, 0
        for cut in (*self.rejected, self.welds):
            if cut > begin:
                yield self.first_weld + begin, self.first_weld + cut - 1, position
                position += cut - begin
            begin = cut + 1


@dataclass(frozen=True)
class Line:
    """A line: names of its machines, and its strands in the order in which they are hardened."""

    number: int
    heads: tuple[Head, ...]
    strands: tuple[Strand, ...]

    def name(self, letter: str) -> str:
        """Name of a machine that a line has once."""
        return f"{letter}{self.number:02d}"

    @property
    def welds(self) -> int:
        """All welds of the line."""
        return sum(one.welds for one in self.strands)


def works_flow(
    links: int, seed: int, put_in: PutIn, *, pitch_mm: float, speed_m_per_s: float, coil_links: int
) -> Iterator[Line]:
    """The lines that weld so many links, one after the other; faults lie in the first."""
    left, number = links, 0
    while left > 0:
        number += 1
        yield _line(min(left, LINE_LINKS), number, seed, put_in, pitch_mm, speed_m_per_s,
                    coil_links)  # fmt: skip
        left -= LINE_LINKS


def strand_links(pitch_mm: float) -> int:
    """Links of a whole strand: the piece and the sample."""
    return round(1e3 * PIECE_M / pitch_mm) + SAMPLE_LINKS


def stuck_positions(put_in: PutIn, pitch_mm: float) -> tuple[int, int]:
    """First and last position on the piece that the stuck electrode welded."""
    first = round(1e3 * put_in.stuck.from_m / pitch_mm)
    return first, first + round(1e3 * put_in.stuck.length_m / pitch_mm) - 1


_Made = tuple[float, Head, int, tuple[int, ...], int, int]
"""When it is welded, head, first weld, rejected, welds, number among the strands of the head."""


def _line(
    links: int, number: int, seed: int, put_in: PutIn, pitch_mm: float, speed: float, coil: int
) -> Line:
    heads = _heads(number, put_in, coil)
    whole = strand_links(pitch_mm)
    made: list[_Made] = []
    for place, (head, welds) in enumerate(zip(heads, _shares(links), strict=True)):
        first = _FIRST_STRAND[place]
        if head.machine == put_in.stuck.machine:
            first = _anchored(head, seed, put_in, pitch_mm)
        begin, count = 0, 0
        while begin < welds:
            rejected = _rejected(head, seed, count, whole)
            size = min(first or whole if count == 0 else whole + len(rejected), welds - begin)
            rejected = tuple(one for one in rejected if one < size - 1)
            end = float(head.weld_s(begin + size - 1))
            made.append((end, head, begin, rejected, size, count))
            begin, count = begin + size, count + 1
    return Line(number, heads, tuple(_scheduled(made, pitch_mm, speed)))


def _heads(number: int, put_in: PutIn, coil: int) -> tuple[Head, ...]:
    names = (f"W{number - 1:d}7A", f"W{number - 1:d}7B", f"W{number - 1:d}8")
    half = NIGHT_LINKS / 2.0
    rates = (half, half, float(DAY_LINKS - NIGHT_LINKS))
    return tuple(
        Head(name, SHIFT_S / rate, 1_000_001 + 204_310 * place, place == 2, put_in.wear.links,
             put_in.wear.stop_s, coil)
        for place, (name, rate) in enumerate(zip(names, rates, strict=True))
    )  # fmt: skip


def _shares(links: int) -> tuple[int, int, int]:
    """How many welds each head makes until the line has made so many."""
    days, rest = divmod(links, NIGHT_LINKS + DAY_LINKS)
    over = max(0, rest - NIGHT_LINKS)
    by_day = days * (DAY_LINKS - NIGHT_LINKS)
    by_day += math.floor(over * (DAY_LINKS - NIGHT_LINKS) / DAY_LINKS)
    half = (links - by_day) // 2
    return links - by_day - half, half, by_day


def _rejected(head: Head, seed: int, count: int, links: int) -> tuple[int, ...]:
    """Offsets of welds that are cut out; none in the strand of the stuck electrode."""
    if count == _UNDISTURBED and head.machine == "W07B":
        return ()
    own = stream(f"rejected/{head.machine}/{count}", seed)
    number = int(own.poisson(_REJECTED * links))
    return tuple(sorted({int(one) for one in own.integers(5, links - 5, number)}))


def _anchored(head: Head, seed: int, put_in: PutIn, pitch_mm: float) -> int:
    """Welds of its first strand, so that the third is where it should be as the slide sticks."""
    at = int(np.searchsorted(head.weld_s(np.arange(NIGHT_LINKS)), seconds(put_in.stuck.at)))
    whole = strand_links(pitch_mm)
    before = at - SAMPLE_LINKS - stuck_positions(put_in, pitch_mm)[0]
    return before - whole - len(_rejected(head, seed, 1, whole))


def _scheduled(made: list[_Made], pitch_mm: float, speed: float) -> Iterator[Strand]:
    harden_free = pull_free = 0.0
    heat, stroke = 880_001, 61_001
    ordered = sorted(made, key=lambda one: (one[0], one[1].machine))
    for place, (end, head, first, rejected, welds, count) in enumerate(ordered):
        links = welds - len(rejected)
        harden = max(end + _TO_HARDEN_S, harden_free)
        harden_free = harden + 1.02 * links * pitch_mm / 1e3 / speed + _BETWEEN_S
        pull = max(harden_free + _TO_PULL_S, pull_free)
        mark = f"S{head.machine[1:]}-{count + 1:03d}"
        one = Strand(place, mark, head, first, rejected, links, harden, heat, pull, stroke)
        pull_free = pull + STROKE_S * one.strokes + _BETWEEN_S
        heat, stroke = heat + links + LEAD_LINKS, stroke + one.strokes
        yield one
