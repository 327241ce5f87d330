"""What a certificate must hold before it is made: the rules of its type, its goods, its release.

`require(certificate)` raises `NotReleased` for a lot that is not released, and `InputErrors` with
everything else that is wrong.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any

from linkwright.documents.certificates.content import (
    MAKER,
    MET,
    NO_EVIDENCE,
    NOT_MET,
    OFFICIAL,
    PURCHASER,
    RELEASED,
    SCHEMA_VERSION,
    TYPES,
    UNDECIDED,
    Certificate,
    Requirement,
)
from linkwright.documents.certificates.laws import OTHER, law_in_force, laws
from linkwright.languages.wording import languages
from linkwright.quantities import (
    UNITS,
    CannotPlan,
    InputErrors,
    LinkwrightError,
    Problem,
)
from linkwright.quantities.unit_systems import SYSTEMS
from linkwright.standards.inspection_documents import inspection_field

Found = Iterator[tuple[str, str, str | None]]
"""Key, what is wrong with it, what would be accepted."""
LIFTING_ASKS = ("manufacturing proof force", "breaking force", "total ultimate elongation")
"""Characteristics that the maker's certificate of lifting chain states: EN 818-1 (from memory)."""
_LONGEST_TEXT, _LONGEST_NAME = 1000, 80
_FINGERPRINT = re.compile(r"[0-9a-f]{64}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")


class NotReleased(CannotPlan):
    """No certificate: the lot is not released."""

    code = "not-released"


def require(certificate: Certificate, name: str = "certificate") -> None:
    """Raise unless a certificate may be made of this."""
    release = certificate.release
    if release.state != RELEASED:
        raise NotReleased(
            f"lot {release.lot} is {release.state or 'in no known state'}, not released: "
            "no certificate is made of it"
        )
    checks = (_texts, _head, _by_type, _released, _goods, _lines, _lifting)
    found = [one for check in checks for one in check(certificate)]
    if found:
        raise InputErrors([Problem("certificate", said, name, None, key, accepted)
                           for key, said, accepted in found])  # fmt: skip


def time_of(text: str) -> datetime | None:
    """The instant of a time as certificates write it, or None."""
    if not _TIME.fullmatch(text):
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def _texts(part: Any, key: str = "") -> Found:
    """Every text is one line of printable letters, in one form of Unicode, and not too long."""
    if is_dataclass(part):
        for one in fields(part):
            yield from _texts(getattr(part, one.name), f"{key}.{one.name}".lstrip("."))
    elif isinstance(part, (tuple, list)):
        for index, inner in enumerate(part):
            yield from _texts(inner, f"{key}[{index}]")
    elif isinstance(part, str):
        if not part.isprintable() or part != part.strip():
            yield key, "is no single line of printable letters", None
        elif len(part) > _LONGEST_TEXT:
            yield key, "is too long", f"at most {_LONGEST_TEXT} letters"
        elif unicodedata.normalize("NFC", part) != part:
            yield key, "has accents apart from their letters", "Unicode in the form NFC"


def _head(one: Certificate) -> Found:
    if one.schema_version != SCHEMA_VERSION:
        yield "schema_version", f"is {one.schema_version}", str(SCHEMA_VERSION)
    needed = {"number": one.number, "maker.name": one.maker.name, "maker.mark": one.maker.mark,
              "maker.address": one.maker.address, "purchaser.name": one.purchaser.name,
              "statement": one.statement, "goods.standard": one.goods.standard}  # fmt: skip
    for key, held in needed.items():
        if not held:
            yield key, "is empty", None
    if time_of(one.issued_at) is None:
        yield "issued_at", f"is no time: {one.issued_at[:40]}", "such as 2026-12-18T09:30:00Z"
    if one.language not in languages():
        yield "language", "is not known", ", ".join(languages())
    if one.units not in SYSTEMS:
        yield "units", "is not known", ", ".join(SYSTEMS)
    if one.replaces is not None:
        if not _FINGERPRINT.fullmatch(one.replaces.fingerprint):
            yield "replaces.fingerprint", "is no fingerprint", "64 digits 0-9, a-f"
        if not one.replaces.reason:
            yield "replaces.reason", "is empty", "why the other certificate is replaced"
        if one.replaces.number == one.number:
            yield "replaces.number", "is the certificate itself", "the number of another"


def _by_type(one: Certificate) -> Found:
    if one.type not in TYPES:
        yield "type", f"is no type of inspection document: {one.type[:20]}", ", ".join(TYPES)
        return
    for_maker = [man for man in one.validators if man.acts_for == MAKER]
    others = [man for man in one.validators if man.acts_for in (PURCHASER, OFFICIAL)]
    if not all(0 < len(man.name) <= _LONGEST_NAME for man in one.validators):
        yield "validators", "have a name that is empty or too long", f"1 to {_LONGEST_NAME} letters"
    if len(for_maker) + len(others) != len(one.validators):
        yield "validators", "act for nobody known", f"{MAKER}, {PURCHASER}, {OFFICIAL}"
    if len(for_maker) != 1 or one.validators[0] not in for_maker:
        yield "validators", "do not begin with the one of the maker", "one for the maker, first"
    wanted = 1 if one.type == "3.2" else 0
    if len(others) != wanted:
        accepted = f"{wanted} for the purchaser or the official rules"
        yield "validators", f"are not those of type {one.type}", accepted
    if one.type.startswith("3") and not all(man.independent for man in for_maker):
        yield (
            "validators[0].independent",
            "is not said",
            (f"type {one.type} is validated by a representative independent of manufacturing"),
        )
    if one.type == "2.1" and one.requirements:
        yield "requirements", "has results, and type 2.1 carries none", "nothing, or type 2.2"
    if one.type != "2.1" and not one.requirements:
        yield "requirements", f"is empty, and type {one.type} carries results", None
    for index, line in enumerate(one.requirements):
        if line.specific == (one.type == "2.2"):
            asked = "non-specific" if one.type == "2.2" else "specific"
            yield f"requirements[{index}].specific", f"type {one.type} rests on {asked} tests", None


def _released(one: Certificate) -> Found:
    release = one.release
    for key in ("lot", "decision", "proposed_by", "released_by"):
        if not getattr(release, key):
            yield f"release.{key}", "is empty", None
    if release.two_people and release.proposed_by == release.released_by:
        yield "release.released_by", "proposed the release too", "another person"
    times = [time_of(text) for text in (release.proposed_at, release.released_at, one.issued_at)]
    known = [time for time in times if time is not None]
    if len(known) < len(times):
        yield "release", "has a time that is none", "such as 2026-12-18T09:30:00Z"
    elif known != sorted(known):
        yield "release", "is not in order of time", "proposed, then released, then certified"


def _goods(one: Certificate) -> Found:
    goods = one.goods
    if not goods.pieces:
        yield "goods.pieces", "is empty", None
    numbers = [piece.number for piece in goods.pieces]
    if len(set(numbers)) < len(numbers):
        yield "goods.pieces", "names a piece twice", None
    if any(piece.length_m <= 0 for piece in goods.pieces):
        yield "goods.pieces", "has a piece without length", "more than 0 m"
    total = sum(piece.length_m for piece in goods.pieces)
    if abs(total - goods.length_m) > 1e-6 * max(total, 1.0):
        said = f"is {goods.length_m:g} m, but the pieces add up to {total:g} m"
        yield "goods.length_m", said, f"{total:g}"


def _lines(one: Certificate) -> Found:
    for index, line in enumerate(one.requirements):
        key = f"requirements[{index}]"
        for inner, said, accepted in _line(line):
            yield f"{key}{inner}", said, accepted
        if line.concession and one.goods.lifting:
            yield (
                f"{key}.concession",
                "lifting chain leaves on no concession",
                "a lot that conforms",
            )


def _line(line: Requirement) -> Found:
    what = line.characteristic
    if line.unit and line.unit not in UNITS:
        yield ".unit", f"is not in the table of units: {line.unit[:20]}", None
    if line.code:
        try:
            inspection_field(code=line.code)
        except LinkwrightError:
            yield ".code", f"is no field code known here: {line.code[:20]}", "such as C12, or none"
    if not line.results or line.verdict == NO_EVIDENCE:
        yield ".results", f"{what} has no evidence", "results of tests"
    elif line.verdict not in (MET, NOT_MET, UNDECIDED):
        yield ".verdict", "is not known", ", ".join((MET, NOT_MET, UNDECIDED))
    elif line.verdict != MET and not line.concession:
        yield ".verdict", f"{what} is {line.verdict}", "met, or a concession by the purchaser"
    outside = [
        result.sample for result in line.results if result.value is not None
        and ((line.least is not None and result.value < line.least)
             or (line.greatest is not None and result.value > line.greatest))
    ]  # fmt: skip
    if outside and line.verdict == MET:
        yield ".verdict", f"{what} is met, but a result is beyond its limit: {outside[0]}", None
    if any(result.value is None and not result.found for result in line.results):
        yield ".results", f"{what} has a result with neither value nor finding", None
    if line.standard_uncertainty is not None and line.standard_uncertainty < 0:
        yield ".standard_uncertainty", "is negative", "0 or more"
    if not line.source:
        yield ".source", f"{what}: where the limit stands is not said", None


def _lifting(one: Certificate) -> Found:
    if not one.goods.lifting:
        return
    if one.type.startswith("3"):
        said = [line.characteristic.lower().replace("_", " ") for line in one.requirements]
        for wanted in LIFTING_ASKS:
            if wanted not in said:
                yield "requirements", f"lacks the {wanted} that lifting chain states", None
    if not one.goods.grade:
        yield "goods.grade", "is empty", "the grade of the lifting chain"
    if one.goods.working_load_limit_t is None:
        yield "goods.working_load_limit_t", "is empty", "the greatest load in service"
    if not one.technical_file:
        yield "technical_file", "has no index", "a list of the documents in the technical file"
    yield from _declared(one)


def _declared(one: Certificate) -> Found:
    said, at = one.declaration, time_of(one.issued_at)
    if said is None or at is None:
        yield "declaration", "is missing", "the declaration under the law in force"
        return
    if not said.confirmed_by or not _is_day(said.confirmed_on):
        yield (
            "declaration.confirmed_by",
            "nobody at the works has confirmed law and text",
            ("who checked them, and confirmed_on such as 2026-12-18"),
        )
    holds = law_in_force(at.date())
    if said.law != OTHER and (holds is None or said.law != holds.key):
        known = said.law in {law.key for law in laws()}
        what = "is not in force on the day of issue" if known else "is not in the table of laws"
        yield "declaration.law", what, f"{holds.key if holds else OTHER}, or {OTHER}"


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
