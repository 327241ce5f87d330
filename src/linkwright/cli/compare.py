"""`linkwright compare`: what changed between two plans, and which change moved the chance."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import InUnits, Json, NoColor, Screen, columns

if TYPE_CHECKING:
    from linkwright.services.comparing_plans import (
        Attribution,
        ChanceChange,
        Change,
        LineComparison,
        Moved,
        PlanComparison,
    )

EPILOG = """
Examples:

\b
  linkwright compare plan-a plan-b
  linkwright compare a/plan.json b/plan.json --order-a a.toml --order-b b.toml
  linkwright compare plan-a plan-b --by slopes --json

A and B are plan.json files or the folders that hold them. Where the order and works files of
both are at hand (named, in the plan's folder, or those of the demo), the line is planned again
with single changes taken over from B to A, which takes about two plans a change; else the
difference of the chance is shared out by the influence slopes of A. A plan shows a chance by
models; what it says of lifting chain holds only after the tests of its standard.
"""

_MOST_SHOWN = 12
_LEAST_SHOWN = 0.0005


class By(StrEnum):
    """How the difference of a chance is shared out."""

    plans = "plans"
    slopes = "slopes"


_A = Annotated[str, typer.Argument(metavar="A", help="plan.json or folder of the first plan.")]
_B = Annotated[str, typer.Argument(metavar="B", help="plan.json or folder of the second plan.")]
_OrderA = Annotated[str | None, typer.Option("--order-a", metavar="FILE", help="Order of A.")]
_OrderB = Annotated[str | None, typer.Option("--order-b", metavar="FILE", help="Order of B.")]
_WorksA = Annotated[str | None, typer.Option("--works-a", metavar="FILE", help="Works of A.")]
_WorksB = Annotated[str | None, typer.Option("--works-b", metavar="FILE", help="Works of B.")]
_By = Annotated[
    By | None, typer.Option("--by", help="Plan again, or use slopes; by default what can be done.")
]


def compare(
    a: _A,
    b: _B,
    order_a: _OrderA = None,
    works_a: _WorksA = None,
    order_b: _OrderB = None,
    works_b: _WorksB = None,
    by: _By = None,
    json: Json = False,
    units: InUnits = None,
    no_color: NoColor = False,
) -> None:
    """Compare two plans: what changed, and which change moved the chance."""
    from linkwright.services.comparing_plans import Files, compare_plans  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    made = compare_plans(
        a,
        b,
        files_a=Files(order_a, works_a),
        files_b=Files(order_b, works_b),
        way=by.value if by else None,
        progress=_progress if sys.stderr.isatty() else None,
    )
    if json:
        screen.data(made.to_dict())
        return
    for text in told(made, units.value if units else None):
        screen.result(text)


def _progress(done: int, of: int) -> None:
    end = "\n" if done == of else ""
    print(f"\rplanning again: {done} of {of}", end=end, file=sys.stderr, flush=True)


def told(made: PlanComparison, units: str | None) -> list[str]:
    """The comparison for people."""
    one = made.comparison
    names = ", ".join(change.name for change in one.hashes)
    texts = [f"Differs: {names}" if names else "Order, works, tables and factors are the same"]
    texts += [f"{change.name}: {change.a} -> {change.b}" for change in one.members]
    for name, idents in (("A", one.only_a), ("B", one.only_b)):
        if idents:
            texts.append(f"Only in {name}: line {', '.join(idents)}")
    for line in one.lines:
        texts += _line(line, made.attributions[line.id], units)
    return texts


def _line(line: LineComparison, attribution: Attribution, units: str | None) -> list[str]:
    texts = [f"\nLine {line.id}: {line.verdict_a} -> {line.verdict_b}"]
    tables: list[tuple[str, list[tuple[str, str]]]] = [
        ("Chance that a lot passes", [_chance(row) for row in line.chances if _moved(row)]),
        ("What moved it", _moves(attribution.changes)),
        ("Input", [_value(row, units) for row in line.inputs]),
        ("Factors of the models", [_value(row, units) for row in line.factors]),
        ("Settings", [_value(row, units) for row in line.settings]),
        ("Findings", [_value(row, units) for row in _foremost(line.findings)]),
        ("Time, energy, cost", [_value(row, units) for row in line.totals]),
    ]
    for title, rows in tables:
        if rows:
            texts += [f"\n{title}", columns(rows)]
        if title == "What moved it" and rows:
            texts.append(f"  ({attribution.method})")
    if not any(rows for _, rows in tables[1:]):
        texts.append("\nNothing changed")
    hidden = len(line.findings) - len(_foremost(line.findings))
    if hidden:
        texts.append(f"\n{hidden} more findings moved by less; --json gives all")
    return texts


def _moved(row: ChanceChange) -> bool:
    difference = row.difference
    return difference is None or abs(difference) >= _LEAST_SHOWN or row.subject.startswith("all ")


def _chance(row: ChanceChange) -> tuple[str, str]:
    if row.a is None or row.b is None or row.difference is None:
        return _plain(row.subject), f"{_percent(row.a)} -> {_percent(row.b)}"
    error = f" (sampling error at most {100 * row.error:.1f})" if row.error is not None else ""
    text = f"{_percent(row.a)} -> {_percent(row.b)}, {100 * row.difference:+.1f} points{error}"
    return _plain(row.subject), text


def _moves(changes: Sequence[Moved]) -> list[tuple[str, str]]:
    """Largest first; what moved nothing visible is left out."""
    shown = [(one, _foremost_move(one.moves)) for one in changes]
    shown = [(one, move) for one, move in shown if abs(move[1]) >= _LEAST_SHOWN]
    shown.sort(key=lambda pair: -abs(pair[1][1]))
    rows = []
    for one, (subject, move) in shown[:_MOST_SHOWN]:
        step = f"{_short(one.a)} -> {_short(one.b)}" if one.a != one.b else ""
        of = "" if subject.startswith("all ") else f" of {_plain(subject)}"
        rows.append((_plain(one.name), f"{100 * move:+.1f} points{of}  {step}".rstrip()))
    return rows


def _foremost_move(moves: Mapping[str, float]) -> tuple[str, float]:
    """The move of all requirements together; where that is none, the largest of one."""
    everything = [(subject, move) for subject, move in moves.items() if subject.startswith("all ")]
    if everything and abs(everything[0][1]) >= _LEAST_SHOWN:
        return everything[0]
    return max(moves.items(), key=lambda pair: abs(pair[1]), default=("", 0.0))


def _foremost(rows: Sequence[Change]) -> list[Change]:
    """Findings whose verdict changed, then those that moved most for their size."""

    def rank(row: Change) -> tuple[bool, float]:
        size = max(abs(row.a or 0.0), abs(row.b or 0.0), 1e-300)
        return row.word_a == row.word_b, -abs((row.difference or 0.0) / size)

    return sorted(rows, key=rank)[:_MOST_SHOWN]


def _value(row: Change, units: str | None) -> tuple[str, str]:
    words = ""
    if row.word_a != row.word_b:
        words = f"  ({row.word_a or 'none'} -> {row.word_b or 'none'})"
    where = f"{row.where}: " if row.where else ""
    return (
        f"{where}{_plain(row.name)}",
        f"{_shown(row.name, row.a, units)} -> {_shown(row.name, row.b, units)}{words}",
    )


def _shown(name: str, value: Any, units: str | None) -> str:
    from linkwright.quantities import value_text  # noqa: PLC0415
    from linkwright.quantities.unit_systems import shown_in  # noqa: PLC0415

    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return "none" if value is None else str(value)
    shown, unit = shown_in(units, name, value)
    return value_text(shown, unit, 6)


def _short(value: Any) -> str:
    from linkwright.quantities import significant  # noqa: PLC0415

    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return significant(float(value), 6)
    return "none" if value is None else str(value)


def _percent(share: float | None) -> str:
    return "none" if share is None else f"{100 * share:.1f} %"


def _plain(name: str) -> str:
    from linkwright.quantities import split  # noqa: PLC0415

    head, _, last = name.rpartition(" ")
    stem = split(last)[0]
    words = stem if "/" in stem or "." in stem else stem.replace("_", " ")
    return f"{head} {words}".strip()
