"""Welded round-link chain: what the standard asks, the link's sizes, the route that makes it.

`welded_chain` gives a `ChainJob` for any standard of welded chain that is held: cold forming,
upset resistance welding, then the heat treatment that the standard admits and the works can
do. Chains whose route needs an operation that is not modelled end with `CannotPlan` that
names it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.catalogue import sourced
from linkwright.materials.flow_curves import hollomon_constants
from linkwright.materials.steels import flow_curve_of
from linkwright.mechanics.bending import oval_link_fibre_length
from linkwright.processes.inspection import LIMITED_BY
from linkwright.processes.models.inspection import links_in_samples, lots_in_length, with_margin
from linkwright.processes.models.link_geometry import (
    inner_width_aim,
    links_in_length,
    outer_width,
    sized_by_wire,
    wire_length,
    wire_mass,
)
from linkwright.products.finishes import BRIGHT, require_finish
from linkwright.products.job import ChainJob, Choice, Rod, machine_of
from linkwright.products.rods import admissible_rods, bought
from linkwright.products.welded_route import treatments_at_hand, welded_places
from linkwright.quantities import CannotPlan
from linkwright.route import Machine, Requirement, Route, Stock, Wanted
from linkwright.route.operation import Numbers
from linkwright.standards.chain_requirements import ChainStandard
from linkwright.standards.requirement import ChainRequirement

LARGEST_COLD_FORMED_MM = 20.0
"""Wire that is bent cold and upset-welded; thicker is bent hot and flash-welded (common
practice, no source)."""

_CRACKS = "strain of the surface at the proof force over that at which the case cracks: 1 cracks"
_CRACK_TEST = "magnetic particles on links that were proved, crown and leg"
_WIRE_MARGIN = "wire_diameter_margin_percent"
_PITCH, _PITCH_RATIO = "pitch_mm", "pitch_ratio"


def welded_chain(
    *,
    chain: ChainStandard,
    size_mm: Any,
    length_m: Any,
    rods: Sequence[Rod],
    rod_name: str | None,
    machines: Mapping[str, Machine],
    aim: Numbers,
    treatment: str | None = None,
    finish: str = BRIGHT,
) -> ChainJob:
    """The job of one order line of welded chain.

    machines: by operation, those that take this size. aim: what the works aims at beyond the
    standard (breaking_force_margin_percent, wire_diameter_margin_percent, inner_width_ratio;
    pitch_ratio where the standard prints no pitch). treatment: the heat treatment; if not
    given the first that the standard admits and the works can do.
    finish: one of `finishes.FINISHES`.

    Raises `ArgumentError` for a size that the standard does not list, `CannotPlan` if the
    route needs what is not modelled, or what the works does not have.
    """
    needs = chain.requirements(float(size_mm))
    require_modelled(chain, float(size_mm), aim)
    what = f"{float(size_mm):g} mm {chain.designation} chain"
    treatment = treatment or treatments_at_hand(chain, machines, what)[0]
    wire = with_margin(limit=size_mm, margin_percent=aim[_WIRE_MARGIN])
    rod = admissible_rods(rods, rod_name, float(wire), chain)[0]
    wanted = _wanted(needs, size_mm, wire, aim)
    require_finish(finish, needs["breaking_force_kN"].least, size_mm)
    label: tuple[str, ...] = (chain.designation, f"{float(size_mm):g} mm", f"heat {rod.heat}")
    if chain.not_for_lifting:
        label = (*label, "not for lifting")
    places = welded_places(chain, needs, treatment, machines, what, finish, label, rod)
    bench = machine_of(machines, "inspection", what)
    lots = _lots(chain, length_m, bench)
    entering = _rod_stock(rod, wanted, length_m, lots, bench)
    return ChainJob(
        route=Route(tuple(places), {places[0].key: entering}),
        wanted=wanted,
        requirements=_requirements(needs, chain, bench, wanted["pitch_mm"]),
        steels={places[0].branch: rod},
        lots=lots,
        clauses=chain.clauses(),
        treatment=treatment,
        not_for_lifting=chain.not_for_lifting,
        open=chain.open,
    )


def welded_choices(
    *,
    chain: ChainStandard,
    size_mm: Any,
    rods: Sequence[Rod],
    rod_name: str | None,
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> list[Choice]:
    """Every heat treatment and rod that the chain may be made by, the usual ones first.

    Raises `CannotPlan` as `welded_chain`.
    """
    require_modelled(chain, float(size_mm), aim)
    what = f"{float(size_mm):g} mm {chain.designation} chain"
    wire = float(size_mm) * (1.0 + float(aim[_WIRE_MARGIN]) / 100.0)
    fit = admissible_rods(rods, rod_name, wire, chain)
    treatments = treatments_at_hand(chain, machines, what)
    return [Choice(rod.name, treatment) for treatment in treatments for rod in fit]


def require_modelled(chain: ChainStandard, size_mm: float, aim: Numbers) -> None:
    """Raise `CannotPlan` for a chain whose route is not modelled yet, naming what is missing."""
    what = f"{size_mm:g} mm {chain.designation} chain"
    table = "its table answers through `linkwright calc`"
    if chain.missing:
        raise CannotPlan(
            f"{what} cannot be planned: its route ({chain.route}) needs "
            f"{', '.join(chain.missing)}, not modelled yet; {table}"
        )
    if size_mm > LARGEST_COLD_FORMED_MM:
        raise CannotPlan(
            f"{what} cannot be planned: wire above {LARGEST_COLD_FORMED_MM:g} mm needs "
            f"hot bending, flash-butt welding, not modelled yet; {table}"
        )
    lacking = [one for one in chain.lacking(size_mm) if one != _PITCH or _PITCH_RATIO not in aim]
    if lacking:
        own = " (give aim.pitch_ratio in the works file)" if lacking == [_PITCH] else ""
        raise CannotPlan(
            f"{what} cannot be planned: {chain.edition} as held here gives no "
            f"{', '.join(lacking)}{own}; {table}"
        )


def _wanted(needs: Mapping[str, ChainRequirement], size_mm: Any, wire: Any, aim: Numbers) -> Wanted:
    """Sizes and force that the finished chain aims at."""
    if _PITCH in needs:
        pitch: Any = needs[_PITCH].nominal
    else:
        pitch = sized_by_wire(wire_diameter_mm=size_mm, ratio=aim[_PITCH_RATIO])
    width = outer_width(
        wire_diameter_mm=wire,
        inner_width_mm=inner_width_aim(
            nominal_diameter_mm=size_mm, inner_width_ratio=aim["inner_width_ratio"]
        ),
    )
    return {
        "pitch_mm": pitch,
        "wire_diameter_mm": wire,
        "outer_width_mm": width,
        "breaking_force_kN": with_margin(
            limit=needs["breaking_force_kN"].least,
            margin_percent=aim["breaking_force_margin_percent"],
        ),
    }


def _lots(chain: ChainStandard, length_m: Any, bench: Machine) -> Any:
    """Lots of the standard's greatest length where it is held, else of the works' own."""
    asked = chain.lot().get("lot_length_m")
    longest = bench.held["lot_length_m"] if asked is None else asked.greatest
    return lots_in_length(length_m=length_m, lot_length_m=longest)


def _rod_stock(rod: Rod, wanted: Wanted, length_m: Any, lots: Any, bench: Machine) -> Stock:
    """The coil of rod, with as much metal as the order and its test pieces need."""
    made = with_margin(limit=length_m, margin_percent=bench.held["test_length_percent"])
    links = links_in_length(length_m=made, pitch_mm=wanted["pitch_mm"])
    fibre = oval_link_fibre_length(
        wire_diameter_mm=wanted["wire_diameter_mm"],
        pitch_mm=wanted["pitch_mm"],
        outer_width_mm=wanted["outer_width_mm"],
    )
    brought = bought(rod)
    return Stock(
        form="rod",
        steel=f"{rod.grade}, heat {rod.heat}",
        shape=brought.shape,
        condition={
            **brought.condition,
            "n": hollomon_constants(material=flow_curve_of(rod.grade)).n,
        },
        amount={
            **brought.amount,
            "links": links,
            "length_m": made,
            "ordered_length_m": length_m,
            "lots": lots,
            "wire_length_m": wire_length(links=links, fibre_length_mm=fibre),
            "steel_kg": wire_mass(
                wire_diameter_mm=wanted["wire_diameter_mm"], length_mm=fibre, pieces=links
            ),
        },
    )


def _requirements(
    needs: Mapping[str, ChainRequirement], chain: ChainStandard, bench: Machine, pitch: Any
) -> list[Requirement]:
    """What decides a lot: forces and elongation on samples, sizes on gauged links.

    What the standard does not ask, or what is not held of it, decides nothing.
    """
    samples = _samples(chain, bench)
    gauged = bench.held["gauged_links_per_lot_count"]
    asked = chain.lot().get("lot_length_m")
    longest = bench.held["lot_length_m"] if asked is None else asked.greatest
    in_lot = links_in_length(length_m=longest, pitch_mm=pitch)
    # one link of the sample is the weakest: each sample is a chain of so many links
    broken = links_in_samples(
        samples=samples, links_per_sample=bench.held["links_per_sample_count"]
    )
    plan = [
        ("breaking_force_kN", broken, "tensile test to break on samples of the lot"),
        ("total_elongation_percent", samples, "elongation of the same samples at break"),
        ("bearable_force_kN", in_lot, "manufacturing proof force on every link"),
        ("pitch_mm", gauged, "gauge after calibrating"),
        ("material_diameter_mm", gauged, "micrometer, away from the weld"),
        ("inner_width_mm", gauged, "gauge"),
        ("outer_width_mm", gauged, "gauge over the weld"),
        ("weld_diameter_mm", gauged, "caliper at the weld"),
    ]
    if "case_depth_mm" in needs:
        plan += [
            ("case_depth_mm", samples, "hardness over the depth, section through a link"),
            ("hardness_HV", samples, "hardness of the surface of the same links"),
        ]
    found = []
    for subject, pieces, how in plan:
        need = needs.get(LIMITED_BY.get(subject, subject))
        if need is not None and not (need.least is None and need.greatest is None):
            found.append(Requirement(subject, need.least, need.greatest, pieces, need.source, how))
    if "case_depth_mm" in needs:
        found.append(_whole_case(gauged))
    return found


def _whole_case(pieces: Any) -> Requirement:
    """A case that the proof force cracked is none against two million cycles."""
    most = sourced("greatest_case_strain_ratio", 1.0, "table", _CRACKS)
    return Requirement("case_strain_ratio", None, most, pieces, _CRACKS, _CRACK_TEST)


def _samples(chain: ChainStandard, bench: Machine) -> Any:
    """Samples of a lot: the works' number, unless the standard asks for more."""
    own, asked = bench.held["samples_per_lot_count"], chain.lot().get("samples_per_lot_count")
    return own if asked is None or float(own) >= float(asked.least or 0.0) else asked.least
