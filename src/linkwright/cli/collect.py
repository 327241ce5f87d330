"""`linkwright collect`: readings of machines as they come, from OPC UA servers and MQTT brokers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns
from linkwright.quantities import ArgumentError, QuantityError, quantity

if TYPE_CHECKING:
    from linkwright.services.collecting import CollectAnswer

EPILOG = """
Examples:

\b
  linkwright collect --from collect.toml --spool spool
  linkwright collect --from collect.toml --spool spool --for 8h --json
  linkwright collect --from collect.toml --spool spool --once
  linkwright ingest spool/ready --map spool/map.toml

Runs until Ctrl-C or SIGTERM. What comes is on the disk before a broker is told that it came;
closed files lie in SPOOL/ready, their map is SPOOL/map.toml. Nothing is ever written to a machine.
Exit code 1: a server was never reached, or something could not be written.
"""
_MOST_TOLD = 20


def collect(
    source: Annotated[
        Path, typer.Option("--from", metavar="FILE", help="Servers and columns (collect.toml).")
    ],
    spool: Annotated[Path, typer.Option("--spool", metavar="DIR", help="Folder to collect into.")],
    once: Annotated[
        bool, typer.Option("--once", help="Take what waits; end when nothing comes for 2 s.")
    ] = False,
    duration: Annotated[
        str | None, typer.Option("--for", metavar="TIME", help="End after this time, such as 8h.")
    ] = None,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Collect readings of machines as they come, from OPC UA servers and MQTT brokers."""
    from linkwright.services.collecting import CollectRequest  # noqa: PLC0415
    from linkwright.services.collecting import collect as collected  # noqa: PLC0415

    if once and duration is not None:
        raise ArgumentError("for", duration, "", "--once or --for", "does not go with --once")
    screen = Screen(no_color=no_color)
    made = collected(
        CollectRequest(source, spool, once=once, for_s=_seconds(duration), say=screen.note)
    )
    screen.data(made.to_dict()) if json else screen.result(_told(made))
    return 0 if made.whole else 1


def _seconds(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        seconds = quantity(text, "for_s")
    except QuantityError as error:
        raise ArgumentError(
            "for", text, "", f"{error.accepted}, such as 8 h", "is no time"
        ) from None
    if not 0.0 < seconds <= 1e8:
        raise ArgumentError("for", text, "", "more than 0, at most 3 years")
    return seconds


def _told(made: CollectAnswer) -> str:
    tally = made.tally
    missing = sum(one.last - one.first + 1 for one in made.gaps)
    rows = [("readings", f"{tally.rows}"), ("told again", f"{tally.repeats}"),
            ("set aside", f"{tally.set_aside}"), ("missing", f"{missing}")]  # fmt: skip
    if tally.unwritten:
        rows.append(("not written", f"{tally.unwritten}, never confirmed"))
    for server, state in made.sources:
        times = "never reached" if not state.connections else (
            "connected" if state.connections == 1 else f"connected {state.connections} times"
        )  # fmt: skip
        lost = f", {state.dropped} dropped for want of memory" if state.dropped else ""
        rows.append((server.name, f"{server.url} {times}{lost}"))
    texts = [columns(rows)]
    texts += [f"  {one.sentence()}" for one in made.gaps[:_MOST_TOLD]]
    if len(made.gaps) > _MOST_TOLD:
        texts.append(f"  ... and {len(made.gaps) - _MOST_TOLD} more gaps; --json has them all")
    return "\n".join([*texts, *(f"wrote {path}" for path in tally.files[-_MOST_TOLD:])])
