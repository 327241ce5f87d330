"""What was worked once and holds as long as nothing that it takes has changed.

A changed setting moves only what depends on it: an operation whose stock, aim, machine and
given settings are the same as before has the same set-up and the same step. `Kept` holds
them while a route is settled again and again, `KeptRuns` the steps of an ensemble. Neither is
for a recorded pass: a number that is used again would name the derivation of an older one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.route.conditions import Conditions
from linkwright.route.operation import Machine, Operation, Stocks, Wanted
from linkwright.route.setting import SetUp
from linkwright.route.step import Step
from linkwright.route.stock import Stock

MOST = 4
"""Works of one place that are held: undoing a change or two costs nothing."""
_UNMOVED = 1e-7


@dataclass(frozen=True)
class Work:
    """All that an operation takes when it is set up and run once."""

    operation: Operation
    machine: Machine
    stocks: Stocks
    wanted: Wanted
    given: Mapping[str, Any]

    def same_as(self, other: Work) -> bool:
        """Whether nothing that is taken differs; sizes asked for may, by what settling leaves."""
        return (
            _as_wanted(self.wanted, other.wanted)
            and same_numbers(self.given, other.given)
            and _same_stocks(self.stocks, other.stocks)
            and type(self.operation) is type(other.operation)
            and vars(self.operation) == vars(other.operation)
            and self.machine == other.machine
        )


class Kept:
    """Set-ups and nominal steps by place. One set of conditions; others empty it."""

    def __init__(self) -> None:
        self._works: dict[str, list[tuple[Work, SetUp, Step]]] = {}
        self._conditions: Conditions | None = None

    def under(self, conditions: Conditions) -> None:
        """Forget everything if scatter or factors are no longer those of before."""
        if self._conditions is not None and self._conditions != conditions:
            self._works.clear()
        self._conditions = conditions

    def worked(
        self, key: str, work: Work, make: Callable[[], tuple[SetUp, Step]]
    ) -> tuple[SetUp, Step]:
        """The set-up and step of the same work before, or those that are made now."""
        held = self._works.setdefault(key, [])
        for place, (before, set_up, step) in enumerate(held):
            if before.same_as(work):
                held.insert(0, held.pop(place))
                return set_up, step
        set_up, step = make()
        held.insert(0, (work, set_up, step))
        del held[MOST:]
        return set_up, step


class KeptRuns:
    """Steps of an ensemble by place, for the same set-up, the same stock and the same members."""

    def __init__(self) -> None:
        self._runs: dict[str, list[tuple[SetUp, Stocks, Step]]] = {}
        self._members: Conditions | None = None

    def under(self, members: Conditions) -> None:
        """Forget everything if these are not the members of before."""
        if self._members is not members:
            self._runs.clear()
        self._members = members

    def run(self, key: str, set_up: SetUp, stocks: Stocks, make: Callable[[], Step]) -> Step:
        """The step of the same run before, or the one that is made now."""
        held = self._runs.setdefault(key, [])
        for place, (before, came, step) in enumerate(held):
            if before is set_up and _same_stocks(came, stocks):
                held.insert(0, held.pop(place))
                return step
        step = make()
        held.insert(0, (set_up, stocks, step))
        del held[MOST:]
        return step


def _as_wanted(one: Wanted, other: Wanted) -> bool:
    """Whether the same sizes are asked for, to a tenth of what counts as settled."""
    return one.keys() == other.keys() and all(
        abs(one[name] - other[name]) <= _UNMOVED * abs(other[name]) for name in one
    )


def same_numbers(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two mappings hold the same names with the same values, to the bit.

    >>> same_numbers({"a": 1.0, "b": np.array([1.0, 2.0])}, {"a": 1.0, "b": np.array([1.0, 2.0])})
    True
    >>> same_numbers({"a": 1.0}, {"a": 1.0 + 2e-16})
    False
    """
    if one is other:
        return True
    return one.keys() == other.keys() and all(_same(one[name], other[name]) for name in one)


def _same(one: Any, other: Any) -> bool:
    if one is other:
        return True
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return bool(np.array_equal(one, other))
    return bool(one == other)


def _same_stocks(one: Stocks, other: Stocks) -> bool:
    return all(_same_stock(stock, other.get(feed)) for feed, stock in one.items())


def _same_stock(one: Stock, other: Stock | None) -> bool:
    if one is other:
        return True
    return (
        other is not None
        and (one.form, one.steel, one.measured) == (other.form, other.steel, other.measured)
        and same_numbers(one.shape, other.shape)
        and same_numbers(one.condition, other.condition)
        and same_numbers(one.amount, other.amount)
    )
