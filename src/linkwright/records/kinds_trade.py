"""What is agreed with customers: from the enquiry to the claim."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from linkwright.records.base import Row, maybe, of


class Customer(Row):
    """Who orders; the name stands outside the chain."""

    __tablename__ = "customer"


class Enquiry(Row):
    """What a customer asks for."""

    __tablename__ = "enquiry"
    customer_id: Mapped[str] = of("customer")
    received_on: Mapped[str]
    wording: Mapped[str]


class Quotation(Row):
    """An offer; a revision replaces the one before, and each expires."""

    __tablename__ = "quotation"
    enquiry_id: Mapped[str] = of("enquiry")
    revision: Mapped[int]
    valid_until: Mapped[str]
    price: Mapped[float]
    currency: Mapped[str]
    terms: Mapped[str]


class Order(Row):
    """What was agreed."""

    __tablename__ = "order"
    customer_id: Mapped[str] = of("customer")
    quotation_id: Mapped[str | None] = maybe("quotation")
    quotation_revision: Mapped[int | None]
    due_on: Mapped[str]


class Line(Row):
    """One chain of an order."""

    __tablename__ = "line"
    order_id: Mapped[str] = of("order")
    product: Mapped[str]
    standard: Mapped[str]
    grade: Mapped[str | None]
    size_mm: Mapped[float | None]
    number: Mapped[str | None]
    length_mm: Mapped[int]


class Amendment(Row):
    """A change of an order that both sides agree to."""

    __tablename__ = "amendment"
    order_id: Mapped[str] = of("order")
    wording: Mapped[str]
    due_on: Mapped[str | None]
    line_id: Mapped[str | None] = maybe("line")
    length_mm: Mapped[int | None]


class Delivery(Row):
    """What leaves the works together."""

    __tablename__ = "delivery"
    order_id: Mapped[str] = of("order")
    sent_on: Mapped[str | None]


class Position(Row):
    """One piece of a delivery."""

    __tablename__ = "position"
    delivery_id: Mapped[str] = of("delivery")
    piece_id: Mapped[str] = of("piece")
    number: Mapped[int]


class Claim(Row):
    """What a customer says is wrong with something delivered."""

    __tablename__ = "claim"
    position_id: Mapped[str] = of("position")
    received_on: Mapped[str]
    wording: Mapped[str]
    answer: Mapped[str | None]
