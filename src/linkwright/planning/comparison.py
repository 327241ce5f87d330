"""Comparison of two plans: what changed from A to B.

Pure functions on two plan documents (the content of plan.json). `compared` gives a
`Comparison`: hashes, members, and line by line of the order inputs, factors, settings,
findings, chances and totals that differ. `paired` and the tables `settings_of`,
`factors_of`, `file_inputs` put values of both plans side by side. Which change moved the
chance is worked out in `attribution`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from linkwright.planning.document import place_of
from linkwright.quantities import split

ALL = "all requirements together"
"""Name of the chance that a lot meets every requirement."""
_SAME = 1e-9
_PLACE = re.compile(r"^.+?:\d+(?: (\[.+?\]+) .+)?$")


@dataclass(frozen=True, slots=True)
class Change:
    """One value that differs; None where a plan has none. word: how it came, or a verdict."""

    where: str
    name: str
    a: Any
    b: Any
    word_a: str = ""
    word_b: str = ""

    @property
    def difference(self) -> float | None:
        """B less A, for two numbers."""
        return self.b - self.a if is_number(self.a) and is_number(self.b) else None

    def to_dict(self) -> dict[str, Any]:
        """As data, with the unit of the name and the difference."""
        unit = split(self.name.rsplit(".", 1)[-1])[1]
        return {**asdict(self), "unit": unit, "difference": self.difference}


@dataclass(frozen=True, slots=True)
class ChanceChange:
    """A chance in both plans. error: standard error of the difference by sampling, at most."""

    subject: str
    a: float | None
    b: float | None
    error: float | None

    @property
    def difference(self) -> float | None:
        """B less A."""
        return None if self.a is None or self.b is None else self.b - self.a

    def to_dict(self) -> dict[str, Any]:
        """As data, with the difference."""
        return {**asdict(self), "difference": self.difference}


@dataclass(frozen=True, slots=True)
class LineComparison:
    """What changed in one line of the order; ``chances`` begin with all requirements."""

    id: str
    verdict_a: str
    verdict_b: str
    inputs: tuple[Change, ...]
    factors: tuple[Change, ...]
    settings: tuple[Change, ...]
    findings: tuple[Change, ...]
    chances: tuple[ChanceChange, ...]
    totals: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """What changed between two plans; a hash that differs is a change named by it."""

    hashes: tuple[Change, ...]
    members: tuple[Change, ...]
    lines: tuple[LineComparison, ...]
    only_a: tuple[str, ...]
    only_b: tuple[str, ...]


def compared(a: Mapping[str, Any], b: Mapping[str, Any]) -> Comparison:
    """Compare two plan documents, line by line of the order."""
    hashes = [("hash", name, a["hashes"].get(name), b["hashes"].get(name))
              for name in _union(a["hashes"], b["hashes"])]  # fmt: skip
    hashes.append(("program", "version", a["program"]["version"], b["program"]["version"]))
    members = [("members", name, a["members"].get(name), b["members"].get(name))
               for name in _union(a["members"], b["members"])]  # fmt: skip
    members.append(("members", "seed", a["seed"], b["seed"]))
    lines_a, lines_b = ({line["id"]: line for line in one["lines"]} for one in (a, b))
    heads = _changes(_flat("order", a["order"], b["order"]))
    return Comparison(
        hashes=_changes(hashes),
        members=_changes(members),
        lines=tuple(
            _line(line, lines_b[ident], heads)
            for ident, line in lines_a.items()
            if ident in lines_b
        ),
        only_a=tuple(ident for ident in lines_a if ident not in lines_b),
        only_b=tuple(ident for ident in lines_b if ident not in lines_a),
    )


def _line(a: Mapping[str, Any], b: Mapping[str, Any], heads: tuple[Change, ...]) -> LineComparison:
    named = ("product", "standard", "grade", "chain_type", "size", "treatment")
    texts = [("order line", name, a.get(name), b.get(name)) for name in named]
    texts += [
        ("steel", name, a["steel"].get(name), b["steel"].get(name))
        for name in ("name", "grade", "heat", "analysis_kind")
    ]
    return LineComparison(
        id=a["id"],
        verdict_a=a["verdict"],
        verdict_b=b["verdict"],
        inputs=(*heads, *_changes(texts), *_changes(paired(file_inputs(a), file_inputs(b)))),
        factors=_changes(paired(factors_of(a), factors_of(b))),
        settings=_changes(paired(settings_of(a), settings_of(b))),
        findings=_changes(paired(_findings(a), _findings(b))),
        chances=chances_of(a["chance"], b["chance"]),
        totals=_changes(_flat("totals", a["totals"], b["totals"])),
    )


Values = dict[tuple[str, str], tuple[Any, str]]
"""(where, name) to value and word."""


def file_inputs(line: Mapping[str, Any]) -> Values:
    """Numbers of the order, works and lot file that the line's plan rests on.

    A number is known by the table it stands in, its name, and the operation that uses it
    first; not by file name or line number, which change when a file is edited.
    """
    users = _users(line)
    found: Values = {}
    for entry in line["derivation"]:
        if entry["kind"] != "file" or entry["name"].startswith("factor/"):
            continue
        place = _PLACE.match(entry["source"])
        header = (place.group(1) if place else None) or ""
        where = " ".join(part for part in (header, users.get(entry["id"], "")) if part)
        key, count = (where, entry["name"]), 1
        while key in found:
            count += 1
            key = (f"{where} ({count})", entry["name"])
        found[key] = (entry["value"], "")
    return found


def _users(line: Mapping[str, Any]) -> dict[str | None, str]:
    """The operation that uses an entry first, by the entry's id."""
    users: dict[str | None, str] = {}
    for step in line["steps"]:
        for setting in step["settings"]:
            users.setdefault(setting["entry"], place_of(step))
    for entry in line["derivation"]:
        # what was made at a place is called branch/operation/name
        parts = entry["id"].split("/")
        if len(parts) > 2:
            for _, reference in entry["inputs"]:
                users.setdefault(reference, parts[1])
    for step in line["steps"]:
        for found in step["findings"]:
            for limit in ("least_entry", "greatest_entry"):
                users.setdefault(found.get(limit), place_of(step))
    return users


def factors_of(line: Mapping[str, Any]) -> Values:
    """Median and spread of the factors of the models."""
    rows = line.get("factors", [])
    return {(row["name"], part): (row[part], "") for row in rows for part in ("median", "spread")}


def settings_of(line: Mapping[str, Any]) -> Values:
    """Settings by operation, with how each came about."""
    return {
        (place_of(step), setting["name"]): (_words_or_number(setting), setting["how"])
        for step in line["steps"]
        for setting in step["settings"]
    }


def _words_or_number(setting: Mapping[str, Any]) -> Any:
    return setting["value"] if setting.get("text") is None else setting["text"]


def _findings(line: Mapping[str, Any]) -> Values:
    return {
        (place_of(step), found["subject"]): (found["value"], found["verdict"])
        for step in line["steps"]
        for found in step["findings"]
    }


def chances_of(a: Mapping[str, Any], b: Mapping[str, Any]) -> tuple[ChanceChange, ...]:
    """All chances of two lines, that of all requirements together first."""

    def table(chance: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
        parts = {part["subject"]: (part["chance"], part["error"]) for part in chance["parts"]}
        return {ALL: (chance["value"], chance["error"]), **parts}

    in_a, in_b = table(a), table(b)
    rows = []
    for subject in _union(in_a, in_b):
        one, other = in_a.get(subject), in_b.get(subject)
        error = math.hypot(one[1], other[1]) if one and other else None
        rows.append(
            ChanceChange(subject, one[0] if one else None, other[0] if other else None, error)
        )
    return tuple(rows)


def paired(a: Values, b: Values) -> list[tuple[str, str, Any, Any, str, str]]:
    """Values of both plans side by side, in the order of A, then what only B has."""
    none = (None, "")
    rows = []
    for where, name in _union(a, b):
        (old, word_a), (new, word_b) = a.get((where, name), none), b.get((where, name), none)
        rows.append((where, name, old, new, word_a, word_b))
    return rows


def _flat(
    where: str, a: Mapping[str, Any], b: Mapping[str, Any]
) -> list[tuple[str, str, Any, Any]]:
    return [(where, name, a.get(name), b.get(name)) for name in _union(a, b)]


def _changes(rows: Iterable[tuple[Any, ...]]) -> tuple[Change, ...]:
    changes = [Change(*row) for row in rows]
    return tuple(one for one in changes if differ(one.a, one.b) or one.word_a != one.word_b)


def _union(a: Iterable[Any], b: Iterable[Any]) -> list[Any]:
    return list(dict.fromkeys([*a, *b]))


def is_number(value: Any) -> bool:
    """Whether a value of a document is a number."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def differ(a: Any, b: Any) -> bool:
    """Whether two values differ by more than rounding."""
    if is_number(a) and is_number(b):
        return bool(abs(a - b) > _SAME * max(abs(a), abs(b)))
    return bool(a != b)
