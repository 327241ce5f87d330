"""The line of metal: any product, size and number of operations has its place on the page."""

from __future__ import annotations

import copy
from itertools import pairwise
from typing import Any

import pytest

from linkwright.documents.display import Display
from linkwright.documents.line_layout import WIDTH_MM, laid_out, link_of
from linkwright.documents.line_of_metal import line_of_metal
from linkwright.documents.metal_shapes import EyedLink
from linkwright.documents.svg import STEEL, heat_colour, num

FINISHING = ("trimming", "tumbling", "shot_blasting", "oiling", "plating", "packing")
EYES = {
    "wire_diameter_mm": 2.68, "neck_length_mm": 6.16, "first_eye_mean_diameter_mm": 8.98,
    "second_eye_mean_diameter_mm": 8.98, "first_gap_mm": 0.54, "pitch_mm": 21.44,
}  # fmt: skip


def renamed(line: dict[str, Any], of: str, name: str) -> dict[str, Any]:
    """A copy of one step under another name."""
    step = copy.deepcopy(next(step for step in line["steps"] if step["operation"] == of))
    return {**step, "operation": name, "place": name}


def test_many_operations_fit_and_their_captions_stand_apart(line: dict[str, Any]) -> None:
    """Eighteen operations: within the width, and no caption on the next one of its row."""
    line["steps"][-1:-1] = [renamed(line, "marking", name) for name in FINISHING]
    layout = laid_out(line["steps"], Display())
    assert layout.sections[-1].x2 <= WIDTH_MM
    assert layout.tallest > 5.0
    for row in range(layout.rows):
        for one, other in pairwise(layout.sections[row :: layout.rows]):
            apart = (other.x1 + other.x2 - one.x1 - one.x2) / 2
            wide = one.caption_width(layout.letters) + other.caption_width(layout.letters)
            assert apart >= wide / 2 - 1e-9, (one.name, other.name)


@pytest.mark.parametrize("factor", [0.5, 1.0, 2.5])
def test_every_size_is_drawn_to_its_own_scale(line: dict[str, Any], factor: float) -> None:
    """4 to 20 mm chain fill the width alike."""
    for step in line["steps"]:
        for name in step["stock"]["shape"]:
            step["stock"]["shape"][name] *= factor
    layout = laid_out(line["steps"], Display())
    assert layout.sections[-1].x2 <= WIDTH_MM
    assert layout.tallest == pytest.approx(layout.scale * 26.896 * factor, rel=0.02)


@pytest.mark.parametrize("of", ["receiving", "cutting", "forming", "marking"])
def test_an_operation_nobody_foresaw_is_drawn_by_what_it_hands_on(
    line: dict[str, Any], of: str
) -> None:
    """Bar, piece, link or chain: the form of the stock decides."""
    line["steps"].insert(3, renamed(line, of, "polishing_by_hand"))
    assert ">polishing by hand<" in line_of_metal(line, Display()).text()


def test_a_form_nobody_foresaw_keeps_its_caption(line: dict[str, Any]) -> None:
    """No shape, no error."""
    line["steps"][4]["stock"] = {"form": "bundle", "steel": "x", "shape": {}}
    assert ">forming<" in line_of_metal(line, Display()).text()


def test_a_link_with_two_eyes_has_the_pitch_of_its_stock(line: dict[str, Any]) -> None:
    """Inner length eye to eye, from eyes, neck and wire."""
    step = renamed(line, "marking", "jack_forming")
    step["stock"]["shape"] = EYES
    link = link_of(step)
    assert isinstance(link, EyedLink)
    assert link.pitch_mm == pytest.approx(EYES["pitch_mm"], abs=0.02)
    assert link.outer_width_mm == pytest.approx(8.98 + 2.68)


def test_two_eyed_links_hang_in_each_other_at_their_pitch(line: dict[str, Any]) -> None:
    """Each broad eye has its gap, as many as there are links; nothing is drawn as a round link."""
    step = renamed(line, "marking", "jack_forming")
    step["stock"]["shape"] = EYES
    line["steps"] = [*line["steps"][:4], step]
    layout = laid_out(line["steps"], Display())
    text = line_of_metal(line, Display()).text()
    radius = num(layout.scale * EYES["first_eye_mean_diameter_mm"] / 2)
    eyes = text.count(f"A{radius} {radius} 0 1 0 ")
    assert eyes == 3 * layout.sections[-1].links  # each with edge, body and light


@pytest.mark.parametrize("name", ["furnace_hardening", "furnace_tempering", "normalising"])
def test_furnace_work_is_hot_first_and_cold_last(line: dict[str, Any], name: str) -> None:
    """The stretch begins at the temperature of the furnace and ends as cold steel."""
    place = next(i for i, s in enumerate(line["steps"]) if s["operation"] == "hardening")
    line["steps"] = [*line["steps"][:place], renamed(line, "hardening", name)]
    text = line_of_metal(line, Display()).text()
    hottest = next(r for r in line["steps"][-1]["findings"]
                   if r["subject"] == "straight_temperature_degC")["value"]  # fmt: skip
    assert heat_colour(hottest) in text
    assert text.rindex(STEEL) > text.rindex(heat_colour(hottest))


def test_cold_finishing_is_not_tinted(line: dict[str, Any]) -> None:
    """A bake or a dip after hardening has the colour of steel."""
    line["steps"] = [*line["steps"][:5], renamed(line, "tempering", "plating")]
    assert set(_fills(line)) == {STEEL}


def _fills(line: dict[str, Any]) -> list[str]:
    """The colour of the body of every shape of chain in the picture."""
    from linkwright.documents import line_of_metal as module

    layout = laid_out(line["steps"], Display())
    chain = [part for part in layout.sections if part.links]
    return [heat_colour(one) for part in chain for one in module._temperatures(part)]
