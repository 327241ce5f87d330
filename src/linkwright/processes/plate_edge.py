"""Burr and bow of plates in blanking: when the tool is ground, what a counterpad must press.

- `edge_settings`: strokes between two regrinds, force of the counterpads, side of the burr
- `force_of_plate`: force of one plate with its counterpad, by which the press takes so many
- `as_blanked`, `edge_findings`: burr and bow of the members, against what the works allows
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from linkwright.processes.choosing import computed, held_by_wire, held_of
from linkwright.processes.models.plate_shape import (
    blanking_bow,
    bow_of_strain,
    burr_of_tool,
    counterpad_for_bow,
    force_with_counterpad,
    regrinds_of_plates,
    strokes_to_burr,
)
from linkwright.processes.of_part import OfPart
from linkwright.route import HELD, Conditions, Finding, Machine, Scatter, Setting, SetUp
from linkwright.route.stock import Stock

EDGE_SCATTER = (
    Scatter("lot/plate/blanking/burr_height_um", 0.15,
            "edges of one tool and strip from coil to coil: common practice, no source",
            relative=True),
    Scatter("lot/plate/blanking/blanked_bow_mm", 0.15,
            "strip from coil to coil, set of the coil: common practice, no source",
            relative=True),
)  # fmt: skip
_HELD = "held by the works"
_BURR = ("sharp_burr_um", "burr_growth_um", "measured_clearance_share")


class Cutting(NamedTuple):
    """What cutting one plate takes, and the tool that does it."""

    clearance_mm: Any
    plate_length_mm: Any
    contour_force_kN: Any
    plate_force_kN: Any
    """Contour, holes and stripping."""


class Edge(NamedTuple):
    """Burr and bow of plates as they fall through the die."""

    burr_height_um: Any
    blanked_bow_mm: Any


def edge_settings(
    strip: Stock, cutting: Cutting, plates: Any, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, ...]:
    """Strokes until the burr is as high as the works lets it be; counterpad for the bow aimed at.

    ``plates``: of a stroke.
    """
    interval = computed(
        "regrind_interval_count", "the burr at which the works grinds a tool",
        lambda: strokes_to_burr(
            burr_height_um=machine.held["regrind_burr_um"],
            cutting_clearance_mm=cutting.clearance_mm,
            plate_thickness_mm=strip["plate_thickness_mm"],
            least_strokes=machine.held["least_regrind_interval_count"],
            **_burr_held(machine),
        ),
        machine, given, check="stroke counter of the press, each shift", share=0.1,
    )  # fmt: skip
    pad = computed(
        "counterpad_force_kN", "the bow of blanked plates that the works aims at",
        lambda: _counterpad(strip, cutting, machine, plates=plates),
        machine, given, check="gauge of the cushion, each shift", share=0.1,
    )  # fmt: skip
    side = Setting("burr_side", given.get("burr_side", _OUTWARD), HELD,
                   check="thumb nail on five plates, each coil")  # fmt: skip
    return interval, pad, side


def force_of_plate(strip: Stock, cutting: Cutting, machine: Machine) -> Any:
    """Force of one plate: cut, stripped and held against the punch."""
    return force_with_counterpad(
        cutting_force_kN=cutting.plate_force_kN,
        counterpad_force_kN=_counterpad(strip, cutting, machine),
    )


def as_blanked(
    operation: OfPart, strip: Stock, cutting: Cutting, settings: SetUp,
    machine: Machine, factors: Conditions,
) -> Edge:  # fmt: skip
    """At the end of the interval between two regrinds, where the burr is highest."""
    burr = burr_of_tool(
        strokes=settings["regrind_interval_count"],
        cutting_clearance_mm=cutting.clearance_mm,
        plate_thickness_mm=strip["plate_thickness_mm"],
        **_burr_held(machine),
    )
    bow = _bow(
        strip, cutting, machine,
        counterpad_force_kN=settings["counterpad_force_kN"],
        plates=settings["plates_per_stroke_count"],
    )  # fmt: skip
    return Edge(
        operation.actual(factors, "lot", "burr_height_um", burr),
        operation.actual(factors, "lot", "blanked_bow_mm", bow),
    )


def edge_findings(
    edge: Edge, strip: Stock, cutting: Cutting, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """Burr and bow against what the works allows, regrinds for the plates of the order."""
    return (
        Finding(
            "burr_height_um", edge.burr_height_um, None,
            machine.held["greatest_burr_um"], f"{_HELD}, before tumbling",
            "just before the tool is ground; a sharp tool leaves less",
        ),
        Finding(
            "blanked_bow_mm", edge.blanked_bow_mm, None,
            held_by_wire("greatest_bow_mm", cutting.plate_length_mm, machine), _HELD,
            "out of flatness over the length of the plate",
        ),
        Finding("regrinds_count", tool_care(strip, settings, machine).regrinds_count,
                note="of the tool, for these plates"),
    )  # fmt: skip


def tool_care(strip: Stock, settings: SetUp, machine: Machine) -> Any:
    """Regrinds for the plates of the order, and the hours that the press stands for them."""
    return regrinds_of_plates(
        plates=strip["plates"],
        plates_per_stroke=settings["plates_per_stroke_count"],
        regrind_interval_count=settings["regrind_interval_count"],
        regrind_time_h=machine.rate["regrind_time_h"],
        machines=machine.many,
    )


def _counterpad(strip: Stock, cutting: Cutting, machine: Machine, **plates: Any) -> Any:
    return counterpad_for_bow(
        bow_without_mm=_bow(strip, cutting, machine),
        aimed_bow_mm=held_by_wire("aimed_bow_mm", cutting.plate_length_mm, machine),
        flattening_share=machine.held["flattening_share"],
        contour_force_kN=cutting.contour_force_kN,
        **plates,
    )


def _bow(strip: Stock, cutting: Cutting, machine: Machine, **pressed: Any) -> Any:
    thickness = strip["plate_thickness_mm"]
    free = bow_of_strain(
        face_strain_percent=machine.held["blanked_strain_percent"],
        plate_length_mm=cutting.plate_length_mm,
        plate_thickness_mm=thickness,
    )
    return blanking_bow(
        free_bow_mm=free,
        cutting_clearance_mm=cutting.clearance_mm,
        plate_thickness_mm=thickness,
        measured_clearance_share=machine.held["measured_clearance_share"],
        contour_force_kN=cutting.contour_force_kN,
        flattening_share=machine.held["flattening_share"],
        **pressed,
    )


def _burr_held(machine: Machine) -> dict[str, Any]:
    return {
        **{name: machine.held[name] for name in _BURR},
        **held_of(machine, clearance_exponent="burr_clearance_exponent"),
    }


_OUTWARD = "burr side outward in the chain"
