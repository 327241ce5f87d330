"""What every forming machine finds and shows: strain, force, rate, machines, tools.

- `bend_findings`: strain at the outside and the inside, ovality, force of the arms
- `rate_findings`: metres and machine hours, machines needed
- `rate_setting`, `finger_tool`, `side_tools`, `first_link_gauge`: rows of the card
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.mechanics.bending import bending_force, bent_bar_strains
from linkwright.processes.choosing import Possible, chosen, held_by_wire, tool
from linkwright.processes.models.forming import (
    bend_ovality,
    bend_strain_limit,
    chain_rate,
    machine_hours,
    machines_for_hours,
)
from linkwright.route import SOLVED, Finding, Machine, Setting, SetUp
from linkwright.route.stock import Stock

_OWN = "forming limit held by the works, from its own bend tests"
_AREA = "outer fibre at the fracture strain in tension (reduction of area) less drawing"


def bend_findings(
    piece: Stock, finger: Any, moment_Nm: Any, machine: Machine
) -> tuple[Finding, ...]:
    """How hard the bend is for the wire and for the arms."""
    wire = piece["lot_wire_diameter_mm"]
    strains = bent_bar_strains(diameter_mm=wire, inner_radius_mm=finger)
    force = bending_force(moment_Nm=moment_Nm, arm_mm=held_by_wire("arm_mm", wire, machine))
    most, source = _forming_limit(piece, machine)
    return (
        Finding("outer_fibre_true_strain", strains.outer_true_strain, None, most, source),
        Finding("inner_fibre_true_strain", strains.inner_true_strain, note="compression"),
        Finding("bend_ovality_percent", bend_ovality(diameter_mm=wire, inner_radius_mm=finger),
                note="constant volume; what the finger flattens is left out"),
        Finding("arm_force_N", force, None, machine.limits("arm_force_N")[1],
                f"range of {machine.name}"),
    )  # fmt: skip


def _forming_limit(piece: Stock, machine: Machine) -> tuple[Any, str]:
    """The works' own limit, or the published one where the steel's reduction of area is known.

    Where both are there the stricter holds.
    """
    own = machine.held.get("greatest_true_strain")
    if "reduction_of_area_percent" not in piece:
        return own, _OWN if own is not None else ""
    limit = bend_strain_limit(
        reduction_of_area_percent=piece["reduction_of_area_percent"], prestrain=piece["prestrain"]
    )
    if own is not None and float(own) <= float(_least(limit)):
        return own, _OWN
    return limit, _AREA


def _least(limit: Any) -> Any:
    return limit if not hasattr(limit, "min") else limit.min()


def rate_findings(piece: Stock, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    """What one machine makes in an hour, how long it takes alone, how many are needed."""
    links = {"links_per_min": settings["links_per_min"], "links": piece["links"]}
    hours = machine_hours(**links)
    found = [
        Finding("chain_rate_m_per_h", chain_rate(length_m=piece["length_m"], **links)),
        Finding("machine_hours_h", hours, note="of one machine alone"),
    ]
    if "hours_available_h" in machine.held:
        needed = machines_for_hours(
            machine_hours_h=hours, hours_available_h=machine.held["hours_available_h"]
        )
        source = f"machines of the works: {machine.name}"
        note = "within the hours that the works holds for an order"
        found.append(Finding("machines_needed_count", needed, None, machine.many, source, note))
    return tuple(found)


def rate_setting(machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Links a minute, as the works holds it."""
    return chosen(
        "links_per_min",
        machine,
        given,
        check="counter, every hour",
        share=0.05,
        possible=Possible(0.1, 1000.0),
    )


def finger_tool(finger: Setting, given: Mapping[str, Any]) -> Setting:
    """The finger by the name of its radius."""
    words = f"finger R {float(finger.value):.2f}"
    check = "stamp on the finger, at each change"
    return tool("finger_tool", words, "the finger radius", given, check=check)


def side_tools(wire_mm: Any, given: Mapping[str, Any]) -> Setting:
    """The tools of the arms, whose groove fits the wire."""
    words = f"groove {float(wire_mm):.2f}"
    check = "stamp on both tools, at each change"
    return tool("side_tools", words, "a groove of the wire's diameter", given, check=check)


def first_link_gauge(length: Any, tolerance: float) -> Setting:
    """Length over the first link, as laid into the gauge."""
    return Setting(
        "first_link_gauge_mm",
        length,
        SOLVED,
        "length over the first link",
        tolerance=tolerance,
        check="first link laid into the gauge, at set-up and after each stop",
    )
