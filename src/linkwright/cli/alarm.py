"""`linkwright alarm`: whether a machine's readings drift, since when, and in which links."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns, number_text

if TYPE_CHECKING:
    from linkwright.services.link_alarm import AlarmAnswer

EPILOG = """
Examples:

\b
  linkwright alarm links --of weld --machine W07B --column weld_energy_J
  linkwright alarm links --of weld --machine W07B --column upset_mm --since 2026-11-05 --json

Medians of ten readings in a row are held against those of a first period by a cumulative sum.
A drift of a machine is looked at by a person before links are held or let go.
"""


def _option(name: str, metavar: str, said: str) -> Any:
    return typer.Option(name, metavar=metavar, help=said)


def alarm(
    links: Annotated[Path, typer.Argument(metavar="LINKS", help="Folder of link data.")],
    machine: Annotated[str, _option("--machine", "NAME", "Machine that is watched.")],
    column: Annotated[str, _option("--column", "NAME", "Its reading, such as weld_energy_J.")],
    of: Annotated[str, _option("--of", "KIND", "Kind of reading.")] = "weld",
    group: Annotated[int, _option("--group", "N", "Readings that a median is of.")] = 10,
    baseline: Annotated[int, _option("--baseline", "N", "Medians of the first period.")] = 250,
    k: Annotated[float, _option("--k", "X", "Half the shift that matters, in sigma.")] = 2.0,
    once_in: Annotated[
        float, _option("--once-in", "N", "Medians between two false alarms, on average.")
    ] = 1e5,
    since: Annotated[datetime | None, _option("--since", "TIME", "From then on, UTC.")] = None,
    until: Annotated[datetime | None, _option("--until", "TIME", "Before that, UTC.")] = None,
    must_hold: Annotated[
        bool, typer.Option("--must-hold", help="Exit code 1 if there is an alarm.")
    ] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Tell whether a machine's readings drift, since when, and which links it touches."""
    from linkwright.services.link_alarm import AlarmRequest, alarm_of_links  # noqa: PLC0415

    times = [None if one is None else one.replace(tzinfo=UTC) for one in (since, until)]
    made = alarm_of_links(
        AlarmRequest(links, of, machine, column, group, baseline, k, once_in, times[0], times[1])
    )
    screen = Screen(no_color=no_color)
    screen.data(made.to_dict()) if json else screen.result(_told(made))
    return 1 if must_hold and made.change is not None else 0


def _told(made: AlarmAnswer) -> str:
    change = made.change
    head = f"{made.machine} {made.column}: {made.medians} medians of {made.group} readings"
    if change is None:
        return f"{head}\nno drift"
    place = (
        "" if change.strand is None else f", strand {change.strand} link {change.first_position}"
    )
    rows = [
        ("alarm", f"{change.alarm_clock}, {number_text(change.minutes_to_alarm)} min after"),
        ("changed at", f"{change.first_clock}, counter {change.first_counter}{place}"),
        ("mean before", number_text(change.mean_before, made.unit)),
        ("mean after", number_text(change.mean_after, made.unit)),
        ("links until the alarm", f"counter {change.first_counter} to {change.last_counter}"),
    ]
    return f"{head}\n{columns(rows)}"
