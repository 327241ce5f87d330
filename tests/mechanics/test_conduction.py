"""Heat conduction: series against limits, lumped balance against series."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import j0, j1

from linkwright.mechanics.conduction import (
    cylinder_cooling,
    cylinder_one_term,
    cylinder_roots,
    cylinder_temperature,
    lumped_cooling_time,
    lumped_wire_time_constant,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None, database=None)


@few
@given(st.floats(1e-4, 1e4))
def test_roots_solve_their_equation_one_in_each_bracket(biot: float) -> None:
    """Roots satisfy z J1 = Bi J0, rise, and lie about pi apart."""
    z = cylinder_roots(biot)
    assert np.abs(z * j1(z) - biot * j0(z)).max() < 1e-9 * max(1.0, biot)
    assert (np.diff(z) > 2.0).all()
    assert (np.diff(z) < 4.0).all()


@few
@given(st.floats(0.01, 50.0), st.floats(0.002, 3.0), st.floats(0.0, 1.0))
def test_ratio_is_a_ratio_and_falls_outwards(biot: float, fourier: float, x: float) -> None:
    """0 <= theta <= 1, and the surface is never hotter than the inside when cooling."""
    inside = cylinder_temperature(biot=biot, fourier=fourier, radius_ratio=x)
    surface = cylinder_temperature(biot=biot, fourier=fourier, radius_ratio=1.0)
    assert 0.0 <= surface <= inside + 1e-9 <= 1.0 + 1e-8


def test_thin_wire_is_lumped() -> None:
    """For a small Biot number the series is the exponential of the lumped balance."""
    theta = cylinder_temperature(biot=1e-3, fourier=500.0, radius_ratio=0.0)
    assert theta == pytest.approx(np.exp(-2.0 * 1e-3 * 500.0), rel=1e-3)


def test_one_term_joins_the_series() -> None:
    """Above Fo = 0.2 one term is within 2 % of the series; at 1 within 1e-6."""
    biot = np.array([0.1, 1.0, 10.0])
    series = cylinder_temperature(biot=biot, fourier=0.2, radius_ratio=0.0)
    assert cylinder_one_term(biot=biot, fourier=0.2).theta_centre == pytest.approx(series, rel=0.02)
    series = cylinder_temperature(biot=biot, fourier=1.0, radius_ratio=0.0)
    assert cylinder_one_term(biot=biot, fourier=1.0).theta_centre == pytest.approx(series, rel=1e-6)


def test_nothing_has_changed_at_no_time() -> None:
    """At Fo = 0 the bar is as it was."""
    with pytest.warns(UserWarning, match="fourier"):
        assert cylinder_temperature(biot=2.0, fourier=0.0, radius_ratio=1.0) == 1.0


def test_few_terms_are_enough_for_mixed_members() -> None:
    """A member is the same beside one with a far smaller Fourier number."""
    alone = cylinder_temperature(biot=2.0, fourier=0.5, radius_ratio=0.3)
    beside = cylinder_temperature(biot=2.0, fourier=np.array([0.5, 0.002]), radius_ratio=0.3)
    assert beside[0] == pytest.approx(alone, abs=1e-12)


def test_lumped_time_constant_is_the_time_to_one_over_e() -> None:
    """The two lumped calculations agree for a wire."""
    wire = {
        "density_kg_per_m3": 7850.0, "specific_heat_J_per_kgK": 600.0,
        "heat_transfer_W_per_m2K": 80.0,
    }  # fmt: skip
    constant = lumped_wire_time_constant(diameter_mm=8.0, **wire)
    found = lumped_cooling_time(
        diameter_m=0.008,
        initial_degC=100.0 + 500.0,
        final_degC=100.0 + 500.0 / np.e,
        ambient_degC=100.0,
        body="long cylinder",
        **wire,
    )
    assert found.time_s == pytest.approx(constant)
    with pytest.raises(ArgumentError, match="final_degC"):
        lumped_cooling_time(
            diameter_m=0.008, initial_degC=600.0, final_degC=50.0, ambient_degC=100.0, **wire
        )


def test_cooling_ends_at_the_surroundings() -> None:
    """After a long time centre and surface are as cold as the bath."""
    found = cylinder_cooling(
        diameter_m=0.008,
        conductivity_W_per_mK=30.0,
        diffusivity_m2_per_s=6e-6,
        initial_degC=900.0,
        ambient_degC=25.0,
        heat_transfer_W_per_m2K=5000.0,
        time_s=np.array([0.5, 60.0]),
    )
    assert found.surface_degC[0] < found.centre_degC[0] < 900.0
    assert found.centre_degC[1] == pytest.approx(25.0, abs=1e-6)
