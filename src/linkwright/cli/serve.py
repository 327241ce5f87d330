"""`linkwright serve`: the pages in the browser, for this machine only."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkwright.cli.show import Screen

EPILOG = """
Examples:

\b
  linkwright serve
  linkwright serve --works works.toml --port 8321 --drafts drafts

Open the address that it prints in a browser on this machine. It listens on 127.0.0.1 only and
knows no accounts yet: whoever uses this machine can see and change every draft. Ctrl-C ends it.
"""


def serve(
    works: Annotated[
        Path | None, typer.Option("--works", metavar="FILE", help="Works; the demo's if left out.")
    ] = None,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port; 0 takes a free one.")
    ] = 8320,
    drafts: Annotated[
        Path | None, typer.Option("--drafts", metavar="DIR", help="Folder of the drafts.")
    ] = None,
    lots: Annotated[int, typer.Option("--lots", min=50, help="Lots of the ensemble.")] = 512,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of the ensemble.")] = 1,
) -> None:
    """Show enquiry, plans and calculations in a browser on this machine."""
    from linkwright.web.server import serve_pages  # noqa: PLC0415 - heavy, on use

    screen = Screen()
    serve_pages(works, port=port, drafts=drafts, lots=lots, seed=seed, told=screen.note)
