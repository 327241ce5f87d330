"""Strip: a coil is slit to the width that plates, bushings or rollers need."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, computed, held_of
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.jack_link import Band, band_about
from linkwright.processes.models.plate_sums import slit_coil
from linkwright.processes.models.shearing import shearing_clearance
from linkwright.processes.models.use import running_time
from linkwright.processes.of_part import OfPart
from linkwright.route import (
    FOLLOWS,
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_HELD = "held by the works"


class StripSlitting(OfPart):
    """Thickness and strength of what came in; the width of the knives for the strip wanted."""

    name = "strip_slitting"
    card = ("slit_width_mm", "strips_count", "knife_clearance_mm", "slitting_speed_m_per_s")
    scatter = (
        Scatter(
            "lot/plate/strip_slitting/plate_thickness_mm",
            0.01,
            "coil to coil within the rolling tolerance: common practice, no source",
        ),
        Scatter(
            "lot/plate/strip_slitting/tensile_strength_MPa",
            0.03,
            "coil to coil, 3 %: common practice, no source",
            relative=True,
        ),
    )

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Strip of the thickness that is wanted."""
        return {MAIN: {"plate_thickness_mm": wanted["plate_thickness_mm"]}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Knives at the width of the strip, their clearance by its thickness; speed as held."""
        width = computed(
            "slit_width_mm", "the strip that the next operation asks for",
            lambda: wanted["strip_width_mm"], machine, given,
            check="caliper, first metre of each coil", tolerance=0.2,
        )  # fmt: skip
        cut = slit_coil(
            coil_width_mm=stocks[MAIN]["coil_width_mm"],
            strip_width_mm=width.value,
            **held_of(machine, "edge_trim_mm"),
        )
        settings = (
            width,
            Setting("strips_count", cut.strips_count, FOLLOWS, tolerance=0.0,
                    check="counted at set-up"),
            computed(
                "knife_clearance_mm", "a share of the thickness",
                lambda: shearing_clearance(
                    thickness_mm=stocks[MAIN]["plate_thickness_mm"],
                    clearance_allowance=machine.held["knife_clearance_share"],
                ),
                machine, given, check="feeler gauge, at set-up", share=0.2,
            ),
            chosen("slitting_speed_m_per_s", machine, given, check="display", share=0.1),
        )  # fmt: skip
        prepared = {
            "slit_share": cut.used_share,
            "limits": _limits(wanted, machine),
            "machine": machine.name,
        }
        return SetUp(settings, prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The strip as it really is, against the limits of the works."""
        coil = stocks[MAIN]
        thickness = self.actual(
            factors, "lot", "plate_thickness_mm", coil["plate_thickness_mm"], least=0.1
        )
        strength = self.actual(factors, "lot", "tensile_strength_MPa", coil["tensile_strength_MPa"])
        share = settings.prepared["slit_share"]
        limits = settings.prepared["limits"]
        findings = (
            Finding(
                "plate_thickness_mm", thickness, limits.least, limits.greatest,
                f"{_HELD}: share of the thickness asked for",
            ),
            Finding(
                "strip_tensile_strength_MPa", strength, None,
                machine.held["greatest_strip_strength_MPa"], f"{_HELD}: soft annealed strip",
            ),
            Finding("slit_used_share", share, note="of the coil's width"),
        )  # fmt: skip
        stock = coil.changed(
            "strip",
            shape={
                "plate_thickness_mm": thickness,
                "strip_width_mm": settings["slit_width_mm"],
                "slit_share": share,
            },
            condition={"tensile_strength_MPa": strength},
        )
        hours = running_time(
            length_m=coil["coil_length_m"], speed_m_per_s=settings["slitting_speed_m_per_s"]
        )
        return Step(
            findings,
            stock,
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
        )


def _limits(wanted: Wanted, machine: Machine) -> Band:
    """Thickness that the works takes for what is asked for; a works that holds none judges none."""
    held = held_of(machine, tolerance_percent="strip_thickness_tolerance_percent")
    if not held:
        return Band(None, None)
    return band_about(value=wanted["plate_thickness_mm"], **held)


_CAUTIONS = (
    Caution(
        "A coil of strip springs open when its bands are cut; slit edges cut like knives",
        "bands cut from the side, coil held; cut-resistant gloves; nobody in line with the strip",
    ),
    Caution(
        "Knives of the slitter draw hands in", "guard closed and its switch tried before start"
    ),
)
