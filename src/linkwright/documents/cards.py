"""Set-up cards: one a machine, cautions first, then settings and what can be checked.

Offers `cards`. Operations that follow each other on one machine share a card.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from linkwright.documents.display import Display, tolerance_mark
from linkwright.documents.numbering import Numbering
from linkwright.documents.pictures import Picture
from linkwright.documents.steps import size_of, title_of_operation
from linkwright.documents.words import plain_text, source_text, words

_HOW = {"given": "given by the order", "held": "held by this works", "solved": "solved"}
_SIZES = {
    "rod": ("wire_diameter_mm",),
    "wire": ("wire_diameter_mm",),
    "piece": ("wire_diameter_mm", "cut_length_mm"),
    "open link": ("wire_diameter_mm", "outer_width_mm", "gap_mm"),
    "closed link": ("wire_diameter_mm", "outer_width_mm", "pitch_mm"),
    "chain": ("wire_diameter_mm", "outer_width_mm", "pitch_mm"),
}
_SIZE_WORDS = {"wire_diameter_mm": "diameter", "cut_length_mm": "length"}


def cards(
    line: Mapping[str, Any],
    numbers: Numbering,
    display: Display,
    pictures: Sequence[Picture],
) -> list[dict[str, Any]]:
    """The cards of a line in the order of the route."""
    steps = list(enumerate(line["steps"]))
    made = []
    for machine, group in groupby(steps, key=lambda item: _machine(item[1])):
        held = list(group)
        first = held[0][0]
        before = line["steps"][first - 1]["stock"] if first else None
        made.append(
            {
                "machine": plain_text(machine)[:1].upper() + plain_text(machine)[1:],
                "operations": [str(step["operation"]) for _, step in held],
                "coming": _stock_words(before, display) if before else "",
                "leaving": _stock_words(held[-1][1]["stock"], display),
                "cautions": _cautions([step for _, step in held]),
                "blocks": [_block(step, numbers, display, pictures) for _, step in held],
            }
        )
    return made


def _machine(step: Mapping[str, Any]) -> str:
    return str(step["machine"] or step["operation"])


def _cautions(steps: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
    """Every caution of the steps once, in their order."""
    rows: dict[str, dict[str, str]] = {}
    for step in steps:
        for caution in step["cautions"]:
            danger, guard = plain_text(caution["danger"]), plain_text(caution["guard"])
            rows.setdefault(danger + guard, {"danger": danger, "guard": guard})
    return list(rows.values())


def _stock_words(stock: Mapping[str, Any], display: Display) -> str:
    held = {"stock": stock}
    sizes = [
        f"{_SIZE_WORDS.get(name, words(name))} {display.text(name, size_of(held, name))}"
        for name in _SIZES.get(stock["form"], ())
        if size_of(held, name) is not None
    ]
    return ", ".join([plain_text(stock["form"]), *sizes, plain_text(stock["steel"])])


def _block(
    step: Mapping[str, Any],
    numbers: Numbering,
    display: Display,
    pictures: Sequence[Picture],
) -> dict[str, Any]:
    bounded = [row for row in step["findings"] if _has_limit(row)]
    free = [row for row in step["findings"] if not _has_limit(row)]
    return {
        "title": title_of_operation(step),
        "settings": [_setting(row, numbers, display) for row in step["settings"]],
        "held": [_finding(row, numbers, display) for row in bounded],
        "free": [_finding(row, numbers, display) for row in free],
        "pictures": [
            picture.drawing.text() for picture in pictures if picture.operation == step["operation"]
        ],
    }


def _has_limit(row: Mapping[str, Any]) -> bool:
    return row["least"] is not None or row["greatest"] is not None


def _setting(row: Mapping[str, Any], numbers: Numbering, display: Display) -> dict[str, Any]:
    name, value, low, high = row["name"], row["value"], row["low"], row["high"]
    limits = display.limits(name, low, high)
    beyond = (
        row["text"] is None
        and value is not None
        and (
            (low is not None and value < low - 1e-12 * abs(low))
            or (high is not None and value > high + 1e-12 * abs(high))
        )
    )
    tolerance = row["tolerance"]
    return {
        "name": words(name),
        "value": plain_text(row["text"]) if row["text"] else display.text(name, value),
        "tolerance": ("as written" if row["text"] else "")
        if tolerance is None
        else f"±\u00a0{display.text(name, tolerance, 2, difference=True)}",
        "mark": tolerance_mark(value, low, high, "outside" if beyond else "within"),
        "range": limits or "no range given",
        "how": _how(row),
        "check": plain_text(row["check"]) or "no check stated",
        "ref": numbers.reference(row["entry"]),
    }


def _how(row: Mapping[str, Any]) -> str:
    how = _HOW.get(row["how"], plain_text(row["how"]))
    aim = plain_text(row["aim"])
    if not aim:
        return how
    return f"{how} for {aim}" if row["how"] == "solved" else f"{how}: {aim}"


def _finding(row: Mapping[str, Any], numbers: Numbering, display: Display) -> dict[str, Any]:
    subject = row["subject"]
    sides = [numbers.limit(row["source"], side, subject) for side in ("least", "greatest")]
    return {
        "name": words(subject),
        "value": display.text_beside(subject, row["value"], row["least"], row["greatest"]),
        "limit": display.limits(subject, row["least"], row["greatest"]),
        "mark": tolerance_mark(row["value"], row["least"], row["greatest"], row["verdict"]),
        "source": source_text(row["source"]),
        "note": plain_text(row["note"]),
        "ref": numbers.reference(row["entry"]),
        "limit_refs": [number for number in sides if number],
    }
