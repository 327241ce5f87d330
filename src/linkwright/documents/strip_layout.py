"""Picture: link plates on the strip that they are blanked from, to scale, with feed and width."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, pi, radians, sin
from typing import Any

from linkwright.documents.chart import WIDTH_MM
from linkwright.documents.display import Display
from linkwright.documents.svg import BLACK, DARK, STEEL_LIGHT, WHITE, Drawing, Pen, num
from linkwright.processes.models.plate_contour import contour_points

NAME = "strip-layout"
_PREFIX = "layout_"
_FEEDS = 4.0
_TITLE = "Link plates on the strip"
_SIZE, _TOP, _LEFT, _BOTTOM = 2.6, 9.0, 11.0, 9.0
_TALLEST = 70.0
_LINE = Pen(BLACK, 0.18)
_DIM = Pen(DARK, 0.12)


def strip_layout(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Drawn where a step has the numbers of a layout."""
    curves = step["curves"]
    if f"{_PREFIX}feed_mm" not in curves:
        return None
    laid = {
        name.removeprefix(_PREFIX): float(value)
        for name, value in curves.items()
        if name.startswith(_PREFIX)
    }
    angle = radians(laid["angle_deg"])
    over = laid["hole_spacing_mm"] * cos(angle) + laid["plate_height_mm"]
    length = _FEEDS * laid["feed_mm"] + over
    scale = min((WIDTH_MM - _LEFT - 1.0) / length, _TALLEST / laid["strip_width_mm"])
    high = scale * laid["strip_width_mm"]
    said = _said(laid, display)
    drawing = Drawing(WIDTH_MM, _TOP + high + _BOTTOM, display.say(_TITLE), "; ".join(said))
    drawing.label(0.0, 3.0, display.say(_TITLE), _SIZE + 0.2, bold=True)
    drawing.rectangle(_LEFT, _TOP, scale * length, high, STEEL_LIGHT)
    for y in (_TOP, _TOP + high):
        drawing.line(_LEFT, y, _LEFT + scale * length, y, Pen(BLACK, 0.3))
    centres = _centres(laid, length, over)
    for centre in centres:
        _plate(drawing, laid, angle, centre, scale, high)
    _dimensions(drawing, laid, centres, scale, high, display)
    drawing.label(0.0, _TOP + high + _BOTTOM - 1.0, "; ".join(said[2:]), 2.3, fill=DARK)
    return drawing


def _said(laid: Mapping[str, float], display: Display) -> list[str]:
    say, text = display.say, display.text
    return [
        say("feed {1}", text("feed_mm", laid["feed_mm"])),
        say("strip width {1}", text("strip_width_mm", laid["strip_width_mm"])),
        say("plates at {1} to the feed", text("angle_deg", laid["angle_deg"])),
        say("{1} of the strip within contours",
            text("utilisation_percent", laid["utilisation_percent"])),
    ]  # fmt: skip


def _centres(laid: Mapping[str, float], length: float, over: float) -> list[tuple[float, float]]:
    """Middles of the plates that lie wholly on the piece of strip shown, from its lower edge."""
    rows = round(laid["rows"])
    used = laid["strip_width_mm"] - (rows - 1) * laid["row_distance_mm"]
    found = []
    for row in range(rows):
        y = used / 2.0 + row * laid["row_distance_mm"]
        start = over / 2.0 + (row * laid["row_shift_mm"]) % laid["feed_mm"]
        x = start
        while x + over / 2.0 <= length * (1.0 + 1e-9):
            found.append((x, y))
            x += laid["feed_mm"]
    return found


def _plate(
    drawing: Drawing, laid: Mapping[str, float], angle: float, centre: tuple[float, float],
    scale: float, high: float,
) -> None:  # fmt: skip
    """Contour and holes of one plate, turned and scaled."""

    def on_paper(x: float, y: float) -> tuple[float, float]:
        across = centre[0] + x * cos(angle) - y * sin(angle)
        up = centre[1] + x * sin(angle) + y * cos(angle)
        return _LEFT + scale * across, _TOP + high - scale * up

    spacing, height, waist = (
        laid["hole_spacing_mm"],
        laid["plate_height_mm"],
        laid["waist_height_mm"],
    )
    edge = [on_paper(float(x), float(y)) for x, y in contour_points(spacing, height, waist, 24)]
    drawing.path("M" + "L".join(f"{num(x)} {num(y)}" for x, y in edge) + "Z", _LINE, WHITE)
    radius = scale * laid["hole_diameter_mm"] / 2.0
    for side in (-0.5, 0.5):
        middle = on_paper(side * laid["hole_spacing_mm"], 0.0)
        hole = [
            (middle[0] + radius * cos(pi * k / 16), middle[1] + radius * sin(pi * k / 16))
            for k in range(32)
        ]
        drawing.path("M" + "L".join(f"{num(x)} {num(y)}" for x, y in hole) + "Z", _LINE, WHITE)


def _dimensions(
    drawing: Drawing, laid: Mapping[str, float], centres: list[tuple[float, float]],
    scale: float, high: float, display: Display,
) -> None:  # fmt: skip
    """Width of the strip at the left, feed above it between two plates of the first row."""
    said = _said(laid, display)
    drawing.line(_LEFT - 3.0, _TOP, _LEFT - 3.0, _TOP + high, _DIM)
    for y in (_TOP, _TOP + high):
        drawing.line(_LEFT - 4.0, y, _LEFT - 0.6, y, _DIM)
    drawing.label(_LEFT - 4.4, _TOP + high / 2.0, said[1], 2.3, anchor="middle", turned=True)
    first, second = (_LEFT + scale * x for x, _ in centres[:2])
    drawing.line(first, _TOP - 2.0, second, _TOP - 2.0, _DIM)
    for x in (first, second):
        drawing.line(x, _TOP - 2.5, x, _TOP - 0.4, _DIM)
    drawing.label((first + second) / 2.0, _TOP - 2.9, said[0], 2.3, anchor="middle")
