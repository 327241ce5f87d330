"""A chart with logarithmic axes, for limits that are powers of what they hang on.

Offers `log_chart`; curves and marks are those of the plain chart.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log10

from linkwright.documents.chart import Axis, Curve, Frame, Mark, label_ends
from linkwright.documents.display import Display
from linkwright.documents.svg import BLACK, MIDDLE, PALE, WHITE, Drawing, Pen, text_width

_WIDTH, _HEIGHT = 110.0, 74.0
_SIZE, _SMALL = 2.6, 2.3
_DASHES = ("", "2 0.9", "0.5 0.8", "3 0.8 0.6 0.8")
_NUMBERED, _NUMBERED_FAR = (1, 2, 5), (1,)
_FAR = 2.5
_PLAIN = Display()


def log_chart(
    title: str,
    axes: tuple[Axis, Axis],
    curves: Sequence[Curve],
    marks: Sequence[Mark] = (),
    display: Display = _PLAIN,
) -> Drawing | None:
    """Draw curves over axes of powers of ten; None if no curve has two points above zero.

    The ranges show all curves and marks.
    """
    logged = [_logged(curve) for curve in curves]
    drawn = [curve for curve in logged if len(curve.points()) > 1]
    if not drawn:
        return None
    what = display.say("{1} against {2}", axes[1].title, axes[0].title)
    drawing = Drawing(_WIDTH, _HEIGHT, title, f"{what}, logarithmic")
    drawing.label(0.0, 3.0, title, _SIZE + 0.2, bold=True)
    points = [point for curve in drawn for point in curve.points()]
    points += [(log10(mark.x), log10(mark.y)) for mark in marks if mark.x > 0 and mark.y > 0]
    labels = max(text_width(curve.name, _SMALL) for curve in drawn) + 3.0
    frame = Frame(
        14.0, _WIDTH - labels, 7.5, _HEIGHT - 10.0,
        _range([x for x, _ in points], 0.0), _range([y for _, y in points], 0.06),
    )  # fmt: skip
    _draw_axes(drawing, frame, axes, display)
    for index, curve in enumerate(drawn):
        path = [frame.at(*point) for point in curve.points()]
        drawing.polyline(path, Pen(BLACK, 0.34, _DASHES[index % len(_DASHES)]))
    label_ends(drawing, frame, drawn)
    _draw_marks(drawing, frame, marks)
    return drawing


def log_ticks(low: float, high: float) -> list[tuple[float, bool]]:
    """Whole multiples of powers of ten between two logarithms, and whether each has its number.

    Over more than two decades and a half 2 and 5 lose their numbers and the rest its line.

    >>> [(value, numbered) for value, numbered in log_ticks(0.0, 0.7)]
    [(1.0, True), (2.0, True), (3.0, False), (4.0, False), (5.0, True)]
    """
    found = []
    far = high - low > _FAR
    lines, numbered = (_NUMBERED, _NUMBERED_FAR) if far else (range(1, 10), _NUMBERED)
    for decade in range(floor(low), ceil(high) + 1):
        for factor in lines:
            value = factor * 10.0**decade
            if low - 1e-9 <= log10(value) <= high + 1e-9:
                found.append((value, factor in numbered))
    return found


def _logged(curve: Curve) -> Curve:
    """The curve in logarithms; what is not above zero is missing."""
    both = list(zip(curve.x, curve.y, strict=False))
    there = [(x, y) if x and y and x > 0 and y > 0 else (None, None) for x, y in both]
    return Curve(
        curve.name,
        [None if x is None else log10(x) for x, _ in there],
        [None if y is None else log10(y) for _, y in there],
    )


def _range(values: Sequence[float], room: float) -> tuple[float, float]:
    low, high = min(values), max(values)
    if high - low < 1e-6:
        low, high = low - 0.5, high + 0.5
    room *= high - low
    return low - room, high + room


def _draw_axes(drawing: Drawing, frame: Frame, axes: tuple[Axis, Axis], display: Display) -> None:
    fine, edge = Pen(PALE, 0.12), Pen(BLACK, 0.2)
    for value, numbered in log_ticks(*frame.y):
        x, y = frame.at(frame.x[0], log10(value))
        drawing.line(x, y, frame.right, y, fine)
        if numbered:
            drawing.line(x - 0.9, y, x, y, edge)
            drawing.label(x - 1.4, y + 0.85, display.number(value), _SMALL, anchor="end")
    for value, numbered in log_ticks(*frame.x):
        x, y = frame.at(log10(value), frame.y[0])
        drawing.line(x, y, x, frame.top, fine)
        if numbered:
            drawing.line(x, y, x, y + 0.9, edge)
            drawing.label(x, y + 3.3, display.number(value), _SMALL, anchor="middle")
    drawing.line(frame.left, frame.top, frame.left, frame.bottom, edge)
    drawing.line(frame.left, frame.bottom, frame.right, frame.bottom, edge)
    middle = (frame.left + frame.right) / 2
    drawing.label(middle, frame.bottom + 6.9, axes[0].title, _SIZE, anchor="middle")
    half = (frame.top + frame.bottom) / 2
    drawing.label(2.6, half, axes[1].title, _SIZE, anchor="middle", turned=True)


def _draw_marks(drawing: Drawing, frame: Frame, marks: Sequence[Mark]) -> None:
    """Dots with their names beside them, on the side where there is room."""
    for mark in marks:
        x, y = frame.at(log10(mark.x), log10(mark.y))
        width = text_width(mark.name, _SMALL)
        room = x + 2.0 + width < frame.right
        start = x + 1.8 if room else x - 1.8 - width
        down = y + 4.0 if y + 5.0 < frame.bottom else y - 2.4
        drawing.line(x, y, start + (0.0 if room else width), down - 0.8, Pen(MIDDLE, 0.12))
        drawing.rectangle(start, down - 1.9, width, 2.5, WHITE)
        drawing.dot(x, y, 0.9)
        drawing.label(start, down, mark.name, _SMALL)
