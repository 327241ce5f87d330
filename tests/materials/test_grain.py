"""Grain size."""

import pytest

from linkwright.materials.grain import (
    austenite_grain_size,
    grain_size_number,
    grains_per_area,
    mean_intercept,
)


def test_grain_size_number_and_intercept_are_inverse() -> None:
    """Number to intercept to number comes home."""
    for number in (0.0, 5.0, 8.5, 12.0):
        assert grain_size_number(mean_intercept_um=mean_intercept(grain_size_number=number)) == (
            pytest.approx(number)
        )


def test_two_numbers_more_halve_the_intercept() -> None:
    """One number doubles the grains per area."""
    assert mean_intercept(grain_size_number=8.0) == pytest.approx(
        mean_intercept(grain_size_number=6.0) / 2.0, rel=1e-6
    )
    assert grains_per_area(grain_size_number=8.0) == 2.0 * grains_per_area(grain_size_number=7.0)


def test_grains_grow_with_heat_and_time_and_alloy_holds_them() -> None:
    """Hotter and longer is coarser, molybdenum finer."""
    base = {"C_percent": 0.23, "time_s": 600.0}
    small = austenite_grain_size(temperature_degC=900.0, **base)
    assert austenite_grain_size(temperature_degC=950.0, **base) > small
    assert austenite_grain_size(temperature_degC=900.0, C_percent=0.23, time_s=1200.0) > small
    assert austenite_grain_size(temperature_degC=900.0, Mo_percent=0.5, **base) < small
