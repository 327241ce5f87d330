"""Pins: bright bar is sheared to length, without kerf; turning squares the sheared ends."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import by_wire, chosen
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.processes.models.pin_work import pin_before_turning
from linkwright.processes.models.sheared_pin import out_of_square, slenderness
from linkwright.processes.models.shearing import blanking_energy, round_wire_shear_force
from linkwright.processes.models.use import working_time
from linkwright.processes.pins_from_bar import HELD_BY_WORKS, PinsFromBar, bar_findings, bar_used
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_NO_KERF = 0.0


class PinShearing(PinsFromBar):
    """A stroke a pin between closed knives: force, faces off square, ends pressed flat."""

    name = "pin_shearing"
    card = ("cut_length_mm", "blade_clearance_mm", "strokes_per_min", "knives", "bar_clamp")
    scatter = (
        Scatter("lot/pin/pin_shearing/diameter_mm", 0.004,
                "bright bar within its tolerance: common practice, no source"),
        Scatter("link/pin/pin_shearing/cut_length_mm", 0.08,
                "play of the stop and break of the face: common practice, no source"),
        Scatter("link/pin/pin_shearing/end_angle_deg", 0.3,
                "break of the face from pin to pin: common practice, no source"),
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Stop at the length wanted and both crooked faces, knives apart by a share of the bar."""
        settings = (
            self.stop(
                lambda: pin_before_turning(
                    pin_length_mm=wanted["cut_length_mm"],
                    facing_mm=out_of_square(
                        diameter_mm=stocks[MAIN]["diameter_mm"],
                        end_angle_deg=machine.held["end_angle_deg"],
                    ),
                ),
                "the pin with what turning takes off its ends and two faces askew",
                machine, given,
            ),
            by_wire(
                "blade_clearance_mm", stocks[MAIN]["diameter_mm"], machine, given,
                check="feeler gauge, each new knife", share=0.2, to="bar",
            ),
            chosen("strokes_per_min", machine, given, check="display", share=0.1),
        )  # fmt: skip
        return SetUp(settings, {"wanted": dict(wanted), "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Pins as sheared with their crooked faces, force and work of a stroke, bars used."""
        bar = stocks[MAIN]
        used = bar_used(bar, settings["cut_length_mm"], _NO_KERF, machine)
        pins = self.as_cut(bar, settings, factors, used)
        angle = self.actual(factors, "link", "end_angle_deg", machine.held["end_angle_deg"],
                            least=0.0)  # fmt: skip
        face = out_of_square(diameter_mm=pins["diameter_mm"], end_angle_deg=angle)
        return Step(
            (
                *bar_findings(bar, pins, used, settings, machine,
                              "softer bar smears, harder breaks the knives",
                              "the rest is the end of the bar; there is no kerf"),
                *self._force(bar, machine),
                *self._ends(pins, face, machine),
            ),
            pins.changed(shape={"end_out_of_square_mm": face}),
            use={**self._use(bar, settings, machine), "steel_kg": used.steel_kg},
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _force(self, bar: Stock, machine: Machine) -> tuple[Finding, ...]:
        force = round_wire_shear_force(
            diameter_mm=bar["diameter_mm"], tensile_strength_MPa=bar["tensile_strength_MPa"]
        )
        work = blanking_energy(
            force_kN=force, thickness_mm=bar["diameter_mm"],
            penetration_fraction=machine.held["penetration_share"],
        )  # fmt: skip
        return (
            Finding("shear_force_kN", force, None, machine.held["greatest_shear_force_kN"],
                    f"frame of {machine.name}", "0.7 of the strength on the whole section"),
            Finding("shear_work_J", work, None, machine.held["stroke_work_J"],
                    f"flywheel of {machine.name}"),
        )  # fmt: skip

    def _ends(self, pins: Stock, face: Any, machine: Machine) -> tuple[Finding, ...]:
        """What the knives leave of face and roundness; turning and grinding take it off."""
        held, diameter = machine.held, pins["diameter_mm"]
        pressed, most = (
            sized_by_wire(wire_diameter_mm=diameter, ratio=held[name])
            for name in ("flattening_ratio", "greatest_flattening_ratio")
        )
        return (
            Finding("end_out_of_square_mm", face, note="of a face; turning takes it off"),
            Finding("end_flattening_mm", pressed, None, most,
                    f"{HELD_BY_WORKS}: no more than grinding takes off the diameter",
                    "roundness lost at the ends, by the works' own measuring"),
            Finding("length_over_diameter_ratio",
                    slenderness(length_mm=pins["cut_length_mm"], diameter_mm=diameter),
                    held["least_length_over_diameter_ratio"], None,
                    f"{HELD_BY_WORKS}: shorter pieces turn over between the knives"),
        )  # fmt: skip

    def _use(self, bar: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
        hours = working_time(
            pieces=bar["pieces"],
            pieces_per_minute=settings["strokes_per_min"],
            machines=machine.many,
        )
        return use_of_machine(hours, machine)


_CAUTIONS = (
    Caution(
        "Knives shear fingers off; pieces and splinters of knives fly",
        "closed guard and its switch tried before start, chute covered, power locked out and the "
        "slide blocked before hands go in; eye and ear protection",
    ),
    Caution(
        "Bars roll off the rack, and the end that is left is thrown out",
        "bars stopped on the rack, end caught in a tube, nobody in line with the feed",
    ),
)
