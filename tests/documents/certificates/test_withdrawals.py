"""The signed list of withdrawals: one form, one signer, and what it says of a certificate."""

import json

import pytest
from certified import authority, changed, drawing, inspector, small, small_file, stranger

from linkwright.documents.certificates.content import fingerprint
from linkwright.documents.certificates.keys import Key
from linkwright.documents.certificates.proof import NotWhole
from linkwright.documents.certificates.verifying import verified
from linkwright.documents.certificates.withdrawals import (
    SUPERSEDED,
    WITHDRAWN,
    ReadList,
    Withdrawal,
    WithdrawalList,
    published,
    read_list,
)
from linkwright.quantities import InputErrors
from linkwright.works.canonical import canonical_bytes

TRUST = authority()[1]


def listed(
    *entries: Withdrawal, number: int = 1, at: str = "2026-12-20T10:00:00Z", key: Key | None = None
) -> bytes:
    content = WithdrawalList("Quarry Lane works", number, at, "2027-01-20T10:00:00Z", entries)
    return published(content, key or inspector())


def entry(number: str, digits: str, by: str = "") -> Withdrawal:
    state = SUPERSEDED if by else WITHDRAWN
    return Withdrawal(number, digits, state, "a link broke", "2026-12-19T12:00:00Z", by)


def read(raw: bytes) -> ReadList:
    return read_list(raw, "list")


def status_by(*lists: bytes, trust: bool = True) -> tuple[str, str]:
    anchors = TRUST if trust else ()
    found = verified(small_file(), anchors=anchors, lists=[read(raw) for raw in lists], page=False)
    return found.status


def test_a_certificate_that_is_not_listed_is_not_withdrawn_up_to_the_date_of_the_list() -> None:
    state, said = status_by(listed(entry("QL-1", "ab" * 32)))
    assert state == "good"
    assert said.startswith("not withdrawn as of 2026-12-20 (list 1; ")


def test_a_listed_certificate_is_told_by_fingerprint_and_by_number() -> None:
    for one in (entry("QL-1", fingerprint(small())), entry(small().number, "ab" * 32)):
        assert status_by(listed(one)) == (
            "bad", "withdrawn on 2026-12-19: a link broke (list 1 of 2026-12-20)"
        )  # fmt: skip
    told = status_by(listed(entry("QL-1", fingerprint(small()), "QL-2026-0600")))
    assert told[1].startswith("superseded by QL-2026-0600 on 2026-12-19")


def test_the_newest_list_counts() -> None:
    old = listed()
    new = listed(entry("QL-1", fingerprint(small())), number=2, at="2026-12-27T10:00:00Z")
    assert status_by(old, new)[0] == status_by(new, old)[0] == "bad"


def test_a_list_from_before_the_certificate_says_nothing_of_it() -> None:
    assert status_by(listed(at="2026-12-17T10:00:00Z"))[0] == "unknown"


def test_a_list_by_somebody_else_is_not_used() -> None:
    state, said = status_by(listed(key=stranger()[0]))
    assert state == "unknown"
    assert "does not stand for the maker" in said


def test_the_list_of_another_works_under_trust_says_nothing_of_this_one() -> None:
    anchors = (*TRUST, *stranger()[1])
    lists = [read(listed(key=stranger()[0]))]
    found = verified(small_file(), anchors=anchors, lists=lists, page=False)
    assert found.status.state == "unknown"


@pytest.mark.parametrize("kind", ["ecdsa", "rsa"])
def test_flipped_bits_of_a_list_are_found(kind: str) -> None:
    raw, drawn = listed(entry("QL-1", "ab" * 32), key=inspector(kind)), drawing(1)
    assert read(raw).content.number == 1
    for at in range(0, len(raw), 3):
        with pytest.raises((NotWhole, InputErrors)):
            read(changed(raw, at, drawn.randrange(8)))


def test_other_writings_of_a_list_are_refused() -> None:
    raw = listed()
    data = json.loads(raw)
    for other in (json.dumps(data).encode(), raw + b"\n", raw[:-1], b" " + raw,
                  raw.replace(b'"form"', b'"form":"linkwright withdrawals 1","form"')):  # fmt: skip
        with pytest.raises((NotWhole, InputErrors)):
            read(other)
    more = {**data, "note": 1}
    with pytest.raises(NotWhole):
        read(canonical_bytes(more) + b"\n")
    for broken in (
        b"",
        b"[]",
        b"{}",
        b"\xff",
        b"[" * 9999,
        canonical_bytes({"form": data["form"]}),
    ):
        with pytest.raises((NotWhole, InputErrors)):
            read(broken)


def test_certificates_cannot_be_exchanged_beside_the_signature() -> None:
    data = json.loads(listed())
    other = json.loads(listed(key=stranger()[0]))
    with pytest.raises(NotWhole):
        read(canonical_bytes({**data, "certificates": other["certificates"]}) + b"\n")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"number": 0}, "less than 1"),
        ({"next_at": "2026-12-01T00:00:00Z"}, "order"),
        ({"issued_at": "today"}, "order"),
        ({"entries": (Withdrawal("1", "x", WITHDRAWN, "y", "2026-12-19T12:00:00Z"),)}, "finger"),
        ({"entries": (Withdrawal("1", "a" * 64, "lost", "y", "2026-12-19T12:00:00Z"),)}, "neither"),
        ({"entries": (Withdrawal("1", "a" * 64, WITHDRAWN, "y", "2027-12-19T12:00:00Z"),)}, "time"),
        ({"entries": (Withdrawal("1", "a" * 64, WITHDRAWN, "", "2026-12-19T12:00:00Z"),)}, "said"),
    ],
)
def test_a_list_that_is_wrong_is_not_signed(change: dict[str, object], told: str) -> None:
    content = {"works": "W", "number": 1, "issued_at": "2026-12-20T10:00:00Z",
               "next_at": "2027-01-20T10:00:00Z", "entries": (), **change}  # fmt: skip
    with pytest.raises(InputErrors, match=told):
        published(WithdrawalList(**content), inspector())  # type: ignore[arg-type]
