"""A machine as an order has it set: what the order gives stands before what the works holds.

`machines_as_ordered` lays the settings of an order line over the machines of its route, so
that whatever is asked back, decided or proven on a machine sees the same numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.route import Machine
from linkwright.route.operation import CardEntry, Numbers
from linkwright.works import FiledNumbers


@dataclass(frozen=True)
class Over:
    """Numbers of two tables, those of the first before those of the second."""

    first: Numbers
    second: Numbers

    def __getitem__(self, key: str) -> Any:
        return self.first[key] if key in self.first else self.second[key]

    def __contains__(self, key: object) -> bool:
        return key in self.first or key in self.second

    def get(self, key: str, default: Any = None) -> Any:
        """The number, or the default."""
        return self.first[key] if key in self.first else self.second.get(key, default)

    def place(self, name: str) -> str:
        """File and line where the number stands."""
        return self.first.place(name) if name in self.first else self.second.place(name)


@dataclass(frozen=True)
class MachineAsOrdered:
    """A machine of the works with the settings that an order fixes on it."""

    machine: Machine
    given: Numbers

    @property
    def name(self) -> str:
        """Name of the machine in the works."""
        return self.machine.name

    @property
    def many(self) -> float:
        """How many machines alike there are."""
        return self.machine.many

    @property
    def held(self) -> Numbers:
        """What the order gives, else what the works keeps fixed."""
        return Over(self.given, self.machine.held)

    @property
    def spread(self) -> Numbers:
        """Standard deviations by quantity."""
        return self.machine.spread

    @property
    def rate(self) -> Numbers:
        """Times, speeds and power while it runs."""
        return self.machine.rate

    @property
    def operations(self) -> tuple[str, ...]:
        """What the machine does."""
        return self.machine.operations

    @property
    def card(self) -> Sequence[CardEntry]:
        """What its set-up card says beyond what is computed."""
        return self.machine.card

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """Least and greatest value that the machine can hold."""
        return self.machine.limits(key)


def machines_as_ordered(
    machines: Mapping[str, Machine], settings: FiledNumbers
) -> dict[str, Machine]:
    """The machine of each operation, with the settings ``operation.name`` laid over it.

    Settings of one branch, ``branch/operation.name``, give a machine of that key.
    """
    plain = {
        operation: MachineAsOrdered(machine, settings.under(operation))
        for operation, machine in machines.items()
    }
    keys = {key.partition(".")[0] for key in settings}
    branches = {
        key: MachineAsOrdered(plain[operation], settings.under(key))
        for key, operation in ((key, key.rpartition("/")[2]) for key in keys if "/" in key)
        if operation in plain
    }
    return {**plain, **branches}
