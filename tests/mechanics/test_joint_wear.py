"""Wear of the joints: there and back, and what makes it slower."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.joint_wear import joint_wear_life, joint_wear_rate, wear_rate_in_place

few = settings(derandomize=True, max_examples=40, deadline=None)
DRIVE = {
    "chain_pull_N": 3474.0, "bearing_area_mm2": 210.0, "pin_diameter_mm": 8.28, "pitch_mm": 25.4,
    "teeth_small": 17, "teeth_large": 51, "chain_length_pitches": 100, "speed_rpm": 300.0,
}  # fmt: skip


@few
@given(rate=st.floats(1e-9, 1e-4), limit=st.floats(0.5, 3.0))
def test_wear_rate_and_life_are_inverses(rate: float, limit: float) -> None:
    """A chain that ran for its life gives its wear rate back."""
    life = joint_wear_life(
        **DRIVE, wear_rate_mm3_per_Nm=rate, allowed_elongation_percent=limit
    ).life_h
    back = joint_wear_rate(**DRIVE, elongation_percent=limit, running_time_h=life)
    assert back == pytest.approx(rate, rel=1e-9)


def test_wear_is_slower_with_teeth_length_and_less_pull() -> None:
    """Twice the pitches, half the pull and more teeth each lengthen the life as they should."""
    base = joint_wear_life(**DRIVE, wear_rate_mm3_per_Nm=5e-7)
    longer = joint_wear_life(**DRIVE | {"chain_length_pitches": 200}, wear_rate_mm3_per_Nm=5e-7)
    lighter = joint_wear_life(**DRIVE | {"chain_pull_N": 1737.0}, wear_rate_mm3_per_Nm=5e-7)
    rounder = joint_wear_life(**DRIVE | {"teeth_large": 102}, wear_rate_mm3_per_Nm=5e-7)
    assert longer.life_h == pytest.approx(2 * base.life_h)
    assert lighter.life_h == pytest.approx(2 * base.life_h)
    assert rounder.sliding_per_turn_mm < base.sliding_per_turn_mm
    assert base.elongation_rate_percent_per_1000_h * base.life_h / 1000 == pytest.approx(3.0)


def test_a_place_that_wears_faster_shortens_the_life_by_its_factor() -> None:
    """Archard's law is linear in the rate: the factor of a place divides the life."""
    clean = joint_wear_life(**DRIVE, wear_rate_mm3_per_Nm=5e-7).life_h
    dusty = wear_rate_in_place(clean_wear_rate_mm3_per_Nm=5e-7, wear_factor=3.0)
    assert joint_wear_life(**DRIVE, wear_rate_mm3_per_Nm=dusty).life_h == pytest.approx(clean / 3.0)
