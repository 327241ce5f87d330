"""Furnace hardening: soak above Ac3, quench in a tank."""

from __future__ import annotations

import numpy as np
import pytest
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

from linkwright.catalogue import ValidityWarning, recording
from linkwright.processes.furnace_hardening import FurnaceHardening
from linkwright.quantities import CannotPlan
from linkwright.route import SOLVED

HARDENING, MACHINE = FurnaceHardening(), furnace("furnace_hardening")
RICH = "23MnNiCrMo5-2"


def test_the_time_in_the_furnace_gives_the_soak() -> None:
    """Solved backwards: the soak that comes out is the one that the works holds."""
    set_up, step = worked(HARDENING, closed_link(RICH), MACHINE)
    assert step.finding("soak_time_min").value == pytest.approx(12.0, rel=2e-3)
    time = next(one for one in set_up.settings if one.name == "time_in_furnace_min")
    assert time.how == SOLVED
    speed = set_up["belt_speed_m_per_min"]
    assert speed == pytest.approx(6.0 / set_up["time_in_furnace_min"])


def test_a_batch_furnace_has_no_belt() -> None:
    """Without a heated length there is no belt to set."""
    set_up, _ = worked(HARDENING, closed_link(RICH), MACHINE.without("heated_length_mm"))
    assert "belt_speed_m_per_min" not in set_up


def test_chain_steel_hardens_through() -> None:
    """Grade 8 steel is martensite throughout and within all limits."""
    _, step = worked(HARDENING, closed_link(RICH), MACHINE)
    assert {found.verdict for found in step.findings} <= {"within", "no limit given"}
    assert step.finding("least_martensite_fraction").value > 0.99
    assert 450.0 < step.finding("quenched_hardness_HV").value < 560.0


def test_what_is_handed_on_is_what_the_quench_ring_hands_on() -> None:
    """Shares that sum to one and hardness of the constituents, by zone and position."""
    _, step = worked(HARDENING, closed_link(), MACHINE)
    stock = step.stock
    names = ("martensite_fraction", "bainite_fraction", "ferrite_pearlite_fraction")
    assert sum(stock[name] for name in names) == pytest.approx(np.ones((3, 3)))
    for name in ("martensite_HV", "bainite_HV", "ferrite_pearlite_HV"):
        assert np.shape(stock[name]) == (3, 3)
    assert stock.form == "chain"
    assert stock["pitch_mm"] == closed_link()["pitch_mm"]


def test_a_furnace_below_ac3_is_outside() -> None:
    """At 800 °C the coldest place is not austenite: outside, and the grain law warns."""
    with pytest.warns(ValidityWarning, match="austenite_grain_size"):
        _, step = worked(HARDENING, closed_link(), MACHINE, given={"temperature_degC": 800.0})
    assert step.finding("coldest_temperature_degC").verdict == "outside"


def test_a_slow_transfer_lets_the_chain_cool() -> None:
    """Thin wire loses more on its way to the tank the longer that takes."""
    entries = [
        worked(HARDENING, closed_link(), MACHINE, given={"transfer_time_s": seconds})[1]
        .finding("water_entry_temperature_degC")
        .value
        for seconds in (1.0, 4.0, 9.0)
    ]
    assert entries == sorted(entries, reverse=True)


def test_lean_steel_falls_short_where_the_bath_is_weak() -> None:
    """At half the severity the contact of lean steel is less martensite."""
    _, strong = worked(HARDENING, closed_link(), MACHINE)
    _, weak = worked(HARDENING, closed_link(), MACHINE.changed(severity_per_in=0.6))
    least = "least_martensite_fraction"
    assert weak.finding(least).value < strong.finding(least).value
    assert weak.finding(least).verdict == "outside"


def test_hours_and_energy_follow_from_the_charge() -> None:
    """430 kg in charges of 240 kg; energy is more than the heat content of the steel."""
    set_up, step = worked(HARDENING, closed_link(), MACHINE)
    hours = 430.0 / 240.0 * set_up["time_in_furnace_min"] / 60.0
    assert step.use["machine_time_h"] == pytest.approx(hours)
    assert step.use["electricity_kWh"] > 430.0 * 600.0 / 3600.0


def test_a_soak_out_of_reach_cannot_be_planned() -> None:
    """A soak beyond the furnace's longest time is refused with the range of the machine."""
    with pytest.raises(CannotPlan, match="time_in_furnace_min"):
        worked(HARDENING, closed_link(), MACHINE, given={"soak_time_min": 300.0})


def test_a_member_alone_is_its_place_in_the_ensemble() -> None:
    """Findings and stock of members at the ends and the middle, to 1e-9."""
    stock = closed_link()
    set_up, whole, drawn_all = members(HARDENING, stock, MACHINE)
    for lot in (0, 7, ENSEMBLE.lots - 1):
        one = alone(HARDENING, stock, MACHINE, set_up, drawn_all, lot, 0)
        assert differing(whole, one, lot, 0) == []


def test_lots_differ_and_stay_near_the_nominal() -> None:
    """The ensemble scatters about the nominal pass."""
    _, step = worked(HARDENING, closed_link(), MACHINE)
    _, whole, _ = members(HARDENING, closed_link(), MACHINE)
    name = "coldest_temperature_degC"
    lots = np.asarray(whole.finding(name).value)
    assert lots.shape == (ENSEMBLE.lots, 1)
    assert 2.0 < lots.std() < 9.0
    assert lots.mean() == pytest.approx(step.finding(name).value, abs=3.0)


def test_every_number_has_its_source() -> None:
    """Recorded, no number of set-up and run is bare."""
    with recording() as book:
        worked(HARDENING, closed_link(), MACHINE)
    assert bare_entries(book) == []


def test_hot_metal_fumes_and_steam_are_named() -> None:
    """The cautions of the step name what can hurt."""
    _, step = worked(HARDENING, closed_link(), MACHINE)
    text = " ".join(caution.danger for caution in step.cautions)
    for word in ("red heat", "Fumes", "Steam"):
        assert word in text
