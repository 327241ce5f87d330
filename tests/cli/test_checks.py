"""`linkwright checks`."""

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., Any]
pytestmark = pytest.mark.usefixtures("tiny")

AGREES = """
[[case]]
id = "bar-a"
source = "Test, page 1"
basis = "computed"
inputs = { load_kN = 10, diameter_mm = 10.0 }
expect = { stress_MPa = 127.0 }
rtol = 0.01
calculation = "tiny_pull"
"""
DIFFERS = AGREES.replace("bar-a", "bar-b").replace("127.0", "[127.0, 140.0]")
OPEN = AGREES.replace("bar-a", "bar-c").replace("tiny_pull", "tiny_gone")


@pytest.fixture
def book(tmp_path: Path) -> Callable[..., str]:
    def write(*rows: str) -> str:
        path = tmp_path / "ein Büchlein.toml"
        path.write_text("".join(rows), encoding="utf-8")
        return str(path)

    return write


def test_a_row_shows_everything_that_it_is_judged_by(
    command: Command, book: Callable[..., str]
) -> None:
    """Id, verdict, source, expected, obtained, deviation and allowance, then the totals."""
    ended = command("checks", "--book", book(AGREES))
    assert ended == (
        0,
        "bar-a: agrees\n"
        "  source: Test, page 1 (computed)\n"
        "  calculation: tiny_pull\n"
        "  stress: expected 127 MPa, obtained 127.32 MPa, deviation 0.255 %, allowed 1 %: agrees\n"
        "1 agree, 0 differ, 0 open, of 1 row\n",
        "",
    )


def test_a_row_that_differs_ends_with_exit_code_1(
    command: Command, book: Callable[..., str]
) -> None:
    """One difference is enough; the value nearest to its limit is named."""
    ended = command("checks", "--book", book(AGREES, DIFFERS))
    assert ended.code == 1
    assert "stress (value 2, nearest to its limit): expected 140 MPa" in ended.out
    assert ended.out.endswith("1 agree, 1 differ, 0 open, of 2 rows\n")


def test_open_rows_are_listed_and_counted(command: Command, book: Callable[..., str]) -> None:
    """`--open` shows the open rows and why they are open."""
    ended = command("checks", "--book", book(AGREES, OPEN), "--open")
    assert ended.code == 0
    assert ended.out.startswith("bar-c: open\n")
    assert "tiny_gone is not known" in ended.out
    assert ended.out.endswith("0 agree, 0 differ, 1 open, of 1 row\n")


def test_the_calculation_that_was_found_is_named(
    command: Command, book: Callable[..., str]
) -> None:
    """A row without a name says which calculation it was given to."""
    row = AGREES.replace('calculation = "tiny_pull"', "")
    assert "calculation: tiny_pull (found to fit)" in command("checks", "--book", book(row)).out


def test_json_holds_rows_and_totals(command: Command, book: Callable[..., str]) -> None:
    """Each row with its comparisons in numbers; the exit code is the same."""
    ended = command("checks", "--book", book(AGREES, DIFFERS, OPEN), "--json")
    data = json.loads(ended.out)
    assert ended.code == 1
    assert data["totals"] == {"agrees": 1, "differs": 1, "open": 1, "rows": 3}
    assert data["rows"][0]["compared"][0]["allowed"] == pytest.approx(0.01)


def test_ids_choose_rows(command: Command, book: Callable[..., str]) -> None:
    """A part of an id, or a pattern, chooses the rows."""
    ended = command("checks", "--book", book(AGREES, DIFFERS, OPEN), "*-a")
    assert ended.out.endswith("of 1 row\n")
    assert command("checks", "--book", book(AGREES), "zzz").code == 2


def test_a_book_may_come_from_standard_input(
    command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`-` is standard input."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(AGREES.encode())))
    assert command("checks", "--book", "-").code == 0


def test_a_wrong_book_is_told_with_file_and_line(
    command: Command, book: Callable[..., str]
) -> None:
    """A slip in a key is told with its place and the right key, as data too."""
    path = book(AGREES, AGREES.replace("expect", "expcet"))
    ended = command("checks", "--book", path, "--json")
    assert ended.code == 2
    errors = json.loads(ended.out)["errors"]
    assert [(error["file"], error["line"], error["key"]) for error in errors] == [
        (path, 11, "expect"),
        (path, 11, "expcet"),
    ]
    assert f"error: {path}:11: expcet" in ended.err


def test_a_missing_book_is_wrong_input(command: Command, tmp_path: Path) -> None:
    """A name that leads nowhere ends with 2."""
    ended = command("checks", "--book", str(tmp_path / "none.toml"))
    assert ended.code == 2
    assert "there is no such file" in ended.err
