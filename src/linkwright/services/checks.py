"""The book of external checks as a use case: every row through the same door as a user.

Offers `check_book` (the shipped book, or a user's own), `check_row`, and their answers
`BookReport` and `CheckedRow`. A row agrees, differs, or is open: no calculation is named
or fits, or the one named is not there or does not know a key of the row. An open row is
listed and counted, never passed over.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

from linkwright.catalogue import Calculation
from linkwright.quantities import (
    ArgumentError,
    InputErrors,
    LinkwrightError,
    Problem,
    UnknownName,
    nearest,
)
from linkwright.services.calculations import Answer, evaluate, find_calculation, load_catalogue
from linkwright.services.carried import prepared
from linkwright.services.comparing import AGREES, DIFFERS, OPEN, Compared, compare
from linkwright.services.matching import fitting, lacking
from linkwright.services.naming import meaning
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.rows import LARGEST_BOOK, Row, read_book, read_book_file, shipped_rows

VERDICTS = (AGREES, DIFFERS, OPEN)
"""The verdicts of a row, in the order of their totals."""


@dataclass(frozen=True)
class CheckedRow:
    """One row with its verdict.

    ``matched`` says that the row named no calculation and this one was found to fit.
    ``reason`` says why a row is open, or why it differs without a comparison.
    """

    row: Row
    calculation: str | None
    matched: bool
    verdict: str
    compared: tuple[Compared, ...] = ()
    reason: str = ""
    warnings: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "id": self.row.id,
            "subject": self.row.subject,
            "source": self.row.source,
            "basis": self.row.basis,
            "calculation": self.calculation,
            "matched": self.matched,
            "verdict": self.verdict,
            "reason": self.reason,
            "compared": [item.to_dict() for item in self.compared],
            "warnings": list(self.warnings),
        }


@dataclass(frozen=True)
class BookReport:
    """All rows that were asked for, in the order of the book."""

    book: str
    rows: tuple[CheckedRow, ...]

    @property
    def totals(self) -> dict[str, int]:
        """How many rows agree, differ and are open."""
        return {verdict: sum(row.verdict == verdict for row in self.rows) for verdict in VERDICTS}

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION,
            "book": self.book,
            "totals": {**self.totals, "rows": len(self.rows)},
            "rows": [row.to_dict() for row in self.rows],
        }


def check_book(
    book: str | Path | None = None, pattern: str | None = None, *, only_open: bool = False
) -> BookReport:
    """Run the shipped book, or the file ``book`` ("-" is standard input).

    ``pattern`` chooses rows by id: with ``*`` or ``?`` as a pattern for the whole id, else
    as a part of it. ``only_open`` keeps the open rows alone. Raises `InputErrors` for a
    file that is wrong and for a pattern that no row fits.
    """
    name, rows = _rows_of(book)
    chosen = [row for row in rows if pattern is None or _fits(row.id, pattern)]
    if pattern is not None and not chosen:
        ids = [row.id for row in rows]
        accepted = ", ".join(nearest(pattern[:200], ids) or ids[:5])
        message = f"no row has an id like {pattern[:200]}"
        raise InputErrors([Problem("no-row", message, key="ID", accepted=accepted or None)])
    checked = tuple(check_row(row) for row in chosen)
    if only_open:
        checked = tuple(row for row in checked if row.verdict == OPEN)
    return BookReport(name, checked)


def check_row(row: Row, catalogue: Sequence[Calculation] | None = None) -> CheckedRow:
    """Run one row. ``catalogue`` is what an unnamed calculation is chosen from."""
    if row.calculation is not None:
        try:
            return _held(row, find_calculation(row.calculation), matched=False)
        except UnknownName as error:
            return CheckedRow(row, row.calculation, False, OPEN, reason=str(error))
    candidates = fitting(row, load_catalogue() if catalogue is None else catalogue, shipped_rows())
    if not candidates:
        reason = "no calculation takes all its inputs and gives all that it expects"
        return CheckedRow(row, None, False, OPEN, reason=reason)
    entry = _first_that_takes(row, candidates)
    missing = lacking(entry, row)
    if missing:
        reason = f"{entry.name} would fit, but needs {', '.join(sorted(missing))}"
        return CheckedRow(row, None, False, OPEN, reason=reason)
    return _held(row, entry, matched=True)


def _rows_of(book: str | Path | None) -> tuple[str, tuple[Row, ...]]:
    if book is None:
        return "shipped", shipped_rows()
    if str(book) == "-":
        return "-", read_book(sys.stdin.buffer.read(LARGEST_BOOK + 1), "-")
    return str(book), read_book_file(Path(book))


def _fits(ident: str, pattern: str) -> bool:
    if "*" in pattern or "?" in pattern:
        return fnmatchcase(ident, pattern)
    return pattern in ident


def _first_that_takes(row: Row, candidates: Iterable[Calculation]) -> Calculation:
    """The best candidate that has a value for the row's inputs (a table may lack a name)."""
    ranked = list(candidates)
    for entry in ranked:
        try:
            evaluate(entry, row.given())
        except (ArgumentError, InputErrors):
            continue
        return entry
    return ranked[0]


def _held(row: Row, entry: Calculation, *, matched: bool) -> CheckedRow:
    try:
        view, given = prepared(entry, row.given())
    except LinkwrightError as error:
        return CheckedRow(row, entry.name, matched, DIFFERS, reason=str(error))
    unknown = [key for key in given if meaning(key, view.arguments) is None]
    not_given = [key for key in row.expect if meaning(key, view.gives) is None]
    if unknown or not_given:
        parts = [f"{entry.name} does not take {key}" for key in unknown]
        parts += [f"{entry.name} does not give {key}" for key in not_given]
        return CheckedRow(row, entry.name, matched, OPEN, reason="; ".join(parts))
    try:
        answer = evaluate(entry, given)
        compared = tuple(_compared(row, answer, key) for key in row.expect)
    except LinkwrightError as error:
        return CheckedRow(row, entry.name, matched, DIFFERS, reason=str(error))
    verdict = AGREES if all(item.verdict == AGREES for item in compared) else DIFFERS
    return CheckedRow(row, entry.name, matched, verdict, compared, warnings=answer.warnings)


def _compared(row: Row, answer: Answer, key: str) -> Compared:
    return compare(key, row.expect[key], answer[key], row.rtol, row.atol)
