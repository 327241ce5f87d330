"""Curling: bushings and thin rollers are cut off from strip and curled round a mandrel.

Closing tool, mandrel and blank are solved for the outside wanted; the wall is that of the strip.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import Possible, chosen, computed, held_of, solved_for
from linkwright.processes.curling_findings import curling_findings, force_findings, play_findings
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.curling import (
    curled_ring,
    curling_cut_length,
    curling_tool,
    strip_for_wall,
)
from linkwright.processes.models.curling_press import (
    blanks_per_metre,
    curled_mass,
    curling_forces,
    mandrel_of_tool,
)
from linkwright.processes.models.plate_sums import (
    mass_of_plates,
    press_time,
    steel_with_trim,
    strip_for_plates,
)
from linkwright.processes.models.shearing import shearing_clearance
from linkwright.processes.models.use import fed_strokes
from linkwright.processes.of_part import OfPart
from linkwright.processes.soft_metal import soft_curve
from linkwright.route import (
    GIVEN,
    HELD,
    MAIN,
    Caution,
    Conditions,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_FEED = "play of the feed and wear of the shear: common practice, no source"
_TOOL = "wear of the closing tool between two regrinds: common practice, no source"
_STRIP = "along a coil: common practice, no source"
_ANY_SIGN = Possible(least=-5.0, greatest=5.0)
_SEAM = "turned away from where the pin bears; the assembly lays it so"


class Curling(OfPart):
    """Cut off, bend to a U over the mandrel, to an O by two shells, close: a stroke a piece."""

    name = "curling"
    part = "bushing"
    card = (
        "cut_length_mm", "mandrel_diameter_mm", "closing_die_mm", "closing_percent",
        "cutting_clearance_mm", "strokes_per_min", "seam_position", "lubricant",
    )  # fmt: skip
    scatter = (
        Scatter("lot/bushing/curling/cut_length_mm", 0.0005, _FEED, relative=True),
        Scatter("link/bushing/curling/cut_length_mm", 0.0008, _FEED, relative=True),
        Scatter("lot/bushing/curling/closing_die_mm", 0.0003, _TOOL, relative=True),
        Scatter("link/bushing/curling/plate_thickness_mm", 0.002, _STRIP, relative=True),
        Scatter("link/bushing/curling/tensile_strength_MPa", 0.01, _STRIP, relative=True),
    )

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Strip as wide as the part is long, of the thickness that leaves its wall."""
        return {
            MAIN: {
                "plate_thickness_mm": strip_for_wall(
                    outside_mm=wanted[self.size("outside")],
                    bore_mm=wanted[self.size("bore")],
                    closing_percent=machine.held["closing_percent"],
                ),
                "strip_width_mm": wanted[self.size("length")],
            }
        }

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Tool and blank for the outside wanted, with the strip that came."""
        strip = stocks[MAIN]
        closing = chosen(
            "closing_percent", machine, given, check="by the cut length", tolerance=0.1,
            possible=_ANY_SIGN,
        )  # fmt: skip
        tool = self._tool_settings(strip, closing.value, wanted, machine, given)
        clearance = computed(
            "cutting_clearance_mm", "a share of the thickness on each side",
            lambda: shearing_clearance(
                thickness_mm=strip["plate_thickness_mm"],
                clearance_allowance=machine.held["clearance_allowance_share"],
            ),
            machine, given, check="at tool making; burr under a lens, each shift", share=0.15,
        )  # fmt: skip
        rate = computed(
            "strokes_per_min", "the speed at which the feed brings strip",
            lambda: fed_strokes(
                cut_length_mm=tool[0].value,
                feed_speed_m_per_min=machine.held["feed_speed_m_per_min"],
                greatest_strokes_per_min=machine.held["greatest_strokes_per_min"],
            ),
            machine, given, check="display", share=0.1,
        )  # fmt: skip
        how = GIVEN if "seam_position" in given else HELD
        seam = Setting("seam_position", given.get("seam_position", _SEAM), how,
                       check="by eye, five pieces each coil")  # fmt: skip
        sizes = {name: wanted[self.size(name)] for name in ("outside", "bore", "length")}
        return SetUp(
            (*tool, closing, clearance, rate, seam), {"sizes": sizes, "machine": machine.name}
        )

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Rings with their scatter; forces of the stages; strip and time."""
        strip = self._as_it_runs(stocks[MAIN], factors)
        ring = curled_ring(
            closing_die_mm=self.actual(
                factors, "lot", "closing_die_mm", settings["closing_die_mm"]
            ),
            cut_length_mm=(cut := self._cut(settings, factors)),
            thickness_mm=strip["plate_thickness_mm"],
            **_flow(strip, machine),
        )
        forces = curling_forces(
            width_mm=strip["strip_width_mm"],
            thickness_mm=strip["plate_thickness_mm"],
            tensile_strength_MPa=strip["tensile_strength_MPa"],
            mandrel_diameter_mm=settings["mandrel_diameter_mm"],
            bending_moment_per_width_N=ring.bending_moment_per_width_N,
            hoop_force_N_per_mm=ring.hoop_force_N_per_mm,
            **held_of(machine, "shear_over_tensile"),
        )
        mass = curled_mass(
            cut_length_mm=cut,
            thickness_mm=strip["plate_thickness_mm"],
            width_mm=strip["strip_width_mm"],
        )
        used = strip_for_plates(
            plates=strip["pieces"],
            plates_per_m=blanks_per_metre(cut_length_mm=cut),
            strip_width_mm=strip["strip_width_mm"],
            plate_thickness_mm=strip["plate_thickness_mm"],
            plate_mass_kg=mass,
            **held_of(machine, "reject_percent"),
        )
        return Step(
            (
                *curling_findings(self.part, ring, strip, mass, used, settings, machine),
                *play_findings(self.part, ring.bore_mm, strip, machine),
                *force_findings(forces, machine),
            ),
            self._pieces(stocks[MAIN], strip, ring, mass),
            use=_use(strip, used, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _picture(strip, forces, settings, machine),
        )

    def size(self, name: str) -> str:
        """Name of a size of this part: ``bushing_outside_mm``."""
        return f"{self.part}_{name}_mm"

    def _tool_settings(
        self,
        strip: Stock,
        closing: Any,
        wanted: Wanted,
        machine: Machine,
        given: Mapping[str, Any],
    ) -> tuple[Setting, Setting, Setting]:
        """Blank, mandrel and closing die."""
        inputs = {
            "outside_mm": wanted[self.size("outside")],
            "closing_percent": closing,
            "thickness_mm": strip["plate_thickness_mm"],
            **_flow(strip, machine),
        }
        die = solved_for(
            "closing_die_mm", "the outside that is left once the ring has sprung",
            lambda: curling_tool(**inputs).closing_die_mm, machine, given, inputs=inputs,
            check="plug gauge, at each regrind", share=0.0005,
        )  # fmt: skip
        cut = computed(
            "cut_length_mm", "the neutral fibre of the ring and what closing upsets",
            lambda: curling_cut_length(
                closing_die_mm=die.value, thickness_mm=inputs["thickness_mm"],
                closing_percent=closing,
            ),
            machine, given, share=0.001,
            check="caliper, first five blanks; seam with a feeler gauge, first five pieces",
        )  # fmt: skip
        ring = curled_ring(
            closing_die_mm=die.value, cut_length_mm=cut.value,
            thickness_mm=inputs["thickness_mm"], **_flow(strip, machine),
        )  # fmt: skip
        mandrel = computed(
            "mandrel_diameter_mm", "the bore in the closed tool, smaller than the bore wanted",
            lambda: mandrel_of_tool(
                tool_bore_mm=ring.tool_bore_mm, thickness_mm=inputs["thickness_mm"],
                **held_of(machine, play_percent="mandrel_play_percent"),
            ),
            machine, given, check="micrometer, at each regrind", share=0.001,
        )  # fmt: skip
        return cut, mandrel, die

    def _as_it_runs(self, strip: Stock, factors: Conditions) -> Stock:
        """The strip at each blank."""
        return strip.changed(
            shape={
                "plate_thickness_mm": self.actual(
                    factors, "link", "plate_thickness_mm", strip["plate_thickness_mm"]
                )
            },
            condition={
                "tensile_strength_MPa": self.actual(
                    factors, "link", "tensile_strength_MPa", strip["tensile_strength_MPa"]
                )
            },
        )

    def _cut(self, settings: SetUp, factors: Conditions) -> Any:
        cut = self.actual(factors, "lot", "cut_length_mm", settings["cut_length_mm"])
        return self.actual(factors, "link", "cut_length_mm", cut)

    def _pieces(self, coil: Stock, strip: Stock, ring: Any, mass: Any) -> Stock:
        """What falls from the mandrel."""
        total = mass_of_plates(plates=strip["pieces"], plate_mass_kg=mass)
        return coil.changed(
            self.part,
            shape={
                self.size("outside"): ring.outside_mm,
                self.size("bore"): ring.bore_mm,
                self.size("wall"): ring.wall_mm,
                self.size("length"): strip["strip_width_mm"],
                "seam_gap_mm": ring.seam_gap_mm,
            },
            condition={"tensile_strength_MPa": strip["tensile_strength_MPa"]},
            amount={"piece_mass_kg": mass, "steel_kg": total},
        )


def _flow(strip: Stock, machine: Machine) -> dict[str, Any]:
    """Flow curve of the strip with its modulus, as arguments."""
    return {**soft_curve(strip, machine), **held_of(machine, "E_MPa")}


def _use(strip: Stock, used: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    hours = press_time(
        plates=strip["pieces"],
        strokes_per_min=settings["strokes_per_min"],
        running_share=machine.rate["running_share"],
        machines=machine.many,
    )
    return {
        **use_of_machine(hours, machine),
        "steel_kg": steel_with_trim(strip_kg=used.strip_kg, used_share=strip["slit_share"]),
    }


def _picture(strip: Stock, forces: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Outside and seam over the mandrel with the same blank, and the forces stage by stage."""
    die = float(settings["closing_die_mm"]) * np.linspace(0.985, 1.015, 31)
    play = float(settings["closing_die_mm"]) - float(settings["mandrel_diameter_mm"])
    with not_recording():
        ring = curled_ring(
            closing_die_mm=die,
            cut_length_mm=float(settings["cut_length_mm"]),
            thickness_mm=float(strip["plate_thickness_mm"]),
            **{name: float(value) for name, value in _flow(strip, machine).items()},
        )
    stages = ("cut_off", "u_bending", "o_bending", "closing")
    return {
        "mandrel_diameter_mm": [float(one) for one in die - play],
        "outside_mm": [float(one) for one in ring.outside_mm],
        "seam_gap_mm": [float(one) for one in ring.seam_gap_mm],
        **{f"{name}_force_kN": float(getattr(forces, f"{name}_force_kN")) for name in stages},
    }


_CAUTIONS = (
    Caution(
        "Slides and shells crush fingers; broken mandrels fly",
        "guard closed and its switch tried each shift; ram blocked and power locked out when "
        "someone reaches in; local codes for presses come first",
    ),
    Caution("Edges of strip cut like knives", "cut-resistant gloves; nobody in line with the coil"),
)
