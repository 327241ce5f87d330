"""Sums of calibrating and inspection against simulation, integration and limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import cumulative_trapezoid, quad
from scipy.special import ndtr

from linkwright.mechanics.bending import round_bar_plastic_moments
from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.springback import round_bar_bending
from linkwright.processes.models.calibrating import (
    expected_breaks,
    gauge_deviation,
    gauge_length,
    stroke_correlation,
    stroke_rate,
    stroke_time,
)
from linkwright.processes.models.inspection import percent_inside, weakest_of
from linkwright.processes.models.link_bending import BendTest, bend_damage, bend_test
from linkwright.quantities import ArgumentError

FEW = settings(derandomize=True, max_examples=20, deadline=None)


@FEW
@given(links=st.integers(1, 60), stroke=st.integers(1, 60))
def test_gauge_deviation_is_the_mean_over_all_beginnings(links: int, stroke: int) -> None:
    """A gauge begins at any link of a stroke; the links of each stroke it covers go together."""
    shared = [
        np.sum(np.square(np.unique((begin + np.arange(links)) // stroke, return_counts=True)[1]))
        for begin in range(stroke)
    ]
    found = gauge_deviation(
        links_count=float(links), links_per_stroke_count=float(stroke),
        link_deviation_mm=0.05, stroke_deviation_mm=0.02,
    )  # fmt: skip
    assert found**2 == pytest.approx(links * 0.05**2 + np.mean(shared) * 0.02**2, rel=1e-9)


def test_links_of_one_stroke_go_together() -> None:
    """Eleven links of one endless stroke vary eleven times as one; of many strokes by its root."""
    alone = {"link_deviation_mm": 0.0, "stroke_deviation_mm": 0.01}
    many = np.array([1e9, 1.0])
    found = gauge_deviation(links_count=11.0, links_per_stroke_count=many, **alone)
    np.testing.assert_allclose(found, [0.11, 0.01 * np.sqrt(11.0)], rtol=1e-6)
    assert stroke_correlation(link_deviation_mm=0.02, stroke_deviation_mm=0.02) == 0.5


def test_gauge_and_stroke() -> None:
    """Eleven links of 24 mm are 264 mm; 240 links a minute by 40 are six strokes of ten seconds."""
    assert gauge_length(links_count=11.0, pitch_mm=24.0) == 264.0
    strokes = stroke_rate(links_per_min=240.0, links_per_stroke_count=40.0)
    assert (strokes, stroke_time(strokes_per_min=strokes)) == (6.0, 10.0)


def test_half_the_links_break_at_the_mean_and_none_far_below() -> None:
    """Links of a lot that break at the mean breaking force, and at six tenths of it."""
    broken = expected_breaks(
        force_kN=np.array([84.0, 50.4]), breaking_force_kN=84.0, deviation_ratio=0.01,
        links=20000.0, lots=2.0,
    )  # fmt: skip
    assert broken[0] == pytest.approx(5000.0)
    assert broken[1] < 1e-100


@pytest.mark.parametrize("links", [1, 2, 5, 41, 1000])
def test_weakest_link_is_the_expected_least_of_normal_values(links: int) -> None:
    """Blom's rule against the integral of the survival of the least, in standard deviations."""
    above = quad(lambda x: (1 - ndtr(x)) ** links, 0, 12)[0]
    below = quad(lambda x: 1 - (1 - ndtr(x)) ** links, -12, 0, limit=200)[0]
    found = weakest_of(breaking_force_kN=100.0, deviation_ratio=0.01, links=float(links))
    assert found - 100.0 == pytest.approx(above - below, abs=0.03)


def test_share_inside_one_limit_and_two() -> None:
    """Half is above the mean; 95.45 per cent lie within two deviations (Abramowitz, 26.2)."""
    assert percent_inside(mean=24.0, deviation=0.1, least=24.0) == pytest.approx(50.0)
    both = percent_inside(mean=24.0, deviation=0.1, least=23.8, greatest=24.2)
    assert both == pytest.approx(95.45, abs=0.005)


def bent(deflection: float, mandrel: float = 24.0, **steel: float) -> BendTest:
    return bend_test(
        **{
            "wire_diameter_mm": 8.0, "deflection_mm": deflection, "span_mm": 32.0,
            "mandrel_diameter_mm": mandrel, "tensile_strength_MPa": 1180.0,
        } | steel
    )  # fmt: skip


def test_a_bar_without_hardening_bends_at_its_plastic_moment() -> None:
    """At a point, F = 2 legs x 4 Mp/L with Mp = d^3 Y/6 (Timoshenko, Part II).

    Hardening of n = 0.02 moves it by a few per cent.
    """
    made = bent(0.01, mandrel=1.0, hardening_exponent=0.02, prestrain=0.001)
    plastic = round_bar_plastic_moments(diameter_mm=8.0, yield_MPa=1180.0).plastic_moment_Nm
    assert made.mandrel_angle_deg == 0.0
    assert made.bend_force_kN == pytest.approx(2 * 4 * plastic / 32.0, rel=0.04)


def test_the_moment_on_the_mandrel_is_that_of_the_bent_bar() -> None:
    """That of `round_bar_bending`, whose elastic core hardly counts there."""
    made = bent(2.0)
    curve = SwiftCurve.of_strength(1180.0, 0.06, 0.005)
    moment = round_bar_bending(
        diameter_mm=8.0, mean_radius_mm=16.0, K_MPa=curve.strength_coefficient_MPa,
        E_MPa=205e3, n=0.06, prestrain=0.005,
    ).moment_Nm  # fmt: skip
    arc = np.radians(made.mandrel_angle_deg / 2)
    arm = (16.0 - 16.0 * np.sin(arc)) / np.cos(arc)
    assert made.bend_force_kN == pytest.approx(4 * moment / arm * np.cos(arc), rel=1e-3)


@FEW
@given(exponent=st.floats(0.02, 0.3), deflection=st.floats(0.5, 6.4), mandrel=st.floats(4.0, 30.0))
def test_the_line_of_the_bar_reaches_the_deflection(
    exponent: float, deflection: float, mandrel: float
) -> None:
    """Curvature of arc and tail, integrated along the bar, ends at the support's height.

    The tail is integrated with all its rotation, which the formula takes as small: that costs up
    to 6 per cent where a steel of n = 0.3 bends round a thin mandrel.
    """
    made = bent(deflection, mandrel, hardening_exponent=exponent)
    arc = np.radians(made.mandrel_angle_deg / 2)
    top = 2 * made.bend_surface_strain / 8.0
    radius = (mandrel + 8.0) / 2
    start = (radius * np.sin(arc), radius * (1 - np.cos(arc)))
    length = (16.0 - start[0]) / np.cos(arc)
    along = np.linspace(0.0, 1.0, 4001) * length
    turned = arc + np.concatenate(
        [[0.0], cumulative_trapezoid(top * (1 - along / length) ** (1 / exponent), along)]
    )
    x = start[0] + np.concatenate([[0.0], cumulative_trapezoid(np.cos(turned), along)])
    y = start[1] + np.concatenate([[0.0], cumulative_trapezoid(np.sin(turned), along)])
    at_support = (
        float(np.interp(16.0, x, y))
        if x[-1] >= 16.0
        else float(y[-1] + (16.0 - x[-1]) * np.tan(turned[-1]))
    )
    assert at_support == pytest.approx(deflection, rel=0.06)


def test_a_bar_that_hardens_little_lies_on_the_mandrel() -> None:
    """Its strain is that of the mandrel, d/(D + d), and grows as the mandrel gets thinner."""
    assert bent(6.4).bend_surface_strain == pytest.approx(8.0 / 32.0)
    assert bent(6.4, mandrel=8.0).bend_surface_strain == pytest.approx(0.5)
    assert bent(0.1).mandrel_angle_deg == 0.0


def test_force_and_angle_rise_with_the_deflection() -> None:
    """Through the touch of the mandrel without a jump."""
    deflection = np.linspace(0.3, 8.0, 200)
    made = bent(deflection)
    assert np.all(np.diff(made.bend_force_kN) > 0)
    assert np.all(np.diff(made.bend_angle_deg) > 0)
    assert np.diff(made.bend_force_kN).max() < 0.2


def test_a_deflection_that_pulls_the_leg_off_its_supports_is_refused() -> None:
    """With what would do."""
    with pytest.raises(ArgumentError, match="still lies on the supports"):
        bent(40.0)


def test_a_weld_of_half_the_ductility_is_twice_as_near_to_tearing() -> None:
    """And a strain of the limit itself tears sound steel."""
    whole, half = (
        bend_damage(bend_surface_strain=0.25, void_strain_limit=0.9, weld_ductility_percent=share)
        for share in (100.0, 50.0)
    )
    assert half == pytest.approx(2 * whole)
    limit = np.expm1(0.9)
    assert bend_damage(
        bend_surface_strain=limit, void_strain_limit=0.9, weld_ductility_percent=100.0
    ) == pytest.approx(1.0)
