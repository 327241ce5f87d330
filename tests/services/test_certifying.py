"""Certificates as files: made, signed twice, verified, withdrawn; keys of their owners alone."""

import json
import stat
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from certified import (
    BEGUN,
    EXAMPLE,
    PHRASE,
    SIGNED,
    changed,
    edited,
    example,
    small,
    stranger,
    two_signed,
)

from linkwright.documents.certificates.content import plain
from linkwright.documents.certificates.keys import NoKey
from linkwright.documents.certificates.rules import NotReleased
from linkwright.documents.certificates.verifying import NoCertificate
from linkwright.quantities import ArgumentError, InputErrors
from linkwright.services.certifying import (
    CannotSign,
    ListRequest,
    VerifyRequest,
    certify,
    certify_file,
    countersign,
    publish_list,
    verify_file,
)
from linkwright.services.key_files import KeyRequest, key_from, make_key_file
from linkwright.services.written_file import FileInUse


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a key of an authority, one below it, and a certificate."""
    folder = tmp_path_factory.mktemp("works")
    above = folder / "authority.p12"
    make_key_file(KeyRequest(above, "authority", PHRASE, authority=True, years=30, at=BEGUN))
    make_key_file(
        KeyRequest(folder / "inspector.p12", "inspection", PHRASE, issuer=above,
                   issuer_pass_phrase=PHRASE, years=30, at=BEGUN)
    )  # fmt: skip
    certify_file(EXAMPLE, folder / "inspector.p12", PHRASE, folder / "c.pdf")
    return folder


def listing(folder: Path, name: str, **more: object) -> ListRequest:
    return ListRequest(folder / name, folder / "inspector.p12", PHRASE, **more)  # type: ignore[arg-type]


def test_a_key_is_its_owners_alone(works: Path) -> None:
    path = works / "inspector.p12"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert PHRASE.encode() not in path.read_bytes()
    with pytest.raises(NoKey, match="pass phrase is another"):
        key_from(path, "another phrase")
    open_to_all = works / "open.p12"
    open_to_all.write_bytes(path.read_bytes())
    open_to_all.chmod(0o644)
    with pytest.raises(NoKey, match="chmod 600"):
        key_from(open_to_all, PHRASE)
    with pytest.raises(NoKey, match="can be read"):
        key_from(_file(works / "none.p12", b"nothing"), PHRASE)


def _file(path: Path, raw: bytes) -> Path:
    path.write_bytes(raw)
    path.chmod(0o600)
    return path


def test_keys_that_cannot_be_made_are_refused(works: Path) -> None:
    with pytest.raises(FileInUse):
        make_key_file(KeyRequest(works / "inspector.p12", "x", PHRASE))
    with pytest.raises(NoKey, match="fewer than"):
        make_key_file(KeyRequest(works / "new.p12", "x", "short"))
    with pytest.raises(NoKey, match="no authority"):
        make_key_file(KeyRequest(works / "new.p12", "x", PHRASE, issuer=works / "inspector.p12",
                                 issuer_pass_phrase=PHRASE))  # fmt: skip
    with pytest.raises(ArgumentError):
        make_key_file(KeyRequest(works / "new.p12", "x", PHRASE, years=99))
    assert not (works / "new.p12").exists()


def test_a_file_is_certified_and_verified(works: Path) -> None:
    trust = (works / "authority.pem",)
    answer = verify_file(VerifyRequest(works / "c.pdf", trust=trust, records=EXAMPLE))
    assert answer.good
    told = answer.to_dict()
    assert told["number"] == "QL-2026-0417"
    assert told["records"]["state"] == "good"
    assert not verify_file(VerifyRequest(works / "c.pdf")).good
    with pytest.raises(FileInUse):
        certify_file(EXAMPLE, works / "inspector.p12", PHRASE, works / "c.pdf")


def test_records_that_differ_are_told(works: Path) -> None:
    other = edited(plain(example()), "requirements.1.results.0.value", 86.39)
    path = _file(works / "records.json", json.dumps(other).encode())
    answer = verify_file(VerifyRequest(works / "c.pdf", records=path))
    assert answer.found.records is not None
    assert answer.found.records.said == "records say otherwise at requirements[1].results[0].value"
    for raw in (b"[]", b"{", b"[" * 99999):
        with pytest.raises(InputErrors):
            verify_file(VerifyRequest(works / "c.pdf", records=_file(path, raw)))


def test_nothing_is_written_of_a_lot_that_is_not_released(works: Path, tmp_path: Path) -> None:
    data = edited(plain(example()), "release.state", "held")
    path = _file(tmp_path / "data.json", json.dumps(data).encode())
    with pytest.raises(NotReleased):
        certify_file(path, works / "inspector.p12", PHRASE, tmp_path / "c.pdf")
    assert sorted(file.name for file in tmp_path.iterdir()) == ["data.json"]


def test_a_second_signature_is_added_once() -> None:
    key = stranger()[0]
    first = certify(two_signed(), key, SIGNED)
    assert first.missing == ("B. Visitor (invented)",)
    both = countersign(first.raw, key, SIGNED + timedelta(days=1))
    assert both.raw.startswith(first.raw)
    assert both.missing == ()
    with pytest.raises(CannotSign, match="all its signatures"):
        countersign(both.raw, key, SIGNED)
    with pytest.raises(CannotSign, match="does not hold"):
        countersign(changed(first.raw, 9000, 1), key, SIGNED)
    with pytest.raises(CannotSign, match="no certificate"):
        countersign(b"%PDF-1.7\n", key, SIGNED)
    with pytest.raises(CannotSign, match="all its signatures"):
        countersign(certify(small(), key, SIGNED).raw, key, SIGNED)


def test_certificates_are_withdrawn_by_the_next_list(works: Path, tmp_path: Path) -> None:
    trust, later = (works / "authority.pem",), SIGNED + timedelta(days=2)
    one = publish_list(listing(works, "l1.json", works="Quarry Lane works"), later)
    two = publish_list(
        listing(works, "l2.json", after=one.path, certificate=works / "c.pdf",
                reason="the length was wrong", superseded_by="QL-2026-0419"),
        later + timedelta(days=1),
    )  # fmt: skip
    assert (one.content.number, two.content.number) == (1, 2)
    memory = tmp_path / "seen.json"

    def state(*lists: Path) -> tuple[str, bool, tuple[str, ...]]:
        answer = verify_file(VerifyRequest(works / "c.pdf", lists, trust, remember=memory))
        return answer.found.status.state, answer.good, answer.notes

    assert state(one.path) == ("good", True, ())
    told = verify_file(VerifyRequest(works / "c.pdf", (two.path,), trust))
    assert told.found.status.said.startswith("superseded by QL-2026-0419 on 2026-12-21")
    assert state(two.path)[:2] == ("bad", False)
    found = state(one.path)
    assert found[:2] == ("good", False)
    assert "is older than list 2, which was given already" in found[2][0]
    found = state(one.path, two.path)
    assert found[0] == "bad"
    assert "older than list 2" in found[2][0]
    spoiled = _file(tmp_path / "spoiled.json", changed(two.path.read_bytes(), 700, 2))
    found = state(spoiled)
    assert found[0] == "unknown"
    assert "it is not used" in found[2][0]
    memory.write_text('{"a": "b"}')
    with pytest.raises(InputErrors, match="numbers of lists"):
        state(one.path)


def test_lists_that_cannot_be_are_refused(works: Path) -> None:
    one = publish_list(listing(works, "a1.json", works="W"), SIGNED)
    with pytest.raises(CannotSign, match="issued later"):
        publish_list(listing(works, "a2.json", after=one.path), SIGNED)
    with pytest.raises(ArgumentError, match="reason"):
        publish_list(listing(works, "a2.json", works="W", certificate=works / "c.pdf"), SIGNED)
    with pytest.raises(ArgumentError, match="works"):
        publish_list(listing(works, "a2.json"), SIGNED)
    make_key_file(KeyRequest(works / "other.p12", "other", PHRASE))
    with pytest.raises(CannotSign, match="another works' key"):
        publish_list(ListRequest(works / "a2.json", works / "other.p12", PHRASE, after=one.path))
    with pytest.raises(NoCertificate):
        publish_list(listing(works, "a2.json", works="W", certificate=EXAMPLE, reason="x"), SIGNED)
    assert not (works / "a2.json").exists()


def test_what_replaces_another_names_it(works: Path) -> None:
    from linkwright.documents.certificates.content import Replaced, fingerprint

    told = replace(
        example(), number="QL-2026-0419",
        replaces=Replaced("QL-2026-0417", fingerprint(example()), "the length was wrong"),
    )  # fmt: skip
    made = certify(told, key_from(works / "inspector.p12", PHRASE), SIGNED)
    assert made.certificate.replaces == told.replaces


@pytest.mark.parametrize("raw", [b"", b"x", b"%PDF-1.4\n%%EOF", b"PK\x03\x04", b"\0" * 1000])
def test_what_is_no_certificate_is_wrong_input(tmp_path: Path, raw: bytes) -> None:
    with pytest.raises(NoCertificate):
        verify_file(VerifyRequest(_file(tmp_path / "f.pdf", raw)))


def test_a_file_that_is_too_large_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.pdf"
    with path.open("wb") as held:
        held.truncate(10**10)
    with pytest.raises(InputErrors, match="larger than 64 MB"):
        verify_file(VerifyRequest(path))
