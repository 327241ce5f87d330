"""Receiving: the rod that comes in, measured, prepared for the die, and enough of it.

The analysis is judged against the chain's own limits; diameter, ovality, surface, grain and
the weak skin where the works measured them, against the works' own limits where it holds any.
How the rod is annealed, descaled, coated and pointed stands on the card. The heat's analysis
and the rod's strength vary; every later operation uses what really came in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.materials.flow_fits import hollomon_from_tensile
from linkwright.processes.choosing import held_of
from linkwright.processes.models.rod import coils_of_rod, needed_mass
from linkwright.route import (
    HELD,
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

PRODUCT_ANALYSIS = "spread of a check analysis about the cast analysis: common practice, no source"
SPREADS = {"C": 0.006, "Si": 0.012, "Mn": 0.02, "Cr": 0.012, "Ni": 0.012, "Mo": 0.007}
"""Standard deviation of what a coil really has about the cast analysis, by element."""


@dataclass(frozen=True)
class ElementLimit:
    """What the chain's standard allows of one element."""

    element: str
    least: Any
    greatest: Any
    source: str


class Receiving(Operation):
    """Accept a coil of rod for this chain, or say what forbids it."""

    name = "receiving"
    scatter = (
        *(
            Scatter(f"heat/wire/receiving/{element}_percent", sd, PRODUCT_ANALYSIS)
            for element, sd in SPREADS.items()
        ),
        Scatter(
            "lot/wire/receiving/tensile_strength_MPa",
            0.02,
            "coil to coil, 2 %: common practice, no source",
            relative=True,
        ),
    )

    card = ("annealing", "descaling", "coating", "pointing")

    def __init__(self, limits: Sequence[ElementLimit]) -> None:
        self.limits = tuple(limits)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The rod is what the store holds: nothing is asked of an earlier operation."""
        return {}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """How the rod is prepared: the works' own words, else the usual way."""
        own = {row.name for row in machine.card}
        settings = [
            Setting(name, given.get(name, words), HELD, check=check)
            for name, (words, check) in _PREPARATION.items()
            if name not in own
        ]
        return SetUp(tuple(settings), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The rod with its real analysis and strength, and the analysis against the limits."""
        rod = stocks[MAIN]
        real = {
            name: factors.actual(f"heat/wire/receiving/{name}", value, least=0.0)
            if f"heat/wire/receiving/{name}" in factors.scatter
            else value
            for name, value in rod.analysis().items()
        }
        strength = factors.actual(
            "lot/wire/receiving/tensile_strength_MPa", rod["tensile_strength_MPa"]
        )
        hardening = rod["n"]
        K = hollomon_from_tensile(tensile_strength_MPa=strength, n=hardening)
        findings = [
            Finding(
                f"{limit.element}_percent",
                # the cast analysis is a document: what is judged is what it says
                rod[f"{limit.element}_percent"],
                limit.least,
                limit.greatest,
                limit.source,
            )
            for limit in self.limits
            if f"{limit.element}_percent" in rod
        ]
        findings += _measured(rod, machine)
        findings.append(Finding("rod_tensile_strength_MPa", strength))
        steel, coils, found = _coils(rod, machine)
        stock = rod.changed(
            condition={**real, "tensile_strength_MPa": strength, "K_MPa": K}, amount=coils
        )
        return Step(
            (*findings, *found), stock, use={"steel_kg": steel}, cautions=_cautions(settings)
        )


def _measured(rod: Stock, machine: Machine) -> list[Finding]:
    """What a gauge or the laboratory said of the rod, with the works' own limits if it has any."""
    found = [Finding("rod_diameter_mm", rod["wire_diameter_mm"])]
    for subject, name, least, greatest in _MEASURED:
        if name not in rod:
            continue
        low, high = (machine.held.get(key) if key else None for key in (least, greatest))
        source = f"held by the works for {machine.name}"
        bound = low is not None or high is not None
        found.append(Finding(subject, rod[name], low, high, source if bound else ""))
    return found


def _coils(rod: Stock, machine: Machine) -> tuple[Any, dict[str, Any], list[Finding]]:
    """Steel taken in kilograms; coils and joints; what is cut out, and the need on the store."""
    steel, coils, found = rod["steel_kg"], dict[str, Any](), list[Finding]()
    if "coil_mass_kg" in rod:
        taken = coils_of_rod(
            steel_kg=steel,
            coil_mass_kg=rod["coil_mass_kg"],
            rod_diameter_mm=rod["wire_diameter_mm"],
            **held_of(machine, "joint_loss_m", "pointing_loss_m"),
        )
        steel = taken.steel_kg
        coils = {"coils_count": taken.coils_count, "joints_count": taken.joints_count}
        found = [
            Finding("coils_count", taken.coils_count),
            Finding("joints_count", taken.joints_count, note="each is cut out of the wire"),
            Finding("rod_lost_m", taken.rod_lost_m, note="points and joints"),
        ]
    held = rod.amount.get("stock_t")
    source = "the steel in stock" if held is not None else ""
    found.append(Finding("steel_needed_t", needed_mass(steel_kg=steel), None, held, source))
    return steel, coils, found


def _cautions(settings: SetUp) -> tuple[Caution, ...]:
    """The coil springs; acid charges high-strength steel with hydrogen and burns."""
    acid = "acid" in str(settings.get("descaling", "")).lower()
    return (_COIL, _ACID) if acid else (_COIL, _DUST)


_MEASURED = (
    ("rod_ovality_mm", "rod_ovality_mm", "", "greatest_rod_ovality_mm"),
    ("rod_surface_depth_mm", "rod_surface_depth_mm", "", "greatest_rod_surface_depth_mm"),
    ("rod_grain_size_number", "rod_grain_size_number", "least_rod_grain_size_number", ""),
    ("decarburised_depth_mm", "decarburised_depth_mm", "", "greatest_decarburised_depth_mm"),
    ("reduction_of_area_percent", "reduction_of_area_percent",
     "least_reduction_of_area_percent", ""),
)  # fmt: skip
"""Subject, field of the stock, and the works' own limits by name."""
_PREPARATION = {
    "annealing": (
        "as bought, soft annealed",
        "certificate of the coil; hardness of one coil in five",
    ),
    "descaling": (
        "mechanical: bending rolls, brushes",
        "bright to the eye, each coil; no acid for grade 8",
    ),
    "coating": ("lime or borax, dried", "even to the eye, each coil"),
    "pointing": ("point as thin as the first die", "gauge on the point, each coil"),
}
"""How rod is made ready for the die where the works says nothing: common practice, no source."""
_COIL = Caution(
    "A coil of rod can spring open when its bands are cut, and it is heavy",
    "bands cut from the side, coil held; lifting gear in test",
)
_DUST = Caution(
    "Scale flies off the rod and its dust hurts eyes and lungs",
    "exhaust running and hood closed before start; goggles",
)
_ACID = Caution(
    "Pickling acid burns, and charges high-strength steel with hydrogen that cracks it later",
    "bath fume and splash guards, eye shower tried; rod baked dry; no acid for grade 8 without "
    "the steel maker's and a metallurgist's word",
)
