"""Carburising."""

import pytest
from scipy.special import erf

from linkwright.materials.diffusion import (
    carbon_diffusivity_agren,
    carbon_diffusivity_tibbetts,
    carburising_time,
    mid_carbon_depth,
)
from linkwright.quantities import ArgumentError


def test_time_and_depth_solve_the_error_function() -> None:
    """The time found puts the target carbon at the depth."""
    found = carburising_time(
        initial_carbon_percent=0.2,
        surface_carbon_percent=1.0,
        target_carbon_percent=0.45,
        depth_mm=0.8,
        temperature_degC=930.0,
    )
    z = 0.8e-3 / (2.0 * (found.diffusivity_m2_per_s * found.time_h * 3600.0) ** 0.5)
    assert 1.0 - 0.8 * erf(z) == pytest.approx(0.45)


def test_half_way_carbon_agrees_with_the_square_root_rule() -> None:
    """The depth of mean carbon is 0.954 sqrt(D t) within a thousandth."""
    depth = mid_carbon_depth(temperature_degC=925.0, time_h=4.0).depth_mm
    time = carburising_time(
        initial_carbon_percent=0.2,
        surface_carbon_percent=1.0,
        target_carbon_percent=0.6,
        depth_mm=float(depth),
        temperature_degC=925.0,
        D0_m2_per_s=1.5e-5,
        activation_J_per_mol=135000.0,
    ).time_h
    assert time == pytest.approx(4.0, rel=1e-3)


def test_target_beyond_the_surface_is_refused() -> None:
    """No time brings more carbon in than stands at the surface."""
    with pytest.raises(ArgumentError, match="between"):
        carburising_time(
            initial_carbon_percent=0.2,
            surface_carbon_percent=1.0,
            target_carbon_percent=1.1,
            depth_mm=0.5,
            temperature_degC=930.0,
        )


@pytest.mark.parametrize("law", [carbon_diffusivity_agren, carbon_diffusivity_tibbetts])
def test_carbon_runs_faster_when_hot_and_when_there_is_much(law: object) -> None:
    """Diffusivity rises with temperature and with carbon."""
    base = law(carbon_percent=0.4, temperature_degC=900.0)  # type: ignore[operator]
    assert law(carbon_percent=0.4, temperature_degC=950.0) > base  # type: ignore[operator]
    assert law(carbon_percent=0.8, temperature_degC=900.0) > base  # type: ignore[operator]


@pytest.mark.parametrize("temperature", [850.0, 925.0, 1000.0])
def test_two_laws_of_carbon_agree_up_to_eutectoid_carbon(temperature: float) -> None:
    """Tibbetts (1980) and Ågren (1986) differ by less than 12 % up to 0.8 % carbon."""
    for carbon in (0.1, 0.4, 0.8):
        both = [
            law(carbon_percent=carbon, temperature_degC=temperature)
            for law in (carbon_diffusivity_agren, carbon_diffusivity_tibbetts)
        ]
        assert both[0] == pytest.approx(both[1], rel=0.12)
