"""Shares are shares, and they add up."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.transformation_share import (
    avrami_fraction,
    avrami_half_time,
    koistinen_marburger,
    lever_rule,
    retained_austenite,
)

few = settings(derandomize=True, max_examples=40, deadline=None, database=None)


@few
@given(st.floats(100.0, 500.0), st.floats(-100.0, 600.0), st.floats(0.005, 0.03))
def test_martensite_and_retained_austenite_make_one(Ms: float, T: float, rate: float) -> None:
    """What is not martensite is austenite, also above martensite start."""
    martensite = koistinen_marburger(undercooling_K=Ms - T, rate_per_K=rate)
    austenite = retained_austenite(Ms_degC=Ms, temperature_degC=T, rate_per_K=rate)
    assert 0.0 <= martensite <= 1.0
    assert martensite + austenite == pytest.approx(1.0)


@few
@given(st.floats(0.5, 4.0), st.floats(0.01, 0.99), st.floats(1.0, 1e5))
def test_avrami_gives_back_the_point_it_was_made_from(n: float, y: float, t: float) -> None:
    """The half time of a point reproduces the point."""
    half = avrami_half_time(n=n, fraction=y, time_s=t).half_time_s
    assert avrami_fraction(n=n, half_time_s=half, time_s=t) == pytest.approx(y, rel=1e-9)


@few
@given(st.floats(0.0, 2.0))
def test_lever_rule_keeps_the_mass(carbon: float) -> None:
    """Phases make the whole, and so do constituents."""
    found = lever_rule(carbon_percent=carbon)
    assert found.ferrite_percent + found.cementite_percent == pytest.approx(100.0)
    constituents = (
        found.pearlite_percent,
        found.proeutectoid_ferrite_percent,
        found.proeutectoid_cementite_percent,
    )
    assert sum(constituents) == pytest.approx(100.0)
    assert min(*found) >= -1e-9


def test_all_broadcast() -> None:
    """Arrays of members go through."""
    members = np.full((512, 8), 400.0)
    assert retained_austenite(Ms_degC=members, temperature_degC=20.0).shape == (512, 8)
