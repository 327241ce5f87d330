"""People: roles, pass phrases, names that are erased."""

from collections.abc import Callable
from typing import Any

import pytest
from kept_books import PHRASE, Books

from linkwright.records import people
from linkwright.records.acts import ROLES, acts, do
from linkwright.records.base import Login
from linkwright.records.chain import walk
from linkwright.records.errors import NotAllowed
from linkwright.records.people import Signed, set_pass_phrase, sign_in

MAY = {
    "sell": """add_customer take_enquiry decline_enquiry make_quotation revise_quotation
        send_quotation expire_quotation withdraw_quotation accept_quotation take_order
        add_line propose_amendment agree_amendment refuse_amendment close_order cancel_order
        receive_claim answer_claim ask_of_line add_paper""",
    "record": """prepare_delivery send_delivery add_heat receive_coil use_coil make_piece cut_piece
        join_pieces take_sample hold_piece start_repair finish_repair set_up_machine
        change_set_up record_test add_paper start_lot present_lot hold_lot note_signal
        explain_signal report""",
    "check": """check_coil block_coil keep_gauge keep_gauge_study retire_gauge calibrate add_machine
        sign_first_article keep_type_test reopen_type_test void_test add_paper ask_of_line
        hold_lot hold_piece propose freeze_limits note_signal explain_signal report
        answer_report keep_factors""",
    "release": """concede_coil free_piece scrap_piece hold_piece hold_lot recall_lot decide
        issue_certificate withdraw_certificate publish_withdrawals""",
    "administer": "add_person change_person renew_pass_phrase erase_name set_rule",
}
"""Who may do what: the whole table, so that an act without an entry fails."""


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", sorted(acts()))
def test_each_act_is_for_its_roles_and_no_other(
    role: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every cell of role by act."""
    allowed = name in MAY[role].split()
    assert (role in acts()[name].roles) == allowed
    if not allowed:
        with pytest.raises(NotAllowed, match=name):
            do(None, Signed("person:x", frozenset({role}), "x"), acts()[name], {}, why="x")  # type: ignore[arg-type]


def test_a_right_pass_phrase_signs_in_with_the_roles(both: Books) -> None:
    """The person, what they may do, and what they are called."""
    signed = sign_in(both.store, "ben", f"{PHRASE} of ben")
    assert signed == Signed("person:ben", frozenset({"record", "sell"}), "Ben (invented)")


@pytest.mark.parametrize("person", ["ben", "nobody", "person:ben"])
def test_a_wrong_one_and_an_unknown_person_are_told_the_same(books: Books, person: str) -> None:
    """Nothing is learned from the answer."""
    with pytest.raises(NotAllowed, match=r"^person and pass phrase do not belong together$"):
        sign_in(books.store, person, "not the right words")


def test_after_some_wrong_tries_one_has_to_wait_and_then_may_again(
    books: Books, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A growing wait, never a lock for good."""
    for _ in range(5):
        with pytest.raises(NotAllowed, match="belong together"):
            sign_in(books.store, "ben", "wrong words again")
    with pytest.raises(NotAllowed, match="too many wrong"):
        sign_in(books.store, "ben", f"{PHRASE} of ben")
    with books.store.aside() as session:
        login = session.get(Login, "person:ben")
        assert login is not None
        login.not_before = "2026-01-01"
    assert sign_in(books.store, "ben", f"{PHRASE} of ben").person == "person:ben"


@pytest.mark.parametrize(
    "phrase", ["short", "aaaaaaaaaaaa", "ben ben ben", "password pass", "qwertyqwerty", "x" * 300]
)
def test_weak_pass_phrases_are_refused(
    books: Books, refused: Callable[..., Any], phrase: str
) -> None:
    """Too short, too long, guessed at once."""
    weak = phrase if phrase != "password pass" else "password" * 2
    with refused("pass phrase"):
        books.act(
            "add_person",
            "anna",
            **{"person": "ben", "name": "x", "roles": "check", "pass_phrase": weak},
        )


def test_secrets_are_in_no_act(books: Books) -> None:
    """Neither the pass phrase nor its hash is in the chain."""
    from sqlalchemy import select

    from linkwright.records.base import Act

    with books.store.reading() as session:
        asked = "".join(session.scalars(select(Act.asked)))
    assert PHRASE not in asked
    assert "argon2" not in asked


def test_a_closed_account_signs_in_no_more(books: Books) -> None:
    """And may be opened again."""
    books.act("change_person", "anna", **{"person": "ben", "active": False})
    with pytest.raises(NotAllowed):
        sign_in(books.store, "ben", f"{PHRASE} of ben")
    books.act("change_person", "anna", **{"person": "ben", "active": True})
    assert sign_in(books.store, "ben", f"{PHRASE} of ben")


def test_a_name_is_erased_and_the_chain_stays_whole(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Only of a closed account, only after the years of keeping."""
    with refused("no closed person"):
        books.act("erase_name", "anna", of="ben", kept_until="2020-01-01")
    books.act("change_person", "anna", **{"person": "ben", "active": False})
    with refused("kept until"):
        books.act("erase_name", "anna", of="ben", kept_until="2999-01-01")
    books.act("erase_name", "anna", of="ben", kept_until="2020-01-01")
    from sqlalchemy import text

    with books.store.reading() as session:
        assert walk(session).broken == ()
        assert session.scalar(text("select name from known_as where id = 'person:ben'")) is None


def test_one_can_change_ones_own_pass_phrase(books: Books) -> None:
    """The old one ends at once."""
    set_pass_phrase(books.store, books.signed("ben"), "other words than before")
    with pytest.raises(NotAllowed):
        sign_in(books.store, "ben", f"{PHRASE} of ben")
    assert sign_in(books.store, "ben", "other words than before")


def test_the_library_hashes_with_argon2id_above_the_least_advised() -> None:
    """OWASP's least: 19 MiB, 2 passes, 1 lane."""
    from argon2 import PasswordHasher

    strong = PasswordHasher()
    assert strong.type.name == "ID"
    assert strong.memory_cost >= 19 * 1024
    assert strong.time_cost >= 2
    assert people._NOBODY.startswith("$argon2id$")
