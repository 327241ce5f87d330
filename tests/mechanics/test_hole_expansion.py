"""A ring that a hard ball expands."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.hole_expansion import ball_sized_hole, hole_before_sizing
from linkwright.quantities import ArgumentError

RING = {"ring_outside_mm": 21.0, "hole_diameter_mm": 11.2, "yield_strength_MPa": 900.0}


def test_a_small_ball_leaves_an_elastic_ring_as_it_was():
    """Lame: p = E u/a / ((b2 + a2)/(b2 - a2) + nu)."""
    got = ball_sized_hole(ball_diameter_mm=11.22, **RING)
    beta = (21.0 / 11.2) ** 2
    assert got.pressure_MPa == pytest.approx(
        206000.0 * 0.02 / 11.2 / ((beta + 1.0) / (beta - 1.0) + 0.3), rel=1e-9
    )
    assert got.hole_diameter_mm == pytest.approx(11.2, rel=1e-12)
    assert got.residual_hoop_stress_MPa == 0.0
    assert got.plastic_depth_percent == 0.0


def test_a_large_ball_meets_the_plastic_limit_of_a_ring():
    """Hill: p = Y ln(b/a) when the ring yields throughout."""
    got = ball_sized_hole(ball_diameter_mm=11.6, **RING)
    assert got.pressure_MPa == pytest.approx(900.0 * np.log(21.0 / 11.2), rel=1e-9)
    assert got.plastic_depth_percent == pytest.approx(100.0)


def _by_shooting(c_over_a, beta, flow, E=206000.0, nu=0.3):
    """Displacement of the edge by integrating equilibrium and strains from the elastic rest in."""
    b2, c = beta, c_over_a
    pressure = flow / 2.0 * (1.0 - c**2 / b2)
    # Lame of the elastic rest c..b with the pressure at c
    u = pressure * c / E * ((b2 + c**2) / (b2 - c**2) + nu)
    steps = 20000
    radius, radial = c, -pressure
    for _ in range(steps):
        step = (1.0 - c) / steps
        middle = radius + step / 2.0
        radial_mid = radial + flow / radius * step / 2.0
        hoop = radial_mid + flow
        # no plastic strain in volume or across the sheet: the sum in its plane is elastic
        slope = (1.0 - nu) / E * (radial_mid + hoop) - (u / radius)
        u += slope * step
        radial += flow / middle * step
        radius += step
    return u, -radial


@pytest.mark.parametrize("c_over_a", [1.1, 1.4, 1.7])
def test_the_yielding_zone_agrees_with_integration(c_over_a):
    """Equilibrium and strains integrated inwards give the same pressure and displacement."""
    beta = (21.0 / 11.2) ** 2
    moved, pressure = _by_shooting(c_over_a, beta, 900.0)
    got = ball_sized_hole(ball_diameter_mm=11.2 * (1.0 + moved), **RING)
    assert got.pressure_MPa == pytest.approx(pressure, rel=1e-4)
    depth = 100.0 * (c_over_a - 1.0) / (np.sqrt(beta) - 1.0)
    assert got.plastic_depth_percent == pytest.approx(depth, rel=1e-3)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(
    outside=st.floats(8.0, 80.0), ratio=st.floats(0.35, 0.65),
    interference=st.floats(0.3, 3.0), flow=st.floats(300.0, 1300.0),
)  # fmt: skip
def test_there_and_back_and_what_stays_is_compression(outside, ratio, interference, flow):
    ring = {"ring_outside_mm": outside, "yield_strength_MPa": flow}
    wanted = ratio * outside
    hole = hole_before_sizing(sized_hole_mm=wanted, ball_interference_percent=interference, **ring)
    got = ball_sized_hole(
        hole_diameter_mm=hole, ball_diameter_mm=hole * (1.0 + interference / 100.0), **ring
    )
    assert got.hole_diameter_mm == pytest.approx(wanted, rel=1e-9)
    assert hole <= wanted * (1.0 + 1e-12)
    assert -flow <= got.residual_hoop_stress_MPa <= 0.0


def test_scatter_of_holes_shrinks_once_the_ring_yields():
    holes = 11.2 + np.array([-0.01, 0.0, 0.01])
    got = ball_sized_hole(**{**RING, "hole_diameter_mm": holes}, ball_diameter_mm=11.3)
    assert np.ptp(got.hole_diameter_mm) < 0.15 * np.ptp(holes)


def test_a_ball_not_above_the_hole_does_nothing_and_one_as_large_as_the_ring_is_refused():
    got = ball_sized_hole(ball_diameter_mm=11.0, **RING)
    assert got.hole_diameter_mm == 11.2
    assert got.ball_force_kN == 0.0
    with pytest.raises(ArgumentError):
        ball_sized_hole(ball_diameter_mm=21.0, **RING)
