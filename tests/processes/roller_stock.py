"""Assembly of roller chain for the tests: bought pins, bushings and rollers, made plates."""

from __future__ import annotations

from typing import Any, ClassVar

from linkwright.catalogue import sourced
from linkwright.processes.strand import Strand
from linkwright.products import roller
from linkwright.products.roller_branches import Branch
from linkwright.route import MAIN, KeepsSizes, SetUp, Step, Stock
from linkwright.works import demo_works


class Bought(KeepsSizes):
    """A part that comes in finished."""

    name: ClassVar[str] = "receiving"

    def set_up(self, stocks: Any, wanted: Any, machine: Any, factors: Any, given: Any) -> SetUp:
        return SetUp((), {})

    def run(self, stocks: Any, settings: Any, machine: Any, factors: Any) -> Step:
        return Step((), stocks[MAIN])


def bought_branches(strand: Strand, counts: Any, steel: Any) -> list[Branch]:
    """Pins, bushings and rollers as their drawing has them."""
    parts = strand.parts
    sizes = {
        "bushing": {name: getattr(parts.bushing, name) for name in
                    ("bushing_outside_mm", "bushing_bore_mm", "bushing_length_mm")},
        "pin": {name: getattr(parts.pin, name) for name in ("pin_diameter_mm", "pin_length_mm")},
    }  # fmt: skip
    if parts.roller:
        sizes["roller"] = {name: getattr(parts.roller, name) for name in
                           ("roller_outside_mm", "roller_bore_mm", "roller_length_mm")}  # fmt: skip
    condition = {
        name: sourced(name, value, "file", "bought")
        for name, value in (("tensile_strength_MPa", 1250.0), ("yield_strength_MPa", 1000.0))
    }
    mass = sourced("piece_mass_kg", 0.01, "file", "bought")
    return [
        Branch(part, (Bought(),), Stock(part, "bought", shape, condition,
               {"pieces": getattr(counts, f"{part}s"), "piece_mass_kg": mass}), steel)
        for part, shape in sizes.items()
    ]  # fmt: skip


def job(chain_number: str = "16B", length_m: float = 300.0) -> Any:
    """The job of a chain by its number with such parts, in the demo works."""
    works = demo_works()
    machines = {}
    for machine in works.machines:
        for operation in machine.operations:
            machines.setdefault(operation, machine)
    plates = roller.branches

    def both(strand: Strand, counts: Any, steels: Any, *rest: Any) -> list[Branch]:
        made = [one for one in plates(strand, counts, steels, *rest) if "plate" in one.part]
        return [*made, *bought_branches(strand, counts, steels[0])]

    roller.branches = both  # type: ignore[attr-defined]
    try:
        return roller.roller_chain(
            chain_number=chain_number,
            length_m=sourced("length_m", length_m, "file", "order"),
            pitches=None,
            steels=[one for one in works.steels if one.parts],
            machines=machines,
            aim=works.aim,
        )
    finally:
        roller.branches = plates  # type: ignore[attr-defined]
