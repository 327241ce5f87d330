"""Factors of selection: composition of the corrected power, names that are not known."""

import numpy as np
import pytest

from linkwright.quantities import UnknownName
from linkwright.standards.reader import published_table
from linkwright.standards.roller_selection import (
    iso10823_application_factor,
    iso10823_application_factors,
    iso10823_corrected_power,
    iso10823_tooth_factor,
    lubrication_speed_limits,
    roller_service_factor,
    roller_service_factors,
)

MACHINES = published_table("iso10823_application").listed
LOADS = published_table("roller_service_factor").listed


@pytest.mark.parametrize("machine", MACHINES)
def test_rougher_drivers_need_greater_factors(machine: str) -> None:
    """Application factors of a machine rise with the shocks of the driver."""
    assert np.all(np.diff(iso10823_application_factors(driven_machine=machine)) > 0)


def test_rougher_loads_need_greater_factors() -> None:
    """Each column of both tables rises from smooth to heavy."""
    iso = np.array([iso10823_application_factors(driven_machine=name) for name in MACHINES])
    american = np.array([roller_service_factors(load_kind=name) for name in LOADS])
    assert np.all(np.diff(iso, axis=0) > 0)
    assert np.all(np.diff(american, axis=0) > 0)


def test_the_corrected_power_is_made_of_both_factors() -> None:
    """Pc = P f1 f2, and f2 is 1 for the 19 teeth of the charts."""
    found = iso10823_corrected_power(
        power_kW=10.0, teeth_small=np.array([19, 25]), driven_machine="heavy shocks",
        driver="slight shocks",
    )  # fmt: skip
    np.testing.assert_allclose(found.tooth_factor, [1.0, iso10823_tooth_factor(teeth_small=25)])
    np.testing.assert_allclose(found.corrected_power_kW, 10 * 1.9 * found.tooth_factor)


def test_what_is_not_listed_is_named() -> None:
    """Machine, driver and load of another name are refused with those that are known."""
    with pytest.raises(UnknownName, match="heavy shocks"):
        iso10823_application_factors(driven_machine="violent")
    with pytest.raises(UnknownName, match="slight shocks"):
        iso10823_corrected_power(
            power_kW=1.0, teeth_small=19, driven_machine="smooth", driver="diesel"
        )
    with pytest.raises(UnknownName, match="moderate shock"):
        roller_service_factors(load_kind="rough")


def test_greater_chains_run_slower_by_each_kind_of_lubrication() -> None:
    """Speed limits fall with the pitch, and a bath allows more than a drip."""
    limits = [
        lubrication_speed_limits(chain_number=number)
        for number in published_table("roller_lubrication").listed
    ]
    assert np.all(np.diff(limits, axis=0) < 0)
    assert all(bath > 5 * drip for drip, bath in limits)
    assert lubrication_speed_limits(chain_number="16A") == lubrication_speed_limits(
        chain_number="80H"
    )


def test_single_factors_are_cells_of_the_tables() -> None:
    """One machine with one driver, one load with one prime mover."""
    for name in MACHINES:
        single = [
            iso10823_application_factor(driven_machine=name, driver=driver)
            for driver in ("smooth", "slight shocks", "moderate shocks")
        ]
        assert single == list(iso10823_application_factors(driven_machine=name))
    for name in LOADS:
        motor = roller_service_factor(load_kind=name, prime_mover="electric motor")
        assert motor == roller_service_factors(load_kind=name).service_factor_electric_motor
    with pytest.raises(UnknownName, match="electric motor"):
        roller_service_factor(load_kind="smooth", prime_mover="horse")
