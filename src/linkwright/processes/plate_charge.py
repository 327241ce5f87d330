"""What the furnaces for link plates have in common: sizes, the heap on tray or belt.

- `PLATE_SIZES`: sizes of a plate that a route asks for
- `PlateOperation`: a heat treatment that hands on the plate's sizes as they were asked
- `bed_arguments`: the heap as arguments of `plate_bed`
- `bed_depth_setting`: how deep the charge lies
"""

from __future__ import annotations

from typing import Any

from linkwright.processes.choosing import held_of
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.models.plate_bed import part_equivalent_diameter
from linkwright.processes.models.plate_sums import bed_depth_of_charge
from linkwright.route import FOLLOWS, Machine, Setting
from linkwright.route.stock import Stock

PLATE_SIZES = (
    "hole_spacing_mm", "hole_diameter_mm", "plate_thickness_mm", "plate_height_mm",
    "waist_height_mm",
)  # fmt: skip
_HEAP = ("packing_share", "convection_W_per_m2K", "contact_W_per_mK", "soak_band_K")


class PlateOperation(HeatOperation):
    """A heat treatment of link plates: their sizes are asked for as they are handed on."""

    asked = PLATE_SIZES
    form = "plate"


def bed_arguments(plate: Stock, machine: Machine) -> dict[str, Any]:
    """Depth, packing and parts of the heap, and what heats it."""
    return {
        "bed_depth_mm": _depth(machine),
        "part_diameter_mm": part_equivalent_diameter(
            area_mm2=plate["area_mm2"],
            perimeter_mm=plate["perimeter_mm"],
            plate_thickness_mm=plate["plate_thickness_mm"],
        ),
        **{name: machine.held[name] for name in _HEAP},
        **held_of(machine, heated_faces="heated_faces_count"),
    }


def bed_depth_setting(machine: Machine) -> Setting:
    """Depth at which the charge lies, to be held by the feeder."""
    return Setting(
        "bed_depth_mm", _depth(machine), FOLLOWS, "the charge within the furnace",
        tolerance=5.0, check="rule at the feeder, each hour",
    )  # fmt: skip


def _depth(machine: Machine) -> Any:
    return bed_depth_of_charge(
        charge_kg=machine.held["charge_kg"],
        tray_area_m2=machine.held["tray_area_m2"],
        packing_share=machine.held["packing_share"],
    )
