"""Open a number of a plan: its entry in the derivation and everything behind it."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkwright.planning.document import place_of
from linkwright.quantities import (
    InputErrors,
    Problem,
    UnknownName,
    significant,
    split,
    unit_text,
    value_text,
)

_MOST_BYTES = 64_000_000
_ENTRY = ("id", "name", "value", "unit", "kind", "source", "basis", "inputs", "warnings")
_KINDS = {
    "file": "file",
    "table": "table",
    "calculation": "by",
    "solved": "",
    "default": "default of",
    "choice": "",
    "bare": "",
}


@dataclass(frozen=True)
class Opened:
    """A number with the entries behind it; the first entry is the number itself."""

    number: str
    step: str
    entries: tuple[Mapping[str, Any], ...]

    def to_dict(self) -> dict[str, Any]:
        """As data: the number, its step and the entries, nearest first."""
        return {
            "schema_version": 1,
            "number": self.number,
            "step": self.step,
            "entries": [dict(entry) for entry in self.entries],
        }

    @property
    def sources(self) -> list[Mapping[str, Any]]:
        """Entries that rest on nothing else: lines of files, rows of tables, defaults."""
        return [entry for entry in self.entries if not entry["inputs"]]


def open_in_plan(name: str, number: str, line: str | None = None) -> Opened:
    """Open a number of a plan.json. Raises `InputErrors` for a file that is no plan."""
    return open_in_document(_read(name), number, line, name)


def open_in_document(
    document: Mapping[str, Any], number: str, line: str | None = None, file: str | None = None
) -> Opened:
    """Open ``name`` or ``operation.name`` in a plan document.

    Raises `UnknownName` with the nearest if no setting or finding has that name, `InputErrors`
    for a document that is no plan or not a whole one.
    """
    try:
        return _opened(document, number, line)
    except (KeyError, IndexError, TypeError, AttributeError):
        raise _no_plan(file) from None


def _opened(document: Mapping[str, Any], number: str, line: str | None) -> Opened:
    chosen = [one for one in document["lines"] if line in (None, one["id"])]
    if not chosen:
        raise UnknownName("line", line, [one["id"] for one in document["lines"]])
    known: dict[str, tuple[str, str | None]] = {}
    for step, name, entry in _numbers(chosen[0]):
        # the last step that states a number has the final word under its plain name
        known[name] = (step, entry)
        known[f"{step}.{name}"] = (step, entry)
    if number not in known or known[number][1] is None:
        raise UnknownName("number", number, [key for key, (_, ident) in known.items() if ident])
    step, ident = known[number]
    entries = {entry["id"]: entry for entry in chosen[0]["derivation"]}
    return Opened(number, step, tuple(_behind(entries, str(ident))))


def _numbers(line: Mapping[str, Any]) -> Iterator[tuple[str, str, str | None]]:
    for step in line["steps"]:
        for setting in step["settings"]:
            yield place_of(step), setting["name"], setting["entry"]
        for found in step["findings"]:
            yield place_of(step), found["subject"], found["entry"]
        for name, entry in step["use_entries"].items():
            yield place_of(step), name, entry


def _behind(entries: Mapping[str, Mapping[str, Any]], ident: str) -> list[Mapping[str, Any]]:
    seen: dict[str, Mapping[str, Any]] = {}
    waiting = [ident]
    while waiting:
        key = waiting.pop(0)
        if key not in seen:
            seen[key] = {name: entries[key][name] for name in _ENTRY}
            waiting.extend(reference for _, reference in entries[key]["inputs"])
    return list(seen.values())


def tree_text(opened: Opened, depth: int) -> str:
    """The derivation as an indented tree; an entry that was shown already is only named."""
    entries = {entry["id"]: entry for entry in opened.entries}
    shown: set[str] = set()
    lines: list[str] = []

    def add(ident: str, name: str, level: int) -> None:
        entry = entries[ident]
        again = ident in shown
        shown.add(ident)
        lines.append("  " * level + _entry_text(entry, name, again))
        if not again and level + 1 < depth:
            for warning in entry["warnings"]:
                lines.append("  " * (level + 1) + f"warning: {warning}")
            for argument, reference in entry["inputs"]:
                add(reference, argument, level + 1)

    add(opened.entries[0]["id"], opened.number, 0)
    return "\n".join(lines)


def _entry_text(entry: Mapping[str, Any], name: str, again: bool) -> str:
    value = entry["value"]
    # a result such as an aim takes the unit of the argument that it becomes
    unit = entry["unit"] or split(name.rpartition(".")[2])[1]
    if isinstance(value, (int, float)):
        shown = value_text(float(value), unit, 6)
    elif isinstance(value, list):
        shown = f"{_listed(value)} {unit_text(unit) if unit else ''}".strip()
    else:
        shown = str(value) if value is not None else "(values over the section)"
    if again:
        return f"{name} = {shown}  (above)"
    basis = f" ({entry['basis']})" if entry["basis"] not in ("", "published") else ""
    kind = _KINDS.get(entry["kind"], entry["kind"])
    made = entry["name"].partition(".")[0] if entry["kind"] == "calculation" else ""
    by = " ".join(part for part in (kind, made) if part)
    source = entry["source"]
    return f"{name} = {shown}  [{by + ': ' if by else ''}{source}{basis}]"


def _listed(values: list[Any]) -> str:
    """A list of numbers, or of lists of them, with as many digits as a reader can use."""
    shown = [_listed(one) if isinstance(one, list) else significant(one, 4) for one in values]
    return f"[{', '.join(shown)}]"


def _read(name: str) -> Mapping[str, Any]:
    raw = sys.stdin.buffer.read(_MOST_BYTES + 1) if name == "-" else Path(name).read_bytes()
    if len(raw) > _MOST_BYTES:
        raise _no_plan(name)
    try:
        document = json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError):
        raise _no_plan(name) from None
    if not isinstance(document, dict) or "lines" not in document or not document["lines"]:
        raise _no_plan(name)
    return document


def _no_plan(name: str | None) -> InputErrors:
    message = "is not a plan of this program, or not a whole one"
    return InputErrors([Problem("plan", message, file=name, accepted="plan.json")])
