"""Machines and strip made by hand for the tests of link plates, and their route."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from processes.furnace_stock import Filed, Furnace, conditions

from linkwright.catalogue import sourced
from linkwright.planning.plan import Job
from linkwright.processes.plate_blanking import Blanking
from linkwright.processes.plate_hardening import PlateHardening
from linkwright.processes.plate_tempering import PlateTempering
from linkwright.processes.plate_tumbling import PlateTumbling
from linkwright.processes.strip_slitting import StripSlitting
from linkwright.route import MAIN, Operation, Place, Requirement, Route, Stock
from linkwright.standards.roller_parts import roller_parts

_FILE = Path(__file__).with_name("plate_works.toml")


@lru_cache(maxsize=1)
def _content() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text("utf-8"))


def machine(operation: str) -> Furnace:
    """The machine of an operation."""
    row = next(one for one in _content()["machine"] if one["operation"] == operation)
    tables = [Filed(row.get(name, {}), f"machine.{name}") for name in ("held", "spread", "rate")]
    limits = {key: (low, high) for key, (low, high) in row.get("range", {}).items()}
    return Furnace(row["name"], 1.0, limits, *tables)


def coil(steel: str = "42CrMo4", **sizes: float) -> Stock:
    """Soft annealed strip for 16B inner plates."""
    row = next(one for one in _content()["steel"] if one["grade"] == steel)
    shape = Filed(
        {"plate_thickness_mm": 4.0, "coil_width_mm": 620.0, "coil_length_m": 300.0, **sizes},
        "coil made by hand",
    )
    condition = Filed({**row["analysis"], "tensile_strength_MPa": 560.0}, "steel.analysis")
    amount = Filed({"plates": 40000.0, "lots": 2.0, "plate_force_needed_kN": 30.0}, "order")
    return Stock("coil", steel, dict(shape), dict(condition), dict(amount))


def wanted() -> dict[str, Any]:
    """Sizes of the finished inner plate of 16B and the strength asked for."""
    plate = roller_parts("16B").inner_plate
    return {
        "hole_spacing_mm": sourced("hole_spacing_mm", 25.386, "file", "asked by the assembly"),
        "hole_diameter_mm": plate.hole_diameter_mm,
        "plate_thickness_mm": sourced("plate_thickness_mm", 3.993, "file", "drawing"),
        "plate_height_mm": plate.plate_height_mm,
        "waist_height_mm": plate.waist_height_mm,
        "tensile_strength_MPa": sourced("tensile_strength_MPa", 1250.0, "file", "order"),
    }


def operations() -> list[Operation]:
    """The route of a plate."""
    return [StripSlitting(), Blanking(), PlateHardening(), PlateTempering(), PlateTumbling()]


def job(
    given: dict[str, dict[str, Any]] | None = None,
    steel: str = "42CrMo4",
    further: tuple[Operation, ...] = (),
) -> Job:
    """The route from coil to plate, with further operations at its end."""
    places: list[Place] = []
    work = (*operations(), *further)
    for operation in work:
        feeds = {MAIN: places[-1].key} if places else {}
        places.append(Place(operation, "plate", machine(operation.name), feeds))
    route = Route(tuple(places), {places[0].key: coil(steel)})
    strength = Requirement("tensile_strength_MPa", 1100.0, None, 1.0, "test")
    return Job(route, wanted(), [strength], conditions(*work), given or {})
