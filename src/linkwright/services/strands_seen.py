"""What a trace touches of each strand: affected links, and the pieces that the strand was cut into.

Offers `strands_seen`, for pictures.
"""

from __future__ import annotations

import numpy as np

from linkwright.documents.strand_picture import Part, Strand
from linkwright.link_data.passages import Passages
from linkwright.link_data.ranges import Ranges
from linkwright.link_data.tracing import Traced

MOST_STRANDS = 12
"""Strands that are told of one trace."""


def strands_seen(traced: Traced) -> tuple[Strand, ...]:
    """The strands that a trace has reached, at most `MOST_STRANDS`."""
    passages, seen = traced.passages, []
    found = traced.found("strand")
    for name in list(dict.fromkeys(one.name for one in found))[:MOST_STRANDS]:
        first, last = passages.extent("strand", name)
        affected = tuple((one.first, one.last) for one in found if one.name == name)
        whole = passages.on_line("strand", name, first, last)
        parts = tuple(_parts(passages, whole, int(whole.first[0]) - first))
        seen.append(Strand(name, first, last, affected, parts))
    return tuple(seen)


def _parts(passages: Passages, whole: Ranges, shift: int) -> list[Part]:
    low, high = int(whole.first[0]), int(whole.last[-1])
    parts = []
    for (origin, kind), (side, _) in passages.pairs.items():
        if origin != "strand" or kind not in ("piece", "sample", "scrap"):
            continue
        inside = np.flatnonzero((side.first >= low) & (side.last <= high))
        for at in inside.tolist():
            there = Ranges(side.there_first[at : at + 1], side.there_last[at : at + 1])
            place, _, _ = passages.split(there)
            name = passages.numberings[int(place[0])].name
            part = Part(kind, name, int(side.first[at]) - shift, int(side.last[at]) - shift)
            if part not in parts:
                parts.append(part)
    pieces = {(one.name, one.first) for one in parts if one.kind == "piece"}
    parts = [one for one in parts if one.kind == "piece" or (one.name, one.first) not in pieces]
    return sorted(parts, key=lambda one: (one.first, -one.last))
