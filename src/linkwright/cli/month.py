"""`linkwright month`: an invented month of raw machine files, with faults put in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkwright.cli.pass_phrase import ask_pass_phrase
from linkwright.cli.show import Json, NoColor, Screen, columns
from linkwright.quantities import significant

if TYPE_CHECKING:
    from linkwright.services.month import MonthAnswer

EPILOG = """
Examples:

\b
  linkwright month quarry-lane --links 39000
  linkwright month quarry-lane --links 3000000 --seed 7
  linkwright month quarry-lane --links 39000 --books quarry.books
  linkwright month many --links 100000000 --kind weld

Everything is invented: the works Quarry Lane, its machines, readings and faults. The folder gets
machines/ (files as machines write them, one a machine and day), map.toml (how they are read),
laboratory/ (tests of lots and coils) and truth.json (what was put in). 39000 links are the first
night, 3000000 a month of one line; more run on further lines. Same links and seed, same bytes.
--books begins books with the people of the month (anna administers, ben records, cleo checks, dora
releases), its metal, lots and tests, for record, look and verify.
"""


def month(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder for the files.")],
    links: Annotated[
        int, typer.Option("--links", metavar="N", help="Links that are welded.")
    ] = 3_000_000,
    seed: Annotated[int, typer.Option("--seed", metavar="N", help="Of all random numbers.")] = 1,
    kind: Annotated[
        list[str] | None,
        typer.Option("--kind", metavar="KIND", help="Only this kind of reading. Repeatable."),
    ] = None,
    books: Annotated[
        str | None,
        typer.Option("--books", metavar="BOOKS", help="New books with its people, lots and tests."),
    ] = None,
    pass_phrase: Annotated[
        Path | None,
        typer.Option("--pass-phrase", metavar="FILE", help="First line: that of all its people."),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the folder if it exists.")
    ] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Write an invented month of machine files whose truth is not the planner's."""
    from linkwright.services.month import KINDS, MonthRequest, make_month  # noqa: PLC0415

    kinds = tuple(dict.fromkeys(kind)) if kind else KINDS
    made = make_month(MonthRequest(folder, links, seed, kinds, force=force))
    screen = Screen(no_color=no_color)
    if books is not None:
        from linkwright.services.month.kept import keep_month  # noqa: PLC0415

        kept = keep_month(folder, books, ask_pass_phrase(pass_phrase, "the invented people"))
        screen.note(f"wrote {len(kept.lots)} lots with their tests into {kept.books}")
    screen.data(made.to_dict()) if json else screen.result("\n".join(_told(made)))


def _told(made: MonthAnswer) -> list[str]:
    rows = [(kind, f"{count} rows") for kind, count in made.rows.items()]
    lots = made.truth["lots"]
    texts = ["An invented month: nothing here was measured.\n", columns(rows), "\nPut in"]
    texts.append(columns([*_faults(made)]))
    planned, real = (significant(lots[one], 4) for one in ("planned_force_kN",
                                                           "mean_sample_force_kN"))  # fmt: skip
    texts.append(f"\nbreaking force: {planned} kN planned, {real} kN in truth")
    return [*texts, f"wrote {made.files} files into {made.folder}"]


def _faults(made: MonthAnswer) -> list[tuple[str, str]]:
    truth = made.truth
    rows = []
    stuck, coil = truth["stuck_electrode"], truth["poor_coil"]
    if stuck is not None:
        rows.append(("stuck electrode", f"{stuck['machine']} {stuck['at']}: {stuck['piece']}, "
                     f"{stuck['length_m']:.1f} m from {stuck['from_m']:.1f} m on"))  # fmt: skip
    if coil is not None:
        rows.append(("poor coil", f"{coil['coil']}, {len(coil['lots'])} lots"))
    if truth["dirty_window"] is not None:
        rows.append(("dirty window", f"{truth['dirty_window']['machine']} from "
                     f"{truth['dirty_window']['begin'][:10]} on"))  # fmt: skip
    for machine, one in truth["clocks"].items():
        if abs(one["offset_s"]) > 10.0 or one["hour_ahead_until"]:
            hour = ", an hour ahead at first" if one["hour_ahead_until"] else ""
            rows.append((f"clock of {machine}", f"{one['offset_s']:+.1f} s, "
                         f"{one['drift_s_per_day']:+.2f} s a day{hour}"))  # fmt: skip
    if truth["sent_twice"] is not None:
        rows.append(("sent twice", truth["sent_twice"]["file"]))
    if truth["slipped_commas"] is not None and truth["slipped_commas"]["rows"]:
        slipped = truth["slipped_commas"]
        rows.append(("slipped commas", f"{len(slipped['rows'])} rows of {slipped['file']}"))
    return rows
