"""Balances of welding, heating and oil."""

import numpy as np
import pytest

from linkwright.processes.models.furnace import (
    furnace_energy,
    line_heating_power,
    quench_bath_rise,
)
from linkwright.processes.models.oil import viscosity_at_temperature, viscosity_index
from linkwright.processes.models.welding_heat import power_density, spot_weld_heat
from linkwright.quantities import ArgumentError


def test_spot_weld_heat_is_shared_without_rest() -> None:
    """What is made is what melts and what is lost."""
    found = spot_weld_heat(
        current_A=8000.0,
        resistance_ohm=1.5e-4,
        time_s=0.2,
        electrode_diameter_mm=6.0,
        stack_thickness_mm=3.0,
    )
    assert found.heat_to_melt_J + found.heat_lost_J == pytest.approx(found.heat_generated_J)


def test_line_power_is_furnace_energy_per_hour() -> None:
    """A tonne an hour needs the energy of a tonne in one hour."""
    energy = furnace_energy(mass_kg=1000.0, end_degC=900.0, efficiency=0.5).energy_kWh
    power = line_heating_power(throughput_kg_per_h=1000.0, end_degC=900.0, overall_efficiency=0.5)
    assert power == pytest.approx(energy)


def test_preheated_steel_needs_the_difference() -> None:
    """Two furnaces in a row use what one would."""
    whole = furnace_energy(mass_kg=1.0, end_degC=900.0, efficiency=1.0).useful_kWh
    first = furnace_energy(mass_kg=1.0, end_degC=600.0, efficiency=1.0).useful_kWh
    second = furnace_energy(
        mass_kg=1.0, end_degC=900.0, start_degC=600.0, efficiency=1.0
    ).useful_kWh
    assert first + second == pytest.approx(whole)


def test_efficiency_above_one_is_refused() -> None:
    """No furnace gives more than it takes."""
    with pytest.raises(ArgumentError, match="efficiency"):
        furnace_energy(mass_kg=1.0, end_degC=900.0, efficiency=1.2)


def test_a_larger_bath_warms_less() -> None:
    """Twice the oil, half the rise."""
    rise = quench_bath_rise(
        charge_kg=100.0, heat_released_kJ_per_kg=500.0, oil_kg=np.array([1000.0, 2000.0])
    )
    assert rise[1] == pytest.approx(rise[0] / 2.0)


def test_power_density_falls_with_the_square_of_the_spot() -> None:
    """Twice the diameter, a quarter of the density."""
    found = power_density(power_W=1000.0, diameter_mm=np.array([2.0, 4.0]), share=0.9)
    assert found.power_density_W_per_mm2[1] == pytest.approx(found.power_density_W_per_mm2[0] / 4.0)


def test_reference_oils_have_index_0_and_100() -> None:
    """An oil as thick at 40 °C as a reference oil has its index; the two branches meet at 100."""
    assert viscosity_index(
        viscosity_40degC_mm2_per_s=147.7, viscosity_100degC_mm2_per_s=10.0
    ) == pytest.approx(0.0, abs=1e-9)
    both = viscosity_index(
        viscosity_40degC_mm2_per_s=np.array([82.8701, 82.8699]), viscosity_100degC_mm2_per_s=10.0
    )
    assert both == pytest.approx(100.0, abs=1e-3)


def test_table_and_formula_of_thick_oils_join() -> None:
    """At 70 mm2/s the table and the formula above it give the same index within half a point."""
    below, above = (
        viscosity_index(viscosity_40degC_mm2_per_s=1200.0, viscosity_100degC_mm2_per_s=v)
        for v in (69.999, 70.001)
    )
    assert below == pytest.approx(above, abs=0.5)


def test_walther_gives_back_its_two_points_and_falls() -> None:
    """The line goes through the given viscosities and thins with temperature."""
    found = viscosity_at_temperature(
        viscosity_40degC_mm2_per_s=32.0,
        viscosity_100degC_mm2_per_s=5.4,
        temperature_degC=np.array([20.0, 40.0, 70.0, 100.0, 120.0]),
    )
    assert found[[1, 3]] == pytest.approx([32.0, 5.4])
    assert (np.diff(found) < 0).all()
    with pytest.raises(ArgumentError, match="less than at 40"):
        viscosity_at_temperature(
            viscosity_40degC_mm2_per_s=5.0, viscosity_100degC_mm2_per_s=6.0, temperature_degC=20.0
        )
