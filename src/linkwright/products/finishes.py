"""How chain leaves the works: the finish of an order, what it adds to a route, what is refused.

- `FINISHES`: the finishes by name; `BRIGHT` adds nothing
- `require_finish`: refuses acid and molten zinc on chain of grade 8 and above
- `with_finish`: the operations of a finish at their places in a route
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, NamedTuple

from linkwright.catalogue import not_recording
from linkwright.processes.finishing import Blasting, Oiling, Tumbling
from linkwright.processes.plating import HotDipZinc, HydrogenRelief, Plating
from linkwright.quantities import CannotPlan, UnknownName
from linkwright.route import Operation
from linkwright.standards.en818 import load_on_two_sections_N

BRIGHT = "bright"
HOT_DIP = "hot-dip zinc"
GRADE_8_MPA = 800.0
"""Mean stress at the breaking force of grade 8, on both sections of the link."""
_ROUNDED_MPA = 5.0  # forces of tables are rounded
_CHAIN = "chain"


class Finish(NamedTuple):
    """Operations before the proof force, before the inspection and after it."""

    before_proof: tuple[Callable[[], Operation], ...] = ()
    before_inspection: tuple[Callable[[], Operation], ...] = ()
    after_inspection: tuple[Callable[[], Operation], ...] = ()


FINISHES: Mapping[str, Finish] = MappingProxyType({
    BRIGHT: Finish(),
    "oiled": Finish(after_inspection=(Oiling,)),
    "tumbled": Finish(before_inspection=(Tumbling,), after_inspection=(Oiling,)),
    "blasted": Finish(before_inspection=(Blasting,), after_inspection=(Oiling,)),
    "zinc electroplated": Finish(before_proof=(Blasting, Plating, HydrogenRelief)),
    HOT_DIP: Finish(before_proof=(Blasting, HotDipZinc)),
})  # fmt: skip
"""Finishes that an order may name. What heats the chain comes before its proof force."""


def require_finish(finish: str, breaking_force_kN: Any, size_mm: Any) -> None:
    """Raise `CannotPlan` with reason and source for a finish that harms chain of this strength.

    Grade 8 and above: a bath of zinc is hotter than the 400 °C up to which such chain may be
    used at all and near the least temper of its standard; acid before the bath drives
    hydrogen into it. Raises `UnknownName` for a finish that is not known.
    """
    if finish not in FINISHES:
        raise UnknownName("finish", finish, FINISHES)
    if finish != HOT_DIP:
        return
    with not_recording():
        grade_8 = float(load_on_two_sections_N(float(size_mm), GRADE_8_MPA - _ROUNDED_MPA))
    if 1000.0 * float(breaking_force_kN) >= grade_8:
        others = ", ".join(f'"{name}"' for name in FINISHES if name != HOT_DIP)
        raise CannotPlan(
            "hot-dip zinc is refused for chain of grade 8 and above: the bath (about 450 degC) is "
            "hotter than the 400 degC up to which EN 818-6 lets such chain be used and would "
            "temper it again, and acid before the bath makes it brittle by hydrogen (EN 818-6, "
            f"guidance on acid conditions, from memory). Accepted: {others}"
        )


def with_finish(
    operations: Sequence[tuple[str, Operation]], finish: str
) -> list[tuple[str, Operation]]:
    """A line of (branch, operation) with the operations of a finish put in.

    Before calibrating what heats or coats, before the inspection what takes metal, after it
    the oil.
    """
    added = FINISHES[finish]
    before = {"calibrating": added.before_proof, "inspection": added.before_inspection}
    made: list[tuple[str, Operation]] = []
    for branch, operation in operations:
        made += [(_CHAIN, make()) for make in before.get(operation.name, ())]
        made.append((branch, operation))
        if operation.name == "inspection":
            made += [(_CHAIN, make()) for make in added.after_inspection]
    return made
