"""The papers of a plan: papers.pdf and its pictures, from the plan document alone.

Offers `write_papers`: summary, one set-up card a machine, the link under load, inspection plan,
and an annex in which every number opens. The same plan gives the same bytes. The cards may be in
the language of those who work by them; the rest is in English.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linkwright.documents.annex import annex
from linkwright.documents.cards import CAPTIONS, cards
from linkwright.documents.display import Display
from linkwright.documents.inspection_sheet import inspection_sheet
from linkwright.documents.line_of_metal import line_of_metal, places_on_line
from linkwright.documents.link_sheet import link_sheet
from linkwright.documents.numbering import numbered
from linkwright.documents.pictures import Picture, pictures_of
from linkwright.documents.steps import operation_words
from linkwright.documents.summary import product_words, summary
from linkwright.documents.typesetting import TIME_LIMIT_S, typeset
from linkwright.documents.words import plain_text
from linkwright.languages.wording import ENGLISH, Wording

_UNITS = {
    "metric": "metric units",
    "inch": "inch units for display; the metric values hold",
}
NOT_FOR_LIFTING = "Not for lifting or overhead safety loads"


def write_papers(
    document: Mapping[str, Any],
    folder: Path,
    *,
    units: str = "metric",
    wording: Wording = ENGLISH,
    time_limit_s: float = TIME_LIMIT_S,
) -> list[Path]:
    """Write ``papers.pdf`` and ``pictures/*.svg`` into an existing folder; gives their paths.

    ``document`` is the content of plan.json; ``units`` (metric or inch) changes display only;
    ``wording`` is that of the set-up cards and afterwards knows what it lacked.
    Raises `PapersFailed` if the papers cannot be set in the time limit, `UnknownName` for
    other units.
    """
    display = Display(units)
    drawn = [pictures_of(line, display) for line in document["lines"]]
    pdf = typeset(
        paper_data(document, display, drawn, Display(units, wording)),
        due=str(document["order"].get("due", "")),
        time_limit_s=time_limit_s,
    )
    paths = [folder / "papers.pdf"]
    paths[0].write_bytes(pdf)
    (folder / "pictures").mkdir(exist_ok=True)
    for index, pictures in enumerate(drawn):
        for picture in pictures:
            suffix = f"-{index + 1}" if index else ""
            path = folder / "pictures" / f"{picture.name}{suffix}.svg"
            path.write_text(picture.drawing.text(), encoding="utf-8", newline="\n")
            paths.append(path)
    return paths


def paper_data(
    document: Mapping[str, Any],
    display: Display,
    drawn: list[list[Picture]],
    on_cards: Display,
) -> dict[str, Any]:
    """All text of the papers, ready to be set: the head and one sheet a line.

    ``drawn``: the pictures of each line; ``on_cards``: how numbers and words look on cards.
    """
    program = document["program"]
    return {
        "title": plain_text(f"Plan for order {document['order']['number']}"),
        "program": f"{program['name']} {program['version']}",
        "invented": bool(document["works"].get("invented")),
        "sheets": [
            {
                **_sheet(document, index, display, pictures),
                **card_data(document, index, on_cards, pictures),
            }
            for index, pictures in enumerate(drawn)
        ],
    }


def card_data(
    document: Mapping[str, Any], index: int, display: Display, drawn: list[Picture]
) -> dict[str, Any]:
    """The cards of one line with all that is printed on them, in the language of the display.

    ``drawn``: the pictures in English, which serve where the cards are in English too.
    """
    line = document["lines"][index]
    pictures = drawn if display.wording is ENGLISH else pictures_of(line, display)
    return {
        "card_frame": _frame(document, line, display),
        "captions": {text: display.say(text) for text in CAPTIONS},
        "cards": cards(line, numbered(line["derivation"]), display, pictures),
    }


def _frame(
    document: Mapping[str, Any], line: Mapping[str, Any], display: Display
) -> dict[str, Any]:
    """What stands in the margins of a page: order and line, program and plan, who it is not for."""
    program, hashes = document["program"], document["hashes"]
    order, ident = plain_text(document["order"]["number"]), plain_text(line["id"])
    length = display.text("length_m", line.get("length_m"))
    running = display.say("Order {1} · line {2} · {3}", order, ident,
                          f"{length} {product_words(line, display)}")  # fmt: skip
    if lot := document.get("lot"):
        after = display.say(operation_words({"operation": lot["after"]}))
        running += " · " + display.say("from lot {1} after {2}", str(lot["number"]), after)
    foot = [
        f"{program['name']} {program['version']}",
        display.say(_UNITS[display.units]),
        display.say("plan {1} with works {2}", hashes["order"][:8], hashes["works"][:8]),
    ]
    if document["works"].get("invented"):
        foot.append(display.say("invented demo works"))
    return {
        "language": display.wording.language,
        "running": plain_text(running),
        "foot": plain_text(" · ".join(foot)),
        "page": display.say("page {1} of {2}", "{1}", "{2}"),
        "warning": display.say(NOT_FOR_LIFTING) if line.get("not_for_lifting") else "",
    }


def _sheet(
    document: Mapping[str, Any], index: int, display: Display, pictures: list[Picture]
) -> dict[str, Any]:
    line = document["lines"][index]
    numbers = numbered(line["derivation"])
    small = line_of_metal(line, display, captions=False)
    return {
        "key": str(index + 1),
        "id": plain_text(line["id"]),
        "order": plain_text(document["order"]["number"]),
        "frame": _frame(document, line, display),
        "small": {
            "svg": small.text(),
            "height": round(small.height, 2),
            "places": {place: list(ends) for place, ends in places_on_line(line, display).items()},
        },
        "large": pictures[0].drawing.text(),
        "summary": summary(document, line, numbers, display),
        "link": link_sheet(line, numbers, display),
        "inspection": inspection_sheet(line, numbers, display),
        "annex": annex(numbers, display),
    }
