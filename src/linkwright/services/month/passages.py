"""Where the metal of the invented month went, and what the machines and people noted of it.

- `passages`: runs of metal from coil to weld, strand, heat, stroke, piece and lot
- `events`: dressed electrodes, new coils, the slide that stuck, the window that was cleaned
- `REPAIRED`, `JOINED`, `CUT`: strands a link of whose piece was made anew, whose pieces were joined
  into one delivered length, whose piece was cut in three
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from linkwright.services.month.flow import (
    LINKS_A_STROKE,
    SAMPLE_LINKS,
    STROKE_S,
    Line,
    Strand,
)
from linkwright.services.month.machine_files import Row
from linkwright.services.month.put_in import DAY_S, PutIn, moment, seconds
from linkwright.services.month.readings import Signals, stuck_welds

REPAIRED = "S08-001"
REPAIRED_AT = 1203
"""Position on its piece of the link that was made anew."""
REPAIR_HEAD = "W09"
"""The bench at which single links are welded; it writes no file."""
JOINED, CUT = ("S07A-002", "S07B-002"), "S07A-003"
"""Strands whose pieces are joined into one length, and one whose piece is cut in three."""
_REPAIR_S, _DONE_S, _DELIVERED_S = 5400.0, 600.0, 20_000.0


def passages(line: Line, cut_length_mm: float) -> Iterator[Row]:
    """Every run of metal, noted at the desk when it is over."""
    desk = line.name("D")
    for head in line.heads:
        yield from _of_coils(line, head.machine, cut_length_mm, desk)
    for strand in line.strands:
        yield from _to_strand(strand, desk)
        yield from _through_machines(strand, line, desk)
        yield from _to_piece(strand, desk)
    if line.number == 1:
        yield from _delivered({one.mark: one for one in line.strands}, desk)


def _row(at_s: float, desk: str, way_from: tuple[object, ...], way_to: tuple[object, ...]) -> Row:
    return Row(at_s, desk, (*way_from, *way_to))


def _of_coils(line: Line, machine: str, cut_length_mm: float, desk: str) -> Iterator[Row]:
    """Millimetres of each coil and the welds that they became."""
    mine = [one for one in line.strands if one.head.machine == machine]
    if not mine:
        return
    head = mine[0].head
    welds = max(one.first_weld + one.welds for one in mine)
    for place, begin in enumerate(range(0, welds, head.coil_links)):
        last = min(begin + head.coil_links, welds) - 1
        length = round((last - begin + 1) * cut_length_mm)
        yield _row(
            float(head.weld_s(last)), desk, ("coil_mm", head.coil(place), 0, length - 1),
            ("weld", machine, head.first_counter + begin, head.first_counter + last),
        )  # fmt: skip


def _to_strand(strand: Strand, desk: str) -> Iterator[Row]:
    """Runs of welds that no rejected one breaks."""
    counter, done = strand.head.first_counter, float(strand.head.weld_s(strand.weld_numbers[-1]))
    for first, last, position in strand.weld_runs():
        yield _row(
            done, desk, ("weld", strand.head.machine, counter + first, counter + last),
            ("strand", strand.mark, position, position + last - first),
        )  # fmt: skip


def _through_machines(strand: Strand, line: Line, desk: str) -> Iterator[Row]:
    last = strand.links - 1
    done = strand.pull_s + STROKE_S * strand.strokes
    machines = (("harden", "H", strand.first_heat), ("temper", "T", strand.first_heat + 400_000))
    for kind, letter, first in machines:
        yield _row(done, desk, ("strand", strand.mark, 0, last),
                   (kind, line.name(letter), first, first + last))  # fmt: skip
    whole = strand.links // LINKS_A_STROKE
    if whole:
        yield _row(done, desk, ("strand", strand.mark, 0, whole * LINKS_A_STROKE - 1),
                   ("stroke", line.name("C"), strand.first_stroke,
                    strand.first_stroke + whole - 1))  # fmt: skip
    if whole < strand.strokes:
        at = strand.first_stroke + whole
        yield _row(done, desk, ("strand", strand.mark, whole * LINKS_A_STROKE, last),
                   ("stroke", line.name("C"), at, at))  # fmt: skip


def _to_piece(strand: Strand, desk: str) -> Iterator[Row]:
    """The sample is cut off the front, the rest is the piece; one link of one piece is new."""
    done = _made_s(strand)
    sample = min(SAMPLE_LINKS, strand.links)
    yield _row(done, desk, ("strand", strand.mark, 0, sample - 1),
               ("sample", f"T{strand.mark[1:]}", 0, sample - 1))  # fmt: skip
    last = strand.links - SAMPLE_LINKS - 1
    if last < 0:
        return
    runs = [(0, last)]
    if strand.mark == REPAIRED and last > REPAIRED_AT:
        runs = [(0, REPAIRED_AT - 1), (REPAIRED_AT + 1, last)]
        old = SAMPLE_LINKS + REPAIRED_AT
        yield _row(done + _REPAIR_S, desk, ("strand", strand.mark, old, old),
                   ("scrap", f"R{strand.mark[1:]}", 0, 0))  # fmt: skip
        yield _row(done + _REPAIR_S, desk, ("weld", REPAIR_HEAD, 1, 1),
                   ("piece", strand.piece, REPAIRED_AT, REPAIRED_AT))  # fmt: skip
    for first, end in runs:
        yield _row(done, desk,
                   ("strand", strand.mark, SAMPLE_LINKS + first, SAMPLE_LINKS + end),
                   ("piece", strand.piece, first, end))  # fmt: skip
    yield _row(done, desk, ("sample", f"T{strand.mark[1:]}", 0, sample - 1),
               ("lot", strand.lot, 0, sample - 1))  # fmt: skip
    yield _row(done, desk, ("piece", strand.piece, 0, last),
               ("lot", strand.lot, SAMPLE_LINKS, SAMPLE_LINKS + last))  # fmt: skip


def _delivered(strands: Mapping[str, Strand], desk: str) -> Iterator[Row]:
    """Two pieces joined by a link of the bench, and one cut into three."""
    pair = [strands[mark] for mark in JOINED if mark in strands]
    if len(pair) == len(JOINED):
        at_s, begin = max(_made_s(one) for one in pair) + _DELIVERED_S, 0
        for place, one in enumerate(pair):
            last = one.links - SAMPLE_LINKS - 1
            if place:
                yield _row(at_s, desk, ("weld", REPAIR_HEAD, 1 + place, 1 + place),
                           ("delivery", "QL-4711", begin, begin))  # fmt: skip
                begin += 1
            yield _row(at_s, desk, ("piece", one.piece, 0, last),
                       ("delivery", "QL-4711", begin, begin + last))  # fmt: skip
            begin += last + 1
    if CUT in strands:
        one = strands[CUT]
        third = -(-(one.links - SAMPLE_LINKS) // 3)
        for place in range(3):
            first = place * third
            last = min(first + third, one.links - SAMPLE_LINKS) - 1
            yield _row(_made_s(one) + _DELIVERED_S, desk, ("piece", one.piece, first, last),
                       ("delivery", f"QL-{4712 + place}", 0, last - first))  # fmt: skip


def _made_s(strand: Strand) -> float:
    return strand.pull_s + STROKE_S * strand.strokes + _DONE_S


def events(line: Line, signals: Signals) -> Iterator[Row]:
    """What was noted: nothing at the minute when the slide stuck, for no machine saw it."""
    put_in = signals.put_in
    end = max((one.pull_s for one in line.strands), default=0.0)
    for head in line.heads:
        welds = sum(one.welds for one in line.strands if one.head.machine == head.machine)
        for at in range(head.wear_links, welds, head.wear_links):
            yield Row(float(head.weld_s(at)), head.machine, ("tool change", "electrodes dressed"))
        for at in range(head.coil_links, welds, head.coil_links):
            mark = head.coil(at // head.coil_links)
            yield Row(float(head.weld_s(at)), head.machine, ("material", f"coil {mark}"))
    for strand in line.strands:
        yield from _of_strand(strand, signals)
    if line.number == 1:
        yield from _of_faults(line, put_in, end)


def _of_strand(strand: Strand, signals: Signals) -> Iterator[Row]:
    counter = strand.head.first_counter
    for offset in strand.rejected:
        at = strand.first_weld + offset
        yield Row(float(strand.head.weld_s(at)), strand.head.machine,
                  ("reject", f"weld {counter + at} cut out"))  # fmt: skip
    found = stuck_welds(signals, strand)
    if found is not None:
        text = "slide of the electrode found stuck, freed; electrodes dressed"
        yield Row(float(strand.head.weld_s(found[1])), strand.head.machine, ("tool change", text))
    if strand.mark == REPAIRED and strand.links - SAMPLE_LINKS > REPAIRED_AT:
        at_s = _made_s(strand) + _REPAIR_S
        text = (f"{strand.piece}: link {REPAIRED_AT} cut out, new one welded, hardened with its "
                "neighbours, whole piece proofed again")  # fmt: skip
        yield Row(at_s, REPAIR_HEAD, ("repair", text))


def _of_faults(line: Line, put_in: PutIn, end: float) -> Iterator[Row]:
    cleaned = seconds(put_in.dirt.cleaned)
    if cleaned < end:
        yield Row(cleaned, line.name("T"), ("maintenance", "window of the pyrometer cleaned"))
    ahead = put_in.clocks["pull"].hour_ahead_until
    if ahead is not None and seconds(ahead) < end:
        text = f"clock set back an hour at {moment(seconds(ahead))[11:16]}"
        yield Row(seconds(ahead), line.name("C"), ("clock", text))
    if end > 7 * DAY_S:
        yield Row(7 * DAY_S, line.name("H"), ("maintenance", "filter of the quench water changed"))
