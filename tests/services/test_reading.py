"""Values as people type them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import QuantityError
from linkwright.services.reading import LONGEST_TEXT, MOST_VALUES, numbers, texts


def as_pair(value: float, unit: str) -> tuple[float, str]:
    return value, unit


def bare(value: float, unit: str) -> float:
    return value


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8", (8.0, "")),
        ("8.5 mm", (8.5, "mm")),
        ("1/4 in", (0.25, "in")),
        ("-1 1/2in", (-1.5, "in")),
        ("[8]", [(8.0, "")]),
        ("[0.1, 0.2 ,0.3]", [(0.1, ""), (0.2, ""), (0.3, "")]),
        ("0.1,0.2", [(0.1, ""), (0.2, "")]),
        ("1,2,3", [(1.0, ""), (2.0, ""), (3.0, "")]),
        ("[1, 2] in", [(1.0, "in"), (2.0, "in")]),
        ("[1 in, 20 mm]", [(1.0, "in"), (20.0, "mm")]),
        ("[[1, 2], [3, 4]]", [[(1.0, ""), (2.0, "")], [(3.0, ""), (4.0, "")]]),
    ],
)
def test_a_number_or_a_list_is_read_with_its_units(text: str, expected: object) -> None:
    """Numbers and lists follow one grammar, each value with the unit it stands in."""
    assert numbers(text, as_pair) == expected


@pytest.mark.parametrize(
    "text",
    [
        "8,5", "8,5mm", "8,5 mm", "1,234.5", "1.234,5", "-8,5", "1_000", "nan", "inf", "1e400",
        "８", "", "[]", "[1,]", "[,1]", "[1 2]", "[1", "1]", "[1]]", "[[1]", "[1][2]", "[1,,2]",
        "[[[[[1]]]]]", "[1 in, 2]", "[1 in, 2 in] mm", "0.1,0.2 in", "__import__('os')", "2**3",
        "[1, [2, 'a']]", "0x10", "1,2,", "9" * 100,
    ],
)  # fmt: skip
def test_what_is_not_clearly_a_number_is_refused(text: str) -> None:
    """A decimal comma, a thousands sign, code or a broken list is refused, never guessed."""
    with pytest.raises(QuantityError):
        numbers(text, as_pair)


def test_a_decimal_comma_is_told_how_to_write_it() -> None:
    """The refusal of 8,5 names both forms that it could have meant."""
    with pytest.raises(QuantityError, match=r"8\.5 for one number, \[8, 5\] for a list"):
        numbers("8,5mm", as_pair)


def test_lists_are_bounded() -> None:
    """A list of more than the greatest number of values is refused at once."""
    with pytest.raises(QuantityError, match=str(MOST_VALUES)):
        numbers("[" + "1," * (MOST_VALUES + 1) + "1]", bare)


@settings(derandomize=True, max_examples=50)
@given(st.lists(st.floats(-1e9, 1e9).map(lambda x: round(x, 6)), min_size=1, max_size=20))
def test_what_is_written_in_brackets_comes_back(values: list[float]) -> None:
    """Any list of plain decimals in brackets is read as the same numbers."""
    text = "[" + ", ".join(f"{value:.6f}" for value in values) + "]"
    assert numbers(text, bare) == values


@settings(derandomize=True, max_examples=200)
@given(st.text(alphabet="[],.+-0123456789 einmm/", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text ends in anything but numbers or a `QuantityError`."""
    try:
        numbers(text, bare)
    except QuantityError:
        return


def test_a_text_with_commas_stays_one_text() -> None:
    """A comma in a text parts nothing."""
    assert texts(" 4340 steel, annealed ") == "4340 steel, annealed"


def test_a_list_of_texts_stands_in_brackets_and_quotation_marks() -> None:
    """Texts in brackets and quotation marks are a list, commas inside them are kept."""
    assert texts('["oil, still", "water"]') == ["oil, still", "water"]


@pytest.mark.parametrize("text", ['["a", 1]', '["a"', '["a"] + ["b"]', "a" * (LONGEST_TEXT + 1)])
def test_a_broken_or_endless_text_is_refused(text: str) -> None:
    """A list of texts that is none, and a text beyond the bound, are refused."""
    with pytest.raises(QuantityError):
        texts(text)
