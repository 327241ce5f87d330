"""The picture of link plates on their strip."""

import re

import numpy as np
import pytest

from linkwright.documents.display import Display
from linkwright.documents.strip_layout import _centres, strip_layout
from linkwright.processes.models.plate_nesting import nested_plates

SIZES = {"hole_spacing_mm": 25.4, "plate_height_mm": 20.87, "waist_height_mm": 15.65}


def _step(rows):
    found = nested_plates(**SIZES, bridge_mm=5.0, edge_mm=5.0, rows=float(rows))
    numbers = {**SIZES, "hole_diameter_mm": 11.24, "rows": float(rows), **found._asdict()}
    return {"curves": {f"layout_{name}": float(value) for name, value in numbers.items()}}


@pytest.mark.parametrize("rows", [1, 2, 3])
def test_every_plate_has_a_contour_and_two_holes(rows):
    text = strip_layout(_step(rows), Display()).text()
    closed = len(re.findall(r'<path d="M[^"]*Z"', text))
    assert closed % 3 == 0
    assert closed // 3 >= 4 * rows


def test_plates_stand_a_feed_apart_and_within_the_edges():
    step = _step(2)
    laid = {name.removeprefix("layout_"): value for name, value in step["curves"].items()}
    angle = np.radians(laid["angle_deg"])
    over = 25.4 * np.cos(angle) + 20.87
    centres = np.array(_centres(laid, 4.0 * laid["feed_mm"] + over, over))
    first = centres[centres[:, 1] == centres[0, 1], 0]
    assert np.diff(first) == pytest.approx(np.full(first.size - 1, laid["feed_mm"]))
    high = 25.4 * np.sin(angle) + 20.87
    assert centres[:, 1].min() - high / 2.0 == pytest.approx(5.0, abs=1e-6)
    assert laid["strip_width_mm"] - centres[:, 1].max() - high / 2.0 == pytest.approx(5.0, abs=1e-6)


def test_a_step_without_a_layout_has_no_picture():
    assert strip_layout({"curves": {"time_s": [0.0, 1.0]}}, Display()) is None
