"""Settings: what a person dials in at a machine, and how the value came about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

GIVEN, HELD, SOLVED = "given", "held", "solved"


@dataclass(frozen=True, slots=True)
class Setting:
    """One value on a set-up card.

    how: ``given`` (by the order), ``held`` (kept by this works) or ``solved`` for ``aim``.
    low, high: what the machine can hold; tolerance: by how much the shop may be off;
    check: how it is checked and how often.
    """

    name: str
    value: Any
    how: str
    aim: str = ""
    low: float | None = None
    high: float | None = None
    tolerance: float | None = None
    check: str = ""

    @property
    def entry(self) -> str | None:
        """Id of the value's entry in the derivation, if it was recorded."""
        return getattr(self.value, "entry", None)

    @property
    def reachable(self) -> bool:
        """Whether the machine can hold the value."""
        value = float(self.value)
        return (self.low is None or value >= self.low - 1e-12 * abs(self.low)) and (
            self.high is None or value <= self.high + 1e-12 * abs(self.high)
        )


@dataclass(frozen=True)
class SetUp(Mapping[str, Any]):
    """All settings of one operation; indexing gives the value.

    ``prepared`` holds what set-up computed once for `run`: reduced models, sensitivities.
    """

    settings: tuple[Setting, ...]
    prepared: Mapping[str, Any] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Any:
        for setting in self.settings:
            if setting.name == name:
                return setting.value
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        return (setting.name for setting in self.settings)

    def __len__(self) -> int:
        return len(self.settings)
