"""The page of a plan: the metal along the route, one operation open, and the chance.

Changing a setting makes a new draft with an address of its own, so going back undoes it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import PlainTextResponse, RedirectResponse

from linkwright.documents.display import percent
from linkwright.documents.pictures import step_pictures
from linkwright.quantities import UnknownName
from linkwright.services.drafts import Draft
from linkwright.services.order_text import number_given, with_setting, without_setting
from linkwright.web import plan_view
from linkwright.web.addresses import line_at, order_at
from linkwright.web.site import Site, display_of, inline, line_ident, site_of, units_of

router = APIRouter()
_LINE = "/orders/{draft}/lines/{line}"


@router.get("/orders/{draft}")
def order_page(request: Request, draft: str) -> Response:
    """The first line of a draft, which leads to the others."""
    site_of(request).drafts.get(draft)
    return RedirectResponse(line_at(draft, 1), status_code=303)


@router.get(_LINE)
def line_page(request: Request, draft: str, line: int) -> Response:
    """A line with the operation open that a reader would look at first."""
    return _page(request, draft, line, "")


@router.get(_LINE + "/at/{place:path}")
def place_page(request: Request, draft: str, line: int, place: str) -> Response:
    """A line with one of its operations open."""
    return _page(request, draft, line, place)


@router.post(_LINE + "/set")
def set_setting(
    request: Request,
    draft: str,
    line: int,
    place: Annotated[str, Form()],
    name: Annotated[str, Form()],
    value: Annotated[str, Form()] = "",
    unit: Annotated[str, Form()] = "",
) -> Response:
    """Fix a setting: a new draft, and its page."""
    site = site_of(request)
    old = site.drafts.get(draft)
    number = number_given(name, value, unit)
    return _changed(site, old, line, place, with_setting(old.text, line - 1, place, name, number))


@router.post(_LINE + "/leave")
def leave_setting(
    request: Request,
    draft: str,
    line: int,
    place: Annotated[str, Form()],
    name: Annotated[str, Form()],
) -> Response:
    """Leave a setting to the plan again: a new draft, and its page."""
    site = site_of(request)
    old = site.drafts.get(draft)
    return _changed(site, old, line, place, without_setting(old.text, line - 1, place, name))


@router.get(_LINE + "/chance")
def chance_part(request: Request, draft: str, line: int) -> Response:
    """The chance of a line with its parts and what moves it: a part of its page."""
    site, held = site_of(request), site_of(request).drafts.get(draft)
    ident = line_ident(site, held, line)
    settled = site.desk.settled(held.text, ident)
    planned = site.desk.planned(held.text, ident)
    change = None
    if held.parent:
        base = site.drafts.get(held.base)
        before = site.desk.planned(base.text, ident)["chance"]["value"]
        change = plan_view.chance_change(before, planned["chance"]["value"])
    told = plan_view.chance_view(
        site.desk.order(held.text), site.desk.works, settled, planned, display_of(request)
    )
    return site.page(
        request, "chance.html", **told, change=change, fails=settled["verdict"] == "outside",
        line_address=line_at(draft, line), percent=percent,
    )  # fmt: skip


@router.get(_LINE + "/nearest")
def nearest_part(request: Request, draft: str, line: int) -> Response:
    """What would work instead of a line that fails: a part of its page."""
    site, held = site_of(request), site_of(request).drafts.get(draft)
    rows = site.desk.nearest(held.text, line_ident(site, held, line), units_of(request))
    return site.page(request, "nearest.html", rows=rows)


@router.get(_LINE + "/pictures")
def pictures_part(request: Request, draft: str, line: int, place: str) -> Response:
    """The pictures of an operation: a part of its page."""
    site, held = site_of(request), site_of(request).drafts.get(draft)
    ident = line_ident(site, held, line)
    steps = site.desk.settled(held.text, ident)["steps"]
    step = site.desk.step(held.text, ident, place)
    drawn = step_pictures(step, steps, display_of(request))
    return site.page(
        request, "pictures.html", pictures=[inline(one.drawing, one.name) for one in drawn]
    )


@router.get("/orders/{draft}/order.toml")
def order_file(request: Request, draft: str) -> Response:
    """The draft as a file, from which the command line plans the same."""
    text = site_of(request).drafts.get(draft).text
    return PlainTextResponse(
        text, headers={"content-disposition": 'attachment; filename="order.toml"'}
    )


@router.get("/orders/{draft}/papers.pdf")
async def papers_file(request: Request, draft: str) -> Response:
    """The papers of all lines of a draft."""
    site = site_of(request)
    pdf = await site.recorder.papers(site.drafts.get(draft).text, units_of(request))
    return Response(
        pdf, media_type="application/pdf",
        headers={"content-disposition": 'inline; filename="papers.pdf"'},
    )  # fmt: skip


def _page(request: Request, draft: str, line: int, place: str) -> Response:
    site, held = site_of(request), site_of(request).drafts.get(draft)
    order = site.desk.order(held.text)
    ident = line_ident(site, held, line)
    settled = site.desk.settled(held.text, ident)
    display = display_of(request)
    step = _open_step(settled, place)
    return site.page(
        request,
        "plan.html",
        order=order,
        draft=held,
        lines=[
            {"id": one.id, "target": line_at(draft, index), "here": index == line}
            for index, one in enumerate(order.lines, 1)
        ],
        head=plan_view.head_view(settled, display),
        route=plan_view.route_view(settled, display, draft, line, step["place"]),
        operation=plan_view.operation_view(step, display, draft, line),
        changed=_changes(site, held, ident, settled, display),
        line_address=line_at(draft, line),
        order_address=order_at(draft),
        undo=line_at(held.parent, line, step["place"]) if held.parent else "",
        base=line_at(held.base, line, step["place"]) if held.parent else "",
    )


def _changes(
    site: Site, held: Draft, ident: str, settled: Mapping[str, Any], display: Any
) -> list[dict[str, Any]]:
    """What the draft has differently from the one its changes began from."""
    if not held.parent:
        return []
    moved = site.desk.moved(site.drafts.get(held.base).text, held.text, ident)
    return plan_view.moved_view(moved, settled, display)


def _changed(site: Site, old: Draft, line: int, place: str, text: str) -> Response:
    """Keep the changed order if it can be read and planned, and go to its page."""
    ident = line_ident(site, old, line)
    site.desk.order(text)
    site.desk.settled(text, ident)
    new = site.drafts.add(text, old)
    return RedirectResponse(line_at(new.ident, line, place), status_code=303)


def _open_step(settled: Mapping[str, Any], place: str) -> Mapping[str, Any]:
    """The step asked for; else the first that is outside, else the inspection, else the last."""
    steps = settled["steps"]
    if place:
        found = [step for step in steps if step["place"] == place]
        if not found:
            raise UnknownName("operation", place, [step["place"] for step in steps])
        return found[0]  # type: ignore[no-any-return]
    outside = [
        step for step in steps if any(row["verdict"] == "outside" for row in step["findings"])
    ]
    judged = [step for step in steps if str(step["operation"]).endswith("inspection")]
    return (outside or judged or steps[-1:])[0]  # type: ignore[no-any-return]
