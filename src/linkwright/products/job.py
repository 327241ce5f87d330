"""A chain ready to be planned: what every product hands to the planner.

`ChainJob`, the `Rod` it is made of, the `Choice` behind it; `machine_of` finds the machine
of an operation.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from linkwright.quantities import CannotPlan
from linkwright.route import Machine, Requirement, Route, Wanted
from linkwright.standards.requirement import Clause


class Rod(Protocol):
    """What a route needs to know of a rod or wire in the works' stock."""

    @property
    def name(self) -> str:
        """Name in the stock list."""
        ...

    @property
    def form(self) -> str:
        """``rod`` or ``wire``."""
        ...

    @property
    def grade(self) -> str:
        """Steel grade."""
        ...

    @property
    def heat(self) -> str:
        """Heat number."""
        ...

    @property
    def analysis_kind(self) -> str:
        """``cast`` or ``check``."""
        ...

    @property
    def analysis(self) -> Mapping[str, float]:
        """Mass per cent by element."""
        ...

    @property
    def diameter_mm(self) -> float:
        """Diameter as bought."""
        ...

    @property
    def tensile_strength_MPa(self) -> float:
        """Tensile strength as bought."""
        ...

    @property
    def price_EUR_per_kg(self) -> float | None:
        """Price, if it is known."""
        ...


@dataclass(frozen=True)
class ChainJob:
    """A chain ready to be planned: its route, what its end must give, what a lot must show.

    length_m, pitches: how much is ordered, where the product knows it otherwise than from the
    order's length. steels: what the store gives, by the branch of the route that it enters.
    treatment: the heat treatment of the route, empty if there is none. not_for_lifting: the
    standard's or the trade's own ban. open: what the standard asks and nobody here could vouch
    for, so that it must be read there.
    """

    route: Route
    wanted: Wanted
    requirements: Sequence[Requirement]
    steels: Mapping[str, Rod]
    lots: Any
    clauses: Mapping[str, Clause]
    length_m: Any = None
    pitches: Any = None
    treatment: str = ""
    not_for_lifting: bool = False
    open: tuple[str, ...] = ()

    @property
    def rod(self) -> Rod:
        """The steel of the first branch."""
        return next(iter(self.steels.values()))


@dataclass(frozen=True)
class Choice:
    """One way to make a chain: of which rod, by which heat treatment."""

    rod: str
    treatment: str


def machine_of(machines: Mapping[str, Machine], operation: str, what: str) -> Machine:
    """The machine of an operation; raises `CannotPlan` if the works has none for this chain."""
    if operation not in machines:
        raise CannotPlan(f"the works has no machine for {operation.replace('_', ' ')} of {what}")
    return machines[operation]
