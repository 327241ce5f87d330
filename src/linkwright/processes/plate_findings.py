"""What blanking shows: stroke against press, punches against buckling, plate against its limits."""

from __future__ import annotations

from typing import Any

from linkwright.processes.choosing import held_by_wire, held_of
from linkwright.processes.models.plate_blanking import (
    hole_spacing_room,
    punch_column,
    punch_over_thickness,
    spacing_error,
    usable_force,
)
from linkwright.processes.models.plate_shape import force_with_counterpad
from linkwright.route import Finding, Machine, SetUp, Wanted

_HELD = "held by the works"


def press_findings(stroke: Any, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    """Force, work and shut height against the press."""
    force = usable_force(
        press_force_kN=machine.held["press_force_kN"],
        **held_of(machine, used_share="used_force_share"),
    )
    borne = force_with_counterpad(
        cutting_force_kN=stroke.stroke_force_kN,
        counterpad_force_kN=settings["counterpad_force_kN"],
    )
    low, high = machine.limits("shut_height_mm")
    return (
        Finding(
            "stroke_force_kN", borne, None, force,
            f"share of the force of {machine.name} that the works uses",
            "cutting, stripping, counterpads",
        ),
        Finding("plate_force_kN", stroke.plate_force_kN, note="contour, holes, stripping"),
        Finding("stripping_force_kN", stroke.stripping_force_kN, note="of one plate"),
        Finding(
            "stroke_energy_J", stroke.stroke_energy_J, None,
            machine.held["greatest_stroke_energy_J"], f"{_HELD}: flywheel of {machine.name}",
        ),
        Finding("shut_height_mm", settings["shut_height_mm"], low, high,
                f"range of {machine.name}"),
    )  # fmt: skip


def punch_findings(stroke: Any, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    """Slenderness and stress of the piercing punch."""
    column = punch_column(
        punch_diameter_mm=settings["hole_punch_diameter_mm"],
        free_length_mm=held_by_wire(
            "punch_free_length_mm", settings["hole_punch_diameter_mm"], machine
        ),
        hole_force_kN=stroke.hole_force_kN,
        punch_yield_MPa=machine.held["punch_yield_MPa"],
    )
    return (
        Finding(
            "punch_stress_MPa", column.punch_stress_MPa, None,
            machine.held["greatest_punch_stress_MPa"], f"{_HELD} for its tool steel",
        ),
        Finding(
            "punch_buckling_safety", column.buckling_safety,
            machine.held["least_buckling_safety_factor"], None, _HELD,
            "Euler and Johnson, one end held and one guided",
        ),
    )  # fmt: skip


def plate_findings(
    piece: Any,
    used: Any,
    spacing: Any,
    thickness: Any,
    settings: SetUp,
    wanted: Wanted,
    machine: Machine,
) -> tuple[Finding, ...]:
    """Webs, spacing against what the chain's length leaves, mass, use of strip."""
    error = spacing_error(
        hole_spacing_mm=spacing,
        wanted_spacing_mm=wanted["hole_spacing_mm"],
        spacing_tolerance_mm=hole_spacing_room(
            pitch_mm=wanted["hole_spacing_mm"],
            play_tolerance_mm=held_by_wire("play_tolerance_mm", wanted["hole_spacing_mm"], machine),
            **held_of(machine, "reserve_share"),
        ),
    )
    return (
        Finding(
            "hole_spacing_error_mm", error.spacing_error_mm, error.least_error_mm,
            error.greatest_error_mm,
            "what ISO 606 leaves of the length of a chain",
        ),
        Finding(
            "web_ratio", piece.web_ratio, machine.held["least_web_ratio"], None,
            f"{_HELD}: web beside or between the holes over thickness",
        ),
        Finding(
            "hole_over_thickness",
            punch_over_thickness(
                hole_diameter_mm=settings["hole_punch_diameter_mm"], plate_thickness_mm=thickness
            ),
            machine.held["least_hole_over_thickness_ratio"], None,
            f"{_HELD}: thinner punches break; common practice, no source",
        ),
        Finding("plate_mass_kg", piece.plate_mass_kg),
        Finding("strip_utilisation_percent",
                settings.prepared["layout"].utilisation_percent,
                note="within the contours; slugs of the holes count as used"),
        Finding("strip_kg", used.strip_kg),
        Finding("skeleton_kg", used.skeleton_kg, note="scrap with the slugs of the holes"),
    )  # fmt: skip
