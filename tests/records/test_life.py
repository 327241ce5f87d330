"""The table of lives: every act in it exists, every state is reached, and nothing else happens."""

from collections.abc import Callable
from typing import Any

import pytest
from kept_books import Books

from linkwright.records.acts import acts
from linkwright.records.kinds import KINDS
from linkwright.records.life import NEW, TABLE, allowed, may


def test_every_act_of_the_table_can_be_done() -> None:
    """And every kind of the table is a kind."""
    assert {step.act for step in TABLE} <= set(acts())
    assert {step.kind for step in TABLE} <= set(KINDS)


@pytest.mark.parametrize("kind", sorted({step.kind for step in TABLE}))
def test_every_state_is_reached_from_the_beginning(kind: str) -> None:
    """No state stands in the table that nothing leads to."""
    reached, before = {NEW}, set()
    while reached != before:
        before = set(reached)
        reached |= {s.after for s in TABLE if s.kind == kind and s.before in reached}
    assert {s.before for s in TABLE if s.kind == kind} <= reached


def test_what_is_not_in_the_table_is_refused_with_what_could_be_done(
    books: Books, refused: Callable[..., Any]
) -> None:
    """The sentence names the state and the acts that are possible."""
    books.line()
    with refused("coil:C1 is accepted; what can be done with it: block_coil"):
        books.act(
            "check_coil",
            "cleo",
            coil="C1",
            diameter_mm=8.5,
            tensile_strength_MPa=600.0,
            allowed_off_mm=0.1,
            least_MPa=1.0,
            greatest_MPa=999.0,
            surface_good=True,
        )


def test_the_life_of_an_order_from_enquiry_to_claim(both: Books) -> None:
    """Every stage once, on both databases."""
    act = both.act
    act("add_customer", customer="K2", name="invented")
    act(
        "take_enquiry",
        enquiry="E1",
        customer="K2",
        received_on="2026-11-02",
        wording="300 m for 2 t",
    )
    act(
        "make_quotation",
        quotation="Q1",
        enquiry="E1",
        valid_until="2199-01-01",
        price=4200.0,
        currency="EUR",
        terms="x",
    )
    act("revise_quotation", quotation="Q1", price=4100.0)
    act("send_quotation", quotation="Q1")
    made = act("accept_quotation", quotation="Q1", order="O9", due_on="2027-02-01")
    assert made[0]["quotation_revision"] == 2
    act(
        "add_line",
        order="O9",
        number=1,
        product="welded chain",
        standard="EN 818-2",
        size_mm=8.0,
        grade="8",
        length_mm=1000,
    )
    act("propose_amendment", order="O9", wording="half of it", line="O9/1", length_mm=500)
    act("agree_amendment", amendment="O9/1")
    with both.store.reading() as session:
        from linkwright.records.kinds import Line
        from linkwright.records.writing import found

        assert found(session, Line, "O9/1").length_mm == 500
    both.released()
    act("issue_certificate", "dora", lot="L1")
    act("prepare_delivery", delivery="D1", order="O1", pieces=["L1-P1.2"])
    act("send_delivery", delivery="D1", sent_on="2026-11-24")
    act("close_order", order="O1")
    act("receive_claim", position="D1/1", received_on="2026-11-25", wording="a link broke")
    assert both.state("order:O1") == "open"
    assert both.state("piece:L1-P1.2") == "held"
    act("answer_claim", claim="D1/1/1", accepted=True, answer="we take it back")
    assert both.state("claim:D1/1/1") == "accepted"


def test_an_expired_quotation_is_not_accepted(books: Books, refused: Callable[..., Any]) -> None:
    """It can be revised, and then it can."""
    books.act("add_customer", customer="K2", name="invented")
    books.act("take_enquiry", enquiry="E1", customer="K2", received_on="2026-01-02", wording="x")
    books.act(
        "make_quotation",
        quotation="Q1",
        enquiry="E1",
        valid_until="2026-02-01",
        price=1.0,
        currency="EUR",
        terms="x",
    )
    with refused("revise it before it is sent"):
        books.act("send_quotation", quotation="Q1")


def test_kinds_without_a_life_have_one_state() -> None:
    """They are made and stay."""
    assert allowed("position", NEW, "prepare_delivery", "held")
    assert not allowed("position", "held", "prepare_delivery", "held")
    assert may("position", "held") == []
