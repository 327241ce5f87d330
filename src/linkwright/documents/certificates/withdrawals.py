"""The works' signed list of certificates that were withdrawn or superseded.

A list is one line of canonical JSON: the list itself, the certificates of its signer, and a bare
signature over the canonical JSON of the list, which names the digests of those certificates. So
nothing in the file is free, and another encoding of the same list is refused.

- `Withdrawal`, `WithdrawalList`: what a list says; `published`: a list signed
- `read_list`: a list checked, with the chain of its signer; `status`: what it says of a certificate
"""

from __future__ import annotations

import base64
import binascii
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from pydantic import TypeAdapter, ValidationError

from linkwright.documents.certificates.content import Part, plain
from linkwright.documents.certificates.keys import Key, loaded
from linkwright.documents.certificates.proof import (
    NotWhole,
    checked_plain,
    in_order,
    signed_plain,
)
from linkwright.documents.certificates.rules import time_of
from linkwright.quantities import InputErrors, Problem
from linkwright.works.canonical import canonical_bytes

FORM = "linkwright withdrawals 1"
WITHDRAWN, SUPERSEDED = "withdrawn", "superseded"
LONGEST = 50_000_000
_FINGERPRINT = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Withdrawal(Part):
    """One certificate that no longer holds; superseded_by: number of the one that replaces it."""

    number: str
    fingerprint: str
    state: str
    reason: str
    at: str
    superseded_by: str = ""


@dataclass(frozen=True)
class WithdrawalList(Part):
    """A list: number counts the lists of a works from 1; next_at: when the next will be there."""

    works: str
    number: int
    issued_at: str
    next_at: str
    entries: tuple[Withdrawal, ...] = ()
    signed_by: tuple[str, ...] = field(default=())


@dataclass(frozen=True)
class ReadList:
    """A list whose signature holds, and the certificates of its signer."""

    content: WithdrawalList
    chain: tuple[x509.Certificate, ...]

    @property
    def issued(self) -> datetime:
        """When it was issued."""
        at = time_of(self.content.issued_at)
        assert at is not None  # noqa: S101 - checked when it was read
        return at


_READER = TypeAdapter(WithdrawalList)


def published(content: WithdrawalList, key: Key) -> bytes:
    """The list with its signature, as it is sent out. Raises `InputErrors`."""
    chain = (key.certificate, *key.above)
    digests = tuple(one.fingerprint(hashes.SHA256()).hex() for one in chain)
    data = {**plain(content), "signed_by": list(digests)}
    _require(_read(canonical_bytes(data), "list"), "list")
    signature = signed_plain(canonical_bytes(data), key)
    made = {
        "certificates": [_text(one.public_bytes(serialization.Encoding.DER)) for one in chain],
        "form": FORM,
        "list": data,
        "signature": _text(signature),
    }
    return canonical_bytes(made) + b"\n"


def read_list(raw: bytes, name: str) -> ReadList:
    """Check a list. Raises `InputErrors` if it is none, `NotWhole` if its signature fails."""
    data = _json(raw, name)
    if not isinstance(data, dict) or data.get("form") != FORM:
        raise InputErrors([Problem("form", "is no signed list of withdrawals", name)])
    if set(data) != {"certificates", "form", "list", "signature"}:
        raise NotWhole("holds other parts than a list does")
    if canonical_bytes(data) + b"\n" != raw:
        raise NotWhole("is not in canonical form")
    try:
        content = _read(canonical_bytes(data["list"]), name)
        _require(content, name)
    except InputErrors as error:
        raise NotWhole(f"holds no list that can be read: {error}") from None
    return ReadList(content, _signer(data, content))


def status(number: str, fingerprint: str, held: WithdrawalList) -> Withdrawal | None:
    """The newest entry for a certificate, found by fingerprint or by number."""
    found = [one for one in held.entries if one.fingerprint == fingerprint or one.number == number]
    return max(found, key=lambda one: one.at, default=None)


def _signer(data: Mapping[str, Any], content: WithdrawalList) -> tuple[x509.Certificate, ...]:
    given, signature = data["certificates"], data["signature"]
    if not isinstance(given, list) or not 1 <= len(given) <= 4 or not isinstance(signature, str):
        raise NotWhole("carries no certificate of its signer")
    try:
        chain = in_order([loaded(_bytes(one)) for one in given])
    except NotWhole:
        raise
    except Exception:
        # the readers of ASN.1 raise whatever they stumble over
        raise NotWhole("carries a certificate that cannot be read") from None
    if content.signed_by != tuple(one.fingerprint(hashes.SHA256()).hex() for one in chain):
        raise NotWhole("is bound to another signer")
    checked_plain(canonical_bytes(data["list"]), _bytes(signature), chain[0])
    return chain


def _json(raw: bytes, name: str) -> Any:
    if len(raw) > LONGEST:
        raise InputErrors([Problem("too-large", "is too large for a list", name)])
    try:
        return json.loads(raw.decode("utf-8"), parse_constant=_refused)
    except (ValueError, RecursionError):
        raise InputErrors([Problem("form", "is no signed list of withdrawals", name)]) from None


def _refused(text: str) -> float:
    raise ValueError(text)


def _read(raw: bytes, name: str) -> WithdrawalList:
    try:
        return _READER.validate_json(raw)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(step) for step in first["loc"])
        raise InputErrors([Problem("form", str(first["msg"]), name, None, place)]) from None


def _require(content: WithdrawalList, name: str) -> None:
    found = list(_wrong(content))
    if found:
        raise InputErrors([Problem("list", said, name, None, key) for key, said in found])


def _wrong(content: WithdrawalList) -> Sequence[tuple[str, str]]:
    found = []
    issued, following = time_of(content.issued_at), time_of(content.next_at)
    if issued is None or following is None or following <= issued:
        found.append(("issued_at", "issued_at and next_at are no times in their order"))
    if content.number < 1:
        found.append(("number", "is less than 1"))
    for index, one in enumerate(content.entries):
        key = f"entries[{index}]"
        at = time_of(one.at)
        if one.state not in (WITHDRAWN, SUPERSEDED):
            found.append((f"{key}.state", "is neither withdrawn nor superseded"))
        if (one.state == SUPERSEDED) != bool(one.superseded_by):
            found.append((f"{key}.superseded_by", "is named where superseded, and only there"))
        if not _FINGERPRINT.fullmatch(one.fingerprint):
            found.append((f"{key}.fingerprint", "is no fingerprint"))
        if at is None or (issued is not None and at > issued):
            found.append((f"{key}.at", "is no time up to that of the list"))
        if not one.reason or not one.reason.isprintable():
            found.append((f"{key}.reason", "is not said in one line"))
    return found


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


def _bytes(text: object) -> bytes:
    """Bytes of their one base64 text."""
    try:
        raw = base64.b64decode(str(text), validate=True)
    except (binascii.Error, ValueError):
        raise NotWhole("holds a part that cannot be read") from None
    if _text(raw) != text:
        raise NotWhole("is not in canonical form")
    return raw
