"""The weld window: current against time, or upset force, between lack of fusion and expulsion.

Offers `weld_windows`. Regions carry their names, the doubt about expulsion is hatched and the
set point marked with its distance to each boundary: nothing is told by colour alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from linkwright.documents.chart import Axis, Curve, Frame, draw_axes, label_ends
from linkwright.documents.display import Display
from linkwright.documents.steps import title_said, value_of
from linkwright.documents.svg import BLACK, DARK, MIDDLE, STEEL_LIGHT, WHITE, Drawing, Pen
from linkwright.documents.svg import text_width as width_of

WINDOW = "window_"
"""How the names of the window's curves begin."""
_WIDTH_MM, _HEIGHT_MM = 86.0, 70.0
_SIZE, _SMALL = 2.6, 2.3
_HATCH_MM = 1.6
_CURRENT = "window_set_current_kA"
_NOTES = (
    "hatched: band of the works' own factor on expulsion; no limit is given",
    "until the works has learned it by its trial at rising current",
)
Numbers = Sequence[float | None]


@dataclass(frozen=True)
class _Cut:
    """One cut through the window: boundaries in the unit shown, over one setting."""

    name: str
    axis: Axis
    x: Sequence[float]
    set_x: float
    set_text: str
    heat: Numbers
    upset: Numbers
    expulsion: tuple[Numbers, Numbers, Numbers]  # low, median, high

    @property
    def fusion(self) -> list[float | None]:
        """The higher of the two boundaries below: what a sound weld needs."""
        both = zip(self.heat, self.upset, strict=True)
        return [None if a is None or b is None else max(a, b) for a, b in both]


def weld_windows(step: Mapping[str, Any], display: Display) -> list[tuple[str, Drawing]]:
    """Two cuts through the window of a weld: over its time, and over its upset force."""
    axes = [step["curves"].get(f"window_{name}") for name in ("time_s", "force_kN")]
    if not all(isinstance(axis, list) and None not in axis for axis in axes):
        return []
    shown = _shown(step["curves"], display)
    cuts = (_over_time(shown, display), _over_force(shown, display))
    return [(cut.name, _drawn(cut, step, shown, display)) for cut in cuts if _whole(cut)]


def _shown(curves: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """The window's curves in the units shown."""

    def one(name: str, value: float | None) -> float | None:
        return None if value is None else display.shown(name, value)[0]

    return {
        name: [one(name, value) for value in values]
        if isinstance(values, list)
        else one(name, values)
        for name, values in curves.items()
        if name.startswith(WINDOW)
    }


def _over_time(shown: Mapping[str, Any], display: Display) -> _Cut:
    sides = ("low_", "", "high_")
    low, middle, high = (shown[f"window_expulsion_{side}current_kA"] for side in sides)
    time = shown["window_set_time_s"]
    axis = Axis(display.say("weld time"), display.unit("window_time_s"))
    text = display.text("window_set_time_s", time, 3)
    return _Cut(
        "weld-window", axis, shown["window_time_s"], time, text, shown["window_heat_current_kA"],
        shown["window_upset_current_kA"], (low, middle, high),
    )  # fmt: skip


def _over_force(shown: Mapping[str, Any], display: Display) -> _Cut:
    """At the set time; heat and expulsion do not hang on the upset force."""
    time, force = shown["window_set_time_s"], shown["window_set_force_kN"]
    forces, unit = shown["window_force_kN"], display.unit("window_force_kN")

    def level(values: Numbers) -> list[float | None]:
        return [_at(time, shown["window_time_s"], values)] * len(forces)

    cut = _over_time(shown, display)
    low, middle, high = (level(values) for values in cut.expulsion)
    text = f"{display.number(force, 3)}\u00a0{unit}"
    axis = Axis(display.say("upset force"), unit)
    return _Cut(
        "weld-window-force", axis, forces, force, text, level(cut.heat),
        shown["window_force_upset_current_kA"], (low, middle, high),
    )  # fmt: skip


def _whole(cut: _Cut) -> bool:
    """Whether the cut has a lower and an upper boundary to draw."""
    return sum(v is not None for v in cut.fusion) > 1 and sum(
        v is not None for v in cut.expulsion[1]
    ) > 1  # fmt: skip


def _drawn(
    cut: _Cut, step: Mapping[str, Any], shown: Mapping[str, Any], display: Display
) -> Drawing:
    over = cut.axis.quantity
    say = display.say
    title = f"{title_said(step, say)}: {say('window over {1}', over)}"
    told = say("secondary current against {1}: lack of fusion, sound, expulsion", over)
    drawing = Drawing(_WIDTH_MM, _HEIGHT_MM, title, told)
    curves = [
        Curve(say("expulsion begins"), cut.x, cut.expulsion[1]),
        Curve(say("least joint heat"), cut.x, cut.heat),
        Curve(say("least upset"), cut.x, cut.upset),
    ]
    curves = [curve for curve in curves if len(curve.points()) > 1]
    frame = _frame(cut, curves, shown[_CURRENT])
    _fill_sound(drawing, frame, cut)
    drawing.label(0.0, 3.0, title, _SIZE + 0.2, bold=True)
    current = Axis(say("secondary current"), display.unit(_CURRENT))
    draw_axes(drawing, frame, (cut.axis, current), display)
    _hatch(drawing, frame, cut)
    for curve, dash in zip(curves, ("2 0.9", "", "0.5 0.8"), strict=False):
        points = [frame.at(*point) for point in curve.points()]
        drawing.polyline(points, Pen(BLACK, 0.34, dash))
    label_ends(drawing, frame, curves)
    _name_regions(drawing, frame, cut, display)
    _mark_set_point(drawing, frame, cut, (step, shown[_CURRENT]), display)
    for index, note in enumerate(_NOTES):
        drawing.label(0.0, _HEIGHT_MM - 3.8 + 2.9 * index, say(note), _SMALL, fill=DARK)
    return drawing


def _frame(cut: _Cut, curves: Sequence[Curve], current: float) -> Frame:
    """The plot area: all boundaries, with room for the names of the regions."""
    heights = [y for curve in curves for _, y in curve.points()]
    heights += [one for one in cut.expulsion[2] if one is not None] + [current]
    low, high = min(heights), max(heights)
    room = 0.12 * (high - low)
    names = max(width_of(curve.name, _SMALL) for curve in curves) + 2.5
    reach = (min(cut.x), max(cut.x))
    bottom = _HEIGHT_MM - 9.6 - 2.9 * len(_NOTES)
    return Frame(12.5, _WIDTH_MM - names, 7.5, bottom, reach, (max(low - room, 0.0), high + room))


def _fill_sound(drawing: Drawing, frame: Frame, cut: _Cut) -> None:
    """The sound region as a pale area."""
    rows = zip(cut.x, cut.fusion, cut.expulsion[1], strict=True)
    both = [(x, a, b) for x, a, b in rows if a is not None and b is not None and b > a]
    if len(both) > 1:
        outline = [frame.at(x, a) for x, a, _ in both] + [frame.at(x, b) for x, _, b in both[::-1]]
        data = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in outline) + "Z"
        drawing.path(data, Pen(STEEL_LIGHT, 0.1), fill=STEEL_LIGHT)


def _hatch(drawing: Drawing, frame: Frame, cut: _Cut) -> None:
    """Upright strokes through the band in which expulsion may begin."""
    place = frame.left + _HATCH_MM / 2
    while place < frame.right:
        part = (place - frame.left) / (frame.right - frame.left)
        x = frame.x[0] + part * (frame.x[1] - frame.x[0])
        low, high = (_at(x, cut.x, cut.expulsion[side]) for side in (0, 2))
        if low is not None and high is not None:
            ends = [frame.at(x, min(max(y, frame.y[0]), frame.y[1]))[1] for y in (low, high)]
            drawing.line(place, ends[0], place, ends[1], Pen(MIDDLE, 0.12))
        place += _HATCH_MM


def _name_regions(drawing: Drawing, frame: Frame, cut: _Cut, display: Display) -> None:
    """The names of the regions, each in the middle of its own height beside the set point."""
    left, right = (
        frame.x[0] + share * (frame.x[1] - frame.x[0]) for share in (0.24, 0.76)
    )  # fmt: skip
    x = left if abs(left - cut.set_x) > abs(right - cut.set_x) else right
    low, middle, high = (_at(x, cut.x, line) for line in cut.expulsion)
    fusion = _at(x, cut.x, cut.fusion)
    below = [one for one in (_at(x, cut.x, cut.heat), _at(x, cut.x, cut.upset)) if one is not None]
    least = min(below, default=fusion)
    roomy = least is not None and frame.bottom - frame.at(x, least)[1] > 1.5 * _SIZE
    spans = (
        ("lack of fusion", frame.y[0], least if roomy else fusion),
        ("sound", fusion, middle if low is None else low),
        ("expulsion", middle if high is None else high, frame.y[1]),
    )
    for text, foot, head in spans:
        if foot is not None and head is not None:
            across, y = frame.at(x, (foot + head) / 2)
            drawing.label(across, y + 0.9, display.say(text), _SIZE, anchor="middle", bold=True)


def _mark_set_point(
    drawing: Drawing,
    frame: Frame,
    cut: _Cut,
    point: tuple[Mapping[str, Any], float],
    display: Display,
) -> None:
    """The set point, a line to both boundaries, and how far they are in per cent."""
    step, current = point
    ends = [_at(cut.set_x, cut.x, line) for line in (cut.fusion, cut.expulsion[1])]
    known = [end for end in ends if end is not None]
    x, y = frame.at(cut.set_x, current)
    if known:
        reach = [
            frame.at(cut.set_x, one)[1] for one in (min(*known, current), max(*known, current))
        ]
        drawing.line(x, reach[0], x, reach[1], Pen(BLACK, 0.22))
        for end in reach:
            drawing.line(x - 0.8, end, x + 0.8, end, Pen(BLACK, 0.22))
    drawing.dot(x, y, 1.1, WHITE)
    drawing.dot(x, y, 0.8)
    subjects = ("current_above_lack_of_fusion_percent", "current_below_expulsion_percent")
    rows = [value_of(step, name) for name in subjects]
    for bound, row, sign in zip(ends, rows, ("−", "+"), strict=True):
        if bound is not None and row is not None and isfinite(row[1]):
            half = frame.at(cut.set_x, (bound + current) / 2)[1]
            _boxed(drawing, x + 1.2, half + 0.8, f"{sign}{display.number(row[1], 2)} %", _SMALL)
    foot = frame.bottom if ends[0] is None else frame.at(cut.set_x, min(ends[0], current))[1]
    drawing.line(x, foot, x, frame.bottom, Pen(DARK, 0.18, "0.4 0.7"))
    text = display.say("set {1}", cut.set_text)
    _boxed(drawing, x - 1.2 - width_of(text, _SMALL), frame.bottom - 1.4, text, _SMALL)


def _boxed(drawing: Drawing, x: float, y: float, text: str, size: float) -> None:
    """A text on a white ground, so that lines behind do not disturb it."""
    drawing.rectangle(x - 0.4, y - 0.78 * size, width_of(text, size) + 1.0, size, WHITE)
    drawing.label(x, y, text, size)


def _at(x: float, known: Sequence[float], values: Numbers) -> float | None:
    """The value at x, straight between two known ones; None where one of them is missing."""
    for index in range(1, len(known)):
        low, high = values[index - 1], values[index]
        if known[index - 1] <= x <= known[index]:
            if low is None or high is None:
                return None
            part = (x - known[index - 1]) / (known[index] - known[index - 1])
            return low + part * (high - low)
    return None
