"""What curling shows: the ring against its limits, the seam, the mandrel, the stages' forces."""

from __future__ import annotations

from typing import Any

from linkwright.mechanics.bending import minimum_bend_radius
from linkwright.processes.choosing import held_of
from linkwright.processes.models.curling_press import bend_over_thickness, mandrel_play, seam_peak
from linkwright.processes.models.jack_link import band_about
from linkwright.processes.models.plate_blanking import usable_force
from linkwright.processes.models.size_limits import (
    roller_play,
    seam_peak_limit,
    share_of_size,
)
from linkwright.route import Finding, Machine, SetUp
from linkwright.route.stock import Stock

_HELD = "held by the works"


def curling_findings(
    part: str, ring: Any, strip: Stock, mass: Any, used: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    """Sizes and seam of the ring, play of the mandrel, strain of the strip, mass."""
    sizes, held = settings.prepared["sizes"], machine.held
    thickness = strip["plate_thickness_mm"]
    seam = share_of_size(size_mm=sizes["outside"], share_percent=held["greatest_seam_gap_percent"])
    return (
        *size_findings(part, ring.outside_mm, ring.bore_mm, sizes, machine),
        Finding(f"{part}_wall_mm", ring.wall_mm),
        Finding("seam_gap_mm", ring.seam_gap_mm, None, seam,
                f"{_HELD}: share of the outside; pressing in and hardening close it further"),
        Finding(
            "seam_peak_um",
            seam_peak(outside_mm=sizes["outside"], thickness_mm=thickness,
                      **held_of(machine, "unbent_ratio")),
            None,
            seam_peak_limit(outside_mm=sizes["outside"],
                            share_percent=held["greatest_seam_peak_percent"]),
            _HELD, "upper bound of the ovality: what closing presses flat is left out",
        ),
        Finding(
            "mandrel_play_mm",
            mandrel_play(tool_bore_mm=ring.tool_bore_mm,
                         mandrel_diameter_mm=settings["mandrel_diameter_mm"]),
            0.0, None, "thick strip jams the mandrel",
        ),
        Finding("springback_percent", ring.springback_percent, note="of the outside over the tool"),
        Finding("closing_percent", ring.closing_percent,
                note="by how much closing upsets the blank; negative: it stays open in the tool"),
        Finding(
            "bend_over_thickness",
            bend_over_thickness(bore_mm=ring.tool_bore_mm, thickness_mm=thickness),
            minimum_bend_radius(reduction_of_area_percent=held["least_reduction_of_area_percent"]),
            None, "least radius by the reduction of area that the works asks of its strip",
        ),
        Finding("outer_fibre_strain", ring.outer_fibre_strain),
        Finding("piece_mass_kg", mass),
        Finding("strip_kg", used.strip_kg),
    )  # fmt: skip


def size_findings(
    part: str, outside: Any, bore: Any, sizes: Any, machine: Machine
) -> tuple[Finding, Finding]:
    """Outside and bore against the works' tolerance about what is wanted of this step."""
    found = []
    for name, value in (("outside", outside), ("bore", bore)):
        limits = band_about(
            value=sizes[name], tolerance_percent=machine.held[f"{name}_tolerance_percent"]
        )
        found.append(
            Finding(f"{part}_{name}_mm", value, limits.least, limits.greatest,
                    f"{_HELD}: share of the size wanted before hardening")
        )  # fmt: skip
    return found[0], found[1]


def play_findings(part: str, bore: Any, stock: Stock, machine: Machine) -> tuple[Finding, ...]:
    """Play of a roller on the bushing that it will turn on, where the order names that one."""
    if part != "roller" or "bushing_outside_mm" not in stock:
        return ()
    play = roller_play(roller_bore_mm=bore, bushing_outside_mm=stock["bushing_outside_mm"])
    held = machine.held
    return (
        Finding(
            "roller_play_percent", play, held["least_roller_play_percent"],
            held["greatest_roller_play_percent"], f"{_HELD}: share of the bushing",
            "before hardening, on the finished bushing",
        ),
    )  # fmt: skip


def force_findings(forces: Any, machine: Machine) -> tuple[Finding, ...]:
    """Each stage, and all of them against the press."""
    force = usable_force(
        press_force_kN=machine.held["press_force_kN"],
        **held_of(machine, used_share="used_force_share"),
    )
    return (
        Finding("cut_off_force_kN", forces.cut_off_force_kN),
        Finding("u_bending_force_kN", forces.u_bending_force_kN),
        Finding("o_bending_force_kN", forces.o_bending_force_kN),
        Finding("closing_force_kN", forces.closing_force_kN, note="without friction on the shells"),
        Finding("ram_force_kN", forces.ram_force_kN, None, force,
                f"share of the force of {machine.name} that the works uses"),
    )  # fmt: skip
