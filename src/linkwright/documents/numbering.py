"""The derivation of a line, numbered for paper: [1], [2] ... in the order of the annex.

Offers `Numbering`: the reference of an entry, of a limit, and the annex in its parts. What
one calculation gave at one call stands together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

_PARTS = (
    ("file", "Lines of the order and of the works file"),
    ("table", "Rows of standards and published tables"),
    ("default", "Stated defaults of calculations"),
    ("choice", "Names chosen by the route"),
    ("bare", "Numbers whose source was not recorded"),
)
_MADE = "Calculations and solved settings, in the order of their making"


@dataclass(frozen=True)
class Group:
    """Entries that came out of one call, or a single entry."""

    entries: tuple[Mapping[str, Any], ...]

    @property
    def first(self) -> Mapping[str, Any]:
        """The entry whose source and inputs stand for all."""
        return self.entries[0]

    @property
    def calculation(self) -> str:
        """Name of the calculation, empty for anything else."""
        stem, point, _ = str(self.first["name"]).rpartition(".")
        return stem if point and self.first["kind"] == "calculation" else ""


@dataclass(frozen=True)
class Numbering:
    """Every entry of a derivation with its number.

    parts: (title, groups) in the order of the annex; number: by entry id.
    """

    parts: tuple[tuple[str, tuple[Group, ...]], ...]
    number: Mapping[str, int]
    entries: Mapping[str, Mapping[str, Any]]
    _limits: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def reference(self, entry: str | None) -> int | None:
        """The number of an entry, None if it was not recorded."""
        return self.number.get(entry) if entry else None

    def limit(self, source: str, side: str, subject: str) -> int | None:
        """The number of the row that gives a limit: ``side`` is least or greatest."""
        return self.reference(self._limits.get((source, f"{side}_{subject}")))

    def basis(self, source: str) -> str:
        """How the row with this source is known (``retrieved``, ``memory`` ...)."""
        return self._limits.get((source, ""), "")


def numbered(derivation: Iterable[Mapping[str, Any]]) -> Numbering:
    """Number the entries of a line's derivation."""
    entries = {str(entry["id"]): entry for entry in derivation}
    parts = []
    for kind, title in _PARTS:
        alone = tuple(Group((entry,)) for entry in entries.values() if entry["kind"] == kind)
        if alone:
            parts.append((title, alone))
    known = {kind for kind, _ in _PARTS}
    made = tuple(_calls(entry for entry in entries.values() if entry["kind"] not in known))
    if made:
        parts.append((_MADE, made))
    number: dict[str, int] = {}
    for _, groups in parts:
        for group in groups:
            for entry in group.entries:
                number[str(entry["id"])] = len(number) + 1
    return Numbering(tuple(parts), number, entries, _limits(entries))


def _calls(entries: Iterable[Mapping[str, Any]]) -> Iterable[Group]:
    """Neighbours with the same calculation, inputs and step are results of one call."""
    held: list[Mapping[str, Any]] = []
    held_key: tuple[Any, ...] = ()
    for entry in entries:
        stem = str(entry["id"]).rpartition(".")[0] or str(entry["id"])
        key = (stem, str(entry["id"]).partition("#")[2], entry["source"], entry["inputs"])
        if held and key != held_key:
            yield Group(tuple(held))
            held = []
        held.append(entry)
        held_key = key
    if held:
        yield Group(tuple(held))


def _limits(entries: Mapping[str, Mapping[str, Any]]) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for ident, entry in entries.items():
        if entry["kind"] in {"table", "file"}:
            found.setdefault((str(entry["source"]), str(entry["name"])), ident)
            if entry.get("basis"):
                found.setdefault((str(entry["source"]), ""), str(entry["basis"]))
    return found
