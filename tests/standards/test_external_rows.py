"""Every row of the book on welded chain that exercises a table or rule of this room."""

import tomllib
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

import linkwright.standards  # noqa: F401 - fills the catalogue
from linkwright.catalogue import CATALOGUE
from linkwright.quantities import convert, split


def _rows() -> list[dict[str, Any]]:
    book = files("linkwright.services").joinpath("book")
    found: list[dict[str, Any]] = []
    for name in ("welded.toml", "welded_further.toml"):
        found.extend(tomllib.loads(book.joinpath(name).read_text("utf-8"))["case"])
    return found


def _called(name: str, value: Any, known: tuple[str, ...]) -> tuple[str, Any]:
    """The name among ``known`` with the same stem, and the value in its unit."""
    stem, unit = split(name)
    other = next(one for one in known if split(one)[0] == stem)
    wanted = split(other)[1]
    return other, convert(np.asarray(value, float), unit, wanted) if unit != wanted else value


ROWS = [
    row
    for row in _rows()
    if row["calculation"] in CATALOGUE
    and CATALOGUE[row["calculation"]].room.startswith("linkwright.standards")
]


def test_the_book_holds_the_rows_of_this_room() -> None:
    """All rows but those on curved bars, rings and the thin link belong to this room."""
    assert len(ROWS) == len(_rows()) - sum("curved" in r["calculation"] for r in _rows()) - 3


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_row_agrees_with_its_source(row: dict[str, Any]) -> None:
    """The calculation gives what the source gives, within the row's tolerance."""
    entry = CATALOGUE[row["calculation"]]
    inputs = dict(_called(key, value, entry.arguments) for key, value in row["inputs"].items())
    grades = inputs.get("grade")
    if isinstance(grades, list) and isinstance(grades[0], str):
        inputs["grade"] = tuple(grades)
    results = entry.call(inputs)
    for key, wanted in row["expect"].items():
        stem, unit = split(key)
        name = next(one for one in entry.gives if split(one)[0] == stem)
        given = results[name]
        if split(name)[1] != unit:
            given = convert(given, split(name)[1], unit)
        np.testing.assert_allclose(
            given, wanted, rtol=row.get("rtol", 0.0), atol=row.get("atol", 0.0), err_msg=key
        )
