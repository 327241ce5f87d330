"""Drafts of orders in a folder."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from linkwright.quantities import UnknownName
from linkwright.services import drafts as module
from linkwright.services.drafts import Drafts


def test_a_draft_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    kept = Drafts(tmp_path).add('note = "Ünïcode\n"')
    assert Drafts(tmp_path).get(kept.ident) == kept


def test_a_change_names_what_it_came_from_and_where_it_began(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    first = drafts.add("a")
    second = drafts.add("b", first)
    third = drafts.add("c", second)
    assert (third.parent, third.base) == (second.ident, first.ident)


def test_the_same_change_twice_is_one_draft(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    first = drafts.add("a")
    assert drafts.add("b", first).ident == drafts.add("b", first).ident
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("ident", ["0" * 16, "../secret", "", "a/b", "x" * 4000, "\x00" * 16])
def test_what_is_no_draft_is_told(tmp_path: Path, ident: str) -> None:
    with pytest.raises(UnknownName):
        Drafts(tmp_path).get(ident)


def test_only_beginnings_are_listed_newest_first(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    first = drafts.add("a")
    drafts.add("b", first)
    other = drafts.add("c")
    listed = [one.ident for one in drafts.recent(5)]
    assert sorted(listed) == sorted([first.ident, other.ident])


def test_the_oldest_go_when_there_are_too_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "MOST_DRAFTS", 3)
    drafts = Drafts(tmp_path)
    for text in "abcde":
        drafts.add(text)
    assert len(list(tmp_path.iterdir())) == 3


def test_two_at_once_leave_whole_files(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    texts = [f"{number}" * 4000 for number in range(8)]

    def write() -> None:
        for text in texts:
            drafts.add(text)

    writers = [threading.Thread(target=write) for _ in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert {one.text for one in drafts.recent(20)} == set(texts)
    assert not list(tmp_path.glob("*.part"))
