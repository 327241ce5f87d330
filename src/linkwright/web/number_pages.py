"""A number, opened: the formula it comes from, its inputs, and theirs, down to their sources."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request, Response

from linkwright.documents.display import Display
from linkwright.documents.words import derived_name, plain_text, source_text, words
from linkwright.services.calculations import describe
from linkwright.services.opening import open_in_document
from linkwright.web.addresses import calculation_at, line_at
from linkwright.web.site import display_of, line_ident, site_of

router = APIRouter()
_KINDS = {
    "file": "as written", "table": "published table", "calculation": "calculated",
    "solved": "solved", "default": "default of the calculation", "choice": "chosen",
    "bare": "source not recorded",
}  # fmt: skip
_BASES = {
    "published": "", "retrieved": "", "memory": "from memory", "computed": "derived here",
    "common practice": "common practice, no source",
}  # fmt: skip
_DEEPEST, _MOST = 40, 3000


@router.get("/orders/{draft}/lines/{line}/number")
async def number_page(request: Request, draft: str, line: int, of: str) -> Response:
    """The derivation of ``operation.name``; a page, of which a dialogue shows the middle."""
    site = site_of(request)
    held = site.drafts.get(draft)
    ident = line_ident(site, held, line)
    opened = open_in_document(await site.recorder.document(held.text, ident), of, ident)
    entries = {str(entry["id"]): entry for entry in opened.entries}
    root = opened.entries[0]
    tree = _Tree(entries, display_of(request)).node(str(root["id"]), of.rpartition(".")[2], 0)
    place = of.rpartition(".")[0]
    return site.page(
        request, "number.html", root=tree, formula=_formula(root), place=place.replace("_", " "),
        back=line_at(draft, line, place), sources=len(opened.sources), behind=len(entries) - 1,
    )  # fmt: skip


class _Tree:
    """Entries as nested nodes; what was shown already is only named."""

    def __init__(self, entries: Mapping[str, Mapping[str, Any]], display: Display) -> None:
        self.entries, self.display = entries, display
        self.shown: set[str] = set()

    def node(self, ident: str, argument: str, depth: int) -> dict[str, Any]:
        """One number with what it rests on."""
        entry = self.entries[ident]
        again = ident in self.shown
        self.shown.add(ident)
        inputs = [] if again or depth > _DEEPEST or len(self.shown) > _MOST else entry["inputs"]
        made = str(entry["name"]).partition(".")[0] if entry["kind"] == "calculation" else ""
        return {
            "name": words(argument) if argument else derived_name(str(entry["name"])),
            "value": self._value(entry, argument),
            "kind": _KINDS.get(str(entry["kind"]), plain_text(entry["kind"])),
            "made": made,
            "calculation": calculation_at(made) if made else "",
            "source": source_text(entry["source"]),
            "basis": _BASES.get(str(entry["basis"]), plain_text(entry["basis"])),
            "warnings": [plain_text(text) for text in entry["warnings"]],
            "again": again and bool(entry["inputs"]),
            "inputs": [
                self.node(str(reference), str(name), depth + 1) for name, reference in inputs
            ],
        }

    def _value(self, entry: Mapping[str, Any], argument: str) -> str:
        value = entry["value"]
        if isinstance(value, (int, float)):
            name = f"value_{entry['unit']}" if entry["unit"] else argument
            return self.display.text(name, float(value), 5)
        if isinstance(value, list):
            return f"{len(value)} values"
        return plain_text(value) if value is not None else "values over the section"


def _formula(entry: Mapping[str, Any]) -> list[str]:
    """What the calculation behind an entry says of itself: its formula and symbols."""
    if entry["kind"] != "calculation":
        return []
    return describe(str(entry["name"]).partition(".")[0]).description.split("\n\n")
