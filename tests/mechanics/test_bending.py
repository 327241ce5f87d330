"""Moments of bars bent beyond yield, strains and the neutral fibre."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.bending import (
    bending_force,
    bent_bar_strains,
    minimum_bend_radius,
    oval_link_fibre_length,
    rect_bar_moment_ratio,
    rect_bar_plastic_moments,
    round_bar_moment_ratio,
    round_bar_plastic_moments,
    round_bar_power_law_moment,
)

few = settings(derandomize=True, max_examples=25, deadline=None)
diameter = st.floats(1.0, 40.0)


@few
@given(k=st.floats(1.001, 50.0))
def test_round_ratio_is_the_integral_over_the_circle(k: float) -> None:
    """The closed ratio equals the moment of clipped stress by quadrature."""
    height = np.sin(np.linspace(-np.pi / 2.0, np.pi / 2.0, 20_001))
    width = 2.0 * (1.0 - height**2)
    stress = np.clip(k * height, -1.0, 1.0)
    angle = np.linspace(-np.pi / 2.0, np.pi / 2.0, 20_001)
    moment = np.trapezoid(stress * height * width, angle) / (np.pi / 4.0)
    assert round_bar_moment_ratio(curvature_ratio=k) == pytest.approx(moment, rel=1e-5)


def test_ratios_reach_the_shape_factors_and_are_elastic_below_one() -> None:
    """Limits 16/(3 pi) and 1.5; equal to the curvature ratio up to first yield."""
    far, low = 1e6, [0.0, 0.4, 1.0]
    assert round_bar_moment_ratio(curvature_ratio=far) == pytest.approx(16.0 / (3.0 * np.pi))
    assert rect_bar_moment_ratio(curvature_ratio=far) == pytest.approx(1.5)
    assert round_bar_moment_ratio(curvature_ratio=low).tolist() == low
    assert rect_bar_moment_ratio(curvature_ratio=low).tolist() == low
    shape = round_bar_plastic_moments(diameter_mm=7.0, yield_MPa=300.0).shape_factor
    assert shape == pytest.approx(16.0 / (3.0 * np.pi))


@few
@given(k=st.floats(0.0, 20.0))
def test_moment_never_falls_with_curvature(k: float) -> None:
    """The moment rises and its slope falls."""
    steps = np.array([k, k + 0.5, k + 1.0])
    for ratio in (round_bar_moment_ratio, rect_bar_moment_ratio):
        moment = ratio(curvature_ratio=steps)
        assert moment[0] <= moment[1] <= moment[2]
        assert moment[2] - moment[1] <= moment[1] - moment[0] + 1e-12


@few
@given(d=diameter, kappa=st.floats(0.001, 0.05), K=st.floats(100.0, 2000.0))
def test_power_law_moment_without_hardening_is_the_plastic_moment(
    d: float, kappa: float, K: float
) -> None:
    """With n = 0 the moment is d^3 K/6 at any curvature."""
    bent = round_bar_power_law_moment(diameter_mm=d, curvature_per_mm=kappa, K_MPa=K, n=0.0)
    plastic = round_bar_plastic_moments(diameter_mm=d, yield_MPa=K).plastic_moment_Nm
    assert bent.moment_Nm == pytest.approx(plastic)


def test_power_law_moment_with_n_one_is_the_elastic_moment() -> None:
    """With n = 1, K is a modulus and M = K I kappa."""
    bent = round_bar_power_law_moment(diameter_mm=10.0, curvature_per_mm=0.01, K_MPa=500.0, n=1.0)
    assert bent.moment_Nm == pytest.approx(500.0 * np.pi * 10.0**4 / 64.0 * 0.01 / 1000.0)


def test_rectangular_moments() -> None:
    """First yield at b h^2 Y/6, full plasticity at b h^2 Y/4."""
    bar = rect_bar_plastic_moments(width_mm=10.0, depth_mm=6.0, yield_MPa=500.0)
    assert bar == pytest.approx((30.0, 45.0, 1.5))


def test_ductile_metal_can_be_folded_flat() -> None:
    """From 50 % reduction of area on the least radius is 0, not negative."""
    radius = minimum_bend_radius(reduction_of_area_percent=[25.0, 50.0, 70.0])
    assert radius.tolist() == [1.0, 0.0, 0.0]


@few
@given(d=diameter, r=st.floats(0.5, 100.0))
def test_bend_strains_follow_the_arcs(d: float, r: float) -> None:
    """Outer and inner arcs over the arc of the centre line give the strains."""
    strains = bent_bar_strains(diameter_mm=d, inner_radius_mm=r)
    assert 1.0 + strains.outer_strain == pytest.approx((r + d) / (r + d / 2.0))
    assert 1.0 + strains.inner_strain == pytest.approx(r / (r + d / 2.0))
    assert strains.outer_true_strain == pytest.approx(np.log1p(strains.outer_strain))
    assert strains.inner_true_strain == pytest.approx(np.log1p(strains.inner_strain))


def test_mean_strain_is_the_average_over_the_circle() -> None:
    """4/(3 pi) of the outer strain."""
    strains = bent_bar_strains(diameter_mm=8.0, inner_radius_mm=5.6)
    angle = np.linspace(-np.pi / 2.0, np.pi / 2.0, 10_001)
    mean = np.trapezoid(abs(np.sin(angle)) * 2.0 * np.cos(angle) ** 2, angle) / np.pi
    assert strains.mean_strain == pytest.approx(mean * strains.outer_strain, rel=1e-6)


@few
@given(d=diameter, p=st.floats(3.0, 6.0), w=st.floats(3.1, 3.6))
def test_oval_link_of_its_own_width_is_a_ring(d: float, p: float, w: float) -> None:
    """A link as long outside as it is wide is a ring; each mm of pitch adds 2 mm of bar."""
    ring = oval_link_fibre_length(wire_diameter_mm=d, pitch_mm=(w - 2.0) * d, outer_width_mm=w * d)
    longer = oval_link_fibre_length(
        wire_diameter_mm=d, pitch_mm=(w - 2.0) * d + p, outer_width_mm=w * d
    )
    assert ring == pytest.approx(np.pi * (w - 1.0) * d)
    assert longer - ring == pytest.approx(2.0 * p)


def test_neutral_fibre_nearer_to_the_centre_is_shorter() -> None:
    """A shift s d takes 2 pi s d off the two crowns."""
    sizes = {"wire_diameter_mm": 8.0, "pitch_mm": 24.0, "outer_width_mm": 26.8}
    at_centre = oval_link_fibre_length(**sizes)
    shifted = oval_link_fibre_length(**sizes, neutral_shift_over_diameter=0.05)
    assert at_centre - shifted == pytest.approx(2.0 * np.pi * 0.05 * 8.0)


def test_bending_force_times_arm_is_the_moment() -> None:
    """Newton metres over millimetres."""
    assert bending_force(moment_Nm=12.0, arm_mm=30.0) == pytest.approx(400.0)
