"""The papers of a plan: papers.pdf and its pictures, from the plan document alone.

Offers `write_papers`: summary, one set-up card a machine, inspection plan, and an annex in
which every number opens. The same plan gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linkwright.documents.annex import annex
from linkwright.documents.cards import cards
from linkwright.documents.display import Display
from linkwright.documents.inspection_sheet import inspection_sheet
from linkwright.documents.line_of_metal import line_of_metal, places_on_line
from linkwright.documents.numbering import numbered
from linkwright.documents.pictures import Picture, pictures_of
from linkwright.documents.summary import product_words, summary
from linkwright.documents.typesetting import TIME_LIMIT_S, typeset
from linkwright.documents.words import plain_text

_UNITS = {
    "metric": "metric units",
    "inch": "inch units for display; the metric values hold",
}


def write_papers(
    document: Mapping[str, Any],
    folder: Path,
    *,
    units: str = "metric",
    time_limit_s: float = TIME_LIMIT_S,
) -> list[Path]:
    """Write ``papers.pdf`` and ``pictures/*.svg`` into an existing folder; gives their paths.

    ``document`` is the content of plan.json; ``units`` (metric or inch) changes display only.
    Raises `PapersFailed` if the papers cannot be set in the time limit, `UnknownName` for
    other units.
    """
    display = Display(units)
    drawn = [pictures_of(line, display) for line in document["lines"]]
    pdf = typeset(
        paper_data(document, display, drawn),
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
    document: Mapping[str, Any], display: Display, drawn: list[list[Picture]]
) -> dict[str, Any]:
    """All text of the papers, ready to be set: the head and one sheet a line."""
    return {
        "head": _head(document, display),
        "sheets": [
            _sheet(document, index, display, pictures) for index, pictures in enumerate(drawn)
        ],
    }


def _head(document: Mapping[str, Any], display: Display) -> dict[str, Any]:
    program, works = document["program"], document["works"]
    invented = bool(works.get("invented"))
    foot = [
        f"{program['name']} {program['version']}",
        _UNITS[display.units],
        f"plan {document['hashes']['order'][:8]} with works {document['hashes']['works'][:8]}",
    ]
    if invented:
        foot.append("invented demo works")
    return {
        "title": plain_text(f"Plan for order {document['order']['number']}"),
        "program": f"{program['name']} {program['version']}",
        "foot": plain_text(" · ".join(foot)),
        "invented": invented,
    }


def _sheet(
    document: Mapping[str, Any], index: int, display: Display, pictures: list[Picture]
) -> dict[str, Any]:
    line = document["lines"][index]
    numbers = numbered(line["derivation"])
    small = line_of_metal(line, display, captions=False)
    order = plain_text(document["order"]["number"])
    ident = plain_text(line["id"])
    length = display.text("length_m", line.get("length_m"))
    return {
        "key": str(index + 1),
        "id": ident,
        "order": order,
        "running": f"Order {order} · line {ident} · {length} {product_words(line, display)}",
        "small": {
            "svg": small.text(),
            "height": round(small.height, 2),
            "places": {place: list(ends) for place, ends in places_on_line(line, display).items()},
        },
        "large": pictures[0].drawing.text(),
        "summary": summary(document, line, numbers, display),
        "cards": cards(line, numbers, display, pictures),
        "inspection": inspection_sheet(line, numbers, display),
        "annex": annex(numbers, display),
    }
