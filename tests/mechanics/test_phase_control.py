"""Phase control of an inductive load against the circuit's own equation and a closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.phase_control import firing_angle
from linkwright.quantities import ArgumentError


@pytest.mark.parametrize("alpha_deg", [30.0, 60.0, 90.0, 120.0])
def test_resistive_load_follows_the_closed_form(alpha_deg: float) -> None:
    """R alone: share sqrt(1 - a/pi + sin 2a/(2 pi)), textbook formula of the controller."""
    alpha = np.radians(alpha_deg)
    share = np.sqrt(1.0 - alpha / np.pi + np.sin(2.0 * alpha) / (2.0 * np.pi))
    found = firing_angle(current_ratio=share, power_factor=1.0)
    assert found.firing_angle_deg == pytest.approx(alpha_deg, abs=0.05)
    assert found.conduction_angle_deg == pytest.approx(180.0 - alpha_deg, abs=0.05)


@pytest.mark.parametrize("factor", [0.3, 0.6, 0.9])
def test_angle_found_drives_the_wanted_current(factor: float) -> None:
    """The circuit equation, marched from the firing on, gives the share that was asked for."""
    from scipy.integrate import solve_ivp

    share = 0.7
    found = firing_angle(current_ratio=share, power_factor=factor)
    start, lag = np.radians(found.firing_angle_deg), np.arccos(factor)
    # in units of Z and of the full amplitude: tan f di/dx + i = sin x / cos f
    run = solve_ivp(
        lambda x, i: (np.sin(x) / np.cos(lag) - i) / np.tan(lag),
        (start, start + np.pi), [0.0], rtol=1e-9, atol=1e-11, dense_output=True,
    )  # fmt: skip
    x = np.linspace(start, start + np.pi, 20001)
    current = np.maximum(run.sol(x)[0], 0.0)
    assert np.sqrt(2.0 / np.pi * np.trapezoid(current**2, x)) == pytest.approx(share, abs=1e-3)


@settings(max_examples=20, derandomize=True, deadline=None)
@given(factor=st.floats(0.1, 1.0), share=st.floats(0.05, 0.95))
def test_less_current_fires_later(factor: float, share: float) -> None:
    """A smaller share has a later firing and a shorter conduction; arrays equal single calls."""
    both = firing_angle(current_ratio=np.array([share, share + 0.04]), power_factor=factor)
    assert both.firing_angle_deg[0] > both.firing_angle_deg[1]
    assert both.conduction_angle_deg[0] < both.conduction_angle_deg[1]
    alone = firing_angle(current_ratio=share, power_factor=factor)
    assert both.firing_angle_deg[0] == pytest.approx(alone.firing_angle_deg, rel=1e-9)


def test_more_than_the_full_current_is_refused() -> None:
    """No angle gives more than the tap."""
    with pytest.raises(ArgumentError, match="current_ratio"):
        firing_angle(current_ratio=1.2, power_factor=0.5)
