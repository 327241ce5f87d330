"""Set-up cards: one a machine, cautions first, then settings and what can be checked.

Offers `cards`, and `lacking`: what the card of an operation must show and does not. Operations
that follow each other on one machine share a card. Every text of the program goes through
`Display.say`; what the works wrote in its own file stays as it is written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from linkwright.documents.display import Display, tolerance_mark
from linkwright.documents.joined_line import is_joined
from linkwright.documents.numbering import Numbering
from linkwright.documents.pictures import Picture
from linkwright.documents.steps import size_of, title_said
from linkwright.documents.words import plain_text, source_text, words
from linkwright.planning.document import place_of

CAPTIONS = (
    "Chart",
    "Expected, no limit given",
    "No settings at this machine.",
    "Set-up card",
    "Tick each guard only after it was tried. Local codes and the judgement of a competent "
    "person come first.",
    "To be met",
    "actual",
    "as written",
    "check",
    "comes in",
    "initials",
    "leaves as",
    "no caution is stated for this machine: settle with a competent person what can hurt",
    "no tolerance stated",
    "not given: add it to [machine.card]",
    "outside",
    "proven before start",
    "range of the machine; check",
    "set to",
    "setting, how it came about",
)
"""What is printed on every card; the template asks for it by the English text."""
_HOW = {"given": "given by the order", "held": "held by this works", "solved": "solved",
        "follows": "follows"}  # fmt: skip
_SIZES = {
    "rod": ("wire_diameter_mm",),
    "wire": ("wire_diameter_mm",),
    "piece": ("wire_diameter_mm", "cut_length_mm"),
    "open link": ("wire_diameter_mm", "outer_width_mm", "gap_mm"),
    "closed link": ("wire_diameter_mm", "outer_width_mm", "pitch_mm"),
    "chain": ("wire_diameter_mm", "outer_width_mm", "pitch_mm"),
}
_SIZE_WORDS = {"wire_diameter_mm": "diameter", "cut_length_mm": "length"}
_STANDARD = re.compile(
    r"\b(?:EN|DIN|ISO|ASTM|DNV-OS)[ -][A-Z]?\d[\w:+/-]*"
    r"(?:, (?:\d[\d.]*(?:\u00a0| )mm|\d[\d.]*|Table \d+|any size))*"
)
_MACHINE, _NAMED = "{machine}", "{standard}"


def cards(
    line: Mapping[str, Any],
    numbers: Numbering,
    display: Display,
    pictures: Sequence[Picture],
) -> list[dict[str, Any]]:
    """The cards of a line in the order of the route."""
    steps = list(enumerate(line["steps"]))
    made = []
    joined = is_joined(line)
    for (machine, part), group in groupby(
        steps, key=lambda item: (_machine(item[1]), _part(item[1]) if joined else "")
    ):
        held = list(group)
        title = plain_text(machine)[:1].upper() + plain_text(machine)[1:]
        made.append(
            {
                "machine": f"{title}: {display.say(part)}" if part else title,
                "operations": [place_of(step) for _, step in held],
                "coming": _coming(line["steps"], held[0][0], joined, display),
                "leaving": _stock_words(held[-1][1]["stock"], display),
                "cautions": _cautions([step for _, step in held], display),
                "blocks": [operation_block(step, numbers, display, pictures) for _, step in held],
            }
        )
    return made


def lacking(step: Mapping[str, Any]) -> list[str]:
    """Names of settings that the card of this operation must show and does not."""
    shown = {row["name"] for row in step["settings"]}
    return [name for name in step.get("card", ()) if name not in shown]


def _part(step: Mapping[str, Any]) -> str:
    return plain_text(step["branch"]).replace("_", " ")


def _coming(steps: Sequence[Mapping[str, Any]], first: int, joined: bool, display: Display) -> str:
    """What comes to a machine: the stock of the step before, or the parts that meet here."""
    feeds = steps[first].get("feeds")
    if feeds:
        return ", ".join(display.say(plain_text(one).replace("_", " ")) for one in feeds)
    if first == 0 or (joined and steps[first - 1]["branch"] != steps[first]["branch"]):
        return ""
    return _stock_words(steps[first - 1]["stock"], display)


def _machine(step: Mapping[str, Any]) -> str:
    return str(step["machine"] or step["operation"])


def _cautions(steps: Sequence[Mapping[str, Any]], display: Display) -> list[dict[str, str]]:
    """Every caution of the steps once, in their order."""
    rows: dict[str, dict[str, str]] = {}
    for step in steps:
        for caution in step["cautions"]:
            danger, guard = (display.say(plain_text(caution[key])) for key in ("danger", "guard"))
            rows.setdefault(danger + guard, {"danger": danger, "guard": guard})
    return list(rows.values())


def _stock_words(stock: Mapping[str, Any], display: Display) -> str:
    held = {"stock": stock}
    sizes = [
        f"{display.say(_SIZE_WORDS.get(name, words(name)))} {_size(held, name, display)}"
        for name in _SIZES.get(stock["form"], ())
        if size_of(held, name) is not None
    ]
    form = display.say(plain_text(stock["form"]))
    return ", ".join([form, *sizes, plain_text(stock["steel"])])


def _size(step: Mapping[str, Any], name: str, display: Display) -> str:
    return display.text(name, size_of(step, name))


def operation_block(
    step: Mapping[str, Any],
    numbers: Numbering,
    display: Display,
    pictures: Sequence[Picture],
) -> dict[str, Any]:
    """Settings, findings and pictures of one operation, as texts and marks ready to be set."""
    bounded = [row for row in step["findings"] if _has_limit(row)]
    free = [row for row in step["findings"] if not _has_limit(row)]
    return {
        "title": title_said(step, display.say),
        "settings": [_setting(row, step, numbers, display) for row in step["settings"]],
        "lacking": [display.name(name) for name in lacking(step)],
        "held": [_finding(row, step, numbers, display) for row in bounded],
        "free": [_finding(row, step, numbers, display) for row in free],
        "pictures": [
            picture.drawing.text() for picture in pictures if picture.operation == place_of(step)
        ],
    }


def _has_limit(row: Mapping[str, Any]) -> bool:
    return row["least"] is not None or row["greatest"] is not None


def _setting(
    row: Mapping[str, Any], step: Mapping[str, Any], numbers: Numbering, display: Display
) -> dict[str, Any]:
    name, low, high = row["name"], row["low"], row["high"]
    own, text = bool(row.get("own")), plain_text(row.get("text") or "")
    theirs = own and name not in step.get("card", ())
    check = plain_text(row["check"])
    word = "outside" if _beyond(row["value"], low, high) else "within"
    return {
        "name": words(name) if theirs else display.name(name),
        "value": text or display.text(name, row["value"]),
        "text": bool(text),
        "tolerance": "" if text else _tolerance(name, row["tolerance"], display),
        "mark": tolerance_mark(row["value"], low, high, word),
        "range": display.limits(name, low, high),
        "how": _how(row, step, display),
        "check": (check if own else _with_names(check, step, display))
        or display.say("no check stated"),
        "ref": numbers.reference(row["entry"]),
    }


def _beyond(value: float | None, low: float | None, high: float | None) -> bool:
    """Whether the machine cannot hold the value; the last digits do not count."""
    if value is None:
        return False
    return (low is not None and value < low - 1e-12 * abs(low)) or (
        high is not None and value > high + 1e-12 * abs(high)
    )


def _tolerance(name: str, tolerance: float | None, display: Display) -> str:
    if tolerance is None:
        return display.say("no tolerance stated")
    return f"±\u00a0{display.text(name, tolerance, 2, difference=True)}"


def _how(row: Mapping[str, Any], step: Mapping[str, Any], display: Display) -> str:
    how = _HOW.get(row["how"], plain_text(row["how"]))
    aim = plain_text(row["aim"]).replace(" degC", " °C")
    if not aim:
        return display.say(how)
    return display.say(f"{how} for {{1}}" if row["how"] == "solved" else f"{how}: {{1}}",
                       _with_names(aim, step, display))  # fmt: skip


def _with_names(text: str, step: Mapping[str, Any], display: Display) -> str:
    """A text of the program that may name the machine and a standard, which keep their names."""
    name = str(step["machine"])
    named = _STANDARD.search(text)
    message = _STANDARD.sub(_NAMED, text, count=1)
    said = display.say(message.replace(name, _MACHINE) if name else message)
    return said.replace(_MACHINE, name).replace(_NAMED, named[0] if named else _NAMED)


def _source(text: str, step: Mapping[str, Any], display: Display) -> str:
    """A source; it needs no translation, for it may be nothing but the name of a standard."""
    name = str(step["machine"])
    said = display.wording.if_known(text.replace(name, _MACHINE) if name else text)
    return said.replace(_MACHINE, name)


def _finding(
    row: Mapping[str, Any], step: Mapping[str, Any], numbers: Numbering, display: Display
) -> dict[str, Any]:
    subject = row["subject"]
    sides = [numbers.limit(row["source"], side, subject) for side in ("least", "greatest")]
    return {
        "name": display.name(subject),
        "value": display.text_beside(subject, row["value"], row["least"], row["greatest"]),
        "limit": display.limits(subject, row["least"], row["greatest"]),
        "mark": tolerance_mark(row["value"], row["least"], row["greatest"], row["verdict"]),
        "verdict": display.say(row["verdict"]),
        "source": _source(source_text(row["source"]), step, display),
        "note": _with_names(plain_text(row["note"]), step, display),
        "ref": numbers.reference(row["entry"]),
        "limit_refs": [number for number in sides if number],
    }
