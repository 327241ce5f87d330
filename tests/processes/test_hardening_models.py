"""Thermal models of the hardening line: eddy heat, coil, quench ring, tempering."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import ValidityWarning, recording, sourced
from linkwright.mechanics.radial_heat import RadialGrid
from linkwright.processes.models.coil_heat import heat_in_coil
from linkwright.processes.models.eddy_heat import (
    EddyField,
    MagneticTable,
    eddy_power_of_even_bar,
    relative_permeability_arctangent,
)
from linkwright.processes.models.induction import (
    coil_efficiency_long_solenoid,
    induction_heating_of_round_bar,
)
from linkwright.processes.models.quenching import (
    SprayLoss,
    quench,
    quench_of_round_bar,
    quench_water_flow,
    ring_impingement_density,
    spray_heat_transfer_wendelstorf,
)
from linkwright.processes.models.steel_tables import (
    carbon_steel_resistivity,
    heated_steel,
    quenched_steel,
)
from linkwright.processes.models.temper_heat import temper_course, tempering_heat_of_round_bar
from linkwright.quantities import ArgumentError

CHAIN = {
    "wire_diameter_mm": 8.0, "line_speed_m_per_min": 6.0, "coil_length_mm": 1200.0,
    "coil_diameter_mm": 50.0, "frequency_kHz": 100.0, "mass_per_length_kg_per_m": 1.42,
}  # fmt: skip


@pytest.mark.parametrize("temperature", [20.0, 400.0, 700.0, 900.0])
@pytest.mark.parametrize("diameter_mm", [8.0, 20.0])
@pytest.mark.parametrize("frequency_kHz", [10.0, 50.0, 200.0])
@pytest.mark.parametrize(("nodes", "rtol"), [(17, 0.015), (41, 0.006)])
def test_field_on_the_grid_takes_the_power_of_the_exact_cylinder(
    temperature, diameter_mm, frequency_kHz, nodes, rtol
):
    """At even temperature the layers give the Bessel solution, however thin the skin."""
    resistivity = carbon_steel_resistivity()
    metal = heated_steel()
    exact = 1e3 * eddy_power_of_even_bar(
        wire_diameter_mm=diameter_mm, field_peak_kA_per_m=100.0, frequency_kHz=frequency_kHz,
        resistivity_microohm_m=float(resistivity.at(temperature)) * 1e6,
        relative_permeability=relative_permeability_arctangent(
            field_kA_per_m=100.0, temperature_degC=temperature
        ),
    )  # fmt: skip
    field = EddyField(
        metal, RadialGrid.of(nodes), radius_m=np.array([diameter_mm * 5e-4]),
        field_A_per_m=np.array([1e5]), frequency_Hz=frequency_kHz * 1e3, resistivity=resistivity,
        magnetic=MagneticTable.steel(),
    )  # fmt: skip
    power, _ = field(metal.heat_at(np.full((nodes, 1), temperature)))
    assert power.sum() == pytest.approx(exact, rel=rtol)
    assert power.min() >= -1e-3 * exact


def test_thick_bar_tends_to_the_plane_wave():
    """P = H2 rho/(2 delta) on the surface of a bar of a hundred skin depths."""
    power = eddy_power_of_even_bar(
        wire_diameter_mm=400.0, field_peak_kA_per_m=100.0, frequency_kHz=10.0,
        resistivity_microohm_m=1.15,
    )  # fmt: skip
    per_area = power / (np.pi * 0.4)
    assert per_area == pytest.approx(1065.4, rel=0.02)


def test_permeability_falls_to_one_at_the_curie_point():
    """mu_r falls with temperature and field and is 1 from the Curie point on."""
    t = np.array([20.0, 500.0, 700.0, 760.0, 768.0, 900.0])
    mu = relative_permeability_arctangent(field_kA_per_m=40.0, temperature_degC=t)
    assert np.all(np.diff(mu) <= 0.0)
    assert mu[-2] == mu[-1] == 1.0
    weak, strong = (
        relative_permeability_arctangent(field_kA_per_m=h, temperature_degC=20.0) for h in (20, 200)
    )
    assert weak > 5 * strong


def test_chain_of_8_mm_takes_about_ninety_kilowatts():
    """1.42 kg/m at 6 m/min to 940 °C: enthalpy 93 kW (EN 1993-1-2), plus the surface's loss."""
    heat = induction_heating_of_round_bar(**CHAIN, exit_temperature_degC=940.0)
    metal = heated_steel()
    gained = (metal.heat_at(940.0) - metal.heat_at(20.0)) / 7850.0 * 1.42 * 0.1 / 1e3
    assert 85.0 < gained < 97.0
    assert heat.metal_power_kW - heat.surface_loss_kW == pytest.approx(float(gained), rel=0.002)
    assert heat.mean_temperature_degC == pytest.approx(940.0, abs=0.2)
    assert heat.surface_temperature_degC > heat.centre_temperature_degC
    assert 0.75 < heat.coil_efficiency < 0.95
    assert heat.generator_power_kW > heat.metal_power_kW


def test_power_field_and_temperature_are_three_doors_to_one_state():
    """The power and the field found for 900 °C give 900 °C again."""
    first = induction_heating_of_round_bar(**CHAIN, exit_temperature_degC=900.0)
    by_power = induction_heating_of_round_bar(**CHAIN, metal_power_kW=first.metal_power_kW)
    by_field = induction_heating_of_round_bar(
        **CHAIN, coil_field_kA_per_m=first.coil_field_kA_per_m
    )
    assert by_power.mean_temperature_degC == pytest.approx(900.0, abs=1.0)
    assert by_field.mean_temperature_degC == pytest.approx(first.mean_temperature_degC, rel=1e-9)


def test_speeds_as_an_array_equal_single_calls():
    """Arrays broadcast: each element equals its own call to 1e-9."""
    speeds = np.array([4.0, 6.0, 8.0])
    chain = {**CHAIN, "exit_temperature_degC": 920.0}
    del chain["line_speed_m_per_min"]
    together = induction_heating_of_round_bar(**chain, line_speed_m_per_min=speeds)
    assert np.all(np.diff(together.metal_power_kW) > 0.0)
    for speed, power in zip(speeds, together.metal_power_kW, strict=True):
        alone = induction_heating_of_round_bar(**chain, line_speed_m_per_min=float(speed))
        assert alone.metal_power_kW == pytest.approx(power, rel=1e-9)


def test_low_frequency_is_inefficient_above_the_curie_point():
    """A wire thinner than its skin needs a far stronger field, and the coil loses more."""
    high = induction_heating_of_round_bar(**CHAIN, exit_temperature_degC=940.0)
    low = induction_heating_of_round_bar(
        **{**CHAIN, "frequency_kHz": 10.0}, exit_temperature_degC=940.0
    )
    assert low.coil_field_kA_per_m > 1.5 * high.coil_field_kA_per_m
    assert low.coil_efficiency < high.coil_efficiency - 0.15


def test_induction_wants_one_aim_that_can_be_reached():
    """No aim, two aims, an exit below the entry and a melting field are refused."""
    with pytest.raises(ArgumentError, match="exactly one"):
        induction_heating_of_round_bar(**CHAIN)
    with pytest.raises(ArgumentError):
        induction_heating_of_round_bar(**CHAIN, exit_temperature_degC=900.0, metal_power_kW=90.0)
    with pytest.warns(ValidityWarning), pytest.raises(ArgumentError, match="not reached"):
        induction_heating_of_round_bar(**CHAIN, exit_temperature_degC=10.0)
    with pytest.raises(ArgumentError, match="melts"):
        induction_heating_of_round_bar(**CHAIN, coil_field_kA_per_m=500.0)


def test_coil_efficiency_falls_with_the_bore():
    """Efficiency is 1/(1 + D1/D2 sqrt(rho1/(mu rho2))): cold magnetic bar above hot bar."""
    cold = coil_efficiency_long_solenoid(
        coil_diameter_mm=60.0, bar_diameter_mm=40.0, bar_resistivity_microohm_m=0.2,
        relative_permeability=20.0,
    )  # fmt: skip
    bores = np.array([45.0, 60.0, 90.0])
    hot = coil_efficiency_long_solenoid(
        coil_diameter_mm=bores, bar_diameter_mm=40.0, bar_resistivity_microohm_m=1.15
    )
    assert np.all(np.diff(hot) < 0.0)
    assert cold > hot[1]


@pytest.mark.parametrize(
    ("radius", "duration", "frequency", "field"),
    [(0.004, 12.0, 1e5, 39e3), (0.004, 12.0, 5e4, 45e3), (0.01, 48.0, 1e4, 60e3),
     (0.01, 48.0, 3e4, 44e3), (0.002, 6.0, 2e5, 30e3)],
)  # fmt: skip
def test_ensemble_grid_of_the_coil_errs_by_two_kelvin_at_most(radius, duration, frequency, field):
    """17 nodes and 40 steps against 61 and 700 for surface, centre and mean at the exit."""
    fields = field * np.array([0.8, 0.95, 1.0, 1.05])
    state = {"wire_radius_m": radius, "duration_s": duration, "frequency_Hz": frequency}
    coarse = heat_in_coil(**state, field_A_per_m=fields)
    fine = heat_in_coil(**state, field_A_per_m=fields, nodes=61, steps=700)
    assert fine.mean_degC.max() < 1250.0
    for part in ("surface_degC", "centre_degC", "mean_degC"):
        np.testing.assert_allclose(getattr(coarse, part), getattr(fine, part), atol=2.0)
    np.testing.assert_allclose(coarse.supplied_J_per_m, fine.supplied_J_per_m, rtol=3e-3)


def test_ensemble_grid_of_the_quench_errs_little():
    """17 nodes and 48 steps: ends within 1 K, rates at 700 °C within 0.5 % of a fine grid."""
    state = {
        "wire_radius_m": np.array([0.004, 0.004, 0.01, 0.01]),
        "delay_s": 0.5,
        "ring_time_s": np.array([4.0, 4.0, 15.0, 15.0]),
        "loss": SprayLoss(np.array([20.0, 30.0, 20.0, 12.0]), 25.0),
        "start_temperature_degC": 930.0,
    }
    coarse, fine = quench(**state), quench(**state, nodes=61, steps=600)
    for position in (0.0, 0.5, 1.0):
        np.testing.assert_allclose(coarse.rate_at(position), fine.rate_at(position), rtol=5e-3)
        np.testing.assert_allclose(coarse.exit_degC(position), fine.exit_degC(position), atol=1.0)
        np.testing.assert_allclose(
            coarse.time_between(position), fine.time_between(position), rtol=3e-3
        )


def test_hardening_line_member_by_member():
    """Coil, quench and temper of 32 members equal their single runs to 1e-9."""
    rng = np.random.default_rng(3)
    count = 32
    given = {
        "radius": 0.004 * (1 + 0.04 * rng.uniform(-1, 1, count)),
        "time": 12.0 * (1 + 0.1 * rng.uniform(-1, 1, count)),
        "field": 39e3 * (1 + 0.06 * rng.uniform(-1, 1, count)),
        "spray": 20.0 * (1 + 0.4 * rng.uniform(-1, 1, count)),
        "factor": rng.uniform(0.5, 2.0, count),
    }

    def line(part):
        coil = heat_in_coil(
            wire_radius_m=part["radius"], duration_s=part["time"], field_A_per_m=part["field"],
            frequency_Hz=1e5,
        )  # fmt: skip
        cold = quench(
            wire_radius_m=part["radius"], delay_s=0.4, ring_time_s=part["time"] / 3,
            loss=SprayLoss(part["spray"], 25.0, part["factor"]),
            start_temperature_degC=coil.history.end_temperature_degC(),
        )  # fmt: skip
        temper = temper_course(
            wire_radius_m=part["radius"], coil_time_s=part["time"] / 2,
            field_A_per_m=part["field"] * 0.95, frequency_Hz=1e4, soak_time_s=8.0, air_time_s=40.0,
        )  # fmt: skip
        rows = [coil.surface_degC, coil.centre_degC, cold.rate_at(0.0), cold.exit_degC(1.0)]
        return np.array(rows + list(temper.mean_temperature_degC()))

    whole = line(given)
    for member in range(count):
        alone = line({name: values[member : member + 1] for name, values in given.items()})
        np.testing.assert_allclose(whole[:, member], alone[:, 0], rtol=1e-9)


@pytest.mark.parametrize(("rise", "density"), [(800.0, 10.0), (200.0, 20.0), (400.0, 3.0)])
def test_spray_law_follows_its_formula(rise, density):
    """At the water temperature of the tests the law is the printed one."""
    film = 140.0 * density * (1.0 - density * rise / 72000.0)
    boiling = 3.26 * rise**2 * (1.0 - np.tanh(rise / 128.0))
    obtained = spray_heat_transfer_wendelstorf(
        surface_temperature_degC=18.0 + rise, impingement_density_kg_per_m2s=density
    )
    assert obtained == pytest.approx(190.0 + np.tanh(density / 8.0) * (film + boiling), rel=1e-12)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.floats(200.0, 1100.0), st.floats(3.0, 29.0), st.floats(5.0, 50.0))
def test_more_or_colder_water_never_cools_less(surface, density, water):
    """The coefficient rises with the water that arrives and falls with its temperature."""

    def h(v, t):
        return spray_heat_transfer_wendelstorf(
            surface_temperature_degC=surface,
            impingement_density_kg_per_m2s=v,
            water_temperature_degC=t,
        )

    assert h(density + 1.0, water) >= h(density, water)
    assert h(density, water + 5.0) < h(density, water) * 1.001


def test_water_beyond_the_tests_never_cools_less_but_warns():
    """Above 30 kg/m2s the result comes with a warning and does not fall."""
    with pytest.warns(ValidityWarning):
        h = spray_heat_transfer_wendelstorf(
            surface_temperature_degC=900.0,
            impingement_density_kg_per_m2s=np.array([30.0, 60.0, 120.0]),
        )
    assert np.all(np.diff(h) >= 0.0)


def test_less_water_and_thicker_wire_cool_slower():
    """Centre rates fall with diameter and with the flow of the ring."""
    bar = quench_of_round_bar(
        diameter_mm=np.array([8.0, 8.0, 20.0, 20.0]), start_temperature_degC=920.0,
        ring_time_s=30.0, impingement_density_kg_per_m2s=np.array([25.0, 12.0, 25.0, 12.0]),
    )  # fmt: skip
    thin, thin_less, thick, thick_less = bar.centre_cooling_rate_K_per_s
    assert thin > thin_less > thick_less
    assert thin > thick > thick_less
    assert np.all(bar.surface_cooling_time_800_500_s <= bar.centre_cooling_time_800_500_s)


def test_quench_takes_the_heat_that_the_steel_loses():
    """The heat to the water is the enthalpy between mean start and mean end."""
    bar = quench_of_round_bar(
        diameter_mm=8.0, start_temperature_degC=920.0, ring_time_s=6.0, heat_transfer_W_per_m2K=3e3
    )
    metal = quenched_steel()
    start, end = (
        float(metal.heat_at(t)) / 7850e3
        for t in (bar.water_start_temperature_degC, bar.mean_temperature_degC)
    )
    assert bar.heat_to_water_kJ_per_kg == pytest.approx(start - end, rel=1e-6)
    assert bar.water_start_temperature_degC < 920.0


def test_thin_wire_in_a_mild_bath_follows_the_lumped_rate():
    """At small Biot number the rate at 700 °C is 4 h (T - Tw)/(rho c d), c by EN 1993-1-2, C."""
    bar = quench_of_round_bar(
        diameter_mm=4.0, start_temperature_degC=900.0, ring_time_s=20.0,
        heat_transfer_W_per_m2K=400.0, emissivity=0.0,
    )  # fmt: skip
    c = 450.0 + 0.28 * 700.0 - 2.91e-4 * 700.0**2 + 1.34e-7 * 700.0**3
    expected = 4 * 400.0 * 680.0 / (7850.0 * c * 4e-3)
    assert bar.centre_cooling_rate_K_per_s == pytest.approx(expected, rel=0.02)


def test_too_short_a_ring_gives_no_time_rather_than_a_guess():
    """Times that are not reached in the ring are nan."""
    bar = quench_of_round_bar(
        diameter_mm=20.0, start_temperature_degC=920.0, ring_time_s=1.0,
        impingement_density_kg_per_m2s=5.0,
    )  # fmt: skip
    assert np.isnan(bar.centre_cooling_time_800_500_s)
    assert bar.centre_temperature_degC > 800.0


def test_quench_wants_spray_or_bath():
    """Neither or both ways of heat transfer are refused."""
    state = {"diameter_mm": 8.0, "start_temperature_degC": 920.0, "ring_time_s": 4.0}
    with pytest.raises(ArgumentError):
        quench_of_round_bar(**state)
    with pytest.raises(ArgumentError):
        quench_of_round_bar(
            **state, impingement_density_kg_per_m2s=20.0, heat_transfer_W_per_m2K=2000.0
        )


def test_water_of_the_ring_balances():
    """Density times area is the flow that hits; the bath's flow carries its load."""
    density = ring_impingement_density(
        water_flow_l_per_min=120.0, ring_length_mm=500.0, envelope_diameter_mm=30.0,
        hitting_share=1.0,
    )  # fmt: skip
    assert density * np.pi * 0.03 * 0.5 == pytest.approx(2.0)
    flow = quench_water_flow(heat_load_kW=41.86, water_temperature_rise_K=10.0)
    assert flow == pytest.approx(60.0)


def test_tempering_course_heats_evens_out_and_cools():
    """The soak evens surface and centre at the exit mean; air then cools monotonically."""
    heat = tempering_heat_of_round_bar(
        wire_diameter_mm=8.0, line_speed_m_per_min=6.0, coil_length_mm=800.0,
        coil_diameter_mm=50.0, frequency_kHz=10.0, exit_temperature_degC=520.0,
        soak_length_mm=1000.0, mass_per_length_kg_per_m=1.42,
    )  # fmt: skip
    assert np.all(np.diff(heat.time_s) > 0.0)
    end_of_coil = int(np.argmax(heat.surface_temperature_degC))
    assert heat.time_s[end_of_coil] == pytest.approx(8.0, abs=0.2)
    assert heat.soak_end_temperature_degC == pytest.approx(520.0, abs=1.0)
    soaked = int(np.searchsorted(heat.time_s, 17.9))
    assert abs(heat.surface_temperature_degC[soaked] - heat.centre_temperature_degC[soaked]) < 0.5
    assert np.all(np.diff(heat.mean_temperature_degC[soaked + 1 :]) < 0.0)


def test_tempering_courses_of_several_wires_stand_side_by_side():
    """Arrays give courses with time first; each equals its own call."""
    state = {
        "wire_diameter_mm": 8.0, "line_speed_m_per_min": 6.0, "coil_length_mm": 800.0,
        "coil_diameter_mm": 50.0, "frequency_kHz": 10.0, "soak_length_mm": 1000.0,
    }  # fmt: skip
    both = tempering_heat_of_round_bar(**state, exit_temperature_degC=np.array([480.0, 560.0]))
    alone = tempering_heat_of_round_bar(**state, exit_temperature_degC=560.0)
    assert both.time_s.shape == (*alone.time_s.shape, 2)
    np.testing.assert_allclose(
        both.mean_temperature_degC[:, 1], alone.mean_temperature_degC, rtol=1e-9
    )


def test_calculations_of_the_line_record_their_inputs():
    """In a derivation the results are entries with their inputs, and no inner trial is."""
    with recording() as book:
        made = sourced("diameter_mm", 8.0, "table", "an example")
        quench_of_round_bar(
            diameter_mm=made, start_temperature_degC=made * 100, ring_time_s=made / 2,
            impingement_density_kg_per_m2s=made * 2,
        )  # fmt: skip
    names = [entry for entry in book.entries if entry.startswith("quench_of_round_bar")]
    assert len(names) == 12
    assert not any("ec3" in entry for entry in book.entries)


def test_ensemble_grid_of_the_temper_errs_by_two_kelvin_at_most():
    """17 nodes and 24 steps against 61 and 400 at the end of coil, soak and air."""
    state = {
        "wire_radius_m": np.array([0.004, 0.004, 0.006]), "coil_time_s": np.array([8.0, 8.0, 16.0]),
        "field_A_per_m": np.array([36e3, 39e3, 32e3]), "frequency_Hz": 1e4, "soak_time_s": 10.0,
        "air_time_s": 60.0,
    }  # fmt: skip
    coarse = temper_course(**state)
    fine = temper_course(**state, nodes=61, steps=400)
    assert np.all((fine.coil.mean_degC > 400.0) & (fine.coil.mean_degC < 600.0))
    for one, other in (
        (coarse.coil.mean_degC, fine.coil.mean_degC),
        (coarse.coil.surface_degC, fine.coil.surface_degC),
        (coarse.mean_temperature_degC()[-1], fine.mean_temperature_degC()[-1]),
    ):
        np.testing.assert_allclose(one, other, atol=2.0)
