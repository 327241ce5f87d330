"""Orders changed as text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.quantities import InputErrors, UnknownName
from linkwright.services.order_text import (
    chain_order_text,
    drive_order_text,
    number_given,
    with_setting,
    without_setting,
)
from linkwright.works import demo_bytes, order_of_bytes

DEMO = demo_bytes("order.toml").decode()
HEAD = {"number": "E-1", "customer": 'a "quoted" customer', "due": "2027-01-07"}


@given(st.sampled_from([0, 1, 2]), st.floats(1e-3, 1e4))
def test_a_setting_is_added_where_it_belongs(line: int, value: float) -> None:
    changed = with_setting(DEMO, line, "outer_plate/blanking", "hole_diameter_mm", value)
    lines = order_of_bytes(changed.encode()).lines
    key = "outer_plate/blanking.hole_diameter_mm"
    assert [key in one.settings for one in lines] == [index == line for index in range(3)]
    assert lines[line].settings[key] == pytest.approx(value, rel=1e-11)


def test_all_else_stays_as_it_is_written() -> None:
    changed = with_setting(DEMO, 0, "tempering", "temperature_degC", 540.0)
    back = without_setting(changed, 0, "tempering", "temperature_degC")
    assert [row for row in back.splitlines() if row] == [row for row in DEMO.splitlines() if row]
    assert all(row in changed.splitlines() for row in DEMO.splitlines())


def test_a_second_value_takes_the_place_of_the_first() -> None:
    once = with_setting(DEMO, 0, "tempering", "temperature_degC", 540.0)
    assert with_setting(once, 0, "tempering", "temperature_degC", 541.0).count("541.0") == 1
    assert "540.0" not in with_setting(once, 0, "tempering", "temperature_degC", 541.0)


def test_a_setting_that_is_not_there_is_told() -> None:
    with pytest.raises(UnknownName):
        without_setting(DEMO, 0, "tempering", "temperature_degC")


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [("540", "degC", 540.0), ("1004", "degF", 540.0), ("540 °C", "degF", 540.0),
     ("+540.0", "degC", 540.0)],
)  # fmt: skip
def test_a_number_is_in_the_unit_that_was_shown(typed: str, unit: str, value: float) -> None:
    assert number_given("temperature_degC", typed, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    "typed", ["", "5,4", "warm", "1e400", "nan", "540 kN", "５４０", "9" * 5000]
)
def test_what_is_no_number_is_told_with_its_field(typed: str) -> None:
    with pytest.raises(InputErrors) as told:
        number_given("temperature_degC", typed, "degC")
    assert told.value.problems()[0]["key"] == "temperature_degC"


def test_an_order_for_a_duty_can_be_read() -> None:
    text = drive_order_text(HEAD, {"power_kW": 30.0, "driver_speed_rpm": 96.0, "ratio": 6.0,
                                   "shock": "smooth", "teeth_small": 19})  # fmt: skip
    order = order_of_bytes(text.encode())
    assert order.customer == HEAD["customer"]
    assert order.lines[0].drive is not None
    assert order.lines[0].drive.teeth_small == 19.0


def test_an_order_for_a_chain_can_be_read() -> None:
    text = chain_order_text(HEAD, "28B-3", 154, 'said: "well"\n[[line]]')
    (line,) = order_of_bytes(text.encode()).lines
    assert (line.size, line.pitches) == ("28B-3", 154.0)
