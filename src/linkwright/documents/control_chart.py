"""Control charts as pictures for print: points, limits with their source, signals by shape.

A square stands on a point beyond a limit, a triangle on one that completes a run rule, with the
number of the rule beside it; nothing hangs on colour.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linkwright.documents.chart import Axis, Frame, draw_axes
from linkwright.documents.display import Display
from linkwright.documents.svg import BLACK, DARK, MIDDLE, WHITE, Drawing, Pen, num, text_width
from linkwright.quality.charts import Chart, Panel, Signal
from linkwright.quality.run_rules import RULES

WIDTH_MM = 178.0
_FIRST_MM, _NEXT_MM, _TITLE_MM, _NOTE_MM = 66.0, 46.0, 6.0, 3.1
_LEFT_MM, _RIGHT_MM = 15.0, 27.0
_SIZE, _SMALL = 2.6, 2.3
_PLAIN = Display()
_MOST_DOTS = 300
"""Points above which dots would only touch; the line is drawn alone."""


def control_chart_picture(
    chart: Chart, title: str, quantity: str, unit: str = "", display: Display = _PLAIN
) -> Drawing:
    """Draw a chart; ``quantity`` and ``unit`` (as printed) stand on the upright axes."""
    notes = _notes(chart, display)
    heights = [_FIRST_MM if place == 0 else _NEXT_MM for place in range(len(chart.panels))]
    height = _TITLE_MM + sum(heights) + _NOTE_MM * len(notes) + 1.0
    drawing = Drawing(WIDTH_MM, height, title, _said(chart))
    drawing.label(0.0, 3.2, title, _SIZE + 0.4, bold=True)
    top = _TITLE_MM
    for panel, high in zip(chart.panels, heights, strict=True):
        _draw_panel(drawing, panel, (top, high), (quantity, unit), display)
        top += high
    for place, note in enumerate(notes):
        drawing.label(0.0, top + _NOTE_MM * (place + 0.8), note, _SMALL, fill=DARK)
    return drawing


def _draw_panel(
    drawing: Drawing,
    panel: Panel,
    place: tuple[float, float],
    named: tuple[str, str],
    display: Display,
) -> None:
    top, high = place
    count = panel.values.size
    frame = Frame(_LEFT_MM, WIDTH_MM - _RIGHT_MM, top + 2.0, top + high - 9.5,
                  (0.5, count + 0.5), _range(panel))  # fmt: skip
    quantity, unit = named
    name = quantity if panel.name == "value" else f"{panel.name}, {quantity}"
    shares = ("fraction nonconforming", "number nonconforming", "nonconformities", "T²")
    pure = panel.name.startswith(shares)
    axes = (Axis(display.say("point")), Axis(panel.name if pure else name, "" if pure else unit))
    draw_axes(drawing, frame, axes, display)
    _draw_limits(drawing, frame, panel, display)
    for values in (panel.values, panel.second):
        if values is not None:
            _draw_values(drawing, frame, values)
    for found in _one_a_point(panel.signals):
        _draw_signal(drawing, frame, found, panel)


def _range(panel: Panel) -> tuple[float, float]:
    parts = [panel.values, panel.center, panel.ucl, panel.lcl, panel.second]
    held = np.concatenate([part[np.isfinite(part)] for part in parts if part is not None])
    low, high = float(held.min()), float(held.max())
    room = 0.06 * (high - low) or 1.0
    floor = 0.0 if low == 0.0 else low - room
    return floor, high + room


def _draw_limits(drawing: Drawing, frame: Frame, panel: Panel, display: Display) -> None:
    """Centre as a thin line, limits dashed, each with its figure at the right end."""
    ends = []
    for name, level, pen in (
        ("UCL", panel.ucl, Pen(BLACK, 0.3, "1.8 0.8")),
        ("centre", panel.center, Pen(MIDDLE, 0.22)),
        ("LCL", panel.lcl, Pen(BLACK, 0.3, "1.8 0.8")),
    ):
        if level is None:
            continue
        drawing.polyline(_stepped(frame, level), pen)
        last = frame.at(level.size + 0.5, float(level[-1]))[1]
        ends.append((last, f"{display.say(name)} {display.number(float(level[-1]))}"))
    below = 0.0
    for y, text in sorted(ends):
        below = max(y + 0.8, below + 2.7)
        drawing.label(frame.right + 1.2, below, text, _SMALL)


def _stepped(frame: Frame, level: np.ndarray) -> list[tuple[float, float]]:
    """The level as a line, in steps where it changes from point to point."""
    changes = np.flatnonzero(np.diff(level)) + 1
    starts = [0, *changes.tolist()]
    stops = [*changes.tolist(), level.size]
    return [
        frame.at(edge + 0.5, float(level[start]))
        for start, stop in zip(starts, stops, strict=True)
        for edge in (start, stop)
    ]


def _draw_values(drawing: Drawing, frame: Frame, values: np.ndarray) -> None:
    points = [frame.at(at + 1.0, float(one)) for at, one in enumerate(values) if np.isfinite(one)]
    drawing.polyline(points, Pen(DARK, 0.18))
    if len(points) <= _MOST_DOTS:
        for x, y in points:
            drawing.dot(x, y, 0.5)


def _one_a_point(signals: Sequence[Signal]) -> list[tuple[Signal, tuple[int, ...]]]:
    """The signals of a point together; a limit passed shows before a run."""
    points: dict[tuple[int, float], list[Signal]] = {}
    for signal in signals:
        points.setdefault((signal.point, signal.value), []).append(signal)
    return [
        (min(found, key=lambda one: one.rule), tuple(sorted(one.rule for one in found)))
        for found in points.values()
    ]


def _draw_signal(
    drawing: Drawing, frame: Frame, found: tuple[Signal, tuple[int, ...]], panel: Panel
) -> None:
    signal, rules = found
    value = signal.value
    if panel.second is not None and not signal.above:
        value = -value
    x, y = frame.at(float(signal.point), value)
    if signal.rule == 1:
        _shape(drawing, [(x - 1.0, y - 1.0), (x + 1.0, y - 1.0), (x + 1.0, y + 1.0),
                         (x - 1.0, y + 1.0)])  # fmt: skip
    else:
        way = -1.0 if signal.above else 1.0
        _shape(drawing, [(x, y + 1.3 * way), (x + 1.15, y - 0.7 * way), (x - 1.15, y - 0.7 * way)])
    runs = ", ".join(str(rule) for rule in rules if rule > 1)
    if runs:
        down = y - 1.9 if signal.above else y + 3.6
        width = text_width(runs, _SMALL)
        drawing.rectangle(x - width / 2 - 0.2, down - 1.8, width + 0.4, 2.1, WHITE)
        drawing.label(x, down, runs, _SMALL, anchor="middle")


def _shape(drawing: Drawing, corners: Sequence[tuple[float, float]]) -> None:
    joined = "L".join(f"{num(x)} {num(y)}" for x, y in corners)
    drawing.path(f"M{joined}Z", Pen(BLACK, 0.36), WHITE)


def _notes(chart: Chart, display: Display) -> list[str]:
    """What stands below: where the limits come from, and what the shapes mean."""
    limits = chart.limits
    rest = (
        display.say("from points 1 to {1}", str(limits.points))
        if chart.of_these
        else display.say("frozen, from {1} earlier points", str(limits.points))
    )
    notes = [display.say("Limits, version {1}, {2}: {3}", str(limits.version), rest, limits.source)]
    rules = sorted({signal.rule for signal in chart.signals})
    shapes = [display.say("square: beyond a limit")] if 1 in rules else []
    for rule in rules:
        if rule > 1:
            shapes.append(f"{display.say('triangle or number')} {rule}: {display.say(RULES[rule])}")
    return [*notes, *_lines(shapes)]


def _lines(parts: Sequence[str]) -> list[str]:
    """Parts joined on as few lines as the width takes."""
    lines: list[str] = []
    for part in parts:
        joined = f"{lines[-1]}; {part}" if lines else part
        if lines and text_width(joined, _SMALL) <= WIDTH_MM:
            lines[-1] = joined
        else:
            lines.append(part)
    return lines


def _said(chart: Chart) -> str:
    signals = chart.signals
    if not signals:
        return "Control chart; no point stands out."
    told = "; ".join(f"point {one.point}: {one.says}" for one in signals[:12])
    return f"Control chart; {len(signals)} signals: {told}"
