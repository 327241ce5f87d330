"""Arguments made of what is given."""

from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import CATALOGUE, Calculation
from linkwright.quantities import InputErrors
from linkwright.services.arguments import bind, parameters

pytestmark = pytest.mark.usefixtures("tiny")


def entry(name: str) -> Calculation:
    return CATALOGUE[name]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("diameter_mm", "6.35"),
        ("diameter_mm", 6.35),
        ("diameter_mm", "0.25 in"),
        ("diameter", "0.25in"),
        ("diameter", "1/4 in"),
        ("diameter_in", "0.25"),
        ("diameter_in", 0.25),
        ("diameter_in", "6.35 mm"),
    ],
)
def test_a_key_in_any_unit_of_its_kind_gives_the_argument(key: str, value: object) -> None:
    """A quarter of an inch is 6.35 mm however it is written."""
    bound = bind(entry("tiny_pull"), {"load_kN": 1, key: value})
    assert bound == {"load_kN": 1.0, "diameter_mm": pytest.approx(6.35)}


@pytest.mark.parametrize("value", ["[0.25, 0.5]", [0.25, 0.5], np.array([0.25, 0.5])])
def test_lists_become_arrays_in_the_unit_of_the_argument(value: object) -> None:
    """Lists, typed or as data, are converted as arrays."""
    bound = bind(entry("tiny_pull"), {"load_kN": 1, "diameter_in": value})
    assert bound["diameter_mm"].tolist() == pytest.approx([6.35, 12.7])


def test_a_text_argument_keeps_its_comma() -> None:
    """An argument that takes a text gets it whole."""
    assert bind(entry("tiny_severity"), {"medium": "oil, still"}) == {"medium": "oil, still"}


def test_temperatures_and_rises_are_told_apart() -> None:
    """A temperature converts with its zero, a rise without."""
    bound = bind(
        entry("tiny_warming"), {"start_temperature": "212 degF", "temperature_rise": "18 degF"}
    )
    assert bound == {
        "start_temperature_degC": pytest.approx(100.0),
        "temperature_rise_K": pytest.approx(10.0),
    }


def test_elements_are_mass_shares_and_reductions_take_per_cent() -> None:
    """C = 0.4 is 0.4 % of mass; a reduction of 20 % is 0.2."""
    bound = bind(entry("tiny_share"), {"C": "0.4", "reduction": "20 %"})
    assert bound == {"C_percent": 0.4, "reduction": pytest.approx(0.2)}


def test_a_bare_number_for_a_bare_stem_is_refused() -> None:
    """A number without any unit is not guessed to be in that of the argument."""
    with pytest.raises(InputErrors, match=r"the unit with it, 6\.35 mm"):
        bind(entry("tiny_pull"), {"load_kN": 1, "diameter": "6.35"})


def test_hardness_scales_do_not_convert() -> None:
    """A hardness in another scale is refused, and the scale that is taken is named."""
    with pytest.raises(InputErrors, match="hardness_HRC cannot be converted to hardness_HV"):
        bind(entry("tiny_share"), {"reduction": 0.1, "hardness_HRC": 40})


def test_all_that_is_missing_is_named_at_once() -> None:
    """One problem names every required argument that is not given."""
    with pytest.raises(InputErrors, match="tiny_pull needs load_kN, diameter_mm"):
        bind(entry("tiny_pull"), {})


def test_every_problem_is_told_with_its_key() -> None:
    """Unknown, unreadable, twice given and missing keys come together."""
    given = {"diametre_mm": 3, "load_kN": "8,5", "load": "3 kN", "load_N": "4"}
    with pytest.raises(InputErrors) as caught:
        bind(entry("tiny_pull"), given)
    assert [(found.code, found.key) for found in caught.value.found] == [
        ("unknown-key", "diametre_mm"),
        ("value", "load_kN"),
        ("given-twice", "load"),
        ("given-twice", "load_N"),
        ("missing-key", "diameter_mm"),
    ]
    assert caught.value.found[0].accepted == "diameter_mm"


@pytest.mark.parametrize(
    "value",
    [float("nan"), float("inf"), True, "yes", [1.0, "x"], [[1], [1, 2]], [], {}, 10**400, "2.5 kg"],
)
def test_data_that_is_no_number_is_refused(value: Any) -> None:
    """Nothing but finite numbers reaches an argument that takes numbers."""
    with pytest.raises(InputErrors):
        bind(entry("tiny_pull"), {"load_kN": 1, "diameter_mm": value})


@pytest.mark.parametrize(("value", "expected"), [("3", 3), (3.0, 3), ("2.5", None), (2.5, None)])
def test_a_whole_number_is_whole(value: Any, expected: int | None) -> None:
    """An argument annotated as int takes 3 and 3.0, not 2.5."""
    given = {"medium": "oil, still", "times": value}
    if expected is None:
        with pytest.raises(InputErrors, match="a whole number"):
            bind(entry("tiny_severity"), given)
    else:
        assert bind(entry("tiny_severity"), given)["times"] == expected


def test_annotations_say_what_is_taken() -> None:
    """Texts, whole numbers and numbers are told apart by the types of the function."""
    severity = parameters(entry("tiny_severity"))
    assert severity["medium"].is_text
    assert severity["times"].takes == {"whole"}
    assert parameters(entry("tiny_pull"))["load_kN"].takes == {"numbers"}
