"""An order file entered in the books: its lines, and what the standard of each asks of its lots.

Every act has a key made of the order's content, so that the same file entered twice does nothing
twice, and one that was interrupted goes on. Offers `enter_order`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from linkwright.records.people import Signed, sign_in
from linkwright.records.store import Store
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.recording import act_of, done_as
from linkwright.standards.chain_requirements import chain_standard
from linkwright.standards.requirement import ChainRequirement
from linkwright.standards.roller_chain import roller_chain_strength
from linkwright.works.canonical import content_hash
from linkwright.works.order import Line, Order, order_of_bytes, read_order

_NOT_TESTED = ("working load limit", "spacing of ")
"""Beginnings of requirements that no test of a lot answers."""
Asked = tuple[str, dict[str, Any]]


@dataclass(frozen=True)
class Entered:
    """What was entered: the ids of the order and its lines, acts done now, and what is left."""

    order: str
    lines: tuple[str, ...]
    acts: int
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"schema_version": SCHEMA_VERSION, "order": self.order, "lines": list(self.lines),
                "acts": self.acts, "notes": list(self.notes)}  # fmt: skip


def enter_order(
    store: Store, person: str, pass_phrase: str, file: str | os.PathLike[str], *, why: str
) -> Entered:
    """Enter an order file. Raises `InputErrors`, `NotAllowed`, `CannotRecord`."""
    return entered(store, sign_in(store, person, pass_phrase), read_order(file), why=why)


def enter_order_bytes(store: Store, signed: Signed, raw: bytes, *, why: str) -> Entered:
    """Enter an order's content as somebody who has signed in."""
    return entered(store, signed, order_of_bytes(raw), why=why)


def entered(store: Store, signed: Signed, order: Order, *, why: str) -> Entered:
    """Enter an order that was read. Raises as `enter_order`."""
    key = order.content_hash()
    acts, lines, notes = 0, [], []
    asked: list[Asked] = list(_head(store, order))
    for number, line in enumerate(order.lines, start=1):
        chain = _chain(line)
        if chain is None:
            notes.append(f"line {line.id}: its chain is not chosen yet; add_line enters it then")
            continue
        ident = f"{order.number}/{number}"
        lines.append(ident)
        asked.append(("add_line", {"order": order.number, "number": number, **chain}))
        of_standard = list(_asked(ident, line))
        asked += of_standard
        if not of_standard:
            notes.append(f"line {line.id}: what its lots must show is entered by ask_of_line")
    for name, given in asked:
        own = content_hash({"order": key, "act": name, "given": given})
        done = done_as(store, signed, act_of(name), given, why=why, key=f"order {own}")
        acts += done.new
    return Entered(order.number, tuple(lines), acts, tuple(notes))


def _head(store: Store, order: Order) -> Iterator[Asked]:
    """Customer and order; a customer is known by the name that the order says."""
    from linkwright.records.writing import latest  # noqa: PLC0415

    with store.reading() as session:
        known = latest(session, f"customer:{order.customer}") is not None
    if not known:
        yield "add_customer", {"customer": order.customer, "name": order.customer}
    yield "take_order", {
        "order": order.number, "customer": order.customer, "due_on": order.due.isoformat(),
    }  # fmt: skip


def _chain(line: Line) -> dict[str, Any] | None:
    if line.form != "chain" or line.standard is None or line.length_m is None:
        return None
    size = None if line.size_mm is None else float(line.size_mm)
    return {
        "product": f"{line.product} chain", "standard": line.standard, "grade": line.grade,
        "size_mm": size, "chain_number": line.size if size is None else None,
        "length_mm": round(1000.0 * float(line.length_m)),
    }  # fmt: skip


def _asked(ident: str, line: Line) -> Iterator[Asked]:
    """What the standard asks of a lot of welded or roller chain; jack chain is asked by hand."""
    if line.product == "roller" and line.size is not None:
        strength = roller_chain_strength(chain_number=line.size)
        yield "ask_of_line", {
            "line": ident, "characteristic": "tensile strength", "unit": "kN", "samples": 1,
            "least": float(strength.breaking_force_kN),
            "source": "ISO 606:2004, Tables 1 and 2 (from memory)",
        }  # fmt: skip
    if line.product != "welded" or line.standard is None or line.size_mm is None:
        return
    held = chain_standard(line.standard, line.grade or "", line.chain_type or "")
    for wanted in held.requirements(float(line.size_mm)).values():
        limited = wanted.least is not None or wanted.greatest is not None
        if limited and not wanted.subject.startswith(_NOT_TESTED):
            yield "ask_of_line", requirement_of(ident, wanted)


def requirement_of(ident: str, wanted: ChainRequirement) -> dict[str, Any]:
    """The arguments of `ask_of_line` for a requirement of a standard."""
    memory = " (from memory)" if wanted.basis == "memory" else ""
    least, greatest = (
        None if one is None else float(one) for one in (wanted.least, wanted.greatest)
    )
    return {"line": ident, "characteristic": wanted.subject, "unit": wanted.unit,
            "source": f"{wanted.source}{memory}", "samples": 1, "least": least,
            "greatest": greatest}  # fmt: skip
