"""`linkwright ingest`: readings of machines into a folder of link data."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns

if TYPE_CHECKING:
    from linkwright.services.ingesting import FileOutcome, Preview

EPILOG = """
Examples:

\b
  linkwright ingest W07.csv --map map.toml --into links --preview
  linkwright ingest readings/ --map map.toml --into links
  linkwright ingest readings/ --map map.toml --into links --watch

CSV of any dialect, Parquet and JSON lines; the map says which column is what, in which unit.
Rows that cannot be taken are set aside with their number and the reason (links/set_aside), never
dropped. The same file twice changes nothing; after a kill the next ingest goes on. --watch takes
files as they are complete, until it is interrupted.
"""


def ingest(
    paths: Annotated[
        list[Path], typer.Argument(metavar="FILE|FOLDER...", help="Files, or folders of files.")
    ],
    map_file: Annotated[
        Path, typer.Option("--map", metavar="FILE", help="Which column is what (map.toml).")
    ],
    into: Annotated[
        Path, typer.Option("--into", metavar="FOLDER", help="Folder of link data; made if new.")
    ],
    watch: Annotated[
        bool, typer.Option("--watch", help="Go on: take files as they are complete.")
    ] = False,
    preview: Annotated[
        bool, typer.Option("--preview", help="Show what the first rows become; write nothing.")
    ] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Take readings of machines in, once, with what is wrong set aside by row."""
    from linkwright.services import ingesting  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    request = ingesting.IngestRequest(tuple(paths), map_file, into)
    if preview:
        seen = ingesting.preview(request)
        screen.data(seen.to_dict()) if json else screen.result("\n".join(_previewed(seen)))
        return 0
    if watch:
        screen.note("note: watching; interrupt to end")
        for one in ingesting.watch(request):
            screen.data(one.to_dict()) if json else screen.result("\n".join(_told(one)))
    made = ingesting.ingest(request)
    if json:
        screen.data(made.to_dict())
    else:
        screen.result("\n".join(line for one in made.files for line in _told(one)))
        for pair in made.clocks:
            offset, drift = pair.stretches[-1].middle
            screen.result(
                f"clock of {pair.there}: {offset:+.3g} s against {pair.here}, give or take "
                f"{pair.stretches[-1].doubt_s:.2g} s; {86400.0 * drift:+.3g} s a day"
            )
    for path in made.unmatched:
        screen.note(f"note: {path}: no pattern of the map meets this name")
    return 2 if made.refused else 0


def _told(one: FileOutcome) -> list[str]:
    if one.taken is None:
        return [f"{one.file}: refused", *(f"  {problem['message']}{_accepted(problem)}"
                                          for problem in one.problems)]  # fmt: skip
    entry = one.taken.entry
    if one.taken.before:
        return [f"{one.file}: taken in before ({entry.rows} rows of {entry.kind})"]
    text = f"{one.file}: {entry.rows} rows of {entry.kind}"
    if entry.repeats:
        text += f", {entry.repeats} repeats"
    lines = [text]
    if entry.set_aside:
        place = next(final for _, final in entry.moves if final.endswith(".jsonl"))
        lines.append(f"  {entry.set_aside} rows set aside: {place}")
    return lines


def _accepted(problem: Any) -> str:
    place = "" if not problem.get("line") else f" (row {problem['line']})"
    wanted = problem.get("accepted")
    return place + (f"; accepted: {wanted}" if wanted else "")


def _previewed(seen: Preview) -> list[str]:
    lines = [f"{seen.file}: {seen.kind}, {seen.looked_at} rows looked at, nothing written", ""]
    lines.append(columns([(name, f"{head} {f'in {unit}' if unit else ''}".strip())
                          for name, head, unit in seen.columns]))  # fmt: skip
    for row in seen.rows:
        lines.append(f"\nrow {row['row']}")
        lines.append(columns([(name, str(value)) for name, value in row.items()
                              if name != "row" and value is not None]))  # fmt: skip
    lines += [f"\nset aside: row {row}: {why}\n  {text}" for row, why, text in seen.set_aside]
    return lines
