"""The annex: every number of the papers opens, down to a line of a file or a row of a table.

Offers `annex`, the numbered derivation as texts ready to be set.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.numbering import Group, Numbering
from linkwright.documents.words import derived_name, plain_text, source_text, words

_BASIS = {"memory": "from memory", "common practice": "common practice, no source"}


def annex(numbers: Numbering, display: Display) -> list[dict[str, Any]]:
    """The parts of the annex in order, each with its groups."""
    return [
        {
            "title": title,
            "made": any(group.first["inputs"] or group.calculation for group in groups),
            "groups": [_group(group, numbers, display) for group in groups],
        }
        for title, groups in numbers.parts
    ]


def _group(group: Group, numbers: Numbering, display: Display) -> dict[str, Any]:
    first = group.first
    basis = str(first.get("basis", ""))
    return {
        "calculation": group.calculation,
        "step": _step(str(first["id"])) if first["inputs"] else "",
        "source": source_text(first["source"]),
        "basis": _BASIS.get(basis, ""),
        "results": [
            {
                "number": numbers.number[str(entry["id"])],
                "name": derived_name(str(entry["name"])),
                "value": _value(entry, display),
            }
            for entry in group.entries
        ],
        "inputs": [
            {
                "name": words(name),
                "value": _value(numbers.entries[ident], display),
                "ref": numbers.number[ident],
            }
            for name, ident in first["inputs"]
            if ident in numbers.entries
        ],
        "warnings": warnings_in_words(group),
    }


def warnings_in_words(group: Group) -> list[str]:
    """Warnings of validity of one call, each once, the argument in words."""
    found = dict.fromkeys(str(text) for entry in group.entries for text in entry["warnings"])
    return [_warning(text) for text in found]


def _warning(text: str) -> str:
    name, equals, rest = text.partition(" = ")
    return plain_text(f"{words(name)} {rest}" if equals and name.isidentifier() else text)


def _flat(values: list[Any]) -> list[float]:
    """All numbers of a list of lists."""
    found: list[float] = []
    for value in values:
        found += _flat(value) if isinstance(value, list) else [float(value)]
    return found


def _value(entry: Mapping[str, Any], display: Display) -> str:
    """The value with its unit; a name by itself; words where a whole field was computed."""
    value = entry["value"]
    name = str(entry["name"]).rpartition(".")[2]
    if isinstance(value, str):
        return "" if "=" in str(entry["name"]) else plain_text(value)
    if isinstance(value, list):
        flat = _flat(value)
        return (
            f"{display.text(name, min(flat))} to {display.text(name, max(flat))} over the section"
        )
    if value is None:
        return "values over the section or the zones"
    return display.text(name, value)


def _step(ident: str) -> str:
    """The operation in which an entry was made, from its id ``branch/operation/name``."""
    parts = ident.split("/")
    return parts[1] if len(parts) == 3 else ""
