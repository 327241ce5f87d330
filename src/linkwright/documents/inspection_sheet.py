"""The inspection plan: lots, samples, tests, limits with their clause, room for results.

Offers `inspection_sheet`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from linkwright.documents.display import Display
from linkwright.documents.numbering import Numbering
from linkwright.documents.words import plain_text, source_text, words
from linkwright.planning.document import place_of

_BASIS = {
    "retrieved": "",
    "published": "",
    "memory": "",
    "common practice": "common practice, no source",
}
_MOST_LOT_COLUMNS = 4
_OUR_ROW = re.compile(r", row [^,;()]*$")


def inspection_sheet(
    line: Mapping[str, Any], numbers: Numbering, display: Display
) -> dict[str, Any]:
    """The plan of tests of one line."""
    plan = line["inspection"]
    lots = int(plan["lots"]) if plan.get("lots") else None
    tests = [_test(row, numbers, display) for row in plan["requirements"]]
    clauses = [_clause(row) for row in plan.get("clauses", ())]
    return {
        "lots": lots,
        "columns": min(lots, _MOST_LOT_COLUMNS) if lots else 1,
        "length": display.text("length_m", line.get("length_m")),
        "operations": [
            place_of(step)
            for step in line["steps"]
            if str(step["operation"]).endswith("inspection")
        ],
        "tests": tests,
        "clauses": clauses,
        "open": [plain_text(text) for text in plan.get("open", ())],
        "memory": any(row["memory"] for row in [*tests, *clauses]),
    }


def _test(row: Mapping[str, Any], numbers: Numbering, display: Display) -> dict[str, Any]:
    sides = [numbers.limit(row["source"], side, row["subject"]) for side in ("least", "greatest")]
    basis = numbers.basis(row["source"])
    return {
        "name": words(row["subject"]),
        "how": plain_text(row["how"]),
        "pieces": display.text("pieces", row["pieces"], 6),
        "limit": display.limits(row["subject"], row["least"], row["greatest"]),
        "source": source_text(row["source"]),
        "basis": _basis(basis),
        "memory": basis == "memory",
        "refs": [number for number in sides if number],
    }


def _clause(row: Mapping[str, Any]) -> dict[str, Any]:
    source, basis = source_text(_OUR_ROW.sub("", str(row["source"]))), _basis(row["basis"])
    if source in ("", basis):
        source, basis = basis, ""  # nothing but how it is known
    return {
        "subject": plain_text(row["subject"]),
        "text": source_text(row["text"]),
        "source": source,
        "basis": basis,
        "memory": row["basis"] == "memory",
    }


def _basis(basis: str) -> str:
    return _BASIS.get(basis, plain_text(basis))
