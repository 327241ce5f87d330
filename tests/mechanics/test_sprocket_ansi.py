"""Sprockets of ASME B29.1: the tooth form as geometry, the caliper beside the pins."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.sprocket import iso606_sprocket_diameters
from linkwright.mechanics.sprocket_ansi import (
    ansi_sprocket_diameters,
    ansi_tooth_form,
    ansi_tooth_thickness,
)

few = settings(derandomize=True, max_examples=40, deadline=None)
teeth = st.integers(9, 150)


@few
@given(count=teeth, pitch=st.sampled_from([0.25, 0.5, 1.0, 2.0]))
def test_curves_of_the_american_tooth_meet_smoothly(count: int, pitch: float) -> None:
    """Seating, working and topping curve touch: their centres and radii close on each other.

    From the pitch point a, the working centre c lies 0.8 Dr off at angle A, the topping centre b
    lies 1.4 Dr off on the other side; straight yz is the tangent common to both curves.
    """
    roller = 0.625 * pitch
    tooth = ansi_tooth_form(roller_diameter_in=roller, teeth=count)
    offset = np.hypot(tooth.seat_offset_m_in, tooth.seat_offset_t_in)
    assert offset == pytest.approx(0.8 * roller)
    assert tooth.working_radius_e_in == pytest.approx(offset + tooth.seating_radius_in, rel=1e-9)
    across = np.hypot(tooth.topping_offset_v_in, tooth.topping_offset_w_in)
    assert across == pytest.approx(1.4 * roller)
    # centres c and b, a line of length yz tangent to both: a right-angled trapezium
    inner, outer = np.radians(18 - 56 / count), np.radians(17 - 64 / count)
    along = 1.4 * roller * np.sin(outer) - 0.8 * roller * np.sin(inner)
    radii = 0.8 * roller * np.cos(inner) + 1.4 * roller * np.cos(outer)
    assert tooth.straight_length_yz_in == pytest.approx(along, abs=1e-12)
    assert tooth.working_radius_e_in + tooth.topping_radius_f_in == pytest.approx(radii, rel=1e-9)


@few
@given(count=teeth)
def test_caliper_and_pins_measure_the_same_gaps(count: int) -> None:
    """Caliper of ASME B29.1 is over pins of ISO 606 less two pins, in any unit."""
    inch = ansi_sprocket_diameters(pitch_in=0.5, roller_diameter_in=0.312, teeth=count)
    metric = iso606_sprocket_diameters(pitch_mm=12.7, roller_diameter_mm=25.4 * 0.312, teeth=count)
    assert 25.4 * (inch.caliper_diameter_in + 2 * 0.312) == pytest.approx(metric.over_pins_mm)
    assert 25.4 * inch.bottom_diameter_in == pytest.approx(metric.root_diameter_mm)


def test_teeth_for_more_strands_are_thinner() -> None:
    """Each further class of strands leaves more play, and all teeth go between the plates."""
    thickness = ansi_tooth_thickness(inner_width_in=0.625)
    assert np.all(np.diff(thickness) < 0)
    assert thickness.tooth_thickness_single_in < 0.625 - 0.006
