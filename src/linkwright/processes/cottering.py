"""Cotters through the pins of a strand instead of a second head: they keep the outer plates on.

The plates are pressed on as ever. A cotter bears none of the chain's pull, so the breaking force is
that of a riveted strand; it is drawn again to open the chain at any outer link.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, held_by_wire
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.assembled_chain import side_play
from linkwright.processes.models.cottered_end import (
    cotter_mass,
    cotter_retention,
    cottered_mass_per_length,
    hole_clearance,
    needed_cotter_length,
    plate_walk,
)
from linkwright.processes.models.cottering_work import bought_cotters, cottering_hours, share_of
from linkwright.processes.strand import CotteredEnd, Strand
from linkwright.quantities import CannotPlan
from linkwright.route import (
    FOLLOWS,
    MAIN,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.cotters import cotter_length

_HELD = "held by the works"


class Cottering(KeepsSizes):
    """A cotter in every pin, its legs bent: what it holds, how far a plate can walk, its mass."""

    name = "cottering"
    card = ("cotter_hole_mm", "cotter_length_mm", "leg_angle_deg", "cotter_position", "reuse")

    def __init__(self, strand: Strand) -> None:
        if strand.cotter is None:
            raise CannotPlan(f"{strand.parts.chain_number} is riveted: it has no cotters")
        self.strand, self.end = strand, strand.cotter

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Cotter by the pin, as long as pin and legs need it."""
        chain = stocks[MAIN]
        leg = held_by_wire("leg_mm", self.end.cotter.cotter_hole_mm, machine)
        length = cotter_length(
            least_length_mm=needed_cotter_length(
                pin_diameter_mm=chain["pin_diameter_mm"], leg_mm=leg
            )
        )
        settings = (
            Setting("cotter_hole_mm", self.end.cotter.cotter_hole_mm, FOLLOWS,
                    "nominal size, ISO 1234", tolerance=0.0, check="label of the box, each box"),
            Setting("cotter_length_mm", length, FOLLOWS, "through the pin and two legs to bend",
                    tolerance=1.0, check="rule, each box"),
            chosen("leg_angle_deg", machine, given, check="gauge, ten cotters an hour",
                   tolerance=15.0),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """What holds the plate, and what a metre weighs with its cotters."""
        chain, cotter = stocks[MAIN], self.end.cotter
        one = cotter_mass(
            cotter_diameter_mm=cotter.greatest_cotter_mm,
            cotter_length_mm=settings["cotter_length_mm"],
            eye_width_mm=cotter.eye_width_mm, eye_length_mm=cotter.eye_length_mm,
        )  # fmt: skip
        mass = cottered_mass_per_length(
            chain_mass_kg_per_m=chain["chain_mass_kg_per_m"], cotter_kg=one,
            cotter_hole_mm=chain["cotter_hole_mm"], pin_diameter_mm=chain["pin_diameter_mm"],
            pitch_mm=self.strand.parts.pitch_mm,
        )  # fmt: skip
        bought = bought_cotters(
            length_m=chain["length_m"], pitch_mm=self.strand.parts.pitch_mm, cotter_kg=one
        )
        hours = cottering_hours(
            cotters=bought.cotters_count, cotter_time_s=machine.rate["cotter_time_s"],
            machines=machine.many,
        )  # fmt: skip
        return Step(
            (
                *self._room(chain, machine),
                *self._holds(chain, machine),
                Finding("cotters_count", bought.cotters_count, note="one in every pin"),
                Finding("chain_mass_kg_per_m", mass, note="with its cotters"),
            ),
            chain.changed(amount={"chain_mass_kg_per_m": mass}),
            use={**use_of_machine(hours, machine), "cotters_kg": bought.cotters_kg},
            cautions=_CAUTIONS,
        )

    def _room(self, chain: Stock, machine: Machine) -> tuple[Finding, ...]:
        """Room for the cotter beside the plate, and of the pin within the standard."""
        end, parts = self.end, self.strand.parts
        clear = hole_clearance(
            cotter_projection_mm=end.projection_mm, cotter_hole_mm=chain["cotter_hole_mm"],
            hole_from_end_mm=chain["hole_from_end_mm"],
        )  # fmt: skip
        walk = plate_walk(
            clearance_mm=clear, cotter_hole_mm=chain["cotter_hole_mm"],
            least_cotter_mm=end.cotter.least_cotter_mm,
            plate_thickness_mm=parts.outer_plate.plate_thickness_mm,
        )  # fmt: skip
        found = [
            Finding("hole_clearance_mm", clear, _NONE, None,
                    "the cotter must go in beside the plate: geometry"),
            Finding("plate_walk_percent", walk, None, machine.held["greatest_walk_percent"],
                    f"{_HELD}: of the plate's thickness",
                    "how far a plate that came loose moves until the cotter stops it"),
        ]  # fmt: skip
        beyond = side_play(opening_mm=end.projection_mm, width_mm=parts.pin.rivet_projection_mm)
        limit = self.strand.row.greatest_fastener_projection_mm
        known = limit is not None and float(limit) > 0.0
        found.append(
            Finding("fastener_projection_mm", beyond, None, limit if known else None,
                    "ISO 606, b7 max" if known else "",
                    "what the cottered end is longer than a riveted one")
        )  # fmt: skip
        return tuple(found)

    def _holds(self, chain: Stock, machine: Machine) -> tuple[Finding, ...]:
        """The cotter against the press fit that it stands by, and against the pin's end."""
        held = cotter_retention(
            cotter_diameter_mm=self.end.cotter.least_cotter_mm,
            cotter_strength_MPa=machine.held["cotter_strength_MPa"],
            cotter_hole_mm=chain["cotter_hole_mm"], pin_diameter_mm=chain["pin_diameter_mm"],
            hole_from_end_mm=chain["hole_from_end_mm"],
            pin_yield_strength_MPa=chain["pin_yield_strength_MPa"],
        )  # fmt: skip
        share = share_of(force_kN=held.cotter_force_kN, of_kN=chain["push_out_force_kN"])
        return (
            Finding("cotter_force_kN", held.cotter_force_kN,
                    note="push along the pin that shears the cotter; none of the chain's pull "
                    "comes upon it, so the breaking force is that of a riveted strand"),
            Finding("cotter_share_percent", share, machine.held["least_cotter_percent"], None,
                    f"{_HELD}: of the force that the fit itself holds"),
            Finding("pin_end_ratio", held.pin_end_ratio, _COTTER_FIRST, None,
                    "the cotter must go before the pin's end: common practice, no source"),
        )  # fmt: skip


def end_of_pin(chain: Stock, pin: Stock, end: CotteredEnd | None, push_out_kN: Any) -> Stock:
    """The strand with what its cotters need to know of the pins; riveted strands unchanged."""
    if end is None:
        return chain
    return chain.changed(
        shape={name: pin[name] for name in ("cotter_hole_mm", "hole_from_end_mm")},
        condition={"push_out_force_kN": push_out_kN},
    )


_NONE = 0.0
_COTTER_FIRST = 1.0
_CAUTIONS = (
    Caution(
        "Legs of cotters are sharp, and a leg that is bent or cut springs into an eye",
        "eye protection, gloves; legs bent with the tool and never by hand",
    ),
    Caution(
        "A cotter that was bent before breaks, and a chain without it throws its plate",
        "new cotters only, every pin looked at before the chain leaves the bench",
    ),
)
