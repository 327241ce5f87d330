"""Press fits whose ring yields: against Lamé below yield, integration of the field above it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from linkwright.mechanics.interference import press_fit_pressure
from linkwright.mechanics.plastic_fit import press_fit_greatest_interference, press_fit_yielding
from linkwright.quantities import ArgumentError

RING = {"hub_outside_mm": 21.0, "fit_diameter_mm": 8.28, "hub_yield_strength_MPa": 900.0}
MODULUS = 206000.0

bores = st.just(0.0) | st.floats(0.5, 7.0)
depths = st.floats(0.0, 100.0)


@given(bore=bores, share=st.floats(0.01, 1.0))
def test_lame_holds_up_to_first_yield(bore, share):
    most = press_fit_greatest_interference(inner_bore_mm=bore, **RING)
    got = press_fit_yielding(inner_bore_mm=bore, diametral_interference_mm=share * most, **RING)
    elastic = press_fit_pressure(
        hub_outside_mm=21.0, fit_diameter_mm=8.28, inner_bore_mm=bore, E_MPa=MODULUS,
        diametral_interference_mm=share * most,
    )  # fmt: skip
    assert got.pressure_MPa == pytest.approx(elastic.pressure_MPa, rel=1e-9)
    assert got.hub_hoop_stress_bore_MPa == pytest.approx(elastic.hub_hoop_stress_bore_MPa, rel=1e-9)
    assert got.inner_hoop_stress_MPa == pytest.approx(elastic.inner_hoop_stress_MPa, rel=1e-9)
    assert got.plastic_depth_percent == pytest.approx(0.0, abs=1e-5)


@given(bore=bores, depth=depths)
def test_interference_for_a_depth_gives_that_depth(bore, depth):
    wide = press_fit_greatest_interference(inner_bore_mm=bore, plastic_depth_percent=depth, **RING)
    got = press_fit_yielding(inner_bore_mm=bore, diametral_interference_mm=wide, **RING)
    assert got.plastic_depth_percent == pytest.approx(depth, abs=1e-5)


@given(bore=bores, small=st.floats(0.001, 0.3), more=st.floats(1e-4, 0.1))
def test_more_interference_never_presses_less(bore, small, more):
    low, high = (
        press_fit_yielding(inner_bore_mm=bore, diametral_interference_mm=wide, **RING).pressure_MPa
        for wide in (small, small + more)
    )
    assert high >= low - 1e-9


@pytest.mark.parametrize("depth", [10.0, 50.0, 90.0])
def test_the_yielding_zone_moves_as_its_integrated_field(depth):
    """From the elastic ring outside inward: equilibrium, Tresca, no plastic change of thickness."""
    poisson, a, b = 0.3, 4.14, 10.5
    c = a + depth / 100.0 * (b - a)
    at_c = -450.0 * (1.0 - (c / b) ** 2)
    moved = c / MODULUS * ((at_c + 900.0) - poisson * at_c)

    def field(r, y):
        radial, u = y
        return [900.0 / r, (1 - poisson) / MODULUS * (2 * radial + 900.0) - u / r]

    end = solve_ivp(field, (c, a), [at_c, moved], rtol=1e-10, atol=1e-12).y[:, -1]
    pressure, growth = -end[0], end[1]
    pin = pressure * a / MODULUS * (1 - poisson)
    got = press_fit_yielding(
        inner_bore_mm=0.0, diametral_interference_mm=2 * (growth + pin), **RING
    )
    assert got.pressure_MPa == pytest.approx(pressure, rel=1e-7)
    assert got.plastic_depth_percent == pytest.approx(depth, rel=1e-6)


def test_a_ring_that_yields_throughout_holds_no_more():
    got = press_fit_yielding(inner_bore_mm=0.0, diametral_interference_mm=[0.5, 5.0], **RING)
    np.testing.assert_allclose(got.pressure_MPa, 900.0 * np.log(21.0 / 8.28))
    np.testing.assert_allclose(got.plastic_depth_percent, 100.0)


def test_a_solid_pin_has_the_closed_form():
    got = press_fit_yielding(inner_bore_mm=0.0, diametral_interference_mm=0.06, **RING)
    c = 4.14 * np.sqrt(MODULUS * 0.06 / (8.28 * 900.0))
    assert got.plastic_depth_percent == pytest.approx(100 * (c - 4.14) / (10.5 - 4.14), rel=1e-12)
    assert got.bore_shrinkage_mm == 0.0


def test_many_joints_as_one_by_one():
    wide = np.linspace(0.001, 0.4, 57)
    many = press_fit_yielding(inner_bore_mm=6.0, diametral_interference_mm=wide, **RING)
    for k in range(0, 57, 7):
        one = press_fit_yielding(inner_bore_mm=6.0, diametral_interference_mm=wide[k], **RING)
        for of_all, alone in zip(many, one, strict=True):
            assert of_all[k] == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize(
    ("wrong", "name"), [({"hub_outside_mm": 8.0}, "hub_outside_mm"), ({}, "inner_bore_mm")]
)
def test_diameters_out_of_order_are_named(wrong, name):
    with pytest.raises(ArgumentError, match=name):
        press_fit_yielding(
            **{**RING, **wrong}, inner_bore_mm=9.0 if not wrong else 0.0,
            diametral_interference_mm=0.03,
        )  # fmt: skip
