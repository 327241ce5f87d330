"""Texts and numbers that a person gives by name, read into the units of their keys.

Offers `read_numbers` and `Accepted`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from linkwright.quantities import LinkwrightError, Problem, quantity


@dataclass(frozen=True)
class Accepted:
    """What values may be; a value is above 0 unless its name says otherwise."""

    may_be_zero: frozenset[str] = frozenset()
    may_be_negative: frozenset[str] = frozenset()
    greatest: Mapping[str, float] = field(default_factory=dict)

    def takes(self, name: str, value: float) -> bool:
        """Whether a value is accepted."""
        if value > self.greatest.get(name, float("inf")):
            return False
        return (
            value > 0 or name in self.may_be_negative or (value == 0 and name in self.may_be_zero)
        )

    def words(self, name: str) -> str:
        """What would be accepted."""
        most = self.greatest.get(name)
        return "more than 0" if most is None else f"more than 0, at most {most:g}"


def read_numbers(
    values: Mapping[str, str | float | None],
    names: Iterable[str],
    *,
    needed: Iterable[str],
    defaults: Mapping[str, float],
    accepted: Accepted,
) -> tuple[dict[str, float], list[Problem]]:
    """The numbers that are there, with ``defaults`` for those left out, and all that is wrong."""
    problems: list[Problem] = []
    made: dict[str, float] = {}
    for name in names:
        value = values.get(name)
        if value is None:
            if name in needed:
                problems.append(Problem("missing-key", "is missing", key=name))
            elif name in defaults:
                made[name] = defaults[name]
            continue
        try:
            made[name] = quantity(value, name)
        except LinkwrightError as error:
            problems.append(Problem("quantity", str(error), key=name))
            continue
        if not accepted.takes(name, made[name]):
            text = f"{value} is not accepted"
            problems.append(Problem("value", text, key=name, accepted=accepted.words(name)))
    return made, problems
