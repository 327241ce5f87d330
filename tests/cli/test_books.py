"""Books from the command line, as the people of a works use them."""

import json
from pathlib import Path
from typing import Any

import pytest
from kept_books import PHRASE, _quick  # noqa: F401 - fixture

from linkwright.cli.main import run


def told(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> Any:
    with pytest.raises(SystemExit) as ended:
        run(words)
    out = capsys.readouterr()
    assert ended.value.code == code, out.err
    return json.loads(out.out) if "--json" in words and code == 0 else out.out + out.err


@pytest.fixture
def place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> str:
    """New books, the pass phrase in the surroundings."""
    monkeypatch.setenv("LINKWRIGHT_PASS_PHRASE", PHRASE)
    books = str(tmp_path / "q.books")
    said = told(
        capsys, "books", "start", books, "--as", "anna", "--name", "Anna (invented)", "--json"
    )
    assert said["version_before"] == "0000"
    return books


def test_from_the_first_person_to_a_walked_chain(
    place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Start, add somebody, write, look, check, back up, restore, export, import."""
    told(
        capsys,
        "record",
        "add_person",
        "person=ben",
        "name=Ben",
        "roles=record sell",
        f"pass_phrase={PHRASE}",
        "--books",
        place,
        "--as",
        "anna",
        "--why",
        "new in the shop",
    )
    said = told(
        capsys,
        "record",
        "add_customer",
        "customer=K1",
        "name=invented",
        "--books",
        place,
        "--as",
        "ben",
        "--why",
        "first enquiry",
        "--key",
        "mail-1",
        "--json",
    )
    assert said["new"]
    again = told(
        capsys,
        "record",
        "add_customer",
        "customer=K1",
        "name=invented",
        "--books",
        place,
        "--as",
        "ben",
        "--why",
        "first enquiry",
        "--key",
        "mail-1",
        "--json",
    )
    assert (again["act"], again["new"]) == (said["act"], False)
    assert "customer:K1" in told(capsys, "look", "customer", "--books", place)
    assert "first enquiry" in told(capsys, "look", "customer:K1", "--books", place)
    head = told(capsys, "books", "check", place, "--json")
    (tmp_path / "head.json").write_text(json.dumps(head))
    assert (
        told(capsys, "books", "check", place, "--head", str(tmp_path / "head.json"), "--json")[
            "broken"
        ]
        == []
    )
    told(capsys, "books", "backup", place, str(tmp_path / "b.books"))
    told(capsys, "books", "restore", str(tmp_path / "b.books"), str(tmp_path / "r.books"))
    told(capsys, "books", "export", place, str(tmp_path / "out"))
    walked = told(
        capsys,
        "books",
        "import",
        str(tmp_path / "i.books"),
        str(tmp_path / "out"),
        "--as",
        "anna",
        "--json",
    )
    assert walked["head"] == head["head"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("record", "make_peice"), 2, "make_piece"),
        (("record", "set_rule", "rule=x", "value=1", "source=x", "--as", "anna"), 2, "--why"),
        (("record", "set_rule", "rule=x", "value=1", "source=x", "--why", "x"), 2, "--as"),
        (
            ("record", "set_rule", "rule=x", "value=1", "source=x", "--why", "x", "--as", "otto"),
            1,
            "do not belong",
        ),
        (
            (
                "record",
                "make_piece",
                "lot=L",
                "piece=P",
                "length_mm=1",
                "--why",
                "x",
                "--as",
                "anna",
            ),
            1,
            "is for record",
        ),
        (("look", "lot:none"), 2, "is not known"),
        (("look", "nonsense"), 2, "is not known"),
        (("books", "restore", "none.books", "x"), 1, "no backup"),
        (("books", "check", "none.books"), 1, "books start"),
        (("books", "backup"), 2, "BOOKS"),
    ],
)
def test_what_cannot_be_is_said_with_its_exit_code(
    place: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    code: int,
    said: str,
) -> None:
    """0 done, 1 could not be done, 2 wrong input; never a traceback."""
    monkeypatch.setenv("LINKWRIGHT_BOOKS", place)
    text = told(capsys, *words, code=code)
    assert said in text
    assert "Traceback" not in text


def test_acts_are_listed_and_described(capsys: pytest.CaptureFixture[str]) -> None:
    """Without books and without a person."""
    assert "receive_coil" in told(capsys, "record")
    assert "mass_kg" in told(capsys, "record", "receive_coil")
    assert told(capsys, "record", "--json")["acts"]


def test_a_broken_chain_ends_with_one(place: str, capsys: pytest.CaptureFixture[str]) -> None:
    """And says where."""
    import sqlite3

    connection = sqlite3.connect(place)
    for (name,) in connection.execute(
        "select name from sqlite_master where type='trigger'"
    ).fetchall():
        connection.execute(f'drop trigger "{name}"')
    connection.execute("update person set roles = 'release administer'")
    connection.commit()
    connection.close()
    assert "act 1" in told(capsys, "books", "check", place, code=1)


def test_the_pass_phrase_may_come_from_a_file(
    place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its first line; without any, and no terminal, it is asked for in a sentence."""
    monkeypatch.delenv("LINKWRIGHT_PASS_PHRASE")
    words = (
        "record",
        "set_rule",
        "rule=x",
        "value=1",
        "source=x",
        "--books",
        place,
        "--as",
        "anna",
        "--why",
        "x",
    )
    assert "--pass-phrase FILE" in told(capsys, *words, code=2)
    (tmp_path / "p").write_text(PHRASE + "\n")
    assert "rule:x" in told(capsys, *words, "--pass-phrase", str(tmp_path / "p"))


def test_a_new_pass_phrase_is_never_an_argument(
    place: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It comes from the surroundings or is asked for; one renews one's own."""
    words = ("record", "add_person", "person=ben", "name=Ben", "roles=sell", "--books", place)
    who = ("--as", "anna", "--why", "x")
    assert "LINKWRIGHT_NEW_PHRASE" in told(capsys, *words, *who, code=2)
    monkeypatch.setenv("LINKWRIGHT_NEW_PHRASE", "other slow coils of wire")
    told(capsys, *words, *who)
    monkeypatch.setenv("LINKWRIGHT_PASS_PHRASE", "other slow coils of wire")
    monkeypatch.setenv("LINKWRIGHT_NEW_PHRASE", "third set of slow coils")
    told(capsys, "books", "renew", place, "--as", "ben")
    assert "do not belong" in told(capsys, "books", "renew", place, "--as", "ben", code=1)
