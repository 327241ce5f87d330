"""The map by which ingest takes in what was collected: one [[file]] for each reading."""

from __future__ import annotations

import json

from linkwright.link_data.live.collect_file import Collecting, Reading

SIGN = "@"
"""Stands between a reading's name and the time in the names of its files."""


def map_text(collecting: Collecting) -> str:
    """The text of the map file."""
    head = [
        "# Written by linkwright collect; it is written anew at every start.",
        "# To add bounds, copy it and give the copy to linkwright ingest.",
        "format = 1",
    ]
    return "\n".join([*head, *(_file(one) for one in collecting.readings)]) + "\n"


def _file(reading: Reading) -> str:
    lines = ["", "[[file]]", f"pattern = {_text(f'{reading.name}{SIGN}*.jsonl')}",
             f"kind = {_text(reading.kind.name)}", 'form = "jsonl"']  # fmt: skip
    if reading.zone != "UTC":
        lines += [f"zone = {_text(reading.zone)}"]
    if reading.repeated_hour != "refuse":
        lines += [f"repeated_hour = {_text(reading.repeated_hour)}"]
    lines += _column("machine", "machine")
    named = {one.column.name for one in reading.columns}
    if "clock" not in named:
        lines += _column("clock", "clock")
    for one in reading.columns:
        lines += _column(one.column.name, one.key)
        if one.unit != one.column.unit:
            lines += [f"unit = {_text(one.unit)}"]
        if one.column.form == "clock" and one.form != "iso":
            lines += [f"form = {_text(one.form)}"]
    return "\n".join(lines)


def _column(name: str, key: str) -> list[str]:
    return ["", "[[file.column]]", f"name = {_text(name)}", f"from = {_text(key)}"]


def _text(text: str) -> str:
    return json.dumps(text)
