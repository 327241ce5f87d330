"""Decisions on a lot: evidence, a proposal by one person, the decision by another.

`evidence` gathers every requirement with its results and every condition that must hold before
release. `propose` keeps it as it stood and its digest; `decide` gathers it again: if it has changed
the proposal is void and must be made anew. Two different people do it unless the works' rule
``two_people`` is 0.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from linkwright.quantities import UnknownName
from linkwright.records.acts import CHECK, RELEASE, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.kinds import Lot, NonConformity, Piece, Proposal, Requirement, SetUp, Test
from linkwright.records.lots import requirements_of
from linkwright.records.means import Judge
from linkwright.records.pieces import HELD, STOCK, balance, in_places, move
from linkwright.records.testing import PASSED, results_of, standing_by
from linkwright.records.type_tests import coils_of, no_type_test
from linkwright.records.writing import Writing, all_latest, found, history, rule
from linkwright.works.canonical import canonical_bytes, content_hash

RELEASING = ("release", "concession")
DISPOSITIONS = (*RELEASING, "rework", "scrap", "free")
"""What can be proposed for a lot; `free` ends a hold and leads back to presentation."""


def evidence(session: Session, lot: Lot, judge: Judge, on: str) -> dict[str, Any]:
    """Everything that stands for and against the release of a lot, as plain data."""
    requirements = []
    for wanted in requirements_of(session, lot):
        found_ = results_of(session, lot, wanted)
        now = standing_by(session, wanted, found_)
        results = [result.to_dict() for result in found_]
        requirements.append({
            "characteristic": wanted.characteristic, "unit": wanted.unit, "least": wanted.least,
            "greatest": wanted.greatest, "source": wanted.source, "version": wanted.version,
            "state": now.state, "round": now.round, "samples_wanted": now.wanted,
            "samples_done": now.done, "accept": wanted.accept, "k": wanted.k,
            "results": results, **_worst(results, now.round, wanted),
        })  # fmt: skip
    judged = judge(requirements)
    whole = [{**one, **verdict} for one, verdict in zip(requirements, judged, strict=True)]
    conditions = _conditions(session, lot, on)
    met = all(one["state"] == PASSED and one["verdict"] == "met" for one in whole)
    return {
        "lot": lot.id, "cycle": lot.cycle, "requirements": whole, "conditions": conditions,
        "balance": balance(session, lot.id).to_dict(),
        "may_be_released": bool(whole) and met and all(one["met"] for one in conditions),
    }  # fmt: skip


@act(CHECK)
def propose(writing: Writing, *, lot: str, disposition: str, seen: int | None = None) -> list[Row]:
    """Propose what becomes of a lot; the evidence is kept as it stands."""
    row = found(writing.session, Lot, lot)
    if disposition not in DISPOSITIONS:
        raise UnknownName("disposition", disposition, DISPOSITIONS)
    if row.state not in ("presented", "held"):
        raise CannotRecord(f"{row.id} is {row.state}; lots are decided once they are presented")
    if disposition == "free" and row.state != "held":
        raise CannotRecord(f"{row.id} is not held")
    held = evidence(writing.session, row, writing.means.judge, writing.today)
    _refuse_unproved(held, disposition, rule(writing.session, "concessions", 0))
    rows: list[Row] = [
        writing.next(old, state="replaced")
        for old in all_latest(writing.session, Proposal, lot_id=row.id, state="proposed")
    ]
    if seen is not None and seen != row.version:
        writing.next(row, seen=seen)  # tells who was overtaken
    number = writing.next_of(Proposal, lot_id=row.id)
    made = writing.new(
        Proposal, f"{row.name}/{number}", state="proposed", lot_id=row.id, cycle=row.cycle,
        disposition=disposition, evidence=canonical_bytes(held).decode(),
        evidence_digest=content_hash(held), proposed_by=writing.person,
    )  # fmt: skip
    return [*rows, made]


@act(RELEASE)
def decide(writing: Writing, *, proposal: str, agree: bool, seen: int | None = None) -> list[Row]:
    """Decide on a proposal. Only a person releases, after the tests of the standard."""
    session = writing.session
    row = found(session, Proposal, proposal)
    lot = found(session, Lot, row.lot_id)
    if row.proposed_by == writing.person and rule(session, "two_people", 1):
        raise CannotRecord(f"{row.id} was proposed by {row.proposed_by}; another person decides")
    if agree and row.disposition in RELEASING:
        _refuse_own_tests(session, lot, writing.person)
    if agree and row.state == "proposed" and _digest_now(writing, lot) != row.evidence_digest:
        raise CannotRecord(
            f"the evidence of {lot.id} has changed since {row.id} was made; propose it again"
        )
    state = "agreed" if agree else "refused"
    decided = writing.next(row, state=state, seen=seen, decided_by=writing.person)
    return [decided, *(_carry_out(writing, lot, row.disposition) if agree else [])]


def _digest_now(writing: Writing, lot: Lot) -> str:
    return content_hash(evidence(writing.session, lot, writing.means.judge, writing.today))


def agreed_release(session: Session, lot: Lot) -> Proposal | None:
    """The decision by which a lot is released, None if it is not."""
    if lot.state != "released":
        return None
    held = [
        row
        for row in all_latest(session, Proposal, lot_id=lot.id, state="agreed", cycle=lot.cycle)
        if row.disposition in RELEASING
    ]
    return held[-1] if held else None


def _carry_out(writing: Writing, lot: Lot, disposition: str) -> list[Row]:
    session = writing.session
    if disposition in RELEASING:
        return [writing.next(lot, state="released")]
    if disposition == "scrap":
        pieces = in_places(session, lot.id, [STOCK, HELD])
        return [writing.next(lot, state="scrapped"), *_moved(writing, pieces, "scrap")]
    pieces = in_places(session, lot.id, [HELD])
    back = _moved(writing, pieces, STOCK)
    if disposition == "rework":
        return [writing.next(lot, state="in work", cycle=lot.cycle + 1), *back]
    return [writing.next(lot, state="presented"), *back]


def _moved(writing: Writing, pieces: list[Piece], place: str) -> list[Row]:
    return [move(writing, piece, place) for piece in pieces]


def _worst(
    results: list[dict[str, Any]], number: int, wanted: Requirement
) -> dict[str, float | None]:
    """Of the results that count in the present round, the one nearest to a limit or beyond it."""
    counted = [
        one
        for one in results
        if one["round"] == number and not one["void"] and not one["no_evidence"]
    ]

    def room(one: dict[str, Any]) -> float:
        below = float("inf") if wanted.least is None else one["value"] - wanted.least
        above = float("inf") if wanted.greatest is None else wanted.greatest - one["value"]
        return min(below, above)

    if not counted:
        return {"value": None, "standard_uncertainty": None}
    worst = min(counted, key=room)
    return {"value": worst["value"], "standard_uncertainty": worst["standard_uncertainty"]}


def _conditions(session: Session, lot: Lot, on: str) -> list[dict[str, Any]]:
    """What must hold before release beside the requirements, each with what stands against it."""
    coils = coils_of(session, lot)
    blocked = [f"{coil.id} is {coil.state}" for coil in coils if coil.state != "accepted"]
    set_ups = list(all_latest(session, SetUp, line_id=lot.line_id))
    unsigned = [f"{one.id} {one.state}" for one in set_ups if one.state != "signed"]
    open_ = [one.id for one in all_latest(session, NonConformity, lot_id=lot.id, state="open")]
    off = balance(session, lot.id).difference_mm
    held = [piece.id for piece in in_places(session, lot.id, [HELD])]
    against = {
        "incoming metal": blocked or ([] if coils else ["no coil is entered"]),
        "first article": unsigned or ([] if set_ups else ["no set-up is entered"]),
        "type test": [said] if (said := no_type_test(session, lot, on)) else [],
        "non-conformities": [f"{ident} is open" for ident in open_],
        "metres": [f"{off} mm are wrong"] if off else [],
        "held pieces": [f"{ident} is held" for ident in held],
    }
    return [
        {"condition": name, "met": not said, "against": "; ".join(said)}
        for name, said in against.items()
    ]


def _refuse_unproved(held: dict[str, Any], disposition: str, concessions: int) -> None:
    if disposition == "release" and not held["may_be_released"]:
        against = [
            f"{one['characteristic']}: {one['verdict']} ({one['state']})"
            for one in held["requirements"]
            if one["state"] != PASSED or one["verdict"] != "met"
        ] + [
            f"{one['condition']}: {one['against']}" for one in held["conditions"] if not one["met"]
        ]
        raise CannotRecord(
            f"{held['lot']} cannot be released: " + "; ".join(against or ["nothing is required"])
        )
    if disposition == "concession":
        if not concessions:
            raise CannotRecord("the works grants no concessions (rule concessions)")
        off = [one for one in held["conditions"] if one["condition"] == "metres" and not one["met"]]
        if off or not held["requirements"]:
            raise CannotRecord(
                f"{held['lot']} cannot be conceded: metres or requirements are missing"
            )


def _refuse_own_tests(session: Session, lot: Lot, person: str) -> None:
    """Nobody releases a lot on tests that they alone recorded."""
    testers = {
        history(session, test.id)[0][1].person_id
        for test in all_latest(session, Test, lot_id=lot.id, cycle=lot.cycle)
    }
    if testers == {person}:
        raise CannotRecord(
            f"all tests of {lot.id} were recorded by {person}; another person decides"
        )
