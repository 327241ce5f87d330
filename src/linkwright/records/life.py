"""The life of every kind of record as one table: from which state which act leads where.

A kind that is not in the table has the one state of its making. `may` says what can be done next,
for messages and pages; `Writing` lets nothing else happen. ``NEW`` stands before the first version.
"""

from __future__ import annotations

from typing import NamedTuple

NEW = "new"
"""Before the first version."""
SAME = "held"
"""The state of kinds without a life."""


class Step(NamedTuple):
    """One line of the table."""

    kind: str
    before: str
    act: str
    after: str


def _steps(kind: str, text: str) -> list[Step]:
    """Lines ``before | before: act -> after | after`` as steps; "same" keeps the state."""
    steps = []
    for line in filter(None, map(str.strip, text.splitlines())):
        befores, _, rest = line.partition(": ")
        acts, _, afters = rest.partition(" -> ")
        for before in befores.split(" | "):
            for act in acts.split(" | "):
                for after in afters.split(" | "):
                    steps.append(Step(kind, before, act, before if after == "same" else after))
    return steps


TABLE: tuple[Step, ...] = (
    *_steps("enquiry", """
        new: take_enquiry -> open
        open: make_quotation -> quoted
        quoted: make_quotation -> same
        open | quoted: decline_enquiry -> declined
        quoted: accept_quotation -> ordered
    """),
    *_steps("quotation", """
        new: make_quotation -> draft
        draft | sent: revise_quotation -> draft
        draft: send_quotation -> sent
        sent: accept_quotation -> accepted
        sent: expire_quotation -> expired
        expired: revise_quotation -> draft
        draft | sent: withdraw_quotation -> withdrawn
    """),
    *_steps("order", """
        new: accept_quotation | take_order -> open
        open: agree_amendment -> same
        open: close_order -> closed
        open: cancel_order -> cancelled
        closed: receive_claim -> open
    """),
    *_steps("line", """
        new: add_line -> open
        open: agree_amendment -> same
    """),
    *_steps("amendment", """
        new: propose_amendment -> proposed
        proposed: agree_amendment -> agreed
        proposed: refuse_amendment -> refused
    """),
    *_steps("coil", """
        new: receive_coil -> blocked
        blocked: check_coil -> accepted | refused
        refused: concede_coil -> accepted
        accepted: block_coil -> blocked
    """),
    *_steps("set_up", """
        new: set_up_machine -> awaits first article
        awaits first article: sign_first_article -> signed | refused
        refused: set_up_machine -> awaits first article
        signed: change_set_up -> awaits first article
    """),
    *_steps("type_test", """
        new: keep_type_test -> valid | failed
        valid: reopen_type_test | set_up_machine | change_set_up -> reopened
        reopened: keep_type_test -> valid | failed
    """),
    *_steps("lot", """
        new: start_lot -> in work
        in work: present_lot -> presented
        in work | presented: hold_lot -> held
        held: decide -> in work | presented
        presented | held: decide -> released | scrapped
        presented | held: decide -> in work
        released: recall_lot -> held
    """),
    *_steps("piece", """
        new: make_piece | join_pieces -> stock
        new: cut_piece -> stock | held
        new: start_repair -> scrap
        stock | held: cut_piece -> worked on
        stock: join_pieces -> worked on
        stock | held: take_sample -> test
        stock: hold_lot | hold_piece | receive_claim -> held
        held: decide | free_piece -> stock
        stock | held: decide | scrap_piece -> scrap
        stock: issue_certificate -> certified
        certified: withdraw_certificate | recall_lot | receive_claim -> held
        stock | held: start_repair -> held
        held: finish_repair -> same
    """),
    *_steps("repair", """
        new: start_repair -> open
        open: finish_repair -> proofed
    """),
    *_steps("gauge", """
        new: keep_gauge -> in use
        in use: retire_gauge -> retired
    """),
    *_steps("calibration", """
        new: calibrate -> good | failed
    """),
    *_steps("test", """
        new: record_test -> counts
        counts: void_test -> void
    """),
    *_steps("proposal", """
        new: propose -> proposed
        proposed: decide -> agreed | refused
        proposed: propose -> replaced
    """),
    *_steps("non_conformity", """
        new: report -> open
        open: answer_report -> answered
    """),
    *_steps("chart_limits", """
        new: freeze_limits -> frozen
        frozen: freeze_limits -> same
    """),
    *_steps("signal", """
        new: note_signal -> open
        open: explain_signal -> explained
    """),
    *_steps("factor_set", """
        new: keep_factors -> in use
        in use: keep_factors -> same
    """),
    *_steps("certificate", """
        new: issue_certificate -> issued
        issued: issue_certificate -> superseded
        issued: withdraw_certificate -> withdrawn
    """),
    *_steps("delivery", """
        new: prepare_delivery -> prepared
        prepared: send_delivery -> sent
    """),
    *_steps("claim", """
        new: receive_claim -> open
        open: answer_claim -> accepted | refused
    """),
    *_steps("person", """
        new: add_person -> active
        active: change_person -> active | closed
        closed: change_person -> active
        closed: erase_name -> erased
        active: renew_pass_phrase -> same
    """),
    *_steps("customer", """
        new: add_customer -> known
        known: erase_name -> erased
    """),
    *_steps("rule", """
        new: set_rule -> set
        set: set_rule -> same
    """),
)  # fmt: skip
"""The whole table."""
_KNOWN = frozenset(TABLE)
_WITH_A_LIFE = frozenset(step.kind for step in TABLE)


def allowed(kind: str, before: str, act: str, after: str) -> bool:
    """Whether an act may lead from one state to another."""
    if kind not in _WITH_A_LIFE:
        return before == NEW and after == SAME
    return Step(kind, before, act, after) in _KNOWN


def may(kind: str, state: str) -> list[str]:
    """The acts that are possible in a state, in the order of the table."""
    return list(dict.fromkeys(s.act for s in TABLE if s.kind == kind and s.before == state))
