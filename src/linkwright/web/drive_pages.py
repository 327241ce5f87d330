"""A duty of power transmission, one sentence a step, and the chains that carry it below.

The address holds the whole duty, so a page can be sent, kept and loaded again.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool

from linkwright.documents.display import Display, tolerance_mark
from linkwright.documents.drive_page import (
    DRIVE_HEAD,
    drive_name,
    drive_pictures,
    drive_row,
    drive_steps,
    refused_words,
)
from linkwright.quantities import InputErrors, LinkwrightError, Problem, UnknownName
from linkwright.services.drive_choice import (
    CRITERION,
    DriveChoice,
    choose_drive,
    duty_of_values,
)
from linkwright.services.order_text import chain_order_text, drive_order_text, usual_due
from linkwright.web.addresses import order_at
from linkwright.web.duty_sentences import FIELDS, SENTENCES, Field
from linkwright.web.site import display_of, inline, site_of

router = APIRouter()
_SHOWN, _REFUSED = 14, 8
_CLOSE = 0.9


@router.get("/drive")
def drive_page(request: Request) -> Response:
    """The sentences with what was said, and the answer below."""
    return _page(request, "drive.html")


@router.get("/drive/answer")
def drive_answer(request: Request) -> Response:
    """The answer alone: a part of the page."""
    return _page(request, "drive_answer.html")


@router.post("/drive/order")
async def drive_order(request: Request) -> Response:
    """An order for the drive that was chosen: the duty itself, or another row's chain."""
    async with request.form(max_files=0, max_fields=40, max_part_size=2000) as form:
        said = {key: str(value) for key, value in form.items()}
    return await run_in_threadpool(_taken, request, said)


def _taken(request: Request, said: dict[str, str]) -> Response:
    """Keep an order of what was said, and go to its plan."""
    choice = _choice(request, said)
    index = int(said["row"]) if said.get("row", "").isdecimal() else 0
    row = _row(choice, index)
    head = _head(said)
    if index == 0:
        said_of_duty = asdict(choice.duty)
        del said_of_duty["wear_factor"]  # the works' own, no part of an order
        duty = {key: value for key, value in said_of_duty.items() if value is not None}
        for teeth in ("teeth_small", "teeth_large"):
            if teeth in duty:
                duty[teeth] = int(duty[teeth])
        text = drive_order_text(head, duty)
    else:
        text = chain_order_text(
            head, f"{row.chain_number}-{row.strands}", int(row.pitches),
            f"chosen for a duty: {drive_name(row)}",
        )  # fmt: skip
    site = site_of(request)
    site.desk.order(text)
    return RedirectResponse(order_at(site.drafts.add(text).ident), status_code=303)


def _head(said: Mapping[str, str]) -> dict[str, str]:
    head = {key: said.get(key, "").strip() for key in ("number", "customer", "due")}
    try:
        datetime.date.fromisoformat(head["due"])
    except ValueError:
        message = f"'{head['due'][:20]}' is no date"
        raise InputErrors([Problem("date", message, key="due", accepted="2026-12-18")]) from None
    return head


def _page(request: Request, template: str) -> Response:
    said = {key: value.strip() for key, value in request.query_params.items() if value.strip()}
    answer: dict[str, Any] | None = None
    problems: list[dict[str, Any]] = []
    if any(key in FIELDS for key in said):
        try:
            answer = _answer(_choice(request, said), said, display_of(request))
        except LinkwrightError as error:
            problems = _in_words(error.problems())
    return site_of(request).page(
        request, template, sentences=_sentences(said), answer=answer, problems=problems
    )


def _in_words(problems: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Problems that name the blank of the sentence instead of the key."""
    names = {field.key: field.label for field in FIELDS.values()}
    told = []
    for one in problems:
        key = one["key"]
        blank = f"{names.get(key, key)}: " if key else ""
        told.append({**one, "key": None, "message": f"{blank}{one['message']}"})
    return told


def _choice(request: Request, said: Mapping[str, str]) -> DriveChoice:
    """The choice for what was said, with what the works knows of wear in the surroundings."""
    values: dict[str, str | float | None] = {
        field.key: said[name] for name, field in FIELDS.items() if said.get(name, "").strip()
    }
    return choose_drive(duty_of_values(values), wear=site_of(request).desk.works.wear)


def _row(choice: DriveChoice, index: int) -> Any:
    if not 0 <= index < len(choice.rows):
        raise UnknownName("row", str(index), [str(place) for place in range(len(choice.rows))])
    return choice.rows[index]


def _answer(choice: DriveChoice, said: Mapping[str, str], display: Display) -> dict[str, Any]:
    shown = int(said["row"]) if said.get("row", "").isdecimal() else 0
    row = _row(choice, min(shown, len(choice.rows) - 1))
    duty = {name: said[name] for name in FIELDS if name in said}
    at = choice.rows.index(row)
    drawn = drive_pictures(choice.duty, row, display)
    several = "drive" if choice.admissible == 1 else "drives"
    return {
        "first": f"{choice.admissible} admissible {several} of {choice.candidates} tried",
        "criterion": CRITERION,
        "name": drive_name(row),
        "row": at,
        "steps": drive_steps(choice.duty, row, display),
        "head": DRIVE_HEAD,
        "rows": [
            {
                "texts": drive_row(one, display),
                "mark": _used(one.used),
                "here": one is row,
                "target": f"/drive?{urlencode({**duty, 'row': index})}",
            }
            for index, one in enumerate(choice.rows[:_SHOWN])
        ],
        "refused": [refused_words(one.nearest) for one in choice.refused[:_REFUSED]],
        "pictures": [inline(one, name.partition(".")[0]) for name, one in drawn.items()],
        "duty": duty,
        "cautions": choice.cautions,
        "due": usual_due(datetime.date.today()),
    }  # fmt: skip


def _used(share: float) -> dict[str, Any]:
    word = "outside" if share > 1 else "close" if share > _CLOSE else "within"
    return tolerance_mark(float(share), None, 1.0, word)


def blank_sentences() -> list[list[Any]]:
    """The sentences before anything was said."""
    return _sentences({})


def _sentences(said: Mapping[str, str]) -> list[list[Any]]:
    """Texts and blanks of each sentence, the blanks with what was said."""
    return [
        [
            {"field": part, "said": said.get(part.name, part.usual)}
            if isinstance(part, Field)
            else part
            for part in sentence
        ]
        for sentence in SENTENCES
    ]
