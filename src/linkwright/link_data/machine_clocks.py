"""What is known of two machines' clocks: kept by version, and used to widen spans of time.

- `relation_of_links`: offset and drift from links that passed both machines
- `Relation.there`, `Relation.back`: a span of time on the other clock, widened by all that the
  polygon allows; `span_between`: over machines in between
- `keep_relation`, `kept_relations`: LINKS/clocks/<machine>--<machine>/v0001.json, never overwritten
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from linkwright.link_data.clock_polygon import MOST_DRIFT, centre, clock_segments
from linkwright.quantities import ArgumentError, CannotPlan, InputErrors, Problem

FOLDER = "clocks"
_FORMAT = 1
_US = 1_000_000
_VERSION = re.compile(r"v(\d{4,9})\.json", re.ASCII)


class NoRelation(CannotPlan):
    """Nothing is known of two clocks."""

    code = "clocks-unknown"


class Span(NamedTuple):
    """A span of time in whole microseconds since 1970, both ends included."""

    first_us: int
    last_us: int


@dataclass(frozen=True)
class Stretch:
    """Offset and drift while nobody set a clock.

    here, there: the span on either clock for which it holds. corners: (offset_s, drift) about
    ``reference_us``, a time of the first clock.
    """

    here: Span
    there: Span
    reference_us: int
    corners: tuple[tuple[float, float], ...]
    links: int

    @property
    def middle(self) -> tuple[float, float]:
        """The estimate: offset in s and drift at the centre of the polygon."""
        return centre(np.array(self.corners))

    @property
    def doubt_s(self) -> float:
        """Half the widest span of the offset within the stretch."""
        times = [(end - self.reference_us) / _US for end in self.here]
        spread = [np.ptp([o + d * t for o, d in self.corners]) for t in times]
        return float(max(spread)) / 2.0


@dataclass(frozen=True)
class Relation:
    """Clock of ``there`` against that of ``here``: stretches in order, parted where one was set."""

    here: str
    there: str
    least_s: float
    greatest_s: float
    resolution_s: float
    stretches: tuple[Stretch, ...]
    set_between: tuple[Span, ...]
    version: int = 0

    def span_there(self, span: Span) -> Span:
        """What ``there`` showed while ``here`` showed the span, as wide as it can have been."""
        spans = [_mapped(span, one, forwards=True) for one in self._touched(span, "here")]
        return _round(spans)

    def span_here(self, span: Span) -> Span:
        """The same the other way."""
        spans = [_mapped(span, one, forwards=False) for one in self._touched(span, "there")]
        return _round(spans)

    def passed(self, span: Span) -> Span:
        """When links that were at ``here`` in the span were at ``there``, by its clock."""
        at = self.span_there(Span(span.first_us + _us(self.least_s, -1),
                                  span.last_us + _us(self.greatest_s, 1)))  # fmt: skip
        grain = _us(self.resolution_s, 1)
        return Span(at.first_us - grain, at.last_us + grain)

    def _touched(self, span: Span, end: str) -> list[Stretch]:
        """Stretches that the span may lie in; the nearest ones hold before, after and between."""
        held = [getattr(one, end) for one in self.stretches]
        touched = [one for one, at in zip(self.stretches, held, strict=True)
                   if at.first_us <= span.last_us and at.last_us >= span.first_us]  # fmt: skip
        for edge in span:
            inside = [at.first_us <= edge <= at.last_us for at in held]
            if not any(inside):
                before = [k for k, at in enumerate(held) if at.last_us < edge]
                after = [k for k, at in enumerate(held) if at.first_us > edge]
                near = [before[-1]] if before else []
                near += [after[0]] if after else []
                touched += [self.stretches[k] for k in near]
        return touched

    def to_dict(self) -> dict[str, Any]:
        """Plain data, as it is kept."""
        return {
            "format": _FORMAT, "here": self.here, "there": self.there, "version": self.version,
            "least_delay_s": self.least_s, "greatest_delay_s": self.greatest_s,
            "resolution_s": self.resolution_s,
            "stretches": [
                {"here_us": list(one.here), "there_us": list(one.there), "links": one.links,
                 "reference_us": one.reference_us, "offset_s": one.middle[0],
                 "drift": one.middle[1], "doubt_s": one.doubt_s,
                 "corners": [list(corner) for corner in one.corners]}
                for one in self.stretches
            ],
            "set_between_us": [list(one) for one in self.set_between],
        }  # fmt: skip


def relation_of_links(
    names: tuple[str, str], here_us: np.ndarray, there_us: np.ndarray,
    delay_s: tuple[float, float], *, resolution_s: float = 0.0, most_drift: float = MOST_DRIFT,
) -> Relation:  # fmt: skip
    """The relation of two clocks from links in the order in which the first machine counted them.

    ``delay_s``: least and greatest time of a link from the first machine to the second.
    ``resolution_s``: a clock that shows whole seconds may be off by so much.
    Raises `ArgumentError` without links or with bounds in the wrong order.
    """
    least, greatest = delay_s
    if not here_us.size:
        raise ArgumentError("links", 0, "", "at least one link that passed both machines")
    if not least <= greatest:
        raise ArgumentError("delay", f"{least} to {greatest}", "s", "a least and a greatest time")
    reference = int(here_us[0])
    here = (here_us - reference) / _US
    there = (there_us - reference) / _US
    low = np.full(here.size, least - resolution_s)
    high = np.full(here.size, greatest + resolution_s)
    found = clock_segments(here, there, low, high, most_drift)
    stretches = []
    for one in found.held:
        part = slice(one.first, one.last + 1)
        a, b = here_us[part], there_us[part]
        corners = tuple((float(o), float(d)) for o, d in one.corners)
        stretches.append(Stretch(Span(int(a.min()), int(a.max())), Span(int(b.min()), int(b.max())),
                                 reference, corners, int(a.size)))  # fmt: skip
    partings = tuple(Span(int(min(here_us[max(one.after, 0)], here_us[one.before])),
                          int(max(here_us[max(one.after, 0)], here_us[one.before])))
                     for one in found.partings)  # fmt: skip
    return Relation(*names, least, greatest, resolution_s, tuple(stretches), partings)


def span_between(relations: Sequence[Relation], start: str, end: str, span: Span) -> Span:
    """A span of one machine's clock on another's, over as few machines as there can be.

    Raises `NoRelation` if no chain of known clocks leads there.
    """
    if start == end:
        return span
    reached = {start: span}
    fresh = [start]
    while fresh and end not in reached:
        grown = []
        for machine in fresh:
            for one in relations:
                other = one.there if one.here == machine else one.here
                if machine in (one.here, one.there) and other not in reached:
                    held = reached[machine]
                    forwards = one.here == machine
                    reached[other] = one.span_there(held) if forwards else one.span_here(held)
                    grown.append(other)
        fresh = grown
    if end not in reached:
        known = ", ".join(sorted({f"{one.here} and {one.there}" for one in relations})) or "none"
        raise NoRelation(
            f"nothing is known of the clocks of {start} and {end}; known are: {known}; "
            "linkwright clocks finds it from links that passed both"
        )
    return reached[end]


def keep_relation(folder: Path, relation: Relation) -> tuple[Path, Relation]:
    """Write the next version; those before it stay. Raises `OSError`."""
    where = folder / FOLDER / f"{relation.here}--{relation.there}"
    where.mkdir(parents=True, exist_ok=True)
    part = where / f"{os.getpid()}.part"
    version = max([0, *_versions(where)]) + 1
    while True:
        made = Relation(**{**vars(relation), "version": version})
        path = where / f"v{version:04d}.json"
        try:
            with part.open("w", encoding="utf-8") as file:
                file.write(json.dumps(made.to_dict(), indent=1) + "\n")
                file.flush()
                os.fsync(file.fileno())
            os.link(part, path)  # fails where another process was first
        except FileExistsError:
            version += 1
        else:
            return path, made
        finally:
            part.unlink(missing_ok=True)


def kept_relations(folder: Path) -> tuple[Relation, ...]:
    """The newest version of every pair. Raises `InputErrors` for a file that is none."""
    where = folder / FOLDER
    pairs = sorted(one for one in where.iterdir() if one.is_dir()) if where.is_dir() else []
    return tuple(_read(pair / f"v{max(_versions(pair)):04d}.json")
                 for pair in pairs if _versions(pair))  # fmt: skip


def _versions(where: Path) -> list[int]:
    return [int(found[1]) for one in where.iterdir() if (found := _VERSION.fullmatch(one.name))]


def _read(path: Path) -> Relation:
    try:
        data = json.loads(path.read_text("utf-8"))
        stretches = tuple(
            Stretch(Span(*one["here_us"]), Span(*one["there_us"]), int(one["reference_us"]),
                    tuple((float(o), float(d)) for o, d in one["corners"]), int(one["links"]))
            for one in data["stretches"]
        )  # fmt: skip
        if data["format"] != _FORMAT or not all(one.corners for one in stretches):
            raise ValueError
        return Relation(
            data["here"], data["there"], float(data["least_delay_s"]),
            float(data["greatest_delay_s"]), float(data["resolution_s"]), stretches,
            tuple(Span(*one) for one in data["set_between_us"]), int(data["version"]),
        )  # fmt: skip
    except (ValueError, KeyError, TypeError, RecursionError):
        text = "is no kept relation of clocks"
        raise InputErrors([Problem("file", text, str(path))]) from None


def _mapped(span: Span, stretch: Stretch, *, forwards: bool) -> Span:
    """The ends on the other clock, extreme over the corners; rounded outwards.

    Forwards the time is affine in offset and drift; backwards it is a quotient of two affine
    functions of them. Both take their extremes over a convex polygon at its corners.
    """
    offset, drift = np.array(stretch.corners).T
    ends = []
    for edge in span:
        t = (edge - stretch.reference_us) / _US
        there = t + offset + drift * t if forwards else (t - offset) / (1.0 + drift)
        ends.append(there)
    low, high = float(np.min(ends[0])), float(np.max(ends[1]))
    return Span(stretch.reference_us + _us(low, -1), stretch.reference_us + _us(high, 1))


def _us(seconds: float, way: int) -> int:
    """Microseconds, with one to spare for rounding: down for -1, up for 1."""
    return int(np.floor(seconds * _US) - 1) if way < 0 else int(np.ceil(seconds * _US) + 1)


def _round(spans: Iterable[Span]) -> Span:
    held = list(spans)
    return Span(min(one.first_us for one in held), max(one.last_us for one in held))
