"""A member pressed into plates: what a joint of roller chain shows, for bushings and pins alike.

- `fit_of`: pressure, forces and torque of a joint, elastic or yielding
- `fit_findings`: those against what the works holds and what the chain pull asks
- `interference_setting`, `ram_setting`: what the station is set to
- `fit_travel`: force over travel, for the picture
- `FIT`: the doubt of its friction
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from linkwright.mechanics.interference import press_fit_holding
from linkwright.mechanics.plastic_fit import press_fit_yielding
from linkwright.processes.choosing import computed
from linkwright.processes.models.assembled_chain import (
    diametral_interference,
    ram_force,
    yield_share,
)
from linkwright.processes.models.works_factor import corrected_friction
from linkwright.route import FOLLOWS, Conditions, Factor, Finding, Machine, Setting
from linkwright.route.stock import Stock

_HELD = "held by the works"
FIT = Factor(
    "factor/pressing/friction",
    1.0,
    0.20,
    "works' own factor on the friction of pressed joints, not yet learned: stated band 20 %",
    "press out ten pins and ten bushings of known interference",
)


class Fit(NamedTuple):
    """One joint of a member in a plate."""

    interference_mm: Any
    yielding: Any
    pressing: Any
    """Force and torque with the friction of pressing."""
    holding: Any
    """The same at rest."""


def fit_of(
    *, member_mm: Any, bore_mm: Any, plate: Stock, machine: Machine, factors: Conditions
) -> Fit:
    """The joint of a member with this bore (0: solid) in a plate.

    ``plate``: plate_height_mm, hole_diameter_mm, plate_thickness_mm, yield_strength_MPa.
    """
    interference = diametral_interference(
        member_diameter_mm=member_mm, hole_diameter_mm=plate["hole_diameter_mm"]
    )
    yielding = press_fit_yielding(
        hub_outside_mm=plate["plate_height_mm"],
        fit_diameter_mm=member_mm,
        inner_bore_mm=bore_mm,
        diametral_interference_mm=interference,
        hub_yield_strength_MPa=plate["yield_strength_MPa"],
    )
    held = {
        name: press_fit_holding(
            diameter_mm=member_mm,
            length_mm=plate["plate_thickness_mm"],
            pressure_MPa=yielding.pressure_MPa,
            friction=corrected_friction(
                friction=machine.held[name], factor=factors.factor(FIT.name)
            ),
        )
        for name in ("pressing_friction", "resting_friction")
    }
    return Fit(interference, yielding, held["pressing_friction"], held["resting_friction"])


def fit_findings(
    part: str, fit: Fit, torque_needed_Nm: Any, member_yield_MPa: Any, machine: Machine
) -> tuple[Finding, ...]:
    """Interference, yielding of the plate, forces of pressing in and out, torque against turning.

    ``part``: pin or bushing; ``torque_needed_Nm``: by which its joint tries to turn it.
    """
    share = yield_share(
        stress_MPa=fit.yielding.inner_hoop_stress_MPa, yield_strength_MPa=member_yield_MPa
    )
    return (
        Finding(f"{part}_interference_mm", fit.interference_mm, note="of the members as they meet"),
        Finding(f"{part}_pressure_MPa", fit.yielding.pressure_MPa),
        Finding(
            "plate_yielding_percent", fit.yielding.plastic_depth_percent, None,
            machine.held["greatest_plate_yielding_percent"], f"{_HELD}: of the wall of the eye",
        ),
        Finding(
            f"{part}_yield_share_percent", share, None,
            machine.held["greatest_member_yield_percent"],
            f"{_HELD}: hoop stress within the {part} over the yield stress of its core",
        ),
        Finding(f"{part}_insertion_force_kN", fit.pressing.force_kN, note="one end in one plate"),
        Finding(f"{part}_push_out_force_kN", fit.holding.force_kN, note="one end in one plate"),
        Finding(
            f"{part}_twist_torque_Nm", fit.holding.torque_Nm, torque_needed_Nm, None,
            "what the joint's own friction turns it by at the works' safety, on one plate",
        ),
    )  # fmt: skip


def interference_setting(part: str, fit: Fit) -> Setting:
    """What the hole is smaller than the member, as the gauges of both give it."""
    return Setting(
        f"{part}_interference_mm", fit.interference_mm, FOLLOWS, tolerance=0.005,
        check="air gauge on five plates and five members, each box",
    )  # fmt: skip


def ram_setting(part: str, fit: Fit, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Force of the ram: all joints of a stroke, as many as the works holds, with its reserve."""
    return computed(
        "ram_force_kN", "all joints of one stroke with the works' reserve",
        lambda: ram_force(
            joint_force_kN=fit.pressing.force_kN,
            joints=machine.held[f"{part}s_per_stroke_count"],
            reserve_percent=machine.held["ram_reserve_percent"],
        ),
        machine, given, check="gauge of the press, each shift", share=0.1,
    )  # fmt: skip


def fit_travel(part: str, fit: Fit, thickness_mm: Any) -> dict[str, Any]:
    """Force of pressing in over the travel: it grows with the length that is in the plate."""
    travel = np.linspace(0.0, float(thickness_mm), 21)
    force = float(fit.pressing.force_kN) * travel / float(thickness_mm)
    return {f"{part}_travel_mm": travel, f"{part}_force_kN": force}
