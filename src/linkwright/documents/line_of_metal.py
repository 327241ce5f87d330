"""The route drawn as the metal itself, to scale, after every operation, left to right.

Rod, wire, cut piece, open link, welded link, and the chain as it is heated, quenched and
finished; tinted only by temperature. What the operation hands on decides the shape, so that an
operation nobody foresaw is drawn too. Offers `line_of_metal`, `places_on_line` and
`areas_on_line`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor, log10
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.joined_line import (
    areas_on_joined_line,
    is_joined,
    joined_line,
    places_on_joined_line,
)
from linkwright.documents.line_layout import (
    BAR_FORMS,
    FIGURE_MM,
    NAME_MM,
    WIDTH_MM,
    Layout,
    Section,
    laid_out,
    link_of,
    links_in,
)
from linkwright.documents.metal_shapes import (
    Bar,
    EyedLink,
    Link,
    draw_bar,
    draw_edge_link,
    draw_eye,
    draw_joint,
    draw_link,
    draw_neck,
)
from linkwright.documents.steps import size_of, value_of
from linkwright.documents.svg import BLACK, STEEL, Area, Drawing, Pen, heat_colour
from linkwright.planning.document import place_of

_ABOVE = 5.2
_BELOW = 10.4
_ROW = 5.6
_COLD = 20.0
_LEAVES_HOT = ("hardening", "tempering")
_HEATS_AND_QUENCHES = ("furnace_hardening", "link_case_hardening")
_HEATS_AND_COOLS = ("normalising", "furnace_tempering", "case_tempering")


def line_of_metal(line: Mapping[str, Any], display: Display, *, captions: bool = True) -> Drawing:
    """The line of metal of one order line; without captions it is the small head of a page."""
    if is_joined(line):
        return joined_line(line, display, captions=captions)
    layout = laid_out(line["steps"], display)
    above = _ABOVE if captions else 0.2
    below = _BELOW + _ROW * layout.letters * (layout.rows - 1) if captions else 0.2
    height = above + layout.tallest + below
    y = above + layout.tallest / 2
    names = ", ".join(section.name for section in layout.sections)
    drawing = Drawing(
        WIDTH_MM,
        height,
        "The line of metal, drawn to scale",
        f"The metal after each operation from left to right: {names}.",
    )
    _draw_bars(drawing, layout, y)
    for section in layout.sections:
        if section.form == "piece":
            diameter = (size_of(section.step, "wire_diameter_mm") or 1.0) * layout.scale
            draw_bar(drawing, Bar(section.x1, section.x2, diameter), y, face=True)
        elif section.form in {"open link", "closed link"}:
            _draw_single(drawing, section, layout, y)
    _draw_chain(drawing, [part for part in layout.sections if part.links], layout.scale, y)
    if captions:
        _draw_captions(drawing, layout, above + layout.tallest + 3.4)
        _draw_dimensions(drawing, layout, y, display)
        _draw_scale_bar(drawing, layout.scale, height, display)
    return drawing


def places_on_line(line: Mapping[str, Any], display: Display) -> dict[str, tuple[float, float]]:
    """Where each operation's metal lies on the line, in mm from its left end."""
    if is_joined(line):
        return places_on_joined_line(line)
    return {
        place_of(part.step): (round(part.x1, 2), round(part.x2, 2))
        for part in laid_out(line["steps"], display).sections
    }


def areas_on_line(line: Mapping[str, Any], display: Display) -> dict[str, list[Area]]:
    """Where the metal and the caption of each operation stand on the captioned line."""
    if is_joined(line):
        return areas_on_joined_line(line)
    layout = laid_out(line["steps"], display)
    foot = _ABOVE + layout.tallest + 3.4
    areas: dict[str, list[Area]] = {}
    for index, part in enumerate(layout.sections):
        wide = max(part.caption_width(layout.letters), part.x2 - part.x1)
        down = foot + _ROW * layout.letters * (index % layout.rows)
        caption = ((part.x1 + part.x2 - wide) / 2, down - 2.4, wide, 5.6 * layout.letters)
        metal = (part.x1, _ABOVE - 1.0, part.x2 - part.x1, layout.tallest + 2.0)
        areas[place_of(part.step)] = [metal, caption]
    return areas


def _draw_bars(drawing: Drawing, layout: Layout, y: float) -> None:
    for place, part in enumerate(part for part in layout.sections if part.form in BAR_FORMS):
        diameter = (size_of(part.step, "wire_diameter_mm") or 1.0) * layout.scale
        draw_bar(drawing, Bar(part.x1, part.x2, diameter), y, face=place == 0)


def _draw_single(drawing: Drawing, part: Section, layout: Layout, y: float) -> None:
    link = link_of(part.step)
    if not isinstance(link, Link):
        return
    draw_link(drawing, link, part.x1, y, layout.scale)
    hot = value_of(part.step, "joint_temperature_degC")
    if hot:
        middle = (part.x1 + part.x2) / 2
        affected = value_of(part.step, "heat_affected_length_mm")
        length = min(2.2 * (affected[1] if affected else link.diameter_mm), link.straight_mm)
        half = layout.scale * length / 2
        glow = [STEEL, heat_colour(0.7 * hot[1]), heat_colour(hot[1]),
                heat_colour(0.7 * hot[1]), STEEL]  # fmt: skip
        paint = drawing.along(middle - half, middle + half, glow)
        draw_joint(drawing, link, part.x1, y, layout.scale, (link.diameter_mm, length, paint))


def _draw_chain(drawing: Drawing, sections: Sequence[Section], scale: float, y: float) -> None:
    """Links in turn from the broad and from the narrow side; what is narrow lies in front."""
    links = [
        (link, x1 - scale * link.diameter_mm, heat_colour(temperature), part.step)
        for part in sections
        for (link, x1), temperature in zip(
            links_in(part, scale), _temperatures(part), strict=True
        )
    ]  # fmt: skip
    for index, (link, left, fill, step) in enumerate(links):
        if isinstance(link, EyedLink):
            draw_eye(drawing, link, left, y, scale, fill)
        elif index % 2 == 0:
            draw_link(drawing, link, left, y, scale, fill)
            weld = size_of(step, "weld_diameter_mm")
            if weld:
                draw_joint(drawing, link, left, y, scale, (weld, 0.25 * weld, fill))
    for index, (link, left, fill, _) in enumerate(links):
        if isinstance(link, EyedLink):
            draw_neck(drawing, link, left, y, scale, fill)
        elif index % 2:
            draw_edge_link(drawing, link, left, y, scale, fill)


def _temperatures(part: Section) -> list[float]:
    """How hot each link of a stretch is, from what comes out first to what comes out last.

    What leaves the operation hot is drawn hot. What a furnace heats and a bath quenches is hot
    for the first half; what then cools in air fades along its stretch.
    """
    operation = part.step["operation"]
    found = value_of(part.step, "straight_temperature_degC", "temperature_degC")
    if found is None or part.links == 0:
        return [_COLD] * part.links
    hot, last = found[1], max(part.links - 1, 1)
    if operation in _LEAVES_HOT:
        return [hot] * part.links
    if operation in _HEATS_AND_QUENCHES:
        return [hot if index < part.links / 2 else _COLD for index in range(part.links)]
    if operation in _HEATS_AND_COOLS:
        return [hot + (_COLD - hot) * index / last for index in range(part.links)]
    return [_COLD] * part.links


def _draw_captions(drawing: Drawing, layout: Layout, y: float) -> None:
    letters = layout.letters
    for index, part in enumerate(layout.sections):
        middle = (part.x1 + part.x2) / 2
        down = y + _ROW * letters * (index % layout.rows)
        drawing.label(middle, down, part.name, letters * NAME_MM, anchor="middle", bold=True)
        drawing.label(middle, down + 2.9 * letters, part.figure, letters * FIGURE_MM,
                      anchor="middle")  # fmt: skip


def _draw_dimensions(drawing: Drawing, layout: Layout, y: float, display: Display) -> None:
    """The length of the piece and, over the last broad link, the pitch."""
    top = y - layout.tallest / 2
    for part in layout.sections:
        if part.form == "piece":
            cut = size_of(part.step, "cut_length_mm") or 0.0
            half = layout.scale * (size_of(part.step, "wire_diameter_mm") or 0.0) / 2
            text = display.text("cut_length_mm", cut)
            _dimension(drawing, (part.x1, part.x2), (top - 1.4, y - half), text)
    links = [pair for part in layout.sections for pair in links_in(part, layout.scale)]
    if links:
        link, x1 = links[::2][-1]
        text = display.text("pitch_mm", link.pitch_mm)
        _dimension(drawing, (x1, x1 + layout.scale * link.pitch_mm), (top - 1.4, y), text)


def _dimension(
    drawing: Drawing, along: tuple[float, float], down: tuple[float, float], text: str
) -> None:
    """A dimension line at the first height with short strokes, its guides to the second."""
    (x1, x2), (y, foot) = along, down
    thin = Pen(BLACK, 0.1)
    for x in along:
        drawing.line(x, y - 0.7, x, foot, thin)
        drawing.line(x - 0.45, y + 0.45, x + 0.45, y - 0.45, Pen(BLACK, 0.22))
    drawing.line(x1, y, x2, y, thin)
    drawing.label((x1 + x2) / 2, y - 0.8, text, FIGURE_MM, anchor="middle")


def _draw_scale_bar(drawing: Drawing, scale: float, height: float, display: Display) -> None:
    """A bar of a round length, with its unit, at the right end below the captions."""
    name, unit = ("length_mm", 1.0) if display.units == "metric" else ("length_in", 25.4)
    aim = 28.0 / (scale * unit)
    power = 10.0 ** floor(log10(aim))
    length = max(step * power for step in (1, 2, 5) if step * power <= aim)
    x2, y = WIDTH_MM - 0.6, height - 0.9
    x1 = x2 - length * unit * scale
    pen = Pen(BLACK, 0.2)
    drawing.line(x1, y, x2, y, pen)
    for x in (x1, (x1 + x2) / 2, x2):
        drawing.line(x, y - 0.9, x, y, pen)
    label = display.text(name, length)
    drawing.label(x1 - 1.0, y, f"drawn to scale; {label}", FIGURE_MM, anchor="end")
