"""The route drawn as the metal itself, to scale, after every operation, left to right.

Rod, wire, cut piece, open link, welded link, and the chain as it runs hot, quenched, tempered
and calibrated; tinted only by temperature. Offers `line_of_metal` and `places_on_line`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.metal_shapes import (
    Bar,
    Link,
    draw_bar,
    draw_edge_link,
    draw_joint,
    draw_link,
)
from linkwright.documents.steps import size_of, value_of
from linkwright.documents.svg import BLACK, STEEL, Drawing, Pen, heat_colour, text_width
from linkwright.documents.words import plain_text

WIDTH_MM = 177.0
_NAME, _FIGURE = 2.35, 2.15
_APART = 2.2
_TALLEST = 12.0
_ABOVE = 5.2
_BAR_FORMS = ("rod", "wire")
_FIGURES = {
    "receiving": ("wire_diameter_mm",),
    "drawing": ("wire_diameter_mm",),
    "straightening": ("curvature_ratio",),
    "cutting": ("cut_length_mm",),
    "forming": ("outer_width_mm",),
    "welding": ("joint_temperature_degC",),
    "hardening": ("temperature_degC",),
    "quenching": ("quenched_hardness_HV", "hardness_HV"),
    "tempering": ("temperature_degC",),
    "calibrating": ("force_kN",),
    "marking": ("mark_spacing_mm", "mark_distance_mm"),
    "inspection": ("pitch_mm",),
}
_LEADS = {"receiving": "ø ", "drawing": "ø ", "straightening": "bend × "}


@dataclass
class _Section:
    """One operation's stretch of the line: x1 to x2 on paper, links if it is chain."""

    step: Mapping[str, Any]
    name: str
    figure: str
    form: str
    x1: float = 0.0
    x2: float = 0.0
    links: int = 0

    @property
    def least_width(self) -> float:
        return 0.9 + max(text_width(self.name, _NAME), text_width(self.figure, _FIGURE))


@dataclass(frozen=True)
class _Layout:
    sections: Sequence[_Section]
    scale: float
    tallest: float


def line_of_metal(line: Mapping[str, Any], display: Display, *, captions: bool = True) -> Drawing:
    """The line of metal of one order line; without captions it is the small head of a page."""
    layout = _laid_out(line["steps"], display)
    above = _ABOVE if captions else 0.2
    height = above + layout.tallest + (10.4 if captions else 0.2)
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
    layout = _laid_out(line["steps"], display)
    return {
        str(part.step["operation"]): (round(part.x1, 2), round(part.x2, 2))
        for part in layout.sections
    }


def _laid_out(steps: Sequence[Mapping[str, Any]], display: Display) -> _Layout:
    sections = [
        _Section(step, plain_text(step["operation"]), _figure(step, display),
                 str(step["stock"]["form"]))
        for step in steps
    ]  # fmt: skip
    links = [link for link in (_link_of(part.step) for part in sections) if link]
    widest = max((link.outer_width_mm for link in links), default=10.0)
    thickest = max((size_of(part.step, "wire_diameter_mm") or 1.0 for part in sections), default=1)
    largest = max(widest, thickest) if links else 2 * thickest
    scale = _TALLEST / largest
    while _place(sections, scale) > WIDTH_MM and scale > 1e-4:
        scale *= 0.99
    spare = WIDTH_MM - _place(sections, scale)
    _stretch(sections, spare)
    return _Layout(sections, scale, largest * scale)


def _place(sections: Sequence[_Section], scale: float) -> float:
    """Give every section its place at this scale; the width that all take."""
    x = 0.6
    before = ""
    for part in sections:
        joined = part.form == before == "chain" or {part.form, before} <= set(_BAR_FORMS)
        x += 0.0 if joined or not before else _APART
        natural = _natural_width(part, scale)
        width = max(natural, part.least_width)
        link = _link_of(part.step)
        if part.form == "chain" and link:
            pitch = scale * link.pitch_mm
            x += 0.0 if before == "chain" else scale * link.diameter_mm
            part.links = ceil(part.least_width / pitch)
            part.x1, part.x2 = x, x + part.links * pitch
        else:
            aside = (width - natural) / 2 if natural else 0.0
            part.x1, part.x2 = x + aside, x + width - aside
        x += width if part.form != "chain" else part.x2 - part.x1
        before = part.form
    last = _link_of(sections[-1].step) if sections and sections[-1].links else None
    return x + (scale * last.diameter_mm if last else 0.0) + 0.6


def _natural_width(part: _Section, scale: float) -> float:
    if part.form == "piece":
        return scale * (size_of(part.step, "cut_length_mm") or 0.0)
    link = _link_of(part.step)
    return scale * link.length_mm if link and part.form != "chain" else 0.0


def _stretch(sections: Sequence[_Section], spare: float) -> None:
    """Bars take the width that is left over; what follows moves along."""
    bars = [part for part in sections if part.form in _BAR_FORMS]
    if spare <= 0 or not bars:
        return
    moved = 0.0
    for part in sections:
        part.x1 += moved
        moved += spare / len(bars) if part.form in _BAR_FORMS else 0.0
        part.x2 += moved


def _link_of(step: Mapping[str, Any]) -> Link | None:
    sizes = [size_of(step, f"{name}_mm") for name in ("wire_diameter", "outer_width", "pitch")]
    diameter, width, pitch = sizes
    if diameter is None or width is None:
        return None
    if pitch is not None and step["stock"]["form"] != "open link":
        return Link.closed(diameter, width, pitch)
    cut = size_of(step, "cut_length_mm")
    return None if cut is None else Link.open(diameter, width, cut, size_of(step, "gap_mm") or 0.0)


def _figure(step: Mapping[str, Any], display: Display) -> str:
    found = value_of(step, *_FIGURES.get(str(step["operation"]), ()))
    lead = _LEADS.get(str(step["operation"]), "")
    return lead + display.text(found[0], found[1]) if found else ""


def _draw_bars(drawing: Drawing, layout: _Layout, y: float) -> None:
    for place, part in enumerate(part for part in layout.sections if part.form in _BAR_FORMS):
        diameter = (size_of(part.step, "wire_diameter_mm") or 1.0) * layout.scale
        draw_bar(drawing, Bar(part.x1, part.x2, diameter), y, face=place == 0)


def _draw_single(drawing: Drawing, part: _Section, layout: _Layout, y: float) -> None:
    link = _link_of(part.step)
    if link is None:
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


def _draw_chain(drawing: Drawing, sections: Sequence[_Section], scale: float, y: float) -> None:
    """Links in turn from the broad and from the narrow side, the narrow ones in front."""
    links = [
        (link, x1 - scale * link.diameter_mm, part.step)
        for part in sections
        for link, x1 in _links_in(part, scale)
    ]
    for link, left, step in links[::2]:
        fill = heat_colour(_temperature(step))
        draw_link(drawing, link, left, y, scale, fill)
        weld = size_of(step, "weld_diameter_mm")
        if weld:
            draw_joint(drawing, link, left, y, scale, (weld, 0.25 * weld, fill))
    for link, left, step in links[1::2]:
        draw_edge_link(drawing, link, left, y, scale, heat_colour(_temperature(step)))


def _links_in(part: _Section, scale: float) -> list[tuple[Link, float]]:
    """The links of a stretch of chain, each with the left end of its pitch on paper."""
    link = _link_of(part.step)
    if link is None:
        return []
    return [(link, part.x1 + scale * index * link.pitch_mm) for index in range(part.links)]


def _temperature(step: Mapping[str, Any]) -> float:
    """The temperature at which the metal leaves the operation; cold where none is known."""
    if step["operation"] not in {"hardening", "tempering"}:
        return 20.0
    found = value_of(step, "straight_temperature_degC", "temperature_degC")
    return found[1] if found else 20.0


def _draw_captions(drawing: Drawing, layout: _Layout, y: float) -> None:
    for part in layout.sections:
        middle = (part.x1 + part.x2) / 2
        drawing.label(middle, y, part.name, _NAME, anchor="middle", bold=True)
        drawing.label(middle, y + 2.9, part.figure, _FIGURE, anchor="middle")


def _draw_dimensions(drawing: Drawing, layout: _Layout, y: float, display: Display) -> None:
    """The length of the piece and, over the last broad link, the pitch."""
    top = y - layout.tallest / 2
    for part in layout.sections:
        if part.form == "piece":
            cut = size_of(part.step, "cut_length_mm") or 0.0
            half = layout.scale * (size_of(part.step, "wire_diameter_mm") or 0.0) / 2
            text = display.text("cut_length_mm", cut)
            _dimension(drawing, (part.x1, part.x2), (top - 1.4, y - half), text)
    links = [pair for part in layout.sections for pair in _links_in(part, layout.scale)]
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
    drawing.label((x1 + x2) / 2, y - 0.8, text, _FIGURE, anchor="middle")


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
    drawing.label(x1 - 1.0, y, f"drawn to scale; {label}", _FIGURE, anchor="end")
