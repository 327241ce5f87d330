"""Sums of sheared, cottered and annealed pins: geometry, balances, limits that must be met."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.materials.thermal import ec3_specific_heat, ec3_thermal_conductivity
from linkwright.processes.models.cottered_end import (
    cotter_mass,
    cotter_retention,
    cottered_mass_per_length,
    cottered_pin_length,
    cottered_projection,
    cross_drilled,
    hole_clearance,
    hole_net_section,
    plate_walk,
)
from linkwright.processes.models.cottering_work import bought_cotters, share_of
from linkwright.processes.models.end_annealing import (
    annealed_end,
    annealing_power,
    end_course,
    end_heat_properties,
    fourier_time,
)
from linkwright.processes.models.end_annealing_work import (
    annealing_energy,
    annealing_time,
    end_hardness_mean,
    same_temper,
    share_under_plate,
    warm_pin,
)
from linkwright.processes.models.pin_work import bar_for_pins
from linkwright.processes.models.sheared_pin import face_room, out_of_square, turned_allowance

# ------------------------------------------------------------------ cotters


@given(st.floats(3.0, 50.0), st.floats(0.05, 0.9))
def test_section_beside_a_hole_is_that_of_strips_counted(pin, share):
    """The chord integral over the section less the strip of the hole."""
    net = hole_net_section(pin_diameter_mm=pin, cotter_hole_mm=share * pin)
    x = np.linspace(share * pin / 2.0, pin / 2.0, 20001)
    strips = 2.0 * np.trapezoid(2.0 * np.sqrt(np.maximum((pin / 2.0) ** 2 - x**2, 0.0)), x)
    assert net.net_area_mm2 == pytest.approx(strips, rel=1e-4)


def test_no_hole_leaves_all_and_one_as_wide_as_the_pin_nothing():
    assert hole_net_section(pin_diameter_mm=8.0, cotter_hole_mm=0.0).net_percent == (
        pytest.approx(100.0)
    )
    assert hole_net_section(pin_diameter_mm=8.0, cotter_hole_mm=8.0).net_percent == (
        pytest.approx(0.0, abs=1e-9)
    )


@given(st.floats(1.0, 10.0), st.floats(0.0, 3.0), st.floats(1.0, 20.0))
def test_clearance_comes_back_from_the_projection(hole, clearance, end):
    projection = cottered_projection(
        cotter_hole_mm=hole, clearance_mm=clearance, end_distance_mm=end
    )
    back = hole_clearance(
        cotter_projection_mm=projection, hole_from_end_mm=end, cotter_hole_mm=hole
    )
    assert back == pytest.approx(clearance, abs=1e-9)
    longer = cottered_pin_length(
        riveted_length_mm=36.0, rivet_projection_mm=2.0, cotter_projection_mm=projection
    )
    assert longer - 36.0 == pytest.approx(projection - 2.0)


def _retention(**changed: float) -> Any:
    usual = {"cotter_diameter_mm": 2.1, "cotter_strength_MPa": 400.0, "cotter_hole_mm": 2.5,
             "pin_diameter_mm": 8.28, "hole_from_end_mm": 3.5,
             "pin_yield_strength_MPa": 800.0}  # fmt: skip
    return cotter_retention(**{**usual, **changed})


def test_a_cotter_shears_in_two_sections_by_von_mises():
    section = np.pi / 4.0 * 2.1**2
    assert _retention().cotter_force_kN == pytest.approx(
        2.0 * section * 400.0 / np.sqrt(3.0) / 1000.0
    )


def test_a_hole_at_the_rim_holds_nothing_and_one_far_inside_the_net_section():
    assert _retention(hole_from_end_mm=1.25).pin_end_force_kN == pytest.approx(0.0, abs=1e-9)
    net = hole_net_section(pin_diameter_mm=8.28, cotter_hole_mm=2.5).net_area_mm2
    assert _retention(hole_from_end_mm=80.0).pin_end_force_kN == pytest.approx(net * 0.8)


def test_a_plate_walks_no_less_than_the_play_of_the_cotter_in_its_hole():
    tight = plate_walk(
        clearance_mm=0.0, cotter_hole_mm=2.5, least_cotter_mm=2.1, plate_thickness_mm=4.0
    )
    assert tight == pytest.approx(10.0)


def test_a_cotter_weighs_as_two_half_rounds_and_its_chain_more_by_it():
    straight = 7850e-9 * np.pi / 4.0 * 2.3**2 * 16.0
    one = cotter_mass(
        cotter_diameter_mm=2.3, cotter_length_mm=16.0, eye_width_mm=4.6, eye_length_mm=5.0
    )
    assert straight < one < 1.5 * straight
    chain = {"chain_mass_kg_per_m": 2.8, "cotter_kg": one, "pin_diameter_mm": 8.28,
             "pitch_mm": 25.4}  # fmt: skip
    more = cottered_mass_per_length(cotter_hole_mm=0.0, **chain) - 2.8
    assert more == pytest.approx(float(one) / 0.0254)
    assert cottered_mass_per_length(cotter_hole_mm=2.5, **chain) < 2.8 + more
    bought = bought_cotters(length_m=2.54, pitch_mm=25.4, cotter_kg=one)
    assert (bought.cotters_count, bought.cotters_kg) == (100.0, pytest.approx(100.0 * one))


def test_a_fit_that_holds_nothing_is_no_division_by_nought():
    assert share_of(force_kN=1.6, of_kN=4.0) == pytest.approx(40.0)
    assert np.isfinite(share_of(force_kN=1.6, of_kN=0.0))


def test_power_of_a_drill_is_torque_times_turning():
    hole = cross_drilled(
        pin_diameter_mm=18.0, hole_diameter_mm=5.0, feed_mm=0.06, cutting_speed_m_per_min=25.0,
        specific_cutting_force_MPa=2100.0,
    )  # fmt: skip
    turning = hole.spindle_speed_rpm * 2.0 * np.pi / 60.0
    assert hole.drilling_power_kW == pytest.approx(hole.torque_Nm * turning / 1000.0)
    assert hole.spindle_speed_rpm * np.pi * 5.0 / 1000.0 == pytest.approx(25.0)


# ------------------------------------------------------------------ shearing


@given(st.floats(3.0, 50.0), st.floats(0.0, 5.0), st.floats(0.0, 1.0))
def test_what_turning_adds_is_what_it_has_to_spare(diameter, angle, facing):
    face = out_of_square(diameter_mm=diameter, end_angle_deg=angle)
    taken = turned_allowance(facing_mm=facing, out_of_square_mm=face)
    room = face_room(cut_length_mm=100.0 + 2.0 * taken, pin_length_mm=100.0, out_of_square_mm=face)
    assert room == pytest.approx(facing, abs=1e-9)


def test_no_kerf_gives_no_fewer_pins_a_bar():
    sawn, sheared = (
        bar_for_pins(pieces=1000.0, cut_length_mm=36.6, kerf_mm=kerf, bar_length_m=3.0,
                     bar_diameter_mm=8.4)
        for kerf in (2.0, 0.0)
    )  # fmt: skip
    assert sheared.pins_per_bar - sawn.pins_per_bar == 81.0 - 76.0  # 2970 mm by 36.6 and 38.6


# ------------------------------------------------------------------ annealed ends

PIN: dict[str, Any] = {
    "diameter_mm": 8.38, "coil_length_mm": 3.6, "case_HV": 720.0, "core_HV": 400.0,
    "case_carbon_percent": 0.75, "temper_temperature_degC": 170.0, "temper_time_min": 90.0,
    "soft_HV": 480.0, "hard_HV": 550.0, "foot_mm": 2.2, "C_percent": 0.2, "Mn_percent": 0.8,
    "Cr_percent": 0.9,
}  # fmt: skip


def _heat(temperature: float = 685.0, fourier: float = 0.4) -> dict[str, Any]:
    constant = end_heat_properties(end_temperature_degC=temperature)._asdict()
    diameter = PIN["diameter_mm"]
    time = fourier_time(
        fourier_number=fourier, diameter_mm=diameter,
        diffusivity_mm2_per_s=constant["diffusivity_mm2_per_s"],
    )  # fmt: skip
    power = annealing_power(
        end_temperature_degC=temperature, heating_time_s=time, diameter_mm=diameter,
        coil_length_mm=PIN["coil_length_mm"], **constant,
    )  # fmt: skip
    return {"heating_time_s": time, "power_kW": power, **constant}


def test_the_end_comes_to_the_temperature_that_its_power_was_made_for():
    end = annealed_end(**PIN, **_heat())
    assert end.end_peak_degC == pytest.approx(685.0, abs=0.01)
    assert end.axis_peak_degC < 500.0


def test_the_soft_end_is_soft_and_the_case_hard_again_behind_it():
    end, course = annealed_end(**PIN, **_heat()), end_course({**PIN, **_heat()})
    z, case = course["end_distance_mm"], course["end_case_HV"]
    assert np.interp(end.soft_length_mm, z, case) == pytest.approx(480.0, abs=1.0)
    assert np.interp(end.hard_from_mm, z, case) == pytest.approx(550.0, abs=1.0)
    assert np.interp(2.2, z, case) == pytest.approx(end.end_case_HV, abs=0.5)
    assert case[-1] == pytest.approx(720.0)
    assert np.all(np.diff(case) >= -1e-9)


@pytest.mark.parametrize("change", ["hotter", "longer"])
def test_more_heat_softens_further_and_leaves_less_case(change):
    less, more = annealed_end(**PIN, **_heat(640.0)), annealed_end(**PIN, **_heat())
    if change == "longer":
        less, more = annealed_end(**PIN, **_heat()), annealed_end(**PIN, **_heat(fourier=0.8))
    assert more.end_case_HV < less.end_case_HV
    assert more.soft_length_mm > less.soft_length_mm
    assert more.hard_from_mm > less.hard_from_mm


def test_a_cold_end_stays_hard():
    heat = _heat()
    end = annealed_end(**PIN, **{**heat, "power_kW": 0.1 * heat["power_kW"]})
    assert end.soft_length_mm == 0.0
    assert end.end_case_HV == pytest.approx(720.0)


def test_an_offset_moves_the_field_along_the_pin():
    heat = _heat()
    one, moved = (annealed_end(**PIN, **heat, offset_mm=off) for off in (0.0, 0.3))
    assert moved.hard_from_mm - one.hard_from_mm == pytest.approx(0.3)
    assert moved.end_case_HV < one.end_case_HV


def test_members_of_an_end_are_single_ends():
    heat = _heat()
    power = heat.pop("power_kW") * np.array([[0.95], [1.0], [1.04]])
    offset = np.array([[-0.1, 0.0, 0.2, 0.1]])
    many = annealed_end(**PIN, **heat, power_kW=power, offset_mm=offset)
    for i in range(3):
        for j in range(4):
            single = annealed_end(
                **PIN, **heat, power_kW=float(power[i, 0]), offset_mm=float(offset[0, j])
            )
            for name in single._fields:
                whole = np.broadcast_to(getattr(many, name), (3, 4))[i, j]
                assert whole == pytest.approx(getattr(single, name), rel=1e-9), name


def test_properties_are_means_of_ec3_by_hand():
    """EN 1993-1-2, 3.4.1: k = 54 - 0.0333 T, c its polynomial below 600 °C; means from 20 °C."""
    found = end_heat_properties(end_temperature_degC=700.0)
    assert found.conductivity_W_per_mK == pytest.approx(54.0 - 3.33e-2 * 360.0, rel=1e-6)
    T = np.linspace(20.0, 530.0, 20001)  # three quarters of the rise
    c = np.mean(425.0 + 0.773 * T - 1.69e-3 * T**2 + 2.22e-6 * T**3)
    k = 54.0 - 3.33e-2 * 275.0
    assert found.diffusivity_mm2_per_s == pytest.approx(k / (7850.0 * c) * 1e6, rel=1e-3)


def _finite_volumes(heat: dict[str, Any], rings: int = 10) -> np.ndarray:
    """Peak of skin and axis over z with the steel's real properties, explicit, rings of 0.4 mm."""
    R, coil = PIN["diameter_mm"] / 2.0, PIN["coil_length_mm"]
    step = R / rings
    nz = int(3.0 * coil / step)
    edge = np.arange(rings + 1) * step
    ring, through = np.diff(edge**2), 2.0 * edge[1:-1]
    at = np.arange(20.0, 1200.0)
    k_of = np.asarray(ec3_thermal_conductivity(temperature_degC=at)) / 1e3
    c_of = 7.85e-6 * np.asarray(ec3_specific_heat(temperature_degC=at))
    share = np.clip((coil - np.arange(nz) * step) / step, 0.0, 1.0)
    flow = heat["power_kW"] * 1e3 / (2.0 * np.pi * R * coil) * share * 2.0 * R / ring[-1]
    u = np.full((nz, rings), 20.0)
    peak, dt = u.copy(), 0.15 * step**2 / 15.0
    for t in np.arange(0.0, 2.0 * heat["heating_time_s"], dt):
        k, c = np.interp(u, at, k_of), np.interp(u, at, c_of)
        across, along = np.zeros((nz, rings + 1)), np.zeros((nz + 1, rings))
        across[:, 1:-1] = (k[:, 1:] + k[:, :-1]) / 2.0 * np.diff(u, axis=1) / step * through
        along[1:-1] = (k[1:] + k[:-1]) / 2.0 * np.diff(u, axis=0) / step
        gain = np.diff(across, axis=1) / ring + np.diff(along, axis=0) / step
        if t < heat["heating_time_s"]:
            gain[:, -1] += flow
        u = u + dt * gain / c
        peak = np.maximum(peak, u)
    return peak


def test_an_end_is_as_hot_as_finite_volumes_with_real_properties():
    """What constant properties with Kirchhoff's integral cost: within 25 K (3 % of the rise)."""
    heat = _heat()
    peak = _finite_volumes(heat)
    end = annealed_end(**PIN, **heat)
    skin = peak[0, -1] + (peak[0, -1] - peak[0, -2]) / 2.0  # from the ring's middle to the skin
    assert end.end_peak_degC == pytest.approx(skin, abs=25.0)
    assert end.axis_peak_degC == pytest.approx(peak[0, 0], abs=30.0)


def test_the_heat_of_two_ends_warms_the_pin_and_costs_more_by_the_efficiency():
    warm = warm_pin(end_power_kW=0.7, heating_time_s=0.8, pin_kg=0.0155)
    assert (warm - 20.0) * 0.0155 * 0.5 == pytest.approx(2.0 * 0.7 * 0.8)
    energy = annealing_energy(end_power_kW=0.7, heating_time_s=0.8, efficiency=0.5)
    assert energy == pytest.approx(2.24)
    hours = annealing_time(pieces=3600.0, heating_time_s=0.8, handling_time_s=1.2, ends_at_once=2.0)
    assert hours == pytest.approx(2.0)


def test_mean_hardness_and_share_lie_between_their_ends():
    usual = {"diameter_mm": 8.0, "case_HV": 450.0, "core_HV": 350.0}
    assert end_hardness_mean(case_depth_mm=0.0, **usual) == pytest.approx(350.0)
    assert end_hardness_mean(case_depth_mm=4.0, **usual) == pytest.approx(450.0)
    share = {"projection_mm": 2.0, "plate_thickness_mm": 3.0}
    assert share_under_plate(hard_from_mm=2.0, **share) == pytest.approx(100.0)
    assert share_under_plate(hard_from_mm=5.0, **share) == pytest.approx(0.0)


def test_the_low_temper_itself_is_no_hotter_than_itself():
    for time in (90.0, 2.0):
        found = same_temper(temper_temperature_degC=170.0, temper_time_min=90.0, warm_time_min=time)
        assert found == pytest.approx(170.0) if time == 90.0 else found > 200.0
