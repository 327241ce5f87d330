"""One reading as it goes into the spool, or what was set aside and why.

`judged` takes raw values by our column names and gives a `Row`, or raises `Wrong`. A number is
a finite number, never a text; a whole number has no decimal part; the machine, counter and
clock are needed. Bounds, units and clocks are judged later, by ingest and its map.
"""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from linkwright.link_data.columns import MACHINE_NAME
from linkwright.link_data.live.collect_file import ColumnFrom, Reading

LONGEST_TEXT = 2000
"""Signs of a text, and of what is set aside."""
MOST_VALUES = 100_000
"""Values of a waveform."""
MOST_DIGITS = 18


class Wrong(Exception):
    """Why something is no reading; for people."""


@dataclass(frozen=True)
class Row:
    """A reading: to which reading of the file it belongs, its key, its line."""

    reading: Reading
    machine: str
    counter: int
    clock: str
    content: str
    """What the machine said: two rows of one key and other content contradict each other."""
    line: bytes
    told_again: bool = False
    """The same key is the same reading, whatever else: present values read at a connection."""

    @property
    def key(self) -> tuple[str, str, int, str]:
        """What makes it the same reading."""
        return self.reading.kind.name, self.machine, self.counter, self.clock


@dataclass(frozen=True)
class Aside:
    """What was set aside."""

    server: str
    place: str
    reason: str
    text: str
    arrived: str

    def line(self) -> bytes:
        """As it is kept."""
        held = {"arrived": self.arrived, "server": self.server, "from": self.place[:LONGEST_TEXT],
                "reason": self.reason, "text": self.text[:LONGEST_TEXT]}  # fmt: skip
        return (json.dumps(held) + "\n").encode()


def judged(
    reading: Reading, machine: Any, values: Mapping[str, Any], beside: Mapping[str, Any],
    *, told_again: bool = False,
) -> Row:  # fmt: skip
    """The row of raw values by our column names; raises `Wrong`.

    beside: what else is kept with it, such as when it arrived.
    """
    if not isinstance(machine, str) or not MACHINE_NAME.fullmatch(machine):
        raise Wrong(f"machine: {_shown(machine)} cannot be the name of a machine")
    made: dict[str, Any] = {"machine": machine}
    for one in reading.columns:
        made[one.key] = _value(one, values.get(one.column.name))
    if "clock" not in made:
        moment = values.get("clock")
        made["clock"] = None if moment is None else _clock("clock", moment)
    for name in ("counter", "clock"):
        if made[name] is None:
            raise Wrong(f"{name}: is empty")
    content = json.dumps(made, sort_keys=True, allow_nan=False)
    line = json.dumps({**made, **beside}, allow_nan=False)
    return Row(
        reading, machine, made["counter"], made["clock"], content, (line + "\n").encode(),
        told_again,
    )  # fmt: skip


def utc_text(moment: datetime.datetime) -> str:
    """A time in UTC with microseconds."""
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=datetime.UTC)
    return moment.astimezone(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _value(one: ColumnFrom, value: Any) -> Any:
    if value is None:
        return None
    name, form = one.column.name, one.column.form
    if form == "number":
        return _number(name, value)
    if form == "whole":
        return _whole(name, value)
    if form == "clock":
        return _clock(name, value)
    if form == "numbers":
        if not isinstance(value, (list, tuple)) or len(value) > MOST_VALUES:
            raise Wrong(f"{name}: is no list of at most {MOST_VALUES} numbers")
        return [_number(name, item) for item in value]
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**MOST_DIGITS:
        value = str(value)
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise Wrong(f"{name}: {_shown(value)} is no text of at most {LONGEST_TEXT} signs")
    return value


def _number(name: str, value: Any) -> float | int:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise Wrong(f"{name}: {_shown(value)} is not a number")
    if isinstance(value, int) and abs(value) >= 10**300:
        raise Wrong(f"{name}: is too large")
    if not math.isfinite(value):
        raise Wrong(f"{name}: {value} is not a finite number")
    return value


def _whole(name: str, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Wrong(f"{name}: {_shown(value)} is not a whole number")
    if abs(value) >= 10**MOST_DIGITS:
        raise Wrong(f"{name}: is too large")
    return value


def _clock(name: str, value: Any) -> str:
    """As text: ingest reads it by the form and zone of the map."""
    if isinstance(value, datetime.datetime):
        return utc_text(value)
    if isinstance(value, str) and 0 < len(value) <= 64:
        return value
    number = _number(name, value)
    return format(Decimal(repr(number)), "f")


def _shown(value: Any) -> str:
    try:
        text = repr(value)
    except ValueError:  # whole numbers of very many digits are not printed
        return "a very long number"
    return text if len(text) <= 60 else text[:57] + "..."
