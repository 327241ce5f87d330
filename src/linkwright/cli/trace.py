"""`linkwright trace` and `linkwright clocks`: where metal came from and what it became."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import SCHEMA_VERSION, Json, NoColor, Screen, columns
from linkwright.quantities import ArgumentError, quantity, significant

if TYPE_CHECKING:
    from linkwright.services.passages_of_books import Holder
    from linkwright.services.tracing import Timed, TraceAnswer, TraceRequest

TRACE_EPILOG = """
Examples:

\b
  linkwright trace weld W07 48211 --links links
  linkwright trace coil K-3381 --links links --pitch 24mm
  linkwright trace coil K-3381 1200..1300 --links links
  linkwright trace harden H01 2026-11-03T10:00..2026-11-03T10:20 --by-clock W07 --links links
  linkwright trace mark QL-0117 --count 13 --toward QL-0118 --miscount 1 --links links
  linkwright trace certificate 2026-00012 --links links --books quarry.books --json

WHERE is a numbering (coil, coil_mm, weld, strand, harden, temper, stroke, piece, mark, lot,
certificate), its name, and a number, FIRST..LAST or a span of time; welds of a coil and links of a
strand count from 0. Times without zone are UTC. Without WHERE's last part all of it is traced.
"""
CLOCKS_EPILOG = """
Examples:

\b
  linkwright clocks harden/H01 temper/T01 --links links --least 40s --greatest 90s
  linkwright clocks weld/W07 harden/H01 --links links --least 60s --greatest 8h --resolution 1s

Links that passed both machines once give half-planes of offset and drift; what all of them allow
is kept in the folder, each time as the next version.
"""
_MOST_TOLD = 40


def _option(name: str, metavar: str, said: str) -> Any:
    return typer.Option(name, metavar=metavar, help=said)


def trace(
    where: Annotated[list[str], typer.Argument(metavar="WHERE...", help="Numbering, name, range.")],
    links: Annotated[Path, _option("--links", "DIR", "Folder of link data.")],
    by_clock: Annotated[
        str | None, _option("--by-clock", "MACHINE", "Whose clock showed the times.")
    ] = None,
    count: Annotated[int | None, _option("--count", "N", "Links counted from the mark.")] = None,
    toward: Annotated[str | None, _option("--toward", "SERIAL", "Mark counted towards.")] = None,
    miscount: Annotated[int, _option("--miscount", "N", "Links that counts may be off.")] = 0,
    pitch: Annotated[str | None, _option("--pitch", "LENGTH", "Of a link, for metres.")] = None,
    picture: Annotated[
        Path | None, _option("--picture", "FILE", "Draw the strands to scale here (SVG).")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace the picture.")] = False,
    books: Annotated[
        str | None, _option("--books", "BOOKS", "Pieces, lots and certificates by the books.")
    ] = None,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Trace links back to their coil and on to heat treatment, pieces and certificates."""
    from linkwright.services.tracing import (  # noqa: PLC0415
        TraceRequest,
        picture_of,
        time_of,
        trace_links,
    )

    if len(where) not in (2, 3):
        accepted = "a numbering, its name and perhaps a range: weld W07 48211"
        raise ArgumentError("where", " ".join(where), "", accepted, "cannot be read")
    numbers, between = None, None
    if len(where) == 3:
        first, _, last = where[2].partition("..")
        if first.isascii() and first.isdigit():
            numbers = _numbers(where[2], first, last or first)
        else:
            between = (time_of(first), time_of(last or first))
    request = TraceRequest(
        links, where[0], where[1], numbers, between, by_clock, count, toward, miscount,
        None if pitch is None else quantity(pitch, "pitch_mm"),
    )  # fmt: skip
    made, held = (trace_links(request), []) if books is None else _by_books(request, books)
    data = {**made.to_dict(), "holders": [one.to_dict() for one in held]}
    told = [*_told(made), *_holders(held)]
    screen = Screen(no_color=no_color)
    if picture is not None:
        screen.note(f"wrote {picture_of(made, request.pitch_mm, picture, force=force)}")
    screen.data(data) if json else screen.result("\n".join(told))
    for note in made.notes:
        screen.note(f"note: {note}")
    return 0


def _by_books(request: TraceRequest, place: str) -> tuple[TraceAnswer, list[Holder]]:
    from dataclasses import replace  # noqa: PLC0415

    from linkwright.services.books import opened  # noqa: PLC0415
    from linkwright.services.passages_of_books import holders, passages_of_books  # noqa: PLC0415
    from linkwright.services.tracing import trace_links  # noqa: PLC0415

    with opened(place) as store, store.reading() as session:
        made = trace_links(replace(request, passages=passages_of_books(session)))
        return made, holders(session, [name for name, _, _ in made.certificates])


def _holders(held: list[Holder]) -> list[str]:
    return [
        f"  {one.certificate} is {one.state}: {one.customer}"
        + (f", delivery {', '.join(one.deliveries)}" if one.deliveries else ", not delivered")
        for one in held
    ]


def clocks(
    here: Annotated[str, typer.Argument(metavar="FROM", help="Kind and machine: harden/H01.")],
    there: Annotated[str, typer.Argument(metavar="TO", help="Where the links came next.")],
    links: Annotated[Path, _option("--links", "DIR", "Folder of link data.")],
    least: Annotated[str, _option("--least", "TIME", "Least time of a link between them.")],
    greatest: Annotated[str, _option("--greatest", "TIME", "Greatest time between them.")],
    resolution: Annotated[str, _option("--resolution", "TIME", "Step of the clocks.")] = "0s",
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Find how far two machines' clocks are apart, from the order of links; keep it."""
    from linkwright.services.tracing import find_clocks  # noqa: PLC0415

    ends = [tuple(one.split("/", 1)) for one in (here, there)]
    if any(len(one) != 2 for one in ends):
        raise ArgumentError("machine", f"{here} {there}", "", "kind and machine, such as weld/W07")
    times = [quantity(text, "time_s") for text in (least, greatest, resolution)]
    path, made = find_clocks(links, (ends[0][0], ends[0][-1]), (ends[1][0], ends[1][-1]),
                             (times[0], times[1]), resolution_s=times[2])  # fmt: skip
    data = {"schema_version": SCHEMA_VERSION, **made.to_dict(), "files": [str(path)]}
    screen = Screen(no_color=no_color)
    if json:
        screen.data(data)
        return 0
    rows = []
    for one in made.stretches:
        offset, drift = one.middle
        rows.append((f"{one.links} links", f"{made.there} shows {significant(offset, 6)} s more "
                     f"than {made.here}, give or take {significant(one.doubt_s, 2)} s; "
                     f"drift {significant(86400.0 * drift, 3)} s a day"))  # fmt: skip
    screen.result("\n".join([columns(rows), f"wrote {path}"]))
    if made.set_between:
        screen.note(f"note: a clock was set or jumped {len(made.set_between)} times; "
                    "--json says between which times")  # fmt: skip
    return 0


def _numbers(text: str, first: str, last: str) -> tuple[int, int]:
    if not (last.isascii() and last.isdigit() and len(text) < 38 and int(first) <= int(last)):
        raise ArgumentError("where", text, "", "a number or FIRST..LAST", "is no range")
    return int(first), int(last)


def _told(made: TraceAnswer) -> list[str]:
    rows = [(f"{one.found.kind} {one.found.name}", _range(one))
            for one in made.ranges[:_MOST_TOLD]]  # fmt: skip
    texts = [columns(rows)]
    if len(made.ranges) > _MOST_TOLD:
        texts.append(f"  ... and {len(made.ranges) - _MOST_TOLD} more ranges; --json has them all")
    length = "" if made.length_m is None else f", {significant(made.length_m, 5)} m"
    texts.append(f"\n{made.links} links{length}")
    for name, count, metres in made.certificates:
        of = "" if metres is None else f", {significant(metres, 5)} m"
        texts.append(f"  certificate {name}: {count} links{of}")
    return texts


def _range(one: Timed) -> str:
    found = one.found
    text = f"{found.first}" if found.numbers == 1 else f"{found.first} to {found.last}"
    if one.first_time is None:
        return text
    same = one.first_time == one.last_time
    return f"{text}, {one.first_time}" + ("" if same else f" to {one.last_time}")
