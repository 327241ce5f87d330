"""What is wrong with zones and units, in maps of files and in live collection alike."""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterator, Mapping
from typing import Any

from linkwright.link_data.columns import Column
from linkwright.quantities import UNITS, QuantityError, unit_of_text, units_of
from linkwright.works.table import Contradiction
from linkwright.works.toml_file import printable

Where = tuple[str, int]
"""A table of a list: its key and place."""


def zone_faults(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """A zone that nobody knows."""
    zone = given.get("zone", "UTC")
    if isinstance(zone, str) and not _is_zone(zone):
        words = f"'{printable(zone)}' is no zone"
        yield Contradiction(("zone",), words, "UTC, Europe/Berlin, Europe/Warsaw, ...")


def unit_faults(unit: Any, column: Column, path: Where) -> Iterator[Contradiction]:
    """A unit of another kind than the column's, or of a column that carries none."""
    here = (*path, "unit")
    if not column.unit:
        yield Contradiction(here, f"{column.name} carries no unit", "no unit")
        return
    of = UNITS[column.unit].kind
    accepted = ", ".join(units_of(of))
    try:
        found = unit_of_text(unit) if isinstance(unit, str) else ""
    except QuantityError:
        found = ""
    if not found or UNITS[found].kind != of:
        words = f"'{printable(str(unit))}' is no unit of {of}"
        yield Contradiction(here, words, accepted)


def _is_zone(name: str) -> bool:
    try:
        zoneinfo.ZoneInfo(name)
    except (OSError, ValueError, zoneinfo.ZoneInfoNotFoundError):
        return False
    return True
