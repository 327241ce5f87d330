"""Notch and cut: straight wire becomes pieces of the length that the finished link needs.

The forming machine does it in its own cycle; its hours are counted there.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.link_geometry import wire_mass
from linkwright.processes.models.shearing import blanking_energy, round_wire_shear_force
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_STOP = "play of the feed stop: common practice, no source"


class Cutting(Operation):
    """Notch the wire, feed it to the stop, shear it off."""

    name = "cutting"
    scatter = (
        Scatter("lot/wire/cutting/cut_length_mm", 0.04, _STOP),
        Scatter("link/wire/cutting/cut_length_mm", 0.05, _STOP),
    )

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Wire of the diameter of the pieces."""
        return {MAIN: {"wire_diameter_mm": wanted["wire_diameter_mm"]}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The stop is set to the length wanted; notch and knife are held by the works."""
        length = solved_for(
            "cut_length_mm",
            "the centreline of the finished link and what the weld takes",
            lambda: wanted["cut_length_mm"],
            machine,
            given,
            inputs={"wire_diameter_mm": stocks[MAIN]["wire_diameter_mm"]},
            check="caliper, first five pieces, then one in 500",
            tolerance=0.15,
        )
        notch = chosen(
            "notch_depth_mm", machine, given, check="depth gauge at set-up", tolerance=0.1
        )
        knife = chosen(
            "knife_clearance_mm", machine, given, check="feeler gauge at set-up", tolerance=0.03
        )
        return SetUp((length, notch, knife), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pieces, the force at the knife and the energy of a cut."""
        wire = stocks[MAIN]
        length = factors.actual("lot/wire/cutting/cut_length_mm", settings["cut_length_mm"])
        length = factors.actual("link/wire/cutting/cut_length_mm", length)
        diameter, strength = wire["wire_diameter_mm"], wire["tensile_strength_MPa"]
        force = round_wire_shear_force(diameter_mm=diameter, tensile_strength_MPa=strength)
        energy = blanking_energy(
            force_kN=force,
            thickness_mm=diameter,
            penetration_fraction=machine.held["penetration_fraction"],
        )
        piece = wire_mass(wire_diameter_mm=diameter, length_mm=length)
        greatest = machine.limits("shearing_force_kN")[1]
        findings = (
            Finding("shearing_force_kN", force, None, greatest, f"range of {machine.name}"),
            Finding("cutting_energy_J", energy),
            Finding("cut_length_mm", length),
            Finding("piece_mass_kg", piece),
        )
        stock = wire.changed("piece", shape={"cut_length_mm": length})
        return Step(
            findings,
            stock,
            cautions=(
                Caution("Shear point at the knife, also when the wire is fed by hand",
                        "knife guard closed and its switch tried before start"),
                Caution("Pieces fly from the knife", "catch chute in place, eye protection"),
            ),
        )  # fmt: skip
