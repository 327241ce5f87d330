"""Hot grease in the joints: capillary filling and what is carried out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from linkwright.processes.models.grease import (
    dip_pickup,
    joint_filled_depth,
    joint_filling_time,
    joint_grease,
)

BATH = {"grease_viscosity_mPa_s": 15.0, "surface_tension_N_per_m": 0.028}


@given(play=st.floats(0.01, 0.3), depth=st.floats(1.0, 60.0))
def test_time_and_depth_are_each_others_inverse(play, depth):
    time = joint_filling_time(joint_clearance_mm=play, joint_depth_mm=depth, **BATH)
    again = joint_filled_depth(joint_clearance_mm=play, dip_time_s=time, **BATH)
    assert again == pytest.approx(depth, rel=1e-9)


def test_the_front_moves_as_the_integrated_flow():
    """dL/dt = h^2/(12 mu) (2 s cos a/h)/L between plane walls."""
    gap, tension, viscosity = 3e-5, 0.028 * np.cos(np.radians(30.0)), 15e-3
    speed = gap**2 / (12 * viscosity) * 2 * tension / gap
    flow = solve_ivp(lambda _, y: speed / y, (0, 4.0), [1e-5], rtol=1e-9, atol=1e-12)
    got = joint_filled_depth(joint_clearance_mm=0.06, dip_time_s=4.0, **BATH)
    assert got == pytest.approx(1000 * flow.y[0, -1], rel=1e-4)


def test_a_full_joint_holds_its_ring():
    got = joint_grease(
        pin_diameter_mm=8.28, joint_clearance_mm=0.06, filled_depth_mm=50.0,
        bushing_length_mm=25.4, grease_density_kg_per_m3=900.0,
    )  # fmt: skip
    ring = np.pi / 4 * (8.34**2 - 8.28**2) * 25.4  # mm3
    assert got == pytest.approx(ring * 900e-9 * 1000, rel=0.005)


def test_pickup_counts_film_and_joints():
    got = dip_pickup(
        film_mass_g_per_m2=40.0, surface_area_m2_per_m=0.16, joint_grease_g=0.0178, pitch_mm=25.4,
        strands=2.0,
    )  # fmt: skip
    assert got == pytest.approx(6.4 + 2 * 0.0178 / 0.0254)
