"""Forming: a cut piece is bent round the finger into an open link, link by link."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.mechanics.bending import bent_bar_strains
from linkwright.mechanics.springback import finger_radius, round_bar_bending
from linkwright.processes.bent_wire import bent_wire, forming_use
from linkwright.processes.choosing import by_wire, held_of, solved_for
from linkwright.processes.forming_findings import (
    bend_findings,
    finger_tool,
    first_link_gauge,
    rate_findings,
    rate_setting,
    side_tools,
)
from linkwright.processes.models.forming import formed_twist, open_link_length
from linkwright.processes.models.link_geometry import (
    centre_radius_on_finger,
    corrected_finger_radius,
    formed_width,
    inner_crown_radius,
)
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
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

_SPRINGBACK = Factor(
    "factor/forming/springback",
    1.0,
    0.05,
    "works' own factor on the radius after release, not yet learned: stated band 5 %",
    "form 20 links at three finger radii and measure the inner width",
)


class Forming(Operation):
    """Bend the piece round the finger so that it springs back to the width wanted."""

    name = "forming"
    scatter = (
        Scatter("link/wire/forming/outer_width_mm", 0.06, "tool play: common practice, no source"),
        Scatter("link/wire/forming/twist_deg", 0.8, "play of the arms: common practice, no source"),
    )
    factors = (_SPRINGBACK,)
    card = (
        "finger_radius_mm", "finger_tool", "side_tools", "gap_mm", "first_link_gauge_mm",
        "links_per_min",
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A piece as long as the wire in the open link."""
        return {
            MAIN: {
                "wire_diameter_mm": wanted["wire_diameter_mm"],
                "cut_length_mm": wanted["cut_length_mm"],
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
        """The finger radius is solved backwards through springback; rate and gap are held."""
        piece = stocks[MAIN]
        bar = bent_wire(piece, machine)

        def radius() -> float:
            inside = inner_crown_radius(
                wire_diameter_mm=piece["wire_diameter_mm"],
                outer_width_mm=wanted["outer_width_mm"],
            )
            tool = finger_radius(inner_radius_mm=inside, **bar)
            return float(
                corrected_finger_radius(
                    inner_radius_mm=inside,
                    finger_radius_mm=tool.finger_radius_mm,
                    springback_factor=factors.factor(_SPRINGBACK.name),
                )
            )

        finger = solved_for(
            "finger_radius_mm",
            "the outer width of the open link after springback",
            radius,
            machine,
            given,
            inputs=bar,
            check="radius gauge at set-up; outer width of the first ten links",
            share=0.01,
        )
        wire = piece["lot_wire_diameter_mm"]
        gap = by_wire(
            "gap_mm", wire, machine, given, check="feeler gauge, one link in 200", share=0.25
        )
        over = open_link_length(
            cut_length_mm=piece["cut_length_mm"],
            gap_mm=gap.value,
            wire_diameter_mm=wire,
            outer_width_mm=wanted["outer_width_mm"],
        )
        settings = (
            finger,
            finger_tool(finger, given),
            side_tools(wire, given),
            gap,
            first_link_gauge(over, float(f"{0.03 * float(wire):.2g}")),
            rate_setting(machine, given),
        )
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Open links: width after springback, strain at the crown, force of the arms."""
        piece = stocks[MAIN]
        loaded = centre_radius_on_finger(
            wire_diameter_mm=piece["lot_wire_diameter_mm"],
            finger_radius_mm=settings["finger_radius_mm"],
        )
        bent = round_bar_bending(
            mean_radius_mm=loaded,
            bend_angle_deg=machine.held["bend_angle_deg"],
            **bent_wire(piece, machine),
        )
        width = formed_width(
            mean_radius_mm=bent.residual_mean_radius_mm,
            loaded_radius_mm=loaded,
            wire_diameter_mm=piece["wire_diameter_mm"],
            springback_factor=factors.factor(_SPRINGBACK.name),
        )
        width = factors.actual("link/wire/forming/outer_width_mm", width)
        strains = bent_bar_strains(
            diameter_mm=piece["lot_wire_diameter_mm"], inner_radius_mm=settings["finger_radius_mm"]
        )
        twist = factors.actual(
            "link/wire/forming/twist_deg",
            formed_twist(**held_of(machine, "arm_misalignment_deg")),
        )
        stock = piece.changed(
            "open link",
            shape={"outer_width_mm": width, "gap_mm": settings["gap_mm"], "twist_deg": twist},
            condition={"crown_strain": strains.mean_strain},
        )
        return Step(
            (
                *_shape_findings(width, twist, settings, machine),
                *bend_findings(piece, settings["finger_radius_mm"], bent.moment_Nm, machine),
                *rate_findings(piece, settings, machine),
            ),
            stock,
            use=forming_use(piece, settings, machine),
            cautions=_CAUTIONS,
        )


def _shape_findings(
    width: Any, twist: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """The open link as it comes off the finger; what lies over both sides of 0 is twist."""
    most = machine.held.get("greatest_twist_deg")
    least = None
    source = ""
    if most is not None:
        least, source = -float(most), f"held by the works for {machine.name}"
    return (
        Finding("formed_outer_width_mm", width),
        Finding("formed_gap_mm", settings["gap_mm"], note="at the weld"),
        Finding("formed_twist_deg", twist, least, most, source, "before calibrating"),
    )


_CAUTIONS = (
    Caution(
        "Forming arms pinch and shear; the machine cycles about once a second",
        "guard closed; two-hand control and light curtain tried before start",
    ),
    Caution(
        "A piece that misses the finger is thrown out",
        "front window closed, eye protection",
    ),
)
