"""Assembly and endurance of roller chain: volumes kept, weakest parts, staircases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.processes.models.assembled_chain import (
    chain_breaking_force,
    cranked_links,
    diametral_interference,
    joint_friction_torque,
    rivet_heading,
    strand_mass_per_length,
    yield_share,
)
from linkwright.processes.models.oil import temperature_for_viscosity, viscosity_at_temperature
from linkwright.processes.models.plate_fatigue import chain_dynamic_strength, staircase_strength
from linkwright.processes.models.roller_strand import bedded_length_error, bedded_pitch
from linkwright.quantities import ArgumentError


@given(st.floats(2.0, 45.0), st.floats(0.5, 6.0), st.floats(0.4, 0.95))
def test_a_head_keeps_the_volume_of_its_end(diameter, projection, share):
    head = rivet_heading(
        pin_diameter_mm=diameter, projection_mm=projection, head_share=share,
        yield_strength_MPa=900.0,
    )  # fmt: skip
    assert head.head_diameter_mm**2 * share * projection == pytest.approx(diameter**2 * projection)
    assert head.head_force_kN > np.pi / 4.0 * head.head_diameter_mm**2 * 0.9 * (1 - 1e-9)


@given(st.floats(1.0, 500.0), st.floats(1.0, 500.0), st.floats(1.0, 2000.0))
def test_a_chain_breaks_at_its_weakest_part(inner, outer, pin):
    found = chain_breaking_force(
        inner_plate_force_kN=inner, outer_plate_force_kN=outer, pin_force_kN=pin, strands=2.0
    )
    assert found.breaking_force_kN == pytest.approx(min(4.0 * inner, 4.0 * outer, pin))


def test_loose_members_have_no_interference():
    assert diametral_interference(member_diameter_mm=8.2, hole_diameter_mm=8.3) == 0.0


def test_torque_is_shared_by_strands():
    one, three = (
        joint_friction_torque(chain_pull_kN=30.0, friction=0.15, pin_diameter_mm=8.0, strands=n)
        for n in (1.0, 3.0)
    )
    assert one == pytest.approx(3.0 * three)


def test_stress_of_either_sign_uses_the_yield_stress_alike():
    pressed, pulled = (yield_share(stress_MPa=s, yield_strength_MPa=800.0) for s in (-400.0, 400.0))
    assert pressed == pulled == pytest.approx(50.0)


def test_an_odd_chain_needs_one_cranked_link():
    assert [float(cranked_links(pitches=n)) for n in (100.0, 101.0)] == [0.0, 1.0]


def test_strands_share_their_pins():
    """A second strand adds plates and bushings, not the pin's end."""
    parts = {"pitch_mm": 25.4, "inner_plate_kg": 0.02, "outer_plate_kg": 0.016,
             "bushing_kg": 0.009, "roller_kg": 0.012}  # fmt: skip
    one = strand_mass_per_length(strands=1.0, pin_kg=0.015, **parts)
    two = strand_mass_per_length(strands=2.0, pin_kg=0.030, **parts)
    assert two == pytest.approx(2.0 * one)


@given(st.floats(-0.2, 0.3), st.floats(0.0, 0.2), st.floats(0.3, 3.0))
def test_bedding_backwards_is_bedding_undone(error, bedding, factor):
    before = bedded_length_error(length_error_percent=error, bedding_percent=bedding, factor=factor)
    pitch = bedded_pitch(pitch_mm=1.0 + before / 100.0, bedding_percent=bedding, factor=factor)
    assert 100.0 * (pitch - 1.0) == pytest.approx(error, abs=1e-9)


@given(st.floats(5.0, 60.0))
def test_the_bath_is_as_thin_as_asked(viscosity):
    oil = {"viscosity_40degC_mm2_per_s": 220.0, "viscosity_100degC_mm2_per_s": 19.0}
    degC = temperature_for_viscosity(viscosity_mm2_per_s=viscosity, **oil)
    assert viscosity_at_temperature(temperature_degC=degC, **oil) == pytest.approx(viscosity)


PLATE = {"net_stress_factor": 3.0, "plate_height_mm": 20.9, "hole_diameter_mm": 8.25,
         "plate_thickness_mm": 3.05}  # fmt: skip


def test_strong_smooth_plates_bear_more():
    usual = chain_dynamic_strength(tensile_strength_MPa=1000.0, **PLATE).dynamic_strength_N
    strong = chain_dynamic_strength(tensile_strength_MPa=1300.0, **PLATE).dynamic_strength_N
    rough = chain_dynamic_strength(
        tensile_strength_MPa=1000.0, edge_roughness_um=80.0, **PLATE
    ).dynamic_strength_N
    assert rough < usual < strong
    assert strong / usual < 1.3  # rough edges and mean stress cost strong steel more


def test_a_hole_as_large_as_the_plate_is_refused():
    with pytest.raises(ArgumentError):
        chain_dynamic_strength(tensile_strength_MPa=1000.0, **{**PLATE, "hole_diameter_mm": 21.0})


def _sixty_tests(seed: int) -> float:
    draw, level, levels, broke = np.random.default_rng(seed), 20.0, [], []
    for limit in draw.normal(20.3, 1.0, 60):
        levels.append(level)
        broke.append(float(limit < level))
        level += -1.0 if broke[-1] else 1.0
    return staircase_strength(tested_levels=levels, broke=broke, step=1.0).mean_strength


def test_staircases_of_sixty_tests_are_right_on_average():
    """Scatter of the mean near s/sqrt(N) with N = 30 of the rarer outcome, 0.18 s; no bias."""
    off = np.array([_sixty_tests(seed) for seed in range(100)]) - 20.3
    assert abs(off.mean()) < 0.05
    assert off.std() < 0.2


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_staircase_finds_the_strength_it_was_drawn_from(seed):
    """Two hundred simulated tests, step of one deviation: mean within a fifth of a deviation."""
    draw, step = np.random.default_rng(seed), 1.0
    level, levels, broke = 20.0, [], []
    for limit in draw.normal(20.3, 1.0, 200):
        levels.append(level)
        broke.append(float(limit < level))
        level += -step if broke[-1] else step
    found = staircase_strength(tested_levels=levels, broke=broke, step=step)
    assert found.mean_strength == pytest.approx(20.3, abs=0.2)
    assert found.deviation == pytest.approx(1.0, abs=0.35)


@pytest.mark.parametrize(
    ("levels", "broke", "step"),
    [([1.0, 2.0], [1.0], 1.0), ([1.0, 2.0], [1.0, 1.0], 1.0), ([1.0, 2.5], [0.0, 1.0], 1.0),
     ([1.0, 2.0], [0.0, 1.0], 0.0), ([], [], 1.0)],
)  # fmt: skip
def test_no_staircase_is_refused(levels, broke, step):
    with pytest.raises(ArgumentError):
        staircase_strength(tested_levels=levels, broke=broke, step=step)


@given(st.floats(500.0, 1270.0), st.floats(1.0, 100.0))
def test_dynamic_strength_by_strength_and_roughness(strength, roughness):
    """More with a stronger steel of the same edge, less with a rougher edge of the same steel."""
    usual, strong, rough = (
        chain_dynamic_strength(
            tensile_strength_MPa=strength * a, edge_roughness_um=roughness * b, **PLATE
        ).dynamic_strength_N
        for a, b in ((1.0, 1.0), (1.1, 1.0), (1.0, 1.5))
    )
    assert rough < usual < strong


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (rivet_heading, {"pin_diameter_mm": 8.0, "projection_mm": 1.0, "head_share": 1.4,
                         "yield_strength_MPa": 900.0}, "head_share"),
        (chain_breaking_force, {"inner_plate_force_kN": 20.0, "outer_plate_force_kN": -1.0,
                                "pin_force_kN": 60.0, "strands": 1.0}, "outer_plate_force_kN"),
        (joint_friction_torque, {"chain_pull_kN": 10.0, "friction": -0.1, "pin_diameter_mm": 8.0,
                                 "strands": 1.0}, "friction"),
        (diametral_interference, {"member_diameter_mm": 0.0, "hole_diameter_mm": 8.0},
         "member_diameter_mm"),
        (cranked_links, {"pitches": -3.0}, "pitches"),
        (yield_share, {"stress_MPa": 100.0, "yield_strength_MPa": 0.0}, "yield_strength_MPa"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name_and_range(function, arguments, name):
    with pytest.raises(ArgumentError) as caught:
        function(**arguments)
    assert caught.value.argument == name
    assert caught.value.accepted
