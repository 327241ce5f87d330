"""Preferred numbers and rounding to figures."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.preferred_numbers import (
    SERIES,
    preferred_number_at_most,
    preferred_number_nearest,
    to_figures,
)

POSITIVE = st.floats(1e-6, 1e6)
NAMES = st.sampled_from(sorted(SERIES))


@settings(derandomize=True, max_examples=60)
@given(value=POSITIVE, series=NAMES)
def test_at_most_is_never_above_and_idempotent(value: float, series: str) -> None:
    """Going down never goes up, never below the last step, and stops at a number of the series."""
    down = float(preferred_number_at_most(value=value, series=series))
    assert down <= value * (1 + 2e-9)
    assert down > value / 1.7
    assert float(preferred_number_at_most(value=down, series=series)) == down


@settings(derandomize=True, max_examples=60)
@given(value=POSITIVE, series=NAMES)
def test_nearest_is_one_of_the_two_neighbours(value: float, series: str) -> None:
    """No number of the series is nearer than the one given."""
    near = float(preferred_number_nearest(value=value, series=series))
    decade = 10.0 ** np.floor(np.log10(value))
    all_numbers = np.concatenate([np.array(SERIES[series]) * decade * k for k in (0.1, 1.0, 10.0)])
    best = np.abs(all_numbers - value).min()
    assert abs(near - value) <= best + 1e-6 * value


def test_decades_repeat() -> None:
    """The same digits come back in every decade, also at the decade itself."""
    values = np.array([0.1, 1.0, 10.0, 99.9999, 100.0])
    down = preferred_number_at_most(value=values)
    np.testing.assert_allclose(down, [0.1, 1.0, 10.0, 95.0, 100.0])


def test_unknown_series_and_value_out_of_range() -> None:
    """A series that ISO 3 does not have, and a value that is not positive, are refused."""
    with pytest.raises(UnknownName):
        preferred_number_at_most(value=1.0, series="R7")
    with pytest.raises(ArgumentError):
        preferred_number_at_most(value=0.0)


def test_to_figures_keeps_three() -> None:
    """Three significant figures, whatever the size."""
    np.testing.assert_allclose(to_figures([0.012345, 1005.3, 99.96]), [0.0123, 1010.0, 100.0])
