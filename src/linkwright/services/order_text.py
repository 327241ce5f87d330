"""An order file as text, changed in one place with all else left as it is written.

- `with_setting`, `without_setting`: a setting that the order fixes, or leaves to the plan again
- `number_given`: what somebody typed for a setting, in the unit of its name
- `drive_order_text`, `chain_order_text`: a new order of one line, for a duty or a chain by number
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from linkwright.quantities import (
    InputErrors,
    LinkwrightError,
    Problem,
    UnknownName,
    convert,
    quantity,
    split,
)

_WEEKS = 6


def with_setting(text: str, line: int, operation: str, name: str, value: float) -> str:
    """The order with ``operation.name = value`` among the settings of its line (from 0)."""
    document = tomlkit.parse(text)
    table = _line(document, line)
    settings = table.setdefault("settings", tomlkit.table())
    settings.setdefault(operation, tomlkit.table())[name] = _number(value)
    return tomlkit.dumps(document)


def without_setting(text: str, line: int, operation: str, name: str) -> str:
    """The order that leaves this setting to the plan; raises `UnknownName` if it gives none."""
    document = tomlkit.parse(text)
    settings = _line(document, line).get("settings", {})
    if name not in settings.get(operation, {}):
        raise UnknownName("setting", f"{operation}.{name}", [*settings])
    del settings[operation][name]
    if not settings[operation]:
        del settings[operation]
    if not settings:
        del _line(document, line)["settings"]
    return tomlkit.dumps(document)


def number_given(name: str, typed: str, unit: str) -> float:
    """A number in the unit of the setting ``name``, typed bare in ``unit`` or with its own.

    Raises `InputErrors` with the field.
    """
    stem, own = split(name)
    shown = f"{stem}_{unit}" if unit else name
    try:
        value = quantity(typed, shown)
    except LinkwrightError as error:
        raise InputErrors([Problem("quantity", str(error), key=name)]) from None
    return float(convert(value, unit, own)) if unit != own and unit else value


def drive_order_text(head: Mapping[str, str], duty: Mapping[str, Any]) -> str:
    """An order with one line: a drive duty in the keys of [line.drive], numbers with units."""
    line = tomlkit.table()
    drive = tomlkit.table()
    for key, value in duty.items():
        drive[key] = value
    line["id"] = "1"
    line["drive"] = drive
    return _order(head, line)


def chain_order_text(head: Mapping[str, str], size: str, pitches: int, note: str) -> str:
    """An order with one line: a roller chain by its number, its length in pitches."""
    line = tomlkit.table()
    line["id"] = "1"
    line["product"] = "roller"
    line["standard"] = "ISO 606"
    line["size"] = size
    line["pitches"] = pitches
    line["note"] = note
    return _order(head, line)


def _order(head: Mapping[str, str], line: Table) -> str:
    document = tomlkit.document()
    table = tomlkit.table()
    table["number"] = head["number"]
    table["customer"] = head["customer"]
    table["due"] = datetime.date.fromisoformat(head["due"])
    document["order"] = table
    lines = tomlkit.aot()
    lines.append(line)
    document["line"] = lines
    return tomlkit.dumps(document)


def usual_due(today: datetime.date) -> str:
    """A date of delivery to begin with."""
    return (today + datetime.timedelta(weeks=_WEEKS)).isoformat()


def _line(document: tomlkit.TOMLDocument, line: int) -> Table:
    lines = document["line"]
    assert isinstance(lines, AoT)  # noqa: S101 - the order was read before
    return lines[line]


def _number(value: float) -> float | int:
    """As people write it: 20.0 as 20.0, no noise of a conversion."""
    return float(f"{value:.12g}")
