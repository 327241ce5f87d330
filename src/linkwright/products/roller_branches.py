"""The branches of a roller chain: what each part is made of, and by which operations.

`branches` gives a `Branch` a part: inner, outer and middle plates from strip, bushings and
rollers curled from strip, pins from bar, each with the stock that enters it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from linkwright.processes.plate_blanking import Blanking
from linkwright.processes.plate_hardening import PlateHardening
from linkwright.processes.plate_tempering import PlateTempering
from linkwright.processes.plate_tumbling import PlateTumbling
from linkwright.processes.strand import Strand
from linkwright.processes.strip_slitting import StripSlitting
from linkwright.products.job import Rod
from linkwright.products.rods import analysis_of
from linkwright.quantities import CannotPlan
from linkwright.route import Machine, Operation, Stock
from linkwright.route.operation import Numbers


class PartSteel(Rod, Protocol):
    """What a branch needs to know of a steel in the works' stock."""

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts of roller chain that the works makes of it."""
        ...

    @property
    def bought_to_size(self) -> bool:
        """Whether it is ordered as thick as the part needs it."""
        ...

    @property
    def thickness_mm(self) -> float | None:
        """Thickness of strip."""
        ...

    @property
    def width_mm(self) -> float | None:
        """Width of the coil."""
        ...

    @property
    def coil_length_m(self) -> float | None:
        """Length of a coil."""
        ...


@dataclass(frozen=True)
class Branch:
    """One part: its operations in their order, the stock that enters, the steel of it."""

    part: str
    operations: tuple[Operation, ...]
    entering: Stock
    steel: PartSteel


def branches(
    strand: Strand,
    counts: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> list[Branch]:
    """A branch for every part of the chain; ``counts``: how many of each (`parts_of_strand`)."""
    made = [
        _plates(part, side, strand, getattr(counts, f"{part}s"), steels)
        for part, side in (
            ("inner_plate", "inner"), ("outer_plate", "outer"), ("middle_plate", "outer")
        )
        if part != "middle_plate" or strand.several
    ]  # fmt: skip
    return made


def _plates(
    part: str, side: str, strand: Strand, count: Any, steels: Sequence[PartSteel]
) -> Branch:
    plate = strand.parts.inner_plate if side == "inner" else strand.parts.outer_plate
    steel = _strip_for("plate", plate.plate_thickness_mm, steels, strand)
    operations = (
        StripSlitting(part),
        Blanking(part),
        PlateHardening(part),
        PlateTempering(part),
        PlateTumbling(),
    )
    return Branch(part, operations, _coil(steel, plate.plate_thickness_mm, "plates", count), steel)


def _coil(steel: PartSteel, thickness_mm: Any, name: str, count: Any) -> Stock:
    """A coil of strip; one bought to size is as thick as the part."""
    return Stock(
        form="coil",
        steel=f"{steel.grade}, heat {steel.heat}",
        shape={
            "plate_thickness_mm": thickness_mm if steel.bought_to_size else steel.thickness_mm,
            "coil_width_mm": steel.width_mm,
            "coil_length_m": steel.coil_length_m,
        },
        condition={**analysis_of(steel), "tensile_strength_MPa": steel.tensile_strength_MPa},
        amount={name: count},
    )


def _strip_for(
    part: str, thickness_mm: Any, steels: Sequence[PartSteel], strand: Strand
) -> PartSteel:
    """The first strip for this part that has its thickness, or is bought as thick as needed."""

    def fits(steel: PartSteel) -> bool:
        if steel.bought_to_size:
            return True
        off = abs(float(steel.thickness_mm or 0.0) / float(thickness_mm) - 1.0)
        return off <= _SAME

    return _first(part, "strip", fits, f"{float(thickness_mm):.2f} mm thick", steels, strand)


def _first(
    part: str,
    form: str,
    fits: Callable[[PartSteel], bool],
    what: str,
    steels: Sequence[PartSteel],
    strand: Strand,
) -> PartSteel:
    of_form = [
        one for one in steels if part in one.parts and (one.form == "strip") == (form == "strip")
    ]
    for steel in of_form:
        if fits(steel):
            return steel
    have = ", ".join(one.name for one in of_form) or "none names this part"
    raise CannotPlan(
        f"no {form} in stock {what} for the {part} of {strand.parts.chain_number}: {have}"
    )


_SAME = 0.02
