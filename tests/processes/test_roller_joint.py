"""Pressed joints of a roller chain: stacks of tolerances, forces, bores."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.mechanics.interference import press_fit_holding
from linkwright.mechanics.plastic_fit import press_fit_yielding
from linkwright.processes.models.inspection import percent_inside
from linkwright.processes.models.roller_joint import (
    joint_interference,
    pin_bending_force,
    pin_shear_force,
    pressed_bore,
    run_in_stretch,
)

PIN = {"diameter_mm": 8.28, "friction": 0.12}
PLATE_MM = 3.2


def test_the_scatter_of_the_stack_is_that_of_drawn_parts():
    """Counted on parts drawn at random, seeded."""
    draw = np.random.default_rng(5)
    member = 8.28 + 0.009 / 6 * draw.standard_normal(400_000)
    hole = 8.24 + 0.015 / 6 * draw.standard_normal(400_000)
    got = joint_interference(
        member_diameter_mm=8.28, hole_diameter_mm=8.24, member_tolerance_um=9.0,
        hole_tolerance_um=15.0,
    )  # fmt: skip
    between = 1000 * (member - hole)
    assert got.interference_um == pytest.approx(between.mean(), abs=0.02)
    assert got.interference_deviation_um == pytest.approx(between.std(), rel=0.005)
    share = percent_inside(
        mean=got.interference_um, deviation=got.interference_deviation_um, least=36.0,
        greatest=43.0,
    )  # fmt: skip
    assert share == pytest.approx(100 * np.mean((between > 36) & (between < 43)), abs=0.2)


def test_the_ends_of_the_stack_are_the_ends_of_the_zones():
    got = joint_interference(
        member_diameter_mm=8.28, hole_diameter_mm=8.24, member_tolerance_um=10.0,
        hole_tolerance_um=14.0,
    )  # fmt: skip
    assert (got.least_interference_um, got.greatest_interference_um) == pytest.approx((28.0, 52.0))


def test_pins_of_a_16b_need_some_kilonewtons_an_end():
    """2 to 6 kN for 20 to 60 um, and 60 um yields the plate: rough reckoning, no source."""
    fit = press_fit_yielding(
        hub_outside_mm=21.08, fit_diameter_mm=8.28, inner_bore_mm=0.0,
        diametral_interference_mm=[0.02, 0.06], hub_yield_strength_MPa=900.0,
    )  # fmt: skip
    low, high = press_fit_holding(pressure_MPa=fit.pressure_MPa, length_mm=PLATE_MM, **PIN).force_kN
    assert 1.9 < low < high < 6.5
    assert fit.plastic_depth_percent[0] == 0.0 < fit.plastic_depth_percent[1]


@given(pressure=st.floats(1.0, 900.0), plates=st.integers(1, 4))
def test_torque_is_the_force_at_the_radius(pressure, plates):
    force = press_fit_holding(pressure_MPa=pressure, length_mm=PLATE_MM, **PIN).force_kN
    held = press_fit_holding(pressure_MPa=pressure, length_mm=plates * PLATE_MM, **PIN)
    assert held.torque_Nm == pytest.approx(plates * force * 8.28 / 2, rel=1e-12)


def test_the_force_grows_with_the_way():
    way = np.linspace(0.2, 1, 5)
    force = press_fit_holding(pressure_MPa=400.0, length_mm=way * PLATE_MM, **PIN).force_kN
    np.testing.assert_allclose(force, way * force[-1])


def test_a_ball_opens_what_pressing_narrowed():
    pressed = {"bushing_bore_mm": 8.36, "bore_shrinkage_mm": 0.04, "pin_diameter_mm": 8.27}
    narrow = pressed_bore(**pressed)
    sized = pressed_bore(**pressed, sizing_ball_mm=8.352, sizing_springback_um=4.0)
    assert narrow.running_clearance_mm == pytest.approx(0.05)
    assert sized.running_clearance_mm == pytest.approx(0.078)
    assert sized.high_spot_mm < narrow.high_spot_mm
    stretch = [run_in_stretch(high_spot_mm=b.high_spot_mm, pitch_mm=25.4) for b in (narrow, sized)]
    assert stretch == pytest.approx([100 * 0.02 / 25.4, 100 * 0.006 / 25.4])


def test_a_ball_greater_than_the_free_bore_leaves_no_step():
    sized = pressed_bore(
        bushing_bore_mm=8.36, bore_shrinkage_mm=0.04, pin_diameter_mm=8.27, sizing_ball_mm=8.37
    )
    assert sized.bore_mm == pytest.approx(8.37)
    assert sized.high_spot_mm == 0.0


@given(strands=st.integers(1, 6))
def test_strands_share_evenly(strands):
    one = {"pin_diameter_mm": 8.28, "pin_tensile_strength_MPa": 1000.0}
    bent = {
        "pin_diameter_mm": 8.28, "pin_yield_strength_MPa": 900.0,
        "outer_plate_thickness_mm": 3.2, "inner_plate_thickness_mm": 4.0,
    }  # fmt: skip
    assert pin_shear_force(strands=strands, **one) == pytest.approx(
        strands * pin_shear_force(**one)
    )
    assert pin_bending_force(strands=strands, **bent) == pytest.approx(
        strands * pin_bending_force(**bent)
    )
