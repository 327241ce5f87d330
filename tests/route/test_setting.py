"""Settings of a set-up: numbers, words, and what the works file adds to a card."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from linkwright.route import GIVEN, HELD, Setting, SetUp
from linkwright.route.setting import lacking, with_card

ALLOY = SimpleNamespace(name="electrode_alloy", value="CuCrZr", tolerance=None, check="stamp")
DRESS = SimpleNamespace(name="dress_after_count", value=3000.0, tolerance=200.0, check="counter")


def press(*operations: str, card: Any = (ALLOY, DRESS)) -> Any:
    return SimpleNamespace(operations=operations, card=card)


def welding(*card: str) -> Any:
    return SimpleNamespace(name="welding", card=card)


SET = SetUp((Setting("weld_time_s", 0.4, HELD),))


def test_words_are_a_setting_that_any_machine_can_hold():
    assert Setting("electrode_alloy", "CuCrZr", HELD, low=1.0, high=2.0).reachable


def test_rows_of_the_card_follow_the_settings_of_the_operation():
    made = with_card(SET, welding("electrode_alloy"), press("welding"), {})
    assert list(made) == ["weld_time_s", "electrode_alloy", "dress_after_count"]
    assert made["electrode_alloy"] == "CuCrZr"
    assert made.settings[-1].tolerance == 200.0


def test_on_a_machine_of_two_operations_a_row_stands_where_it_is_named():
    second = with_card(SET, welding("electrode_alloy"), press("notching", "welding"), {})
    assert list(second) == ["weld_time_s", "electrode_alloy"]
    first = SimpleNamespace(name="notching", card=())
    assert "dress_after_count" in with_card(SET, first, press("notching", "welding"), {})


def test_what_is_set_already_stands_and_what_the_order_gives_goes_first():
    row = SimpleNamespace(name="weld_time_s", value=9.0, tolerance=1.0, check="")
    assert with_card(SET, welding(), press("welding", card=(row,)), {})["weld_time_s"] == 0.4
    given = with_card(SET, welding(), press("welding"), {"dress_after_count": 1500.0})
    assert (given["dress_after_count"], given.settings[-1].how) == (1500.0, GIVEN)


@pytest.mark.parametrize("row", [ALLOY, DRESS], ids=lambda row: row.name)
def test_a_card_without_a_row_lacks_it(row: Any):
    needs = welding("weld_time_s", ALLOY.name, DRESS.name)
    whole = with_card(SET, needs, press("welding"), {})
    assert not lacking(whole, needs)
    rest = press("welding", card=[one for one in (ALLOY, DRESS) if one is not row])
    assert lacking(with_card(SET, needs, rest, {}), needs) == (row.name,)
