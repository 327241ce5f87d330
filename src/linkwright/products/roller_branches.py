"""The branches of a roller chain: what each part is made of, and by which operations.

`branches` gives a `Branch` a part: inner, outer and middle plates from strip, bushings curled from
strip, rollers curled or extruded from wire, pins from bar, each with the stock that enters it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

from linkwright.materials.steels import steel as steel_named
from linkwright.processes.ball_sizing import BallSizing
from linkwright.processes.carbonitriding import Carbonitriding
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.curling import Curling
from linkwright.processes.end_annealing import EndAnnealing
from linkwright.processes.models.centreless_grinding import blank_before_grinding
from linkwright.processes.models.curling import strip_for_wall
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.processes.models.plate_quench import size_before_growth
from linkwright.processes.of_part import OfPart
from linkwright.processes.part_washing import PartWashing
from linkwright.processes.pin_cutting import PinCutting
from linkwright.processes.pin_drilling import PinDrilling
from linkwright.processes.pin_grinding import PinGrinding
from linkwright.processes.pin_shearing import PinShearing
from linkwright.processes.pin_turning import PinTurning
from linkwright.processes.plate_blanking import Blanking
from linkwright.processes.plate_hardening import PlateHardening
from linkwright.processes.plate_tempering import PlateTempering
from linkwright.processes.plate_tumbling import PlateTumbling
from linkwright.processes.receiving import ElementLimit
from linkwright.processes.roller_extrusion import RollerExtrusion
from linkwright.processes.shot_peening import ShotPeening
from linkwright.processes.stock_receiving import HeatOfSteel, StockReceiving
from linkwright.processes.strand import Strand
from linkwright.processes.strip_slitting import StripSlitting
from linkwright.products.job import Rod, machine_of
from linkwright.products.pin_ways import PinWay
from linkwright.products.rods import analysis_of
from linkwright.quantities import CannotPlan, UnknownName
from linkwright.route import MAIN, Conditions, Machine, Operation, Stock
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


_USUAL = PinWay()


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
    plate_work: Sequence[str] = (),
    carbonitrided: Sequence[str] = (),
    way: PinWay = _USUAL,
) -> list[Branch]:
    """A branch for every part of the chain; ``counts``: how many of each (`parts_of_strand`).

    ``plate_work``: "shot peening" and "ball sizing" of plates, peened first. ``carbonitrided``:
    parts whose case is made with ammonia; the others are carburised. ``way``: how pins are made.
    """
    case = {part: Carbonitriding if part in carbonitrided else CaseHardening for part in _CASED}
    further = [work for name, work in _PLATE_WORK.items() if name in plate_work]
    made = [
        _plates(part, side, strand, getattr(counts, f"{part}s"), steels, further)
        for part, side in (
            ("inner_plate", "inner"), ("outer_plate", "outer"), ("middle_plate", "outer")
        )
        if part != "middle_plate" or strand.several
    ]  # fmt: skip
    bushing = _curled("bushing", strand, counts.bushings, steels, machines)
    rolled = (
        [_rollers(strand, counts.rollers, steels, machines, aim)] if strand.parts.roller else []
    )
    pins = _pins(strand, counts.pins, steels, machines, case["pin"], way)
    return _received([*made, _cased(bushing, case), pins, *(_cased(one, case) for one in rolled)])


def _received(made: Sequence[Branch]) -> list[Branch]:
    """Each branch begins at goods-in; branches of one heat have its analysis in common."""
    first: dict[tuple[str, str], str] = {}
    found = []
    for one in made:
        bought = one.steel
        of_heat = first.setdefault((bought.grade, bought.heat), one.part)
        elements = tuple(name.removesuffix("_percent") for name in analysis_of(bought))
        heat = HeatOfSteel(of_heat, elements, _limits_of(bought.grade))
        receiving = StockReceiving(heat, one.part)
        found.append(replace(one, operations=(receiving, *one.operations)))
    return found


def _limits_of(grade: str) -> list[ElementLimit]:
    """What the standard of a grade allows of each element; nothing for a grade not held here."""
    try:
        known = steel_named(grade)
    except UnknownName:
        return []
    return [
        ElementLimit(element, *known.limit(element), f"{known.source}: cast analysis")
        for element in known.limits
    ]


def _cased(branch: Branch, case: Mapping[str, type[CaseHardening]]) -> Branch:
    """The branch with its case at the end."""
    return replace(branch, operations=(*branch.operations, case[branch.part](branch.part)))


def _rollers(
    strand: Strand,
    count: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> Branch:
    """Extruded where the wall is thick and the store has wire for them, else curled.

    A thin wall asks more of the punch than it can stand; the share of the bore counts.
    """
    sizes = _turning("roller", strand)
    wall = (float(sizes["outside"]) - float(sizes["bore"])) / 2.0
    thick = wall >= float(aim["roller_extruded_ratio"]) * float(sizes["bore"])
    forms = {one.form == "strip" for one in steels if "roller" in one.parts}
    extruded = False in forms and (thick or True not in forms)
    make = _extruded if extruded else _curled
    return make("roller", strand, count, steels, machines)


def _curled(
    part: str,
    strand: Strand,
    count: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
) -> Branch:
    """Cut from strip and curled: bushings, and rollers with a thin wall."""
    sizes = _turning(part, strand)
    curling = machine_of(machines, Curling.name, _WHAT)
    strip = strip_for_wall(
        outside_mm=sizes["outside"],
        bore_mm=sizes["bore"],
        closing_percent=curling.held["closing_percent"],
    )
    steel = _strip_for(part, strip, steels, strand)
    coil = _coil(steel, strip, "pieces", count)
    return Branch(
        part,
        (StripSlitting(part), Curling(part)),
        coil.changed(amount=_beside(part, strand)),
        steel,
    )


def _extruded(
    part: str,
    strand: Strand,
    count: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
) -> Branch:
    """Cold extruded from wire: rollers with a thick wall."""
    work = RollerExtrusion(part)
    machine = machine_of(machines, work.name, _WHAT)
    wanted = {f"{part}_{name}_mm": size for name, size in _turning(part, strand).items()}
    wire = work.ask(wanted, None, machine, Conditions())[MAIN]["wire_diameter_mm"]

    def fits(steel: PartSteel) -> bool:
        if steel.bought_to_size:
            return True
        return _THINNEST_WIRE <= float(steel.diameter_mm) / float(wire) <= 1.0

    steel = _first(part, "wire", fits, f"of some {float(wire):.2f} mm", steels, strand)
    shape = {"wire_diameter_mm": wire if steel.bought_to_size else steel.diameter_mm}
    stock = _entering("wire", steel, shape, {"pieces": count, **_beside(part, strand)})
    return Branch(part, (work,), stock, steel)


def _pins(
    strand: Strand,
    count: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
    case: type[CaseHardening],
    way: PinWay,
) -> Branch:
    """Sawn or sheared, turned, perhaps drilled, case hardened, perhaps annealed, ground."""
    grinding, hardening = (
        machine_of(machines, one, _WHAT) for one in (PinGrinding.name, case.name)
    )
    pin = strand.parts.pin.pin_diameter_mm
    blank = size_before_growth(
        size_mm=blank_before_grinding(
            pin_diameter_mm=pin,
            grinding_stock_mm=sized_by_wire(
                wire_diameter_mm=pin, ratio=grinding.held["grinding_stock_over_pin_ratio"]
            ),
        ),
        growth_percent=hardening.held["growth_percent"],
    )

    def fits(steel: PartSteel) -> bool:
        if steel.bought_to_size:
            return True
        return abs(float(steel.diameter_mm) - float(blank)) <= _SAME_BAR_MM

    cut = PinShearing() if way.sheared else PinCutting()
    steel = _first("pin", "bar", fits, f"of {float(blank):.2f} mm", steels, strand)
    shape = {
        "diameter_mm": blank if steel.bought_to_size else steel.diameter_mm,
        "bar_length_m": machine_of(machines, cut.name, _WHAT).held["bar_length_m"],
    }
    stock = _entering("bar", steel, shape, {"pieces": count})
    work = (
        cut,
        PinTurning(),
        *((PinDrilling(strand.cotter),) if strand.cotter else ()),
        case("pin", annealed=way.annealed),
        *((EndAnnealing(strand),) if way.annealed else ()),
        PinGrinding(),
        PartWashing(),
    )
    return Branch("pin", work, stock, steel)


def _turning(part: str, strand: Strand) -> dict[str, Any]:
    """Outside, bore and length of a bushing or roller."""
    sizes = getattr(strand.parts, part)
    return {name: getattr(sizes, f"{part}_{name}_mm") for name in ("outside", "bore", "length")}


def _beside(part: str, strand: Strand) -> dict[str, Any]:
    """What a roller turns on, which its play is judged by."""
    if part != "roller":
        return {}
    return {"bushing_outside_mm": strand.parts.bushing.bushing_outside_mm}


def _plates(
    part: str,
    side: str,
    strand: Strand,
    count: Any,
    steels: Sequence[PartSteel],
    further: Sequence[type[OfPart]],
) -> Branch:
    plate = strand.parts.inner_plate if side == "inner" else strand.parts.outer_plate
    steel = _strip_for("plate", plate.plate_thickness_mm, steels, strand)
    operations = (
        StripSlitting(part),
        Blanking(part),
        PlateHardening(part),
        PlateTempering(part),
        PlateTumbling(),
        *(work(part) for work in further),
    )
    return Branch(part, operations, _coil(steel, plate.plate_thickness_mm, "plates", count), steel)


def _coil(steel: PartSteel, thickness_mm: Any, name: str, count: Any) -> Stock:
    """A coil of strip; one bought to size is as thick as the part."""
    shape = {
        "plate_thickness_mm": thickness_mm if steel.bought_to_size else steel.thickness_mm,
        "coil_width_mm": steel.width_mm,
        "coil_length_m": steel.coil_length_m,
    }
    return _entering("coil", steel, shape, {name: count})


def _entering(
    form: str, steel: PartSteel, shape: Mapping[str, Any], amount: Mapping[str, Any]
) -> Stock:
    """Steel of the stock as it enters a branch."""
    return Stock(
        form=form,
        steel=f"{steel.grade}, heat {steel.heat}",
        shape=shape,
        condition={**analysis_of(steel), "tensile_strength_MPa": steel.tensile_strength_MPa},
        amount=amount,
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


_PLATE_WORK: dict[str, type[OfPart]] = {"shot peening": ShotPeening, "ball sizing": BallSizing}
_CASED = ("bushing", "roller", "pin")
_WHAT = "roller chain"
_SAME = 0.02
_SAME_BAR_MM = 0.03
_THINNEST_WIRE = 0.85
"""Wire over the one asked for, below which slugs would be too long to be upset straight."""
