"""The register: from released lots only, corrected and withdrawn, never overwritten."""

from collections.abc import Callable
from typing import Any

import pytest
from kept_books import Books

from linkwright.records.certificates import withdrawn
from linkwright.records.store import open_store


def test_no_certificate_from_a_lot_that_is_not_released(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Whatever its tests say."""
    books.presented()
    books.tested()
    with refused("from a released lot only"):
        books.act("issue_certificate", "dora", lot="L1")


def test_a_certificate_covers_the_pieces_in_stock_and_counts_their_metres(both: Books) -> None:
    """Paper, data and fingerprint are kept in the same act."""
    both.released()
    row = both.act("issue_certificate", "dora", lot="L1")[0]
    assert row["id"] == "certificate:2026-00001"
    assert both.state("piece:L1-P1.2") == "certified"
    assert len(row["paper"]) == 64


def test_a_correction_supersedes_and_a_withdrawal_holds_the_pieces(books: Books) -> None:
    """The list names both, with what replaced the first."""
    books.released()
    books.act("issue_certificate", "dora", lot="L1")
    books.act("issue_certificate", "dora", "wrong customer number", lot="L1", replaces="2026-00001")
    assert books.state("certificate:2026-00001") == "superseded"
    books.act("withdraw_certificate", "dora", "a link broke in service", certificate="2026-00002")
    assert books.state("piece:L1-P1.2") == "held"
    with books.store.reading() as session:
        said = withdrawn(session)
    assert [(one["certificate"], one["state"], one["replaced_by"]) for one in said] == [
        ("2026-00001", "superseded", "2026-00002"),
        ("2026-00002", "withdrawn", None),
    ]
    assert said[1]["reason"] == "a link broke in service"
    rows = books.act("publish_withdrawals", "dora")
    assert rows[0]["number"] == 1


def test_a_maker_that_fails_leaves_nothing_behind(books: Books) -> None:
    """Either paper and register, or neither."""
    books.released()

    def fails(_: dict[str, Any]) -> Any:
        raise OSError("the key is gone")

    from dataclasses import replace

    place, means = books.store.place, replace(books.store.means, maker=fails)
    other = Books(open_store(place, means))
    with pytest.raises(OSError, match="the key"):
        other.act("issue_certificate", "dora", lot="L1")
    other.store.close()
    assert books.state("piece:L1-P1.2") == "stock"
    assert books.act("issue_certificate", "dora", lot="L1")[0]["id"] == "certificate:2026-00001"


def test_without_a_key_the_act_says_so(books: Books, refused: Callable[..., Any]) -> None:
    """Books that are opened plainly sign nothing."""
    books.released()
    plain = Books(open_store(books.store.place))
    with refused("key"):
        plain.act("issue_certificate", "dora", lot="L1")
    plain.store.close()


def test_delivered_pieces_are_certified_and_not_cut(
    books: Books, refused: Callable[..., Any]
) -> None:
    """By piece and position; once."""
    books.released()
    with refused("certified pieces are delivered"):
        books.act("prepare_delivery", delivery="D1", order="O1", pieces=["L1-P1.2"])
    books.act("issue_certificate", "dora", lot="L1")
    books.act("prepare_delivery", delivery="D1", order="O1", pieces=["L1-P1.2"])
    with refused("is in delivery:D1"):
        books.act("prepare_delivery", delivery="D2", order="O1", pieces=["L1-P1.2"])
    with refused("claimed back first"):
        books.act("start_repair", piece="L1-P1.2", link=3, link_mm=24)
