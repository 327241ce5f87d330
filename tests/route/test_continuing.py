"""Dividing a route behind a lot: the places that are done, those that are left."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest

from linkwright.quantities import CannotPlan
from linkwright.route import (
    MAIN,
    SOLVED,
    Conditions,
    Finding,
    Operation,
    Place,
    Requirement,
    Route,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stock,
    Stocks,
    Wanted,
    settle,
    walk,
)
from linkwright.route.continuing import Continued, continued, divided
from linkwright.route.half_done import (
    Done,
    Reading,
    Start,
    levels,
    slopes,
    spread_source,
    steered,
    without_measured,
    worked,
)

LOT = Scatter("lot/a/rolling/bar_mm", 0.1, "invented")
LINK = Scatter("link/a/sawing/piece_mm", 0.2, "invented")
NOMINAL = Conditions({LOT.name: LOT, LINK.name: LINK})
READING = Reading("rolling", "heat_degC", "pass_mm")


class Bench:
    """A machine without limits."""

    name, many = "bench", 1.0
    operations: tuple[str, ...] = ()
    card: tuple[Any, ...] = ()
    held: Any = MappingProxyType({})
    spread: Any = held
    rate: Any = held

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """None."""
        return None, None


class Rolling(Operation):
    """A bar as thick as the pass is set; its heat is 900 less 10 a millimetre."""

    name = "rolling"
    scatter = (LOT,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Nothing: a billet is what it is."""
        return {}

    def set_up(
        self, stocks: Stocks, wanted: Wanted, machine: Any, factors: Conditions, given: Any
    ) -> SetUp:
        """The pass as given, else for the bar wanted."""
        value = given.get("pass_mm", wanted["bar_mm"])
        return SetUp((Setting("pass_mm", value, SOLVED),))

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """A bar, and how hot it is."""
        bar = factors.actual(LOT.name, settings["pass_mm"])
        heat = 900.0 - 10.0 * bar
        shape = {"bar_mm": bar, "lot_bar_mm": bar}
        stock = stocks[MAIN].changed("bar", shape=shape, condition={"grain_um": 0.1 * heat})
        return Step((Finding("heat_degC", heat),), stock)


class Sawing(Operation):
    """Pieces of three times the bar's thickness and what is set on top."""

    name = "sawing"
    scatter = (LINK,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The bar that is wanted, of fine grain."""
        return {MAIN: {"bar_mm": wanted["bar_mm"], "grain_um": wanted["toughness_J"] / 2.0}}

    def set_up(
        self, stocks: Stocks, wanted: Wanted, machine: Any, factors: Conditions, given: Any
    ) -> SetUp:
        """The stop for the piece wanted."""
        stop = wanted["piece_mm"] - 3.0 * stocks[MAIN]["bar_mm"]
        return SetUp((Setting("stop_mm", stop, SOLVED),))

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """A piece, and how tough it is."""
        bar = stocks[MAIN]
        piece = factors.actual(LINK.name, settings["stop_mm"] + 3.0 * bar["bar_mm"])
        tough = 2.0 * bar["grain_um"]
        stock = bar.changed("piece", shape={"piece_mm": piece})
        return Step((Finding("piece_mm", piece), Finding("toughness_J", tough)), stock)


PLACES = (Place(Rolling(), "a", Bench()), Place(Sawing(), "a", Bench(), {MAIN: "a/rolling"}))
ROUTE = Route(PLACES, {"a/rolling": Stock("billet", "invented")})
WANTED = {"bar_mm": 10.0, "piece_mm": 40.0, "toughness_J": 160.0}
NEEDS = [Requirement("toughness_J", 150.0, None, 1.0, "invented")]
PLANNED = settle(ROUTE, WANTED, NOMINAL, {})


def done(used: Mapping[str, Any] | None = None) -> Done:
    return worked(divided(ROUTE, "rolling")[0], PLANNED, used or {}, NOMINAL)


def rest(measured: Mapping[str, float], **fields: Any) -> Continued:
    start = Start(done(), measured, fields.get("spreads", {}), None, {})
    return continued(ROUTE, PLANNED, WANTED, start, NEEDS, NOMINAL)


def members(lots: int = 50) -> Conditions:
    stream = np.random.default_rng(1)
    draws = {LOT.name: stream.normal(size=(lots, 1)), LINK.name: stream.normal(size=(lots, 4))}
    return Conditions(NOMINAL.scatter, {}, draws)


def test_a_route_is_divided_behind_the_lot() -> None:
    """The operation named and all that fed it are done; the others are left."""
    behind, left = divided(ROUTE, "rolling")
    assert [place.key for place in behind.places] == ["a/rolling"]
    assert [place.key for place in left] == ["a/sawing"]
    with pytest.raises(CannotPlan, match="nothing is left"):
        divided(ROUTE, "sawing")


def test_a_lot_that_joins_others_is_refused() -> None:
    """Where the next place has more feeds than the lot, the rest cannot be planned alone."""
    pins = Place(Rolling(), "b", Bench())
    join = Place(Sawing(), "c", Bench(), {MAIN: "a/rolling", "pin": "b/rolling"})
    route = Route((PLACES[0], pins, join), {})
    with pytest.raises(CannotPlan, match="joins this lot with others"):
        divided(route, "a/rolling")


def test_planned_settings_are_given_and_used_ones_are_kept() -> None:
    """Without a word of the lot the plan's settings count as given; a used one is taken."""
    assert done().set_ups["a/rolling"].settings[0].how == "given"
    other = done({"rolling": {"pass_mm": 11.0}})
    assert other.step.stock["bar_mm"] == 11.0


def test_what_passes_through_is_wanted_as_it_is() -> None:
    """A bar of 11 mm stays one: the stop is set for it and the piece is right."""
    made = rest({"bar_mm": 11.0})
    assert made.wanted["bar_mm"] == 11.0
    settled = settle(made.route, made.wanted, NOMINAL, {})
    assert settled.set_ups["a/sawing"]["stop_mm"] == pytest.approx(40.0 - 33.0)
    assert settled.steps["a/sawing"].finding("piece_mm").value == pytest.approx(40.0)


def test_what_is_asked_and_cannot_be_given_is_a_finding() -> None:
    """Grain of 70 µm where 80 is asked: a finding with the end's limit asked back."""
    made = rest({"grain_um": 70.0})
    settled = settle(made.route, made.wanted, NOMINAL, {})
    found = settled.steps["a/sawing"].finding("incoming_grain_um")
    assert (found.value, found.least, found.greatest, found.verdict) == (
        70.0,
        75.0,
        None,
        "outside",
    )
    assert "80" in found.note
    assert "toughness_J at the end" in found.source


def test_measured_fields_are_named_with_the_lot_s_middle() -> None:
    """The stock says what a gauge gave; the lot's own middle of a size goes with it."""
    stock = rest({"bar_mm": 11.0}).start.stock
    assert stock.measured == {"bar_mm", "lot_bar_mm"}
    assert (stock["lot_bar_mm"], stock["grain_um"]) == (11.0, 80.0)


def test_a_reading_steers_the_setting_that_answers_for_it() -> None:
    """A bar measured 5 degrees hotter was rolled half a millimetre thinner."""
    fitted = steered(done(), READING, 805.0, NOMINAL)
    assert fitted.set_ups["a/rolling"]["pass_mm"] == pytest.approx(9.5, abs=1e-9)
    assert fitted.set_ups["a/rolling"].settings[0].how == "solved"
    assert slopes(fitted, READING, NOMINAL) == {
        "bar_mm": pytest.approx(-0.1),
        "lot_bar_mm": pytest.approx(-0.1),
        "grain_um": pytest.approx(0.1),
    }
    with pytest.raises(CannotPlan, match="no pass_mm from 5 to 16 gives the measured heat_degC"):
        steered(done(), READING, 400.0, NOMINAL)


def test_members_follow_a_reading_and_its_spread() -> None:
    """With the heat measured, grain is that of the heat measured, whatever the bench varied."""
    fitted = steered(done(), READING, 805.0, NOMINAL)
    own = spread_source(PLACES[0], "heat_degC", "lot", 2.0, "lot.toml:7")
    start = Start(
        fitted, {"heat_degC": 805.0}, {"heat_degC": own}, READING, slopes(fitted, READING, NOMINAL)
    )
    conditions = members()
    z = np.random.default_rng(2).normal(size=(50, 1))
    scatter = {**conditions.scatter, own.name: own}
    stock = start.members(Conditions(scatter, {}, {**conditions.draws, own.name: z}))
    assert np.allclose(stock["grain_um"], 0.1 * (805.0 + 2.0 * z))


def test_members_of_an_unmeasured_lot_are_those_of_the_route() -> None:
    """With nothing measured the rest runs on the very members of the whole route."""
    made, conditions = rest({}), members()
    settled = settle(made.route, made.wanted, NOMINAL, {})
    mine = walk(made.route, settled.set_ups, conditions)["a/sawing"]
    theirs = walk(ROUTE, PLANNED.set_ups, conditions)["a/sawing"]
    for subject in ("piece_mm", "toughness_J"):
        assert np.array_equal(mine.finding(subject).value, theirs.finding(subject).value)


def test_scatter_of_a_measured_field_gives_way_to_its_spread() -> None:
    """The bench's scatter of the bar is dropped; the saw's stays."""
    own = spread_source(PLACES[0], "bar_mm", "link", 0.02, "lot.toml:8")
    kept = without_measured(NOMINAL, done(), ["bar_mm"], [own])
    assert set(kept.scatter) == {LINK.name, "link/a/rolling/bar_mm"}
    assert levels(done(), ["bar_mm", "heat_degC"], members()) == {
        "bar_mm": "lot",
        "heat_degC": "lot",
    }


def test_names_that_can_be_measured() -> None:
    """Fields of the stock on the bench without the lot's middles, and readings."""
    assert done().measurable([READING]) == ["bar_mm", "grain_um", "heat_degC"]
