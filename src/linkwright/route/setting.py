"""Settings: what a person dials in at a machine, and how the value came about.

`with_card` adds to a set-up what the works file says of the card; `lacking` names what a
card must show and does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from linkwright.route.operation import Machine, Operation

GIVEN, HELD, SOLVED, FOLLOWS = "given", "held", "solved", "follows"


@dataclass(frozen=True, slots=True)
class Setting:
    """One value on a set-up card: a number, or words (an alloy, the number of a die).

    how: ``given`` (by the order), ``held`` (kept by this works), ``solved`` for ``aim``, or
    ``follows`` from the other settings: to be set or compared, but not to be chosen.
    low, high: what the machine can hold; tolerance: by how much the shop may be off;
    check: how it is checked and how often; own: whether it is a row of the works' own card,
    its words those of the works.
    """

    name: str
    value: Any
    how: str
    aim: str = ""
    low: float | None = None
    high: float | None = None
    tolerance: float | None = None
    check: str = ""
    own: bool = False

    @property
    def entry(self) -> str | None:
        """Id of the value's entry in the derivation, if it was recorded."""
        return getattr(self.value, "entry", None)

    @property
    def reachable(self) -> bool:
        """Whether the machine can hold the value."""
        if isinstance(self.value, str):
            return True
        value = float(self.value)
        return (self.low is None or value >= self.low - 1e-12 * abs(self.low)) and (
            self.high is None or value <= self.high + 1e-12 * abs(self.high)
        )


@dataclass(frozen=True)
class SetUp(Mapping[str, Any]):
    """All settings of one operation; indexing gives the value.

    ``prepared`` holds what set-up computed once for `run`: reduced models, sensitivities;
    ``card`` the names that the set-up card must show.
    """

    settings: tuple[Setting, ...]
    prepared: Mapping[str, Any] = field(default_factory=dict)
    card: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Any:
        for setting in self.settings:
            if setting.name == name:
                return setting.value
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        return (setting.name for setting in self.settings)

    def __len__(self) -> int:
        return len(self.settings)


def with_card(
    set_up: SetUp, operation: Operation, machine: Machine, given: Mapping[str, Any]
) -> SetUp:
    """The set-up with the rows of the machine's card that belong to it, and what it must show.

    A row belongs to the operations that name it; one that nobody names stands with the
    first operation of its machine. What the order gives goes before what the works says.
    """
    first = machine.operations[:1] == (operation.name,)
    rows = []
    for row in machine.card:
        if row.name in set_up or not (row.name in operation.card or first):
            continue
        fixed = row.name in given
        value, how = (given[row.name], GIVEN) if fixed else (row.value, HELD)
        tolerance, check = row.tolerance, row.check
        rows.append(Setting(row.name, value, how, tolerance=tolerance, check=check, own=True))
    return replace(set_up, settings=(*set_up.settings, *rows), card=tuple(operation.card))


def lacking(set_up: SetUp, operation: Operation) -> tuple[str, ...]:
    """What the card of this operation must show and does not."""
    return tuple(name for name in operation.card if name not in set_up)
