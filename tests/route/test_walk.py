"""Asking, settling and walking, on toy routes: a line of three and a tree with two feeds."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from route_toys import NOMINAL, SPREAD, Bench, Toy

from linkwright.catalogue import Values, calculation, recording, sourced
from linkwright.catalogue.calculation import CATALOGUE
from linkwright.quantities import CannotPlan
from linkwright.route import (
    GIVEN,
    MAIN,
    SOLVED,
    Conditions,
    Finding,
    Place,
    Route,
    Settled,
    SetUp,
    Step,
    Stock,
    Stocks,
    Wanted,
    settle,
    walk,
)


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
