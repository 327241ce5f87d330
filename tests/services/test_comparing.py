"""An expected value beside an obtained one."""

from typing import Any

import numpy as np
import pytest

from linkwright.services.comparing import compare


@pytest.mark.parametrize(
    ("expected", "obtained", "rtol", "atol", "verdict"),
    [
        (100.0, 100.9, 0.01, None, "agrees"),
        (100.0, 101.1, 0.01, None, "differs"),
        (-100.0, -100.9, 0.01, None, "agrees"),
        (100.0, 100.5, None, 0.5, "agrees"),
        (100.0, 100.51, None, 0.5, "differs"),
        (100.0, 101.4, 0.01, 0.5, "agrees"),
        (40, 40.0, None, 0, "agrees"),
        (40, 40.0 * (1 + 1e-14), None, 0, "agrees"),
        (40, 40.001, None, 0, "differs"),
        (40, 40.001, None, None, "differs"),
        (0.0, 1e-9, 0.01, None, "differs"),
        (1.0, float("nan"), 0.1, None, "differs"),
        (1.0, float("inf"), 0.1, 1.0, "differs"),
        (1.0, None, 0.1, None, "differs"),
        ([1.0, 2.0], np.array([1.0, 2.01]), 0.01, None, "agrees"),
        ([1.0, 2.0], np.array([1.0, 2.03]), 0.01, None, "differs"),
        ([1.0, 1.0], 1.0, 0.01, None, "agrees"),
        (1.0, np.array([1.0, 2.0]), 0.01, None, "differs"),
        ([1.0, 2.0], np.array([1.0, 2.0, 3.0]), 0.01, None, "differs"),
        ([[1.0, 2.0]], np.array([[1.0, 2.0]]), 0.01, None, "agrees"),
        ("3.1", "3.1", 0.5, None, "agrees"),
        ("3.1", "3.2", 0.5, None, "differs"),
        ("1", 1.0, None, None, "differs"),
        (True, True, None, None, "agrees"),
        (True, 1.0, None, None, "differs"),
        (True, np.True_, None, None, "agrees"),
        (["a", "b"], ("a", "b"), None, None, "agrees"),
        (["a", "b"], ["b", "a"], None, None, "differs"),
        ([[1, 2], [3]], [[1, 2], [3]], None, 0, "agrees"),
    ],
)
def test_a_value_agrees_within_its_tolerance_and_only_there(
    expected: Any, obtained: Any, rtol: float | None, atol: float | None, verdict: str
) -> None:
    """Numbers by rtol and atol element by element, texts and truth values if equal."""
    assert compare("x", expected, obtained, rtol, atol).verdict == verdict


def test_the_deviation_is_that_of_the_element_nearest_to_its_limit() -> None:
    """In a list the worst element is named with its own deviation and tolerance."""
    found = compare("x_mm", [1.0, 200.0], np.array([1.005, 200.1]), 0.01, None)
    assert found.worst == 0
    assert found.deviation == pytest.approx(0.005)
    assert found.allowed == pytest.approx(0.01)
    assert found.measure == "relative"


def test_absolute_tolerances_are_told_in_the_unit_of_the_row() -> None:
    """With atol deviation and allowance are absolute."""
    found = compare("x_mm", 10.0, 10.2, None, 0.5)
    assert (found.measure, found.allowed) == ("absolute", 0.5)
    assert found.deviation == pytest.approx(0.2)


def test_other_lengths_are_told() -> None:
    """Lists that cannot be compared say how many values were expected."""
    assert "2 values expected, 3 values" in compare("x", [1, 2], np.ones(3), None, 0).reason
