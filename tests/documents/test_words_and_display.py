"""Names in words, numbers with units, tolerance marks, numbered derivations."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.documents.display import Display, percent, tolerance_mark
from linkwright.documents.numbering import numbered
from linkwright.documents.words import derived_name, plain_text, source_in_words, words


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("die_half_angle_deg", "die half angle"),
        ("Mo_percent", "molybdenum"),
        ("least_Ni_percent", "least nickel"),
        ("links_per_stroke_count", "links per stroke"),
        ("hardness_HV", "hardness"),
        ("E_MPa", "modulus of elasticity E"),
    ],
)
def test_names_in_words(name: str, expected: str) -> None:
    """A name loses its unit and its underscores and gets the trade's word."""
    assert words(name) == expected


def test_sources_of_scatter_in_words() -> None:
    """Level, operation and quantity of a source are told."""
    assert source_in_words("heat/wire/receiving/C_percent") == (
        "carbon at receiving, from heat to heat"
    )
    assert derived_name("factor/drawing/force") == "model factor of drawing: force"


@given(text=st.text())
@settings(derandomize=True, max_examples=100)
def test_plain_text_has_no_controls(text: str) -> None:
    """Whatever comes in, no control, format or surrogate letter goes out; the length stays."""
    plain = plain_text(text)
    assert len(plain) == len(text)
    assert not any(letter in plain for letter in "\x00\n\r\t\u202e\u200b\ufeff")


def test_temperature_tolerance_has_no_zero_shift() -> None:
    """Ten degrees Celsius of tolerance are eighteen of Fahrenheit, not fifty."""
    shown = Display("inch").text("temperature_degC", 10.0, difference=True)
    assert shown == "18\u00a0°F"
    assert Display("inch").text("water_temperature_rise_K", 12.0) == "12\u00a0K"


def test_limits_in_words() -> None:
    """Two, one or no limit are told with the unit once."""
    display = Display()
    assert display.limits("pitch_mm", 23.3, 24.7) == "23.3 to 24.7\u00a0mm"
    assert display.limits("force_kN", 80.4, None) == "at least 80.4\u00a0kN"
    assert display.limits("force_kN", None, 4.0) == "at most 4\u00a0kN"
    assert display.limits("force_kN", None, None) == ""


def test_value_that_misses_its_limit_is_told_apart() -> None:
    """A value does not look equal to a limit that it is not."""
    display = Display()
    assert display.text_beside("force_kN", 80.396, 80.4) == "80.396\u00a0kN"
    assert display.text_beside("force_kN", 80.4, 80.4) == "80.4\u00a0kN"


def test_missing_value_is_a_dash() -> None:
    """What is not there is a dash, not nan and not zero."""
    assert Display().text("force_kN", None) == "–"
    assert percent(None) == "–"


def test_no_chance_is_printed_as_certain() -> None:
    """Neither 100 % nor 0 % is promised."""
    assert percent(1.0) == percent(0.99951) == ">\u00a099.9\u00a0%"
    assert percent(0.0) == "<\u00a00.1\u00a0%"


@given(
    value=st.floats(-1e3, 1e3),
    limit=st.floats(-1e3, 1e3),
    band=st.floats(0.1, 1e3),
    kind=st.sampled_from(["least", "greatest", "both", "none"]),
)
@settings(derandomize=True, max_examples=200)
def test_dot_stands_on_the_side_of_the_tick_that_it_is_on(
    value: float, limit: float, band: float, kind: str
) -> None:
    """Inside the ticks exactly where the value is inside its limits; always on the line."""
    least = limit if kind in {"least", "both"} else None
    greatest = limit + band if kind == "both" else limit if kind == "greatest" else None
    mark = tolerance_mark(value, least, greatest)
    assert 0.0 <= mark["at"] <= 1.0
    assert (mark["least"] is None) == (least is None)
    assert (mark["greatest"] is None) == (greatest is None)
    if least is not None:
        assert (mark["at"] >= mark["least"]) == (value >= least)
    if greatest is not None:
        assert (mark["at"] <= mark["greatest"]) == (value <= greatest)


def test_each_entry_has_one_number_and_inputs_come_with_it(line: dict[str, Any]) -> None:
    """Numbers run from 1 without gap; every input of an entry has a number too."""
    numbers = numbered(line["derivation"])
    assert sorted(numbers.number.values()) == list(range(1, len(line["derivation"]) + 1))
    for entry in line["derivation"]:
        for _, ident in entry["inputs"]:
            assert numbers.reference(ident) is not None


def test_results_of_one_call_stand_together(line: dict[str, Any]) -> None:
    """What one calculation gave at one place shares source and inputs."""
    numbers = numbered(line["derivation"])
    groups = [group for _, part in numbers.parts for group in part]
    assert any(len(group.entries) > 3 for group in groups)
    for group in groups:
        assert len({str(entry["inputs"]) for entry in group.entries}) == 1
        assert len({entry["source"] for entry in group.entries}) == 1


def test_limits_find_the_row_of_their_standard(line: dict[str, Any]) -> None:
    """The limit of the breaking force leads to the row of the standard it was read from."""
    numbers = numbered(line["derivation"])
    part = next(p for p in line["chance"]["parts"] if p["subject"] == "breaking_force_kN")
    number = numbers.limit(part["source"], "least", "breaking_force_kN")
    entry = next(e for e in line["derivation"] if numbers.reference(e["id"]) == number)
    assert entry["value"] == part["least"]
