"""Tracing metal through a folder of link data: typed request in, ranges of every numbering out.

- `TraceRequest`, `trace_links`: from a coil, machine, strand, piece, mark, lot or certificate
- `find_clocks`: offset and drift of one machine's clock against another's, kept
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.documents.strand_picture import Strand, strand_picture
from linkwright.link_data.clock_polygon import MOST_DRIFT
from linkwright.link_data.dataset import Dataset, opened
from linkwright.link_data.found_passages import answer, passages_in
from linkwright.link_data.machine_clocks import (
    Relation,
    Span,
    keep_relation,
    kept_relations,
    relation_of_links,
    span_between,
)
from linkwright.link_data.map_file import TIMED, ClockPair
from linkwright.link_data.marks import links_by_mark
from linkwright.link_data.passages import Passage, Passages
from linkwright.link_data.questions import passed_both, readings_between, readings_counted
from linkwright.link_data.ranges import Ranges, runs, within
from linkwright.link_data.tracing import Found, Traced, going_nowhere, trace
from linkwright.quantities import ArgumentError, CannotPlan, UnknownName
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.strands_seen import strands_seen
from linkwright.services.written_file import refuse_existing, write_file

READINGS = {"weld": "weld", "harden": "harden", "temper": "temper", "stroke": "pull"}
"""Numberings that readings have clocks for."""
_MOST_TIMED = 200
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class NothingThere(CannotPlan):
    """Nothing was found to trace from."""

    code = "nothing-there"


@dataclass(frozen=True)
class TraceRequest:
    """Where to trace from.

    numbers: first and last; between: a span of time by the machine's clock, or by the clock of the
    machine ``by_clock``. count: links from a mark (kind "mark") ``toward`` another. miscount: links
    that counts may be off. passages: of the records, beside those of the folder.
    """

    links: Path
    kind: str
    name: str
    numbers: tuple[int, int] | None = None
    between: tuple[datetime, datetime] | None = None
    by_clock: str | None = None
    count: int | None = None
    toward: str | None = None
    miscount: int = 0
    pitch_mm: float | None = None
    passages: Sequence[Passage] = ()


@dataclass(frozen=True)
class Timed:
    """A found range, with the machine's own clock at its first and last reading if known."""

    found: Found
    first_time: str | None = None
    last_time: str | None = None


@dataclass(frozen=True)
class TraceAnswer:
    """What was found, by kind; links and metres of strand; certificates; what to know."""

    kind: str
    name: str
    ranges: tuple[Timed, ...]
    links: int
    length_m: float | None
    certificates: tuple[tuple[str, int, float | None], ...]
    notes: tuple[str, ...]
    strands: tuple[Strand, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION, "kind": self.kind, "name": self.name,
            "links": self.links, "length_m": self.length_m,
            "ranges": [{**one.found._asdict(), "count": one.found.numbers,
                        "first_time": one.first_time, "last_time": one.last_time}
                       for one in self.ranges],
            "certificates": [{"name": name, "links": links, "length_m": length}
                             for name, links, length in self.certificates],
            "notes": list(self.notes),
        }  # fmt: skip


def trace_links(request: TraceRequest) -> TraceAnswer:
    """Trace metal back to its coil and on to its certificates.

    Raises `InputErrors`, `ArgumentError`, `UnknownName`, `NothingThere`, `NoRelation`.
    """
    if request.miscount < 0:
        raise ArgumentError("miscount", request.miscount, "", "0 or more links")
    with opened(request.links) as data:
        passages, incomplete = passages_in(data, request.passages)
        if request.kind not in passages.kinds:
            raise UnknownName("kind", request.kind, passages.kinds or ["no passage is known yet"])
        notes = (
            [f"{incomplete} passages without a name or number are left out"] if incomplete else []
        )
        kind, start = _start(data, passages, request, notes)
        if not start.first.size:
            raise NothingThere(f"{request.kind} {request.name}: nothing was found there")
        traced = trace(passages, kind, start, miscount=request.miscount)
        ranges = _timed(data, traced)
    return _answer(request, traced, ranges, notes)


def picture_of(answer: TraceAnswer, pitch_mm: float | None, out: Path, *, force: bool) -> Path:
    """Write the strands of a trace as a picture. Raises `NothingThere`, `FileInUse`."""
    if not answer.strands:
        raise NothingThere("no strand was met; there is nothing to draw")
    refuse_existing(out, force=force)
    title = f"{answer.kind} {answer.name}: {answer.links} links"
    return write_file(out, strand_picture(title, answer.strands, pitch_mm))


def find_clocks(
    links: Path, here: tuple[str, str], there: tuple[str, str], delay_s: tuple[float, float], *,
    resolution_s: float = 0.0, most_drift: float = MOST_DRIFT,
) -> tuple[Path, Relation]:  # fmt: skip
    """Find and keep offset and drift of two clocks from links that passed both machines.

    here, there: kind and machine. Raises `InputErrors`, `NothingThere`, `ArgumentError`.
    """
    made = _clocks(links, here, there, delay_s, resolution_s, most_drift)
    return keep_relation(links, made)


def clocks_at_ingest(links: Path, pair: ClockPair) -> Relation | None:
    """What is known of two clocks after new readings; a new version only if it is other.

    None where no link has passed both machines yet.
    """
    try:
        made = _clocks(links, pair.here, pair.there, (pair.least_s, pair.greatest_s), 0.0,
                       MOST_DRIFT)  # fmt: skip
    except NothingThere:
        return None
    held = [one for one in kept_relations(links)
            if (one.here, one.there) == (made.here, made.there)]  # fmt: skip
    same = (
        held
        and held[0].stretches == made.stretches
        and ((held[0].least_s, held[0].greatest_s) == (made.least_s, made.greatest_s))
    )
    return held[0] if same else keep_relation(links, made)[1]


def _clocks(
    links: Path, here: tuple[str, str], there: tuple[str, str], delay_s: tuple[float, float],
    resolution_s: float, most_drift: float,
) -> Relation:  # fmt: skip
    for kind, _ in (here, there):
        if kind not in TIMED:
            raise UnknownName("kind", kind, TIMED)
    with opened(links) as data:
        rows = answer(data, passed_both(here, there))
    if not rows.num_rows:
        raise NothingThere(f"no link of {links} passed both {here[1]} and {there[1]} once")
    clocks = [np.asarray(rows[name].cast("int64")) for name in ("here", "there")]
    return relation_of_links((here[1], there[1]), clocks[0], clocks[1], delay_s,
                             resolution_s=resolution_s, most_drift=most_drift)  # fmt: skip


def _start(
    data: Dataset, passages: Passages, request: TraceRequest, notes: list[str]
) -> tuple[str, Ranges]:
    kind, name = request.kind, request.name
    low, high = passages.extent(kind, name)
    if request.between is not None:
        return kind, _by_time(data, passages, request, notes)
    if kind == "mark" and request.count is not None:
        found = links_by_mark(passages, name, request.count, toward=request.toward,
                              miscount=request.miscount)  # fmt: skip
        if found.sides == 2:
            notes.append("the direction from the mark is not known: candidates on both sides")
        return found.kind, found.links
    if request.count is not None:
        notes.append(f"without a serial mark the answer is the whole of {kind} {name}")
    first, last = request.numbers or (low, high)
    return kind, passages.on_line(kind, name, first, last)


def _by_time(data: Dataset, passages: Passages, request: TraceRequest, notes: list[str]) -> Ranges:
    kind, name = request.kind, request.name
    if kind not in READINGS:
        raise ArgumentError("time", kind, "", f"a machine: {', '.join(READINGS)}")
    assert request.between is not None  # noqa: S101
    span = Span(*(_us(one) for one in request.between))
    if span.first_us > span.last_us:
        raise ArgumentError("time", "the span", "", "an end that is not before its begin")
    if request.by_clock is not None and request.by_clock != name:
        relations = kept_relations(request.links)
        wide = span_between(relations, request.by_clock, name, span)
        notes.append(
            f"by the clock of {name}: {_text(wide.first_us)} to {_text(wide.last_us)}, "
            f"widened by what is not known of the clocks of {request.by_clock} and {name}"
        )
        span = wide
    rows = answer(data, readings_between(READINGS[kind], name, *span))
    held = runs(np.unique(rows["counter"].to_numpy()))
    start = passages.on_line(kind, name, held.first, held.last)
    if start.members < held.members:
        notes.append(f"of {held.members} readings {held.members - start.members} "
                     "lead nowhere: their strand is not known")  # fmt: skip
    return start


def _timed(data: Dataset, traced: Traced) -> tuple[Timed, ...]:
    """The ranges, with clocks where readings have them."""
    made = []
    for kind in traced.reached:
        found = traced.found(kind)
        if kind not in READINGS or len(found) > _MOST_TIMED:
            made += [Timed(one) for one in found]
            continue
        for name in dict.fromkeys(one.name for one in found):
            of = [one for one in found if one.name == name]
            wanted = [(one.first, one.last) for one in of]
            rows = answer(data, readings_counted(READINGS[kind], name, wanted))
            counter, clock = (np.asarray(rows[key].cast("int64")) for key in ("counter", "clock"))
            for one in of:
                at = clock[np.searchsorted(counter, one.first):
                           np.searchsorted(counter, one.last, "right")]  # fmt: skip
                ends = (_text(int(at.min())), _text(int(at.max()))) if at.size else (None, None)
                made.append(Timed(one, *ends))
    return tuple(made)


def _answer(
    request: TraceRequest, traced: Traced, ranges: tuple[Timed, ...], notes: list[str]
) -> TraceAnswer:
    passages = traced.passages
    metal = next((one for one in ("strand", "piece", "weld") if one in traced.reached), "")
    links = traced.count(metal)
    if metal == "strand" and ("strand", "piece") in passages.pairs:
        loose = going_nowhere(passages, "strand", traced.reached["strand"], "piece").members
        if loose:
            notes.append(f"{loose} links of strand are in no piece")
    certificates = []
    for name in traced.names("certificate"):
        whole = passages.on_line("certificate", name, *passages.extent("certificate", name))
        of = trace(passages, "certificate", whole).reached.get(metal)
        count = 0 if of is None else _common(of, traced.reached[metal])
        certificates.append((name, count, _metres(count, request.pitch_mm)))
    return TraceAnswer(request.kind, request.name, ranges, links, _metres(links, request.pitch_mm),
                       tuple(certificates), tuple(notes), strands_seen(traced))  # fmt: skip


def _common(a: Ranges, b: Ranges) -> int:
    return within(a, b).members


def _metres(links: int, pitch_mm: float | None) -> float | None:
    return None if pitch_mm is None else links * pitch_mm / 1000.0


def _us(at: datetime) -> int:
    """Microseconds since 1970; a time without zone is UTC."""
    known = at.replace(tzinfo=UTC) if at.tzinfo is None else at
    return (known - _EPOCH) // timedelta(microseconds=1)


def _text(us: int) -> str:
    return (_EPOCH + timedelta(microseconds=us)).isoformat().replace("+00:00", "Z")


def time_of(text: str) -> datetime:
    """A time as people write it. Raises `ArgumentError`."""
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        accepted = "such as 2026-11-03T10:20 (UTC) or 2026-11-03T11:20+01:00"
        raise ArgumentError("time", text, "", accepted, "is no time") from None
