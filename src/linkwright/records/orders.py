"""Enquiry, quotation, order, amendment: what is agreed with a customer, and until when."""

from __future__ import annotations

from linkwright.records.acts import SELL, act
from linkwright.records.base import KnownAs, Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import day
from linkwright.records.kinds import Amendment, Customer, Enquiry, Line, Lot, Order, Quotation
from linkwright.records.writing import Writing, all_latest, found


@act(SELL)
def add_customer(
    writing: Writing, *, customer: str, name: str, contact: str | None = None
) -> list[Row]:
    """Add a customer; name and contact stand outside the chain and can be erased."""
    row = writing.new(Customer, customer, state="known")
    writing.session.add(KnownAs(id=row.id, name=name, contact=contact))
    return [row]


@act(SELL)
def take_enquiry(
    writing: Writing, *, enquiry: str, customer: str, received_on: str, wording: str
) -> list[Row]:
    """Take in what a customer asks for."""
    by = found(writing.session, Customer, customer)
    day(received_on, "received_on")
    return [
        writing.new(
            Enquiry, enquiry, state="open", customer_id=by.id, received_on=received_on,
            wording=wording,
        )
    ]  # fmt: skip


@act(SELL)
def decline_enquiry(writing: Writing, *, enquiry: str, seen: int | None = None) -> list[Row]:
    """Decline an enquiry."""
    row = found(writing.session, Enquiry, enquiry)
    return [writing.next(row, state="declined", seen=seen)]


@act(SELL)
def make_quotation(
    writing: Writing, *, quotation: str, enquiry: str, valid_until: str, price: float,
    currency: str, terms: str,
) -> list[Row]:  # fmt: skip
    """Make the first revision of a quotation."""
    asked = found(writing.session, Enquiry, enquiry)
    _currency(currency)
    made = writing.new(
        Quotation, quotation, state="draft", enquiry_id=asked.id, revision=1,
        valid_until=day(valid_until, "valid_until"), price=price, currency=currency, terms=terms,
    )  # fmt: skip
    return [made, writing.next(asked, state="quoted")]


@act(SELL)
def revise_quotation(
    writing: Writing, *, quotation: str, valid_until: str | None = None,
    price: float | None = None, terms: str | None = None, seen: int | None = None,
) -> list[Row]:  # fmt: skip
    """Make the next revision of a quotation; those before stay in the history."""
    row = found(writing.session, Quotation, quotation)
    until = row.valid_until if valid_until is None else day(valid_until, "valid_until")
    return [
        writing.next(
            row, state="draft", seen=seen, revision=row.revision + 1, valid_until=until,
            price=row.price if price is None else price,
            terms=row.terms if terms is None else terms,
        )
    ]  # fmt: skip


@act(SELL)
def send_quotation(writing: Writing, *, quotation: str, seen: int | None = None) -> list[Row]:
    """Send the present revision."""
    row = found(writing.session, Quotation, quotation)
    if row.valid_until < writing.today:
        raise CannotRecord(f"{row.id} ended on {row.valid_until}; revise it before it is sent")
    return [writing.next(row, state="sent", seen=seen)]


@act(SELL)
def expire_quotation(writing: Writing, *, quotation: str) -> list[Row]:
    """Write down that a quotation has ended; only after its last day."""
    row = found(writing.session, Quotation, quotation)
    if row.valid_until >= writing.today:
        raise CannotRecord(f"{row.id} is valid until {row.valid_until}")
    return [writing.next(row, state="expired")]


@act(SELL)
def withdraw_quotation(writing: Writing, *, quotation: str, seen: int | None = None) -> list[Row]:
    """Take a quotation back."""
    row = found(writing.session, Quotation, quotation)
    return [writing.next(row, state="withdrawn", seen=seen)]


@act(SELL)
def accept_quotation(
    writing: Writing, *, quotation: str, order: str, due_on: str, seen: int | None = None
) -> list[Row]:
    """Turn a sent quotation, not yet expired, into an order."""
    row = found(writing.session, Quotation, quotation)
    if row.valid_until < writing.today:
        raise CannotRecord(f"{row.id} ended on {row.valid_until}; it can be revised")
    asked = found(writing.session, Enquiry, row.enquiry_id)
    made = writing.new(
        Order, order, state="open", customer_id=asked.customer_id, quotation_id=row.id,
        quotation_revision=row.revision, due_on=day(due_on, "due_on"),
    )  # fmt: skip
    return [
        made,
        writing.next(row, state="accepted", seen=seen),
        writing.next(asked, state="ordered"),
    ]


@act(SELL)
def take_order(writing: Writing, *, order: str, customer: str, due_on: str) -> list[Row]:
    """Take an order that had no quotation."""
    by = found(writing.session, Customer, customer)
    return [
        writing.new(
            Order, order, state="open", customer_id=by.id, due_on=day(due_on, "due_on")
        )
    ]  # fmt: skip


@act(SELL)
def add_line(
    writing: Writing, *, order: str, number: int, product: str, standard: str, length_mm: int,
    grade: str | None = None, size_mm: float | None = None, chain_number: str | None = None,
) -> list[Row]:  # fmt: skip
    """Add a chain to an order: by size and grade, or by its number."""
    of = found(writing.session, Order, order)
    if of.state != "open":
        raise CannotRecord(f"{of.id} is {of.state}")
    if (size_mm is None) == (chain_number is None):
        raise CannotRecord("a line names size_mm or chain_number, one of them")
    if length_mm < 1 or (size_mm is not None and not size_mm > 0):
        raise CannotRecord("size and length are more than nothing")
    return [
        writing.new(
            Line, f"{of.name}/{number}", state="open", order_id=of.id, product=product,
            standard=standard, grade=grade, size_mm=size_mm, number=chain_number,
            length_mm=length_mm,
        )
    ]  # fmt: skip


@act(SELL)
def propose_amendment(
    writing: Writing, *, order: str, wording: str, due_on: str | None = None,
    line: str | None = None, length_mm: int | None = None,
) -> list[Row]:  # fmt: skip
    """Propose a change of an order: another day, or another length of a line."""
    of = found(writing.session, Order, order)
    if of.state != "open":
        raise CannotRecord(f"{of.id} is {of.state}")
    if (line is None) != (length_mm is None):
        raise CannotRecord("a length is changed for one line: give line and length_mm")
    held = found(writing.session, Line, line) if line else None
    if held is not None and held.order_id != of.id:
        raise CannotRecord(f"{held.id} is no line of {of.id}")
    number = writing.next_of(Amendment, order_id=of.id)
    return [
        writing.new(
            Amendment, f"{of.name}/{number}", state="proposed", order_id=of.id, wording=wording,
            due_on=None if due_on is None else day(due_on, "due_on"),
            line_id=held.id if held else None, length_mm=length_mm,
        )
    ]  # fmt: skip


@act(SELL)
def agree_amendment(writing: Writing, *, amendment: str, seen: int | None = None) -> list[Row]:
    """Carry an agreed change into the order and its line."""
    row = found(writing.session, Amendment, amendment)
    rows: list[Row] = [writing.next(row, state="agreed", seen=seen)]
    if row.due_on is not None:
        rows.append(writing.next(found(writing.session, Order, row.order_id), due_on=row.due_on))
    if row.line_id is not None:
        line = found(writing.session, Line, row.line_id)
        rows.append(writing.next(line, length_mm=row.length_mm))
    return rows


@act(SELL)
def refuse_amendment(writing: Writing, *, amendment: str, seen: int | None = None) -> list[Row]:
    """Write down that a change was not agreed."""
    row = found(writing.session, Amendment, amendment)
    return [writing.next(row, state="refused", seen=seen)]


@act(SELL)
def close_order(writing: Writing, *, order: str, seen: int | None = None) -> list[Row]:
    """Close an order whose lots are all decided."""
    row = found(writing.session, Order, order)
    undecided = [
        lot.id
        for line in all_latest(writing.session, Line, order_id=row.id)
        for lot in all_latest(writing.session, Lot, line_id=line.id)
        if lot.state not in ("released", "scrapped")
    ]
    if undecided:
        raise CannotRecord(f"{row.id} has undecided lots: {', '.join(undecided)}")
    return [writing.next(row, state="closed", seen=seen)]


@act(SELL)
def cancel_order(writing: Writing, *, order: str, seen: int | None = None) -> list[Row]:
    """Cancel an order."""
    row = found(writing.session, Order, order)
    return [writing.next(row, state="cancelled", seen=seen)]


def _currency(text: str) -> None:
    if len(text) != 3 or not text.isascii() or not text.isupper():
        raise CannotRecord(f"currency {text!r} is no code of three capital letters (ISO 4217)")
