"""Eddy currents and contacts."""

import numpy as np
import pytest

from linkwright.mechanics.electric import (
    contact_resistance,
    contact_temperature,
    frequency_for_depth,
    heat_within_depth,
    skin_depth,
    surface_power,
)


def test_frequency_and_depth_are_inverse() -> None:
    """The frequency found for a depth gives that depth."""
    frequency = frequency_for_depth(
        resistivity_ohm_m=1e-6, depth_m=0.002, relative_permeability=3.0
    )
    depth = skin_depth(
        resistivity_ohm_m=1e-6, frequency_Hz=float(frequency), relative_permeability=3.0
    )
    assert depth == pytest.approx(2.0)


def test_surface_power_rises_with_the_root_of_frequency() -> None:
    """Four times the frequency gives twice the power at the same field."""
    power = surface_power(
        field_peak_A_per_m=1e5, resistivity_ohm_m=1e-6, frequency_Hz=np.array([1e4, 4e4])
    )
    assert power[1] == pytest.approx(2.0 * power[0])


def test_share_of_heat_ends_at_one() -> None:
    """All heat is set free in the end, none at the surface itself."""
    share = heat_within_depth(depth_over_skin_depth=np.array([0.0, 1.0, 20.0]))
    assert share[0] == 0.0
    assert share[2] == pytest.approx(1.0)


def test_pressing_harder_lowers_contact_resistance() -> None:
    """Resistance falls with the root of the force."""
    force = np.array([500.0, 2000.0])
    found = contact_resistance(force_N=force, hardness_MPa=1500.0, resistivity_ohm_m=1.7e-7)
    assert found.resistance_microohm[1] == pytest.approx(found.resistance_microohm[0] / 2.0)


def test_contact_without_voltage_is_as_cold_as_the_bulk() -> None:
    """No drop, no heat."""
    assert contact_temperature(contact_voltage_V=0.0, bulk_temperature_K=300.0) == 300.0
