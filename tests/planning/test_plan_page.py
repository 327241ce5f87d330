"""The page about JSON tells every key of plan.json."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import planned
import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
SECTION = PAGE.split("\n## plan.json\n", 1)[1].split("\n## ", 1)[0]
ROWS = re.findall(r"^\| (`[^|]*) \| (.+) \|$", SECTION, re.MULTILINE)
TOLD = {key for keys, _ in ROWS for key in re.findall(r"`([^`]+)`", keys)}
FREE = {
    "lines[].steel.analysis", "lines[].steels[].analysis", "lines[].steps[].stock.shape",
    "lines[].steps[].stock.condition", "lines[].steps[].stock.amount", "lines[].steps[].use",
    "lines[].steps[].use_entries",
    "lines[].steps[].curves",
}  # fmt: skip
LISTS = {"inputs", "warnings", "measured", "card", "feeds"}


def keys(value: Any, path: str = "") -> Iterator[str]:
    """Every key of a document in the page's way of writing."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if path in FREE:
                yield f"{path}.*"
            else:
                yield from keys(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and all(isinstance(one, dict) for one in value) and value:
        for inner in value:
            yield from keys(inner, f"{path}[]")
    elif isinstance(value, list) and path.rsplit(".", 1)[-1] in LISTS:
        yield f"{path}[]"
    else:
        yield path


@pytest.fixture(scope="module")
def found() -> set[str]:
    """All keys of the demo plan and of one whose steel had to be tried.

    Lists that are empty everywhere, and what few lots leave out, are not keys of their own.
    """
    tried = planned.plan_order(
        planned.order(('steel    = "rod 8.5"\n', "")), planned.works(), ensemble=planned.FEW
    )
    both = [*keys(planned.document()), *keys(tried.document())]
    return {
        key for key in both if not key.endswith(("settings", "curves", "[].tried", "[].trials"))
    }


def test_every_key_of_a_plan_is_told(found: set[str]) -> None:
    """A key that the page does not tell fails."""
    assert sorted(found - TOLD) == []


def test_every_key_that_is_told_is_there(found: set[str]) -> None:
    """A key that no plan has any more fails."""
    assert sorted(TOLD - found) == []


def test_every_row_says_something() -> None:
    """No meaning is empty, and a free name stands where the page says so."""
    assert all(len(meaning) > 10 for _, meaning in ROWS)
    assert {key.removesuffix(".*") for key in TOLD if key.endswith(".*")} == FREE


def test_an_unknown_key_would_be_noticed() -> None:
    """The walk really looks into every corner."""
    line = json.loads(json.dumps(planned.line()))
    line["steps"][3]["findings"][0]["strange"] = 1
    assert "lines[].steps[].findings[].strange" in set(keys({"lines": [line]}))


def test_what_varies_over_the_section_is_whole() -> None:
    """Zones by places, not the first number of them."""
    condition = planned.line()["steps"][-1]["stock"]["condition"]
    fraction = condition["martensite_fraction"]
    assert [len(zone) for zone in fraction] == [3, 3, 3]
    assert len(condition["section_temperature_degC"]) > 3
