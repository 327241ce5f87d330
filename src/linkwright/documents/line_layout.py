"""Where each operation's metal lies on the line of metal, and at what scale.

Offers `Section`, `Layout`, `laid_out`, `link_of` and `links_in`. Bars run through, single
pieces stand apart, chain joins chain. Each stretch is as wide as its caption needs; where there
are too many captions for one row they stand in two rows, and at last they are set smaller.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.metal_shapes import EyedLink, Link
from linkwright.documents.steps import operation_words, size_of, value_of
from linkwright.documents.svg import text_width

WIDTH_MM = 177.0
NAME_MM, FIGURE_MM = 2.35, 2.15
BAR_FORMS = ("rod", "wire")
_APART = 2.2
_TALLEST = 12.0
_LEAST_TALL = 6.0
_AROUND = 0.9
_BOLD = 1.08  # names are set bold, and text_width measures the regular letters
_CHANGES_TEMPERATURE = (
    "furnace_hardening", "furnace_tempering", "normalising", "link_case_hardening",
    "case_tempering",
)  # fmt: skip
"""Operations that heat and cool: their stretch shows two links at least, before and after."""
_CAPTIONS = ((1, 1.0), (2, 1.0), (2, 0.85), (2, 0.7), (2, 0.55))
"""Rows of captions and size of their letters, the first that fits is taken."""
_FIGURES = {
    "receiving": ("wire_diameter_mm",),
    "drawing": ("wire_diameter_mm",),
    "straightening": ("curvature_ratio",),
    "jack_straightening": ("curvature_ratio",),
    "cutting": ("cut_length_mm",),
    "jack_cutting": ("cut_length_mm",),
    "forming": ("outer_width_mm",),
    "jack_forming": ("pitch_mm",),
    "welding": ("joint_temperature_degC",),
    "trimming": ("weld_diameter_mm",),
    "hardening": ("temperature_degC",),
    "quenching": ("quenched_hardness_HV", "hardness_HV"),
    "tempering": ("temperature_degC",),
    "furnace_hardening": ("temperature_degC",),
    "furnace_tempering": ("temperature_degC",),
    "link_case_hardening": ("case_depth_mm",),
    "case_tempering": ("temperature_degC",),
    "normalising": ("temperature_degC",),
    "calibrating": ("force_kN",),
    "marking": ("mark_spacing_mm", "mark_distance_mm"),
    "inspection": ("pitch_mm",),
    "jack_inspection": ("opening_force_N",),
    "packing": ("package_length_m", "drum_length_m"),
}
_LEADS = {"receiving": "ø ", "drawing": "ø ", "trimming": "ø ",
          "straightening": "bend × ", "jack_straightening": "bend × "}  # fmt: skip


@dataclass
class Section:
    """One operation's stretch of the line: x1 to x2 on paper, links if it is chain."""

    step: Mapping[str, Any]
    name: str
    figure: str
    form: str
    least_width: float = 0.0
    x1: float = 0.0
    x2: float = 0.0
    links: int = 0

    def caption_width(self, size: float) -> float:
        """Room that the caption takes at this size of letters."""
        widths = _BOLD * text_width(self.name, NAME_MM), text_width(self.figure, FIGURE_MM)
        return _AROUND + size * max(widths)


@dataclass(frozen=True)
class Layout:
    """The sections in their places, the scale, and how the captions stand."""

    sections: Sequence[Section]
    scale: float
    tallest: float
    rows: int
    letters: float


def laid_out(steps: Sequence[Mapping[str, Any]], display: Display) -> Layout:
    """All steps of a line, side by side, as large as the width of the page allows."""
    sections = [_section(step, display) for step in steps]
    links = [link for link in (link_of(part.step) for part in sections) if link]
    widest = max((link.outer_width_mm for link in links), default=10.0)
    thickest = max((_diameter(part.step) for part in sections), default=1.0)
    largest = max(widest, thickest) if links else 2 * thickest
    rows, letters, scale = _CAPTIONS[0][0], 1.0, 0.0
    for rows, letters in _CAPTIONS:
        _ask_room(sections, rows, letters)
        scale = _TALLEST / largest
        while _place(sections, scale) > WIDTH_MM and scale * largest > _LEAST_TALL:
            scale *= 0.99
        if _place(sections, scale) <= WIDTH_MM:
            break
    while _place(sections, scale) > WIDTH_MM and scale * largest > 1e-3:
        scale *= 0.99
    _stretch(sections, WIDTH_MM - _place(sections, scale))
    return Layout(sections, scale, largest * scale, rows, letters)


def link_of(step: Mapping[str, Any]) -> Link | EyedLink | None:
    """The link that the step hands on; None where it is bar or piece."""
    diameter = size_of(step, "wire_diameter_mm")
    first, second = (size_of(step, f"{eye}_eye_mean_diameter_mm") for eye in ("first", "second"))
    if diameter is not None and first is not None and second is not None:
        neck, gap = size_of(step, "neck_length_mm"), size_of(step, "first_gap_mm")
        return EyedLink(diameter, first, second, neck or 0.0, gap or 0.0)
    width, pitch = size_of(step, "outer_width_mm"), size_of(step, "pitch_mm")
    if diameter is None or width is None:
        return None
    if pitch is not None and step["stock"]["form"] != "open link":
        return Link.closed(diameter, width, pitch)
    cut = size_of(step, "cut_length_mm")
    return None if cut is None else Link.open(diameter, width, cut, size_of(step, "gap_mm") or 0.0)


def links_in(part: Section, scale: float) -> list[tuple[Link | EyedLink, float]]:
    """The links of a stretch of chain, each with the left end of its pitch on paper."""
    link = link_of(part.step)
    if link is None:
        return []
    return [(link, part.x1 + scale * index * link.pitch_mm) for index in range(part.links)]


def _section(step: Mapping[str, Any], display: Display) -> Section:
    operation = str(step["operation"])
    found = value_of(step, *_FIGURES.get(operation, ()))
    figure = _LEADS.get(operation, "") + display.text(*found) if found else ""
    return Section(step, operation_words(step), figure, str(step["stock"]["form"]))


def _diameter(step: Mapping[str, Any]) -> float:
    return size_of(step, "wire_diameter_mm") or 1.0


def _ask_room(sections: Sequence[Section], rows: int, letters: float) -> None:
    """The least width of every stretch, so that no caption touches the next one of its row.

    In two rows a caption may reach over half of either neighbour, and those need room for
    theirs: from one caption of a row to the next there are two half stretches and a whole one.
    """
    wide = [part.caption_width(letters) for part in sections]
    for index, part in enumerate(sections):
        if rows == 1:
            part.least_width = wide[index]
            continue
        before = wide[index - 1] if index else 0.0
        after = wide[index + 1] if index + 1 < len(wide) else 0.0
        end = index in {0, len(wide) - 1}
        part.least_width = max(wide[index] * (1.0 if end else 0.5), (before + after) / 4)


def _place(sections: Sequence[Section], scale: float) -> float:
    """Give every section its place at this scale; the width that all take."""
    x = 0.6
    before = ""
    for part in sections:
        joined = part.form == before == "chain" or {part.form, before} <= set(BAR_FORMS)
        x += 0.0 if joined or not before else _APART
        natural = _natural_width(part, scale)
        width = max(natural, part.least_width)
        link = link_of(part.step)
        if part.form == "chain" and link:
            pitch = scale * link.pitch_mm
            x += 0.0 if before == "chain" else scale * link.diameter_mm
            fewest = 2 if part.step["operation"] in _CHANGES_TEMPERATURE else 1
            part.links = max(ceil(part.least_width / pitch), fewest)
            part.x1, part.x2 = x, x + part.links * pitch
        else:
            aside = (width - natural) / 2 if natural else 0.0
            part.x1, part.x2 = x + aside, x + width - aside
        x += width if part.form != "chain" else part.x2 - part.x1
        before = part.form
    last = link_of(sections[-1].step) if sections and sections[-1].links else None
    return x + (scale * last.diameter_mm if last else 0.0) + 0.6


def _natural_width(part: Section, scale: float) -> float:
    if part.form == "piece":
        return scale * (size_of(part.step, "cut_length_mm") or 0.0)
    link = link_of(part.step)
    return scale * link.length_mm if link and part.form != "chain" else 0.0


def _stretch(sections: Sequence[Section], spare: float) -> None:
    """Bars take the width that is left over; what follows moves along."""
    bars = [part for part in sections if part.form in BAR_FORMS]
    if spare <= 0 or not bars:
        return
    moved = 0.0
    for part in sections:
        part.x1 += moved
        moved += spare / len(bars) if part.form in BAR_FORMS else 0.0
        part.x2 += moved
