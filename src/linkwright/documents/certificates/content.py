"""What a certificate says, as frozen data that the caller gives.

`Certificate` and its parts: `Maker`, `Purchaser`, `Goods`, `Piece`, `Heat`, `Element`, `Release`,
`Validator`, `Requirement`, `Result`, `Replaced`, `Declaration`, `FiledDocument`.
`plain(certificate)` is its JSON, `fingerprint(certificate)` the SHA-256 of its canonical JSON.

A field that is one of EN 10168:2004 says its code (from memory, see `standards`); the code goes
with the field into the XML and onto the page. Texts are single lines of printable letters.
Times are UTC as ``2026-12-18T09:30:00Z``, dates as ``2026-12-18``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

from linkwright.works.canonical import content_hash

SCHEMA_VERSION = 1
TYPES = ("2.1", "2.2", "3.1", "3.2")
"""Types of inspection documents, EN 10204:2004."""
MAKER, PURCHASER, OFFICIAL = "maker", "purchaser", "official inspector"
"""For whom somebody validates."""
MET, NOT_MET, UNDECIDED, NO_EVIDENCE = "met", "not met", "undecided", "no evidence"
"""The verdicts over a requirement."""
RELEASED = "released"
"""The only state of a lot that is certified."""


def coded(code: str) -> dict[str, str]:
    """What a field keeps of its code of EN 10168."""
    return {"code": code}


class Part:
    """What all parts share: nothing but the named fields is taken from a file."""

    __pydantic_config__ = {"extra": "forbid", "strict": True, "allow_inf_nan": False}  # noqa: RUF012


@dataclass(frozen=True)
class Maker(Part):
    """Who made the goods and issues the certificate; address: lines as on a letter."""

    name: str = field(metadata=coded("A01"))
    address: tuple[str, ...]
    mark: str = field(metadata=coded("A04"))
    issuer: str = field(default="", metadata=coded("A05"))
    representative: str = ""
    """Authorised representative with address, where there is one."""


@dataclass(frozen=True)
class Purchaser(Part):
    """For whom."""

    name: str = field(metadata=coded("A06"))
    order: str = field(metadata=coded("A07"))
    works_order: str = field(metadata=coded("A08"))
    address: tuple[str, ...] = ()
    article: str = field(default="", metadata=coded("A09"))


@dataclass(frozen=True)
class Piece(Part):
    """One length of the delivery and the marks by which it is found again."""

    number: str
    length_m: float
    marks: str = ""


@dataclass(frozen=True)
class Element(Part):
    """A share of an element in a heat; least and greatest where the standard limits it."""

    symbol: str
    percent: float
    least_percent: float | None = None
    greatest_percent: float | None = None


@dataclass(frozen=True)
class Heat(Part):
    """A heat of the steel: its number, its steelmaker's document and its cast analysis."""

    number: str = field(metadata=coded("B07"))
    document: str = ""
    process: str = field(default="", metadata=coded("C70"))
    analysis: tuple[Element, ...] = field(default=(), metadata=coded("C71-C92"))


@dataclass(frozen=True)
class Goods(Part):
    """What is certified.

    lifting: short link chain for lifting, with all that this asks. marking: what stands on the
    chain. grade: as the standard writes it; empty where it has none.
    """

    product: str = field(metadata=coded("B01"))
    standard: str = field(metadata=coded("B02"))
    grade: str
    nominal_size: str = field(metadata=coded("B09-B11"))
    steel: str
    marking: str = field(metadata=coded("B06"))
    length_m: float
    pieces: tuple[Piece, ...]
    heats: tuple[Heat, ...]
    pitch_mm: float | None = None
    lifting: bool = False
    working_load_limit_t: float | None = None
    further_requirements: str = field(default="", metadata=coded("B03"))
    delivery_condition: str = field(default="", metadata=coded("B04"))
    sample_treatment: str = field(default="", metadata=coded("B05"))
    mass_kg: float | None = field(default=None, metadata=coded("B13"))


@dataclass(frozen=True)
class Release(Part):
    """The decision that let the lot go: who proposed, who released, when, by which record.

    state: of the lot when the certificate is made; only ``released`` is certified. decision: id of
    the record; evidence: digest of what was decided upon; two_people: whether the works asks for
    two. People are named as the works prints them, an id will do.
    """

    lot: str
    state: str
    decision: str
    proposed_by: str
    proposed_at: str
    released_by: str
    released_at: str
    evidence: str = ""
    two_people: bool = True


@dataclass(frozen=True)
class Validator(Part):
    """Who validates the document by a signature, in the order of the signatures.

    acts_for: ``maker``, ``purchaser`` or ``official inspector``. independent: of manufacturing.
    """

    name: str = field(metadata=coded("Z03"))
    position: str
    acts_for: str = MAKER
    independent: bool = False


@dataclass(frozen=True)
class Result(Part):
    """One result: of which sample, its value, or what was found where it is no number."""

    sample: str = field(metadata=coded("C00"))
    value: float | None = None
    found: str = ""


@dataclass(frozen=True)
class Requirement(Part):
    """One line: what is asked, where that stands, what was found, how sure, and the verdict.

    characteristic: in words (``breaking force``); unit: suffix of our closed table (``kN``), or
    empty. code: of EN 10168 where one fits. standard_uncertainty: of a result, k = 1, in the unit.
    basis: how the limit is known (``standard``, ``works``, ``memory``). records: ids of the tests.
    concession: on what leave a requirement stands that is not met; none for lifting chain.
    """

    characteristic: str
    unit: str
    least: float | None
    greatest: float | None
    source: str
    results: tuple[Result, ...]
    standard_uncertainty: float | None
    verdict: str
    code: str = ""
    method: str = ""
    basis: str = "standard"
    specific: bool = True
    records: tuple[str, ...] = ()
    concession: str = ""


@dataclass(frozen=True)
class Replaced(Part):
    """The certificate that this one replaces, and why."""

    number: str
    fingerprint: str
    reason: str


@dataclass(frozen=True)
class Declaration(Part):
    """The declaration and marking under a law, as the works confirms them.

    law: key of the table of laws, or ``other``; title, text, marking: as printed. confirmed_by:
    who at the works has checked law and text; a draft has none and cannot be certified.
    """

    law: str
    title: str
    text: str
    marking: str
    confirmed_by: str = ""
    confirmed_on: str = ""


@dataclass(frozen=True)
class FiledDocument(Part):
    """One entry in the index of the technical file; digest: SHA-256 where there is a file."""

    title: str
    number: str = ""
    digest: str = ""
    kept_at: str = ""


@dataclass(frozen=True)
class Certificate(Part):
    """All that a certificate says; the page, the JSON and the XML are made from it alone.

    statement: of compliance. decision_rule: how results were judged against limits. samples_of:
    how samples were taken. replaces: what it replaces. records_head: newest digest of the audit
    chain when it was made. check_address: where the works says how to check; may be empty.
    language: en, de or pl. units: ``metric`` or ``inch``, for display. invented: of a demo.
    """

    number: str = field(metadata=coded("A03"))
    type: str = field(metadata=coded("A02"))
    issued_at: str = field(metadata=coded("Z02"))
    maker: Maker
    purchaser: Purchaser
    goods: Goods
    release: Release
    validators: tuple[Validator, ...]
    statement: str = field(metadata=coded("Z01"))
    decision_rule: str = ""
    requirements: tuple[Requirement, ...] = ()
    samples_of: str = field(default="", metadata=coded("C01"))
    declaration: Declaration | None = None
    technical_file: tuple[FiledDocument, ...] = ()
    replaces: Replaced | None = None
    remarks: tuple[str, ...] = ()
    records_head: str = ""
    check_address: str = ""
    language: str = "en"
    units: str = "metric"
    invented: bool = False
    schema_version: int = SCHEMA_VERSION


def plain(part: Any) -> Any:
    """Dataclasses as mappings, tuples as lists; numbers of float fields are floats."""
    if is_dataclass(part):
        return {one.name: _typed(one.type, getattr(part, one.name)) for one in fields(part)}
    if isinstance(part, (tuple, list)):
        return [plain(inner) for inner in part]
    return part


def _typed(kind: Any, value: Any) -> Any:
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) if is_number and "float" in str(kind) else plain(value)


def fingerprint(content: Certificate | Mapping[str, Any]) -> str:
    """SHA-256 of the canonical JSON, as 64 hexadecimal digits."""
    return content_hash(plain(content) if isinstance(content, Certificate) else content)
