"""Carburised cases: programme, structure, depth."""

import time

import numpy as np
import pytest
from scipy.special import erf

from linkwright.materials.diffusion import (
    alloy_carbon_factor,
    case_depth_harris,
    nitrogen_diffusivity_austenite,
)
from linkwright.processes.models.carburising import (
    carburised_profile,
    carburising_programme,
    nitrided_profile,
)
from linkwright.processes.models.case_structure import (
    case_carbon,
    case_structure,
    depth_after_grinding,
    hardening_depth,
)
from linkwright.quantities import ArgumentError, UnknownName

PIN = {"section_mm": 8.0, "C_percent": 0.17, "temperature_degC": 925.0}
GAS = {"boost_potential_percent": 1.05, "transfer_m_per_s": 1.3e-7}
STEEL = {"Mn_percent": 1.2, "Cr_percent": 1.0, "Si_percent": 0.25}


@pytest.mark.parametrize("fahrenheit", [1600.0, 1700.0, 1800.0])
@pytest.mark.parametrize("hours", [2.0, 8.0])
def test_total_depth_of_harris_is_one_carbon_content(fahrenheit: float, hours: float) -> None:
    """Saturated steel: at the total depth of Harris (1943) carbon is 0.07 to 0.12 % above the core.

    Harris does not say to which carbon he measured; one content for all times and temperatures
    shows that both laws go alike with them.
    """
    made = carburised_profile(
        section_mm=60.0,
        boost_time_h=hours,
        boost_potential_percent=1.25,
        C_percent=0.2,
        temperature_degC=(fahrenheit - 32.0) / 1.8,
        transfer_m_per_s=1e-4,
    )
    rule = 25.4 * case_depth_harris(temperature_degF=fahrenheit, time_h=hours)
    assert 0.27 < np.interp(rule, made.depth_mm, made.content_percent) < 0.32


def test_case_of_half_a_millimetre_takes_about_two_hours() -> None:
    """0.45 mm to 550 HV at 925 °C: 1.2 to 2.5 h at temperature (rough reckoning, no source)."""
    carbon = case_carbon(
        limit_HV=550.0, cooling_rate_K_per_s=60.0, parameter_degC=930.0,
        core_carbon_percent=0.17, temper_share=0.93, **STEEL,
    )  # fmt: skip
    plan = carburising_programme(
        depth_mm=0.45, carbon_at_depth_percent=carbon, surface_carbon_percent=0.8,
        hold_time_min=20.0, **PIN, **GAS,
    )  # fmt: skip
    assert 1.2 < plan.boost_time_h + plan.diffuse_time_h < 2.5


@pytest.mark.parametrize(("depth", "bore"), [(0.15, 5.0), (0.5, 0.0), (1.5, 0.0)])
def test_the_programme_does_what_was_wanted(depth: float, bore: float) -> None:
    """Its times and potential, run, put the carbon where it was asked for."""
    wanted = {"hold_time_min": 15.0, "bore_mm": bore, "alloy_factor": 0.9, **PIN, **GAS}
    plan = carburising_programme(
        depth_mm=depth, carbon_at_depth_percent=0.33, surface_carbon_percent=0.78, **wanted
    )
    made = carburised_profile(
        boost_time_h=plan.boost_time_h, diffuse_time_h=plan.diffuse_time_h,
        diffuse_potential_percent=plan.diffuse_potential_percent, **wanted,
    )  # fmt: skip
    assert np.interp(depth, made.depth_mm, made.content_percent) == pytest.approx(0.33, abs=1e-5)
    assert made.surface_content_percent == pytest.approx(0.78, abs=1e-5)


def test_a_case_deeper_than_the_pin_is_refused() -> None:
    """No programme leaves 0.33 % at the centre of a pin and 2.0 % at its surface."""
    with pytest.raises(ArgumentError, match="has no programme"):
        carburising_programme(
            depth_mm=0.5, carbon_at_depth_percent=0.33, surface_carbon_percent=1.5, **PIN, **GAS
        )


def test_depth_goes_as_the_root_of_the_time() -> None:
    """Where the surface is at the potential, depth goes as the root of the time."""
    depths = []
    for hours in (2.0, 8.0):
        made = carburised_profile(
            section_mm=60.0, boost_time_h=hours, boost_potential_percent=1.0, C_percent=0.2,
            temperature_degC=925.0, transfer_m_per_s=1e-4,
        )  # fmt: skip
        depths.append(np.interp(-0.5, -made.content_percent, made.depth_mm))
    assert depths[1] / depths[0] == pytest.approx(2.0, rel=0.01)


def test_nitrogen_is_the_error_function() -> None:
    """A surface held at 0.4 %: 0.4 [1 - erf(x/2 sqrt(Dt))] within 0.5 % of 0.4."""
    made = nitrided_profile(
        section_mm=20.0, time_h=2.0, nitrogen_potential_percent=0.4, temperature_degC=860.0,
        transfer_m_per_s=1e-3, body="flat",
    )  # fmt: skip
    root = np.sqrt(nitrogen_diffusivity_austenite(temperature_degC=860.0) * 7200.0) * 1e3
    exact = 0.4 * (1.0 - erf(made.depth_mm / (2.0 * root)))
    assert made.content_percent == pytest.approx(exact, abs=0.002)


def test_chromium_takes_up_more_silicon_and_nickel_less() -> None:
    """Signs of the factor: carbide formers below one."""
    assert alloy_carbon_factor(Cr_percent=1.0) < 1.0 < alloy_carbon_factor(Si_percent=0.5)
    assert alloy_carbon_factor(Ni_percent=2.0) > 1.0
    assert alloy_carbon_factor() == 1.0


def test_members_are_their_single_runs() -> None:
    """Profile, structure and depth over (lots, 1) equal each lot alone to 1e-9."""
    hours, section = np.array([[1.0], [1.5], [2.5]]), np.array([[5.0], [8.0], [12.0]])

    def run(time_h: object, wide: object) -> tuple[object, object]:
        made = carburised_profile(
            **PIN | {"section_mm": wide}, **GAS, boost_time_h=time_h, diffuse_time_h=0.5
        )
        case = case_structure(
            carbon_percent=made.content_percent, cooling_rate_K_per_s=40.0 + 0.0 * time_h,
            parameter_degC=930.0, **STEEL,
        )  # fmt: skip
        return case.hardness_HV, hardening_depth(
            depth_mm=made.depth_mm, hardness_HV=case.hardness_HV
        )

    hardness, depth = run(hours, section)
    assert hardness.shape == (3, 1, 41)
    for at in range(3):
        one, deep = run(float(hours[at, 0]), float(section[at, 0]))
        assert hardness[at, 0] == pytest.approx(one, rel=1e-9)
        assert depth[at, 0] == pytest.approx(deep, rel=1e-9)


def test_hardness_peaks_and_austenite_grows_with_carbon() -> None:
    """Beyond 0.6 % carbon austenite stays and the case gets softer."""
    carbon = np.linspace(0.15, 1.1, 20)
    case = case_structure(
        carbon_percent=carbon, cooling_rate_K_per_s=60.0, parameter_degC=930.0, **STEEL
    )
    assert np.all(np.diff(case.retained_austenite_fraction) > 0.0)
    assert 0.5 < carbon[np.argmax(case.hardness_HV)] < 0.7
    total = case.martensite_fraction + case.retained_austenite_fraction + case.other_fraction
    assert total == pytest.approx(1.0)


def test_a_colder_bath_leaves_less_austenite() -> None:
    """Deep cooling to -70 °C against oil at 60 °C."""
    same = {"carbon_percent": 0.85, "cooling_rate_K_per_s": 60.0, "parameter_degC": 930.0}
    oil, cold = (
        case_structure(bath_temperature_degC=bath, **same, **STEEL) for bath in (60.0, -70.0)
    )
    assert cold.retained_austenite_fraction < 0.5 * oil.retained_austenite_fraction
    assert cold.hardness_HV > oil.hardness_HV


def test_case_carbon_gives_its_hardness() -> None:
    """There and back through the structure."""
    quench = {"cooling_rate_K_per_s": 30.0, "parameter_degC": 925.0, **STEEL}
    carbon = case_carbon(limit_HV=600.0, core_carbon_percent=0.17, **quench)
    case = case_structure(carbon_percent=carbon, **quench)
    assert case.hardness_HV == pytest.approx(600.0, abs=0.2)


def test_a_hardness_beyond_the_case_is_refused() -> None:
    """No carbon gives 1000 HV."""
    with pytest.raises(ArgumentError, match="HV of the case"):
        case_carbon(
            limit_HV=1000.0, cooling_rate_K_per_s=60.0, parameter_degC=930.0,
            core_carbon_percent=0.2,
        )  # fmt: skip


def test_depth_of_the_limit() -> None:
    """Straight between readings; the last fall counts; through-hard and soft parts have ends."""
    depth = [0.1, 0.3, 0.5, 0.7]
    assert hardening_depth(depth_mm=depth, hardness_HV=[740.0, 660.0, 570.0, 450.0]) == (
        pytest.approx(0.5 + 0.2 * 20.0 / 120.0)
    )
    soft_skin = hardening_depth(depth_mm=depth, hardness_HV=[520.0, 660.0, 540.0, 450.0])
    assert soft_skin == pytest.approx(0.3 + 0.2 * 110.0 / 120.0)
    assert hardening_depth(depth_mm=depth, hardness_HV=[700.0] * 4) == 0.7
    assert hardening_depth(depth_mm=depth, hardness_HV=[500.0] * 4) == 0.0


def test_grinding_takes_half_the_reduction() -> None:
    """0.16 mm off the diameter are 0.08 mm of case, never below none."""
    assert depth_after_grinding(case_depth_mm=0.5, diameter_reduction_mm=0.16) == (
        pytest.approx(0.42)
    )
    assert depth_after_grinding(case_depth_mm=0.05, diameter_reduction_mm=0.16) == 0.0


def test_a_body_without_a_name_is_refused() -> None:
    """Round and flat are known."""
    with pytest.raises(UnknownName, match="round"):
        carburised_profile(**PIN, **GAS, boost_time_h=1.0, body="rund")


def test_a_member_takes_milliseconds() -> None:
    """A run of its own below 60 ms of processor time, 64 members below 2 ms each."""
    carburised_profile(**PIN, **GAS, boost_time_h=1.0)
    for members, most in ((1, 0.06), (64, 0.002)):
        start = time.process_time()
        carburised_profile(**PIN, **GAS, boost_time_h=np.full(members, 1.0), diffuse_time_h=0.5)
        assert (time.process_time() - start) / members < most
