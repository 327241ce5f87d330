"""Rows of a book through the door of the calculations."""

import json
from pathlib import Path
from typing import Any

import pytest

from linkwright.catalogue import CATALOGUE
from linkwright.quantities import InputErrors
from linkwright.services.calculations import load_catalogue
from linkwright.services.checks import CheckedRow, check_book, check_row
from linkwright.services.matching import fitting
from linkwright.services.rows import Row, shipped_rows

pytestmark = pytest.mark.usefixtures("tiny")

TINY = ("tiny_pull", "tiny_severity", "tiny_warming", "tiny_share", "tiny_quotient")


def checked(**keys: Any) -> CheckedRow:
    row = Row(**{"id": "x", "source": "Test", "rtol": 1e-6, **keys})
    return check_row(row, [CATALOGUE[name] for name in TINY])


def test_a_named_row_goes_through_the_same_door() -> None:
    """Inputs and expected values in other units are converted by their keys."""
    found = checked(
        calculation="tiny_pull",
        inputs={"load_lbf": 1000, "diameter_in": 0.5},
        expect={"area_in2": 0.1963495408, "stress_psi": 5092.958179},
    )
    assert found.verdict == "agrees"
    assert not found.matched
    assert [item.verdict for item in found.compared] == ["agrees", "agrees"]


def test_one_wrong_value_makes_the_row_differ() -> None:
    """A row agrees only if all that it expects does."""
    found = checked(
        calculation="tiny_pull",
        inputs={"load_kN": 10, "diameter_mm": 10},
        expect={"area_mm2": 78.53981634, "stress_MPa": 127.0},
    )
    assert [item.verdict for item in found.compared] == ["agrees", "differs"]
    assert found.verdict == "differs"


def test_a_refused_input_makes_the_row_differ() -> None:
    """A row whose calculation refuses its inputs is not passed over."""
    found = checked(
        calculation="tiny_pull", inputs={"load_kN": 1, "diameter_mm": 0}, expect={"area_mm2": 0}
    )
    assert found.verdict == "differs"
    assert "greater than 0" in found.reason


@pytest.mark.parametrize(
    ("keys", "reason"),
    [
        ({"calculation": "tiny_gone"}, "tiny_gone is not known"),
        ({"calculation": "tiny_share"}, "tiny_share does not take diameter_mm"),
        ({"calculation": "tiny_pull", "expect": {"strain": 1}}, "does not give strain"),
        ({"inputs": {"load_kN": 1}}, "tiny_pull would fit, but needs diameter_mm"),
        ({"expect": {"strain": 1}}, "no calculation takes all its inputs"),
    ],
)
def test_a_row_that_no_calculation_answers_is_open(keys: dict[str, Any], reason: str) -> None:
    """Open rows say what is missing."""
    given = {"inputs": {"load_kN": 1, "diameter_mm": 1}, "expect": {"area_mm2": 1}, **keys}
    found = checked(**given)
    assert found.verdict == "open"
    assert reason in found.reason


def test_a_row_without_a_name_is_given_to_what_fits() -> None:
    """The calculation is found by the stems of inputs and expected values, and named."""
    found = checked(inputs={"medium": "oil, still"}, expect={"severity": 0.25})
    assert (found.calculation, found.matched, found.verdict) == ("tiny_severity", True, "agrees")


def test_lists_of_texts_are_checked_element_by_element() -> None:
    """A row may hold a list of names for a calculation that takes one."""
    found = checked(
        inputs={"medium": ["oil, still", "water, still"]}, expect={"severity": [0.25, 1.0]}
    )
    assert found.verdict == "agrees"


def rival(name: str, source: str = "") -> Any:
    """A calculation that takes x and gives y, under a name and source of its own."""
    facts = {"arguments": ("x",), "required": (), "gives": ("y",)}
    return replaced("tiny_pull", name=name, source=source, **facts)


def shipped(ident: str, name: str, source: str = "") -> Row:
    return Row(id=ident, source=source, inputs={}, expect={}, calculation=name)


@pytest.mark.parametrize(
    "book",
    [
        [shipped("bar-pull-10", "two"), shipped("bar-bend-10", "one")],
        [shipped("bar-1", "one", "Another author"), shipped("bar-2", "two", "Euler 1757")],
    ],
)
def test_similar_shipped_rows_decide_between_calculations_that_fit(book: list[Row]) -> None:
    """Of two that fit, that whose rows share more of the words of id and source is taken."""
    row = Row(id="bar-pull-12", source="Euler 1757", inputs={"x": 1}, expect={"y": 2})
    entries = [rival("one"), rival("two")]
    assert [found.name for found in fitting(row, entries, book)] == ["two", "one"]


def test_the_words_of_a_calculation_decide_where_no_row_does() -> None:
    """Name and source of the calculation itself speak for it; without any, its name's order."""
    row = Row(id="strut-euler", source="L. Euler, 1757", inputs={"x": 1}, expect={"y": 2})
    entries = [rival("buckling_a", "J. B. Johnson"), rival("buckling_b", "L. Euler")]
    assert fitting(row, entries, [])[0].name == "buckling_b"
    assert [found.name for found in fitting(row, [rival("b"), rival("a")], [])] == ["a", "b"]


def test_every_shipped_row_would_find_its_calculation_without_its_name() -> None:
    """The rule of choice is right for all rows of the book, whatever their expected values."""
    catalogue, book = ours(), shipped_rows()
    wrong = [row.id for row in book if fitting(row, catalogue, book)[0].name != row.calculation]
    assert wrong == []


def test_rows_that_the_book_has_never_seen_find_their_calculation() -> None:
    """Left out of the book, at least 95 of 100 rows are still given to the right calculation."""
    catalogue, book = ours(), shipped_rows()
    right = sum(
        fitting(row, catalogue, (*book[:index], *book[index + 1 :]))[0].name == row.calculation
        for index, row in enumerate(book)
    )
    assert right >= 0.95 * len(book)


def test_those_whose_required_arguments_are_given_come_first() -> None:
    """A calculation that cannot run is left out if another can."""
    row = Row(id="a", source="B", inputs={"reduction": 0.1}, expect={"share_left": 1})
    free = replaced("tiny_share", name="free")
    bound = replaced("tiny_share", name="bound", required=("reduction", "C_percent"))
    assert [found.name for found in fitting(row, [bound, free], [])] == ["free"]
    assert [found.name for found in fitting(row, [bound], [])] == ["bound"]


def ours() -> list[Any]:
    """The catalogue without the tiny calculations."""
    return [entry for entry in load_catalogue() if entry.room.startswith("linkwright.")]


def replaced(original: str, /, **changes: Any) -> Any:
    """A calculation with other facts and, if arguments change, a function that has them."""
    from dataclasses import replace

    if "arguments" in changes:

        def function(*, x: Any = None) -> Any:
            return x

        changes["function"] = function
    return replace(CATALOGUE[original], **changes)


BOOK = """
[[case]]
id = "bar-a"
source = "Test"
basis = "computed"
inputs = { load_kN = 10, diameter_mm = 10.0 }
expect = { stress_MPa = 127.32 }
rtol = 0.001
calculation = "tiny_pull"

[[case]]
id = "bar-b"
source = "Test"
inputs = { load_kN = 10, diameter_mm = 10.0 }
expect = { stress_MPa = 130.0 }
rtol = 0.001
calculation = "tiny_pull"

[[case]]
id = "other"
source = "Test"
inputs = { q = 1 }
expect = { r = 1 }
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "book.toml"
    path.write_text(BOOK, encoding="utf-8")
    return path


def test_a_users_book_is_counted_row_by_row(book: Path) -> None:
    """The totals hold every row once."""
    assert check_book(book).totals == {"agrees": 1, "differs": 1, "open": 1}


@pytest.mark.parametrize(
    ("pattern", "ids"),
    [("bar", ["bar-a", "bar-b"]), ("*-b", ["bar-b"]), ("bar-?", ["bar-a", "bar-b"])],
)
def test_rows_are_chosen_by_their_ids(book: Path, pattern: str, ids: list[str]) -> None:
    """A plain word is a part of the id, one with * or ? a pattern for all of it."""
    assert [row.row.id for row in check_book(book, pattern).rows] == ids


def test_only_open_rows_on_demand(book: Path) -> None:
    """`only_open` keeps what no calculation answers."""
    assert [row.row.id for row in check_book(book, only_open=True).rows] == ["other"]


def test_a_pattern_that_no_row_fits_is_wrong_input(book: Path) -> None:
    """An empty choice is not a success."""
    with pytest.raises(InputErrors, match="bar-a"):
        check_book(book, "bra-a")


def test_the_report_is_plain_data(book: Path) -> None:
    """The report holds its totals and every row as JSON."""
    data = json.loads(json.dumps(check_book(book).to_dict(), allow_nan=False))
    assert data["totals"] == {"agrees": 1, "differs": 1, "open": 1, "rows": 3}
    assert data["rows"][0]["compared"][0]["quantity"] == "stress_MPa"
    assert data["rows"][2]["calculation"] is None
