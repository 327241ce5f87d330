"""The line of metal where several parts meet: a row for each part, joined where they are joined.

Strip, bar and wire lie edge-on, plates, pins, bushings and rollers as they lie on the bench, all to
one scale; at the right the strand that they become. Offers `is_joined`, `joined_line`,
`places_on_joined_line` and `areas_on_joined_line`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.line_layout import FIGURE_MM, NAME_MM, WIDTH_MM
from linkwright.documents.part_shapes import draw_part, draw_strand, part_of, strand_of
from linkwright.documents.steps import value_of
from linkwright.documents.svg import BLACK, DARK, STEEL, Area, Drawing, Pen, heat_colour, text_width
from linkwright.documents.words import plain_text
from linkwright.planning.document import place_of

_ROW_TALL, _ROW_SMALL = 8.0, 2.6
_CAPTION = 4.4
_JOIN = 126.0
_LINE = 3.1
_LEFT = 17.0
_LEAST_STRAND_LINKS = 3
_GUIDE = Pen(DARK, 0.12, "2.4 0.7 0.4 0.7")
_HOT = (
    "plate_hardening", "plate_tempering", "case_hardening", "carbonitriding", "end_annealing",
)  # fmt: skip
_FIGURES = {
    "strip_slitting": ("slit_width_mm",),
    "blanking": ("plates_per_stroke_count",),
    "plate_hardening": ("temperature_degC",),
    "plate_tempering": ("temperature_degC",),
    "ball_sizing": ("hole_diameter_mm",),
    "curling": ("bushing_outside_mm", "roller_outside_mm"),
    "roller_extrusion": ("roller_outside_mm",),
    "case_hardening": ("case_depth_mm",),
    "carbonitriding": ("case_depth_mm",),
    "pin_cutting": ("cut_length_mm",),
    "pin_shearing": ("cut_length_mm",),
    "pin_turning": ("pin_length_mm",),
    "pin_drilling": ("hole_diameter_mm",),
    "end_annealing": ("end_case_hardness_HV",),
    "pin_grinding": ("pin_diameter_mm",),
    "part_washing": ("wash_temperature_degC",),
    "link_pressing": ("bushing_insertion_force_kN",),
    "assembly": ("pin_insertion_force_kN",),
    "cottering": ("cotter_hole_mm",),
    "preloading": ("preload_kN",),
    "roller_inspection": ("breaking_force_kN",),
    "greasing": ("bath_temperature_degC",),
    "crating": ("package_length_m",),
}


@dataclass(frozen=True)
class _Row:
    """One branch: its steps and the left end of each."""

    branch: str
    steps: tuple[Mapping[str, Any], ...]
    ends: tuple[tuple[float, float], ...]
    y: float


def is_joined(line: Mapping[str, Any]) -> bool:
    """Whether several branches of a plan's line bring steel."""
    return len(line.get("steels", ())) > 1


def joined_line(line: Mapping[str, Any], display: Display, *, captions: bool = True) -> Drawing:
    """The rows of all parts and the strand; without captions the small head of a page."""
    rows, strand, tall = _laid(line, captions)
    height = rows[-1].y + tall / 2 + (_CAPTION + 5.0 if captions else 0.3)
    names = ", ".join(plain_text(row.branch).replace("_", " ") for row in rows)
    drawing = Drawing(
        WIDTH_MM,
        height,
        "The line of metal, drawn to scale",
        f"The parts, each after its operations from left to right: {names}; then the strand.",
    )
    scale = _scale(rows, tall)
    for row in rows:
        _draw_row(drawing, row, scale, tall, display, captions)
    _draw_joining(drawing, rows, strand, scale, display, captions)
    if captions:
        _scale_bar(drawing, scale, height, display)
    return drawing


def places_on_joined_line(line: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
    """Where each operation's metal lies on the line, in mm from its left end."""
    rows, strand, _ = _laid(line, captions=False)
    return {
        place_of(step): (round(x1, 2), round(x2, 2))
        for row in (*rows, strand)
        for step, (x1, x2) in zip(row.steps, row.ends, strict=True)
    }


def areas_on_joined_line(line: Mapping[str, Any]) -> dict[str, list[Area]]:
    """Where the piece or the caption of each operation stands on the captioned line."""
    rows, strand, tall = _laid(line, captions=True)
    areas: dict[str, list[Area]] = {
        place_of(step): [(x1, row.y - tall / 2, x2 - x1, tall + _CAPTION + 1.2)]
        for row in rows
        for step, (x1, x2) in zip(row.steps, row.ends, strict=True)
    }
    for index, step in enumerate(strand.steps):
        top = strand.y + tall / 2 + 3.0 + _LINE * (index - 0.75)
        areas[place_of(step)] = [(_JOIN + 2.4, top, WIDTH_MM - _JOIN - 2.4, _LINE)]
    return areas


def _laid(line: Mapping[str, Any], captions: bool) -> tuple[list[_Row], _Row, float]:
    """Rows of the side branches from top to bottom, and what stands behind the joint."""
    branches: dict[str, list[Mapping[str, Any]]] = {}
    for step in line["steps"]:
        branches.setdefault(str(step["branch"]), []).append(step)
    parts = {str(one["branch"]) for one in line["steels"]}
    tall = _ROW_TALL if captions else _ROW_SMALL
    pitch = tall + (_CAPTION + 2.6 if captions else 0.6)
    rows = []
    for index, (branch, steps) in enumerate(b for b in branches.items() if b[0] in parts):
        y = tall / 2 + 0.4 + index * pitch
        rows.append(_Row(branch, tuple(steps), _slots(len(steps), _LEFT, _JOIN - 3.0), y))
    behind = [step for branch, steps in branches.items() if branch not in parts for step in steps]
    middle = (rows[0].y + rows[-1].y) / 2
    strand = _Row("chain", tuple(behind), _slots(len(behind), _JOIN, WIDTH_MM), middle)
    return rows, strand, tall


def _slots(count: int, left: float, right: float) -> tuple[tuple[float, float], ...]:
    wide = (right - left) / max(count, 1)
    return tuple((left + i * wide, left + (i + 1) * wide) for i in range(count))


def _scale(rows: Sequence[_Row], tall: float) -> float:
    """As large as rows and slots let, the same for all parts."""
    found = []
    for row in rows:
        for step, (x1, x2) in zip(row.steps, row.ends, strict=True):
            part = part_of(step)
            if part is not None:
                found += [tall / part.tall_mm, 0.94 * (x2 - x1) / part.long_mm]
    return min(found, default=1.0)


def _draw_row(
    drawing: Drawing, row: _Row, scale: float, tall: float, display: Display, captions: bool
) -> None:
    """The pieces of a branch, one an operation, and their captions below."""
    if captions:
        name = display.say(plain_text(row.branch).replace("_", " "))
        drawing.label(0.0, row.y + 0.8, name, NAME_MM, bold=True)
    drawing.line(row.ends[0][0], row.y, _JOIN, row.y, _GUIDE)
    for step, (x1, x2) in zip(row.steps, row.ends, strict=True):
        part = part_of(step)
        if part is not None:
            draw_part(drawing, part, (x1 + x2) / 2, row.y, scale, _paint(drawing, step, x1, x2))
        if captions:
            _caption(drawing, step, (x1 + x2) / 2, row.y + tall / 2 + 2.4, x2 - x1, display)


def _paint(drawing: Drawing, step: Mapping[str, Any], x1: float, x2: float) -> str:
    """Hot where it comes out of the furnace, cold where it leaves the step."""
    hot = value_of(step, "temperature_degC") if step["operation"] in _HOT else None
    if hot is None:
        return STEEL
    return drawing.along(x1, x2, [heat_colour(hot[1]), heat_colour(hot[1]), STEEL])


def _caption(
    drawing: Drawing, step: Mapping[str, Any], x: float, y: float, room: float, display: Display
) -> None:
    """Name of the operation and its figure, as large as the room lets."""
    name = display.say(plain_text(step["operation"]).replace("_", " "))
    found = value_of(step, *_FIGURES.get(str(step["operation"]), ()))
    figure = display.text(*found, 3) if found else ""
    size = min(NAME_MM, NAME_MM * (room - 0.6) / max(text_width(name, NAME_MM), 0.1))
    drawing.label(x, y, name, size, anchor="middle")
    drawing.label(x, y + 2.4, figure, min(size, FIGURE_MM), anchor="middle")


def _draw_joining(
    drawing: Drawing,
    rows: Sequence[_Row],
    strand: _Row,
    scale: float,
    display: Display,
    captions: bool,
) -> None:
    """Centre lines come together, and the strand runs on from there."""
    drawing.line(_JOIN, rows[0].y, _JOIN, rows[-1].y, _GUIDE)
    drawing.line(_JOIN, strand.y, WIDTH_MM, strand.y, _GUIDE)
    shape = strand_of(strand.steps[-1])
    if shape is not None:
        room = (WIDTH_MM - _JOIN - 3.0) / (scale * (_LEAST_STRAND_LINKS * shape.pitch_mm
                                                   + shape.height_mm))  # fmt: skip
        draw_strand(drawing, shape, (_JOIN + 2.0, WIDTH_MM - 1.0), strand.y, scale * min(room, 1.0))
    if not captions:
        return
    y = strand.y + _ROW_TALL / 2 + 3.0
    for index, step in enumerate(strand.steps):
        found = value_of(step, *_FIGURES.get(str(step["operation"]), ()))
        name = display.say(plain_text(step["operation"]).replace("_", " "))
        down = y + _LINE * index
        drawing.label(_JOIN + 3.0, down, name, NAME_MM)
        if found:
            drawing.label(WIDTH_MM, down, display.text(*found, 3), FIGURE_MM, anchor="end")


def _scale_bar(drawing: Drawing, scale: float, height: float, display: Display) -> None:
    """A bar of a round length, with its unit, at the right end."""
    name, unit = ("length_mm", 1.0) if display.units == "metric" else ("length_in", 25.4)
    length = max((one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500)
                  if one * unit * scale <= 28.0), default=1)  # fmt: skip
    x2, y, pen = WIDTH_MM - 0.6, height - 0.9, Pen(BLACK, 0.2)
    x1 = x2 - length * unit * scale
    drawing.line(x1, y, x2, y, pen)
    for x in (x1, x2):
        drawing.line(x, y - 0.9, x, y, pen)
    text = f"parts drawn to scale; {display.text(name, length)}"
    drawing.label(x1 - 1.0, y, text, FIGURE_MM, anchor="end")
