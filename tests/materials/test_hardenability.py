"""Hardenability from analysis."""

import numpy as np
import pytest

from linkwright.materials.hardenability import (
    base_diameter_a255,
    half_martensite_hardness_a255,
    ideal_diameter_a255,
    initial_hardness_a255,
    jominy_hardness_just,
    multiplying_factors_a255,
)


def test_base_diameter_has_no_step_over_two_percent() -> None:
    """The five branches of the carbon factor join."""
    values = base_diameter_a255(carbon_percent=np.arange(0.05, 0.9, 0.001))
    assert (np.diff(values) > -0.001).all()
    assert np.abs(np.diff(values) / values[1:]).max() < 0.03


def test_ideal_diameter_is_the_product_of_its_factors() -> None:
    """Composition factors multiply."""
    alloy = {"Mn_percent": 1.3, "Ni_percent": 0.5, "Cr_percent": 0.5, "Mo_percent": 0.2}
    product = base_diameter_a255(carbon_percent=0.23) * np.prod(multiplying_factors_a255(**alloy))
    assert ideal_diameter_a255(C_percent=0.23, **alloy) == pytest.approx(product)


def test_full_martensite_is_harder_than_half() -> None:
    """The initial hardness lies above that of 50 % martensite."""
    carbon = np.linspace(0.1, 0.6, 50)
    full = initial_hardness_a255(carbon_percent=carbon)
    assert (full > half_martensite_hardness_a255(carbon_percent=carbon)).all()


def test_jominy_curve_falls_from_its_cap() -> None:
    """Hardness never rises along the bar up to 40 mm and starts at the carbon's maximum."""
    distance = np.linspace(1.5, 40.0, 60)
    with np.errstate(all="raise"), pytest.warns(UserWarning, match="distance_mm"):
        curve = jominy_hardness_just(
            C_percent=0.4, Mn_percent=0.8, Cr_percent=1.0, Mo_percent=0.2, distance_mm=distance
        )
    assert curve[0] == pytest.approx(60.0 * np.sqrt(0.4) + 20.0)
    assert (np.diff(curve) <= 1e-12).all()
