"""Lots: what is asked of a line's lots, and the way of a lot from work to presentation."""

from __future__ import annotations

from sqlalchemy.orm import Session

from linkwright.records.acts import CHECK, RECORD, RELEASE, SELL, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.kinds import Line, Lot, Order, Piece, Requirement, TypeTest
from linkwright.records.pieces import STOCK, balance, in_places, move
from linkwright.records.writing import Writing, all_latest, found


@act(SELL, CHECK)
def ask_of_line(
    writing: Writing, *, line: str, characteristic: str, unit: str, source: str, samples: int = 1,
    least: float | None = None, greatest: float | None = None, accept: int | None = None,
    k: float | None = None,
) -> list[Row]:  # fmt: skip
    """Say what the lots of a line must show, with limits, their source, and how many samples.

    accept: by attributes, so many samples may lie outside (`calc attribute_sampling_of_lot` gives
    it). k: by variables, mean and spread decide (`calc variables_k`). Neither: each sample counts.
    """
    of = found(writing.session, Line, line)
    if least is None and greatest is None:
        raise CannotRecord("a requirement has a least or a greatest value")
    if least is not None and greatest is not None and least > greatest:
        raise CannotRecord(f"least {least:g} lies above greatest {greatest:g}")
    if accept is not None and (k is not None or not 0 <= accept < samples):
        raise CannotRecord("accept is less than samples, and stands without k")
    if k is not None and samples < 3:
        raise CannotRecord("by variables 3 samples or more are judged together")
    if not 1 <= samples <= 10_000:
        raise CannotRecord("a requirement wants 1 to 10,000 samples")
    return [
        writing.new(
            Requirement, f"{of.name}/{characteristic}", line_id=of.id, unit=unit, least=least,
            characteristic=characteristic, greatest=greatest, source=source, samples=samples,
            accept=accept, k=k,
        )
    ]  # fmt: skip


@act(RECORD)
def start_lot(
    writing: Writing, *, lot: str, line: str, plan_digest: str | None = None,
    type_test: str | None = None,
) -> list[Row]:  # fmt: skip
    """Begin a lot of a line."""
    of = found(writing.session, Line, line)
    order = found(writing.session, Order, of.order_id)
    if order.state != "open":
        raise CannotRecord(f"{order.id} is {order.state}")
    proved = found(writing.session, TypeTest, type_test) if type_test else None
    return [
        writing.new(
            Lot, lot, state="in work", line_id=of.id, cycle=1, plan_digest=plan_digest,
            type_test_id=proved.id if proved else None,
        )
    ]  # fmt: skip


@act(RECORD)
def present_lot(writing: Writing, *, lot: str, seen: int | None = None) -> list[Row]:
    """Present a lot for its tests: nothing more is made of it."""
    row = found(writing.session, Lot, lot)
    if balance(writing.session, row.id).made_mm == 0:
        raise CannotRecord(f"{row.id} has no piece; make_piece comes first")
    return [writing.next(row, state="presented", seen=seen)]


@act(RECORD, CHECK, RELEASE)
def hold_lot(writing: Writing, *, lot: str, seen: int | None = None) -> list[Row]:
    """Hold a lot with all its pieces in stock; a decision leads on."""
    row = found(writing.session, Lot, lot)
    rows: list[Row] = [writing.next(row, state="held", seen=seen)]
    return rows + _hold(writing, in_places(writing.session, row.id, [STOCK]))


@act(RELEASE)
def recall_lot(writing: Writing, *, lot: str, seen: int | None = None) -> list[Row]:
    """Take a release back: the lot and all its pieces that are not tests or scrap are held.

    Certificates stay issued until they are withdrawn, each by its own act.
    """
    row = found(writing.session, Lot, lot)
    rows: list[Row] = [writing.next(row, state="held", seen=seen)]
    return rows + _hold(writing, in_places(writing.session, row.id, [STOCK, "certified"]))


def requirements_of(session: Session, lot: Lot) -> list[Requirement]:
    """What is asked of a lot."""
    return list(all_latest(session, Requirement, line_id=lot.line_id))


def _hold(writing: Writing, pieces: list[Piece]) -> list[Row]:
    return [move(writing, piece, "held") for piece in pieces]
