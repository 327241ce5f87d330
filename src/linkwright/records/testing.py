"""Tests of a lot, and the standing of each requirement: no third try that nobody sees.

A requirement wants so many samples. If one of them fails, the rules of the works say whether a
retest is allowed and on how many new samples for each that failed (``retests``, ``retest_samples``,
to be set from the text of the standard; without them there is none). When the last round fails the
requirement has failed: no more tests are taken, only a decision leads on. Rework begins a new
cycle, in which old results count no more and stay to be seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from linkwright.quantities import UnknownName
from linkwright.records.acts import CHECK, RECORD, SELL, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.gauges import no_evidence, uncertainty_of
from linkwright.records.given import day
from linkwright.records.kinds import Gauge, Lot, Paper, Person, Piece, Requirement, Test
from linkwright.records.pieces import TEST
from linkwright.records.writing import Writing, all_latest, found, history, latest, rule

AWAITS, PASSED, RETEST, FAILED = "awaits samples", "passed", "awaits retest samples", "failed"
FRACTURES = ("not broken", "ductile", "brittle", "mixed", "at the weld")
"""How a sample broke (common practice, no source)."""
_TESTED_LOTS = ("presented", "held")


@dataclass(frozen=True)
class Standing:
    """Where a requirement stands: its state, the round it is in, samples wanted and done."""

    state: str
    round: int
    wanted: int
    done: int


@dataclass(frozen=True)
class Result:
    """One result of a requirement: its test, round, value and what it is worth."""

    test: str
    round: int
    value: float
    standard_uncertainty: float
    passed: bool
    void: bool
    no_evidence: str
    sample: str | None
    gauge: str
    tested_on: str
    fracture: str | None

    @property
    def counts(self) -> bool:
        """Whether it is evidence."""
        return not self.void and not self.no_evidence

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return dict(self.__dict__)


def standing(
    samples: int, results: Sequence[tuple[int, bool]], retests: int, retest_samples: int,
    accept: int = 0,
) -> Standing:  # fmt: skip
    """The state of a requirement from (round, passed) of each result that is evidence.

    ``accept``: so many of the samples may fail.

    >>> standing(2, [(1, True), (1, False)], retests=1, retest_samples=2)
    Standing(state='awaits retest samples', round=2, wanted=2, done=0)
    >>> standing(2, [(1, True), (1, False), (2, True), (2, False)], 1, 2).state
    'failed'
    """
    number, wanted = 1, samples
    while True:
        here = [passed for made, passed in results if made == number]
        if len(here) < wanted:
            return Standing(AWAITS if number == 1 else RETEST, number, wanted, len(here))
        failed = here.count(False)
        if failed <= accept:
            return Standing(PASSED, number, wanted, len(here))
        if number > retests or retest_samples < 1:
            return Standing(FAILED, number, wanted, len(here))
        number, wanted = number + 1, retest_samples * failed


@act(RECORD)
def record_test(
    writing: Writing, *, lot: str, characteristic: str, value: float, gauge: str, tested_on: str,
    piece: str | None = None, fracture: str | None = None, judged_by: str | None = None,
    photo: bytes | None = None,
) -> list[Row]:  # fmt: skip
    """Keep one result. The round follows from the results before; a third try is refused."""
    session = writing.session
    row = found(session, Lot, lot)
    if row.state not in _TESTED_LOTS:
        raise CannotRecord(f"{row.id} is {row.state}; lots are tested once they are presented")
    if not math.isfinite(value):
        raise CannotRecord("a result is a finite number")
    if day(tested_on, "tested_on") > writing.today:
        raise CannotRecord(f"{tested_on} is still to come")
    wanted = requirement_of(session, row, characteristic)
    now = standing_of(session, row, wanted)
    if now.state in (FAILED, PASSED):
        raise CannotRecord(
            f"{characteristic} of {row.id} has {now.state} in round {now.round}; there is no "
            "further try: propose a release, rework, concession or scrap"
        )
    measured = found(session, Gauge, gauge)
    sample = _sample(session, row, wanted, piece) if piece else None
    judge = found(session, Person, judged_by).id if judged_by else None
    _refuse_fracture(fracture, judge)
    number = writing.next_of(Test, lot_id=row.id)
    digest = writing.keep(photo) if photo else None
    made = writing.new(
        Test, f"{row.name}/{number}", state="counts", lot_id=row.id, requirement_id=wanted.id,
        piece_id=sample, gauge_id=measured.id, tested_on=tested_on, cycle=row.cycle,
        round=now.round, value=value, fracture=fracture, judged_by=judge, photo=digest,
    )  # fmt: skip
    return [made]


@act(CHECK)
def void_test(writing: Writing, *, test: str, seen: int | None = None) -> list[Row]:
    """Take a result out because the test went wrong; it stays to be seen, and why says what."""
    row = found(writing.session, Test, test)
    lot = found(writing.session, Lot, row.lot_id)
    if lot.state not in _TESTED_LOTS or lot.cycle != row.cycle:
        raise CannotRecord(f"{lot.id} is {lot.state} in cycle {lot.cycle}; its tests are closed")
    tester = history(writing.session, row.id)[0][1].person_id
    if tester == writing.person:
        raise CannotRecord(f"{row.id} was recorded by {tester}; somebody else takes it out")
    return [writing.next(row, state="void", seen=seen)]


@act(RECORD, CHECK, SELL)
def add_paper(writing: Writing, *, of: str, title: str, media_type: str, paper: bytes) -> list[Row]:
    """Keep a document or photo with any record, such as of=coil:C-118."""
    row = latest(writing.session, of)
    if row is None:
        raise CannotRecord(f"{of!r} is in no book; accepted: kind:name, such as coil:C-118")
    number = writing.next_of(Paper, of_id=row.id)
    digest = writing.keep(paper)
    name = f"{row.id.replace(':', ' ')}/{number}"
    return [
        writing.new(
            Paper, name, of_id=row.id, title=title, media_type=media_type, digest=digest
        )
    ]  # fmt: skip


def requirement_of(session: Session, lot: Lot, characteristic: str) -> Requirement:
    """The requirement of a lot's line by its characteristic. Raises `UnknownName`."""
    held = list(all_latest(session, Requirement, line_id=lot.line_id))
    for row in held:
        if row.characteristic == characteristic:
            return row
    raise UnknownName("characteristic", characteristic, [row.characteristic for row in held])


def results_of(session: Session, lot: Lot, wanted: Requirement) -> list[Result]:
    """The results of a requirement in the lot's present cycle, in the order of their recording."""
    rows = all_latest(session, Test, lot_id=lot.id, requirement_id=wanted.id, cycle=lot.cycle)
    return [
        Result(
            row.id, row.round, row.value, uncertainty_of(session, row), _passes(row.value, wanted),
            row.state == "void", no_evidence(session, row), row.piece_id, row.gauge_id,
            row.tested_on, row.fracture,
        )
        for row in rows
    ]  # fmt: skip


def standing_of(session: Session, lot: Lot, wanted: Requirement) -> Standing:
    """Where a requirement of a lot stands now."""
    return standing_by(session, wanted, results_of(session, lot, wanted))


def standing_by(session: Session, wanted: Requirement, results: Sequence[Result]) -> Standing:
    """Where a requirement stands by its results and the works' rules.

    By variables no single sample fails; all together are judged once they are there.
    """
    counted = [
        (result.round, result.passed or wanted.k is not None) for result in results if result.counts
    ]
    retests, again = rule(session, "retests", 0), rule(session, "retest_samples", 0)
    return standing(wanted.samples, counted, retests, again, wanted.accept or 0)


def _passes(value: float, wanted: Requirement) -> bool:
    above = wanted.least is None or value >= wanted.least
    return above and (wanted.greatest is None or value <= wanted.greatest)


def _sample(session: Session, lot: Lot, wanted: Requirement, piece: str) -> str:
    row = found(session, Piece, piece)
    if row.lot_id != lot.id or row.state != TEST:
        raise CannotRecord(f"{row.id} is no sample of {lot.id}; take it as a sample first")
    for held in all_latest(session, Test, piece_id=row.id, requirement_id=wanted.id):
        if held.state != "void":
            raise CannotRecord(f"{row.id} was tested for {wanted.characteristic} by {held.id}")
    return row.id


def _refuse_fracture(fracture: str | None, judge: str | None) -> None:
    if fracture is not None and fracture not in FRACTURES:
        raise UnknownName("fracture", fracture, FRACTURES)
    if (fracture is None) != (judge is None):
        raise CannotRecord("a fracture is judged by somebody: give fracture and judged_by together")
