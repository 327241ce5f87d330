"""Press and shrink fits by Lamé."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.interference import (
    press_fit_holding,
    press_fit_pressure,
    shrink_fit_pressure,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None)
fit = st.floats(3.0, 60.0)
outside = st.floats(1.1, 5.0)
bore = st.floats(0.05, 0.9)


def radial_change(p_in: float, p_out: float, a: float, b: float, r: float, E: float, nu: float):
    """Lamé's radial displacement of a ring a to b at radius r."""
    c1 = (p_in * a**2 - p_out * b**2) / (b**2 - a**2)
    c2 = (p_in - p_out) * a**2 * b**2 / (b**2 - a**2)
    return ((1.0 - nu) * c1 * r + (1.0 + nu) * c2 / r) / E


@few
@given(d=fit, wall=outside, hole=bore, E_hub=st.floats(7e4, 3e5), E_bush=st.floats(7e4, 3e5))
def test_the_two_members_close_the_interference(
    d: float, wall: float, hole: float, E_hub: float, E_bush: float
) -> None:
    """Hub bore out and bush outside in, by Lamé's displacements, add up to the interference."""
    made = press_fit_pressure(
        fit_diameter_mm=d, hub_outside_mm=wall * d, inner_bore_mm=hole * d,
        diametral_interference_mm=0.02, hub_E_MPa=E_hub, hub_poisson=0.3,
        bush_E_MPa=E_bush, bush_poisson=0.33,
    )  # fmt: skip
    p = made.pressure_MPa
    out = radial_change(p, 0.0, d / 2.0, wall * d / 2.0, d / 2.0, E_hub, 0.3)
    inward = -radial_change(0.0, p, hole * d / 2.0, d / 2.0, d / 2.0, E_bush, 0.33)
    assert 2.0 * (out + inward) == pytest.approx(0.02, rel=1e-9)
    edge = radial_change(p, 0.0, d / 2.0, wall * d / 2.0, wall * d / 2.0, E_hub, 0.3)
    assert made.hub_outside_growth_mm == pytest.approx(2.0 * edge, rel=1e-9)


@few
@given(d=fit, wall=outside, hole=bore)
def test_radii_and_diameters_give_the_same_pressure(d: float, wall: float, hole: float) -> None:
    """The compound cylinder by radii is the press fit of one metal by diameters."""
    by_diameter = press_fit_pressure(
        fit_diameter_mm=d, hub_outside_mm=wall * d, inner_bore_mm=hole * d,
        diametral_interference_mm=0.03, E_MPa=207000.0,
    )  # fmt: skip
    by_radius = shrink_fit_pressure(
        inner_radius_mm=hole * d / 2.0, contact_radius_mm=d / 2.0, outer_radius_mm=wall * d / 2.0,
        radial_interference_mm=0.015, E_MPa=207000.0,
    )  # fmt: skip
    assert by_radius.pressure_MPa == pytest.approx(by_diameter.pressure_MPa)
    assert by_radius.outer_hoop_stress_bore_MPa == pytest.approx(
        by_diameter.hub_hoop_stress_bore_MPa
    )
    assert by_radius.inner_hoop_stress_bore_MPa == pytest.approx(by_diameter.inner_hoop_stress_MPa)


@few
@given(d=fit, wall=outside)
def test_pressure_of_a_solid_shaft_does_not_know_poisson(d: float, wall: float) -> None:
    """For one metal and a solid shaft Poisson's ratio drops out."""
    size = {
        "shaft_diameter_mm": d, "hub_outside_mm": wall * d,
        "diametral_interference_mm": 0.02, "E_MPa": 207000.0,
    }  # fmt: skip
    first = press_fit_pressure(**size, poisson=0.2).pressure_MPa
    assert press_fit_pressure(**size, poisson=0.4).pressure_MPa == pytest.approx(first)


def test_solid_shaft_has_uniform_stress() -> None:
    """A solid shaft carries -p, a bored one up to twice that at its bore."""
    made = press_fit_pressure(
        fit_diameter_mm=20.0, hub_outside_mm=40.0, inner_bore_mm=[0.0, 0.01],
        diametral_interference_mm=0.02, E_MPa=207000.0,
    )  # fmt: skip
    over = -np.asarray(made.inner_hoop_stress_MPa) / np.asarray(made.pressure_MPa)
    np.testing.assert_allclose(over, [1.0, 2.0], rtol=1e-3)


def test_torque_is_force_at_the_radius() -> None:
    """T = F d/2."""
    held = press_fit_holding(diameter_mm=24.0, length_mm=10.0, pressure_MPa=80.0, friction=0.1)
    assert held.torque_Nm == pytest.approx(held.force_kN * 12.0)


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"hub_outside_mm": 20.0}, "hub_outside_mm"),
        ({"inner_bore_mm": 20.0}, "inner_bore_mm"),
        ({"fit_diameter_mm": None}, "fit_diameter_mm"),
        ({"E_MPa": None}, "hub_E_MPa"),
    ],
)
def test_impossible_fits_are_refused(wrong: dict, named: str) -> None:
    """Diameters out of order and missing values are named."""
    good = {
        "fit_diameter_mm": 20.0, "hub_outside_mm": 40.0, "inner_bore_mm": 5.0,
        "diametral_interference_mm": 0.02, "E_MPa": 207000.0,
    }  # fmt: skip
    with pytest.raises(ArgumentError, match=named):
        press_fit_pressure(**{**good, **wrong})
