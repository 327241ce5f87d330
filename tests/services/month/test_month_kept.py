"""The invented night in books: what the stuck electrode welded is scrapped, the rest certified."""

import json
from pathlib import Path

import pytest
from kept_books import MEANS, PHRASE, QUICK, Books

from linkwright.quantities import LinkwrightError
from linkwright.records import people
from linkwright.records.acts import acts, do
from linkwright.records.chain import walk
from linkwright.records.people import Signed
from linkwright.records.pieces import balance
from linkwright.records.store import open_store
from linkwright.services.looking import look
from linkwright.services.month import MonthRequest, make_month
from linkwright.services.month.kept import PEOPLE, KeptMonth, keep_month

ON = "2026-11-26"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, KeptMonth]:
    """The first night and its books."""
    folder = tmp_path_factory.mktemp("kept")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(people, "HASHER", QUICK)
        make_month(MonthRequest(folder / "night", 39_000, kinds=("passage", "gauge")))
        return folder, keep_month(folder / "night", str(folder / "q.books"), PHRASE)


class Hand(Books):
    """The people of the month."""

    def signed(self, person: str) -> Signed:
        """With their own roles."""
        return Signed(f"person:{person}", frozenset(PEOPLE[person][1].split()), PEOPLE[person][0])


def test_the_lots_of_the_night_stand_with_their_evidence(kept: tuple[Path, KeptMonth]) -> None:
    """Presented, tested, undecided; the chain whole."""
    folder, made = kept
    assert made.lots[:2] == ("L07B-001", "L07A-001")
    store = open_store(made.books, MEANS)
    with store.reading() as session:
        assert walk(session).broken == ()
    said = look(store, "lot:L07B-003", ON)
    store.close()
    assert said["state"] == "presented"
    truth = json.loads((folder / "night" / "truth.json").read_text())
    assert said["evidence"]["requirements"][0]["results"][0]["value"] > 50.0
    assert truth["stuck_electrode"]["lot"] == "L07B-003"


def test_the_piece_is_held_and_scrapped_and_the_rest_is_certified(
    kept: tuple[Path, KeptMonth],
) -> None:
    """One alone cannot release; the sums add up to the end."""
    folder, made = kept
    books = Hand(open_store(made.books, MEANS))
    stuck = json.loads((folder / "night" / "truth.json").read_text())["stuck_electrode"]
    books.act("hold_piece", "cleo", "electrode stuck at 02:14", piece=stuck["piece"])
    with pytest.raises(LinkwrightError, match="held pieces"):
        books.act("propose", "cleo", lot=stuck["lot"], disposition="release")
    whole = look(books.store, f"piece:{stuck['piece']}", ON)["versions"][-1]
    before = round(stuck["from_m"] * 1000)
    bad = round(stuck["length_m"] * 1000)
    parts = [before, bad, whole["length_mm"] - before - bad]
    books.act("cut_piece", "ben", piece=stuck["piece"], lengths_mm=parts)
    books.act("scrap_piece", "dora", piece=f"{stuck['piece']}.2")
    for end in (1, 3):
        books.act("free_piece", "dora", piece=f"{stuck['piece']}.{end}")
    books.act("propose", "cleo", lot=stuck["lot"], disposition="release")
    books.act("decide", "dora", proposal=f"{stuck['lot']}/1", agree=True)
    books.act("issue_certificate", "dora", lot=stuck["lot"])
    with books.store.reading() as session:
        sums = balance(session, f"lot:{stuck['lot']}").to_dict()
        assert walk(session).broken == ()
    assert sums["difference_mm"] == 0
    assert sums["scrap_mm"] == bad
    assert sums["certified_mm"] == parts[0] + parts[2]
    parted = look(books.store, f"piece:{stuck['piece']}.2", ON)["versions"][-1]
    assert parted["first_position"] == stuck["first_position"]
    assert parted["last_position"] == stuck["last_position"]
    books.store.close()


def test_books_that_have_begun_are_not_filled_again(kept: tuple[Path, KeptMonth]) -> None:
    """A sentence, and nothing is written."""
    folder, made = kept
    with pytest.raises(LinkwrightError, match="have begun already"):
        keep_month(folder / "night", made.books, PHRASE)


def test_every_act_of_the_month_is_one_that_its_people_may_do() -> None:
    """No act of the demo is done with another's role."""
    assert set(acts()["decide"].roles) == {"release"}
    with pytest.raises(LinkwrightError):
        do(None, Signed("person:ben", frozenset({"record"}), "x"), acts()["decide"], {}, why="x")  # type: ignore[arg-type]
