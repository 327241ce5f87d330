"""Machines, strip and wire made by hand for the tests of bushings and rollers, and their routes."""

from __future__ import annotations

import math
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from processes.furnace_stock import Filed, Furnace, conditions

from linkwright.catalogue import not_recording, sourced
from linkwright.planning.plan import Job
from linkwright.processes.curling import Curling
from linkwright.processes.models.curling import strip_for_wall
from linkwright.processes.roller_extrusion import RollerExtrusion
from linkwright.processes.strip_slitting import StripSlitting
from linkwright.route import MAIN, Operation, Place, Requirement, Route, Stock
from linkwright.standards.roller_parts import roller_parts

_FILE = Path(__file__).with_name("bushing_works.toml")


@lru_cache(maxsize=1)
def _content() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text("utf-8"))


def machine(operation: str) -> Furnace:
    """The machine of an operation."""
    row = next(one for one in _content()["machine"] if one["operation"] == operation)
    tables = [Filed(row.get(name, {}), f"machine.{name}") for name in ("held", "spread", "rate")]
    limits = {key: (low, high) for key, (low, high) in row.get("range", {}).items()}
    return Furnace(row["name"], 1.0, limits, *tables)


def wanted(chain: str, part: str) -> dict[str, Any]:
    """Sizes of the finished bushing or roller of a chain."""
    sizes = getattr(roller_parts(chain), part)
    names = [f"{part}_{name}_mm" for name in ("outside", "bore", "length")]
    return {name: sourced(name, getattr(sizes, name), "file", "drawing") for name in names}


def coil(chain: str, part: str, steel: str = "16MnCr5") -> Stock:
    """Soft annealed strip, to the nearest hundredth of a millimetre that the wall asks for."""
    size = {name.removeprefix(f"{part}_"): float(one) for name, one in wanted(chain, part).items()}
    with not_recording():
        strip = strip_for_wall(
            outside_mm=size["outside_mm"],
            bore_mm=size["bore_mm"],
            closing_percent=machine("curling").held["closing_percent"],
        )
    shape = {"plate_thickness_mm": round(float(strip), 2), "coil_width_mm": 620.0,
             "coil_length_m": 300.0}  # fmt: skip
    return Stock(
        "coil",
        steel,
        dict(Filed(shape, "coil made by hand")),
        _condition(steel),
        _order(chain, part),
    )


def _condition(steel: str) -> dict[str, Any]:
    row = next(one for one in _content()["steel"] if one["grade"] == steel)
    return dict(Filed({**row["analysis"], "tensile_strength_MPa": 480.0}, "steel.analysis"))


def _order(chain: str, part: str) -> dict[str, Any]:
    numbers = {"pieces": 20000.0, "lots": 2.0}
    if part == "roller":
        # the bushing that the roller turns on
        numbers["bushing_outside_mm"] = float(roller_parts(chain).bushing.bushing_outside_mm)
    return dict(Filed(numbers, "order"))


def operations(part: str) -> list[Operation]:
    """The route of a part that is curled."""
    return [StripSlitting(part), Curling(part)]


def job(chain: str, part: str, given: dict[str, dict[str, Any]] | None = None) -> Job:
    """The route from coil to ring."""
    work, places = operations(part), list[Place]()
    for operation in work:
        feeds = {MAIN: places[-1].key} if places else {}
        places.append(Place(operation, part, machine(operation.name), feeds))
    route = Route(tuple(places), {places[0].key: coil(chain, part)})
    outside = float(wanted(chain, part)[f"{part}_outside_mm"])
    limit = Requirement(f"{part}_outside_mm", 0.99 * outside, 1.01 * outside, 1.0, "test")
    return Job(route, wanted(chain, part), [limit], conditions(*work), given or {})


def wire(chain: str, steel: str = "16MnCr5") -> Stock:
    """Soft annealed wire as the slug asks for it, to a tenth of a millimetre below."""
    work = RollerExtrusion()
    with not_recording():
        asked = work.ask(
            wanted(chain, "roller"), None, machine("roller_extrusion"), conditions(work)
        )
    thick = math.floor(10.0 * float(asked[MAIN]["wire_diameter_mm"])) / 10.0
    shape = Filed({"wire_diameter_mm": thick}, "wire made by hand")
    return Stock("wire", steel, dict(shape), _condition(steel), _order(chain, "roller"))


def extruded(chain: str, given: dict[str, dict[str, Any]] | None = None) -> Job:
    """The route from wire to extruded roller."""
    work = RollerExtrusion()
    place = Place(work, "roller", machine(work.name), {})
    route = Route((place,), {place.key: wire(chain)})
    outside = float(wanted(chain, "roller")["roller_outside_mm"])
    limit = Requirement("roller_outside_mm", 0.99 * outside, 1.01 * outside, 1.0, "test")
    return Job(route, wanted(chain, "roller"), [limit], conditions(work), given or {})
