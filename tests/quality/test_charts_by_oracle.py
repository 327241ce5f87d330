"""Constants and run lengths of charts against distributions and chains of another kind."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from linkwright.quality.control_constants import control_chart_constants, range_moments
from linkwright.quality.control_limits import (
    individuals_limits,
    np_chart_limits,
    p_chart_limits,
    xbar_r_limits,
)
from linkwright.quality.cusum import cusum, cusum_run_length, cusum_run_length_siegmund
from linkwright.quality.drift_alarm import cusum_interval_for
from linkwright.quality.ewma import ewma, ewma_run_length, shewhart_run_length
from linkwright.quality.run_rules import RULES, nelson_rule, signals_of_rule
from linkwright.quantities import ArgumentError


@pytest.mark.parametrize("n", [2, 7, 60])
def test_moments_of_the_range_by_the_studentized_range(n: int) -> None:
    """d2 and d3 are mean and spread of the studentized range of infinite degrees of freedom."""
    law = stats.studentized_range(n, np.inf)
    x = np.linspace(0.0, 12.0, 601)
    left = 1.0 - law.cdf(x)
    step = x[1] - x[0]
    mean = np.trapezoid(left, dx=step)
    square = np.trapezoid(2.0 * x * left, dx=step)
    d2, d3 = range_moments(n)
    assert d2 == pytest.approx(mean, rel=2e-5)
    assert d3 == pytest.approx(np.sqrt(square - mean**2), rel=2e-4)


def test_moments_of_two_and_three_are_known_exactly() -> None:
    """2/sqrt(pi) and 3/sqrt(pi) (H. A. David, Order Statistics, from memory)."""
    assert range_moments(2)[0] == pytest.approx(2.0 / np.sqrt(np.pi), rel=1e-12)
    assert range_moments(3)[0] == pytest.approx(3.0 / np.sqrt(np.pi), rel=1e-12)


def test_factors_of_means_agree_with_each_other() -> None:
    """A2 d2 = A3 c4 = 3/sqrt n for any n; the lower factors never fall below 0."""
    found = control_chart_constants(n=np.arange(2, 30))
    assert np.allclose(found.A2 * found.d2, found.A)
    assert np.allclose(found.A3 * found.c4, found.A)
    assert min(found.B3.min(), found.D3.min(), found.D1.min(), found.B5.min()) == 0.0


@pytest.mark.parametrize(("k", "h", "shift"), [(0.5, 4.0, 0.0), (0.25, 8.0, 0.75), (1.0, 2.5, 1.5)])
def test_cusum_run_length_by_a_markov_chain(k: float, h: float, shift: float) -> None:
    """The integral equation agrees with a chain of many states (Brook and Evans)."""

    def chain(states: int) -> float:
        width = 2.0 * h / (2 * states - 1)
        places = np.arange(states) * width
        upper = stats.norm.cdf(places[None, :] + width / 2 - places[:, None] + k - shift)
        lower = stats.norm.cdf(places[None, :] - width / 2 - places[:, None] + k - shift)
        table = upper - lower
        table[:, 0] = upper[:, 0]
        return float(np.linalg.solve(np.eye(states) - table, np.ones(states))[0])

    coarse, fine = chain(80), chain(160)
    assert cusum_run_length(k=k, h=h, shift_sigma=shift).arl == pytest.approx(
        fine + (fine - coarse) / 3.0, rel=5e-4
    )


def test_siegmund_is_near_the_exact_run_length() -> None:
    """Within 3.5 % for the usual chart, from no shift to one of two sigma."""
    shifts = np.array([0.0, 0.5, 1.0, 2.0])
    exact = cusum_run_length(k=0.5, h=5.0, shift_sigma=shifts)
    near = cusum_run_length_siegmund(k=0.5, h=5.0, shift_sigma=shifts)
    assert np.allclose(near.arl_one_sided, exact.arl, rtol=0.035)
    assert np.allclose(near.arl_two_sided, exact.arl_two_sided, rtol=0.035)


def test_ewma_of_full_weight_is_a_shewhart_chart() -> None:
    """Weight 1 leaves single readings, whose run length is geometric."""
    shifts = np.array([0.0, 1.0, 3.0])
    one = ewma_run_length(weight=1.0, L=3.0, shift_sigma=shifts)
    assert np.allclose(one, shewhart_run_length(shift_sigma_of_mean=shifts))


@pytest.mark.parametrize("run_length", [30.0, 370.0, 1e5])
def test_the_solved_interval_gives_the_run_length(run_length: float) -> None:
    """What is solved for comes out."""
    h = cusum_interval_for(run_length=run_length)
    found = cusum_run_length(k=0.5, h=h, shift_sigma=0.0).arl_two_sided
    assert found == pytest.approx(run_length, rel=1e-4)


def test_run_rules_alarm_as_often_as_chance_says() -> None:
    """Rule 1 by the normal tail, rule 2 by two runs of nine heads: share of points in 400 000."""
    z = np.random.default_rng(7).standard_normal(400_000)
    assert signals_of_rule(z, 1).mean() == pytest.approx(0.0027, rel=0.1)
    assert signals_of_rule(z, 2).mean() == pytest.approx(2.0 * 0.5**9, rel=0.1)
    assert signals_of_rule(z, 7).mean() == pytest.approx(
        (1 - 2 * stats.norm.sf(1.0)) ** 15, rel=0.2
    )
    assert signals_of_rule(z, 8).mean() == pytest.approx((2 * stats.norm.sf(1.0)) ** 8, rel=0.25)


@pytest.mark.parametrize(
    ("rule", "z", "first"),
    [
        (2, [0.1] * 8 + [-0.1] + [0.2] * 9, 18),
        (3, [0, 1, 2, 3, 4, 4, 5, 6, 7, 8, 9], 11),
        (3, [5, 4, 3, 2, 1, 0], 6),
        (5, [2.1, 0.0, 2.2], 3),
        (5, [2.1, 0.0, -2.2], None),
        (8, [1.1, -1.2] * 4, 8),
        (1, [3.0, -3.0], None),
    ],
)
def test_rules_written_out(rule: int, z: list[float], first: int | None) -> None:
    """Short series whose answer can be counted by hand (L. S. Nelson 1984)."""
    assert nelson_rule(z=z, rule=rule).first_signal == first


@given(st.lists(st.floats(-4, 4), min_size=3, max_size=60), st.sampled_from(sorted(RULES)))
def test_rules_are_the_same_upside_down(z: list[float], rule: int) -> None:
    """No rule knows which side is up."""
    assert np.array_equal(signals_of_rule(np.array(z), rule), signals_of_rule(-np.array(z), rule))


@settings(deadline=None)
@given(
    st.lists(st.floats(-100, 100), min_size=3, max_size=40),
    st.floats(0.1, 10.0),
    st.floats(-1e3, 1e3),
)
def test_charts_do_not_depend_on_unit_or_zero(x: list[float], scale: float, off: float) -> None:
    """Signals stay if every reading is stretched and moved."""
    readings = np.array(x)
    if np.ptp(readings) < 1e-3:
        return
    one = individuals_limits(readings=readings)
    other = individuals_limits(readings=readings * scale + off)
    assert other.ucl == pytest.approx(one.ucl * scale + off, abs=1e-6 * scale * 1e3)
    sums = cusum(target=0.0, k=1.0, h=5.0, data=readings)
    moved = cusum(target=off, k=scale, h=5.0 * scale, data=readings * scale + off)
    assert np.allclose(moved.upper, sums.upper * scale, atol=1e-6 * scale * 1e3)


def test_without_a_signal_there_is_no_estimate() -> None:
    """Nothing stands for what did not happen."""
    assert cusum(target=0.0, k=0.5, h=5.0, data=[0.1, -0.2]).new_mean_estimate is None
    assert ewma(target=0.0, sigma=1.0, weight=0.2, L=3.0, data=[0.1, 0.2]).first_signal is None


def test_downward_shift_lowers_the_estimate() -> None:
    """The new mean lies below the target when the lower sum signals."""
    found = cusum(target=10.0, k=0.5, h=4.0, data=[8.0] * 6)
    assert found.first_signal == 3
    assert found.new_mean_estimate == pytest.approx(8.0)


def test_more_rejected_than_looked_at_is_refused() -> None:
    """A share above 1 is a slip."""
    with pytest.raises(ArgumentError, match="samples x n"):
        p_chart_limits(nonconforming=60.0, samples=1.0, n=50.0)
    assert np_chart_limits(nonconforming=10.0, samples=10.0, n=50.0).np_bar == 1.0


def test_limits_of_a_matrix_of_charts() -> None:
    """Every calculation broadcasts."""
    found = xbar_r_limits(grand_mean=np.array([1.0, 2.0]), mean_range=0.1, n=np.array([4.0, 5.0]))
    assert found.ucl_mean.shape == (2,)
