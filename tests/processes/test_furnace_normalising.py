"""Normalising: the strength is what analysis and cooling give."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from processes.furnace_stock import (
    ENSEMBLE,
    alone,
    bare_entries,
    closed_link,
    differing,
    furnace,
    members,
    worked,
)

from linkwright.catalogue import recording
from linkwright.processes.normalising import Normalising

NORMALISING, MACHINE = Normalising(), furnace("normalising")
WANTED = {"tensile_strength_MPa": 480.0}


def test_grade_4_steel_reaches_the_strength_of_grade_4() -> None:
    """21Mn5 of 8 mm cools to ferrite and pearlite of some 520 MPa: all within."""
    _, step = worked(NORMALISING, closed_link("21Mn5"), MACHINE, WANTED)
    assert step.finding("ferrite_pearlite_fraction").value == pytest.approx(1.0)
    assert 490.0 < step.finding("tensile_strength_MPa").value < 560.0
    assert {found.verdict for found in step.findings} <= {"within", "no limit given"}


def test_a_steel_that_misses_the_strength_is_told() -> None:
    """SAE 1022 has less manganese: the finding is outside, and names what asked for it."""
    _, step = worked(NORMALISING, closed_link("SAE 1022"), MACHINE, WANTED)
    found = step.finding("tensile_strength_MPa")
    assert found.verdict == "outside"
    assert "breaking force" in found.source


def test_what_is_handed_on_is_what_calibrating_and_inspection_need() -> None:
    """Strength, hardness and the flow curve of the normalised steel; sizes unchanged."""
    link = closed_link("21Mn5")
    _, step = worked(NORMALISING, link, MACHINE, WANTED)
    assert step.stock["tensile_strength_MPa"] == step.finding("tensile_strength_MPa").value
    assert step.stock["hardness_HV"] == step.finding("hardness_HV").value
    assert step.stock["hardening_exponent"] == 0.18
    assert step.stock.shape == link.shape


@settings(max_examples=10, deadline=None, derandomize=True)
@given(speed=st.floats(0.0, 3.0), more=st.floats(0.5, 4.0))
def test_a_stronger_fan_never_makes_softer_chain(speed: float, more: float) -> None:
    """Faster cooling at 700 °C gives harder ferrite and pearlite, then bainite."""
    hard = [
        worked(NORMALISING, closed_link("21Mn5"), MACHINE, WANTED, {"air_speed_m_per_s": one})[1]
        .finding("hardness_HV")
        .value
        for one in (speed, speed + more)
    ]
    assert hard[1] >= hard[0] - 1e-9


def test_a_fan_that_makes_bainite_is_outside() -> None:
    """Thin wire in a strong wind is no longer ferrite and pearlite."""
    thin = closed_link("21Mn5", lot_wire_diameter_mm=4.0)
    _, step = worked(NORMALISING, thin, MACHINE, WANTED, {"air_speed_m_per_s": 8.0})
    assert step.finding("ferrite_pearlite_fraction").verdict == "outside"


def test_thicker_wire_is_slower_and_softer() -> None:
    """Twice the wire: slower at 700 °C and not harder."""
    steps = [
        worked(NORMALISING, closed_link("21Mn5", lot_wire_diameter_mm=size), MACHINE, WANTED)[1]
        for size in (8.0, 16.0)
    ]
    rates = [step.finding("straight_cooling_rate_K_per_s").value for step in steps]
    assert rates[1] < 0.6 * rates[0]
    assert steps[1].finding("hardness_HV").value <= steps[0].finding("hardness_HV").value


def test_a_long_soak_at_high_heat_coarsens_the_grain() -> None:
    """Four hours at 970 °C: grain and temperature outside the works' limits."""
    given_by_order = {"temperature_degC": 970.0, "soak_time_min": 200.0}
    _, step = worked(NORMALISING, closed_link("21Mn5"), MACHINE, WANTED, given_by_order)
    assert step.finding("hottest_temperature_degC").verdict == "outside"
    assert step.finding("austenite_grain_size_number").verdict == "outside"


def test_a_member_alone_is_its_place_in_the_ensemble() -> None:
    """Findings and stock of members at the ends and the middle, to 1e-9."""
    stock = closed_link("21Mn5")
    set_up, whole, drawn_all = members(NORMALISING, stock, MACHINE, WANTED)
    for lot, link in ((0, 0), (7, 1), (ENSEMBLE.lots - 1, 1)):
        one = alone(NORMALISING, stock, MACHINE, set_up, drawn_all, lot, link)
        assert differing(whole, one, lot, link) == []


def test_links_of_a_lot_cool_differently() -> None:
    """Edge and middle of a charge: hardness scatters from link to link."""
    _, whole, _ = members(NORMALISING, closed_link("21Mn5"), MACHINE, WANTED)
    hardness = np.asarray(whole.finding("hardness_HV").value)
    assert hardness.shape == (ENSEMBLE.lots, ENSEMBLE.links)
    assert np.abs(np.diff(hardness, axis=1)).max() > 0.1


def test_every_number_has_its_source() -> None:
    """Recorded, no number of set-up and run is bare."""
    with recording() as book:
        link = closed_link("21Mn5")
        asked = {"tensile_strength_MPa": link["tensile_strength_MPa"]}
        worked(NORMALISING, link, MACHINE, asked)
    assert bare_entries(book) == []
