"""Deliveries by piece and position, and claims."""

from __future__ import annotations

from linkwright.records.acts import RECORD, SELL, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import day
from linkwright.records.kinds import Claim, Delivery, Line, Lot, Order, Piece, Position
from linkwright.records.pieces import CERTIFIED, HELD, delivered
from linkwright.records.writing import Writing, all_latest, found


@act(RECORD)
def prepare_delivery(
    writing: Writing, *, delivery: str, order: str, pieces: list[str]
) -> list[Row]:
    """Put certified pieces of an order together; each has its position."""
    session = writing.session
    of = found(session, Order, order)
    if not pieces:
        raise CannotRecord("a delivery has pieces")
    made = writing.new(Delivery, delivery, state="prepared", order_id=of.id)
    rows: list[Row] = [made]
    for number, name in enumerate(pieces, start=1):
        piece = found(session, Piece, name)
        lot = found(session, Lot, piece.lot_id)
        line = found(session, Line, lot.line_id)
        if line.order_id != of.id:
            raise CannotRecord(f"{piece.id} was made for {line.order_id}")
        if piece.state != CERTIFIED:
            raise CannotRecord(f"{piece.id} is in {piece.state}; certified pieces are delivered")
        already = delivered(session, piece.id)
        if already is not None:
            raise CannotRecord(f"{piece.id} is in {already}")
        rows.append(
            writing.new(
                Position, f"{made.name}/{number}", delivery_id=made.id, piece_id=piece.id,
                number=number,
            )
        )  # fmt: skip
    return rows


@act(RECORD)
def send_delivery(
    writing: Writing, *, delivery: str, sent_on: str, seen: int | None = None
) -> list[Row]:
    """Write down that a delivery has left; each of its pieces must still be certified."""
    row = found(writing.session, Delivery, delivery)
    for position in all_latest(writing.session, Position, delivery_id=row.id):
        piece = found(writing.session, Piece, position.piece_id)
        if piece.state != CERTIFIED:
            raise CannotRecord(f"{piece.id} is in {piece.state} meanwhile")
    return [writing.next(row, state="sent", seen=seen, sent_on=day(sent_on, "sent_on"))]


@act(SELL)
def receive_claim(writing: Writing, *, position: str, received_on: str, wording: str) -> list[Row]:
    """Take in a claim on a delivered piece; the piece counts as held, the order opens again."""
    session = writing.session
    row = found(session, Position, position)
    sent = found(session, Delivery, row.delivery_id)
    if sent.state != "sent":
        raise CannotRecord(f"{sent.id} is {sent.state}")
    number = writing.next_of(Claim, position_id=row.id)
    rows: list[Row] = [
        writing.new(
            Claim, f"{row.name}/{number}", state="open", position_id=row.id, wording=wording,
            received_on=day(received_on, "received_on"),
        )
    ]  # fmt: skip
    piece = found(session, Piece, row.piece_id)
    if piece.state == CERTIFIED:
        rows.append(writing.next(piece, state=HELD))
    order = found(session, Order, sent.order_id)
    if order.state == "closed":
        rows.append(writing.next(order, state="open"))
    return rows


@act(SELL)
def answer_claim(
    writing: Writing, *, claim: str, accepted: bool, answer: str, seen: int | None = None
) -> list[Row]:
    """Accept or refuse a claim, with the answer."""
    row = found(writing.session, Claim, claim)
    state = "accepted" if accepted else "refused"
    return [writing.next(row, state=state, seen=seen, answer=answer)]
