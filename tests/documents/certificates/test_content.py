"""The data of a certificate: one canonical form, read strictly, held to the rules of its type."""

import json
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from certified import edited, example, small, two_signed

from linkwright.documents.certificates.content import SCHEMA_VERSION, fingerprint, plain
from linkwright.documents.certificates.laws import law_in_force, laws, proposed
from linkwright.documents.certificates.reading import certificate_of, certificate_of_json
from linkwright.documents.certificates.rules import NotReleased, require
from linkwright.quantities import InputErrors
from linkwright.works.canonical import canonical_bytes


def test_the_canonical_json_has_fixed_bytes() -> None:
    """A fingerprint that was printed once must be found again by every later version."""
    raw = canonical_bytes(plain(example()))
    assert raw.startswith(b'{"check_address":"https://certificates.quarry-lane.invalid/check",')
    assert b'"length_m":300.0,' in raw
    assert SCHEMA_VERSION == 1
    assert fingerprint(example()) == (
        "5adaa5c72442e56f71f4cf7739a54eae0fdba0062900d08c7834b84ae655902f"
    )


def test_data_come_back_as_they_went() -> None:
    """Reading what was written gives an equal certificate; whole numbers are floats where asked."""
    for one in (example(), small(), two_signed()):
        assert certificate_of(plain(one)) == one
        assert fingerprint(plain(one)) == fingerprint(one)
    whole = edited(plain(example()), "goods.length_m", 300)
    assert fingerprint(certificate_of(whole)) == fingerprint(example())


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        ("goods.length_m", "300 m", "goods.length_m"),
        ("goods.length_m", float("nan"), "nan"),
        ("goods.pieces", [{"number": "1"}], "goods.pieces[0].length_m"),
        ("release.state", 1, "release.state"),
        ("lifting", True, "lifting"),
        ("goods.lifting", 1, "goods.lifting"),
        ("requirements.0.results.0.value", "51", "requirements[0].results[0].value"),
    ],
)
def test_wrong_data_are_refused_with_their_place(place: str, value: Any, told: str) -> None:
    data = plain(example())
    data = {**data, place: value} if "." not in place else edited(data, place, value)
    with pytest.raises(InputErrors) as refused:
        certificate_of(data)
    assert told in str(refused.value)


@pytest.mark.parametrize("raw", [b"", b"[]", b"{", b"nan", b"\xff", b'"x"', b"[" * 5000, b"{}"])
def test_what_is_no_data_ends_in_a_sentence(raw: bytes) -> None:
    with pytest.raises(InputErrors):
        certificate_of_json(raw, "data")


def test_the_examples_may_be_certified() -> None:
    for one in (example(), small(), two_signed()):
        require(one)


@pytest.mark.parametrize("state", ["held", "proposed", "", "scrapped", "Released"])
def test_a_lot_that_is_not_released_is_not_certified(state: str) -> None:
    one = example()
    with pytest.raises(NotReleased, match="not released"):
        require(replace(one, release=replace(one.release, state=state)))


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        ("release.released_by", "person-7", "release.released_by"),
        ("release.released_at", "2026-12-16T00:00:00Z", "order of time"),
        ("release.released_at", "yesterday", "a time that is none"),
        ("release.decision", "", "release.decision"),
        ("issued_at", "2026-12-17T09:30:00Z", "order of time"),
        ("issued_at", "2026-12-18 09:30", "issued_at"),
        ("type", "3.3", "no type"),
        ("type", "2.1", "carries none"),
        ("type", "2.2", "non-specific"),
        ("type", "3.2", "for the purchaser"),
        ("validators.0.independent", False, "independent"),
        ("validators.0.acts_for", "nobody", "nobody known"),
        ("validators.0.name", "A" * 81, "too long"),
        ("requirements", [], "carries results"),
        ("requirements.1.verdict", "not met", "is not met"),
        ("requirements.1.verdict", "no evidence", "no evidence"),
        ("requirements.1.results.1.value", 79.0, "beyond its limit: P2"),
        ("requirements.1.characteristic", "weight", "lacks the breaking force"),
        ("requirements.1.concession", "agreed", "no concession"),
        ("requirements.1.unit", "furlong", "table of units"),
        ("requirements.7.code", "C99", "field code"),
        ("requirements.0.source", "", "where the limit stands"),
        ("goods.length_m", 301.0, "add up to 300 m"),
        ("goods.pieces.1.number", "P-1042-1", "twice"),
        ("goods.grade", "", "goods.grade"),
        ("goods.working_load_limit_t", None, "working_load_limit_t"),
        ("technical_file", [], "index"),
        ("declaration", None, "declaration"),
        ("declaration.confirmed_by", "", "confirmed"),
        ("declaration.law", "eu-machinery-regulation", "not in force"),
        ("declaration.law", "law of the land", "not in the table"),
        ("maker.name", "two\nlines", "single line"),
        ("maker.name", "\u202eevil", "single line"),
        ("maker.name", "", "maker.name"),
        ("remarks", ["x" * 2000], "too long"),
        ("remarks", ["e\u0301"], "NFC"),
        ("language", "xx", "language"),
        ("units", "cubits", "units"),
        ("schema_version", 2, "schema_version"),
        ("replaces", {"number": "1", "fingerprint": "ab", "reason": "x"}, "replaces.fingerprint"),
        ("replaces", {"number": "QL-2026-0417", "fingerprint": "a" * 64, "reason": "x"}, "itself"),
    ],
)
def test_a_rule_that_is_broken_is_told(place: str, value: Any, told: str) -> None:
    data = plain(example())
    data = {**data, place: value} if "." not in place else edited(data, place, value)
    with pytest.raises(InputErrors) as refused:
        require(certificate_of(data))
    assert told in json.dumps([vars(one) for one in refused.value.found], ensure_ascii=False)


def test_a_concession_lets_other_chain_leave() -> None:
    data = edited(plain(example()), "goods.lifting", False)
    data = edited(data, "requirements.7.verdict", "not met")
    data = edited(data, "requirements.7.concession", "agreed by the purchaser, letter 12")
    require(certificate_of(data))


def test_the_law_changes_on_20_january_2027_as_regulation_2023_1230_with_its_corrigendum() -> None:
    """The date is that of the corrigendum of 4 July 2023: applies from 20 January 2027."""
    before, after = law_in_force(date(2027, 1, 19)), law_in_force(date(2027, 1, 20))
    assert before is not None
    assert after is not None
    assert (before.key, after.key) == ("eu-machinery-directive", "eu-machinery-regulation")
    assert law_in_force(date(2009, 12, 28)) is None
    assert all(law.basis == "memory" for law in laws())


def test_a_proposed_declaration_is_a_draft_that_nobody_has_confirmed() -> None:
    made = proposed(example().goods, "the works, Quarry Lane", date(2027, 2, 1))
    assert made is not None
    assert made.title.startswith("EU declaration of conformity")
    assert "EN 818-2" in made.text
    assert (made.confirmed_by, made.confirmed_on) == ("", "")
