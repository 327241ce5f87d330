"""What stands on the pages of a certificate: plain data for the template, from the content alone.

Offers `page_data`. Every label goes through the wording of the certificate's language; what the
works and its customers wrote stays as they wrote it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import quote

from linkwright.documents.certificates.code_picture import code_picture
from linkwright.documents.certificates.content import (
    MAKER,
    MET,
    NOT_MET,
    OFFICIAL,
    PURCHASER,
    UNDECIDED,
    Certificate,
    Heat,
    Requirement,
)
from linkwright.documents.certificates.laws import OTHER, caution, laws
from linkwright.documents.display import Display, tolerance_mark
from linkwright.languages.wording import Wording, wording_of
from linkwright.quantities import split
from linkwright.standards.inspection_documents import inspection_document

TITLES = {
    "2.1": "Declaration of compliance with the order",
    "2.2": "Test report",
    "3.1": "Inspection certificate",
    "3.2": "Inspection certificate",
}
ACTS_FOR = {
    MAKER: "for the maker",
    PURCHASER: "for the purchaser",
    OFFICIAL: "for the official rules",
}
_MARK_WORDS = {MET: "within", NOT_MET: "outside", UNDECIDED: "close"}
_EXACT, _CONVERTED, _SPREAD = 7, 5, 2
_GROUP, _BEGIN = 8, 16
Row = tuple[str, str, str]
"""Label, field code, value."""


def page_data(one: Certificate, fingerprint: str, wording: Wording | None = None) -> dict[str, Any]:
    """All text of the pages, ready to be set; in the certificate's language if none is given."""
    display = Display(one.units, wording or wording_of(one.language))
    say = display.say
    return {
        "language": one.language,
        "title": f"{say(TITLES[one.type])} {one.number}",
        "invented": say("invented: part of a demonstration") if one.invented else "",
        "head": _head(one, display),
        "replaces": _replaces(one, display),
        "parties": _rows(_parties(one, display)),
        "goods": _rows(_goods(one, display)),
        "labels": _labels(display),
        "requirements": [_requirement(line, display) for line in one.requirements],
        "memory": any(line.basis == "memory" for line in one.requirements),
        "heats": [_heat(heat, display) for heat in one.goods.heats],
        "pieces": [
            [piece.number, _text(display, "length_m", piece.length_m), piece.marks]
            for piece in one.goods.pieces
        ],
        "statement": [one.statement, *([one.decision_rule] if one.decision_rule else [])],
        "remarks": list(one.remarks),
        "release": _rows(_release(one, display)),
        "validators": [
            [man.name, man.position, _acting(man.acts_for, man.independent, display)]
            for man in one.validators
        ],
        "declaration": _declaration(one, display),
        "technical_file": [
            [item.number, item.title, item.kept_at, _shortened(item.digest)]
            for item in one.technical_file
        ],
        "proof": _proof(one, fingerprint, display),
        "foot": _foot(one, fingerprint, display),
    }  # fmt: skip


def code_text(one: Certificate, fingerprint: str) -> str:
    """What the square code says: an address of the works with the fingerprint, or it alone.

    ``{number}`` and ``{fingerprint}`` in the address are filled; without the latter it follows
    behind ``#``, which a browser does not send.
    """
    if not one.check_address:
        return f"sha256:{fingerprint}"
    address = one.check_address.replace("{number}", quote(one.number, safe=""))
    if "{fingerprint}" in address:
        return address.replace("{fingerprint}", fingerprint)
    return f"{address}#sha256:{fingerprint}"


def _head(one: Certificate, display: Display) -> dict[str, Any]:
    kind = inspection_document(type=one.type)
    return {
        "maker": one.maker.name,
        "address": list(one.maker.address),
        "mark": display.say("mark of the maker: {1}", one.maker.mark),
        "kind": display.say(TITLES[one.type]),
        "type": one.type,
        "number": one.number,
        "meaning": f"EN 10204:2004, {display.say('type')} {one.type}: {display.say(kind.meaning)}",
        "issued": display.say("issued {1}", _time(one.issued_at)),
    }


def _replaces(one: Certificate, display: Display) -> list[str]:
    if one.replaces is None:
        return []
    return [
        display.say("replaces certificate {1}, which no longer holds", one.replaces.number),
        display.say("reason: {1}", one.replaces.reason),
        display.say("its fingerprint: {1}", one.replaces.fingerprint),
    ]


def _rows(rows: Iterable[Row]) -> list[list[str]]:
    return [list(row) for row in rows if row[2]]


def _parties(one: Certificate, display: Display) -> Iterable[Row]:
    say, of = display.say, one.purchaser
    yield say("purchaser"), "A06", ", ".join((of.name, *of.address))
    yield say("order"), "A07", of.order
    yield say("works order"), "A08", of.works_order
    yield say("article"), "A09", of.article
    yield say("issuer"), "A05", one.maker.issuer
    yield say("representative"), "", one.maker.representative


def _goods(one: Certificate, display: Display) -> Iterable[Row]:
    say, goods = display.say, one.goods
    count = len(goods.pieces)
    yield say("product"), "B01", goods.product
    yield say("standard"), "B02", goods.standard
    yield say("grade"), "", goods.grade
    yield say("nominal size"), "B09-B11", goods.nominal_size
    yield say("pitch"), "", _if_there(display, "pitch_mm", goods.pitch_mm)
    yield say("steel"), "B02", goods.steel
    yield say("delivery condition"), "B04", goods.delivery_condition
    yield say("further requirements"), "B03", goods.further_requirements
    yield say("treatment of samples"), "B05", goods.sample_treatment
    yield say("marking on the chain"), "B06", goods.marking
    length = _text(display, "length_m", goods.length_m)
    pieces = say("in one piece") if count == 1 else say("in {1} pieces", str(count))
    yield say("quantity"), "B08", f"{length} {pieces}"
    yield say("mass"), "B13", _if_there(display, "mass_kg", goods.mass_kg)
    limit = goods.working_load_limit_t
    # a load limit keeps its tonne: it is a name on the chain as much as a number
    yield say("working load limit"), "", "" if limit is None else Display().text("load_t", limit)


def _requirement(line: Requirement, display: Display) -> dict[str, Any]:
    name = f"{line.characteristic.replace(' ', '_')}_{line.unit}" if line.unit else "value"
    worst = _worst(line)
    mark = tolerance_mark(worst, line.least, line.greatest, _MARK_WORDS.get(line.verdict, ""))
    limits = (line.least, line.greatest)
    results = [
        [result.sample, result.found if result.value is None
         else display.text_beside(name, result.value, *limits) if _converted(display, name)
         else _text(display, name, result.value, unit=False)]
        for result in line.results
    ]  # fmt: skip
    spread = line.standard_uncertainty
    return {
        "name": display.say(line.characteristic),
        "code": line.code,
        "method": line.method,
        "limit": display.limits(name, *limits) or "–",
        "source": display.source(line.source),
        "memory": line.basis == "memory",
        "results": results,
        "unit": "" if _converted(display, name) else display.unit(name),
        "u": "–" if spread is None else _spread(display, name, spread),
        "mark": mark if mark["least"] is not None or mark["greatest"] is not None else None,
        "verdict": display.say(line.verdict),
        "concession": line.concession,
        "records": ", ".join(line.records),
    }


def _worst(line: Requirement) -> float | None:
    """The result that is nearest to a limit, or furthest beyond it."""
    values = [result.value for result in line.results if result.value is not None]
    if not values or (line.least is None and line.greatest is None):
        return values[0] if values else None

    def room(value: float) -> float:
        least = float("inf") if line.least is None else value - line.least
        greatest = float("inf") if line.greatest is None else line.greatest - value
        return min(least, greatest)

    return min(values, key=room)


def _heat(heat: Heat, display: Display) -> dict[str, Any]:
    return {
        "number": heat.number,
        "document": heat.document,
        "process": heat.process,
        "symbols": [element.symbol for element in heat.analysis],
        "shares": [display.number(element.percent, _EXACT) for element in heat.analysis],
        "limits": [
            _share_limits(display, element.least_percent, element.greatest_percent)
            for element in heat.analysis
        ],
    }


def _share_limits(display: Display, least: float | None, greatest: float | None) -> str:
    ends = [None if end is None else display.number(end, _EXACT) for end in (least, greatest)]
    if ends[0] is not None and ends[1] is not None:
        return f"{ends[0]}–{ends[1]}"
    return f"≥ {ends[0]}" if ends[0] is not None else f"≤ {ends[1]}" if ends[1] is not None else ""


def _release(one: Certificate, display: Display) -> Iterable[Row]:
    say, release = display.say, one.release
    yield say("lot"), "", release.lot
    yield say("decision"), "", release.decision
    yield say("proposed"), "", f"{release.proposed_by}, {_time(release.proposed_at)}"
    yield say("released"), "", f"{release.released_by}, {_time(release.released_at)}"
    yield say("samples"), "C01", one.samples_of
    yield say("evidence, digest"), "", _shortened(release.evidence)
    yield say("records, newest digest"), "", _shortened(one.records_head)


def _acting(acts_for: str, independent: bool, display: Display) -> str:
    said = display.say(ACTS_FOR[acts_for])
    if independent and acts_for == MAKER:
        return f"{said}, {display.say('independent of manufacturing')}"
    return said


def _declaration(one: Certificate, display: Display) -> dict[str, Any] | None:
    said = one.declaration
    if said is None:
        return None
    law = next((law for law in laws() if law.key == said.law and said.law != OTHER), None)
    sources = [] if law is None else [display.say("law, from memory: {1}", law.source)]
    return {
        "title": said.title,
        "text": said.text,
        "marking": display.say("marking: {1}", said.marking),
        "confirmed": display.say("law and text confirmed for the works by {1} on {2}",
                                 said.confirmed_by, said.confirmed_on),
        "notes": [display.say(caution()), *sources],
    }  # fmt: skip


def _proof(one: Certificate, fingerprint: str, display: Display) -> dict[str, Any]:
    say = display.say
    groups = [fingerprint[at : at + _GROUP] for at in range(0, len(fingerprint), _GROUP)]
    return {
        "code": code_picture(code_text(one, fingerprint)),
        "says": say("square code: {1}", code_text(one, fingerprint)),
        "name": say("fingerprint (SHA-256 of the data that this page is made from)"),
        "fingerprint": [" ".join(groups[:4]), " ".join(groups[4:])],
        "how": [
            say("Signed electronically (PAdES); the file carries its data as certificate.json "
                "and certificate.xml. The paper alone proves nothing: the file does."),
            say("To check without the works: linkwright verify FILE, or any reader of signed PDF; "
                "the SHA-256 of certificate.json is the fingerprint."),
            say("Whether it was withdrawn stands in the works' signed list of withdrawals."),
        ],
    }  # fmt: skip


def _foot(one: Certificate, fingerprint: str, display: Display) -> dict[str, str]:
    units = ("inch units for display; the metric values in the data hold"
             if one.units == "inch" else "metric units")  # fmt: skip
    return {
        "left": f"{one.maker.name} · {one.number} · {fingerprint[:_GROUP]} · {display.say(units)}",
        "page": display.say("page {1} of {2}", "{1}", "{2}"),
    }


def _labels(display: Display) -> dict[str, str]:
    texts = {
        "parties": "Order",
        "goods": "What was delivered",
        "requirements": "What was asked and found",
        "characteristic": "characteristic",
        "limit": "limit and source",
        "results": "results by sample",
        "uncertainty": "standard uncertainty",
        "mark": "least favourable in its limits",
        "verdict": "verdict",
        "heats": "Steel: cast analysis",
        "heat": "heat",
        "document": "document",
        "process": "process",
        "pieces": "Pieces",
        "piece": "piece",
        "length": "length",
        "marks": "marks",
        "release": "Release",
        "statement": "Statement",
        "validated": "Validated by signature",
        "file": "Index of the technical file",
        "proof": "Proof",
        "percent": "% by mass",
        "concession": "concession",
        "limits": "limits",
        "codes": "Small codes are fields of EN 10168:2004 (from memory).",
        "memory": "† from memory: not read in the standard for this program.",
    }
    return {key: display.say(text) for key, text in texts.items()}


def _if_there(display: Display, name: str, value: float | None) -> str:
    return "" if value is None else _text(display, name, value)


def _text(display: Display, name: str, value: float, **how: Any) -> str:
    """A value with all its digits where it is shown in its own unit."""
    return display.text(name, value, _CONVERTED if _converted(display, name) else _EXACT, **how)


def _spread(display: Display, name: str, value: float) -> str:
    """An uncertainty: as it was given, or with two digits where it is converted."""
    digits = _SPREAD if _converted(display, name) else _EXACT
    return display.text(name, value, digits, difference=True)


def _converted(display: Display, name: str) -> bool:
    return display.shown(name, 0.0)[1] != split(name)[1]


def _shortened(digest: str) -> str:
    """The begin of a digest; the data holds all of it."""
    return f"{digest[:_BEGIN]}…" if len(digest) > _BEGIN else digest


def _time(text: str) -> str:
    return f"{text[:10]} {text[11:16]} UTC"
