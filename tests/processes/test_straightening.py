"""Roller straightening."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.springback import residual_curvature_ratio
from linkwright.processes.models.straightening import (
    roll_curvature,
    straightened_curvature,
    three_point_roll_force,
)

few = settings(derandomize=True, max_examples=25, deadline=None)
WIRE = {"diameter_mm": 8.0, "yield_MPa": 600.0, "E_MPa": 206000.0}
FIRST = 2.0 * 600.0 / (206000.0 * 8.0)


@few
@given(k=st.floats(0.1, 30.0))
def test_roll_force_grows_towards_full_plasticity(k: float) -> None:
    """More curvature takes more force, never more than full plasticity."""
    case = {"diameter_mm": 8.0, "yield_MPa": 600.0, "roll_pitch_mm": 60.0}
    full = three_point_roll_force(**case)
    some = three_point_roll_force(**case, curvature_ratio=k)
    more = three_point_roll_force(**case, curvature_ratio=1.1 * k)
    assert some.force_N < more.force_N < full.force_N
    assert some.moment_Nm == pytest.approx(some.force_N * 60.0 / 4000.0)


def test_roll_curvature_agrees_with_the_elastic_force() -> None:
    """Within the elastic range the intermesh, curvature and force belong to one beam."""
    curvature = roll_curvature(intermesh_mm=0.1, roll_pitch_mm=60.0)
    roll = three_point_roll_force(
        diameter_mm=8.0, yield_MPa=600.0, roll_pitch_mm=60.0, curvature_ratio=curvature / FIRST
    )
    inertia = np.pi * 8.0**4 / 64.0
    assert roll.force_N == pytest.approx(48.0 * 206000.0 * inertia * 0.1 / 60.0**3)


@few
@given(k=st.floats(0.1, 20.0))
def test_one_roll_leaves_the_closed_springback(k: float) -> None:
    """A straight wire over one roll keeps what the formula of one bend says."""
    left = straightened_curvature(
        **WIRE, initial_curvature_per_mm=0.0, roll_curvatures_per_mm=[k * FIRST]
    )
    expected = residual_curvature_ratio(curvature_ratio=k)
    assert left.residual_curvature_per_mm / FIRST == pytest.approx(expected, abs=2e-3)


@few
@given(bow=st.floats(-3.0, 3.0))
def test_rolls_bring_different_coils_together(bow: float) -> None:
    """Decreasing alternate bends leave nearly the same curvature whatever came in."""
    rolls = FIRST * np.array([-7.0, 6.0, -5.0, 4.0, -3.0, 2.2, -1.6])
    left = straightened_curvature(
        **WIRE, initial_curvature_per_mm=FIRST * np.array([0.0, bow]), roll_curvatures_per_mm=rolls
    ).residual_curvature_per_mm
    assert abs(left[1] - left[0]) <= 0.02 * FIRST * max(abs(bow), 0.1)


@few
@given(bow=st.floats(0.0, 3.0))
def test_straightening_is_odd(bow: float) -> None:
    """Turning all curvatures round turns the result round."""
    rolls = FIRST * np.array([-5.0, 3.0, -1.5])
    one = straightened_curvature(
        **WIRE, initial_curvature_per_mm=FIRST * bow, roll_curvatures_per_mm=rolls
    )
    other = straightened_curvature(
        **WIRE, initial_curvature_per_mm=-FIRST * bow, roll_curvatures_per_mm=-rolls
    )
    assert one.residual_curvature_per_mm == pytest.approx(-other.residual_curvature_per_mm)


def test_elastic_rolls_change_nothing() -> None:
    """Bends that stay below first yield give the bow back."""
    left = straightened_curvature(
        **WIRE, initial_curvature_per_mm=0.1 * FIRST,
        roll_curvatures_per_mm=[-0.7 * FIRST, 0.5 * FIRST],
    )  # fmt: skip
    assert left.residual_curvature_per_mm == pytest.approx(0.1 * FIRST)


def test_members_equal_single_runs() -> None:
    """Each member of an array is the member alone, with its own rolls."""
    rolls = FIRST * np.array([[-5.0, 3.0, -1.5], [-4.0, 3.0, -1.2]])
    bows = FIRST * np.array([0.5, 1.5])
    yields = np.array([580.0, 640.0])
    many = straightened_curvature(
        diameter_mm=8.0, yield_MPa=yields, E_MPa=206000.0, initial_curvature_per_mm=bows,
        roll_curvatures_per_mm=rolls,
    )  # fmt: skip
    for index in range(2):
        alone = straightened_curvature(
            diameter_mm=8.0, yield_MPa=yields[index], E_MPa=206000.0,
            initial_curvature_per_mm=bows[index], roll_curvatures_per_mm=rolls[index],
        )  # fmt: skip
        assert many.residual_curvature_per_mm[index] == pytest.approx(
            alone.residual_curvature_per_mm, rel=1e-9
        )
