"""Continuing: the rest of a route, planned on from a lot that lies half done on the bench.

- `divided`: the places behind a lot and those that are left
- `continued`: the rest, fed by the lot's stock, and what is still wanted of its end
- `FromStart`: the first operation of the rest, which says what the lot brings of what is
  asked of it

Sizes that the lot has for good (its wire) are taken as wanted, so that what can still be
set (the cut length) is asked for them. What is asked and cannot be given any more is a
finding of the first step; its limits are those of the end, asked back through the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkwright.quantities import CannotPlan
from linkwright.route.conditions import Conditions
from linkwright.route.finding import Finding
from linkwright.route.half_done import Start
from linkwright.route.operation import MAIN, Machine, Operation, Stocks, Wanted
from linkwright.route.requirement import Requirement
from linkwright.route.setting import SetUp
from linkwright.route.step import Step
from linkwright.route.stock import Stock
from linkwright.route.walk import Place, Route, Settled, ask_back

INCOMING = "incoming_"
"""Prefix of the finding about a field of the lot that the rest asks for."""
_NO_PULL = 1e-3
_OTHER = {"least": "greatest", "greatest": "least"}


def divided(route: Route, after: str) -> tuple[Route, tuple[Place, ...]]:
    """The places up to ``after`` with all that fed it, and the places that are left.

    Raises `KeyError` for an operation that is not in the route, `CannotPlan` if nothing is
    left or if the next place joins the lot with other feeds.
    """
    last = route.place(after)
    behind = {last.key}
    for place in reversed(route.places):
        if place.key in behind:
            behind.update(place.feeds.values())
    done = tuple(place for place in route.places if place.key in behind)
    left = tuple(place for place in route.places if place.key not in behind)
    if not left:
        raise CannotPlan(f"nothing is left to plan after {after}: it is the last operation")
    mixed = [place.key for place in left if len(behind & set(place.feeds.values())) and
             len(place.feeds) > 1]  # fmt: skip
    if mixed:
        raise CannotPlan(
            f"{mixed[0]} joins this lot with others; planning on from a lot is done for routes "
            f"without joints"
        )
    entering = {key: stock for key, stock in route.entering.items() if key in behind}
    return Route(done, entering), left


class FromStart(Operation):
    """The first operation of the rest: it is fed by the stock on the bench.

    It asks, sets up and runs as the operation itself does; beside its own findings it says
    what the lot brings of each size or property that is asked of it and that only the lot
    can give.
    """

    inner: Operation
    start: Start
    limits: Mapping[str, tuple[Any, Any, str]]

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What the operation itself asks."""
        return self.inner.ask(wanted, near, machine, factors)

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The sizes that the operation itself gives."""
        return self.inner.sizes(stocks, wanted, machine, factors, given)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The operation's own settings; what it asks of the lot is kept beside them."""
        made = self.inner.set_up(stocks, wanted, machine, factors, given)
        stock = stocks[MAIN]
        asked = self.inner.ask(wanted, stock, machine, factors).get(MAIN, {})
        open_ = {
            name: value
            for name, value in asked.items()
            if name in stock and value is not stock[name]
        }
        # a size that is asked as it is wanted may be the operation's own work, not the lot's
        own = {name for name, value in open_.items() if value is wanted.get(name)}
        return replace(made, prepared={**made.prepared, "asked": open_, "own": own})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The operation's own step, and what the lot brings of what is asked of it."""
        stock = self.start.members(factors) if factors.draws else stocks[MAIN]
        step = self.inner.run({MAIN: stock}, settings, machine, factors)
        brought = []
        for name, asked in settings.prepared["asked"].items():
            if name in settings.prepared["own"] and step.stock[name] is not stock[name]:
                continue
            least, greatest, source = self.limits.get(name, (None, None, ""))
            note = f"asked of the lot: {float(asked):.6g}"
            brought.append(Finding(INCOMING + name, stock[name], least, greatest, source, note))
        return replace(step, findings=(*brought, *step.findings))


@dataclass(frozen=True)
class Continued:
    """The rest of a route, what is wanted of its end, and from where it starts.

    asked: what the plan from the rod asked of the place behind, by name.
    """

    route: Route
    wanted: Wanted
    start: Start
    asked: Wanted


def continued(
    route: Route,
    planned: Settled,
    wanted: Wanted,
    start: Start,
    requirements: Sequence[Requirement],
    conditions: Conditions,
) -> Continued:
    """The rest of ``route`` after the lot's last place, fed by the stock on the bench.

    What is wanted of the end and passes through the rest unchanged is what the lot has: wire
    of 8.12 mm stays 8.12 mm, and the cut length is asked for that wire. What the lot cannot
    give any more becomes a finding of the first step, with the limits of the end asked back.
    """
    after, stock = start.done.place.key, start.stock
    _, left = divided(route, after)
    shown = {one.subject for place in left for one in planned.steps[place.key].findings}
    if requirements and not any(need.subject in shown for need in requirements):
        raise CannotPlan(
            f"nothing is left to plan after {route.place(after).operation.name}: what decides a "
            f"lot was tested there"
        )
    end, here = planned.steps[route.places[-1].key].stock, planned.steps[after].stock
    passing = {
        name: stock[name]
        for name in wanted
        if name in here and name in end and here[name] is end[name]
    }
    reached = {**wanted, **passing}
    first = replace(left[0], feeds={})
    rest = Route((first, *left[1:]), {first.key: stock})
    limits = _asked_limits(rest, reached, requirements, conditions)
    fed = replace(first, operation=_fed(first.operation, start, limits))
    return Continued(
        Route((fed, *left[1:]), {first.key: stock}), reached, start, planned.wanted[after]
    )


def _fed(
    operation: Operation, from_: Start, asked_limits: Mapping[str, tuple[Any, Any, str]]
) -> Operation:
    class Fed(FromStart):
        """The operation under its own name."""

        name = operation.name
        feeds = operation.feeds
        scatter = operation.scatter
        factors = operation.factors
        card = operation.card
        heats = operation.heats
        proves = operation.proves
        inner = operation
        start = from_
        limits = asked_limits

    return Fed()


def _asked_limits(
    rest: Route, wanted: Wanted, requirements: Sequence[Requirement], conditions: Conditions
) -> dict[str, tuple[Any, Any, str]]:
    """What the limits of the end mean for the lot, by asking back with each of them.

    A name that several wanted things move gets the limits of the one that moves it most,
    relative to its own change.
    """
    first = rest.places[0]
    stock = rest.entering[first.key]

    def asked(last: Wanted) -> Wanted:
        back = ask_back(rest, last, {first.key: {MAIN: stock}}, conditions)
        return first.operation.ask(back[first.key], stock, first.machine, conditions).get(MAIN, {})

    base = asked(wanted)
    found: dict[str, tuple[Any, Any, str]] = {}
    strongest: dict[str, float] = {}
    for need in requirements:
        if need.subject not in wanted:
            continue
        aim = float(wanted[need.subject])
        ends = {}
        for side, bound in (("least", need.least), ("greatest", need.greatest)):
            if bound is not None and float(bound) != aim:
                ends[side] = (float(bound) / aim - 1.0, asked({**wanted, need.subject: bound}))
        for name in base:
            moves = [
                (float(back[name]) / float(base[name]) - 1.0) / by for by, back in ends.values()
            ]
            pull = max((abs(move) for move in moves), default=0.0)
            if pull > max(strongest.get(name, 0.0), _NO_PULL):
                strongest[name] = pull
                sides = {side: back[name] for side, (_, back) in ends.items()}
                if min(moves) < 0.0:
                    sides = {_OTHER[side]: value for side, value in sides.items()}
                source = f"{need.subject} at the end, {need.source}, asked back"
                found[name] = (sides.get("least"), sides.get("greatest"), source)
    return found
