"""Findings: the verdict is computed from value and limits."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import recording, sourced
from linkwright.route import (
    CLOSE,
    NO_LIMIT,
    OUTSIDE,
    WITHIN,
    Caution,
    Finding,
    Requirement,
    Setting,
    SetUp,
    Step,
    Stock,
)

FEW = settings(derandomize=True, max_examples=100, deadline=None)
NUMBERS = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(
    ("value", "least", "greatest", "verdict"),
    [
        (5.0, None, None, NO_LIMIT),
        (5.0, 0.0, 10.0, WITHIN),
        (1.0, 0.0, 10.0, WITHIN),  # a tenth of the band is no longer close
        (0.99, 0.0, 10.0, CLOSE),
        (9.01, 0.0, 10.0, CLOSE),
        (0.0, 0.0, 10.0, CLOSE),
        (10.0, 0.0, 10.0, CLOSE),
        (-0.001, 0.0, 10.0, OUTSIDE),
        (10.001, 0.0, 10.0, OUTSIDE),
        (99.0, None, 100.0, CLOSE),  # within 3 % of a single limit
        (97.0, None, 100.0, WITHIN),
        (100.1, None, 100.0, OUTSIDE),
        (102.0, 100.0, None, CLOSE),
        (104.0, 100.0, None, WITHIN),
        (-101.0, -100.0, None, OUTSIDE),
        (-99.0, -100.0, None, CLOSE),
        (math.nan, 0.0, 10.0, OUTSIDE),
        (math.inf, None, 10.0, OUTSIDE),
        (5.0, -math.inf, math.inf, NO_LIMIT),
    ],
)
def test_the_verdict_comes_from_value_and_limits(
    value: float, least: float | None, greatest: float | None, verdict: str
) -> None:
    """Outside, close to a limit, within, or without any limit; no number is outside."""
    assert Finding("pitch_mm", value, least, greatest).verdict == verdict


@FEW
@given(value=NUMBERS, least=NUMBERS, band=st.floats(0, 1e6))
def test_outside_and_not_met_are_the_same(value: float, least: float, band: float) -> None:
    """The word on the card and the count over members never disagree."""
    found = Finding("pitch_mm", value, least, least + band)
    assert (found.verdict == OUTSIDE) is (not found.met())


def test_members_are_judged_one_by_one() -> None:
    """An ensemble gives a truth value a member; a missing number is not met."""
    values = np.array([[1.0, 2.0], [3.0, math.nan]])
    assert Finding("pitch_mm", values, 1.5, 3.0).met().tolist() == [[False, True], [True, False]]
    assert Finding("pitch_mm", values).met().all()


def test_limits_may_vary_from_member_to_member() -> None:
    """A limit that hangs on the member's own size is compared member by member."""
    found = Finding("force_kN", np.array([1.0, 2.0]), np.array([0.5, 2.5]))
    assert found.met().tolist() == [True, False]


def test_findings_and_settings_lead_to_their_entry() -> None:
    """Both carry the id of their value while recording and None otherwise."""
    with recording():
        value = sourced("pitch_mm", 24.0, "file", "order.toml:7")
        assert Finding("pitch_mm", value).entry == value.entry
        assert Setting("pitch_mm", value, "given").entry == value.entry
    assert Finding("pitch_mm", 24.0).entry is None
    assert Setting("pitch_mm", 24.0, "given").entry is None


@pytest.mark.parametrize(
    ("value", "low", "high", "reachable"),
    [
        (5.0, 0.0, 10.0, True), (0.0, 0.0, 10.0, True), (10.0, 0.0, 10.0, True),
        (-0.1, 0.0, 10.0, False), (10.1, 0.0, 10.0, False), (1e9, None, None, True),
        (0.1 + 0.2, None, 0.3, True), (11.0, 12.0, None, False),
    ],
)  # fmt: skip
def test_a_machine_reaches_what_lies_in_its_range(
    value: float, low: float | None, high: float | None, reachable: bool
) -> None:
    """The ends belong to the range, and a rounding of the last digit is no obstacle."""
    assert Setting("pitch_mm", value, "solved", "", low, high).reachable is reachable


def test_a_set_up_gives_values_by_name_in_the_order_of_the_card() -> None:
    """It reads as a mapping; a name that is not on the card is a KeyError."""
    card: Any = SetUp((Setting("b_mm", 2.0, "held"), Setting("a_mm", 1.0, "given")))
    assert dict(card) == {"b_mm": 2.0, "a_mm": 1.0}
    assert list(card) == ["b_mm", "a_mm"]
    assert len(card) == 2
    assert "c_mm" not in card
    with pytest.raises(KeyError):
        card["c_mm"]


def test_a_step_gives_its_findings_by_subject() -> None:
    """One finding is read by its subject; a subject that was not judged is a KeyError."""
    step = Step((Finding("a_mm", 1.0), Finding("b_mm", 2.0)), Stock("wire", "x"))
    assert step.finding("b_mm").value == 2.0
    with pytest.raises(KeyError):
        step.finding("c_mm")


def test_cautions_and_requirements_are_plain_records() -> None:
    """They compare by what they say."""
    assert Caution("hot metal", "gloves") == Caution("hot metal", "gloves")
    need = Requirement("breaking_force_kN", 80.0, None, 3, "the standard, clause 6.4.3")
    assert (need.least, need.greatest, need.pieces, need.how) == (80.0, None, 3, "")
