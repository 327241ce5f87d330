"""`linkwright chart`: readings of a file against control limits."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.pass_phrase import ask_pass_phrase
from linkwright.cli.show import Json, NoColor, Screen, columns, number_text
from linkwright.quantities import ArgumentError

if TYPE_CHECKING:
    from linkwright.services.control_charts import ChartAnswer
    from linkwright.services.link_charts import LinkChartAnswer, LinkChartRequest
    from linkwright.services.noted_signals import ChartInBooks

EPILOG = """
Examples:

\b
  linkwright chart weld.csv --column energy_kJ --out weld.svg
  linkwright chart weld.csv --column energy_kJ --baseline 25 --freeze weld.limits.json
  linkwright chart today.csv --column energy_kJ --limits weld.limits.json --rules 1-8 --json
  linkwright chart pitch.csv --column pitch_mm --kind xbar-r --subgroup 5 --out pitch.svg
  linkwright chart links --of weld --machine W01 --column weld_energy_J --subgroup 5 --kind xbar-r
  linkwright chart links --of weld --machine W01 --column weld_energy_J --books q.books --as cleo
  linkwright chart links --of weld --machine W01 --column weld_energy_J --kind p --least 25100
  linkwright chart visual.csv --column rejected --size looked_at --kind p

A file is CSV: comma, semicolon or tab, decimal point or comma, a head or none. Limits come from
the first points (--baseline, else all) or from a frozen file; freezing over old limits gives the
next version and keeps those before. Every signal asks for a cause and an action: --causes names
a CSV file with the columns point, cause and action.
"""
_MOST_TOLD = 30


class Kind(StrEnum):
    """The kinds of chart."""

    individuals = "individuals"
    xbar_r = "xbar-r"
    xbar_s = "xbar-s"
    ewma = "ewma"
    cusum = "cusum"
    p = "p"
    np = "np"
    c = "c"
    u = "u"
    t2 = "t2"


def _option(name: str, metavar: str, said: str) -> Any:
    return typer.Option(name, metavar=metavar, help=said)


def chart(
    file: Annotated[
        Path, typer.Argument(metavar="FILE|FOLDER", help="CSV file, or a folder of link data.")
    ],
    column: Annotated[
        list[str] | None, _option("--column", "NAME", "Head or number of a column. Repeatable.")
    ] = None,
    kind: Annotated[Kind, typer.Option("--kind", help="Kind of chart.")] = Kind.individuals,
    subgroup: Annotated[
        int | None, _option("--subgroup", "N", "So many readings in a row make a point.")
    ] = None,
    size: Annotated[
        str | None, _option("--size", "NAME|N", "Pieces looked at: a column, or one number.")
    ] = None,
    of: Annotated[
        str | None, _option("--of", "NAME", "Kind of reading in link data, such as weld.")
    ] = None,
    machine: Annotated[str | None, _option("--machine", "NAME", "Machine in link data.")] = None,
    since: Annotated[
        datetime | None, _option("--since", "TIME", "Readings from then on, by UTC.")
    ] = None,
    until: Annotated[datetime | None, _option("--until", "TIME", "Readings before, UTC.")] = None,
    least: Annotated[
        float | None,
        _option("--least", "X", "Link data: readings below are counted (p, np, c, u)."),
    ] = None,
    greatest: Annotated[
        float | None, _option("--greatest", "X", "Link data: readings above are counted.")
    ] = None,
    baseline: Annotated[
        int | None, _option("--baseline", "N", "Points that set the limits; all if left out.")
    ] = None,
    rules: Annotated[
        str, _option("--rules", "LIST", "Run rules that are watched, such as 1-4,7.")
    ] = "1-4",
    target: Annotated[
        float | None, _option("--target", "X", "Centre, in the unit of the column.")
    ] = None,
    sigma: Annotated[
        float | None, _option("--sigma", "X", "Of a reading, instead of estimated.")
    ] = None,
    limits: Annotated[Path | None, _option("--limits", "FILE", "Frozen limits to use.")] = None,
    freeze: Annotated[Path | None, _option("--freeze", "FILE", "Write the limits here.")] = None,
    causes: Annotated[
        Path | None, _option("--causes", "FILE", "CSV of point, cause and action.")
    ] = None,
    out: Annotated[Path | None, _option("--out", "FILE", "Write the picture here (SVG).")] = None,
    title: Annotated[str | None, _option("--title", "TEXT", "Of the picture.")] = None,
    must_hold: Annotated[
        bool, typer.Option("--must-hold", help="Exit code 1 if a signal has no cause or action.")
    ] = False,
    books: Annotated[
        str | None,
        _option("--books", "BOOKS", "Hold link data against limits in the books, note signals."),
    ] = None,
    person: Annotated[str | None, _option("--as", "PERSON", "Who notes them.")] = None,
    why: Annotated[str, _option("--why", "TEXT", "The reason.")] = "charted",
    pass_phrase: Annotated[
        Path | None, _option("--pass-phrase", "FILE", "File whose first line is it.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that exist.")] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Chart readings against control limits, with run rules, limits frozen and numbered."""
    from linkwright.services.control_charts import (  # noqa: PLC0415
        ChartRequest,
        Options,
        chart_of_file,
    )

    if sigma is not None and sigma <= 0:
        raise ArgumentError("sigma", sigma, "", "more than 0")
    request = ChartRequest(
        file, kind.value, tuple(column or ()), subgroup, size, baseline, _rules(rules),
        Options(target=target, sigma=sigma), limits, freeze, causes, out, title, force,
    )  # fmt: skip
    screen = Screen(no_color=no_color)
    if of is None:
        if any(one is not None for one in (machine, since, until, least, greatest)):
            raise ArgumentError(
                "of", "", "", "weld, harden, ... with machine and time", "is needed"
            )
        made = chart_of_file(request)
        screen.data(made.to_dict()) if json else screen.result("\n".join(_told(made)))
    else:
        from linkwright.services.link_charts import (  # noqa: PLC0415
            LinkChartRequest,
            chart_of_links,
        )

        times = [None if one is None else one.replace(tzinfo=UTC) for one in (since, until)]
        asked = LinkChartRequest(request, of, machine, times[0], times[1], least, greatest)
        if books is None:
            found = chart_of_links(asked)
            noted, data = [], found.to_dict()
        else:
            held = _in_books(asked, books, person, why, pass_phrase)
            found, data = held.chart, held.to_dict()
            noted = [f"limits {held.limits}, version {held.limits_version}, in the books;"
                     f" {len(held.noted)} signals noted now"]  # fmt: skip
        made = found.chart
        told = [*_told(made), *_links(found), *noted]
        screen.data(data) if json else screen.result("\n".join(told))
    for note in made.notes:
        screen.note(f"note: {note}")
    return 1 if must_hold and made.unanswered else 0


def _in_books(
    asked: LinkChartRequest, books: str, person: str | None, why: str, file: Path | None
) -> ChartInBooks:
    from linkwright.services.books import opened  # noqa: PLC0415
    from linkwright.services.noted_signals import chart_in_books  # noqa: PLC0415

    if person is None:
        raise ArgumentError("as", "", "", "--as PERSON with --books", "is needed")
    with opened(books) as store:
        return chart_in_books(asked, store, person, ask_pass_phrase(file, person), why=why)


def _links(found: LinkChartAnswer) -> list[str]:
    """Which links the points are that stand out."""
    lines = [f"links of {found.kind}, machine {found.machine}:"] if found.links else []
    for one in found.links[:_MOST_TOLD]:
        place = "" if one.strand is None else f", strand {one.strand}"
        if one.first_position is not None:
            place += f" link {one.first_position} to {one.last_position}"
        count = f"counter {one.first_counter} to {one.last_counter}"
        lines.append(f"  point {one.point}: {count}, {one.first_clock}{place}")
    return lines


def _rules(text: str) -> tuple[int, ...]:
    """Numbers and ranges of numbers."""
    found: set[int] = set()
    for part in text.split(","):
        first, _, last = part.strip().partition("-")
        ends = (first, last or first)
        if not all(end.isascii() and end.isdigit() and 1 <= int(end) <= 8 for end in ends):
            raise ArgumentError("rules", text, "", "numbers from 1 to 8, such as 1-4,7")
        found |= set(range(int(first), int(last or first) + 1))
    return tuple(sorted(found))


def _told(made: ChartAnswer) -> list[str]:
    limits, unit = made.chart.limits, made.unit
    rows = [("chart", f"{made.chart.kind} of {', '.join(made.heads)}"),
            ("limits", f"version {limits.version}, from {limits.points} points")]  # fmt: skip
    for place, panel in enumerate(made.chart.panels):
        of = unit if made.chart.kind != "t2" else ""
        lower = None if panel.lcl is None else float(panel.lcl[-1])
        shown = [number_text(float(panel.center[-1]), of), number_text(float(panel.ucl[-1]), of)]
        text = f"centre {shown[0]}, upper limit {shown[1]}"
        if lower is not None:
            text += f", lower limit {number_text(lower, of)}"
        rows.append((panel.name if place or panel.name != "value" else "readings", text))
    texts = [columns(rows)]
    count = len(made.signals)
    texts.append(
        f"\n{count} signal{'' if count == 1 else 's'}, "
        f"{len(made.unanswered)} without cause or action"
        if count
        else "\nno point stands out"
    )
    texts += [_signal(made, index) for index in range(min(len(made.signals), _MOST_TOLD))]
    if len(made.signals) > _MOST_TOLD:
        texts.append(f"  ... and {len(made.signals) - _MOST_TOLD} more; --json has them all")
    texts.append(f"Source: {limits.source}")
    return [*texts, *(f"wrote {path}" for path in made.files)]


def _signal(made: ChartAnswer, index: int) -> str:
    one = made.signals[index]
    of = made.unit if made.chart.kind != "t2" else ""
    text = f"  point {one.point}, {number_text(one.value, of)}: {one.says} (rule {one.rule})"
    if one.leading is not None:
        text += f"; {made.heads[one.leading - 1]} adds most"
    if one.cause and one.action:
        return f"{text}; cause: {one.cause}; action: {one.action}"
    return f"{text}; asks for a cause and an action"
