"""Every calculation of the catalogue: formula, source, validity, a form, the result, a sweep."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from linkwright.documents.chart import Axis, Curve, Mark, chart
from linkwright.documents.display import Display
from linkwright.documents.words import plain_text, words
from linkwright.quantities import (
    InputErrors,
    LinkwrightError,
    Problem,
    bounds_text,
    split,
    unit_text,
)
from linkwright.services.calculations import (
    Answer,
    ArgumentNote,
    calculate,
    calculations,
    describe,
)
from linkwright.services.sweep import Sweep, sweep, swept, usual_range
from linkwright.web.addresses import calculation_at
from linkwright.web.site import display_of, inline, site_of

router = APIRouter()
_ARGUMENT = "a."
"""What stands before an argument's name in the address, apart from the page's own words."""
_LIST_SHOWN = 12
_ROOMS = {
    "standards": "Standards", "materials": "Materials", "mechanics": "Mechanics",
    "processes": "Processes", "products": "Products", "costing": "Costing", "quality": "Quality",
}  # fmt: skip


@router.get("/calculations")
def list_page(request: Request, find: str = "") -> Response:
    """All calculations by room, or those that hold every word."""
    found = calculations(find[:200])
    rooms: dict[str, list[dict[str, str]]] = {}
    for one in found:
        room = _ROOMS.get(one.room, one.room)
        row = {"name": one.name, "target": calculation_at(one.name), "summary": one.summary}
        rooms.setdefault(room, []).append(row)
    return site_of(request).page(
        request, "calculations.html", rooms=rooms, find=find, count=len(found)
    )


@router.get("/calculations/{name}")
def calculation_page(request: Request, name: str) -> Response:
    """One calculation; with arguments in the address also its result."""
    told = describe(name)
    said = _said(request)
    answer: Answer | None = None
    problems: list[dict[str, Any]] = []
    if said or "go" in request.query_params:
        try:
            answer = calculate(name, **said)
        except LinkwrightError as error:
            problems = error.problems()
    display = display_of(request)
    return site_of(request).page(
        request, "calculation.html",
        name=name, title=_title(name), description=told.description.split("\n\n"),
        source=told.source, basis=told.basis,
        arguments=[_argument(note, said) for note in told.arguments],
        results=[] if answer is None else _results(answer, display),
        warnings=() if answer is None else answer.warnings,
        problems=problems,
        sweep=_sweep(name, said, answer, request.query_params) if answer else None,
    )  # fmt: skip


def _said(request: Request) -> dict[str, str]:
    """The arguments that were filled in."""
    return {
        key.removeprefix(_ARGUMENT): value
        for key, value in request.query_params.items()
        if key.startswith(_ARGUMENT) and value.strip()
    }


def _number(key: str, text: str) -> float:
    try:
        return float(text)
    except ValueError:
        problem = Problem("number", f"'{text[:20]}' is no number", key=key, accepted="1.25")
        raise InputErrors([problem]) from None


def _title(name: str) -> str:
    text = words(name) if "_" in name else name
    return text[:1].upper() + text[1:]


def _argument(note: ArgumentNote, said: Mapping[str, str]) -> dict[str, Any]:
    default = "" if note.required or note.default is None else plain_text(note.default)
    return {
        "name": note.name, "words": words(note.name),
        "unit": unit_text(note.unit) if note.unit else "", "required": note.required,
        "said": said.get(note.name, ""), "default": default,
        "takes": ", ".join(note.takes), "needs": bounds_text(note.needs) if note.needs else "",
        "valid": bounds_text(note.valid) if note.valid else "",
    }  # fmt: skip


def _results(answer: Answer, display: Display) -> list[dict[str, str]]:
    return [
        {"name": name, "words": words(name), "value": _shown(name, value, display)}
        for name, value in answer.results.items()
    ]


def _shown(name: str, value: Any, display: Display) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return display.text(name, float(value), 6)
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        some = [_shown(name, one, display) for one in value[:_LIST_SHOWN]]
        return ", ".join(some) + (f" … ({len(value)})" if len(value) > _LIST_SHOWN else "")
    return plain_text(value)


def _sweep(
    name: str, said: Mapping[str, str], answer: Answer, asked: Mapping[str, str]
) -> dict[str, Any] | None:
    """The form of the sweep and the address of its picture; None where nothing can be swept."""
    can = swept(answer)
    drawn = [key for key, value in answer.results.items() if _is_number(value)]
    if not can or not drawn:
        return None
    over = asked.get("over", "")
    over = over if over in can else can[0]
    result = asked.get("result", "")
    result = result if result in drawn else drawn[0]
    low, high = usual_range(name, over, float(answer.arguments[over]))
    told: dict[str, Any] = {
        "over": over, "result": result, "can": [(key, words(key)) for key in can],
        "drawn": [(key, words(key)) for key in drawn], "problem": "", "picture": "",
        "unit": unit_text(split(over)[1]) if split(over)[1] else "",
    }  # fmt: skip
    try:
        if asked.get("swept"):
            low, high = (_number(key, asked.get(key, "")) for key in ("low", "high"))
        told["picture"] = _chart(name, sweep(name, said, over, low, high), result, answer)
    except LinkwrightError as error:
        told["problem"] = str(error)
    return told | {"low": f"{low:.6g}", "high": f"{high:.6g}"}


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _chart(name: str, found: Sweep, result: str, here: Answer) -> Markup:
    """The result over the argument, with the value as it was given marked."""
    axes = [
        Axis(words(key), unit_text(split(key)[1]) if split(key)[1] else "")
        for key in (found.over, result)
    ]
    at, value = float(here.arguments[found.over]), float(here.results[result])
    marks = [Mark(at, value, "as given")] if found.values[0] <= at <= found.values[-1] else []
    curve = Curve("", found.values, found.results.get(result, []))
    drawing = chart(_title(name), (axes[0], axes[1]), [curve], [], Display(), marks)
    if drawing is None:
        accepted = "a range in which the calculation has values"
        raise InputErrors([Problem("sweep", "there is no curve", key=found.over,
                                   accepted=accepted)])  # fmt: skip
    return inline(drawing, "sweep")
