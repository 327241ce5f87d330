"""Walk and settle: metal flows along a route, and what is wanted flows back.

A `Route` is a list of places in the order of work; each place names its operation, its
branch and which earlier places feed it, so that one walk serves a line and a tree.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from linkwright.catalogue import active, not_recording
from linkwright.quantities import CannotPlan
from linkwright.route.conditions import Conditions
from linkwright.route.kept import Kept, KeptRuns, Work
from linkwright.route.operation import MAIN, Machine, Operation, Wanted
from linkwright.route.order_of_work import require_proof_last
from linkwright.route.setting import SetUp, with_card
from linkwright.route.step import Step
from linkwright.route.stock import Stock

GREATEST_ROUNDS = 8
SETTLED = 1e-6


@dataclass(frozen=True)
class Place:
    """One operation at its place in a route; ``key`` is ``branch/operation``."""

    operation: Operation
    branch: str
    machine: Machine
    feeds: Mapping[str, str] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """``branch/operation``, unique in a route."""
        return f"{self.branch}/{self.operation.name}"


@dataclass(frozen=True)
class Route:
    """Places in the order of work, and the stock that enters at those without a feed."""

    places: tuple[Place, ...]
    entering: Mapping[str, Stock]

    def place(self, operation: str) -> Place:
        """The place of the operation with this name."""
        for place in self.places:
            if operation in (place.operation.name, place.key):
                return place
        raise KeyError(operation)

    def stocks(self, place: Place, done: Mapping[str, Stock]) -> dict[str, Stock]:
        """What comes in at a place, from earlier places or from the store."""
        if not place.feeds:
            return {MAIN: self.entering[place.key]}
        return {feed: done[earlier] for feed, earlier in place.feeds.items()}


@dataclass(frozen=True)
class Settled:
    """A route whose settings agree with each other: what was wanted where, and how set up."""

    wanted: Mapping[str, Wanted]
    set_ups: Mapping[str, SetUp]
    steps: Mapping[str, Step]
    rounds: int


def place_names(keys: Iterable[str]) -> dict[str, str]:
    """What each place is called: its operation, with its branch where branches share that.

    >>> place_names(["pin/cutting", "inner_plate/blanking", "outer_plate/blanking"])
    {'pin/cutting': 'cutting', 'inner_plate/blanking': 'inner_plate/blanking', \
'outer_plate/blanking': 'outer_plate/blanking'}
    """
    known = list(keys)
    operations = [key.split("/", 1)[1] for key in known]
    return {
        key: operation if operations.count(operation) == 1 else key
        for key, operation in zip(known, operations, strict=True)
    }


def ask_back(
    route: Route, last: Wanted, near: Mapping[str, Mapping[str, Stock]], conditions: Conditions
) -> dict[str, Wanted]:
    """Ask from the last place to the first what each must hand on."""
    wanted: dict[str, Wanted] = {route.places[-1].key: last}
    for place in reversed(route.places):
        came = near.get(place.key, {})
        operation = place.operation
        _name_step(f"{place.key}/asked")
        asked = operation.ask_feeds(wanted[place.key], came, place.machine, conditions)
        for feed, earlier in place.feeds.items():
            wanted[earlier] = asked[feed]
    return wanted


def settle(
    route: Route,
    last: Wanted,
    conditions: Conditions,
    given: Mapping[str, Mapping[str, Any]],
    kept: Kept | None = None,
) -> Settled:
    """Ask backwards and size forwards until no wanted size moves; then set up and run.

    Sizes settle first, with every aim taken as met. Then each operation is set up in full
    and run; where what it really hands on moves a wanted size by more than 1e-6 of its
    value (a given temper that misses the strength asked for), that is done again. Raises
    `CannotPlan` naming the two operations that disagree after 8 rounds, and for a route that
    heats chain after its proof. ``kept``: what was worked before and may be used again, outside
    a recording.
    """
    require_proof_last(route)
    with not_recording():
        wanted = ask_back(route, last, {}, conditions)
        rounds, near = 0, _sized(route, wanted, conditions, given)
        while rounds < GREATEST_ROUNDS:
            rounds += 1
            again = ask_back(route, last, near, conditions)
            moved = _largest_move(wanted, again)
            wanted = again
            if moved[2] <= SETTLED:
                break
            near = _sized(route, wanted, conditions, given)
    if moved[2] > SETTLED:
        raise _disagreement(route, moved)
    if any(given.values()) and active() is not None:
        # sizes that given settings make have a source only once they were worked
        near = {}
    while rounds <= GREATEST_ROUNDS:
        # asked once more while recording, so that what is wanted has its source too
        wanted = ask_back(route, last, near, conditions)
        set_ups, steps = _worked(route, wanted, conditions, given, kept)
        done = {key: step.stock for key, step in steps.items()}
        near = {place.key: route.stocks(place, done) for place in route.places}
        with not_recording():
            moved = _largest_move(wanted, ask_back(route, last, near, conditions))
        if moved[2] <= SETTLED:
            return Settled(wanted, set_ups, steps, rounds)
        rounds += 1
    raise _disagreement(route, moved)


def walk(
    route: Route,
    set_ups: Mapping[str, SetUp],
    conditions: Conditions,
    kept: KeptRuns | None = None,
) -> dict[str, Step]:
    """Run every operation once with fixed settings: one nominal pass or one ensemble.

    ``kept``: steps of the same members that may be used again.
    """
    kept = kept or KeptRuns()
    kept.under(conditions)
    steps: dict[str, Step] = {}
    done: dict[str, Stock] = {}
    for place in route.places:
        _name_step(place.key)
        stocks, set_up = route.stocks(place, done), set_ups[place.key]
        step = kept.run(
            place.key,
            set_up,
            stocks,
            partial(place.operation.run, stocks, set_up, place.machine, conditions),
        )
        steps[place.key] = step
        done[place.key] = step.stock
    return steps


def _sized(
    route: Route,
    wanted: Mapping[str, Wanted],
    conditions: Conditions,
    given: Mapping[str, Mapping[str, Any]],
) -> dict[str, dict[str, Stock]]:
    done: dict[str, Stock] = {}
    came: dict[str, dict[str, Stock]] = {}
    for place in route.places:
        came[place.key] = route.stocks(place, done)
        if place is route.places[-1]:
            break  # nobody asks for the sizes after the last place
        done[place.key] = place.operation.sizes(
            came[place.key],
            wanted[place.key],
            place.machine,
            conditions,
            _given(place, given),
        )
    return came


def _worked(
    route: Route,
    wanted: Mapping[str, Wanted],
    conditions: Conditions,
    given: Mapping[str, Mapping[str, Any]],
    kept: Kept | None,
) -> tuple[dict[str, SetUp], dict[str, Step]]:
    set_ups: dict[str, SetUp] = {}
    steps: dict[str, Step] = {}
    done: dict[str, Stock] = {}
    kept = kept or Kept()
    kept.under(conditions)
    for place in route.places:
        _name_step(place.key)
        work = Work(
            place.operation,
            place.machine,
            route.stocks(place, done),
            wanted[place.key],
            _given(place, given),
        )
        set_ups[place.key], steps[place.key] = kept.worked(
            place.key, work, partial(_set_up_and_run, work, conditions)
        )
        done[place.key] = steps[place.key].stock
    return set_ups, steps


def _set_up_and_run(work: Work, conditions: Conditions) -> tuple[SetUp, Step]:
    operation, machine = work.operation, work.machine
    set_up = operation.set_up(work.stocks, work.wanted, machine, conditions, work.given)
    set_up = with_card(set_up, operation, machine, work.given)
    return set_up, operation.run(work.stocks, set_up, machine, conditions)


def _given(place: Place, given: Mapping[str, Mapping[str, Any]]) -> Mapping[str, Any]:
    """Settings given for this place, by its key or by the name of its operation."""
    return given.get(place.key, given.get(place.operation.name, {}))


def _name_step(key: str) -> None:
    book = active()
    if book is not None:
        book.step = key


def _largest_move(
    before: Mapping[str, Wanted], after: Mapping[str, Wanted]
) -> tuple[str, str, float]:
    """Place, name and relative size of the largest move of a wanted size."""
    largest = ("", "", 0.0)
    for key, sizes in after.items():
        for name, value in sizes.items():
            old = before.get(key, {}).get(name)
            scale = max(abs(float(value)), 1e-9)
            move = math.inf if old is None else abs(float(value) - float(old)) / scale
            if math.isnan(move):
                move = math.inf  # what is not a number has not settled
            if move > largest[2]:
                largest = (key, name, move)
    return largest


def _disagreement(route: Route, moved: tuple[str, str, float]) -> CannotPlan:
    key, name, move = moved
    asking = (place.key for place in route.places if key in place.feeds.values())
    other = next(asking, "the order")
    return CannotPlan(
        f"the settings do not settle: {other} asks {key} for a {name} that still moves by "
        f"{move:.2g} of its value after {GREATEST_ROUNDS} rounds"
    )
