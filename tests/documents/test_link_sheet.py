"""The sheet about the link under load, from a plan document alone."""

from __future__ import annotations

from copy import deepcopy
from typing import Any
from xml.etree import ElementTree

import pytest

from linkwright.documents.display import Display
from linkwright.documents.link_sheet import link_sheet
from linkwright.documents.numbering import numbered


@pytest.fixture
def line(document: dict[str, Any]) -> dict[str, Any]:
    """The demo's line, to be changed by a test."""
    return deepcopy(document["lines"][0])


def sheet_of(line: dict[str, Any], units: str = "metric") -> dict[str, Any]:
    made = link_sheet(line, numbered(line["derivation"]), Display(units))
    assert made is not None
    return made


def finding(line: dict[str, Any], subject: str) -> dict[str, Any]:
    steps = [step for step in line["steps"] if step["operation"] == "inspection"]
    return next(row for row in steps[0]["findings"] if row["subject"] == subject)


def test_it_says_what_comes_first_with_force_and_place(line: dict[str, Any]) -> None:
    """Instability as long as no place reaches its limit; else fracture."""
    assert "(instability)" in sheet_of(line)["breaking"][0]
    finding(line, "weld_damage")["value"] = 1.2
    told = sheet_of(line)["breaking"]
    assert "(fracture)" in told[0]
    assert "the weld" in told[1]
    assert "120\u00a0%" in told[1]


def test_what_decides_is_the_row_with_the_least_room(line: dict[str, Any]) -> None:
    """A worse finding takes its place; what lies beyond its limit says so."""
    finding(line, "total_elongation_percent")["value"] = 19.0
    told = sheet_of(line)["deciding"]
    assert "total elongation" in told
    assert "5.0\u00a0% beyond it" in told


def test_every_row_has_a_limit_and_a_source(line: dict[str, Any]) -> None:
    """Nothing without a limit stands among them."""
    rows = sheet_of(line)["rows"]
    assert len(rows) >= 8
    assert all(row["limit"] and row["source"] for row in rows)


def test_the_picture_shows_shares_and_sizes(line: dict[str, Any]) -> None:
    """Well formed, each place with its share, sizes in the asked units."""
    finding(line, "crown_outside_damage")["value"] = 0.41
    for units, unit in (("metric", "mm"), ("inch", "in")):
        root = ElementTree.fromstring(sheet_of(line, units)["picture"])  # noqa: S314
        text = "".join(root.itertext())
        assert "41\u00a0%" in text
        assert f"\u00a0{unit}" in text


def test_a_bent_link_that_cracks_is_called_so(line: dict[str, Any]) -> None:
    """And one of a standard without bend test is not spoken of."""
    finding(line, "bend_damage")["value"] = 1.1
    assert "cracks" in sheet_of(line)["bent"]
    for step in line["steps"]:
        step["findings"] = [r for r in step["findings"] if not r["subject"].startswith("bend")]
    assert sheet_of(line)["bent"] == ""


def test_a_line_that_is_not_broken_on_a_bench_has_no_sheet(line: dict[str, Any]) -> None:
    """Jack chain, for one."""
    line["steps"] = [step for step in line["steps"] if step["operation"] != "inspection"]
    assert link_sheet(line, numbered(line["derivation"]), Display()) is None
