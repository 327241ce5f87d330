"""What no standard lists: sizes, grades and types end in an error that lists what there is."""

from __future__ import annotations

import pytest

from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.chain_requirements import (
    CHAIN_STANDARDS,
    ChainStandard,
    chain_standard,
)

EVERY = pytest.mark.parametrize("chain", CHAIN_STANDARDS, ids=lambda one: one.designation)


@EVERY
def test_a_size_that_is_not_listed_is_told_with_those_that_are(chain: ChainStandard) -> None:
    """Every listed size, or the ends of the range, stand in the error; exit code 2."""
    with pytest.raises(ArgumentError) as refused:
        chain.requirements(777.7)
    assert refused.value.exit_code == 2
    accepted = str(refused.value)
    low_high = chain.size_range_mm or ((1.0, 500.0) if not chain.sizes else ())
    for size in (*chain.sizes, *low_high):
        assert f"{size:g}" in accepted, (size, accepted)


@EVERY
def test_a_grade_that_is_not_held_is_told_with_those_that_are(chain: ChainStandard) -> None:
    """All grades of the standard stand in the error; exit code 2."""
    with pytest.raises(UnknownName) as refused:
        chain_standard(chain.standard, "no grade")
    assert refused.value.exit_code == 2
    assert chain.grade in str(refused.value)


@pytest.mark.parametrize("size", [0.0, -8.0, float("nan")])
@EVERY
def test_nonsense_is_no_size(chain: ChainStandard, size: float) -> None:
    """Zero, less and not a number are refused as any other size is."""
    with pytest.raises(ArgumentError):
        chain.requirements(size)
