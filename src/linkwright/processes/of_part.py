"""Work on one part of a chain that is made of several: its scatter bears the part's name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from linkwright.route import Conditions, Operation


class OfPart(Operation):
    """An operation that several branches of a route run, each on parts of its own.

    The class declares its scatter for ``part`` as it stands; one made for another part has a
    column of its own for each source, so that inner and outer plates do not scatter together.
    """

    part: str = "plate"

    def __init__(self, part: str = "") -> None:
        """``part`` is the branch of the route that this one works for."""
        if part:
            self.scatter = tuple(
                replace(source, name=_of_part(source.name, part)) for source in self.scatter
            )
            self.part = part

    def actual(
        self, factors: Conditions, level: str, quantity: str, value: Any, *, least: Any = None
    ) -> Any:
        """The value as it really is for each member: scatter ``level/part/operation/quantity``."""
        return factors.actual(f"{level}/{self.part}/{self.name}/{quantity}", value, least=least)


def _of_part(name: str, part: str) -> str:
    level, _, rest = name.split("/", 2)
    return f"{level}/{part}/{rest}"
