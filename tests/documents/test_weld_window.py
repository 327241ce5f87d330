"""The picture of the weld window: regions named, set point marked, axes with units."""

from __future__ import annotations

import re
from typing import Any

import pytest

from linkwright.documents.display import Display
from linkwright.documents.weld_window import weld_windows


def _texts(svg: str) -> list[str]:
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def _weld(line: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = next(s for s in line["steps"] if s["operation"] == "welding")
    return found


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_both_cuts_name_regions_axes_and_set_point(line: dict[str, Any], units: str) -> None:
    """Three regions by name, both axes with unit, the set point with two distances."""
    drawn = dict(weld_windows(_weld(line), Display(units)))
    assert list(drawn) == ["weld-window", "weld-window-force"]
    for name, drawing in drawn.items():
        texts = _texts(drawing.text())
        assert {"lack of fusion", "sound", "expulsion"} <= set(texts)
        assert "secondary current, kA" in texts
        over = "weld time, s" if name == "weld-window" else "upset force, "
        assert any(text.startswith(over) for text in texts)
        assert any(text.startswith("set ") for text in texts)
        assert sum(text.endswith("%") and text[0] in "−+" for text in texts) == 2


def test_labels_stay_inside_the_picture(line: dict[str, Any]) -> None:
    """No text begins outside the drawing."""
    for _, drawing in weld_windows(_weld(line), Display()):
        places = re.findall(r'<text x="([-\d.]+)" y="([-\d.]+)"', drawing.text())
        assert all(0.0 <= float(x) <= drawing.width for x, _ in places)
        assert all(0.0 <= float(y) <= drawing.height for _, y in places)


def test_no_window_no_picture(line: dict[str, Any]) -> None:
    """A step without the window's curves has no such picture."""
    step = _weld(line)
    step["curves"] = {"time_s": [0.0, 0.1], "joint_degC": [20.0, 30.0]}
    assert weld_windows(step, Display()) == []
