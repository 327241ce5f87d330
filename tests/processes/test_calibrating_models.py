"""Sums of calibrating and inspection against simulation, integration and limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr

from linkwright.processes.models.calibrating import (
    expected_breaks,
    gauge_deviation,
    gauge_length,
    stroke_correlation,
    stroke_rate,
    stroke_time,
)
from linkwright.processes.models.inspection import percent_inside, weakest_of
from linkwright.processes.models.link_bending import bend_test_strain

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


def bent(exponent: float, deflection: float, mandrel: float = 24.0) -> tuple[float, ...]:
    found = bend_test_strain(
        wire_diameter_mm=8.0, deflection_mm=deflection, span_mm=32.0,
        mandrel_diameter_mm=mandrel, hardening_exponent=exponent,
    )  # fmt: skip
    return tuple(float(part) for part in found)


def test_an_elastic_bar_bends_as_in_every_handbook() -> None:
    """With n = 1 the strain is 6 f d/L^2 (f = F L^3/(48 E I))."""
    assert bent(1.0, 0.1)[1] == pytest.approx(6 * 0.1 * 8.0 / 32.0**2)


@FEW
@given(exponent=st.floats(0.05, 1.0), deflection=st.floats(0.1, 6.4))
def test_curvature_integrates_to_the_deflection(exponent: float, deflection: float) -> None:
    """Moment-area: the first moment of the curvature about the support is the deflection."""
    curvature = 2 * bent(exponent, deflection)[1] / 8.0
    sag = quad(lambda x: curvature * (x / 16.0) ** (1 / exponent) * x, 0, 16, points=(14.0, 15.5))
    assert sag[0] == pytest.approx(deflection, rel=1e-6)


def test_a_bar_that_hardens_little_lies_on_the_mandrel() -> None:
    """Its strain is that of the mandrel, d/(D + d), and grows as the mandrel gets thinner."""
    assert bent(0.06, 6.4)[0] == pytest.approx(8.0 / 32.0)
    assert bent(0.06, 6.4, mandrel=8.0)[0] == pytest.approx(0.5)
    assert bent(0.06, 0.1)[0] == bent(0.06, 0.1)[1]
