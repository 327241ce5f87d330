"""Sprockets: the tooth form of ISO 606 as geometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import ValidityWarning
from linkwright.mechanics.sprocket import (
    iso606_shroud_diameter,
    iso606_sprocket_diameters,
    iso606_tooth_gap,
    iso606_tooth_width,
    short_tip_diameter,
    unit_pitch_diameter,
)
from linkwright.quantities import ArgumentError
from linkwright.standards.roller_chain import iso606_chain

few = settings(derandomize=True, max_examples=40, deadline=None)
teeth = st.integers(9, 150)


@few
@given(count=teeth)
def test_joints_on_the_pitch_circle_are_a_pitch_apart(count: int) -> None:
    """The chord of two neighbouring rollers is the pitch."""
    radius = unit_pitch_diameter(teeth=count) / 2
    angle = 2 * np.pi / count
    chord = np.hypot(radius * (np.cos(angle) - 1), radius * np.sin(angle))
    assert chord == pytest.approx(1.0, rel=1e-9)


@few
@given(count=teeth)
def test_pins_are_measured_where_they_lie(count: int) -> None:
    """Over pins is the greatest distance of two gap centres plus the pin."""
    found = iso606_sprocket_diameters(pitch_mm=12.7, roller_diameter_mm=8.51, teeth=count)
    angles = 2 * np.pi * np.arange(count) / count
    gaps = found.pitch_diameter_mm / 2 * np.exp(1j * angles)
    assert found.over_pins_mm == pytest.approx(np.abs(gaps - gaps[0]).max() + 8.51, rel=1e-9)


@pytest.mark.parametrize("number", ["08A", "08B", "16A", "16B", "32B", "48A"])
@pytest.mark.parametrize("count", [11, 17, 20, 38, 76, 114])
def test_diameters_of_held_chains_are_in_order(number: str, count: int) -> None:
    """Root < shroud clearance < pitch < least tip < greatest tip; the short tip lies between."""
    chain = iso606_chain(chain_number=number)
    found = iso606_sprocket_diameters(
        pitch_mm=chain.pitch_mm, roller_diameter_mm=chain.greatest_roller_diameter_mm, teeth=count
    )
    shroud = iso606_shroud_diameter(
        pitch_mm=chain.pitch_mm, teeth=count, plate_height_mm=chain.greatest_plate_height_mm
    )
    assert found.root_diameter_mm < found.pitch_diameter_mm < found.least_tip_diameter_mm
    assert found.least_tip_diameter_mm < found.greatest_tip_diameter_mm
    assert shroud < found.pitch_diameter_mm - chain.greatest_plate_height_mm
    short = short_tip_diameter(pitch_mm=chain.pitch_mm, teeth=count)
    assert 0.97 * found.least_tip_diameter_mm < short < 1.01 * found.greatest_tip_diameter_mm


@few
@given(count=teeth, roller=st.floats(5.0, 72.0))
def test_the_greatest_gap_is_wider_than_the_least(count: int, roller: float) -> None:
    """Seat and flank radius grow, the seating angle shrinks; the roller fits into either seat."""
    gap = iso606_tooth_gap(roller_diameter_mm=roller, teeth=count)
    assert roller / 2 < gap.least_roller_seating_radius_mm < gap.greatest_roller_seating_radius_mm
    assert gap.greatest_seating_angle_deg - gap.least_seating_angle_deg == pytest.approx(20.0)
    assert gap.flank_radius_for_least_gap_mm < gap.flank_radius_for_greatest_gap_mm


def test_the_tooth_goes_between_the_plates() -> None:
    """Teeth are narrower than the inner width, those for several strands narrower still."""
    width = np.array([7.75, 17.02])
    single, several = iso606_tooth_width(inner_width_mm=width, pitch_mm=np.array([12.7, 25.4]))
    np.testing.assert_allclose(single / width, [0.93, 0.95])
    np.testing.assert_allclose(several / width, [0.91, 0.93])


def test_teeth_outside_the_standard_warn_and_absurd_ones_are_refused() -> None:
    """ISO 606 has 9 to 150 teeth; less than 5 are no sprocket."""
    with pytest.warns(ValidityWarning, match="teeth"):
        iso606_sprocket_diameters(pitch_mm=12.7, roller_diameter_mm=8.51, teeth=7)
    with pytest.raises(ArgumentError, match="teeth"):
        unit_pitch_diameter(teeth=2)
