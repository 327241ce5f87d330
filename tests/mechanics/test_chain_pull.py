"""Forces of a chain drive: balances."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.chain_pull import (
    chain_safety,
    chain_sag_pull,
    chain_shaft_load,
    chain_speed_and_pull,
    joint_bearing_pressure,
)

few = settings(derandomize=True, max_examples=40, deadline=None)


@few
@given(power=st.floats(0.1, 400.0), count=st.integers(9, 60), speed=st.floats(10.0, 2000.0))
def test_pull_times_speed_is_the_power(power: float, count: int, speed: float) -> None:
    """No power is lost between sprocket and chain; safety uses the same pull."""
    found = chain_speed_and_pull(
        pitch_mm=19.05, teeth_small=count, speed_rpm=speed, power_kW=power,
        mass_per_length_kg_per_m=1.25,
    )  # fmt: skip
    assert found.chain_pull_N * found.chain_speed_m_per_s == pytest.approx(1e3 * power)
    assert found.centrifugal_pull_N == pytest.approx(1.25 * found.chain_speed_m_per_s**2)
    safety = chain_safety(
        power_kW=power, chain_speed_m_per_s=found.chain_speed_m_per_s, breaking_force_kN=28.9
    )
    assert safety.chain_pull_kN == pytest.approx(found.chain_pull_N / 1e3)


def test_a_hanging_strand_balances_its_weight() -> None:
    """Level: horizontal pull times sag is the moment of half the strand; upright: its weight."""
    mass, span, sag = 2.7, 800.0, 0.03
    weight = mass * 9.80665 * span / 1e3
    level = chain_sag_pull(
        mass_per_length_kg_per_m=mass, centre_distance_mm=span, sag_over_span=sag
    )
    assert level * sag * span == pytest.approx(weight / 2 * span / 4)
    upright = chain_sag_pull(
        mass_per_length_kg_per_m=mass, centre_distance_mm=span, inclination_deg=90.0
    )
    assert upright == pytest.approx(weight)


@few
@given(pull=st.floats(0.0, 1e5), sag=st.floats(0.0, 1e3), extra=st.integers(0, 60))
def test_the_shaft_carries_the_vector_sum_of_both_strands(
    pull: float, sag: float, extra: int
) -> None:
    """Sum of two vectors at the strands' angle; never more than the sum of pulls."""
    load = chain_shaft_load(
        chain_pull_N=pull, sag_pull_N=sag, teeth_small=19, teeth_large=19 + extra,
        centre_distance_pitches=40.0, application_factor=1.4,
    )  # fmt: skip
    radii = (1 / np.sin(np.pi / (19 + extra)) - 1 / np.sin(np.pi / 19)) / 2
    angle = np.arcsin(radii / 40.0)
    tight = 1.4 * pull + sag
    vector = tight * np.exp(1j * angle) + sag * np.exp(-1j * angle)
    assert load == pytest.approx(abs(vector), rel=1e-9, abs=1e-9)
    assert load <= tight + sag + 1e-6


def test_pressure_is_force_on_area() -> None:
    """Arrays broadcast."""
    pressure = joint_bearing_pressure(chain_pull_N=np.array([0.0, 2100.0]), bearing_area_mm2=210.0)
    np.testing.assert_allclose(pressure, [0.0, 10.0])
