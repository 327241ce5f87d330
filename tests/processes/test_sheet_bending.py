"""Bending of sheet and curled bushes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.sheet_bending import (
    bend_allowance,
    curled_bush_strip,
    din6935_factor,
    din6935_length,
    sheet_bend,
    sheet_springback,
    v_bending_force,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None)
thickness = st.floats(0.3, 10.0)


@few
@given(t=thickness, r=st.floats(0.0, 10.0), angle=st.floats(1.0, 180.0))
def test_allowance_lies_between_inner_and_middle_fibre(t: float, r: float, angle: float) -> None:
    """The neutral fibre of a bend is inside the middle, outside the inner surface."""
    length = bend_allowance(thickness_mm=t, inner_radius_mm=r * t, bend_angle_deg=angle)
    turn = np.radians(angle)
    assert turn * r * t < length <= turn * (r + 0.5) * t * (1.0 + 1e-12)


def test_allowance_factor_follows_the_sharpness() -> None:
    """0.33 below R/t = 2 and 0.5 from there on, unless given."""
    sharp, soft = bend_allowance(
        thickness_mm=1.0, inner_radius_mm=[1.9, 2.0], bend_angle_deg=180.0 / np.pi
    )
    assert (sharp, soft) == pytest.approx((1.9 + 0.33, 2.5))
    own = bend_allowance(
        thickness_mm=1.0, inner_radius_mm=1.0, bend_angle_deg=180.0 / np.pi, K_ba=0.4
    )
    assert own == pytest.approx(1.4)


def test_bend_of_several_sheets_adds_their_own_legs() -> None:
    """The legs are the last axis."""
    case = {
        "inner_radius_mm": 4.0, "bend_angle_deg": 90.0, "width_mm": 30.0,
        "tensile_strength_MPa": 400.0, "die_opening_mm": 20.0,
    }  # fmt: skip
    bend = sheet_bend(thickness_mm=[1.0, 2.0], leg_lengths_mm=[[10.0, 20.0], [30.0, 40.0]], **case)
    assert bend.blank_length_mm - bend.bend_allowance_mm == pytest.approx([30.0, 70.0])
    force = v_bending_force(
        thickness_mm=2.0, width_mm=30.0, tensile_strength_MPa=400.0, die_opening_mm=20.0
    )
    assert bend.bending_force_N[1] == pytest.approx(force)


@few
@given(ratio=st.floats(0.01, 20.0))
def test_din_factor_rises_to_one(ratio: float) -> None:
    """Never below 0 or above 1, never falling."""
    k = din6935_factor(inner_radius_over_thickness=[ratio, 1.1 * ratio])
    assert 0.0 <= k[0] <= k[1] <= 1.0


@few
@given(r=st.floats(0.5, 20.0), s=thickness)
def test_curled_bush_is_a_full_turn(r: float, s: float) -> None:
    """The strip is the developed length at 360 degrees, below the middle fibre."""
    bush = curled_bush_strip(inner_radius_mm=r, thickness_mm=s)
    turn = din6935_length(inner_radius_mm=r, thickness_mm=s, bend_angle_deg=360.0)
    assert bush.strip_length_mm == pytest.approx(turn)
    assert 2.0 * np.pi * r <= bush.strip_length_mm <= 2.0 * np.pi * (r + s / 2.0) * (1.0 + 1e-9)


@few
@given(t=thickness, r=st.floats(0.5, 20.0), Y=st.floats(100.0, 1000.0))
def test_sheet_springback_opens_the_bend_and_vanishes_when_rigid(
    t: float, r: float, Y: float
) -> None:
    """The radius grows, the tool bends further, and a stiff metal keeps its bend."""
    bend = sheet_springback(thickness_mm=t, inner_radius_mm=r * t, yield_MPa=Y, E_MPa=206000.0)
    assert bend.final_radius_mm > r * t
    assert bend.tool_bend_angle_deg > 90.0
    rigid = sheet_springback(thickness_mm=t, inner_radius_mm=r * t, yield_MPa=Y, E_MPa=1e12)
    assert rigid.final_radius_mm == pytest.approx(r * t, rel=1e-6)
    # the length of the neutral fibre stays: angle times (R + T/2)
    before = bend.tool_bend_angle_deg * (r + 0.5) * t
    assert before == pytest.approx(90.0 * (bend.final_radius_mm + t / 2.0))


def test_sheet_that_stays_elastic_is_refused() -> None:
    """A radius so large that nothing yields has no final radius."""
    with pytest.raises(ArgumentError, match="inner_radius_mm"):
        sheet_springback(thickness_mm=1.0, inner_radius_mm=300.0, yield_MPa=400.0, E_MPa=206000.0)
