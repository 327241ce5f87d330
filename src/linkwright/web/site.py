"""What the pages share: the desk, the drafts, the templates, and how a page is answered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from importlib.metadata import version
from pathlib import Path
from typing import Any

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from linkwright.documents.display import Display
from linkwright.documents.svg import Drawing
from linkwright.quantities import UnknownName
from linkwright.quantities.unit_systems import SYSTEMS
from linkwright.services.drafts import Draft, Drafts
from linkwright.services.plan_desk import Desk
from linkwright.services.plan_record import Recorder

UNITS = "units"
"""Name of the cookie that holds the unit system."""
_USUAL = "metric"


@dataclass(frozen=True)
class Site:
    """Everything behind the pages of one server."""

    desk: Desk
    recorder: Recorder
    drafts: Drafts

    @cached_property
    def templates(self) -> Environment:
        """One environment for all text that leaves the server as a page; everything escaped."""
        made = Environment(
            loader=PackageLoader("linkwright.web"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        made.globals |= {"program": f"linkwright {version('linkwright')}"}
        return made

    def page(
        self, request: Request, template: str, *, status: int = 200, **content: Any
    ) -> Response:
        """A page, or a part of one, for the one who asked."""
        works = self.desk.works
        text = self.templates.get_template(template).render(
            units=units_of(request),
            works=works.name,
            invented=works.invented,
            here=request.url.path,
            **content,
        )
        return HTMLResponse(text, status_code=status, headers={"cache-control": "no-store"})


def site_of(request: Request) -> Site:
    """The site that a request came to."""
    site: Site = request.app.state.site
    return site


def line_ident(site: Site, held: Draft, line: int) -> str:
    """The name of the line at a place from 1. Raises `UnknownName`."""
    lines = site.desk.order(held.text).lines
    if not 1 <= line <= len(lines):
        raise UnknownName("line", str(line), [str(index + 1) for index in range(len(lines))])
    return lines[line - 1].id


def units_of(request: Request) -> str:
    """The unit system that the reader chose; metric without a choice."""
    chosen = request.cookies.get(UNITS, _USUAL)
    return chosen if chosen in SYSTEMS else _USUAL


def display_of(request: Request) -> Display:
    """How numbers look to the one who asked."""
    return Display(units_of(request))


def inline(drawing: Drawing, place: str) -> Markup:
    """A drawing as part of a page, where it has the page's letters.

    ``place`` keeps the names of its tints apart from those of other drawings on the page.
    """
    text = drawing.text().replace('id="g', f'id="{place}-g').replace("url(#g", f"url(#{place}-g")
    return Markup(text)  # noqa: S704 - our own writer escapes every text


def folder_of(path: Path | None) -> Path:
    """Where drafts lie: as asked, or with the user's own data."""
    return path or Path.home() / ".local" / "share" / "linkwright" / "drafts"


__all__ = [
    "SYSTEMS", "UNITS", "Draft", "Site", "display_of", "folder_of", "inline", "line_ident",
    "site_of", "units_of",
]  # fmt: skip
