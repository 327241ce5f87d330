"""Plates in a furnace, heaped, and in oil."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from linkwright.mechanics.radial_heat import MetalTable
from linkwright.processes.models.plate_bed import (
    bed_conductivity,
    bed_heating,
    bed_temper,
    march_bed,
)
from linkwright.processes.models.plate_quench import (
    flash_point_margin,
    grown_size,
    size_before_growth,
    thin_air_cooling,
    thin_oil_cooling,
)
from linkwright.processes.models.steel_tables import heated_steel, quenched_steel
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None)
HEAP = {
    "bed_depth_mm": 60.0, "packing_share": 0.45, "part_diameter_mm": 9.3,
    "furnace_temperature_degC": 850.0, "time_in_furnace_min": 60.0,
    "convection_W_per_m2K": 20.0, "contact_W_per_mK": 1.5,
}  # fmt: skip
OIL = {
    "plate_thickness_mm": 4.0, "entry_temperature_degC": 830.0, "bath_temperature_degC": 60.0,
    "time_in_bath_s": 60.0, "film_W_per_m2K": 500.0, "boiling_W_per_m2K": 1800.0,
    "convection_W_per_m2K": 300.0, "film_end_degC": 720.0, "boiling_end_degC": 400.0,
}  # fmt: skip


def _marched(metal, nodes=10, steps=96, **changed):
    heap = {
        "depth": 60.0, "packing": 0.45, "part": 0.001, "furnace": 850.0, "minutes": 60.0,
        "convection": 100.0, "contact": 3.0, "faces": 2.0, "emissivity": 1e-9, "start": 20.0,
        **changed,
    }  # fmt: skip
    return march_bed(
        metal, *(np.array([value]) for value in heap.values()), nodes=nodes, steps=steps
    )


def test_a_heap_of_constant_properties_follows_the_series_of_a_slab():
    """Carslaw and Jaeger, 2nd ed., Sec. 3.11, Bi = h L/k = 1: within 0.5 % of the span."""
    grid = np.array([0.0, 1400.0])
    metal = MetalTable.of(grid, np.array([600.0, 600.0]), np.array([30.0, 30.0]), 7850.0)
    rows, _ = _marched(metal, nodes=20, steps=400)
    biot = 100.0 * 0.03 / 3.0
    fourier = 3.0 / (0.45 * 7850.0 * 600.0) * 3600.0 / 0.03**2
    z = np.array([0.8603, 3.4256, 6.4373, 9.5293])  # roots for Bi = 1, Carslaw and Jaeger
    assert z * np.tan(z) == pytest.approx(np.full(4, biot), abs=2e-3)
    share = 4 * np.sin(z) / (2 * z + np.sin(2 * z))
    at = (1.0 - 0.5 / 20) * 0.0 + 0.5 / 20  # middle of the last node, from the middle of the slab
    middle = np.sum(share * np.cos(z * at) * np.exp(-(z**2) * fourier))
    face = np.sum(share * np.cos(z) * np.exp(-(z**2) * fourier))
    assert rows[-1, 1, 0] == pytest.approx(850.0 - 830.0 * middle, abs=4.0)
    assert rows[-1, 0, 0] == pytest.approx(850.0 - 830.0 * face, abs=4.0)


def test_a_thin_heap_follows_the_balance_of_an_even_body():
    """Bi below 0.01: an independent ODE solver, with the same heat content of steel."""
    metal = heated_steel()
    rows, _ = _marched(metal, depth=4.0, minutes=20.0, convection=20.0, contact=30.0)

    def balance(_, heat):
        return 20.0 * (850.0 - metal.temperature_at(heat)) / (0.45 * 0.002)

    start = [float(metal.heat_at(20.0))]
    exact = solve_ivp(balance, (0.0, 1200.0), start, rtol=1e-9).y[0, -1]
    assert rows[-1, 1, 0] == pytest.approx(float(metal.temperature_at(exact)), abs=3.0)


def test_finer_grids_change_the_time_to_temperature_by_little():
    coarse, _ = _marched(heated_steel(), minutes=45.0)
    fine, _ = _marched(heated_steel(), nodes=40, steps=1500, minutes=45.0)
    assert coarse[-1, 1, 0] == pytest.approx(fine[-1, 1, 0], abs=6.0)


def test_a_deeper_heap_needs_more_than_its_depth_in_time():
    """Between the first power (surface decides) and the second (conduction decides)."""
    times = [
        bed_heating(
            **{**HEAP, "bed_depth_mm": depth, "time_in_furnace_min": 400.0}
        ).heating_time_min
        for depth in (30.0, 60.0, 120.0)
    ]
    assert 2.0 < times[1] / times[0] < 4.0
    assert 2.0 < times[2] / times[1] < 4.0


def test_a_tray_heats_like_a_belt_of_twice_the_depth():
    belt = bed_heating(**HEAP)
    tray = bed_heating(**{**HEAP, "bed_depth_mm": 30.0, "heated_faces": 1.0})
    assert tray.coldest_temperature_degC == pytest.approx(belt.coldest_temperature_degC, rel=1e-12)


def test_each_member_of_a_heap_is_its_single_run():
    depth = np.array([[30.0, 50.0], [70.0, 90.0]])
    furnace = np.array([[400.0], [430.0]])
    many = bed_temper(**{**HEAP, "bed_depth_mm": depth, "furnace_temperature_degC": furnace})
    one = bed_temper(**{**HEAP, "bed_depth_mm": 90.0, "furnace_temperature_degC": 430.0})
    assert many.parameter_K[:, 1, 1] == pytest.approx(one.parameter_K, rel=1e-9)
    assert many.heating_time_min[1, 1] == pytest.approx(one.heating_time_min, rel=1e-9)


def test_radiation_carries_more_the_hotter_the_heap():
    cold, hot = (
        bed_conductivity(temperature_degC=t, part_diameter_mm=9.3, contact_W_per_mK=0.0)
        for t in (20.0, 850.0)
    )
    assert hot / cold == pytest.approx((1123.15 / 293.15) ** 3)


def test_a_plate_in_oil_follows_its_heat_balance():
    """An independent ODE solver through the three stages, to 2 K at the end."""
    metal = quenched_steel(300.0)

    def balance(_, heat):
        level = float(metal.temperature_at(np.asarray(heat)).item())
        h = 500.0 if level > 720.0 else 1800.0 if level > 400.0 else 300.0
        return [-2.0 * h * (level - 60.0) / 0.004]

    for seconds in (3.0, 10.0, 40.0):
        start = [float(metal.heat_at(830.0))]
        found = solve_ivp(balance, (0.0, seconds), start, max_step=0.02, rtol=1e-7).y[0, -1]
        got = thin_oil_cooling(**{**OIL, "time_in_bath_s": seconds})
        assert got.bath_exit_temperature_degC == pytest.approx(
            float(metal.temperature_at(np.asarray(found))), abs=2.0
        )


def test_thick_plates_cool_in_proportion_slower():
    thin, thick = (thin_oil_cooling(**{**OIL, "plate_thickness_mm": t}) for t in (2.0, 4.0))
    assert thin.cooling_rate_K_per_s == pytest.approx(2.0 * thick.cooling_rate_K_per_s)
    assert thick.time_800_500_s == pytest.approx(2.0 * thin.time_800_500_s)


def test_stages_of_oil_in_the_wrong_order_are_refused():
    with pytest.raises(ArgumentError, match="boiling_end_degC"):
        thin_oil_cooling(**{**OIL, "boiling_end_degC": 730.0})
    with pytest.raises(ArgumentError, match="entry_temperature_degC"):
        thin_oil_cooling(**{**OIL, "bath_temperature_degC": 200.0, "entry_temperature_degC": 150.0})


def test_each_member_in_oil_is_its_single_run():
    thickness = np.array([[1.5], [4.0], [7.4]])
    entry = np.array([[830.0, 690.0]])
    many = thin_oil_cooling(
        **{**OIL, "plate_thickness_mm": thickness, "entry_temperature_degC": entry}
    )
    for row, t in enumerate(thickness[:, 0]):
        for column, at in enumerate(entry[0]):
            one = thin_oil_cooling(**{**OIL, "plate_thickness_mm": t, "entry_temperature_degC": at})
            for whole, single in zip(many, one, strict=True):
                full = np.broadcast_to(whole, (3, 2))
                assert full[row, column] == pytest.approx(single, rel=1e-9)


def test_air_cools_as_radiation_alone():
    """dT/dt = -2 e sigma T^4/(rho c d) by an independent solver."""

    def balance(_, T):
        return -2.0 * 0.8 * 5.670374419e-8 * T**4 / (7850.0 * 600.0 * 0.004)

    end = solve_ivp(balance, (0.0, 5.0), [1123.15], rtol=1e-10).y[0, -1] - 273.15
    got = thin_air_cooling(
        start_temperature_degC=850.0, plate_thickness_mm=4.0, time_s=5.0, emissivity=0.8
    )
    assert got == pytest.approx(end, abs=1e-3)


def test_a_warmed_bath_comes_nearer_to_its_flash_point():
    got = flash_point_margin(
        bath_temperature_degC=60.0, temperature_rise_K=16.67, flash_point_degC=190.0
    )
    assert tuple(got) == pytest.approx((76.67, 113.33))


@few
@given(size=st.floats(1.0, 200.0), growth=st.floats(-1.0, 1.0))
def test_growth_goes_there_and_back(size, growth):
    before = size_before_growth(size_mm=size, growth_percent=growth)
    assert grown_size(size_mm=before, growth_percent=growth) == pytest.approx(size, rel=1e-12)
