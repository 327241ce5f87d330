"""Trial: the book of external checks, counted by file."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from measured import Figure

from linkwright.services.checks import VERDICTS, check_row
from linkwright.services.rows import shipped_rows
from trials.outcome import Counts, Listing, Outcome


def run(counts: Counts, _: Path) -> Outcome:
    """Every row through the same door as a user's calculation."""
    rows = shipped_rows()[: counts.rows or None]
    checked = [check_row(row) for row in rows]
    totals = Counter(one.verdict for one in checked)
    files = sorted({row.file for row in rows})
    listing = Listing(
        "Rows by file",
        ("file", "rows", *VERDICTS),
        tuple(
            (
                file,
                str(sum(one.row.file == file for one in checked)),
                *(
                    str(sum(one.row.file == file and one.verdict == verdict for one in checked))
                    for verdict in VERDICTS
                ),
            )
            for file in files
        ),
    )
    bases = Counter(row.basis for row in rows)
    figures = (
        Figure("rows of the book", len(rows)),
        Figure("rows that agree", totals["agrees"], least=len(rows)),
        Figure("rows that differ", totals["differs"], greatest=0),
        Figure("rows left open", totals["open"], greatest=0),
        Figure("calculations exercised", len({one.calculation for one in checked})),
    )
    based = "Basis of the expected values: " + ", ".join(
        f"{basis or 'not stated'} {count}" for basis, count in sorted(bases.items())
    )
    unmet = [
        f"{one.row.id} {one.verdict}: {one.reason or 'outside its tolerance'}"
        for one in checked
        if one.verdict != "agrees"
    ]
    return Outcome(figures, (listing,), (based, *unmet[:20]))
