"""Pictures of a link pulled by finite elements: a field over its cut, and force over extension.

Offers `field_picture` and `pull_chart`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from linkwright.documents.chart import Axis, Curve, Limit, Mark, chart, ticks_of
from linkwright.documents.display import Display
from linkwright.documents.svg import DARK, MIDDLE, Drawing, Pen, num
from linkwright.mechanics.solid_cut import Cut
from linkwright.mechanics.solid_element import Floats
from linkwright.quantities import ArgumentError

_PLAIN = Display()
_WIDTH, _MARGIN, _HEAD, _FOOT = 120.0, 4.0, 7.0, 17.0
_SMALL = 2.4
# light to dark, so that a grey copy still tells more from less
_COLOURS = ("#f3f1e7", "#cfdfd8", "#93c1c1", "#4f97ad", "#2c668f", "#23386b", "#1a1238")


def field_picture(
    cut: Cut,
    title: str,
    note: str,
    display: Display = _PLAIN,
    of: str = "equivalent plastic strain, %",
) -> Drawing:
    """The cut link in its loaded shape, coloured by a share, with scales in mm and per cent."""
    every = np.concatenate([cut.link, cut.neighbours, *(line[:, None] for line in cut.before)],
                           axis=None).reshape(-1, 2)  # fmt: skip
    low, high = every.min(axis=0), every.max(axis=0)
    scale = (_WIDTH - 2 * _MARGIN) / (high[0] - low[0])
    height = _HEAD + scale * (high[1] - low[1]) + _FOOT
    drawing = Drawing(_WIDTH, height, title, note)

    def on_paper(points: Floats) -> Floats:
        return np.stack([_MARGIN + (points[..., 0] - low[0]) * scale,
                         _HEAD + (high[1] - points[..., 1]) * scale], axis=-1)  # fmt: skip

    top = float(max(cut.link_values.max(), cut.neighbour_values.max(initial=0.0), 1e-4))
    _patches(drawing, on_paper(cut.neighbours), cut.neighbour_values / top)
    _patches(drawing, on_paper(cut.link), cut.link_values / top)
    for line in cut.before:
        drawing.polyline(_pairs(on_paper(line)), Pen(MIDDLE, 0.2, "1.2 0.8"))
    drawing.label(_MARGIN, 3.6, title, 2.8, bold=True)
    _colour_scale(drawing, height - _FOOT + 5.0, 100 * top, display.say(of), display)
    _length_scale(drawing, height - _FOOT + 5.0, scale, display)
    drawing.label(_MARGIN, height - 1.2, note, _SMALL, fill=DARK)
    return drawing


def pull_chart(
    extension_mm: Sequence[float],
    force_kN: Sequence[float],
    proof_force_kN: float | None = None,
    marks: Sequence[Mark] = (),
    display: Display = _PLAIN,
) -> Drawing:
    """Force over the extension of a pitch, through the maximum."""
    axes = (
        Axis(display.say("extension of one pitch"), display.unit("extension_mm")),
        Axis(display.say("force"), display.unit("force_kN")),
    )
    x = [display.shown("extension_mm", value)[0] for value in extension_mm]
    y = [display.shown("force_kN", value)[0] for value in force_kN]
    limits = []
    if proof_force_kN is not None:
        text = display.text("proof_force_kN", proof_force_kN)
        limits = [
            Limit(
                display.shown("proof_force_kN", proof_force_kN)[0],
                display.say("proof force {1}", text),
            )
        ]
    title = display.say("Force against extension")
    points = [
        Mark(
            display.shown("extension_mm", mark.x)[0],
            display.shown("force_kN", mark.y)[0],
            display.say(mark.name),
        )
        for mark in marks
    ]
    made = chart(title, axes, [Curve(display.say("link"), x, y)], limits, display, points)
    if made is None:
        raise ArgumentError("extension_mm", len(x), "", "at least two points")
    return made


def _pairs(points: Floats) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in points]


def _patches(drawing: Drawing, corners: Floats, shares: Floats) -> None:
    """Patches of one colour as one path; a thin line of that colour closes the seams."""
    steps = 32
    level = np.clip((shares * steps).astype(int), 0, steps - 1)
    for value in np.unique(level):
        paths = (
            "M" + "L".join(f"{num(x)} {num(y)}" for x, y in patch) + "Z"
            for patch in corners[level == value]
        )
        colour = _colour((value + 0.5) / steps)
        drawing.path("".join(paths), Pen(colour, 0.06), fill=colour)


def _colour(share: float) -> str:
    place = share * (len(_COLOURS) - 1)
    first = min(int(place), len(_COLOURS) - 2)
    one, other = (
        [int(colour[k : k + 2], 16) for k in (1, 3, 5)] for colour in _COLOURS[first : first + 2]
    )
    part = place - first
    mixed = [round(a + part * (b - a)) for a, b in zip(one, other, strict=True)]
    return "#" + "".join(f"{value:02x}" for value in mixed)


def _colour_scale(
    drawing: Drawing, y: float, top_percent: float, of: str, display: Display
) -> None:
    left, width = _MARGIN, 62.0
    for low, high in pairwise(np.linspace(0.0, 1.0, 33)):
        drawing.rectangle(
            left + low * width, y, (high - low) * width + 0.05, 2.4, _colour((low + high) / 2)
        )
    drawing.path(f"M{num(left)} {num(y)}h{num(width)}v2.4h{num(-width)}Z", Pen(DARK, 0.15))
    for tick in ticks_of(0.0, top_percent):
        x = left + tick / top_percent * width
        drawing.line(x, y + 2.4, x, y + 3.2, Pen(DARK, 0.15))
        drawing.label(x, y + 5.6, display.number(tick), _SMALL, anchor="middle")
    drawing.label(left, y - 1.0, of, _SMALL)


def _length_scale(drawing: Drawing, y: float, scale: float, display: Display) -> None:
    length = next(value for value in (1, 2, 5, 10, 20, 50, 100, 200) if value * scale > 9)
    right = _WIDTH - _MARGIN
    drawing.line(right - length * scale, y + 1.2, right, y + 1.2, Pen(DARK, 0.5))
    text = display.text("length_mm", float(length))
    drawing.label(right - length * scale / 2, y + 4.6, text, _SMALL, anchor="middle")
