"""What stands on the page of a planned line, as texts and marks ready for its template.

Pure functions of a line's document as `services.plan_desk` gives it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.documents.cards import operation_block
from linkwright.documents.display import Display, percent
from linkwright.documents.line_of_metal import areas_on_line, line_of_metal
from linkwright.documents.numbering import numbered
from linkwright.documents.steps import operation_words
from linkwright.documents.summary import product_words, summary, verdict_view
from linkwright.documents.words import plain_text, words
from linkwright.quantities import significant, split
from linkwright.services.plan_desk import Moved
from linkwright.web.addresses import line_at, number_at, pictures_at
from linkwright.web.site import inline

_ORDER = ("outside", "close", "within", "no limit given")
_SLIDER_STEPS = 200
_NONE = numbered([])


def head_view(line: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """What is made, and how it stands."""
    length, verdict = display.text("length_m", line["length_m"]), verdict_view(line, display)
    return {
        "product": product_words(line, display),
        "length": length,
        "verdict": verdict["word"],
        "mark": verdict["mark"],
        "warning": bool(line.get("not_for_lifting")),
        "points": verdict["points"],
    }


def route_view(
    line: Mapping[str, Any], display: Display, draft: str, index: int, place: str
) -> dict[str, Any]:
    """The line of metal with a way to every operation, and the operations as a list."""
    drawing = line_of_metal(line, display)
    areas = areas_on_line(line, display)
    rows = []
    for step in line["steps"]:
        name, target = step["place"], line_at(draft, index, step["place"])
        verdict = _worst(step)
        label = f"{operation_words(step)}: {verdict}"
        drawing.link(areas.get(name, []), target, label, here=name == place)
        rows.append(
            {
                "name": operation_words({"operation": step["operation"]}),
                "branch": plain_text(step["branch"]).replace("_", " "),
                "target": target,
                "verdict": verdict,
                "here": name == place,
            }
        )
    return {"metal": inline(drawing, "metal"), "branches": _by_branch(rows)}


def _by_branch(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    groups: list[dict[str, Any]] = []
    for row in rows:
        if not groups or groups[-1]["branch"] != row["branch"]:
            groups.append({"branch": row["branch"], "rows": []})
        groups[-1]["rows"].append(row)
    return groups


def _worst(step: Mapping[str, Any]) -> str:
    """The verdict of a step: that of its worst finding."""
    verdicts = [row["verdict"] for row in step["findings"]]
    return min(verdicts, key=_ORDER.index, default="no limit given")


def operation_view(
    step: Mapping[str, Any], display: Display, draft: str, index: int
) -> dict[str, Any]:
    """Settings that can be changed, findings, use and cautions of a step."""
    block = operation_block(step, _NONE, display, [])
    place = step["place"]
    settings = [
        {**shown, **_dial(row, display), "opens": number_at(draft, index, place, row["name"])}
        for shown, row in zip(block["settings"], step["settings"], strict=True)
    ]
    opens = {
        words(row["subject"]): number_at(draft, index, place, row["subject"])
        for row in step["findings"]
    }
    findings = [
        {**row, "opens": opens.get(row["name"], "")} for row in (*block["held"], *block["free"])
    ]
    return {
        "place": place,
        "title": block["title"],
        "machine": plain_text(step["machine"]),
        "settings": settings,
        "findings": findings,
        "use": [
            {
                "name": words(name),
                "value": display.text(name, value, 3),
                "opens": number_at(draft, index, place, name),
            }
            for name, value in step["use"].items()
            if value
        ],
        "cautions": step["cautions"],
        "pictures": pictures_at(draft, index, place),
    }


def _dial(row: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """How a setting may be changed: its number and the machine's range in shown units."""
    free = row["how"] != "follows" and row["text"] is None and row["value"] is not None
    dial: dict[str, Any] = {"key": row["name"], "free": free, "given": row["how"] == "given",
                            "slider": None}  # fmt: skip
    if not free:
        return dial
    value, unit = display.shown(row["name"], float(row["value"]))
    dial |= {"number": _plain(value, 6), "unit": display.unit(row["name"]), "suffix": unit}
    if row["low"] is not None and row["high"] is not None and row["high"] > row["low"]:
        low, high = (display.shown(row["name"], float(row[key]))[0] for key in ("low", "high"))
        whole = row["name"].endswith("_count") or split(row["name"])[0].endswith("_number")
        step = 1.0 if whole else _round_step((high - low) / _SLIDER_STEPS)
        dial["slider"] = {"low": _plain(low, 9), "high": _plain(high, 9), "step": _plain(step, 3)}
    return dial


def _round_step(step: float) -> float:
    """A step of 1, 2 or 5 of its decade, not wider."""
    decade = float(f"1e{f'{step:e}'.partition('e')[2]}")
    return max(one * decade for one in (1.0, 2.0, 5.0) if one * decade <= step * (1 + 1e-9))


def _plain(value: float, digits: int) -> str:
    """A number as an input field takes it."""
    return f"{value:.{digits}g}" if abs(value) < 1e15 else repr(value)


def chance_view(
    order: Any, works: Any, line: Mapping[str, Any], planned: Mapping[str, Any], display: Display
) -> dict[str, Any]:
    """The chance with its parts, what moves it most, and the trial worth making."""
    document = {
        "order": {"number": order.number, "customer": order.customer, "due": str(order.due)},
        "works": {"name": works.name, "place": works.place_name, "invented": works.invented},
    }
    whole = {**line, **planned, "derivation": [], "nearest": None}
    told = summary(document, whole, _NONE, display)
    return {
        key: told[key]
        for key in ("chance", "requirements", "influence", "trials", "use", "ordered")
    }


def moved_view(
    moved: Sequence[Moved], line: Mapping[str, Any], display: Display
) -> list[dict[str, Any]]:
    """Settings that differ from another draft, those that somebody gave first."""
    known = {step["place"] for step in line["steps"]}
    rows = [
        {
            "where": operation_words({"operation": one.place}),
            "name": words(one.name),
            "before": _shown(one.name, one.before, one.after, display),
            "after": _shown(one.name, one.after, one.before, display),
            "how": one.how,
            "place": one.place if one.place in known else "",
        }
        for one in moved
    ]
    return sorted(
        (row for row in rows if row["before"] != row["after"]),
        key=lambda row: row["how"] != "given",
    )


def _shown(name: str, value: Any, other: Any, display: Display) -> str:
    if isinstance(value, (int, float)) and isinstance(other, (int, float)):
        return display.text_beside(name, value, float(other))
    return display.text(name, value)


def chance_change(before: float, after: float) -> dict[str, str]:
    """Two chances and what lies between them, in points."""
    points = 100.0 * (after - before)
    sign = "+" if points > 0 else "−" if points < 0 else "±"
    return {
        "before": percent(before),
        "after": percent(after),
        "points": f"{sign}{significant(abs(points), 2)} points",
    }
