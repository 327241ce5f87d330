"""`linkwright checks`: hold the program against published values, row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import Json, NoColor, Screen, number_text, values_text
from linkwright.quantities import split

if TYPE_CHECKING:
    from linkwright.services.checks import BookReport, CheckedRow
    from linkwright.services.comparing import Compared

EPILOG = """
Examples:

\b
  linkwright checks
  linkwright checks hollomon
  linkwright checks --open
  linkwright checks --book my-rows.toml --json

A book is a TOML file of [[case]] tables with id, source, inputs, expect and rtol or atol. A
row that names no calculation is given to the one that takes all its inputs and gives all
that it expects. The exit code is 1 if a row differs.
"""
_COLOURS = {"agrees": "green", "differs": "red", "open": "yellow"}


def checks(
    pattern: Annotated[
        str | None,
        typer.Argument(
            metavar="ID", help="A part of the id of the rows, or a pattern with * or ?."
        ),
    ] = None,
    book: Annotated[
        str | None,
        typer.Option("--book", metavar="FILE", help="Rows of your own; - is standard input."),
    ] = None,
    only_open: Annotated[
        bool, typer.Option("--open", help="Only rows that no calculation answers yet.")
    ] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Hold the program against published values, each with its source."""
    from linkwright.services.checks import check_book  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    report = check_book(book, pattern, only_open=only_open)
    if json:
        screen.data(report.to_dict())
    else:
        for row in report.rows:
            screen.result(_row(screen, row))
        screen.result(_totals(report))
    return 1 if report.totals["differs"] else 0


def _row(screen: Screen, checked: CheckedRow) -> str:
    matched = " (found to fit)" if checked.matched else ""
    basis = f" ({checked.row.basis})" if checked.row.basis else ""
    lines = [
        f"{checked.row.id}: {screen.paint(checked.verdict, _COLOURS[checked.verdict])}",
        f"  source: {checked.row.source}{basis}",
    ]
    if checked.calculation:
        lines.append(f"  calculation: {checked.calculation}{matched}")
    if checked.reason:
        lines.append(f"  reason: {checked.reason}")
    lines += [f"  {_compared(item)}" for item in checked.compared]
    lines += [f"  warning: {warning}" for warning in checked.warnings]
    return "\n".join(lines)


def _compared(item: Compared) -> str:
    stem, unit = split(item.quantity)
    if item.reason:
        return f"{stem}: {item.reason}: {item.verdict}"
    expected, obtained, place = item.expected, item.obtained, ""
    if item.worst is not None:
        expected, obtained = _element(expected, item.worst), _element(obtained, item.worst)
        place = f" (value {item.worst + 1}, nearest to its limit)"
    line = f"{stem}{place}: expected {values_text(expected, unit)}"
    line += f", obtained {values_text(obtained, unit)}"
    if item.deviation is not None and item.allowed is not None:
        line += f", deviation {_size(item.deviation, item, unit)}"
        line += f", allowed {_size(item.allowed, item, unit)}"
    return f"{line}: {item.verdict}"


def _size(value: float, item: Compared, unit: str) -> str:
    if item.measure == "relative":
        return f"{value * 100:.3g} %"
    return number_text(float(f"{value:.3g}"), unit)


def _element(values: Any, index: int) -> Any:
    """The value at a running number in a list, nested or not; a single value as it is."""
    if hasattr(values, "tolist"):
        values = values.tolist()
    if not isinstance(values, (list, tuple)):
        return values
    while values and isinstance(values[0], (list, tuple)):
        values = [item for row in values for item in row]
    return values[index] if len(values) > 1 else values[0]


def _totals(report: BookReport) -> str:
    counts = report.totals
    count = len(report.rows)
    return (
        f"{counts['agrees']} agree, {counts['differs']} differ, {counts['open']} open,"
        f" of {count} row{'' if count == 1 else 's'}"
    )
