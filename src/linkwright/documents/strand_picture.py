"""A trace as a picture: each strand a line to scale, affected links dark, pieces below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linkwright.documents.svg import BLACK, DARK, MIDDLE, PALE, Drawing, Pen, text_width
from linkwright.quantities import significant

_WIDTH, _LEFT, _RIGHT, _TEXT = 180.0, 26.0, 6.0, 2.8
_MOST_ROWS = 8
_HEAD, _BAR, _ROW, _GAP = 13.0, 3.0, 4.2, 9.0


@dataclass(frozen=True)
class Part:
    """Links first to last of a strand that became something of a kind and name."""

    kind: str
    name: str
    first: int
    last: int


@dataclass(frozen=True)
class Strand:
    """A strand from its first to its last link, the affected ones, and what it became."""

    name: str
    first: int
    last: int
    affected: tuple[tuple[int, int], ...]
    parts: tuple[Part, ...]


def strand_picture(title: str, strands: Sequence[Strand], pitch_mm: float | None) -> str:
    """The picture as SVG; in metres where the pitch is known, else in links."""
    rows = [_laid(strand.parts) for strand in strands]
    height = _HEAD + sum(_BAR + 6.0 + _ROW * (1 + max(r, default=-1)) + _GAP for r in rows)
    drawing = Drawing(_WIDTH, height, title, _described(strands, pitch_mm))
    drawing.label(1.0, 5.0, title, 4.0, bold=True)
    longest = max(one.last - one.first + 1 for one in strands)
    scale = (_WIDTH - _LEFT - _RIGHT) / longest
    top = _HEAD
    for strand, row in zip(strands, rows, strict=True):
        _draw(drawing, strand, row, top, scale, pitch_mm)
        top += _BAR + 6.0 + _ROW * (1 + max(row, default=-1)) + _GAP
    return drawing.text()


def _draw(
    drawing: Drawing, strand: Strand, rows: Sequence[int], top: float, scale: float,
    pitch_mm: float | None,
) -> None:  # fmt: skip
    def at(link: float) -> float:
        return _LEFT + (link - strand.first) * scale

    drawing.label(1.0, top + _BAR - 0.4, f"strand {strand.name}", _TEXT)
    drawing.rectangle(_LEFT, top, (strand.last - strand.first + 1) * scale, _BAR, PALE)
    free = _LEFT
    for first, last in strand.affected:
        begin, wide = at(first), max((last - first + 1) * scale, 0.5)
        drawing.rectangle(begin, top - 0.6, wide, _BAR + 1.2, DARK)
        said = _span(strand, first, last, pitch_mm)
        x = min(max(begin, free), _WIDTH - text_width(said, _TEXT))
        if x >= free - 0.01:
            drawing.label(x, top - 1.4, said, _TEXT, bold=True)
            free = x + text_width(said, _TEXT) + 2.0
    for link, anchor in ((0, "start"), (strand.last - strand.first + 1, "end")):
        x = at(strand.first + link)
        drawing.line(x, top, x, top + _BAR + 1.5, Pen(MIDDLE, 0.2))
        drawing.label(x, top + _BAR + 4.4, _place(link, pitch_mm), _TEXT, anchor=anchor,
                      fill=DARK)  # fmt: skip
    for part, row in zip(strand.parts, rows, strict=True):
        y = top + _BAR + 6.8 + row * _ROW
        left, right = at(part.first), at(part.last + 1)
        drawing.line(left, y, right, y, Pen(BLACK, 0.5))
        for end in (left, right):
            drawing.line(end, y - 0.9, end, y + 0.9, Pen(BLACK, 0.3))
        text = f"{part.kind} {part.name}"
        inside = text_width(text, _TEXT) < right - left
        x = left + 1.0 if inside else min(right + 1.0, _WIDTH - text_width(text, _TEXT))
        drawing.label(x, y + (2.9 if inside else 1.0), text, _TEXT)


def _laid(parts: Sequence[Part]) -> list[int]:
    """A row for each part, so that neither lines nor names of one row lie over each other."""
    return [number % _MOST_ROWS for number in range(len(parts))]


def _span(strand: Strand, first: int, last: int, pitch_mm: float | None) -> str:
    ends = (first - strand.first, last + 1 - strand.first)
    return " to ".join(_place(one, pitch_mm) for one in ends)


def _place(links: int, pitch_mm: float | None) -> str:
    if pitch_mm is None:
        return f"link {links}"
    return f"{significant(links * pitch_mm / 1000.0, 4)} m"


def _described(strands: Sequence[Strand], pitch_mm: float | None) -> str:
    said = [
        f"strand {one.name}: "
        + ", ".join(_span(one, first, last, pitch_mm) for first, last in one.affected)
        for one in strands
    ]
    return "Affected: " + "; ".join(said)
