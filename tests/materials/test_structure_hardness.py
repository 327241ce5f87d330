"""What a cooled steel consists of and how hard that is."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.austenite_decomposition import (
    austenitising_parameter,
    constituents_after_cooling,
    critical_cooling_rate,
)
from linkwright.materials.structure_hardness import constituent_hardness, mixed_hardness
from linkwright.quantities import UnknownName

few = settings(derandomize=True, max_examples=40, deadline=None, database=None)
CHAIN = {
    "C_percent": 0.23, "Mn_percent": 1.25, "Ni_percent": 1.0, "Cr_percent": 0.5, "Mo_percent": 0.55
}  # fmt: skip


@few
@given(
    st.floats(0.1, 0.5),
    st.floats(0.3, 2.0),
    st.floats(0.0, 2.0),
    st.floats(0.0, 1.0),
    st.floats(750.0, 950.0),
)
def test_shares_sum_to_one_and_follow_the_rate(
    carbon: float, manganese: float, nickel: float, molybdenum: float, parameter: float
) -> None:
    """For any analysis in range martensite rises and ferrite falls with the cooling rate."""
    found = constituents_after_cooling(
        C_percent=carbon,
        Mn_percent=manganese,
        Ni_percent=nickel,
        Mo_percent=molybdenum,
        parameter_degC=parameter,
        cooling_rate_K_per_h=np.logspace(0, 8, 200),
    )
    assert np.sum(found, axis=0) == pytest.approx(1.0)
    assert np.min(found) >= 0.0
    assert (np.diff(found.martensite_fraction) >= -1e-12).all()
    assert (np.diff(found.ferrite_pearlite_fraction) <= 1e-12).all()


@pytest.mark.parametrize(
    ("structure", "martensite", "bainite"),
    [("V1", 1.0, 0.0), ("V1(90)", 0.9, 0.1), ("V1(50)", 0.5, 0.5), ("V2(90)", 0.0, 0.9)],
)
def test_a_critical_rate_gives_its_structure(
    structure: str, martensite: float, bainite: float
) -> None:
    """At each critical rate the shares are those that define it."""
    rate = critical_cooling_rate(structure=structure, parameter_degC=850.0, **CHAIN)
    found = constituents_after_cooling(
        parameter_degC=850.0, cooling_rate_K_per_h=rate.cooling_rate_K_per_h, **CHAIN
    )
    assert found.martensite_fraction == pytest.approx(martensite, abs=1e-6)
    assert found.bainite_fraction == pytest.approx(bainite, abs=1e-6)


def test_harder_austenitising_makes_hardening_easier() -> None:
    """A higher austenitising parameter lowers the rate for full martensite."""
    low, high = (
        critical_cooling_rate(parameter_degC=p, **CHAIN).cooling_rate_K_per_h
        for p in (800.0, 900.0)
    )
    assert high < low


def test_an_hour_is_its_own_parameter() -> None:
    """One hour at a temperature gives that temperature."""
    found = austenitising_parameter(temperature_degC=900.0, time_h=1.0)
    assert found.parameter_degC == pytest.approx(900.0)


def test_unknown_structure_lists_what_is_known() -> None:
    """A structure that is not defined is answered with those that are."""
    with pytest.raises(UnknownName, match="V1"):
        critical_cooling_rate(structure="V1(80)", parameter_degC=850.0, **CHAIN)


def test_mixed_hardness_lies_between_its_constituents() -> None:
    """A mixture is never harder than its hardest part nor softer than its softest."""
    hardness = constituent_hardness(cooling_rate_martensite_K_per_h=1e5, **CHAIN)
    mixed = mixed_hardness(
        martensite_fraction=0.3,
        martensite_HV=hardness.martensite_HV,
        bainite_fraction=0.5,
        bainite_HV=hardness.bainite_HV,
        ferrite_pearlite_fraction=0.2,
        ferrite_pearlite_HV=hardness.ferrite_pearlite_HV,
    )
    assert min(hardness) < mixed < max(hardness)
