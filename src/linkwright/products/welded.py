"""Welded round-link chain: what the standard asks, the link's sizes, the route that makes it.

`welded_chain` gives a `ChainJob` for an EN 818-2 chain: cold forming, upset resistance
welding, induction hardening and tempering. Chains whose route needs an operation that is
not modelled end with `CannotPlan` that names it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from linkwright.materials.flow_curves import hollomon_constants
from linkwright.mechanics.bending import oval_link_fibre_length
from linkwright.processes.calibrating import Calibrating
from linkwright.processes.cutting import Cutting
from linkwright.processes.drawing import Drawing
from linkwright.processes.forming import Forming
from linkwright.processes.hardening import Hardening
from linkwright.processes.inspection import Inspection
from linkwright.processes.marking import Marking
from linkwright.processes.models.inspection import links_in_samples, lots_in_length, with_margin
from linkwright.processes.models.link_geometry import (
    inner_width_aim,
    links_in_length,
    outer_width,
    wire_length,
    wire_mass,
)
from linkwright.processes.quenching import Quenching
from linkwright.processes.receiving import ElementLimit, Receiving
from linkwright.processes.straightening import Straightening
from linkwright.processes.tempering import Tempering
from linkwright.processes.welding import Welding
from linkwright.quantities import CannotPlan
from linkwright.route import (
    MAIN,
    Machine,
    Operation,
    Place,
    Requirement,
    Route,
    Stock,
    Wanted,
)
from linkwright.route.operation import Numbers
from linkwright.standards import en818_2

LARGEST_COLD_FORMED_MM = 20.0
"""Wire that is bent cold and upset-welded; thicker is bent hot and flash-welded (common
practice, no source)."""

_ROD_FLOW_CURVE = "4135 steel, annealed"
"""Nearest published exponent for annealed Cr-Mo rod; K comes from the rod's own strength."""


class Rod(Protocol):
    """What a route needs to know of a rod in the works' stock."""

    @property
    def name(self) -> str:
        """Name in the stock list."""
        ...

    @property
    def grade(self) -> str:
        """Steel grade."""
        ...

    @property
    def heat(self) -> str:
        """Heat number."""
        ...

    @property
    def analysis_kind(self) -> str:
        """``cast`` or ``check``."""
        ...

    @property
    def analysis(self) -> Mapping[str, float]:
        """Mass per cent by element."""
        ...

    @property
    def diameter_mm(self) -> float:
        """Diameter as bought."""
        ...

    @property
    def tensile_strength_MPa(self) -> float:
        """Tensile strength as bought."""
        ...


@dataclass(frozen=True)
class ChainJob:
    """A chain ready to be planned: its route, what its end must give, what a lot must show."""

    route: Route
    wanted: Wanted
    requirements: Sequence[Requirement]
    rod: Rod
    lots: Any
    clauses: Mapping[str, en818_2.Clause]


def require_modelled(standard: str, size_mm: float) -> None:
    """Raise `CannotPlan` for a chain whose route is not modelled yet, naming what is missing."""
    if standard != "EN 818-2":
        raise CannotPlan(
            f"{standard} chain cannot be planned yet: its route (heat treatment in a furnace, or "
            f"hot forming) is not modelled; its table answers through `linkwright calc`. "
            f"Planned today: EN 818-2, grade 8"
        )
    if size_mm > LARGEST_COLD_FORMED_MM:
        raise CannotPlan(
            f"{size_mm:g} mm cannot be planned yet: wire above {LARGEST_COLD_FORMED_MM:g} mm needs "
            f"hot bending and flash-butt welding, which are not modelled; the table of "
            f"EN 818-2 answers through `linkwright calc en818_2_forces`"
        )


def chosen_rod(rods: Sequence[Rod], named: str | None, wire_mm: float) -> Rod:
    """The rod that the order names, else the thinnest admissible one that can be drawn.

    Raises `CannotPlan` with the unmet limits if the analysis is outside the standard's.
    """
    asked = [rod for rod in rods if rod.name == named] if named else list(rods)
    fit = [rod for rod in asked if float(rod.diameter_mm) >= 1.01 * wire_mm]
    if not fit:
        have = ", ".join(f"{rod.name} ({float(rod.diameter_mm):g} mm)" for rod in asked)
        raise CannotPlan(f"no rod in stock is thick enough for {wire_mm:.2f} mm wire: {have}")
    refused: list[str] = []
    for rod in sorted(fit, key=lambda rod: float(rod.diameter_mm)):
        unmet = en818_2.unmet_material_limits(_analysis(rod), rod.analysis_kind)
        if not unmet:
            return rod
        lines = "; ".join(_limit_text(rod, limit) for limit in unmet)
        refused.append(f"{rod.name} (heat {rod.heat}): {lines}")
    raise CannotPlan("the steel is refused by the standard: " + " | ".join(refused))


def welded_chain(
    *,
    standard: str,
    size_mm: Any,
    length_m: Any,
    rods: Sequence[Rod],
    rod_name: str | None,
    machines: Mapping[str, Machine],
    aim: Numbers,
) -> ChainJob:
    """The job of one order line of welded chain.

    machines: by operation. aim: what the works aims at beyond the standard
    (breaking_force_margin_percent, material_diameter_margin_percent, inner_width_ratio ...).
    """
    require_modelled(standard, float(size_mm))
    needs = en818_2.requirements(float(size_mm))
    wire = with_margin(limit=size_mm, margin_percent=aim["wire_diameter_margin_percent"])
    rod = chosen_rod(rods, rod_name, float(wire))
    width = outer_width(
        wire_diameter_mm=wire,
        inner_width_mm=inner_width_aim(
            nominal_diameter_mm=size_mm, inner_width_ratio=aim["inner_width_ratio"]
        ),
    )
    wanted: dict[str, Any] = {
        "pitch_mm": needs["pitch_mm"].nominal,
        "wire_diameter_mm": wire,
        "outer_width_mm": width,
        "breaking_force_kN": with_margin(
            limit=needs["breaking_force_kN"].least,
            margin_percent=aim["breaking_force_margin_percent"],
        ),
    }
    places = _places(needs, machines)
    entering = _rod_stock(rod, wanted, length_m, machines)
    route = Route(tuple(places), {places[0].key: entering})
    requirements = _requirements(needs, machines["inspection"], wanted["pitch_mm"])
    return ChainJob(route, wanted, requirements, rod, entering["lots"], en818_2.clauses())


def _places(
    needs: Mapping[str, en818_2.ChainRequirement], machines: Mapping[str, Machine]
) -> list[Place]:
    temper = en818_2.heat_treatment()
    least = {
        "temperature_degC": temper["tempering_temperature_degC"].least,
        "time_h": temper["tempering_time_h"].least,
    }
    limits = [
        ElementLimit(row.element, row.least, row.greatest, f"{row.source} ({row.analysis})")
        for row in en818_2.material_limits()
        if row.analysis == "cast" and not row.group
    ]
    mark = needs["mark_spacing_mm"]
    operations: list[tuple[str, Operation]] = [
        ("wire", Receiving(limits)),
        ("wire", Drawing()),
        ("wire", Straightening()),
        ("wire", Cutting()),
        ("wire", Forming()),
        ("chain", Welding()),
        ("chain", Hardening()),
        ("chain", Quenching()),
        ("chain", Tempering(least, temper["tempering_temperature_degC"].source)),
        ("chain", Calibrating(needs["proof_force_kN"])),
        ("chain", Marking(mark.greatest, mark.source)),
        ("chain", Inspection(needs)),
    ]
    places: list[Place] = []
    for branch, operation in operations:
        feeds = {MAIN: places[-1].key} if places else {}
        machine = machines.get(operation.name)
        if machine is None:
            raise CannotPlan(f"the works has no machine for {operation.name}")
        places.append(Place(operation, branch, machine, feeds))
    return places


def _rod_stock(
    rod: Rod, wanted: Mapping[str, Any], length_m: Any, machines: Mapping[str, Machine]
) -> Stock:
    """The coil of rod, with as much metal as the order and its test pieces need."""
    extra = machines["inspection"].held["test_length_percent"]
    made = with_margin(limit=length_m, margin_percent=extra)
    links = links_in_length(length_m=made, pitch_mm=wanted["pitch_mm"])
    fibre = oval_link_fibre_length(
        wire_diameter_mm=wanted["wire_diameter_mm"],
        pitch_mm=wanted["pitch_mm"],
        outer_width_mm=wanted["outer_width_mm"],
    )
    condition = {**_sourced_analysis(rod), "tensile_strength_MPa": rod.tensile_strength_MPa}
    condition["n"] = hollomon_constants(material=_ROD_FLOW_CURVE).n
    return Stock(
        form="rod",
        steel=f"{rod.grade}, heat {rod.heat}",
        shape={"wire_diameter_mm": rod.diameter_mm},
        condition=condition,
        amount={
            "links": links,
            "length_m": made,
            "lots": lots_in_length(
                length_m=length_m, lot_length_m=machines["inspection"].held["lot_length_m"]
            ),
            "wire_length_m": wire_length(links=links, fibre_length_mm=fibre),
            "steel_kg": wire_mass(
                wire_diameter_mm=wanted["wire_diameter_mm"], length_mm=fibre, pieces=links
            ),
        },
    )


def _requirements(
    needs: Mapping[str, en818_2.ChainRequirement], bench: Machine, pitch: Any
) -> list[Requirement]:
    """What decides a lot: forces and elongation on samples, sizes on gauged links."""
    samples = bench.held["samples_per_lot_count"]
    gauged = bench.held["gauged_links_per_lot_count"]
    in_lot = links_in_length(length_m=bench.held["lot_length_m"], pitch_mm=pitch)
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
    found = []
    for subject, pieces, how in plan:
        need = needs["proof_force_kN" if subject == "bearable_force_kN" else subject]
        found.append(Requirement(subject, need.least, need.greatest, pieces, need.source, how))
    return found


def _analysis(rod: Rod) -> dict[str, float]:
    return {key: float(rod.analysis[key]) for key in rod.analysis}


def _sourced_analysis(rod: Rod) -> dict[str, Any]:
    return {key: rod.analysis[key] for key in rod.analysis}


def _limit_text(rod: Rod, limit: en818_2.MaterialLimit) -> str:
    has = float(rod.analysis.get(f"{limit.element}_percent", 0.0))
    bound = (
        f"at least {float(limit.least):g}" if limit.least is not None
        else f"at most {float(limit.greatest or 0.0):g}"
    )  # fmt: skip
    return f"{limit.element} {has:g} %, {bound} % asked ({limit.source})"
