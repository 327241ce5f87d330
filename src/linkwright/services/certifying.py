"""Certificates: made and signed from their data, signed a second time, verified, withdrawn.

- `certify`: data and key in, signed file out, for callers that hold the data already
- `certify_file`, `countersign_file`: the same with files
- `verify_file`: three statements about a file, four with records
- `publish_list`: the next signed list of withdrawals

Who may release and certify is known to the records; here a lot that is not released is refused.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from linkwright.documents.certificates.content import Certificate, fingerprint
from linkwright.documents.certificates.keys import Key, common_name
from linkwright.documents.certificates.marked import xsd
from linkwright.documents.certificates.paper import paper
from linkwright.documents.certificates.proof import NotWhole, room_for, signature_over
from linkwright.documents.certificates.reading import (
    LONGEST_JSON,
    certificate_of_json,
    json_schema,
)
from linkwright.documents.certificates.revision import NotInForm, filled, opened, prepared
from linkwright.documents.certificates.verifying import (
    LONGEST_FILE,
    Verified,
    certificate_in,
    verified,
)
from linkwright.documents.certificates.withdrawals import (
    LONGEST,
    SUPERSEDED,
    WITHDRAWN,
    ReadList,
    Withdrawal,
    WithdrawalList,
    published,
    read_list,
)
from linkwright.quantities import ArgumentError, CannotPlan, InputErrors, Problem
from linkwright.services.key_files import anchors_from, key_from, read_bytes
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.written_file import refuse_existing, write_file

RecordsOf = Callable[[str], Mapping[str, Any]]
"""From the number of a certificate to what the records hold of it, empty if they know none."""
_TIME = "%Y-%m-%dT%H:%M:%SZ"


class CannotSign(CannotPlan):
    """The file cannot be signed; says why."""

    code = "cannot-sign"


@dataclass(frozen=True)
class Certified:
    """A signed file: its bytes, the number and fingerprint of its certificate, where it is."""

    raw: bytes
    certificate: Certificate
    fingerprint: str
    missing: tuple[str, ...]
    path: Path | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION, "number": self.certificate.number,
            "type": self.certificate.type, "fingerprint": self.fingerprint,
            "signatures_missing": list(self.missing),
            "files": [] if self.path is None else [str(self.path)],
        }  # fmt: skip


def certify(certificate: Certificate, key: Key, at: datetime | None = None) -> Certified:
    """The certificate, signed by the first of its validators; ``at``: when, else now.

    Raises `NotReleased`, `InputErrors` for data that break the rules, `PapersFailed`.
    """
    return _signed(paper(certificate), certificate, key, at or datetime.now(UTC))


def countersign(raw: bytes, key: Key, at: datetime | None = None) -> Certified:
    """A certificate of type 3.2 with its second signature. Raises `CannotSign`."""
    certificate = certificate_in(raw)
    if certificate is None:
        raise CannotSign("it is no certificate")
    found = verified(raw)
    if not found.signers or found.data.state == "bad":
        raise CannotSign(f"what is there does not hold: {found.signature.said}; {found.data.said}")
    if len(found.signers) >= len(certificate.validators):
        raise CannotSign("it carries all its signatures already")
    return _signed(raw, certificate, key, at or datetime.now(UTC))


def _signed(raw: bytes, certificate: Certificate, key: Key, at: datetime) -> Certified:
    named = [man.name for man in certificate.validators]
    try:
        count = len(opened(raw).signatures)
        when = at.astimezone(UTC).strftime("%Y%m%d%H%M%S")
        made = prepared(raw, named[count], when, room_for(key))
        place = opened(made).signatures[-1]
        made = filled(made, place, signature_over(place.digest(made), key))
    except NotInForm as error:
        raise CannotSign(f"the file {error}") from None
    return Certified(made, certificate, fingerprint(certificate), tuple(named[count + 1 :]))


def certificate_schema(*, xml: bool = False) -> str:
    """The published schema of a certificate's data, for JSON or for XML."""
    return xsd() if xml else json_schema()


def certify_file(
    data: Path, key: Path, pass_phrase: str, out: Path, *, force: bool = False
) -> Certified:
    """Make a certificate of a JSON file. Raises what `certify` raises, `NoKey`, `FileInUse`."""
    refuse_existing(out, force=force, read=(data, key))
    certificate = certificate_of_json(read_bytes(data, LONGEST_JSON), str(data))
    made = certify(certificate, key_from(key, pass_phrase))
    return replace(made, path=write_file(out, made.raw))


def countersign_file(
    file: Path, key: Path, pass_phrase: str, out: Path, *, force: bool = False
) -> Certified:
    """Add the second signature. The file that was signed before is left as it is."""
    refuse_existing(out, force=force, read=(file, key))
    made = countersign(read_bytes(file, LONGEST_FILE), key_from(key, pass_phrase))
    return replace(made, path=write_file(out, made.raw))


@dataclass(frozen=True)
class VerifyRequest:
    """What is verified, against what. remember: file of the newest lists that were ever given."""

    file: Path
    withdrawals: tuple[Path, ...] = ()
    trust: tuple[Path, ...] = ()
    records: Path | RecordsOf | None = None
    remember: Path | None = None


@dataclass(frozen=True)
class VerifyAnswer:
    """The statements; older: a list is older than one that was given before."""

    file: Path
    found: Verified
    notes: tuple[str, ...]
    older: bool = False

    @property
    def good(self) -> bool:
        """Whether all that could be judged is good, and somebody vouches for the key."""
        return self.found.good and not self.older

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        found, one = self.found, self.found.certificate
        said = {"signature": found.signature, "data": found.data, "status": found.status,
                "records": found.records}  # fmt: skip
        return {
            "schema_version": SCHEMA_VERSION, "file": str(self.file), "good": self.good,
            "number": None if one is None else one.number,
            "type": None if one is None else one.type,
            "fingerprint": found.fingerprint or None,
            **{key: None if state is None else state._asdict() for key, state in said.items()},
            "signers": [one._asdict() for one in found.signers],
            "differences": [one._asdict() for one in found.differences],
            "notes": list(self.notes),
        }  # fmt: skip


def verify_file(request: VerifyRequest) -> VerifyAnswer:
    """Verify a file. Raises `NoCertificate`, and `InputErrors` for what is no list or no PEM."""
    raw = read_bytes(request.file, LONGEST_FILE)
    anchors = anchors_from(request.trust)
    notes: list[str] = []
    lists = [one for path in request.withdrawals if (one := _list(path, notes)) is not None]
    records = _held(request.records, raw)
    found = verified(raw, anchors=anchors, lists=lists, records=records, name=str(request.file))
    older = _older(lists, request.remember, notes)
    return VerifyAnswer(request.file, found, tuple(notes), older)


def _list(path: Path, notes: list[str]) -> ReadList | None:
    try:
        return read_list(read_bytes(path, LONGEST), str(path))
    except NotWhole as error:
        notes.append(f"{path}: the list of withdrawals {error}; it is not used")
        return None


def _held(records: Path | RecordsOf | None, raw: bytes) -> Mapping[str, Any] | None:
    if records is None or isinstance(records, Path):
        return None if records is None else _records(records)
    certificate = certificate_in(raw)
    return None if certificate is None else records(certificate.number)


def _records(path: Path) -> dict[str, Any]:
    try:
        data = json.loads(read_bytes(path, LONGEST_JSON))
    except (ValueError, RecursionError) as error:
        said = f"is not JSON: {str(error)[:100]}"
        raise InputErrors([Problem("syntax", said, str(path))]) from None
    if not isinstance(data, dict):
        raise InputErrors([Problem("form", "holds no records of a certificate", str(path))])
    return data


def _older(lists: Sequence[ReadList], remember: Path | None, notes: list[str]) -> bool:
    """Tell of lists older than others of the same works; whether all of a works are older.

    A works is known by the head of its signer's chain. The newest numbers are remembered.
    """
    before = {} if remember is None or not remember.exists() else _numbers(remember)
    now: dict[str, int] = {}
    for one in lists:
        works = one.content.signed_by[-1]
        now[works] = max(now.get(works, 0), one.content.number)
    newest = {works: max(before.get(works, 0), now.get(works, 0)) for works in {*before, *now}}
    notes += [
        f"list {one.content.number} of {one.content.works} ({one.content.issued_at[:10]}) is "
        f"older than list {newest[one.content.signed_by[-1]]}, which was given already"
        for one in lists
        if one.content.number < newest[one.content.signed_by[-1]]
    ]
    if remember is not None and newest != before:
        write_file(remember, json.dumps(newest, indent=1, sort_keys=True) + "\n")
    return any(number < before.get(works, 0) for works, number in now.items())


def _numbers(path: Path) -> dict[str, int]:
    """The newest number of each works, as they were remembered."""
    data = _records(path)
    if not all(type(number) is int for number in data.values()):
        raise InputErrors([Problem("form", "does not hold numbers of lists", str(path))])
    return data


@dataclass(frozen=True)
class ListRequest:
    """The next list. after: the list before it; certificate: what is withdrawn now, and why."""

    out: Path
    key: Path
    pass_phrase: str
    works: str = ""
    after: Path | None = None
    certificate: Path | None = None
    reason: str = ""
    superseded_by: str = ""
    days: int = 30
    force: bool = False


@dataclass(frozen=True)
class ListAnswer:
    """The list that was written."""

    content: WithdrawalList
    path: Path

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION, "works": self.content.works,
            "number": self.content.number, "issued_at": self.content.issued_at,
            "next_at": self.content.next_at, "entries": len(self.content.entries),
            "files": [str(self.path)],
        }  # fmt: skip


def publish_list(request: ListRequest, at: datetime | None = None) -> ListAnswer:
    """Sign the next list: all entries of the one before, and what is withdrawn now.

    Raises `CannotSign`, `NoKey`, `InputErrors`, `FileInUse`.
    """
    now = (at or datetime.now(UTC)).replace(microsecond=0)
    read = [path for path in (request.after, request.certificate, request.key) if path]
    refuse_existing(request.out, force=request.force, read=read)
    if not 1 <= request.days <= 366:
        raise ArgumentError("days", request.days, "", "1 to 366")
    key = key_from(request.key, request.pass_phrase)
    before = _before(request, key)
    number, works, entries = 1, request.works, list[Withdrawal]()
    if before is not None:
        if now <= before.issued:
            raise CannotSign(f"the list before was issued later, on {before.content.issued_at}")
        number, works = before.content.number + 1, before.content.works
        entries = list(before.content.entries)
    if not works:
        raise ArgumentError("works", works, "", "the name of the works, for its first list")
    if request.certificate is not None:
        entries.append(_entry(request, now))
    content = WithdrawalList(
        works, number, now.strftime(_TIME), (now + timedelta(days=request.days)).strftime(_TIME),
        tuple(entries),
    )  # fmt: skip
    return ListAnswer(content, write_file(request.out, published(content, key)))


def _before(request: ListRequest, key: Key) -> ReadList | None:
    if request.after is None:
        return None
    try:
        before = read_list(read_bytes(request.after, LONGEST), str(request.after))
    except NotWhole as error:
        raise CannotSign(f"{request.after}: the list before {error}") from None
    ours = (key.certificate, *key.above)
    if before.chain[-1] != ours[-1]:
        said = common_name(before.chain[-1])
        raise CannotSign(f"{request.after}: the list before is by another works' key: {said}")
    return before


def _entry(request: ListRequest, now: datetime) -> Withdrawal:
    assert request.certificate is not None  # noqa: S101 - asked for by the caller
    raw = read_bytes(request.certificate, LONGEST_FILE)
    found = verified(raw, name=str(request.certificate), page=False)
    if found.certificate is None or not found.signers:
        raise CannotSign(f"{request.certificate}: {found.signature.said}; {found.data.said}")
    if not request.reason:
        raise ArgumentError("reason", "", "", "why the certificate is withdrawn")
    state = SUPERSEDED if request.superseded_by else WITHDRAWN
    return Withdrawal(
        found.certificate.number, found.fingerprint, state, request.reason, now.strftime(_TIME),
        request.superseded_by,
    )  # fmt: skip
