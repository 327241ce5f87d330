"""Asking, settling and walking on a toy tree with two feeds."""

from collections.abc import Mapping
from typing import Any

import pytest
from route_toys import NOMINAL, Bench, Toy

from linkwright.quantities import CannotPlan
from linkwright.route import (
    MAIN,
    Conditions,
    Finding,
    Joining,
    Place,
    Route,
    SetUp,
    Step,
    Stock,
    Stocks,
    Wanted,
    settle,
)


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
