"""Curved bars, rings and oval links, elastic."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.curved_bar import (
    curved_bar_factors,
    curved_bar_neutral,
    curved_bar_stress,
    obround_moments,
    ring_deflection,
)
from linkwright.quantities import ArgumentError, UnknownName

few = settings(derandomize=True, max_examples=25, deadline=None)
section = st.sampled_from(["round", "rectangle"])
# Machinery's Handbook, 31st ed., Curved Beams, Table 4: R/c, inner, outer, shift over R
ROUND = [
    (1.2, 3.41, 0.54, 0.224), (1.6, 1.96, 0.65, 0.108), (2.0, 1.62, 0.71, 0.069),
    (4.0, 1.23, 0.84, 0.016), (8.0, 1.10, 0.91, 0.0039),
]  # fmt: skip
RECTANGLE = [
    (1.2, 2.89, 0.57, 0.305), (1.6, 1.79, 0.67, 0.149), (2.0, 1.52, 0.73, 0.090),
    (4.0, 1.20, 0.85, 0.021), (10.0, 1.07, 0.94, 0.0033),
]  # fmt: skip


@pytest.mark.parametrize(("name", "rows"), [("round", ROUND), ("rectangle", RECTANGLE)])
def test_factors_agree_with_the_handbook(name: str, rows: list) -> None:
    """The printed table is met within 1.1 %, and 4 % in the shift at two digits."""
    table = np.array(rows)
    factors = curved_bar_factors(section=name, centroid_radius_over_half_depth=table[:, 0])
    np.testing.assert_allclose(factors.inner_factor, table[:, 1], rtol=0.011)
    np.testing.assert_allclose(factors.outer_factor, table[:, 2], rtol=0.011)
    np.testing.assert_allclose(factors.neutral_shift_over_radius, table[:, 3], rtol=0.04)


@few
@given(name=section, ratio=st.floats(1.01, 50.0))
def test_neutral_radius_is_area_over_the_integral_of_one_over_r(name: str, ratio: float) -> None:
    """The closed neutral radius equals A over the integral of dA/r by quadrature."""
    nodes, weights = np.polynomial.legendre.leggauss(200)
    angle = np.pi / 2.0 * nodes
    height, step = np.sin(angle), np.pi / 2.0 * weights * np.cos(angle)
    width = np.cos(angle) if name == "round" else np.ones_like(angle)
    rn = np.sum(width * step) / np.sum(width * step / (ratio + height))
    bar = curved_bar_neutral(inner_radius_mm=ratio - 1.0, depth_mm=2.0, section=name)
    assert bar.neutral_radius_mm == pytest.approx(rn, rel=1e-6)


@few
@given(name=section, ratio=st.floats(1.05, 200.0))
def test_factors_tend_to_one_with_the_radius(name: str, ratio: float) -> None:
    """Inside above 1, outside below 1, both nearer to 1 for a larger radius."""
    steps = np.array([ratio, 1.5 * ratio])
    factors = curved_bar_factors(section=name, centroid_radius_over_half_depth=steps)
    assert factors.inner_factor[0] > factors.inner_factor[1] > 1.0
    assert factors.outer_factor[0] < factors.outer_factor[1] < 1.0


def test_almost_straight_bar_keeps_its_digits() -> None:
    """At a huge radius the shift is c^2/(4R) or h^2/(12R), without cancellation."""
    for name, share in (("round", 0.25), ("rectangle", 1.0 / 3.0)):
        factors = curved_bar_factors(section=name, centroid_radius_over_half_depth=1e6)
        assert factors.neutral_shift_over_radius == pytest.approx(share * 1e-12, rel=1e-9)
        assert factors.inner_factor == pytest.approx(1.0, abs=1e-5)


@few
@given(name=section, r=st.floats(0.2, 20.0), h=st.floats(1.0, 30.0), moment=st.floats(1.0, 500.0))
def test_stress_is_the_factor_times_the_straight_stress(
    name: str, r: float, h: float, moment: float
) -> None:
    """Pure bending by the stress formula and by the factors is the same."""
    bar = curved_bar_stress(
        inner_radius_mm=r * h, moment_Nm=moment, width_mm=h, depth_mm=h, section=name
    )
    factors = curved_bar_factors(section=name, centroid_radius_over_half_depth=2.0 * r + 1.0)
    modulus = h**3 / 6.0 if name == "rectangle" else np.pi * h**3 / 32.0
    straight = 1000.0 * moment / modulus
    assert bar.inner_stress_MPa == pytest.approx(factors.inner_factor * straight, rel=1e-9)
    assert bar.outer_stress_MPa == pytest.approx(-factors.outer_factor * straight, rel=1e-9)


def test_hook_force_acts_through_the_centre_of_curvature() -> None:
    """Force alone is force with the moment F rc."""
    size = {"inner_radius_mm": 50.0, "width_mm": 20.0, "depth_mm": 100.0}
    hook = curved_bar_stress(force_N=20_000.0, **size)
    both = curved_bar_stress(force_N=20_000.0, moment_Nm=2000.0, **size)
    assert hook == pytest.approx(both)


def test_sections_and_depths_are_checked() -> None:
    """Unknown sections, missing or contradicting depths are refused."""
    with pytest.raises(UnknownName, match="rectangle"):
        curved_bar_factors(section="rectangel", centroid_radius_over_half_depth=2.0)
    with pytest.raises(ArgumentError, match="depth_mm"):
        curved_bar_neutral(inner_radius_mm=5.0)
    with pytest.raises(ArgumentError, match="depth_mm"):
        curved_bar_neutral(inner_radius_mm=5.0, depth_mm=4.0, outer_radius_mm=10.0)
    with pytest.raises(ArgumentError, match="width_mm"):
        curved_bar_stress(force_N=1.0, inner_radius_mm=5.0, depth_mm=4.0)


@few
@given(load=st.floats(1.0, 1e5), radius=st.floats(5.0, 500.0))
def test_link_without_straights_is_a_ring(load: float, radius: float) -> None:
    """The side moment of a ring is P R (1/2 - 1/pi), the crown moment P R/pi."""
    link = obround_moments(load_N=load, end_mean_radius_mm=radius, half_straight_length_mm=0.0)
    assert link.moment_side_Nmm == pytest.approx(load * radius * (0.5 - 1.0 / np.pi))
    assert link.moment_crown_Nmm == pytest.approx(load * radius / np.pi)


def test_ring_deflection_by_energy_of_the_ring_moments() -> None:
    """The loaded diameter follows from the ring's moments by Castigliano's integral."""
    load, radius, wire, modulus = 800.0, 70.0, 6.0, 206000.0
    angle = np.linspace(0.0, np.pi / 2.0, 100_001)
    unit = np.cos(angle) / 2.0 - 1.0 / np.pi
    moment = load * radius * unit
    stiffness = modulus * np.pi * wire**4 / 64.0
    change = 4.0 * np.trapezoid(moment * radius * unit * radius, angle) / stiffness
    ring = ring_deflection(
        load_N=load, mean_radius_mm=radius, wire_diameter_mm=wire, modulus_MPa=modulus
    )
    assert ring.loaded_diameter_change_mm == pytest.approx(change, rel=1e-6)
    assert ring.other_diameter_change_mm < ring.loaded_diameter_change_mm
