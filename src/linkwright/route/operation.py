"""Operation: deciding is not running.

An operation has three faces. `ask` goes backwards: what must come in so that what is
wanted comes out. `set_up` decides the settings once, on scalars. `run` takes arrays and
decides nothing, so that scatter is never solved away. A fourth, `sizes`, is what settling
uses: the stock that comes out as far as its sizes go, with every aim taken as met.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Protocol

from linkwright.route.conditions import Conditions, Factor, Scatter
from linkwright.route.setting import SetUp
from linkwright.route.step import Step
from linkwright.route.stock import Stock

Wanted = Mapping[str, float]
"""What an operation is asked to hand on: sizes and properties by name with unit."""
Stocks = Mapping[str, Stock]
"""What comes in, by the name of the feed."""
MAIN = "main"
"""Name of the only feed of an operation that has one."""


class Numbers(Protocol):
    """Numbers of a file by name, each knowing its line."""

    def __getitem__(self, key: str) -> Any: ...

    def __contains__(self, key: object) -> bool: ...

    def get(self, key: str, default: Any = None) -> Any:
        """The number, or the default."""
        ...

    def place(self, name: str) -> str:
        """Where the number stands: file and line."""
        ...


class CardEntry(Protocol):
    """One row of a set-up card that the works gives: a number that knows its line, or words."""

    @property
    def name(self) -> str:
        """What is set, with its unit."""
        ...

    @property
    def value(self) -> Any:
        """The number, or the words."""
        ...

    @property
    def tolerance(self) -> float | None:
        """By how much a number may be off."""
        ...

    @property
    def check(self) -> str:
        """How it is checked and how often."""
        ...


class Machine(Protocol):
    """What a route needs to know of a machine of the works."""

    @property
    def name(self) -> str:
        """Name of the machine in the works."""
        ...

    @property
    def many(self) -> float:
        """How many machines alike there are."""
        ...

    @property
    def held(self) -> Numbers:
        """Values that the works keeps fixed."""
        ...

    @property
    def spread(self) -> Numbers:
        """Standard deviations by quantity."""
        ...

    @property
    def rate(self) -> Numbers:
        """Times, speeds and power while it runs."""
        ...

    @property
    def operations(self) -> tuple[str, ...]:
        """What the machine does."""
        ...

    @property
    def card(self) -> Sequence[CardEntry]:
        """What its set-up card says beyond what is computed."""
        ...

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """Least and greatest value that the machine can hold."""
        ...


class Operation(ABC):
    """One kind of work on metal; see the module docstring for its faces."""

    name: ClassVar[str]
    feeds: tuple[str, ...] = (MAIN,)
    scatter: tuple[Scatter, ...] = ()
    factors: ClassVar[tuple[Factor, ...]] = ()
    card: ClassVar[tuple[str, ...]] = ()
    """Names of all settings that the set-up card of this operation must show."""
    heats: ClassVar[bool] = False
    """Whether the chain gets so hot that a proof force before it proves nothing any more."""
    proves: ClassVar[bool] = False
    """Whether every link is pulled to the manufacturing proof force."""

    @abstractmethod
    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What each feed must bring; ``near`` is the stock that last came in, if any."""

    def ask_feeds(
        self, wanted: Wanted, came: Stocks, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What each feed must bring, given all that last came in; empty before the first walk."""
        return self.ask(wanted, came.get(MAIN), machine, factors)

    @abstractmethod
    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Decide every setting once; ``given`` ones are taken as they stand."""

    @abstractmethod
    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Do the work: arrays in, arrays out, nothing decided."""

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The stock that comes out, exact in its sizes; by default set up and run."""
        settings = self.set_up(stocks, wanted, machine, factors, given)
        return self.run(stocks, settings, machine, factors).stock


class Joining(Operation):
    """An operation in which several branches meet: it asks every feed, knowing all of them."""

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """As `ask_feeds` before anything came in."""
        return self.ask_feeds(wanted, {}, machine, factors)

    @abstractmethod
    def ask_feeds(
        self, wanted: Wanted, came: Stocks, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What each feed must bring, given all that last came in."""


class KeepsSizes(Operation):
    """An operation that changes no size: what it hands on is asked for as it is wanted."""

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What is wanted of it, of its only feed."""
        return {MAIN: dict(wanted)}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The stock as it came."""
        return stocks[MAIN]
