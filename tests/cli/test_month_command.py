"""`linkwright month`: what it says, writes and refuses."""

import json
from pathlib import Path

import pytest
from json_page import described, keys_of


def test_json_is_what_the_page_describes(command, tmp_path: Path) -> None:
    """Every key is described and every described key is there; the folder holds what is said."""
    out = tmp_path / "night"
    ended = command("month", str(out), "--links", "20000", "--json")
    assert ended.code == 0
    data = json.loads(ended.out)
    shown = {**data, "truth": dict.fromkeys(data["truth"], 0)}
    assert keys_of(shown) == described("month")
    assert data["rows"]["weld"] == 20_000
    assert data["files"] == sum(1 for one in out.rglob("*") if one.is_file())
    assert json.loads((out / "truth.json").read_text("utf-8")) == data["truth"]
    assert data["truth"]["poor_coil"] is None  # lies beyond so few links


def test_text_names_what_was_put_in_and_says_that_it_is_invented(command, tmp_path: Path) -> None:
    ended = command("month", str(tmp_path / "night"), "--links", "39000")
    assert ended.code == 0
    for words in (
        "invented",
        "P07B-003, 31.4 m from 112.0 m on",
        "02:14",
        "an hour ahead",
        "14 rows",
    ):
        assert words in ended.out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [(("--links", "0"), 2, "1 to"), (("--kind", "welds"), 2, "weld"), ((), 1, "is not empty")],
)  # fmt: skip
def test_what_cannot_be_made_is_refused_before_the_work(
    command, tmp_path: Path, words, code, said
) -> None:
    (tmp_path / "kept.txt").write_text("mine", encoding="utf-8")
    folder = tmp_path if not words else tmp_path / "new"
    ended = command("month", str(folder), *words)
    assert (ended.code, said in ended.err) == (code, True)
    assert [one.name for one in tmp_path.iterdir()] == ["kept.txt"]
