"""Results of costly calculations that are held."""

from __future__ import annotations

import numpy as np
import pytest

from linkwright.catalogue import CATALOGUE, Results, calculation, keeping, recording, sourced
from linkwright.catalogue.keeping import LONGEST, MOST_RESULTS

CALLS: list[float] = []


@calculation(source="a test", gives="double_mm", costly=True)
def kept_double(*, length_mm: float) -> float:
    """Twice a length."""
    CALLS.append(1.0)
    return 2.0 * length_mm


del CATALOGUE["kept_double"]  # no calculation of the program's own


@pytest.fixture(autouse=True)
def _no_calls() -> None:
    CALLS.clear()


def test_the_same_arguments_are_reckoned_once() -> None:
    with keeping(Results()):
        assert [kept_double(length_mm=value) for value in (1.0, 2.0, 1.0)] == [2.0, 4.0, 2.0]
    assert len(CALLS) == 2


def test_nothing_is_held_outside() -> None:
    kept_double(length_mm=1.0)
    kept_double(length_mm=1.0)
    assert len(CALLS) == 2


def test_arrays_are_compared_by_what_they_hold() -> None:
    with keeping(Results()):
        kept_double(length_mm=np.array([1.0, 2.0]))
        kept_double(length_mm=np.array([1.0, 2.0]))
        kept_double(length_mm=np.array([[1.0, 2.0]]))
    assert len(CALLS) == 2


def test_long_arrays_are_not_held() -> None:
    with keeping(Results()):
        for _ in range(2):
            kept_double(length_mm=np.zeros(LONGEST + 1))
    assert len(CALLS) == 2


def test_a_recorded_pass_reckons_everything() -> None:
    held = Results()
    with keeping(held):
        kept_double(length_mm=1.0)
        with recording() as book:
            found = kept_double(length_mm=sourced("length_mm", 1.0, "file", "a test"))
    assert len(CALLS) == 2
    assert book.behind(found.entry)


def test_the_oldest_goes_first() -> None:
    with keeping(Results()):
        for value in range(MOST_RESULTS + 1):
            kept_double(length_mm=float(value))
        kept_double(length_mm=0.0)
    assert len(CALLS) == MOST_RESULTS + 2
