"""Starting the pages: the site of one works, on a port of this machine."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from linkwright.quantities import CannotPlan
from linkwright.services.drafts import Drafts
from linkwright.services.plan_desk import Desk
from linkwright.services.plan_files import ensemble_of, works_from
from linkwright.services.plan_record import Recorder
from linkwright.web.app import create_app
from linkwright.web.site import Site, folder_of

HOST = "127.0.0.1"


def site_of_works(works: Path | None, *, drafts: Path | None, lots: int, seed: int) -> Site:
    """The site of a works file, or of the demo's works. Raises `InputErrors`."""
    read, raw = works_from(None if works is None else str(works))
    ensemble = ensemble_of(lots, seed)
    name = works.name if works else "works.toml"
    return Site(Desk(read, ensemble), Recorder(raw, name, ensemble), Drafts(folder_of(drafts)))


def serve_pages(
    works: Path | None,
    *,
    port: int,
    drafts: Path | None,
    lots: int,
    seed: int,
    told: Callable[[str], None],
) -> None:
    """Serve until interrupted. Raises `CannotPlan` where the port is taken."""
    site = site_of_works(works, drafts=drafts, lots=lots, seed=seed)
    with _listening(port) as listening:
        site.recorder.warm()
        told(f"linkwright is at http://{HOST}:{listening.getsockname()[1]}/ for this machine "
             f"only, without accounts; Ctrl-C ends it")  # fmt: skip
        config = uvicorn.Config(create_app(site), log_level="warning", server_header=False)
        uvicorn.Server(config).run(sockets=[listening])


def _listening(port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((HOST, port))
        made.listen()
    except OSError as error:
        made.close()
        raise CannotPlan(
            f"port {port} cannot be used ({(error.strerror or '').lower()}); "
            f"choose another by --port"
        ) from None
    return made
