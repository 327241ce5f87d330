"""Springback of round bars and the finger that makes up for it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.bending import round_bar_moment_ratio, round_bar_power_law_moment
from linkwright.mechanics.springback import (
    finger_radius,
    residual_curvature_ratio,
    round_bar_bending,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None)
diameter = st.floats(2.0, 30.0)
slimness = st.floats(0.9, 30.0)
curve = st.fixed_dictionaries(
    {
        "K_MPa": st.floats(200.0, 2000.0),
        "n": st.floats(0.0, 0.4),
        "prestrain": st.floats(0.0, 0.5),
        "E_MPa": st.just(206000.0),
    }
)


@few
@given(d=diameter, r=slimness, metal=curve)
def test_the_finger_gives_the_wanted_radius_and_angle(d: float, r: float, metal: dict) -> None:
    """Bending round the solved finger and letting go leaves what was wanted."""
    tool = finger_radius(diameter_mm=d, inner_radius_mm=r * d, angle_deg=180.0, **metal)
    bar = round_bar_bending(
        diameter_mm=d, mean_radius_mm=tool.finger_radius_mm + d / 2.0,
        bend_angle_deg=tool.bend_angle_deg, **metal,
    )  # fmt: skip
    assert bar.residual_mean_radius_mm == pytest.approx((r + 0.5) * d, rel=1e-9)
    assert bar.residual_angle_deg == pytest.approx(180.0, rel=1e-9)
    assert tool.finger_radius_mm < r * d
    assert tool.moment_Nm == pytest.approx(bar.moment_Nm, rel=1e-9)


@few
@given(d=diameter, r=slimness, metal=curve)
def test_members_of_an_ensemble_equal_single_runs(d: float, r: float, metal: dict) -> None:
    """A member in an array is the member alone to 1e-9."""
    K = metal["K_MPa"]
    many = {**metal, "K_MPa": [200.0, K, 2000.0]}
    together = finger_radius(diameter_mm=d, inner_radius_mm=r * d, **many)
    alone = finger_radius(diameter_mm=d, inner_radius_mm=r * d, **metal)
    assert together.finger_radius_mm[1] == pytest.approx(alone.finger_radius_mm, rel=1e-9)


@few
@given(d=diameter, r=slimness, metal=curve)
def test_springback_tends_to_zero_for_a_rigid_metal(d: float, r: float, metal: dict) -> None:
    """With the modulus going to infinity nothing springs back, in proportion to 1/E."""
    radius = (r + 0.5) * d
    lost = [
        1.0 - round_bar_bending(
            diameter_mm=d, mean_radius_mm=radius, **{**metal, "E_MPa": E}
        ).residual_curvature_per_mm * radius
        for E in (1e7, 1e9)
    ]  # fmt: skip
    assert lost[1] < 1e-3
    assert lost[1] == pytest.approx(lost[0] / 100.0, rel=0.02)


@few
@given(d=diameter, k=st.floats(0.1, 60.0), Y=st.floats(200.0, 1500.0))
def test_ideal_plastic_bar_follows_the_closed_ratio(d: float, k: float, Y: float) -> None:
    """With n = 0 the section integral is the closed moment ratio, and so is what is left."""
    first = 2.0 * Y / (206000.0 * d)
    bar = round_bar_bending(
        diameter_mm=d, mean_radius_mm=1.0 / (k * first), K_MPa=Y, E_MPa=206000.0
    )
    yield_moment = np.pi * d**3 * Y / 32000.0
    assert bar.curvature_ratio == pytest.approx(k)
    assert bar.moment_Nm / yield_moment == pytest.approx(
        round_bar_moment_ratio(curvature_ratio=k), rel=1e-9
    )
    left = residual_curvature_ratio(curvature_ratio=k)
    assert bar.residual_curvature_per_mm / first == pytest.approx(left, abs=1e-8)


@few
@given(d=diameter, n=st.floats(0.05, 0.5), K=st.floats(300.0, 1500.0))
def test_a_stiff_bar_has_the_power_law_moment(d: float, n: float, K: float) -> None:
    """With a very high modulus the elastic core vanishes and the beta function is met."""
    bar = round_bar_bending(diameter_mm=d, mean_radius_mm=5.0 * d, K_MPa=K, n=n, E_MPa=1e9)
    closed = round_bar_power_law_moment(diameter_mm=d, curvature_per_mm=0.2 / d, K_MPa=K, n=n)
    assert bar.moment_Nm == pytest.approx(closed.moment_Nm, rel=1e-5)


def test_an_elastic_bar_springs_straight() -> None:
    """Below first yield nothing is left of the bend."""
    bar = round_bar_bending(diameter_mm=5.0, mean_radius_mm=5000.0, K_MPa=600.0, E_MPa=206000.0)
    assert bar.residual_curvature_per_mm == 0.0
    assert bar.residual_angle_deg == 0.0
    assert np.isinf(bar.residual_mean_radius_mm)


@few
@given(d=diameter, r=slimness, metal=curve)
def test_harder_wire_needs_a_smaller_finger(d: float, r: float, metal: dict) -> None:
    """More strength, more springback, less finger."""
    harder = {**metal, "K_MPa": 1.1 * metal["K_MPa"]}
    soft = finger_radius(diameter_mm=d, inner_radius_mm=r * d, **metal)
    hard = finger_radius(diameter_mm=d, inner_radius_mm=r * d, **harder)
    assert hard.finger_radius_mm < soft.finger_radius_mm
    assert hard.bend_angle_deg > soft.bend_angle_deg


def test_a_radius_lost_to_springback_is_refused() -> None:
    """Where no finger is small enough, the wanted radius is named."""
    with pytest.raises(ArgumentError, match="inner_radius_mm"):
        finger_radius(diameter_mm=10.0, inner_radius_mm=0.01, K_MPa=2000.0, E_MPa=206000.0)


def test_a_curve_above_the_elastic_line_is_refused() -> None:
    """A flow curve as steep as the modulus is no metal."""
    with pytest.raises(ArgumentError, match="K_MPa"):
        round_bar_bending(diameter_mm=10.0, mean_radius_mm=20.0, K_MPa=2000.0, E_MPa=5000.0)
