"""Three statements about the file of a certificate, and a fourth where the records are at hand.

(1) whether its signatures are whole, and who vouches for their keys; (2) whether the data in it is
what was signed and what the page was made from; (3) what is known of its status, up to the date of
the newest signed list. `verified(raw, ...)` gives `Verified`; `NoCertificate` is raised for
a file that is none.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, NamedTuple

from cryptography import x509

from linkwright.documents.certificates.compared import (
    Difference,
    count_of_values,
    differences,
)
from linkwright.documents.certificates.content import Certificate, fingerprint, plain
from linkwright.documents.certificates.keys import common_name
from linkwright.documents.certificates.marked import xml_of
from linkwright.documents.certificates.paper import JSON_NAME, XML_NAME, form_of_page, paper
from linkwright.documents.certificates.proof import NotWhole, checked, vouched_by
from linkwright.documents.certificates.reading import certificate_of_json
from linkwright.documents.certificates.revision import (
    NotInForm,
    Opened,
    Signed,
    attached,
    opened,
)
from linkwright.documents.certificates.rules import time_of
from linkwright.documents.certificates.withdrawals import ReadList, status
from linkwright.documents.typesetting import PapersFailed
from linkwright.quantities import InputErrors, LinkwrightError, Problem
from linkwright.works.canonical import canonical_bytes

LONGEST_FILE = 64_000_000
GOOD, BAD, UNKNOWN = "good", "bad", "unknown"
_MARK = b"(certificate.json)"


class NoCertificate(InputErrors):
    """The file is no certificate of this kind at all."""


class Statement(NamedTuple):
    """One of the statements: ``good``, ``bad`` or ``unknown``, and the sentence."""

    state: str
    said: str


class SignedBy(NamedTuple):
    """One signature: who, when by the signer's own clock, and who vouches for the key."""

    name: str
    key: str
    at: str
    vouched_by: str | None


@dataclass(frozen=True)
class Verified:
    """What is known of a file."""

    signature: Statement
    data: Statement
    status: Statement
    records: Statement | None
    signers: tuple[SignedBy, ...] = ()
    certificate: Certificate | None = None
    fingerprint: str = ""
    differences: tuple[Difference, ...] = ()

    @property
    def good(self) -> bool:
        """Whether the signature is good and vouched for, and nothing else is bad."""
        others = [self.data, self.status, *([self.records] if self.records else [])]
        return self.signature.state == GOOD and all(one.state != BAD for one in others)


def verified(
    raw: bytes, *, anchors: Sequence[x509.Certificate] = (), lists: Sequence[ReadList] = (),
    records: Mapping[str, Any] | None = None, name: str = "file", page: bool = True,
) -> Verified:  # fmt: skip
    """Check a file. anchors: certificates that are trusted. lists: of withdrawals, signed and read.

    page: whether the page is made again, which takes a second. Raises `NoCertificate`.
    """
    if _MARK not in raw:
        raise NoCertificate([Problem("certificate", "is no certificate that can be checked", name)])
    try:
        held = opened(raw)
        chains = _whole(raw, held)
    except (NotInForm, NotWhole) as error:
        said = f"signature not whole: the file {error}"
        unread = Statement(UNKNOWN, "data not looked at: nobody stands for it")
        known = Statement(UNKNOWN, "status not known: the file proves nothing")
        return Verified(Statement(BAD, said), unread, known, None)
    signers = tuple(
        _signer(one, chain, anchors) for one, chain in zip(held.signatures, chains, strict=True)
    )
    certificate, data = _data(held, page)
    if certificate is None:
        known = Statement(
            UNKNOWN, "status not known: the file does not say which certificate it is"
        )
        return Verified(_signature(signers, anchors), data, known, None, signers)
    missing = _not_as_named(certificate, signers, {chain[0] for chain in chains})
    signature = Statement(BAD, missing) if missing else _signature(signers, anchors)
    number = fingerprint(certificate)
    known = _status(certificate, number, lists, (chains[0], anchors))
    found = () if records is None else differences(certificate, records)
    compared = None if records is None else _compared(certificate, found)
    return Verified(signature, data, known, compared, signers, certificate, number, found)


def certificate_in(raw: bytes) -> Certificate | None:
    """The certificate that a file carries, unchecked; None if there is none."""
    try:
        return certificate_of_json(attached(opened(raw).page, JSON_NAME), JSON_NAME)
    except (NotInForm, InputErrors):
        return None


def _whole(raw: bytes, held: Opened) -> list[tuple[x509.Certificate, ...]]:
    """The chain of each signature; raises `NotWhole` unless each stands over its bytes."""
    if not held.signatures:
        raise NotWhole("carries no signature")
    chains = []
    for one in held.signatures:
        signer = checked(one.contents)
        if signer.digest != one.digest(raw):
            raise NotWhole("is not as it was when it was signed")
        chains.append(signer.chain)
    return chains


def _signer(
    one: Signed, chain: tuple[x509.Certificate, ...], anchors: Sequence[x509.Certificate]
) -> SignedBy:
    at = _instant(one.at)
    anchor = None if at is None else vouched_by(chain, anchors, at)
    shown = one.at if at is None else at.strftime("%Y-%m-%dT%H:%M:%SZ")
    by = None if anchor is None else common_name(anchor)
    return SignedBy(one.name, common_name(chain[0]), shown, by)


def _instant(text: str) -> datetime | None:
    try:
        return datetime.strptime(text, "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None


def _signature(signers: Sequence[SignedBy], anchors: Sequence[x509.Certificate]) -> Statement:
    parts = [
        f"by {one.name} with the key of {one.key} on {one.at[:10]} (the signer's clock), "
        + (f"vouched for by {one.vouched_by}" if one.vouched_by else
           "by a key nobody here vouches for")
        for one in signers
    ]  # fmt: skip
    state = GOOD if all(one.vouched_by for one in signers) else BAD if anchors else UNKNOWN
    return Statement(state, f"signature whole: {'; '.join(parts)}")


def _not_as_named(
    certificate: Certificate, signers: Sequence[SignedBy], keys: Set[x509.Certificate]
) -> str:
    """What is wrong with who signed, or empty."""
    named = [man.name for man in certificate.validators]
    signed = [one.name for one in signers]
    if signed == named[: len(signed)] and len(signed) < len(named):
        return f"signature not complete: that of {', '.join(named[len(signed) :])} is still missing"
    if signed != named:
        return "signature by others than the certificate names: " + ", ".join(signed)
    if len(keys) < len(signers):
        return "signature by one key for both: the second signer has to be another"
    return ""


def _data(held: Opened, page: bool) -> tuple[Certificate | None, Statement]:
    """The certificate in the file, and whether JSON, XML and page say the same."""
    try:
        raw = attached(held.page, JSON_NAME)
        xml = attached(held.page, XML_NAME)
        certificate = certificate_of_json(raw, JSON_NAME)
    except (NotInForm, InputErrors) as error:
        return None, Statement(BAD, f"data not as signed: {error}")
    if canonical_bytes(plain(certificate)) != raw:
        return certificate, Statement(BAD, "data not as signed: the JSON is not in canonical form")
    if xml_of(certificate) != xml:
        return certificate, Statement(BAD, "data not as signed: JSON and XML do not say the same")
    print_of = hashlib.sha256(raw).hexdigest()
    if f"sha256:{print_of}".encode() not in held.page:
        return certificate, Statement(BAD, "data not as signed: the page has another fingerprint")
    return certificate, _page(certificate, held.page, page)


def _page(certificate: Certificate, held: bytes, wanted: bool) -> Statement:
    """Whether the page, square code and printed fingerprint included, is made from the data."""
    same = "data as signed: JSON and XML say the same, with the fingerprint of the page"
    if not wanted:
        return Statement(GOOD, f"{same}; the page was not made again")
    if form_of_page().encode() not in held:
        return Statement(GOOD, f"{same}; the page was set by another version of this program "
                         "and could not be made again here")  # fmt: skip
    try:
        made = paper(certificate)
    except PapersFailed as error:
        return Statement(GOOD, f"{same}; the page could not be made again here: {error}")
    except LinkwrightError as error:
        return Statement(BAD, f"data not as signed: no certificate is made of it: {error}")
    if made != held:
        return Statement(BAD, "data not as signed: the page is not what is made from the data")
    return Statement(
        GOOD, "data as signed: JSON, XML, page, square code and printed fingerprint say the same"
    )


def _status(
    certificate: Certificate, number: str, lists: Sequence[ReadList],
    signer: tuple[tuple[x509.Certificate, ...], Sequence[x509.Certificate]],
) -> Statement:  # fmt: skip
    """What the newest list of the same works says."""
    ours = [one for one in lists if _of_same_works(one, *signer)]
    if not ours:
        why = "no list of withdrawals was given" if not lists else (
            "the list is by a key that does not stand for the maker of this certificate"
        )  # fmt: skip
        return Statement(UNKNOWN, f"status unknown: {why}")
    newest = max(ours, key=lambda one: (one.content.number, one.issued))
    content = newest.content
    upto = f"list {content.number} of {content.issued_at[:10]}"
    entry = status(certificate.number, number, content)
    if entry is not None:
        by = f" by {entry.superseded_by}" if entry.superseded_by else ""
        return Statement(BAD, f"{entry.state}{by} on {entry.at[:10]}: {entry.reason} ({upto})")
    issued = time_of(certificate.issued_at)
    if issued is not None and newest.issued < issued:
        return Statement(UNKNOWN, f"status unknown: {upto} is older than the certificate")
    told = f"not withdrawn as of {content.issued_at[:10]} (list {content.number}; "
    return Statement(GOOD, f"{told}the next was due {content.next_at[:10]}); unknown since")


def _of_same_works(
    one: ReadList, chain: tuple[x509.Certificate, ...], anchors: Sequence[x509.Certificate]
) -> bool:
    """Whether a list is by the certificate's own key, or by one under the same anchor."""
    if one.chain[0] == chain[0]:
        return True
    for anchor in {*anchors, *chain[1:]}:
        listed = vouched_by(one.chain, [anchor], one.issued)
        if listed is not None and (anchor in chain or vouched_by(chain, [anchor], one.issued)):
            return True
    return False


def _compared(certificate: Certificate, found: Sequence[Difference]) -> Statement:
    if found:
        places = ", ".join(one.place for one in found[:5])
        more = f" and {len(found) - 5} more" if len(found) > 5 else ""
        return Statement(BAD, f"records say otherwise at {places}{more}")
    count = count_of_values(plain(certificate))
    return Statement(GOOD, f"records say the same at all {count} values")
