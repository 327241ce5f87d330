"""Metres: made = stock + test + held + certified + scrap, whatever is done."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from kept_books import QUICK, Books, begun

from linkwright.quantities import LinkwrightError
from linkwright.records import people
from linkwright.records.kinds import Piece
from linkwright.records.pieces import balance
from linkwright.records.writing import all_latest


def sums(books: Books, lot: str = "L1") -> dict[str, Any]:
    with books.store.reading() as session:
        return balance(session, f"lot:{lot}").to_dict()


def in_work(books: Books) -> None:
    books.line()
    books.act("start_lot", lot="L1", line="O1/1")


def test_cut_sample_join_and_scrap_add_up(both: Books) -> None:
    """A joining link is new metal; a scrapped piece stays counted."""
    in_work(both)
    both.act("make_piece", lot="L1", piece="P", length_mm=10_000)
    both.act("cut_piece", piece="P", lengths_mm=[1000, 24, 8976])
    both.act("take_sample", piece="P.1")
    both.act("scrap_piece", "dora", piece="P.2")
    both.act("make_piece", lot="L1", piece="R", length_mm=500)
    both.act("join_pieces", piece="P.3", other="R", joined="J", link_mm=24)
    assert sums(both) == {
        "made_mm": 10_524,
        "stock_mm": 9500,
        "test_mm": 1000,
        "held_mm": 0,
        "certified_mm": 0,
        "scrap_mm": 24,
        "difference_mm": 0,
    }


def test_a_repair_makes_a_link_and_scraps_one_and_is_proofed_before_it_is_free(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Cut out, welded anew, hardened with its neighbours, the whole piece proofed."""
    in_work(books)
    books.act("make_piece", lot="L1", piece="P", length_mm=10_000)
    books.act("start_repair", piece="P", link=200, link_mm=24)
    assert sums(books)["made_mm"] == 10_024
    assert sums(books)["difference_mm"] == 0
    with refused("unproofed repairs"):
        books.act("free_piece", "dora", piece="P")
    books.act("finish_repair", repair="P/1", proofed_on="2026-11-20", proof_force_N=50_300.0)
    books.act("free_piece", "dora", piece="P")
    assert books.state("piece:P") == "stock"


def test_the_parts_of_a_piece_keep_their_places_in_the_strand(books: Books) -> None:
    """Where every part is whole links; where not, no place is invented."""
    in_work(books)
    books.act(
        "make_piece",
        lot="L1",
        piece="P",
        length_mm=24_000,
        strand="S1",
        first_position=100,
        last_position=1099,
    )
    rows = books.act("cut_piece", piece="P", lengths_mm=[2400, 21_600])
    assert [(r["first_position"], r["last_position"]) for r in rows[1:]] == [
        (100, 199),
        (200, 1099),
    ]
    rows = books.act("cut_piece", piece="P.1", lengths_mm=[1212, 1188])
    assert "first_position" not in rows[1]


def test_no_link_is_in_two_pieces(books: Books, refused: Callable[..., Any]) -> None:
    """Places of a strand do not overlap."""
    in_work(books)
    books.act(
        "make_piece",
        lot="L1",
        piece="P",
        length_mm=2400,
        strand="S1",
        first_position=0,
        last_position=99,
    )
    with refused("links 0 to 99 of S1 are in piece:P already"):
        books.act(
            "make_piece",
            lot="L1",
            piece="Q",
            length_mm=2400,
            strand="S1",
            first_position=99,
            last_position=198,
        )


@pytest.mark.parametrize("lengths", [[10_000], [5000, 4999], [0, 10_000], [-1, 10_001]])
def test_a_cut_that_does_not_add_up_is_refused(
    books: Books, refused: Callable[..., Any], lengths: list[int]
) -> None:
    """Two parts or more, each longer than nothing, together the piece."""
    in_work(books)
    books.act("make_piece", lot="L1", piece="P", length_mm=10_000)
    with refused("add up"):
        books.act("cut_piece", piece="P", lengths_mm=lengths)


class Metres(RuleBasedStateMachine):
    """Random acts by people who may do everything; the sums hold after each."""

    folder: Path

    @initialize()
    def begin(self) -> None:
        """New books with a lot in work."""
        import tempfile

        self.books = begun(str(Path(tempfile.mkdtemp(dir=self.folder)) / "m.books"))
        in_work(self.books)
        self.made = 0

    def _try(self, name: str, **given: Any) -> None:
        try:
            self.books.act(name, "emil", **given)
        except LinkwrightError:
            return
        self.made += {
            "make_piece": given.get("length_mm", 0),
            "join_pieces": given.get("link_mm", 0),
            "start_repair": given.get("link_mm", 0),
        }.get(name, 0)

    def _some(self, number: int) -> str:
        with self.books.store.reading() as session:
            names = [piece.name for piece in all_latest(session, Piece)]
        return names[number % len(names)] if names else "none"

    @rule(length=st.integers(1, 50_000), number=st.integers(0, 9))
    def make(self, length: int, number: int) -> None:
        """A new piece."""
        self._try("make_piece", lot="L1", piece=f"P{number}", length_mm=length)

    @rule(of=st.integers(0, 50), share=st.floats(0.01, 0.99))
    def cut(self, of: int, share: float) -> None:
        """A cut anywhere."""
        name = self._some(of)
        with self.books.store.reading() as session:
            whole = [piece.length_mm for piece in all_latest(session, Piece) if piece.name == name]
        if whole:
            first = max(1, int(whole[0] * share))
            self._try("cut_piece", piece=name, lengths_mm=[first, whole[0] - first])

    @rule(
        of=st.integers(0, 50),
        what=st.sampled_from(["take_sample", "hold_piece", "scrap_piece", "free_piece"]),
    )
    def move(self, of: int, what: str) -> None:
        """To another place."""
        self._try(what, piece=self._some(of))

    @rule(of=st.integers(0, 50))
    def repair(self, of: int) -> None:
        """A link is replaced."""
        self._try("start_repair", piece=self._some(of), link=0, link_mm=24)

    @rule(of=st.integers(0, 50), other=st.integers(0, 50), number=st.integers(0, 99))
    def join(self, of: int, other: int, number: int) -> None:
        """Two pieces become one."""
        self._try(
            "join_pieces",
            piece=self._some(of),
            other=self._some(other),
            joined=f"J{number}",
            link_mm=24,
        )

    @invariant()
    def adds_up(self) -> None:
        """What was made is somewhere."""
        held = sums(self.books)
        assert held["difference_mm"] == 0
        assert held["made_mm"] == self.made


def test_the_sums_hold_after_any_acts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Random chains of acts."""
    from hypothesis.stateful import run_state_machine_as_test

    monkeypatch.setattr(people, "HASHER", QUICK)
    Metres.folder = tmp_path
    run_state_machine_as_test(
        Metres,
        settings=settings(
            max_examples=6,
            stateful_step_count=20,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
