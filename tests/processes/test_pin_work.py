"""Sums of the pin's route: geometry, balances, and what must not depend on what."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.processes.models.centreless_grinding import (
    blank_before_grinding,
    case_before_grinding,
    grinding_burn,
    grinding_hours,
    grinding_passes,
    lobe_stability,
    size_capability,
    wheel_surface_speed,
)
from linkwright.processes.models.machining import centreless_grinding_power
from linkwright.processes.models.pin_work import (
    bar_for_pins,
    over_size,
    pin_before_turning,
    pin_mass,
    sawn_per_minute,
    turned_end,
    turning_hours,
    washing_heat,
)
from linkwright.quantities import ArgumentError

WHEELS = {"wheel_diameter_mm": 500.0, "regulating_wheel_diameter_mm": 300.0}


@given(
    pieces=st.floats(1.0, 1e5), length=st.floats(5.0, 200.0), kerf=st.floats(0.0, 4.0),
    bar=st.floats(1.0, 6.0),
)  # fmt: skip
def test_bars_hold_their_pins_and_saw_cuts(pieces, length, kerf, bar):
    found = bar_for_pins(
        pieces=pieces, cut_length_mm=length, kerf_mm=kerf, bar_length_m=bar, bar_diameter_mm=8.0
    )
    assert found.pins_per_bar * (length + kerf) <= 1000.0 * bar - 30.0 + 1e-6
    assert found.bars * found.pins_per_bar >= pieces - 1e-6
    assert 0.0 < found.used_share <= 1.0


@given(stock=st.floats(0.01, 1.0), greatest=st.floats(0.01, 0.2))
def test_passes_add_up_to_the_stock(stock, greatest):
    found = grinding_passes(grinding_stock_mm=stock, greatest_reduction_mm=greatest)
    assert found.passes_count * found.reduction_per_pass_mm == pytest.approx(stock)
    assert found.reduction_per_pass_mm <= greatest * (1 + 1e-6)
    assert found.passes_count >= 2.0


def test_odd_lobes_stay_where_pins_run_at_centre():
    """At centre height odd shapes turn between the wheels and stay; above centre they die out."""
    flat = lobe_stability(pin_diameter_mm=8.0, centre_height_mm=0.0, **WHEELS)
    assert flat.least_stability == pytest.approx(0.0, abs=1e-12)
    assert flat.worst_lobes_count % 2 == 1
    raised = lobe_stability(pin_diameter_mm=8.0, centre_height_mm=4.0, **WHEELS)
    assert raised.least_stability > 0.0
    assert raised.tangent_angle_deg == pytest.approx(2.39, abs=0.01)


@given(st.floats(2.0, 40.0), st.floats(0.1, 0.9))
def test_lobes_take_arrays_as_they_take_numbers(diameter, share):
    one = lobe_stability(pin_diameter_mm=diameter, centre_height_mm=share * diameter, **WHEELS)
    many = lobe_stability(
        pin_diameter_mm=np.full(3, diameter), centre_height_mm=np.full(3, share * diameter),
        **WHEELS,
    )  # fmt: skip
    assert many.least_stability == pytest.approx(np.full(3, one.least_stability))


def _burn(reduction: float = 0.05, feed: float = 2.0) -> float:
    found = grinding_burn(
        pin_diameter_mm=8.0, wheel_diameter_mm=500.0, wheel_width_mm=200.0,
        reduction_per_pass_mm=reduction, feed_m_per_min=feed, pin_speed_m_per_min=30.0,
    )  # fmt: skip
    return float(found.burning_energy_J_per_mm3)


def test_deeper_and_faster_passes_burn_at_less_energy():
    assert _burn(0.05) > _burn(0.1) > _burn(0.2)
    assert _burn(feed=1.0) > _burn(feed=4.0)


def test_power_is_removal_times_specific_energy():
    ground = centreless_grinding_power(
        diameter_mm=8.28, diameter_reduction_mm=0.05, feed_m_per_min=1.6,
        specific_energy_J_per_mm3=50.0,
    )  # fmt: skip
    assert ground.power_kW == pytest.approx(ground.removal_rate_mm3_per_s * 50.0 / 1000.0)


def test_case_and_length_come_back():
    assert case_before_grinding(case_depth_mm=0.45, grinding_stock_mm=0.1) == pytest.approx(0.5)
    assert pin_before_turning(pin_length_mm=36.1, facing_mm=0.25) == pytest.approx(36.6)


def test_a_bundle_of_twice_the_bars_saves_feeds_only():
    small, large = (
        sawn_per_minute(cut_time_min=0.01, bundle=n, feed_time_min=0.2) for n in (6, 12)
    )
    assert small < large < 2.0 * small


def test_turning_takes_kienzle_force_and_the_time_of_its_feed():
    usual = {"diameter_mm": 8.4, "facing_mm": 0.25, "chamfer_mm": 0.8,
             "cutting_speed_m_per_min": 120.0, "specific_cutting_force_MPa": 2100.0}  # fmt: skip
    one, two = (turned_end(feed_mm=feed, **usual) for feed in (0.1, 0.2))
    assert two.cutting_force_N / one.cutting_force_N == pytest.approx(2.0**0.75)
    assert one.turning_time_s == pytest.approx(2.0 * two.turning_time_s)


def test_a_tighter_process_is_more_capable():
    wide, tight = (size_capability(tolerance_um=15.0, deviation_mm=s) for s in (0.003, 0.0015))
    assert tight == pytest.approx(2.0 * wide)


def test_a_wash_needs_the_heat_of_its_load():
    empty, full = (
        washing_heat(load_mass_kg=m, wash_temperature_degC=65.0, washing_time_min=8.0, loss_kW=3.0)
        for m in (1e-9, 150.0)
    )
    assert empty == pytest.approx(3.0)
    assert (full - empty) * 480.0 == pytest.approx(150.0 * 0.49 * 45.0)


@given(st.floats(2.0, 40.0), st.floats(0.05, 0.8), st.floats(0.0, 45.0))
def test_lobes_are_those_of_three_contacts(diameter, share, blade):
    """Contacts put where they are, the pin's middle moved by bumps, harmonics by hand."""
    height = share * diameter
    found = lobe_stability(
        pin_diameter_mm=diameter, centre_height_mm=height, blade_angle_deg=blade, **WHEELS
    )
    wheel, guide = (np.arcsin(2.0 * height / (big + diameter)) for big in (500.0, 300.0))
    angles = np.array([np.pi + wheel, 1.5 * np.pi - np.radians(blade), 2.0 * np.pi - guide])
    to_contact = np.column_stack([np.cos(angles), np.sin(angles)])
    # a bump of one at a contact pushes the middle away from it and leaves the other in touch
    moved = np.linalg.solve(to_contact[1:], -np.eye(2))
    by_blade, by_guide = -to_contact[0] @ moved
    behind = angles[1:] - angles[0]
    left = [
        1.0 - (by_blade * np.exp(-1j * n * behind[0]) + by_guide * np.exp(-1j * n * behind[1])).real
        for n in range(2, 13)
    ]
    assert found.least_stability == pytest.approx(min(left), abs=1e-9)
    assert left[int(found.worst_lobes_count) - 2] == pytest.approx(min(left), abs=1e-9)
    assert found.tangent_angle_deg == pytest.approx(np.degrees(wheel + guide))


@given(st.floats(2.0, 40.0), st.floats(0.01, 0.5))
def test_ground_pins_weigh_less_by_their_stock(diameter, stock):
    blank = blank_before_grinding(pin_diameter_mm=diameter, grinding_stock_mm=stock)
    assert over_size(size_mm=blank, tolerance_mm=-stock) == pytest.approx(diameter)
    heavy, light = (pin_mass(diameter_mm=d, length_mm=100.0) for d in (blank, diameter))
    ring = np.pi * (diameter + stock / 2.0) * stock / 2.0 * 100.0  # mm3, middle girth x depth
    assert heavy - light == pytest.approx(ring * 7.85e-6, rel=1e-6)


def test_hours_by_a_second_reckoning():
    """10 000 pins of 36 mm are 360 m; three passes at 2 m/min take nine hours."""
    ground = {"pieces": 10_000.0, "pin_length_mm": 36.0, "feed_m_per_min": 2.0, "passes": 3.0}
    assert grinding_hours(**ground) == pytest.approx(9.0)
    assert grinding_hours(machines=2.0, **ground) == pytest.approx(4.5)
    turned = turning_hours(pieces=3600.0, turning_time_s=4.0, handling_time_s=1.0, machines=2.0)
    assert turned == pytest.approx(2.5)
    assert wheel_surface_speed(wheel_diameter_mm=300.0, wheel_rpm=30.0) == pytest.approx(
        28.27, abs=0.01
    )


GOOD = {
    bar_for_pins: {"pieces": 10.0, "cut_length_mm": 36.0, "kerf_mm": 2.0, "bar_length_m": 3.0,
                   "bar_diameter_mm": 8.0},
    blank_before_grinding: {"pin_diameter_mm": 8.0, "grinding_stock_mm": 0.1},
    case_before_grinding: {"case_depth_mm": 0.4, "grinding_stock_mm": 0.1},
    grinding_burn: {"pin_diameter_mm": 8.0, "wheel_diameter_mm": 500.0, "wheel_width_mm": 200.0,
                    "reduction_per_pass_mm": 0.05, "feed_m_per_min": 2.0,
                    "pin_speed_m_per_min": 30.0},
    grinding_hours: {"pieces": 10.0, "pin_length_mm": 36.0, "feed_m_per_min": 2.0},
    grinding_passes: {"grinding_stock_mm": 0.1, "greatest_reduction_mm": 0.05},
    lobe_stability: {"pin_diameter_mm": 8.0, "centre_height_mm": 4.0, **WHEELS},
    pin_before_turning: {"pin_length_mm": 36.0, "facing_mm": 0.25},
    pin_mass: {"diameter_mm": 8.0, "length_mm": 36.0},
    sawn_per_minute: {"cut_time_min": 0.1, "bundle": 6.0, "feed_time_min": 0.2},
    size_capability: {"tolerance_um": 15.0, "deviation_mm": 0.002},
    turned_end: {"diameter_mm": 8.0, "facing_mm": 0.25, "chamfer_mm": 0.8, "feed_mm": 0.1,
                 "cutting_speed_m_per_min": 120.0, "specific_cutting_force_MPa": 2100.0},
    turning_hours: {"pieces": 10.0, "turning_time_s": 4.0, "machines": 1.0},
    wheel_surface_speed: {"wheel_diameter_mm": 300.0, "wheel_rpm": 30.0},
    washing_heat: {"load_mass_kg": 100.0, "washing_time_min": 8.0, "loss_kW": 3.0},
}  # fmt: skip
FREE = {
    grinding_hours: {"passes": 2.0},
    turning_hours: {"handling_time_s": 1.0},
    washing_heat: {"wash_temperature_degC": 65.0},
}


@pytest.mark.parametrize(
    ("function", "name"),
    [(function, name) for function, arguments in GOOD.items() for name in arguments],
    ids=lambda one: one if isinstance(one, str) else one.__name__,
)
def test_what_cannot_be_is_refused_by_name_and_range(function, name):
    usual = {**GOOD[function], **FREE.get(function, {})}
    function(**usual)
    with pytest.raises(ArgumentError) as caught:
        function(**{**usual, name: -1.0})
    assert caught.value.argument == name
    assert "0" in caught.value.accepted
