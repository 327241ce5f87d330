"""Ways to make the pins of roller chain: how cut, how their ends stay soft, what holds the plates.

- `PIN_WORK`: the words of an order line or a drawing, by what they decide
- `pin_way`: what the order says, else the drawing, else the works' machines
- `cottered_end`: the end of a pin that a cotter holds
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.processes.cottering import Cottering
from linkwright.processes.end_annealing import EndAnnealing
from linkwright.processes.models.cottered_end import cottered_projection
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.processes.pin_cutting import PinCutting
from linkwright.processes.pin_drilling import PinDrilling
from linkwright.processes.pin_shearing import PinShearing
from linkwright.processes.strand import CotteredEnd
from linkwright.products.job import machine_of
from linkwright.quantities import CannotPlan
from linkwright.route import Machine
from linkwright.standards.cotters import cotter_for_pin, cotter_of_hole
from linkwright.standards.roller_parts import RollerParts

PIN_WORK: tuple[tuple[str, str], ...] = (
    ("sawing", "shearing"),
    ("stop-off paste", "end annealing"),
    ("rivets", "cotters"),
)
"""Three choices of two words each: cut, soft ends, what holds the outer plates."""
_PASTE = "end_protection"
_WHAT = "roller chain"


@dataclass(frozen=True)
class PinWay:
    """How the pins of a chain are made; usual is sawn, pasted and riveted."""

    sheared: bool = False
    annealed: bool = False
    cottered: bool = False


def pin_way(
    ordered: Sequence[str], drawn: Sequence[str], machines: Mapping[str, Machine]
) -> PinWay:
    """The way that the order names, else the drawing, else what the works has.

    A works that can both saw and shear uses the machine that stands first in its file. Ends are
    pasted where the card of its case hardening says how (`end_protection`), else annealed if it
    has a machine for that. Plates are riveted unless somebody says cotters.

    Raises `CannotPlan` where a machine is lacking, and for cottered ends that are to be annealed.
    """
    cut, soft, hold = (
        next((word for words in (ordered, drawn) for word in words if word in pair), "")
        for pair in PIN_WORK
    )
    way = PinWay(
        sheared=cut == "shearing" or (not cut and _shears_first(machines)),
        annealed=soft == "end annealing" or (not soft and not _pastes(machines)),
        cottered=hold == "cotters",
    )
    if way.annealed and way.cottered:
        raise CannotPlan(
            "cottered pins cannot be planned with annealed ends: their hole is drilled before they "
            "are hardened and would be hard inside; accepted: stop-off paste (an end_protection "
            "row on the card of case hardening), or rivets"
        )
    for wanted, operations in (
        (way.sheared, (PinShearing.name,)),
        (not way.sheared, (PinCutting.name,)),
        (way.annealed, (EndAnnealing.name,)),
        (way.cottered, (PinDrilling.name, Cottering.name)),
    ):
        for operation in operations if wanted else ():
            machine_of(machines, operation, _WHAT)
    return way


def cottered_end(
    parts: RollerParts, drawing: Mapping[str, Any] | None, machines: Mapping[str, Machine]
) -> CotteredEnd:
    """Cotter of ISO 1234 for the pin; distances of the drawing, or by the works' ratios.

    The machine that drills holds `hole_clearance_ratio` (from the plate to the hole) and
    `hole_end_ratio` (from the middle of the hole to the end of the pin), both over the hole.
    """
    drawing, held = drawing or {}, machine_of(machines, PinDrilling.name, _WHAT).held
    cotter = (
        cotter_of_hole(cotter_hole_mm=drawing["cotter_hole_mm"])
        if "cotter_hole_mm" in drawing
        else cotter_for_pin(pin_diameter_mm=parts.pin.pin_diameter_mm)
    )

    def sized(name: str, ratio: str) -> Any:
        if name in drawing:
            return drawing[name]
        return sized_by_wire(wire_diameter_mm=cotter.cotter_hole_mm, ratio=held[ratio])

    end = sized("hole_from_end_mm", "hole_end_ratio")
    projection = cottered_projection(
        cotter_hole_mm=cotter.cotter_hole_mm,
        clearance_mm=sized("hole_clearance_mm", "hole_clearance_ratio"),
        end_distance_mm=end,
    )
    return CotteredEnd(cotter, projection, end)


def _shears_first(machines: Mapping[str, Machine]) -> bool:
    """Whether the works has shears before any saw in its file, or no saw."""
    cuts = [one for one in machines if one in (PinCutting.name, PinShearing.name)]
    return cuts[:1] == [PinShearing.name]


def _pastes(machines: Mapping[str, Machine]) -> bool:
    """Whether ends are kept from the case: a row of the card says so, or nothing else is held."""
    rows = machines["case_hardening"].card if "case_hardening" in machines else ()
    return EndAnnealing.name not in machines or any(row.name == _PASTE for row in rows)
