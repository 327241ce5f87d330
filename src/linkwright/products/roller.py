"""Roller chain by its number: parts that are made apart and meet at assembly.

`roller_chain` gives a `ChainJob`: a branch of the route for each part (`roller_branches`), inner
links pressed, the strand assembled, preloaded, measured and greased. Limits are those of ISO 606
as far as its row is held; sizes that no table prints are derived by stated rules or stand in the
works' own drawing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from linkwright.catalogue import sourced
from linkwright.processes.carbonitriding import Carbonitriding
from linkwright.processes.chain_assembly import ChainAssembly
from linkwright.processes.cottering import Cottering
from linkwright.processes.end_annealing import EndAnnealing
from linkwright.processes.greasing import Greasing
from linkwright.processes.link_pressing import LinkPressing
from linkwright.processes.models.assembled_chain import plates_across, safe_pull
from linkwright.processes.models.inspection import lots_in_length, with_margin
from linkwright.processes.models.link_geometry import links_in_length, sized_by_wire
from linkwright.processes.models.roller_strand import parts_of_strand, strand_length
from linkwright.processes.packing import Crating
from linkwright.processes.preloading import Preloading
from linkwright.processes.roller_inspection import RollerInspection
from linkwright.processes.strand import Strand
from linkwright.products.job import ChainJob, machine_of
from linkwright.products.pin_ways import cottered_end, pin_way
from linkwright.products.roller_branches import Branch, PartSteel, branches
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Machine, Operation, Place, Requirement, Route
from linkwright.route.operation import Numbers
from linkwright.standards.requirement import Clause
from linkwright.standards.roller_chain import (
    iso606_chain,
    read_chain_number,
    roller_chain_strength,
)
from linkwright.standards.roller_parts import Drawing, roller_parts

INSPECTION = "roller_inspection"
_WHAT = "roller chain"
_ISO = "ISO 606:2004, Table 1"
_LENGTH = "ISO 606:2004, length validation"
_LEAST_ERROR, _GREATEST_ERROR = 0.0, 0.15
"""Per cent of the nominal length, under the measuring force."""


class _Amount(NamedTuple):
    """How much is ordered, and how much is made with test pieces."""

    pitches: Any
    length_m: Any
    made_m: Any
    lots: Any
    parts: Any


def roller_chain(
    *,
    chain_number: str,
    length_m: Any,
    pitches: Any,
    steels: Sequence[PartSteel],
    machines: Mapping[str, Machine],
    aim: Numbers,
    drawing: Drawing | None = None,
    plate_work: Sequence[str] = (),
    carbonitrided: Sequence[str] = (),
    pin_work: Sequence[str] = (),
    pin_work_drawn: Sequence[str] = (),
) -> ChainJob:
    """The job of one order line of roller chain.

    chain_number: "16B", "16B-2", "80-3". length_m or pitches: how much. steels: the works' steels
    that name the parts which they are for. machines: by operation. aim: the works' margins
    (roller_strength_margin_percent, roller_length_error_percent, roller_safety_factor,
    pin_case_share ...). drawing: sizes that go before standard and rule. plate_work:
    "shot peening", "ball sizing". carbonitrided: "bushing", "roller", "pin". pin_work,
    pin_work_drawn: words of `pin_ways.PIN_WORK` as the order says and as the drawing says.

    Raises `ArgumentError` or `UnknownName` for a number that is not held, `CannotPlan` if the
    works lacks a machine or a steel.
    """
    way = pin_way(pin_work, pin_work_drawn, machines)
    strand = _strand(chain_number, pitches, length_m, aim, drawing)
    if way.cottered:
        strand = replace(strand, cotter=cottered_end(strand.parts, drawing, machines))
    bench = machine_of(machines, INSPECTION, _WHAT)
    amount = _amount(strand, length_m, bench)
    made = branches(strand, amount.parts, steels, machines, aim, plate_work, carbonitrided, way)
    ordered = {
        "length_m": amount.made_m,
        "ordered_length_m": amount.length_m,
        "lots": amount.lots,
        "pitches": amount.pitches,
    }
    places, entering, used = _places(strand, made, machines, bench, ordered)
    return ChainJob(
        route=Route(places, entering),
        wanted=_wanted(strand, aim),
        requirements=_requirements(strand, bench),
        steels=used,
        lots=amount.lots,
        length_m=amount.length_m,
        pitches=amount.pitches,
        clauses={**_clauses(strand), **_works_clauses(made)},
        treatment=_treatment(made),
        not_for_lifting=True,
        open=_open(strand),
    )


def _strand(
    chain_number: str, pitches: Any, length_m: Any, aim: Numbers, drawing: Drawing | None
) -> Strand:
    number = read_chain_number(chain_number)
    parts = roller_parts(number.chain, number.strands, drawing)
    row = iso606_chain(chain_number=parts.chain_number)
    strands = sourced("strands", float(number.strands), "choice", f"chain number {chain_number}")
    strength = roller_chain_strength(chain_number=parts.chain_number, strands=strands)
    case = {
        "pin": sized_by_wire(
            wire_diameter_mm=parts.pin.pin_diameter_mm, ratio=aim["pin_case_ratio"]
        ),
        "bushing": sized_by_wire(
            wire_diameter_mm=parts.bushing.bushing_wall_mm, ratio=aim["bushing_case_ratio"]
        ),
    }
    if parts.roller:
        case["roller"] = sized_by_wire(
            wire_diameter_mm=parts.roller.roller_wall_mm, ratio=aim["roller_case_ratio"]
        )
    return Strand(
        parts=parts,
        row=row,
        strength=strength,
        strands=strands,
        pitches=pitches
        if pitches is not None
        else links_in_length(length_m=length_m, pitch_mm=parts.pitch_mm),
        greatest_pull_kN=safe_pull(
            breaking_force_kN=strength.breaking_force_kN, safety=aim["roller_safety_factor"]
        ),
        case_depths_mm=case,
    )


def _amount(strand: Strand, length_m: Any, bench: Machine) -> _Amount:
    """Ordered and made; test pieces are made with the order."""
    pitch = strand.parts.pitch_mm
    ordered = (
        strand_length(pitches=strand.pitches, pitch_mm=pitch) if length_m is None else length_m
    )
    made = with_margin(limit=ordered, margin_percent=bench.held["test_length_percent"])
    parts = parts_of_strand(
        pitches=links_in_length(length_m=made, pitch_mm=pitch),
        strands=strand.strands,
        **({} if strand.parts.roller else {"bushings_carry_rollers": _NO_ROLLERS}),
    )
    lots = lots_in_length(length_m=ordered, lot_length_m=bench.held["lot_length_m"])
    return _Amount(strand.pitches, ordered, made, lots, parts)


def _places(
    strand: Strand,
    made: Sequence[Branch],
    machines: Mapping[str, Machine],
    bench: Machine,
    ordered: Mapping[str, Any],
) -> tuple[tuple[Place, ...], dict[str, Any], dict[str, Any]]:
    """Branches first, then the inner link, then the chain; what enters; which steels."""
    places: list[Place] = []
    ends: dict[str, str] = {}
    entering, used = {}, {}

    def add(operation: Operation, branch: str, feeds: Mapping[str, str]) -> None:
        own = f"{branch}/{operation.name}"
        machine = machines.get(own) or machine_of(machines, operation.name, _WHAT)
        places.append(Place(operation, branch, machine, feeds))
        ends[branch] = places[-1].key

    for one in made:
        for index, operation in enumerate(one.operations):
            add(operation, one.part, {MAIN: places[-1].key} if index else {})
            if not index:
                entering[places[-1].key] = one.entering.changed(amount=ordered)
        used[one.part] = one.steel
    pressing, assembly = LinkPressing(strand), ChainAssembly(strand)
    add(pressing, "inner_link", {feed: ends[feed] for feed in pressing.feeds})
    add(assembly, "chain", {feed: ends[feed] for feed in assembly.feeds})
    for operation in (
        *((Cottering(strand),) if strand.cotter else ()),
        Preloading(strand),
        RollerInspection(strand, _limits(strand)),
        Greasing(strand),
        Crating(label=(f"ISO 606 {strand.parts.chain_number}-{strand.parts.strands}",)),
    ):
        add(operation, "chain", {MAIN: places[-1].key})
    return tuple(places), entering, used


def _wanted(strand: Strand, aim: Numbers) -> dict[str, Any]:
    breaking = with_margin(
        limit=strand.strength.breaking_force_kN,
        margin_percent=aim["roller_strength_margin_percent"],
    )
    return {
        "pitch_mm": strand.parts.pitch_mm,
        "length_error_percent": aim["roller_length_error_percent"],
        "breaking_force_kN": breaking,
        "inner_plates_force_kN": with_margin(
            limit=breaking, margin_percent=aim["roller_inner_margin_percent"]
        ),
        "plates_across": plates_across(strands=strand.strands),
    }


def _limits(strand: Strand) -> dict[str, tuple[Any, Any, str]]:
    """What ISO 606 gives, by the finding that it judges; a cell that is not held gives none."""
    strength = strand.strength
    limits = {
        "breaking_force_kN": (strength.breaking_force_kN, None, _ISO),
        "weakest_link_in_sample_kN": (strength.breaking_force_kN, None, _ISO),
        "length_error_percent": (*_length_limits(), _LENGTH),
    }
    dynamic = strand.row.dynamic_strength_N
    if float(dynamic) > 0.0:
        for side in ("inner", "outer"):
            limits[f"{side}_dynamic_strength_N"] = (dynamic, None, f"{_ISO}, dynamic strength")
    return limits


def _length_limits() -> tuple[Any, Any]:
    least, greatest = (
        sourced("length_error_percent", value, "table", _LENGTH, "memory")
        for value in (_LEAST_ERROR, _GREATEST_ERROR)
    )
    return least, greatest


def _requirements(strand: Strand, bench: Machine) -> list[Requirement]:
    """What decides a lot: test pieces that are broken, strands that are measured."""
    least, greatest = _length_limits()
    return [
        Requirement(
            "breaking_force_kN", strand.strength.breaking_force_kN, None,
            bench.held["samples_per_lot_count"], _ISO,
            "test pieces of at least five free pitches pulled until they break",
        ),
        Requirement(
            "length_error_percent", least, greatest, bench.held["samples_per_lot_count"], _LENGTH,
            "strand under the measuring force, dry or lightly oiled, before greasing",
        ),
        Requirement(
            "swing_room_mm", sourced("swing_room_mm", _NO_ROOM, "choice", _SWING), None,
            bench.held["samples_per_lot_count"], _SWING,
            "strand drawn over a roll by its own weight: every link swings, none stays bent",
        ),
    ]  # fmt: skip


def _treatment(made: Sequence[Branch]) -> str:
    """What the furnaces do, in words."""
    with_ammonia = [
        f"{branch.part}s"
        for branch in made
        if any(work.name == Carbonitriding.name for work in branch.operations)
    ]
    annealed = any(work.name == EndAnnealing.name for one in made for work in one.operations)
    ends = ", ends of pins annealed" if annealed else ""
    usual = f"case hardened pins and bushings{ends}, plates hardened and tempered"
    return f"{usual}; carbonitrided: {', '.join(with_ammonia)}" if with_ammonia else usual


def _clauses(strand: Strand) -> dict[str, Clause]:
    """What goes with the chain in words."""
    derived = _in_words(strand.parts.derived) or "none"
    words = {
        "use": (
            "Transmission chain: not for lifting, hanging loads over people or any load whose fall "
            "could hurt someone. Guards, locked-out power and local codes come first.",
            "", "common practice",
        ),
        "length": (
            "Length under the measuring force: 0 to +0.15 % of pitches times pitch.",
            _LENGTH, "memory",
        ),
        "preload": (
            "Each strand is pulled to about a third of its tensile strength before it is measured.",
            "ISO 606:2004, preloading", "memory",
        ),
        "dynamic strength": (
            "The dynamic strength of the standard is shown by endurance tests of three test pieces "
            "at 3 million cycles, or by a staircase of tests, as ISO 15654 has it; the figure of "
            "the plan is a calculation.",
            "ISO 15654", "memory",
        ),
        "burr and flatness": (
            "Before assembly, five plates of each lot: burr on the side that faces outward, its "
            "height with a dial gauge, flatness with a feeler gauge on a surface plate, against "
            "the limits of the works on the steps of the plates.",
            "", "works' own",
        ),
        "derived sizes": (
            f"No table prints these sizes; they follow from stated rules and are the works' own: "
            f"{derived}.",
            "", "works' own",
        ),
    }  # fmt: skip
    if strand.cotter:
        words["cotters"] = (_COTTERS, "", "common practice")
    return {
        subject: Clause(subject, text, "", source, basis)
        for subject, (text, source, basis) in words.items()
    }


def _works_clauses(made: Sequence[Branch]) -> dict[str, Clause]:
    """What the works checks on its own: steel that comes in, cases that come out."""
    heats: dict[str, list[str]] = {}
    for branch in made:
        heat = f"{branch.steel.grade}, heat {branch.steel.heat}"
        heats.setdefault(heat, []).append(branch.part.replace("_", " "))
    bought = "; ".join(f"{heat}: {', '.join(parts)}" for heat, parts in heats.items())
    words = {
        "receiving": (
            "Certificate against the tag of every coil and bundle; analysis by spectrometer once a "
            f"heat, hardness and size of every coil and bundle, against the cards. {bought}."
        ),
        "cases": (
            "A coupon with every load: depth to the limiting hardness by ISO 18203, hardness of "
            "the surface, section etched for retained austenite."
        ),
    }
    if any(work.name == Carbonitriding.name for one in made for work in one.operations):
        words["carbonitriding"] = (
            "Carbon and nitrogen of turned steps of a coupon each week, and after each change of "
            "gas; section polished and not etched, every load: no voids below the surface."
        )
    return {
        subject: Clause(subject, text, "", "", "common practice") for subject, text in words.items()
    }


def _in_words(derived: frozenset[str]) -> str:
    """Derived sizes by part, in words: ``bushing length and wall; inner plate height``."""
    parts: dict[str, list[str]] = {}
    for name in sorted(derived):
        part, _, size = name.rpartition(".")
        words = size.removesuffix("_mm").removeprefix(f"{part}_").removeprefix("plate_")
        parts.setdefault(part.replace("_", " ") or "link", []).append(words.replace("_", " "))
    return "; ".join(f"{part}: {', '.join(sizes)}" for part, sizes in parts.items())


def _open(strand: Strand) -> tuple[str, ...]:
    """What the standard asks and no table here holds."""
    lacking = []
    if not float(strand.row.dynamic_strength_N) > 0.0:
        lacking.append("dynamic strength of this chain")
    if not float(strand.strength.measuring_force_N) > 0.0:
        lacking.append("measuring force of this chain")
    return tuple(lacking)


def require_number(chain_number: str) -> None:
    """Raise what `roller_parts` raises for a number that is not held.

    Raises `CannotPlan` for more strands than are planned.
    """
    number = read_chain_number(chain_number)
    if number.strands > _MOST_STRANDS:
        raise CannotPlan(f"{number.strands} strands: planned are 1 to {_MOST_STRANDS}")
    roller_parts(number.chain, number.strands)


_COTTERS = (
    "Every cotter is looked at before the chain leaves the bench: in place, its legs bent apart "
    "and not cracked, free of the sprocket. A cotter that was bent back is replaced by a new one."
)
_MOST_STRANDS = 6
_NO_ROLLERS = 0.0
_NO_ROOM = 0.0
_SWING = "links must swing freely: geometry"
