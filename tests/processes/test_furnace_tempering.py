"""Furnace tempering: the temperature for the strength wanted."""

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
    conditions,
    differing,
    furnace,
    members,
    worked,
)

from linkwright.catalogue import recording
from linkwright.processes.furnace_hardening import FurnaceHardening
from linkwright.processes.furnace_tempering import FurnaceTempering
from linkwright.quantities import CannotPlan
from linkwright.route import Stock

LEAST = {"temperature_degC": 400.0, "time_h": 1.0}
TEMPERING, MACHINE = FurnaceTempering(LEAST, "EN 818-2, 5.3.2"), furnace("furnace_tempering")
RICH = "23MnNiCrMo5-2"
WANTED = {"tensile_strength_MPa": 1200.0}


def quenched(steel: str = RICH) -> Stock:
    """Chain as the hardening furnace hands it on."""
    return worked(FurnaceHardening(), closed_link(steel), furnace("furnace_hardening"))[1].stock


def sourced_sizes(link: Stock) -> dict[str, float]:
    """Sizes of a link with their source."""
    return {name: link[name] for name in ("wire_diameter_mm", "pitch_mm", "outer_width_mm")}


def test_the_temperature_gives_the_strength_wanted() -> None:
    """Solved backwards: the strength that comes out is the one asked for."""
    _, step = worked(TEMPERING, quenched(), MACHINE, WANTED)
    assert step.finding("tensile_strength_MPa").value == pytest.approx(1200.0, rel=1e-4)
    assert step.stock["tensile_strength_MPa"] == pytest.approx(1200.0, rel=1e-4)
    assert 400.0 < step.finding("temper_temperature_degC").value < 600.0


def test_an_hour_at_temperature_is_its_own_equivalent() -> None:
    """90 minutes at 488 °C temper a little further than one hour there, by both laws."""
    set_up, step = worked(TEMPERING, quenched(), MACHINE, WANTED)
    for name in ("one_hour_equivalent_degC", "one_hour_equivalent_creusot_loire_degC"):
        found = step.finding(name)
        assert 0.0 < found.value - set_up["temperature_degC"] < 10.0
        assert found.least == 400.0


@settings(max_examples=12, deadline=None, derandomize=True)
@given(temperature=st.floats(250.0, 640.0), hotter=st.floats(5.0, 50.0))
def test_hardness_falls_with_temper(temperature: float, hotter: float) -> None:
    """A hotter furnace never leaves a harder chain."""
    chain = quenched()
    soft = [
        worked(TEMPERING, chain, MACHINE, WANTED, {"temperature_degC": one})[1]
        .finding("hardness_HV")
        .value
        for one in (temperature, temperature + hotter)
    ]
    assert soft[1] <= soft[0] + 1e-9


def test_chain_that_needs_little_strength_is_tempered_as_soft_as_the_furnace_can() -> None:
    """Grade 3 of hardened steel stays stronger than asked; the aim says so."""
    set_up, step = worked(TEMPERING, quenched("21Mn5"), MACHINE, {"tensile_strength_MPa": 400.0})
    assert set_up["temperature_degC"] == 690.0
    assert step.finding("tensile_strength_MPa").value > 400.0
    assert step.finding("temper_temperature_degC").verdict in {"within", "close"}


def test_the_furnace_stays_below_ac1() -> None:
    """A furnace whose range reaches 800 °C is still set below Ac1 of the steel."""
    hot = furnace("furnace_tempering")
    hot.range["temperature_degC"] = (200.0, 800.0)
    set_up, step = worked(TEMPERING, quenched("21Mn5"), hot, {"tensile_strength_MPa": 400.0})
    greatest = step.finding("temper_temperature_degC").greatest
    assert set_up["temperature_degC"] == pytest.approx(greatest - 15.0)


def test_strength_beyond_the_quenched_chain_cannot_be_planned() -> None:
    """No temper makes chain stronger than the quench left it."""
    with pytest.raises(CannotPlan, match="2500 MPa"):
        worked(TEMPERING, quenched(), MACHINE, {"tensile_strength_MPa": 2500.0})


def test_a_temper_below_the_standard_is_outside() -> None:
    """At 300 °C the least temper of the standard is missed, though the furnace can do it."""
    _, step = worked(TEMPERING, quenched(), MACHINE, WANTED, {"temperature_degC": 300.0})
    assert step.finding("one_hour_equivalent_degC").verdict == "outside"


def test_a_standard_without_a_least_temper_gives_no_limit() -> None:
    """The equivalent is told, but nothing is judged that the standard does not hold."""
    _, step = worked(
        FurnaceTempering(), quenched("21Mn5"), MACHINE, {"tensile_strength_MPa": 800.0}
    )
    assert step.finding("one_hour_equivalent_degC").verdict == "no limit given"


def test_a_short_time_shows_as_a_short_soak() -> None:
    """Half an hour does not soak the charge: outside the works' least soak."""
    _, step = worked(TEMPERING, quenched(), MACHINE, WANTED, {"time_in_furnace_min": 40.0})
    assert step.finding("soak_time_min").verdict == "outside"


def test_a_member_alone_is_its_place_in_the_ensemble() -> None:
    """Findings and stock of members at the ends and the middle, to 1e-9."""
    chain = quenched()
    set_up, whole, drawn_all = members(TEMPERING, chain, MACHINE, WANTED)
    for lot, link in ((0, 0), (7, 1), (ENSEMBLE.lots - 1, 1)):
        one = alone(TEMPERING, chain, MACHINE, set_up, drawn_all, lot, link)
        assert differing(whole, one, lot, link) == []


def test_members_of_quenched_lots_run_through() -> None:
    """Lots that left the tank with different structures temper lot by lot and link by link."""
    _, hard, _ = members(FurnaceHardening(), closed_link(RICH), furnace("furnace_hardening"))
    nominal, _ = worked(TEMPERING, quenched(), MACHINE, WANTED)
    everyone = conditions(TEMPERING, ensemble=ENSEMBLE)
    step = TEMPERING.run({"main": hard.stock}, nominal, MACHINE, everyone)
    strength = np.asarray(step.finding("tensile_strength_MPa").value)
    assert strength.shape == (ENSEMBLE.lots, ENSEMBLE.links)
    assert np.isfinite(strength).all()
    assert 20.0 < strength.std() < 150.0


def test_every_number_has_its_source() -> None:
    """Recorded, no number of set-up and run is bare."""
    with recording() as book:
        link = closed_link(RICH)
        chain = worked(FurnaceHardening(), link, furnace("furnace_hardening"))[1].stock
        asked = {"tensile_strength_MPa": link["tensile_strength_MPa"]}
        worked(FurnaceTempering(), chain, MACHINE, {**sourced_sizes(link), **asked})
    assert bare_entries(book) == []
