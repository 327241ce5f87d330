"""A chart with logarithmic axes: powers are straight, ticks lie inside, marks are seen."""

import re
from math import log10

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.documents.chart import Axis, Curve, Mark
from linkwright.documents.log_chart import log_chart, log_ticks

AXES = (Axis("speed", "rpm"), Axis("power", "kW"))


def _paths(svg: str) -> list[np.ndarray]:
    """Points of the lines with round ends, which are the curves."""
    found = re.findall(r'<path d="M([^"]*)"[^>]*stroke-linecap="round"', svg)
    return [np.array([[float(n) for n in p.split()] for p in d.split("L")]) for d in found]


def test_a_power_is_a_straight_line() -> None:
    """n^0.9 rises over n as 0.9 on paper of equal decades; the falling one falls."""
    speed = np.geomspace(10.0, 1000.0, 20)
    drawing = log_chart(
        "Limits", AXES,
        [Curve("plates", list(speed), list(0.01 * speed**0.9)),
         Curve("rollers", list(speed), list(1e5 / speed**1.5))],
        [Mark(96.0, 0.4, "duty")],
    )  # fmt: skip
    assert drawing is not None
    rising, falling = _paths(drawing.text())
    slopes = [np.polyfit(*path.T, 1)[0] for path in (rising, falling)]
    for path, slope in zip((rising, falling), slopes, strict=True):
        straight = path[0, 1] + slope * (path[:, 0] - path[0, 0])
        assert np.abs(path[:, 1] - straight).max() < 0.01
    assert slopes[0] / slopes[1] == pytest.approx(-0.9 / 1.5, rel=1e-3)
    assert {"plates", "rollers", "duty"} <= set(
        re.findall(r"<text[^>]*>([^<]*)</text>", drawing.text())
    )


@given(st.floats(-3.0, 4.0), st.floats(0.5, 7.0))
def test_ticks_lie_inside_and_their_numbers_are_few(low: float, span: float) -> None:
    ticks = log_ticks(low, low + span)
    assert all(low - 1e-6 <= log10(value) <= low + span + 1e-6 for value, _ in ticks)
    assert 1 <= sum(numbered for _, numbered in ticks) <= 9 or span < 1.0


def test_what_is_not_above_zero_is_left_out() -> None:
    """A curve of nothing gives no chart."""
    assert log_chart("Empty", AXES, [Curve("none", [1.0, 2.0], [0.0, None])]) is None
    assert log_chart("One", AXES, [Curve("some", [1.0, 2.0, 3.0], [0.0, 1.0, 2.0])]) is not None
