"""The commands around certificates: exit codes, sentences, JSON."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from certified import EXAMPLE, edited, example, small_file
from json_page import described, keys_of

from linkwright.documents.certificates.content import plain

PHRASE = "a phrase for tests only"


@pytest.fixture
def works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: Callable[..., Any]) -> Path:
    monkeypatch.setenv("LINKWRIGHT_KEY_PHRASE", PHRASE)
    monkeypatch.chdir(tmp_path)
    assert command("key", "works.p12", "--name", "Quarry Lane works").code == 0
    return tmp_path


def test_from_key_to_withdrawal(works: Path, command: Callable[..., Any]) -> None:
    """Certified, verified, withdrawn, verified again."""
    made = command("certify", str(EXAMPLE), "--key", "works.p12", "--out", "c.pdf", "--json")
    assert made.code == 0
    assert json.loads(made.out)["signatures_missing"] == []
    assert keys_of(json.loads(made.out)) == described("certify")
    trusted = ("verify", "c.pdf", "--trust", "works.pem")
    found = command(*trusted)
    assert found.code == 0
    assert "signature: good" in found.out
    assert "data: good" in found.out
    assert "status: unknown" in found.out
    assert command("verify", "c.pdf").code == 1
    listed = command("withdraw", "l.json", "--key", "works.p12", "--works", "Quarry Lane works",
                     "--certificate", "c.pdf", "--reason", "a link broke", "--json")  # fmt: skip
    assert json.loads(listed.out)["entries"] == 1
    assert keys_of(json.loads(listed.out)) == described("withdraw")
    found = command(*trusted, "--withdrawals", "l.json", "--records", str(EXAMPLE), "--json")
    assert found.code == 1
    assert keys_of(json.loads(found.out)) == described("verify")
    told = json.loads(found.out)
    assert told["status"]["state"] == "bad"
    assert told["good"] is False


def test_records_that_differ_give_exit_code_1(works: Path, command: Callable[..., Any]) -> None:
    Path("small.pdf").write_bytes(small_file())
    other = edited(plain(example()), "number", "QL-1")
    Path("records.json").write_text(json.dumps(other))
    found = command("verify", "small.pdf", "--records", "records.json")
    assert found.code == 1
    assert "records: bad" in found.out


def test_what_is_no_certificate_gives_exit_code_2(works: Path, command: Callable[..., Any]) -> None:
    for name in ("works.pem", "nothing.pdf"):
        found = command("verify", name, "--json")
        assert found.code == 2
        assert json.loads(found.out)["errors"][0]["file"] == name
    found = command("verify", "works.pem", "--trust", str(EXAMPLE))
    assert found.code == 1
    assert "holds no certificate" in found.err


def test_a_lot_that_is_not_released_gives_exit_code_1(
    works: Path, command: Callable[..., Any]
) -> None:
    Path("held.json").write_text(json.dumps(edited(plain(example()), "release.state", "held")))
    found = command("certify", "held.json", "--key", "works.p12", "--out", "c.pdf")
    assert found.code == 1
    assert "lot L-1042-1 is held, not released" in found.err
    assert not Path("c.pdf").exists()


def test_the_pass_phrase_comes_from_a_file_too(
    works: Path, command: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LINKWRIGHT_KEY_PHRASE")
    Path("phrase").write_text(PHRASE + "\n")
    words = ("certify", str(EXAMPLE), "--key", "works.p12", "--out", "c.pdf")
    assert command(*words, "--key-phrase", "phrase").code == 0
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    found = command(*words, "--force")
    assert found.code == 2
    assert "LINKWRIGHT_KEY_PHRASE" in found.err


def test_the_schemas_are_printed(command: Callable[..., Any]) -> None:
    assert "urn:linkwright:certificate:1" in command("schema", "certificate-xml").out
    assert json.loads(command("schema", "certificate").out)["title"].startswith("data of a cert")
