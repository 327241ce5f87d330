"""Blanking, punching and cropping."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.shearing import (
    CLEARANCE_ALLOWANCES,
    blank_tool_sizes,
    blanking_energy,
    crank_press_force,
    punch_buckling_length,
    punch_compressive_stress,
    punching_force,
    round_wire_shear_force,
    shearing_clearance,
    strip_utilisation,
    stripping_force_donaldson,
)
from linkwright.quantities import ArgumentError, UnknownName

few = settings(derandomize=True, max_examples=25, deadline=None)
size = st.floats(1.0, 50.0)


@few
@given(d=size, t=st.floats(0.2, 10.0), tau=st.floats(100.0, 900.0))
def test_punch_of_the_buckling_length_carries_the_cutting_force(
    d: float, t: float, tau: float
) -> None:
    """Euler's load at the greatest length is the force to cut, and stress times section."""
    length = punch_buckling_length(
        punch_diameter_mm=d, thickness_mm=t, E_MPa=210000.0, shear_strength_MPa=tau
    )
    euler = np.pi**2 * 210000.0 * np.pi * d**4 / 64.0 / length**2
    cut = np.pi * d * t * tau
    assert euler == pytest.approx(cut)
    stress = punch_compressive_stress(shear_strength_MPa=tau, thickness_mm=t, punch_diameter_mm=d)
    assert stress * np.pi * d**2 / 4.0 == pytest.approx(cut)


@few
@given(d=size, t=st.floats(0.2, 10.0), Rm=st.floats(200.0, 1500.0))
def test_round_hole_is_a_cut_of_its_circumference(d: float, t: float, Rm: float) -> None:
    """Hole diameter and length of cut give the same force."""
    by_hole = punching_force(thickness_mm=t, tensile_strength_MPa=Rm, hole_diameter_mm=d)
    by_length = punching_force(thickness_mm=t, tensile_strength_MPa=Rm, cut_length_mm=np.pi * d)
    assert by_hole == pytest.approx(by_length)
    with pytest.raises(ArgumentError, match="cut_length_mm"):
        punching_force(thickness_mm=t, tensile_strength_MPa=Rm)


def test_shearing_a_wire_takes_its_section() -> None:
    """Twice the diameter takes four times the force; a shear ratio of 1 gives Rm A."""
    one = round_wire_shear_force(diameter_mm=5.0, tensile_strength_MPa=700.0)
    assert round_wire_shear_force(diameter_mm=10.0, tensile_strength_MPa=700.0) == pytest.approx(
        4.0 * one
    )
    whole = round_wire_shear_force(
        diameter_mm=5.0, tensile_strength_MPa=700.0, shear_over_tensile=1.0
    )
    assert whole == pytest.approx(0.7 * np.pi * 25.0 / 4.0)


def test_stripping_constant_is_3500_psi() -> None:
    """A cut of 1 in in 1 in takes 3500 lbf."""
    force = stripping_force_donaldson(cut_length_mm=25.4, thickness_mm=25.4)
    assert force == pytest.approx(3500.0 * 4.4482216152605)


@few
@given(d=size, c=st.floats(0.01, 0.4))
def test_tools_differ_by_the_clearance_on_both_sides(d: float, c: float) -> None:
    """Blank and hole of one size: the die makes the blank, the punch makes the hole."""
    sizes = blank_tool_sizes(hole_diameter_mm=d, clearance_mm=c)
    assert sizes.blank_die_mm == d == sizes.hole_punch_mm
    assert sizes.blank_die_mm - sizes.blank_punch_mm == pytest.approx(2.0 * c)
    assert sizes.hole_die_mm - sizes.hole_punch_mm == pytest.approx(2.0 * c)


def test_tools_that_cannot_be_are_refused() -> None:
    """No diameter, or a clearance larger than the blank."""
    with pytest.raises(ArgumentError, match="blank_diameter_mm"):
        blank_tool_sizes(clearance_mm=0.1)
    with pytest.raises(ArgumentError, match="clearance_mm"):
        blank_tool_sizes(blank_diameter_mm=1.0, clearance_mm=0.5)


def test_clearance_grows_with_hardness_and_is_looked_up() -> None:
    """Harder metal groups take more clearance; unknown groups are refused."""
    soft, hard = (
        shearing_clearance(thickness_mm=2.0, metal_group=group)
        for group in ("soft cold-rolled steel", "half-hard cold-rolled steel")
    )
    assert hard > soft
    for group, allowance in CLEARANCE_ALLOWANCES.items():
        assert shearing_clearance(thickness_mm=1.0, metal_group=group) == allowance
    with pytest.raises(UnknownName):
        shearing_clearance(thickness_mm=1.0, metal_group="steel")
    with pytest.raises(ArgumentError, match="clearance_allowance"):
        shearing_clearance(thickness_mm=1.0)


@few
@given(angle=st.floats(0.0, 180.0), rated=st.floats(5.0, 60.0))
def test_press_never_gives_more_than_nominal_nor_more_torque(angle: float, rated: float) -> None:
    """Force is at most nominal, force times lever at most the rated torque."""
    force = crank_press_force(nominal_force_kN=500.0, crank_angle_deg=angle, rated_angle_deg=rated)
    assert force <= 500.0 * (1.0 + 1e-12)
    torque = force * np.sin(np.radians(angle))
    assert torque <= 500.0 * np.sin(np.radians(rated)) * (1.0 + 1e-12)


def test_energy_is_force_over_the_penetration() -> None:
    """Kilonewtons times millimetres are joules."""
    assert blanking_energy(
        force_kN=50.0, thickness_mm=2.0, penetration_fraction=0.5
    ) == pytest.approx(50.0)


@few
@given(d=size, bridge=st.floats(0.0, 5.0), edge=st.floats(0.0, 5.0))
def test_strip_use_is_at_most_a_quarter_pi(d: float, bridge: float, edge: float) -> None:
    """Round blanks in one row use at most pi/4 of the strip, less with bridges."""
    use = strip_utilisation(blank_diameter_mm=d, bridge_mm=bridge, edge_mm=edge)
    assert 0.0 < use.utilisation <= np.pi / 4.0 * (1.0 + 1e-12)
    assert use.utilisation * use.pitch_mm * use.strip_width_mm == pytest.approx(np.pi * d**2 / 4.0)
