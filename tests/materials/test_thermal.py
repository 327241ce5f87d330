"""Thermal properties of steel: the integral is the integral, the factors stay in bounds."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import ValidityWarning
from linkwright.materials.thermal import (
    ec3_enthalpy,
    ec3_reduction_factors,
    ec3_specific_heat,
    ec3_thermal_conductivity,
    ec3_thermal_elongation,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=30, deadline=None, database=None)
temperature = st.floats(20.0, 1200.0)


@few
@given(temperature, temperature)
def test_enthalpy_is_the_integral_of_specific_heat(start: float, end: float) -> None:
    """The closed form agrees with fine numerical quadrature of the specific heat."""
    breaks = [b for b in (600.0, 735.0, 900.0) if min(start, end) < b < max(start, end)]
    edges = [start, *(breaks if start < end else reversed(breaks)), end]
    points, weights = np.polynomial.legendre.leggauss(60)
    total = 0.0
    for a, b in pairwise(edges):
        at = a + (b - a) * (points + 1) / 2
        at = np.clip(at, 20.0, 1200.0)
        total += float((weights * ec3_specific_heat(temperature_degC=at)).sum()) * (b - a) / 2
    got = ec3_enthalpy(temperature_degC=end, start_degC=start)
    assert got == pytest.approx(total, rel=1e-6, abs=1e-3)


def test_enthalpy_rises_with_temperature() -> None:
    """More heat is in hotter steel, through the peak as well."""
    assert (np.diff(ec3_enthalpy(temperature_degC=np.arange(20.0, 1201.0))) > 0).all()


def test_specific_heat_peaks_at_735() -> None:
    """The peak of 5000 J/(kg K) stands at 735 °C."""
    grid = np.arange(20.0, 1200.0, 0.5)
    assert grid[np.argmax(ec3_specific_heat(temperature_degC=grid))] == 735.0


def test_reduction_factors_stay_between_one_and_zero() -> None:
    """Hot factors fall from one to zero and never rise."""
    for factor in ec3_reduction_factors(temperature_degC=np.linspace(20.0, 1200.0, 200)):
        assert factor[0] == 1.0
        assert factor[-1] == 0.0
        assert (np.diff(factor) <= 0).all()


def test_reduction_factors_refuse_liquid_steel() -> None:
    """Beyond the table there is no value and the error says so."""
    with pytest.raises(ArgumentError, match="temperature_degC"):
        ec3_reduction_factors(temperature_degC=1300.0)


def test_a_float_gives_a_float_and_an_array_an_array() -> None:
    """All properties broadcast and keep the kind of their argument."""
    for law in (ec3_specific_heat, ec3_enthalpy, ec3_thermal_conductivity, ec3_thermal_elongation):
        assert isinstance(law(temperature_degC=500.0), float)
        assert law(temperature_degC=np.full((512, 8), 500.0)).shape == (512, 8)


def test_above_1200_a_warning_is_given() -> None:
    """The last branch is carried on with a warning."""
    with pytest.warns(ValidityWarning, match="outside"):
        assert ec3_specific_heat(temperature_degC=1300.0) == 650.0
