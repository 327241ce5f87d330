"""Forming: a cut piece is bent round the finger into an open link, link by link."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.mechanics.bending import bending_force, bent_bar_strains
from linkwright.mechanics.springback import finger_radius, round_bar_bending
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.link_geometry import (
    centre_radius_on_finger,
    corrected_finger_radius,
    formed_width,
    inner_crown_radius,
)
from linkwright.processes.models.use import energy_of_time, working_time
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
    )
    factors = (_SPRINGBACK,)

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
        bar = _bar(piece, machine)

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
            tolerance=0.05,
        )
        rate = chosen("links_per_min", machine, given, check="counter, every hour")
        gap = chosen("gap_mm", machine, given, check="feeler gauge, one link in 200", tolerance=0.3)
        return SetUp((finger, rate, gap), {"machine": machine.name})

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
            **_bar(piece, machine),
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
        force = bending_force(moment_Nm=bent.moment_Nm, arm_mm=machine.held["arm_mm"])
        stock = piece.changed(
            "open link",
            shape={"outer_width_mm": width, "gap_mm": settings["gap_mm"]},
            condition={"crown_strain": strains.mean_strain},
        )
        return Step(
            _findings(width, strains.outer_true_strain, force, machine),
            stock,
            use=_use(piece, settings, machine),
            cautions=_CAUTIONS,
        )


def _findings(width: Any, strain: Any, force: Any, machine: Machine) -> tuple[Finding, ...]:
    limit = "forming limit held by the works, from its own bend tests"
    most, range_ = machine.limits("arm_force_N")[1], f"range of {machine.name}"
    return (
        Finding("formed_outer_width_mm", width),
        Finding(
            "outer_fibre_true_strain", strain, None, machine.held["greatest_true_strain"], limit
        ),
        Finding("arm_force_N", force, None, most, range_),
    )


def _use(piece: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    hours = working_time(
        pieces=piece["links"],
        pieces_per_minute=settings["links_per_min"],
        machines=machine.many,
    )
    energy = energy_of_time(
        machine_time_h=hours,
        power_kW=machine.rate["connected_power_kW"],
        machines=machine.many,
    )
    return {"machine_time_h": hours, "electricity_kWh": energy}


def _bar(piece: Stock, machine: Machine) -> dict[str, Any]:
    """The bent wire as arguments of the bending calculations."""
    return {
        "diameter_mm": piece["lot_wire_diameter_mm"],
        "K_MPa": piece["K_MPa"],
        "n": piece["n"],
        "prestrain": piece["prestrain"],
        "E_MPa": machine.held["E_MPa"],
    }


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
