"""Notch and cut: straight wire becomes pieces of the length that the finished link needs.

The forming machine does it in its own cycle; its hours are counted there.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import by_wire, held_of, refusal, solved_for
from linkwright.processes.models.forming import cut_tolerance_to_pitch
from linkwright.processes.models.link_geometry import wire_mass
from linkwright.processes.models.shearing import (
    blanking_energy,
    notched_diameter,
    round_wire_shear_force,
)
from linkwright.route import (
    MAIN,
    SOLVED,
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

_STOP = "play of the feed stop: common practice, no source"


class Cutting(Operation):
    """Notch the wire, feed it to the stop, shear it off."""

    name = "cutting"
    scatter = (
        Scatter("lot/wire/cutting/cut_length_mm", 0.04, _STOP),
        Scatter("link/wire/cutting/cut_length_mm", 0.05, _STOP),
    )

    card: ClassVar[tuple[str, ...]] = (
        "cut_length_mm",
        "first_piece_gauge_mm",
        "notch_depth_mm",
        "knife_clearance_mm",
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
        wire = stocks[MAIN]["lot_wire_diameter_mm"]
        aim = "the centreline of the finished link and what the weld takes"
        length = feed_length(aim, wanted, wire, machine, given)
        notch = by_wire(
            "notch_depth_mm", wire, machine, given, check="depth gauge, at set-up", share=0.12
        )
        if 2.0 * float(notch.value) >= float(wire):
            raise refusal(
                "notch_depth_mm", notch.value, given if "notch_depth_mm" in given else machine.held,
                "cuts the wire through", f"below {float(wire) / 2.0:.4g} mm",
            )  # fmt: skip
        settings = (*length, notch, knife_clearance(wire, machine, given))
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pieces, the force at the knife and the energy of a cut."""
        wire = stocks[MAIN]
        length = factors.actual("lot/wire/cutting/cut_length_mm", settings["cut_length_mm"])
        length = factors.actual("link/wire/cutting/cut_length_mm", length)
        diameter, strength = wire["wire_diameter_mm"], wire["tensile_strength_MPa"]
        root = diameter
        if "notch_depth_mm" in settings:
            root = notched_diameter(
                wire_diameter_mm=diameter, notch_depth_mm=settings["notch_depth_mm"]
            )
        force = round_wire_shear_force(diameter_mm=root, tensile_strength_MPa=strength)
        energy = blanking_energy(
            force_kN=force,
            thickness_mm=root,
            penetration_fraction=machine.held["penetration_fraction"],
        )
        piece = wire_mass(wire_diameter_mm=diameter, length_mm=length)
        greatest = machine.limits("shearing_force_kN")[1]
        findings = (
            Finding("shearing_force_kN", force, None, greatest, f"range of {machine.name}"),
            Finding("cutting_energy_J", energy),
            Finding("cut_length_mm", length),
            Finding(
                "pitch_shift_mm",
                cut_tolerance_to_pitch(
                    wire_diameter_mm=wire["lot_wire_diameter_mm"],
                    **held_of(machine, tolerance_ratio="cut_tolerance_ratio"),
                ),
                note="what the tolerance of the cut does to the pitch",
            ),
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


def feed_length(
    aim: str, wanted: Wanted, wire_mm: Any, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, Setting]:
    """Length of the feed, and the gauge that the first piece is laid into."""
    held = held_of(machine, tolerance_ratio="cut_tolerance_ratio")
    with not_recording():
        shift = cut_tolerance_to_pitch(wire_diameter_mm=wire_mm, **held)
    tolerance = float(f"{2.0 * float(shift):.2g}")
    length = solved_for(
        "cut_length_mm",
        aim,
        lambda: wanted["cut_length_mm"],
        machine,
        given,
        inputs={"cut_length_mm": wanted["cut_length_mm"], "wire_diameter_mm": wire_mm},
        check="caliper, first five pieces, then one in 500",
        tolerance=tolerance,
    )
    gauge = Setting(
        "first_piece_gauge_mm",
        length.value,
        SOLVED,
        "the feed length",
        tolerance=tolerance,
        check="first piece laid into the gauge, at set-up and after each stop",
    )
    return length, gauge


def knife_clearance(wire_mm: Any, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Gap of the knives, in the works' ratio to the wire."""
    return by_wire(
        "knife_clearance_mm", wire_mm, machine, given, check="feeler gauge, at set-up", share=0.2
    )
