"""A plain chart: axes with units, lines labelled at their ends, limits with their source.

Offers `Axis`, `Curve`, `Limit`, `Mark` and `chart`; for pictures of their own kind also `Frame`,
`draw_axes` and `label_ends`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, isfinite, log10

from linkwright.documents.display import Display
from linkwright.documents.svg import BLACK, DARK, MIDDLE, PALE, WHITE, Drawing, Pen, text_width

WIDTH_MM, HEIGHT_MM = 86.0, 58.0
_SIZE = 2.6
_SMALL = 2.3
_DASHES = ("", "2 0.9", "0.5 0.8", "3 0.8 0.6 0.8")
_TICKS = 5
_LEAST_SPAN = 0.08
_PLAIN = Display()


@dataclass(frozen=True)
class Axis:
    """What stands on an axis: the quantity in words and its unit (empty: pure number)."""

    quantity: str
    unit: str = ""

    @property
    def title(self) -> str:
        """Quantity and unit as they stand on the axis."""
        return f"{self.quantity}, {self.unit}" if self.unit else self.quantity


@dataclass(frozen=True)
class Curve:
    """A named line of points; points that are missing or not finite leave a gap."""

    name: str
    x: Sequence[float | None]
    y: Sequence[float | None]

    def points(self) -> list[tuple[float, float]]:
        """The points that are there."""
        both = zip(self.x, self.y, strict=False)
        return [(x, y) for x, y in both if x is not None and y is not None and isfinite(x + y)]


@dataclass(frozen=True)
class Limit:
    """A level that must not be passed, with what it is and where it stands."""

    value: float
    name: str
    source: str = ""


@dataclass(frozen=True)
class Mark:
    """A point of a curve with a name of its own."""

    x: float
    y: float
    name: str


@dataclass(frozen=True)
class Frame:
    """The plot area on paper and the ranges that it shows."""

    left: float
    right: float
    top: float
    bottom: float
    x: tuple[float, float]
    y: tuple[float, float]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the plot on paper."""
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return (
            self.left + across * (self.right - self.left),
            self.bottom - up * (self.bottom - self.top),
        )


def chart(
    title: str,
    axes: tuple[Axis, Axis],
    curves: Sequence[Curve],
    limits: Sequence[Limit] = (),
    display: Display = _PLAIN,
    marks: Sequence[Mark] = (),
) -> Drawing | None:
    """Draw curves over common axes, numbers as displayed; None if no curve has two points."""
    drawn = [curve for curve in curves if len(curve.points()) > 1]
    if not drawn:
        return None
    said = "; ".join(f"{limit.name} ({limit.source})" for limit in limits if limit.source)
    what = display.say("{1} against {2}", axes[1].title, axes[0].title)
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, title, f"{what}. {said}")
    labels = max(text_width(curve.name, _SMALL) for curve in drawn) + 2.5
    x = _range([point[0] for curve in drawn for point in curve.points()])
    y = _range([*(point[1] for curve in drawn for point in curve.points()),
                *(limit.value for limit in limits)], roomy=True)  # fmt: skip
    notes = [_note(limit) for limit in limits if limit.source]
    bottom = HEIGHT_MM - 9.6 - 2.9 * len(notes)
    frame = Frame(12.5, WIDTH_MM - labels, 7.5, bottom, x, y)
    drawing.label(0.0, 3.0, title, _SIZE + 0.2, bold=True)
    draw_axes(drawing, frame, axes, display)
    paths = [_path(frame, curve) for curve in drawn]
    for limit in limits:
        _draw_limit(drawing, frame, limit, paths)
    for index, curve in enumerate(drawn):
        points = [frame.at(*point) for point in curve.points()]
        drawing.polyline(points, Pen(BLACK, 0.34, _DASHES[index % len(_DASHES)]))
    label_ends(drawing, frame, drawn)
    _draw_marks(drawing, frame, marks)
    for index, note in enumerate(notes):
        drawing.label(
            0.0, HEIGHT_MM - 0.9 - 2.9 * (len(notes) - 1 - index), note, _SMALL, fill=DARK
        )
    return drawing


def ticks_of(low: float, high: float) -> list[float]:
    """Round values between two ends, about five of them.

    >>> ticks_of(0.0, 10.0)
    [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]
    """
    raw = (high - low) / _TICKS
    power = 10.0 ** floor(log10(raw))
    step = next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= raw * 0.999)
    first = -floor(-(low / step) + 1e-9)
    last = floor(high / step + 1e-9)
    return [round(index * step, 12) for index in range(first, last + 1)]


def _range(values: Sequence[float], *, roomy: bool = False) -> tuple[float, float]:
    """A range that shows all values; it starts at zero if they reach down that far."""
    low, high = min(values), max(values)
    if low > 0 and low < 0.35 * high:
        low = 0.0
    least = (_LEAST_SPAN if roomy else 1e-9) * max(abs(low), abs(high))
    if high - low <= least:
        middle, half = (low + high) / 2, max(least, high - low) / 2 or 1.0
        low, high = middle - half, middle + half
    room = 0.07 * (high - low) if roomy else 0.0
    return (low - room if low else low), high + room


def draw_axes(drawing: Drawing, frame: Frame, axes: tuple[Axis, Axis], display: Display) -> None:
    """Both axes with ticks, numbers and titles; fine lines across."""
    fine, edge = Pen(PALE, 0.12), Pen(BLACK, 0.2)
    for value in ticks_of(*frame.y):
        x, y = frame.at(frame.x[0], value)
        drawing.line(x, y, frame.right, y, fine)
        drawing.line(x - 0.9, y, x, y, edge)
        drawing.label(x - 1.4, y + 0.85, display.number(value), _SMALL, anchor="end")
    for value in ticks_of(*frame.x):
        x, y = frame.at(value, frame.y[0])
        drawing.line(x, y, x, y + 0.9, edge)
        drawing.label(x, y + 3.3, display.number(value), _SMALL, anchor="middle")
    drawing.line(frame.left, frame.top, frame.left, frame.bottom, edge)
    drawing.line(frame.left, frame.bottom, frame.right, frame.bottom, edge)
    middle = (frame.left + frame.right) / 2
    drawing.label(middle, frame.bottom + 6.5, axes[0].title, _SIZE, anchor="middle")
    half = (frame.top + frame.bottom) / 2
    drawing.label(2.6, half, axes[1].title, _SIZE, anchor="middle", turned=True)


def _draw_limit(
    drawing: Drawing, frame: Frame, limit: Limit, paths: Sequence[Sequence[tuple[float, float]]]
) -> None:
    _, y = frame.at(frame.x[0], limit.value)
    drawing.line(frame.left, y, frame.right, y, Pen(DARK, 0.26, "1.6 0.7"))
    for x in (frame.left, frame.right):
        drawing.line(x, y - 0.9, x, y + 0.9, Pen(BLACK, 0.4))
    width = text_width(limit.name, _SMALL)
    x, down = _free_place(frame, y, width, paths)
    drawing.rectangle(x, y + down - 1.9, width, 2.3, WHITE)
    drawing.label(x, y + down, limit.name, _SMALL)


def _free_place(
    frame: Frame, y: float, width: float, paths: Sequence[Sequence[tuple[float, float]]]
) -> tuple[float, float]:
    """Where a limit's name stands clear of the curves: left or right, above or below."""
    places = [
        (x, down)
        for x in (frame.left + 1.2, frame.right - 1.2 - width)
        for down in (-0.7, 2.3)
        if frame.top - 1.0 < y + down < frame.bottom - 0.5
    ]
    for x, down in places:
        top, foot = y + down - 2.2, y + down + 0.7
        taken = any(
            x - 0.8 <= px <= x + width + 0.8 and top <= py <= foot for path in paths
            for px, py in path
        )  # fmt: skip
        if not taken:
            return x, down
    return places[0] if places else (frame.left + 1.2, -0.7)


def _draw_marks(drawing: Drawing, frame: Frame, marks: Sequence[Mark]) -> None:
    """Dots with their names below, to the left, where a rising curve leaves room."""
    for index, mark in enumerate(marks):
        x, y = frame.at(mark.x, mark.y)
        down = y + 5.0 + 3.4 * index
        drawing.line(x, y, x, down - 1.6, Pen(MIDDLE, 0.12))
        drawing.dot(x, y, 0.8)
        width = text_width(mark.name, _SMALL)
        drawing.rectangle(x + 0.6 - width, down - 1.9, width, 2.4, WHITE)
        drawing.label(x + 0.6, down, mark.name, _SMALL, anchor="end")


def _path(frame: Frame, curve: Curve) -> list[tuple[float, float]]:
    """The curve on paper, with points between its points."""
    points = [frame.at(*point) for point in curve.points()]
    shares = [index / 16 for index in range(17)]
    return [
        (x1 + share * (x2 - x1), y1 + share * (y2 - y1))
        for (x1, y1), (x2, y2) in pairwise(points)
        for share in shares
    ]


def label_ends(drawing: Drawing, frame: Frame, curves: Sequence[Curve]) -> None:
    """Names beside the right ends of the curves, moved apart where they would touch."""
    ends = []
    for curve in curves:
        x, y = frame.at(*max(curve.points()))
        ends.append((y, x, curve.name))
    last = 0.0
    for y, x, name in sorted(ends):
        place = max(y + 0.8, last + 2.7)
        last = place
        if abs(place - 0.8 - y) > 0.5:
            drawing.line(x, y, frame.right + 1.0, place - 0.8, Pen(MIDDLE, 0.12))
        drawing.label(frame.right + 1.3, place, name, _SMALL)


def _note(limit: Limit) -> str:
    room = int(WIDTH_MM / (text_width("x", _SMALL)))
    text = f"{limit.name}: {limit.source}"
    return text if len(text) <= room else text[: room - 1] + "…"
