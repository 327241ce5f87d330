"""What a weld shows: heat, window, upset, trimmed joint, electrodes, each with its limit.

`Welded` gathers what the calculations gave; `findings` says it. Limits come from the steel,
from the works or, where the product names them, from the standard.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from linkwright.processes.models.upset_welding import UpsetWeldHeating
from linkwright.processes.models.weld_schedule import (
    distance_above,
    distance_below,
    temperature_margin,
    wire_multiple,
)
from linkwright.processes.models.weld_trimming import TrimWeld
from linkwright.processes.models.weld_upset import UpsetLength, WeldBulge
from linkwright.processes.models.weld_window import WeldBounds
from linkwright.route import Finding, Machine
from linkwright.standards.requirement import ChainRequirement

Needs = Mapping[str, ChainRequirement]
_NOT_LEARNED = "no limit given until the works has learned one: trial at rising current"
_VISIBLE = "wire between the electrodes, mean; about 927 °C is common practice, no source"


class Welded(NamedTuple):
    """One weld, or arrays of them."""

    current_kA: Any
    heated: UpsetWeldHeating
    upset: UpsetLength
    bulge: WeldBulge
    cut: TrimWeld
    solidus_degC: Any
    expulsion_degC: Any
    weld_diameter_mm: Any
    affected_length_mm: Any
    inner_residue_mm: Any
    inner_width_mm: Any
    mark_depth_mm: Any


def findings(
    weld: Welded, prepared: Mapping[str, Any], machine: Machine, needs: Needs, learned: bool
) -> tuple[Finding, ...]:
    """All findings of a weld; ``learned`` says that the works knows its expulsion factor."""
    return (
        *_of_heat(weld, machine),
        *_of_window(weld, prepared["bounds"], machine, learned),
        *_of_upset(weld, machine, prepared["limits"].least_upset_mm),
        *_of_trimming(weld, machine, needs, prepared["wire_mm"]),
    )


def least_upset(machine: Machine, wire_mm: Any) -> Any:
    """The least upset that the works takes for sound, kept as ratio to the wire."""
    if "least_upset_length_mm" in machine.held:
        return machine.held["least_upset_length_mm"]
    ratio = machine.held["least_upset_length_ratio"]
    return wire_multiple(wire_diameter_mm=wire_mm, ratio=ratio)


def _of_heat(weld: Welded, machine: Machine) -> tuple[Finding, ...]:
    heated = weld.heated
    return (
        Finding(
            "joint_temperature_degC",
            heated.joint_temperature_degC,
            machine.held["least_joint_temperature_degC"],
            weld.solidus_degC,
            "works' least for sound forging; solidus of the steel",
        ),
        Finding("visible_surface_temperature_degC", heated.visible_temperature_degC, note=_VISIBLE),
        Finding(
            "released_joint_temperature_degC",
            heated.released_temperature_degC,
            note="joint line when the electrodes open, after upset and hold",
        ),
        Finding("electrode_edge_temperature_degC", heated.edge_temperature_degC),
        Finding("useful_heat_kJ", heated.useful_heat_kJ),
        Finding("back_current_share", heated.back_current_share),
        Finding(
            "apparent_power_kVA",
            heated.apparent_power_kVA,
            None,
            machine.limits("apparent_power_kVA")[1],
            f"range of {machine.name}",
        ),
        Finding("heat_affected_length_mm", heated.affected_length_mm, note="hotter than Ac3"),
    )


def _of_window(
    weld: Welded, bounds: WeldBounds, machine: Machine, learned: bool
) -> tuple[Finding, ...]:
    least = machine.held.get("least_current_distance_percent")
    held = f"held by the works for {machine.name}"
    margin = temperature_margin(
        limit_temperature_degC=weld.expulsion_degC,
        temperature_degC=weld.heated.joint_temperature_degC,
    )
    return (
        Finding(
            "current_above_lack_of_fusion_percent",
            distance_below(value=weld.current_kA, boundary=bounds.fusion_kA),
            least,
            None,
            held if least is not None else "",
            "to the current that just reaches the least joint temperature and upset",
        ),
        Finding(
            "current_below_expulsion_percent",
            distance_above(value=weld.current_kA, boundary=bounds.expulsion_kA),
            least if learned else None,
            None,
            held if learned and least is not None else "",
            "" if learned else _NOT_LEARNED,
        ),
        Finding(
            "expulsion_margin_K",
            margin,
            0.0 if learned else None,
            None,
            "the works' own factor on expulsion" if learned else "",
            "" if learned else _NOT_LEARNED,
        ),
    )


def _of_upset(weld: Welded, machine: Machine, least: Any) -> tuple[Finding, ...]:
    return (
        Finding(
            "upset_reached_mm",
            weld.upset.upset_length_mm,
            least,
            None,
            f"held by the works for {machine.name}",
        ),
        Finding("upset_pressure_MPa", weld.upset.upset_pressure_MPa),
        Finding("bulge_diameter_mm", weld.bulge.bulge_diameter_mm, note="before trimming"),
    )


def _of_trimming(weld: Welded, machine: Machine, needs: Needs, wire_mm: Any) -> tuple[Finding, ...]:
    return (
        Finding(
            "trimming_force_kN",
            weld.cut.trimming_force_kN,
            None,
            machine.limits("trimming_force_kN")[1],
            f"range of {machine.name}",
        ),
        _asked("weld_diameter_mm", weld.weld_diameter_mm, needs),
        _asked("weld_affected_length_mm", weld.affected_length_mm, needs),
        _kept(
            "inner_residue_mm", weld.inner_residue_mm, machine, wire_mm, "left inside the link"
        ),
        _asked("inner_width_mm", weld.inner_width_mm, needs, "inner_width_at_weld_mm"),
        _kept(
            "electrode_mark_mm", weld.mark_depth_mm, machine, wire_mm,
            "flat electrode; a grooved one marks less",
        ),
    )  # fmt: skip


def _asked(name: str, value: Any, needs: Needs, subject: str = "") -> Finding:
    """A finding with the standard's limits, or none where the product names none."""
    need = needs.get(name)
    if need is None:
        return Finding(subject or name, value)
    return Finding(subject or name, value, need.least, need.greatest, need.source)


def _kept(name: str, value: Any, machine: Machine, wire_mm: Any, note: str) -> Finding:
    """A finding with the works' own greatest value, if it keeps one as a ratio to the wire."""
    ratio = f"greatest_{name.removesuffix('_mm')}_ratio"
    if ratio not in machine.held:
        return Finding(name, value, note=note)
    greatest = wire_multiple(wire_diameter_mm=wire_mm, ratio=machine.held[ratio])
    return Finding(name, value, None, greatest, f"held by the works for {machine.name}", note)
