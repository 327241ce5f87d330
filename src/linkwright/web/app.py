"""The application: its rooms of pages, its files, and the one place where errors become pages."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files

from anyio import to_thread
from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles

from linkwright.quantities import InputErrors, LinkwrightError, UnknownName
from linkwright.web import calculation_pages, drive_pages, enquiry_pages, number_pages, plan_pages
from linkwright.web.guard import Guard
from linkwright.web.site import SYSTEMS, UNITS, Site, site_of

_YEAR_S = 31_536_000


def create_app(site: Site) -> FastAPI:
    """The pages over a desk, its recorder and its drafts."""

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        # the desk is for one thread at a time; what takes long has a process of its own
        to_thread.current_default_thread_limiter().total_tokens = 1
        yield
        site.recorder.close()

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=life)
    app.state.site = site
    for room in (enquiry_pages, drive_pages, plan_pages, number_pages, calculation_pages):
        app.include_router(room.router)
    app.add_api_route("/units", _choose_units, methods=["POST"])
    fonts = files("linkwright.documents") / "fonts"
    app.mount("/static/fonts", StaticFiles(directory=str(fonts)))
    app.mount("/static", StaticFiles(directory=str(files("linkwright.web") / "static")))
    app.add_exception_handler(LinkwrightError, _told)
    app.add_exception_handler(HTTPException, _not_there)
    app.add_exception_handler(RequestValidationError, _misasked)
    app.add_middleware(Guard)
    return app


async def _choose_units(request: Request) -> Response:
    """Remember the unit system, and go back to where that was asked."""
    async with request.form(max_files=0, max_fields=4) as form:
        chosen, back = str(form.get("units", "")), str(form.get("back", "/"))
    if not back.startswith("/") or back.startswith("//"):
        back = "/"
    answer = RedirectResponse(back, status_code=303)
    if chosen in SYSTEMS:
        answer.set_cookie(UNITS, chosen, max_age=_YEAR_S, httponly=True, samesite="lax")
    return answer


async def _told(request: Request, error: Exception) -> Response:
    """An error of the program's own as a page: what is wrong, where, what would be accepted."""
    assert isinstance(error, LinkwrightError)  # noqa: S101 - registered for these only
    status = 404 if isinstance(error, UnknownName) else 422
    title = "This is not there" if status == 404 else "This cannot be done as it stands"
    if isinstance(error, InputErrors):
        title = "The input needs a change"
    return site_of(request).page(
        request, "problem.html", status=status, title=title, problems=error.problems()
    )


async def _not_there(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 - registered for these only
    problems = [{"message": str(error.detail), "file": None, "line": None, "key": None,
                 "accepted": None}]  # fmt: skip
    return site_of(request).page(
        request, "problem.html", status=error.status_code, title="This is not there",
        problems=problems,
    )  # fmt: skip


async def _misasked(request: Request, error: Exception) -> Response:
    """An address or a form that lacks something: no person's mistake, but told all the same."""
    assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for these only
    found = [(str(one["loc"][0]), str(one["loc"][-1]), one["msg"]) for one in error.errors()]
    in_path = any(where == "path" for where, _, _ in found)
    problems = [{"message": message.lower(), "file": None, "line": None, "key": key,
                 "accepted": None} for _, key, message in found]  # fmt: skip
    return site_of(request).page(
        request, "problem.html", status=404 if in_path else 422,
        title="This is not there" if in_path else "The input needs a change", problems=problems,
    )  # fmt: skip
