"""Jack chain: cold-formed links with two open eyes, numbered by the gauge of their wire.

`jack_chain` gives a `ChainJob`: rod drawn to wire, straightened, cut, both eyes bent cold,
gauged and opened on samples, packed. No standard of jack chain is held: sizes are the works'
own ratios to the wire, limits those of its bench, and every requirement says so. Jack chain
is not for lifting or overhead safety loads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from linkwright.materials.flow_curves import hollomon_constants
from linkwright.processes.drawing import Drawing
from linkwright.processes.jack_forming import JackForming
from linkwright.processes.jack_infeed import NOT_FOR_LIFTING, JackCutting, JackStraightening
from linkwright.processes.jack_inspection import (
    BoughtWireReceiving,
    JackInspection,
    JackReceiving,
    OwnLimit,
)
from linkwright.processes.models.inspection import lots_in_length, with_margin
from linkwright.processes.models.jack_link import (
    band_about,
    jack_cut_length,
    jack_eye_wire,
    jack_link_sizes,
)
from linkwright.processes.models.link_geometry import (
    links_in_length,
    sized_by_wire,
    wire_length,
    wire_mass,
)
from linkwright.processes.packing import Packing
from linkwright.processes.receiving import ElementLimit
from linkwright.products.job import ChainJob, Rod, machine_of
from linkwright.products.rods import bought
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Machine, Operation, Place, Requirement, Route, Stock
from linkwright.route.operation import Numbers
from linkwright.standards.jack import jack_chain_wire
from linkwright.standards.requirement import Clause

INSPECTION = "jack_inspection"
_WHAT = "jack chain"

_FLOW_CURVE = "low-carbon steel, annealed"
"""Published exponent for low-carbon rod; K comes from the rod's own strength."""
_OWN = "the works' own limit, no standard held"


class _Link(NamedTuple):
    """Aims of the finished link and the wire in it."""

    wanted: dict[str, Any]
    cut_length_mm: Any


def jack_chain(
    *,
    size: str,
    length_m: Any,
    rods: Sequence[Rod],
    rod_name: str | None,
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> ChainJob:
    """The job of one order line of jack chain.

    size: number of the trade ("12"), the Steel Wire Gauge of the wire. rods: rod or wire in
    stock; wire that has the size already is not drawn. machines: by operation. aim: the works'
    ratios to the wire (jack_pitch_ratio, jack_eye_inner_ratio, jack_gap_ratio) and the limits
    of what it takes in (jack_greatest_C_percent).

    Raises `ArgumentError` for a number that the gauge does not list, `CannotPlan` if no steel
    in stock fits or the works lacks a machine.
    """
    wire = jack_chain_wire(steel_wire_gauge=size)
    bench = machine_of(machines, INSPECTION, _WHAT)
    rod = _chosen_rod(rods, rod_name, float(wire), float(bench.held["wire_tolerance_percent"]), aim)
    link = _link(wire, aim)
    limits = _limits(size, link.wanted, bench)
    bought = _at_size(rod, float(wire), float(bench.held["wire_tolerance_percent"]))
    places = _places(bought, limits, machines, aim)
    entering = _entering(rod, link, length_m, bench)
    route = Route(tuple(places), {places[0].key: entering})
    return ChainJob(
        route=route,
        wanted=link.wanted,
        requirements=_requirements(limits, bench),
        steels={places[0].branch: rod},
        lots=entering["lots"],
        clauses=_clauses(size),
        not_for_lifting=True,
    )


def _link(wire: Any, aim: Numbers) -> _Link:
    sizes = {
        name: sized_by_wire(wire_diameter_mm=wire, ratio=aim[ratio])
        for name, ratio in (
            ("pitch_mm", "jack_pitch_ratio"),
            ("eye_inner_diameter_mm", "jack_eye_inner_ratio"),
            ("eye_gap_mm", "jack_gap_ratio"),
        )
    }
    wanted = {"wire_diameter_mm": wire, **sizes}
    made = jack_link_sizes(
        wire_diameter_mm=wire,
        eye_inner_diameter_mm=wanted["eye_inner_diameter_mm"],
        pitch_mm=wanted["pitch_mm"],
    )
    eye = jack_eye_wire(
        wire_diameter_mm=wire,
        eye_mean_diameter_mm=made.eye_mean_diameter_mm,
        gap_mm=wanted["eye_gap_mm"],
    )
    length = jack_cut_length(eye_wire_mm=eye, neck_length_mm=made.neck_length_mm)
    return _Link(wanted, length)


def _at_size(rod: Rod, wire_mm: float, tolerance_percent: float) -> bool:
    """Whether the stock is wire that needs no drawing."""
    off = abs(float(rod.diameter_mm) / wire_mm - 1.0)
    return rod.form == "wire" and 100.0 * off <= tolerance_percent


def _chosen_rod(
    rods: Sequence[Rod], named: str | None, wire_mm: float, tolerance_percent: float, aim: Numbers
) -> Rod:
    """The steel that the order names, else the thinnest in stock that fits.

    Raises `CannotPlan` with the reason for each that does not.
    """
    most = float(aim["jack_greatest_C_percent"])
    asked = [rod for rod in rods if rod.name == named] if named else list(rods)
    refused = []
    for rod in sorted(asked, key=lambda rod: (float(rod.diameter_mm), rod.name)):
        carbon, diameter = float(rod.analysis["C_percent"]), float(rod.diameter_mm)
        if carbon > most:
            refused.append(
                f"{rod.name} has {carbon:g} % C, at most {most:g} % taken for jack chain"
            )
        elif diameter >= 1.01 * wire_mm or _at_size(rod, wire_mm, tolerance_percent):
            return rod
        else:
            refused.append(f"{rod.name} ({diameter:g} mm) is too thin for {wire_mm:.3g} mm wire")
    raise CannotPlan("no steel in stock for this jack chain: " + ("; ".join(refused) or "none"))


def _places(
    bought: bool,
    limits: Mapping[str, OwnLimit],
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> list[Place]:
    carbon = aim["jack_greatest_C_percent"]
    analysis = [ElementLimit("C", None, carbon, _OWN)]
    receiving: Operation = JackReceiving(analysis)
    if bought:
        receiving = BoughtWireReceiving(analysis, aim["jack_yield_offset_strain"])
    operations: list[tuple[str, Operation]] = [
        ("wire", receiving),
        *([] if bought else [("wire", Drawing((NOT_FOR_LIFTING,)))]),
        ("wire", JackStraightening()),
        ("wire", JackCutting()),
        ("chain", JackForming()),
        ("chain", JackInspection(limits)),
        ("chain", Packing((NOT_FOR_LIFTING,))),
    ]
    places: list[Place] = []
    for branch, operation in operations:
        feeds = {MAIN: places[-1].key} if places else {}
        places.append(Place(operation, branch, machine_of(machines, operation.name, _WHAT), feeds))
    return places


def _entering(rod: Rod, link: _Link, length_m: Any, bench: Machine) -> Stock:
    """The coil, with as much metal as the order and its test pieces need."""
    made = with_margin(limit=length_m, margin_percent=bench.held["test_length_percent"])
    links = links_in_length(length_m=made, pitch_mm=link.wanted["pitch_mm"])
    brought = bought(rod)
    wire = link.wanted["wire_diameter_mm"]
    return Stock(
        form=rod.form,
        steel=f"{rod.grade}, heat {rod.heat}",
        shape=brought.shape,
        condition={**brought.condition, "n": hollomon_constants(material=_FLOW_CURVE).n},
        amount={
            **brought.amount,
            "links": links,
            "length_m": made,
            "ordered_length_m": length_m,
            "lots": lots_in_length(length_m=length_m, lot_length_m=bench.held["lot_length_m"]),
            "wire_length_m": wire_length(links=links, fibre_length_mm=link.cut_length_mm),
            "steel_kg": wire_mass(
                wire_diameter_mm=wire, length_mm=link.cut_length_mm, pieces=links
            ),
        },
    )


def _limits(size: str, wanted: Mapping[str, Any], bench: Machine) -> dict[str, OwnLimit]:
    """The bench's own limits, each by the finding that it judges."""

    def about(name: str, tolerance: str) -> OwnLimit:
        band = band_about(value=wanted[name], tolerance_percent=bench.held[tolerance])
        return OwnLimit(band.least, band.greatest, f"{_OWN} ({bench.name}: {tolerance})")

    eye = about("eye_inner_diameter_mm", "eye_tolerance_percent")
    gap = OwnLimit(
        0.0, bench.held["greatest_gap_ratio"], f"{_OWN} ({bench.name}: greatest_gap_ratio)"
    )
    limits = {
        "pitch_mm": about("pitch_mm", "pitch_tolerance_percent"),
        "wire_diameter_mm": about("wire_diameter_mm", "wire_tolerance_percent"),
        "first_eye_inner_diameter_mm": eye,
        "second_eye_inner_diameter_mm": eye,
        "first_gap_ratio": gap,
        "second_gap_ratio": gap,
    }
    key = f"least_opening_force_no_{size}_N"
    if key in bench.held:
        limits["opening_force_N"] = OwnLimit(bench.held[key], None, f"{_OWN} ({bench.name}: {key})")
    return limits


def _requirements(limits: Mapping[str, OwnLimit], bench: Machine) -> list[Requirement]:
    """What decides a lot: sizes on gauged links, the opening force on opened ones."""
    gauged = bench.held["gauged_links_per_lot_count"]
    opened = bench.held["opened_links_per_lot_count"]
    how = {
        "pitch_mm": "links pulled straight on the rule",
        "wire_diameter_mm": "micrometer on the neck",
        "first_eye_inner_diameter_mm": "plug gauge",
        "second_eye_inner_diameter_mm": "plug gauge",
        "first_gap_ratio": "feeler gauge; the wire of the chain must not enter",
        "second_gap_ratio": "feeler gauge; the wire of the chain must not enter",
        "opening_force_N": "pulled until an eye lets its neighbour go",
    }
    return [
        Requirement(
            subject,
            limit.least,
            limit.greatest,
            opened if subject == "opening_force_N" else gauged,
            limit.source,
            how[subject],
        )
        for subject, limit in limits.items()
    ]


def _clauses(size: str) -> dict[str, Clause]:
    """What goes with the chain in words; none of it is a standard's."""
    words = {
        "use": (
            "Jack chain is not for lifting, for hanging loads over people or for any load whose "
            "fall could hurt someone. Local codes and a competent person's judgement come first.",
            "common practice",
        ),
        "size": (
            f"No. {size} is the Steel Wire Gauge of the wire; pitch, eyes and gap are this works' "
            f"own and stand in the order confirmation.",
            "common practice",
        ),
        "limits": (
            "No standard of jack chain is held: every limit is this works' own.",
            "works' own",
        ),
        "label": (
            "Every package names the size, the length, the heat of the steel and that the chain "
            "is not for lifting.",
            "works' own",
        ),
    }
    return {
        subject: Clause(subject, text, "", "common practice, no source", basis)
        for subject, (text, basis) in words.items()
    }
