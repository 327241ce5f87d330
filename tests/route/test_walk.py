"""Asking, settling and walking, on toy routes: a line of three and a tree with two feeds."""

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st

from linkwright.catalogue import Values, calculation, recording, solved, sourced
from linkwright.catalogue.calculation import CATALOGUE
from linkwright.quantities import CannotPlan
from linkwright.route import (
    GIVEN,
    MAIN,
    SOLVED,
    Conditions,
    Finding,
    Joining,
    Operation,
    Place,
    Route,
    Scatter,
    Setting,
    Settled,
    SetUp,
    Step,
    Stock,
    Stocks,
    Wanted,
    settle,
    walk,
)

NOMINAL = Conditions()
SPREAD = Scatter("link/chain/forming/pitch_mm", 0.05, "invented")


class Bench:
    """A machine without limits, for toys."""

    name, many = "bench", 1.0
    operations: tuple[str, ...] = ()
    card: tuple[Any, ...] = ()
    held: Any = MappingProxyType({})
    spread: Any = held
    rate: Any = held

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """None."""
        return None, None


class Toy(Operation):
    """Hands on `size` as it was set; subclasses say what they ask for."""

    size = "pitch_mm"
    form = "piece"
    share = 0.0  # of the stock that came in, which the ask for the next one falls by

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The size wanted, less a share of what last came in."""
        came = self.share * near[self.size] if near and self.size in near else 0.0
        return {MAIN: {self.size: wanted[self.size] - came}}

    def set_up(
        self, stocks: Stocks, wanted: Wanted, machine: Any, factors: Conditions, given: Any
    ) -> SetUp:
        """The size as given, else solved for what is wanted."""
        if self.size in given:
            return SetUp((Setting(self.size, given[self.size], GIVEN),))
        value = solved(self.size, wanted[self.size], "for the size wanted", **wanted)
        return SetUp((Setting(self.size, value, SOLVED, "the size wanted"),))

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """The size set, for each member as it scatters."""
        value = factors.actual(SPREAD.name, settings[self.size])
        (came,) = stocks.values()
        return Step((Finding(self.size, value),), came.changed(self.form, shape={self.size: value}))


class Cutting(Toy):
    """Cuts to length; asks for rod of any size."""

    name, size = "cutting", "piece_length_mm"

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Nothing in particular."""
        return {MAIN: {}}


class Forming(Toy):
    """Bends; the piece must be as long as the link's middle line on the wire that came in."""

    name, form = "forming", "link"

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """2 pitch + pi d."""
        wire = near["wire_diameter_mm"] if near else 8.0
        return {MAIN: {"piece_length_mm": 2 * wanted["pitch_mm"] + math.pi * wire}}


class Pulling(Toy):
    """Stretches a link by a share of its pitch."""

    name, form = "pulling", "chain"

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """Pitch after the pull: what came in, and the share of it."""
        value = stocks[MAIN]["pitch_mm"] * (1 + self.share)
        return Step(
            (Finding("pitch_mm", value, 23.9, 24.1),),
            stocks[MAIN].changed(self.form, shape={"pitch_mm": value}),
        )


def _line(share: float = 0.05) -> Route:
    pulling = Pulling()
    pulling.share = share
    rod = Stock("rod", "a steel", shape={"wire_diameter_mm": 8.0})
    places = (
        Place(Cutting(), "wire", Bench()),
        Place(Forming(), "link", Bench(), {MAIN: "wire/cutting"}),
        Place(pulling, "chain", Bench(), {MAIN: "link/forming"}),
    )
    return Route(places, {"wire/cutting": rod})


def _settled(route: Route, **given: Mapping[str, Any]) -> Settled:
    return settle(route, {"pitch_mm": 24.0}, NOMINAL, given)


def test_what_is_wanted_flows_back_along_the_line() -> None:
    """Each place is asked for what the next needs, down to the cut length."""
    settled = _settled(_line())
    assert settled.wanted["chain/pulling"] == {"pitch_mm": 24.0}
    formed = settled.wanted["link/forming"]["pitch_mm"]
    assert formed == pytest.approx(24.0 / 1.05, rel=1e-6)
    cut = settled.wanted["wire/cutting"]["piece_length_mm"]
    assert cut == pytest.approx(2 * formed + 8 * math.pi, rel=1e-12)


def test_metal_flows_forwards_along_the_line() -> None:
    """Each step hands its stock to the next, and the last meets what was wanted."""
    steps = _settled(_line()).steps
    assert list(steps) == ["wire/cutting", "link/forming", "chain/pulling"]
    assert [step.stock.form for step in steps.values()] == ["piece", "link", "chain"]
    last = steps["chain/pulling"]
    assert last.stock["pitch_mm"] == pytest.approx(24.0, rel=1e-6)
    assert last.stock["wire_diameter_mm"] == 8.0
    assert last.finding("pitch_mm").verdict == "within"


@settings(derandomize=True, max_examples=60, deadline=None)
@examples(st.floats(-0.5, 0.5))
def test_sizes_settle_to_a_millionth_or_not_at_all(share: float) -> None:
    """Whenever settling ends well another round would move no size; else the share is large."""
    route = _line(share)
    try:
        settled = _settled(route)
    except CannotPlan:
        assert abs(share) > 0.15  # after 8 rounds 0.17 ** 8 is left, less than 1e-6
        return
    assert settled.rounds <= 8
    pitch = settled.steps["link/forming"].stock["pitch_mm"]
    assert 24.0 - share * pitch == pytest.approx(pitch, rel=1.1e-6)


def test_a_route_that_settles_in_the_last_round_is_planned() -> None:
    """The eighth round counts."""
    assert _settled(_line(0.16)).rounds == 8


def test_a_route_without_feedback_settles_at_once() -> None:
    """Nothing moves, so one round is enough."""
    assert _settled(_line(0.0)).rounds == 1


def test_operations_that_disagree_are_both_named_and_by_how_much() -> None:
    """The message names who asks whom, for which size, and how far it still moves."""
    with pytest.raises(CannotPlan) as caught:
        _settled(_line(0.5))
    text = str(caught.value)
    assert "chain/pulling asks link/forming for a pitch_mm" in text
    move = float(text.split("still moves by ")[1].split(" of its value", maxsplit=1)[0])
    assert move == pytest.approx(0.5**8 * 1.5, rel=0.05)
    assert "8 rounds" in text
    assert caught.value.exit_code == 1


def test_what_is_not_a_number_does_not_count_as_settled() -> None:
    """A route that asks for nan is not planned."""
    with pytest.raises(CannotPlan, match="asks link/forming for a pitch_mm"):
        _settled(_line(math.nan))


def test_given_settings_are_kept_and_said_to_be_given() -> None:
    """A setting of the order stands as it is; the others are solved around it."""
    settled = _settled(_line(), forming={"pitch_mm": 23.0})
    (setting,) = settled.set_ups["link/forming"].settings
    assert (setting.value, setting.how) == (23.0, GIVEN)
    assert settled.steps["chain/pulling"].stock["pitch_mm"] == pytest.approx(23.0 * 1.05)
    assert settled.steps["chain/pulling"].finding("pitch_mm").verdict == "outside"
    (cut,) = settled.set_ups["wire/cutting"].settings
    assert cut.how == SOLVED


def test_what_is_handed_on_and_not_what_is_aimed_at_settles_the_route() -> None:
    """A given setting moves what the next operation sees, and so what it asks for."""
    settled = _settled(_line(), forming={"pitch_mm": 23.0})
    assert settled.wanted["link/forming"]["pitch_mm"] == pytest.approx(24.0 - 0.05 * 23.0)


def test_a_walk_with_the_settled_settings_repeats_the_steps() -> None:
    """Deciding is over: running again gives the same stock."""
    route = _line()
    settled = _settled(route)
    again = walk(route, settled.set_ups, NOMINAL)
    assert {key: step.stock for key, step in again.items()} == {
        key: step.stock for key, step in settled.steps.items()
    }


def test_every_member_of_a_walk_equals_its_own_run() -> None:
    """Arrays in, arrays out, and scatter reaches the end of the route."""
    route, z = _line(), np.random.default_rng(3).standard_normal((8, 4))
    set_ups = _settled(route).set_ups

    def pitch(draw: np.ndarray) -> Any:
        drawn = Conditions({SPREAD.name: SPREAD}, {}, {SPREAD.name: draw})
        return walk(route, set_ups, drawn)["chain/pulling"].stock["pitch_mm"]

    members = pitch(z)
    assert members.shape == (8, 4)
    assert members.std() == pytest.approx(0.05 * 1.05 * z.std())
    for index in np.ndindex(8, 4):
        assert pitch(z[index].reshape(1, 1)).item() == pytest.approx(members[index], rel=1e-9)


class Turning(Toy):
    """Turns a pin."""

    name, size, form = "turning", "pin_diameter_mm", "pin"


class Grinding(Turning):
    """Grinds a pin; more comes off a thicker one."""

    name, share = "grinding", -0.02


class Punching(Toy):
    """Punches a plate."""

    name, size, form = "punching", "hole_diameter_mm", "plate"


class Assembling(Toy):
    """Puts a pin into a plate with the fit wanted."""

    name, feeds = "assembling", ("pin", "plate")

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A pin of the size wanted, and a hole that is less by the interference."""
        pin = wanted["pin_diameter_mm"]
        hole = pin - wanted["interference_mm"]
        return {"pin": {"pin_diameter_mm": pin}, "plate": {"hole_diameter_mm": hole}}

    def set_up(
        self, stocks: Stocks, wanted: Wanted, machine: Any, factors: Conditions, given: Any
    ) -> SetUp:
        """Nothing to set."""
        return SetUp(())

    def run(self, stocks: Stocks, settings: SetUp, machine: Any, factors: Conditions) -> Step:
        """The interference that came out."""
        made = stocks["pin"]["pin_diameter_mm"] - stocks["plate"]["hole_diameter_mm"]
        stock = Stock("joint", stocks["pin"].steel, shape={"interference_mm": made})
        return Step((Finding("interference_mm", made),), stock)


class Matching(Joining, Assembling):
    """Asks for a hole that is less than the pin that really came."""

    name, feeds = "assembling", ("pin", "plate")

    def ask_feeds(
        self, wanted: Wanted, came: Stocks, machine: Any, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The hole goes by the pin on the bench, else by the one wanted."""
        pin = came["pin"]["pin_diameter_mm"] if came else wanted["pin_diameter_mm"]
        hole = pin - wanted["interference_mm"]
        return {"pin": {"pin_diameter_mm": 5.0}, "plate": {"hole_diameter_mm": hole}}


def _tree(share: float = -0.02, joining: type[Assembling] = Assembling) -> Route:
    grinding = Grinding()
    grinding.share = share
    places = (
        Place(Turning(), "pin", Bench()),
        Place(Punching(), "plate", Bench()),
        Place(grinding, "pin", Bench(), {MAIN: "pin/turning"}),
        Place(joining(), "joint", Bench(), {"pin": "pin/grinding", "plate": "plate/punching"}),
    )
    store = {key: Stock("bar", key, shape={}) for key in ("pin/turning", "plate/punching")}
    return Route(places, store)


WANTED_FIT = {"pin_diameter_mm": 5.0, "interference_mm": 0.06}


def test_a_tree_is_asked_along_each_of_its_branches() -> None:
    """Both feeds get their own wish, and it goes on to the start of each branch."""
    settled = settle(_tree(), WANTED_FIT, NOMINAL, {})
    assert settled.wanted["pin/grinding"] == {"pin_diameter_mm": 5.0}
    assert settled.wanted["plate/punching"]["hole_diameter_mm"] == pytest.approx(4.94)
    assert settled.wanted["pin/turning"]["pin_diameter_mm"] == pytest.approx(5.0 / 0.98, rel=1e-6)


def test_the_branches_of_a_tree_meet() -> None:
    """The last place sees what each branch handed on under the name of its feed."""
    settled = settle(_tree(), WANTED_FIT, NOMINAL, {})
    joint = settled.steps["joint/assembling"].stock
    assert joint["interference_mm"] == pytest.approx(0.06)
    assert joint.steel == "pin/turning"


def test_in_a_tree_the_operation_that_asks_is_named() -> None:
    """Not the one that happens to stand next in the list."""
    with pytest.raises(CannotPlan, match="pin/grinding asks pin/turning for a pin_diameter_mm"):
        settle(_tree(-0.6), WANTED_FIT, NOMINAL, {})


def test_settings_can_be_given_for_one_branch() -> None:
    """By the key of the place where the name of the operation would mean two."""
    settled = settle(_tree(), WANTED_FIT, NOMINAL, {"plate/punching": {"hole_diameter_mm": 4.9}})
    assert settled.steps["joint/assembling"].stock["interference_mm"] == pytest.approx(0.1)


def test_what_joins_branches_knows_all_that_came_in() -> None:
    """A pin ground to a given size moves what is asked of the plate."""
    settled = settle(
        _tree(joining=Matching), WANTED_FIT, NOMINAL, {"pin/grinding": {"pin_diameter_mm": 5.2}}
    )
    assert settled.wanted["plate/punching"]["hole_diameter_mm"] == pytest.approx(5.14)
    assert settled.steps["joint/assembling"].stock["interference_mm"] == pytest.approx(0.06)


def test_places_are_found_by_operation_or_by_key() -> None:
    """`grinding` and `pin/grinding` are the same place; anything else is a KeyError."""
    route = _tree()
    assert route.place("grinding") is route.place("pin/grinding") is route.places[2]
    with pytest.raises(KeyError):
        route.place("tumbling")


@pytest.fixture(name="half")
def _half() -> Iterator[Any]:
    @calculation(source="Test, half", gives="pitch_mm")
    def half_of_pitch(*, pitch_mm: Values) -> Values:
        """Half."""
        return pitch_mm / 2

    yield half_of_pitch
    del CATALOGUE["half_of_pitch"]


def test_entries_of_a_settled_route_stand_under_their_place(half: Any) -> None:
    """What was asked and what was set up is recorded once, trials of settling not at all."""

    class Halving(Toy):
        name = "halving"

        def ask(
            self, wanted: Wanted, near: Stock | None, machine: Any, factors: Conditions
        ) -> Mapping[str, Wanted]:
            return {MAIN: {"pitch_mm": half(pitch_mm=wanted["pitch_mm"])}}

    places = (
        Place(Sizing(), "link", Bench()),
        Place(Halving(), "chain", Bench(), {MAIN: "link/sizing"}),
    )
    route = Route(places, {"link/sizing": Stock("rod", "x")})
    with recording() as book:
        wanted = {"pitch_mm": sourced("pitch_mm", 24.0, "file", "order.toml:7")}
        settle(route, wanted, NOMINAL, {})
    assert list(book.entries) == [
        "order.toml:7|pitch_mm",
        "chain/halving/asked/half_of_pitch.pitch_mm",
        "link/sizing/pitch_mm",
        "chain/halving/pitch_mm",
    ]
    assert [known.id for known in book.behind("link/sizing/pitch_mm")] == [
        "link/sizing/pitch_mm",
        "chain/halving/asked/half_of_pitch.pitch_mm",
        "order.toml:7|pitch_mm",
    ]


class Sizing(Toy):
    """Sets a size and asks for the same."""

    name = "sizing"
