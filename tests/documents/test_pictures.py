"""The pictures: well-formed, titled, to scale, only where their curves are."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.documents.chart import Axis, Curve, Limit, chart, ticks_of
from linkwright.documents.display import Display
from linkwright.documents.fits_and_cases import soft_end
from linkwright.documents.line_of_metal import line_of_metal, places_on_line
from linkwright.documents.metal_shapes import Link
from linkwright.documents.part_shapes import draw_part, part_of
from linkwright.documents.pictures import pictures_of
from linkwright.documents.svg import STEEL, Drawing, heat_colour

SVG = "{http://www.w3.org/2000/svg}"


def _texts(svg: str) -> list[str]:
    return [node.text or "" for node in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314


def test_every_picture_is_well_formed_and_titled(line: dict[str, Any]) -> None:
    """Each SVG parses and carries a title and a description for those who cannot see it."""
    pictures = pictures_of(line, Display())
    assert len({picture.name for picture in pictures}) == len(pictures) >= 5
    for picture in pictures:
        root = ET.fromstring(picture.drawing.text())  # noqa: S314 - our own bytes
        assert root.find(f"{SVG}title").text  # type: ignore[union-attr]
        assert root.find(f"{SVG}desc").text  # type: ignore[union-attr]


def test_a_picture_is_drawn_only_with_its_curve(line: dict[str, Any]) -> None:
    """Without curves only the line of metal remains."""
    for step in line["steps"]:
        step["curves"] = {}
    assert [picture.name for picture in pictures_of(line, Display())] == ["line-of-metal"]


def test_missing_points_leave_no_empty_chart(line: dict[str, Any]) -> None:
    """A curve of nothing but missing values draws no picture."""
    for step in line["steps"]:
        step["curves"] = {
            name: [None] * len(values) if isinstance(values, list) else values
            for name, values in step["curves"].items()
        }
    with_none = [picture.name for picture in pictures_of(line, Display())]
    assert with_none == ["line-of-metal"]


def test_force_picture_shows_the_least_breaking_force(line: dict[str, Any]) -> None:
    """The limit stands in the chart with its value, unit and source."""
    pictures = {picture.name: picture for picture in pictures_of(line, Display())}
    texts = _texts(pictures["inspection-force-extension"].drawing.text())
    assert any(text.startswith("least breaking force 80.4") for text in texts)
    assert any("EN 818-2" in text for text in texts)
    assert "force, kN" in texts


def test_every_operation_has_its_caption(line: dict[str, Any]) -> None:
    """All operation names stand below the line of metal, in order, not on each other."""
    texts = _texts(line_of_metal(line, Display()).text())
    for step in line["steps"]:
        assert step["operation"] in texts
    places = list(places_on_line(line, Display()).values())
    assert all(first[1] <= second[0] + 0.01 for first, second in zip(places, places[1:]))  # noqa: B905, RUF007
    assert places[-1][1] <= 177.0


@pytest.mark.parametrize("factor", [0.5, 1.0, 2.5, 6.0])
def test_line_of_metal_fits_chain_of_any_size(line: dict[str, Any], factor: float) -> None:
    """Chain from 4 to 48 mm is drawn inside the page at a scale of its own."""
    for step in line["steps"]:
        shape = step["stock"]["shape"]
        step["stock"]["shape"] = {name: factor * value for name, value in shape.items()}
    drawing = line_of_metal(line, Display())
    places = places_on_line(line, Display())
    assert max(end for _, end in places.values()) <= drawing.width
    assert drawing.height < 40.0


def test_line_of_metal_is_to_scale(line: dict[str, Any]) -> None:
    """The cut piece and the pitch of the chain stand in the proportion of their sizes."""
    shape = line["steps"][-1]["stock"]["shape"]
    places = places_on_line(line, Display())
    piece = places["cutting"][1] - places["cutting"][0]
    chain = places["inspection"][1] - places["inspection"][0]
    links = chain / piece * shape["cut_length_mm"] / shape["pitch_mm"]
    assert links == pytest.approx(round(links), abs=0.02)


def test_only_heat_gives_colour() -> None:
    """Steel keeps its grey up to 520 °C and glows from there."""
    assert heat_colour(20.0) == heat_colour(520.0) == STEEL
    assert heat_colour(940.0) != STEEL
    assert heat_colour(2000.0) == heat_colour(1400.0)


def test_closed_link_has_the_pitch_it_was_made_for() -> None:
    """Inner length of the drawn link is the pitch."""
    assert Link.closed(8.0, 27.0, 24.0).pitch_mm == pytest.approx(24.0)


def test_open_link_uses_the_length_of_its_piece() -> None:
    """Centre line and gap of the open link add up to the piece and the gap."""
    link = Link.open(8.0, 27.0, 86.4, 1.2)
    centreline = 2 * link.straight_mm + 3.141592653589793 * (27.0 - 8.0)
    assert centreline == pytest.approx(86.4 + 1.2)


@settings(derandomize=True, max_examples=60)
@given(
    low=st.floats(-1e6, 1e6),
    span=st.floats(1e-3, 1e6),
)
def test_ticks_lie_inside_and_are_few(low: float, span: float) -> None:
    """Ticks rise, lie between the ends and are neither none nor a crowd."""
    ticks = ticks_of(low, low + span)
    assert 1 <= len(ticks) <= 8
    assert ticks == sorted(set(ticks))
    assert low - 1e-6 * (abs(low) + span) <= ticks[0]
    assert ticks[-1] <= low + span + 1e-6 * (abs(low) + span)


def test_chart_of_a_constant_has_a_range() -> None:
    """A level line, also at zero, is drawn."""
    for level in (0.0, 5.0, -3.0):
        axes = (Axis("time", "s"), Axis("force", "kN"))
        assert chart("t", axes, [Curve("a", [0, 1], [level, level])], [Limit(level, "x")])


def test_an_annealed_end_is_drawn_with_its_limit_and_its_plate() -> None:
    """Hardness of case and core along the pin, the plate where it lies, the limit of the works."""
    step: dict[str, Any] = {
        "operation": "end_annealing", "branch": "pin", "place": "end_annealing",
        "curves": {"end_distance_mm": [0.0, 2.0, 4.0], "end_case_HV": [420.0, 450.0, 720.0],
                   "end_core_HV": [400.0, 400.0, 400.0], "plate_distance_mm": [2.2, 5.2],
                   "plate_limit_HV": [550.0, 550.0]},
        "findings": [{"subject": "end_case_hardness_HV", "value": 447.0, "least": None,
                      "greatest": 480.0, "source": "held by the works: harder heads crack"}],
    }  # fmt: skip
    drawing = soft_end(step, Display())
    assert drawing is not None
    texts = [text.replace("\u00a0", " ") for text in _texts(drawing.text())]
    assert {"case", "core", "outer plate"} <= set(texts)
    assert any(text.startswith("greatest 480 HV") for text in texts)
    assert soft_end({**step, "curves": {}}, Display()) is None


def test_a_drilled_pin_shows_its_hole_at_its_place() -> None:
    """One more outline than a plain pin, near the end that it was drilled at."""
    shape = {"pin_length_mm": 40.0, "diameter_mm": 8.0}
    outlines = []
    for more in ({}, {"cotter_hole_mm": 2.5, "hole_from_end_mm": 3.5}):
        step = {"stock": {"form": "pin", "shape": {**shape, **more}}}
        part = part_of(step)
        assert part is not None
        drawing = Drawing(100.0, 20.0, "a pin", "as it lies on the bench")
        draw_part(drawing, part, 50.0, 10.0, 1.0)
        outlines.append(drawing.text())
    plain, drilled = outlines
    assert drilled.count("<path") == plain.count("<path") + 1
    assert "M65.25 10" in drilled  # 50 + 20 - 3.5 less the radius
