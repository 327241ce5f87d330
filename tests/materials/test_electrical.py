"""Resistivity by name, and heating by current against a closed form."""

import numpy as np
import pytest

from linkwright.materials.electrical import joule_heating_time, resistivity, resistivity_points
from linkwright.materials.thermal import ec3_enthalpy
from linkwright.quantities import ArgumentError, UnknownName

NAMES = [
    "1008 steel, annealed", "1023 steel, annealed", "1042 steel, annealed",
    "1078 steel, annealed", "1010 steel",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_resistivity_meets_its_points_and_rises(name: str) -> None:
    """The smooth curve goes through every published point and never falls."""
    at_degC, values = resistivity_points(name)
    assert resistivity(material=name, temperature_degC=at_degC) == pytest.approx(values, rel=1e-9)
    fine = resistivity(material=name, temperature_degC=np.linspace(20.0, at_degC[-1], 500))
    assert (np.diff(fine) > 0).all()


def test_unknown_steel_is_answered_with_the_nearest() -> None:
    """A name that is not in the table raises an error that offers the right ones."""
    with pytest.raises(UnknownName, match="1023 steel, annealed"):
        resistivity(material="1024 steel, annealed", temperature_degC=20.0)


def test_constant_resistivity_gives_the_closed_form() -> None:
    """With one resistivity the time is density times enthalpy over J^2 rho."""
    got = joule_heating_time(
        current_density_A_per_mm2=100.0,
        end_degC=1000.0,
        table_temperature_degC=[20.0, 1200.0],
        table_resistivity_microohm_m=[0.5, 0.5],
    )
    wanted = 7850.0 * ec3_enthalpy(temperature_degC=1000.0) / (1e8**2 * 0.5e-6)
    assert got == pytest.approx(wanted, rel=1e-9)


def test_heating_in_two_parts_takes_as_long_as_in_one() -> None:
    """Times add over parts of the temperature range."""
    one = joule_heating_time(current_density_A_per_mm2=50.0, end_degC=1100.0)
    first = joule_heating_time(current_density_A_per_mm2=50.0, end_degC=733.3)
    rest = joule_heating_time(current_density_A_per_mm2=50.0, start_degC=733.3, end_degC=1100.0)
    assert first + rest == pytest.approx(one, rel=1e-7)


def test_one_list_alone_is_refused() -> None:
    """Temperatures without resistivities are an error."""
    with pytest.raises(ArgumentError):
        joule_heating_time(
            current_density_A_per_mm2=50.0, end_degC=900.0, table_temperature_degC=[20.0, 900.0]
        )
