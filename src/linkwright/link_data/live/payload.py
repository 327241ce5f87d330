"""From a message to rows: one JSON object, or an array of them.

`rows_of` never raises for what a message holds: what is no reading becomes an `Aside`. JSON is
taken strictly: no NaN, no key twice, no nesting without end, at most `LARGEST_BYTES`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.link_data.live.collect_file import Reading
from linkwright.link_data.live.row import LONGEST_TEXT, Aside, Row, Wrong, judged

LARGEST_BYTES = 4_000_000
MOST_ROWS = 10_000
_MISSING = object()


def rows_of(
    server: str, topic: str, payload: bytes, readings: Sequence[Reading], arrived: str
) -> tuple[list[Row], list[Aside]]:
    """The rows of a message for each reading whose topic it meets, and what is none."""
    rows: list[Row] = []
    asides: list[Aside] = []

    def aside(reason: str, text: str) -> None:
        asides.append(Aside(server, topic, reason, text, arrived))

    whole = payload[: 4 * LONGEST_TEXT].decode("utf-8", "backslashreplace")
    try:
        items = _objects(payload)
    except Wrong as error:
        aside(str(error), whole)
        return rows, asides
    beside = {"server": server, "topic": topic, "arrived": arrived}
    for place, item in enumerate(items):
        for reading in readings:
            try:
                rows.append(_row(reading, topic, item, beside))
            except Wrong as error:
                where = f"row {place + 1}: " if len(items) > 1 else ""
                aside(f"{where}{error}", json.dumps(item)[:LONGEST_TEXT])
    return rows, asides


def meets(topic: str, pattern: str) -> bool:
    """Whether a topic meets a pattern of topics (MQTT 3.1.1, section 4.7).

    >>> meets("works/W07/weld", "works/+/weld"), meets("works", "works/#"), meets("$SYS/a", "#")
    (True, True, False)
    """
    parts, wanted = topic.split("/"), pattern.split("/")
    if topic.startswith("$") and wanted[0] in ("+", "#"):
        return False
    for place, level in enumerate(wanted):
        if level == "#":
            return True
        if place >= len(parts) or level not in ("+", parts[place]):
            return False
    return len(parts) == len(wanted)


def _row(reading: Reading, topic: str, item: Mapping[str, Any], beside: Mapping[str, Any]) -> Row:
    machine: Any = reading.machine
    if reading.machine_from is not None:
        machine = _at(item, reading.machine_from)
    elif reading.machine_level is not None:
        levels = topic.split("/")
        at = reading.machine_level - 1
        machine = levels[at] if at < len(levels) else None
    values = {one.column.name: _at(item, one.origin) for one in reading.columns}
    return judged(reading, machine, values, beside)


def _at(item: Any, path: str) -> Any:
    """The value under a key, or under keys with points between; None if there is none."""
    if isinstance(item, dict) and path in item:
        return item[path]
    for part in path.split("."):
        item = item.get(part, _MISSING) if isinstance(item, dict) else _MISSING
        if item is _MISSING:
            return None
    return item


def _objects(payload: bytes) -> list[dict[str, Any]]:
    if len(payload) > LARGEST_BYTES:
        raise Wrong(f"has {len(payload)} bytes, more than {LARGEST_BYTES}")
    try:
        made = json.loads(payload.decode("utf-8"), parse_constant=_constant,
                          object_pairs_hook=_once)  # fmt: skip
    except UnicodeDecodeError:
        raise Wrong("is not UTF-8") from None
    except RecursionError:
        raise Wrong("is nested too deep") from None
    except ValueError as error:
        raise Wrong(f"is not JSON: {str(error)[:100]}") from None
    items = made if isinstance(made, list) else [made]
    if not items or len(items) > MOST_ROWS or not all(isinstance(one, dict) for one in items):
        raise Wrong(f"is no JSON object, nor an array of 1 to {MOST_ROWS} of them")
    return items


def _constant(word: str) -> Any:
    raise Wrong(f"is not JSON: {word} is no number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        raise Wrong("is not one reading: a key stands twice")
    return made
