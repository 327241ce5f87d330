"""The enquiry: an order file, typed or dropped in, and the way to a drive for a duty."""

from __future__ import annotations

import datetime

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from linkwright.quantities import InputErrors, LinkwrightError, Problem
from linkwright.services.drafts import Draft
from linkwright.services.order_text import usual_due
from linkwright.services.plan_files import demo_order_text
from linkwright.web.addresses import order_at
from linkwright.web.drive_pages import blank_sentences
from linkwright.web.site import Site, site_of

router = APIRouter()
_MOST_BYTES = 1_000_000
_RECENT = 12
_START = """[order]
number   = "E-1"
customer = "..."
due      = {due}

[[line]]
product  = "welded"
standard = "EN 818-2"
grade    = 8
size     = "8 mm"
length   = "300 m"
"""


@router.get("/")
def enquiry_page(request: Request) -> Response:
    """An order to be typed, and the drafts that there are."""
    return _page(request, _START.format(due=usual_due(datetime.date.today())), [])


@router.post("/orders")
async def new_order(request: Request) -> Response:
    """Keep an order that can be read, and go to its plan; else say what is wrong with it."""
    site = site_of(request)
    raw, name = b"", ""
    async with request.form(max_files=1, max_fields=4, max_part_size=_MOST_BYTES) as form:
        text = str(form.get("text") or "")
        file = form.get("file")
        if isinstance(file, UploadFile) and file.filename:
            raw, name = await file.read(_MOST_BYTES + 1), file.filename
    try:
        if name:
            text = _decoded(raw, name)
        text = text.replace("\r\n", "\n")
        await run_in_threadpool(site.desk.order, text)
    except LinkwrightError as error:
        return await run_in_threadpool(_page, request, text, error.problems(), 422)
    return RedirectResponse(order_at(site.drafts.add(text).ident), status_code=303)


@router.post("/orders/demo")
def demo_order(request: Request) -> Response:
    """Keep the invented order, and go to its plan."""
    draft = site_of(request).drafts.add(demo_order_text())
    return RedirectResponse(order_at(draft.ident), status_code=303)


def _page(
    request: Request, text: str, problems: list[dict[str, object]], status: int = 200
) -> Response:
    site = site_of(request)
    return site.page(
        request, "enquiry.html", status=status, text=text, problems=problems,
        drafts=[_draft(site, one) for one in site.drafts.recent(_RECENT)],
        sentences=blank_sentences(),
    )  # fmt: skip


def _draft(site: Site, draft: Draft) -> dict[str, str]:
    """One draft in the list; one that can no longer be read keeps its address."""
    try:
        order = site.desk.order(draft.text)
    except LinkwrightError:
        return {"target": order_at(draft.ident), "name": draft.ident, "said": "cannot be read"}
    lines = "1 line" if len(order.lines) == 1 else f"{len(order.lines)} lines"
    return {
        "target": order_at(draft.ident),
        "name": order.number,
        "said": f"{order.customer}, due {order.due.isoformat()}, {lines}",
    }


def _decoded(raw: bytes, name: str) -> str:
    """The text of a file that was dropped in; the rest is the order's own reader's business."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        shown = "".join(letter for letter in name[:80] if letter.isprintable())
        raise InputErrors(
            [Problem("encoding", "is not UTF-8", file=shown, accepted="a TOML file in UTF-8")]
        ) from None
