"""Type tests: valid for a size, steel and route, until a change goes beyond their band."""

from __future__ import annotations

import json
import math
from typing import Any

from sqlalchemy.orm import Session

from linkwright.records.acts import CHECK, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import bare_number, day
from linkwright.records.kinds import Coil, Heat, Line, Lot, LotCoil, TypeTest
from linkwright.records.writing import Writing, all_latest, found, latest
from linkwright.works.canonical import canonical_bytes


@act(CHECK)
def keep_type_test(
    writing: Writing, *, type_test: str, product: str, standard: str, size_mm: float, steel: str,
    route: str, band: list[str], tested_on: str, good: bool, grade: str | None = None,
    valid_until: str | None = None, document: str | None = None,
) -> list[Row]:  # fmt: skip
    """Keep a type test and the band in which it holds, such as band=[temper_degC=420..560]."""
    values: dict[str, Any] = {
        "product": product, "standard": standard, "grade": grade, "size_mm": size_mm,
        "steel": steel, "route": route, "band": canonical_bytes(_band(band)).decode(),
        "tested_on": day(tested_on, "tested_on"), "document": document,
        "valid_until": None if valid_until is None else day(valid_until, "valid_until"),
    }  # fmt: skip
    state = "valid" if good else "failed"
    held = latest(writing.session, f"type_test:{type_test}")
    if isinstance(held, TypeTest):
        return [writing.next(held, state=state, **values)]
    return [writing.new(TypeTest, type_test, state=state, **values)]


@act(CHECK)
def reopen_type_test(
    writing: Writing, *, type_test: str, quantity: str, value: float, seen: int | None = None
) -> list[Row]:
    """Reopen a type test because a quantity of its band is, or will be, outside of it."""
    row = found(writing.session, TypeTest, type_test)
    least, greatest = json.loads(row.band).get(quantity, (None, None))
    if least is not None and least <= value <= greatest:
        raise CannotRecord(
            f"{quantity} = {value:g} lies within {least:g} to {greatest:g}: {row.id} holds"
        )
    return [writing.next(row, state="reopened", seen=seen)]


def no_type_test(session: Session, lot: Lot, on: str) -> str:
    """Why a lot has no type test that is valid on a day, in words; empty if it has."""
    if lot.type_test_id is None:
        return "no type test is named"
    held = found(session, TypeTest, lot.type_test_id)
    line = found(session, Line, lot.line_id)
    if held.state != "valid":
        return f"{held.id} is {held.state}"
    if held.valid_until is not None and held.valid_until < on:
        return f"{held.id} ended on {held.valid_until}"
    if (held.product, held.standard, held.grade) != (line.product, line.standard, line.grade):
        return f"{held.id} is of {held.product} {held.standard} {held.grade or ''}".strip()
    if line.size_mm is not None and not math.isclose(held.size_mm, line.size_mm):
        return f"{held.id} is of {held.size_mm:g} mm, not {line.size_mm:g} mm"
    steels = {found(session, Heat, coil.heat_id).steel for coil in coils_of(session, lot)}
    other = sorted(steels - {held.steel})
    return f"{held.id} is of {held.steel}, not {', '.join(other)}" if other else ""


def coils_of(session: Session, lot: Lot) -> list[Coil]:
    """The coils that went into a lot."""
    return [
        found(session, Coil, row.coil_id) for row in all_latest(session, LotCoil, lot_id=lot.id)
    ]


def _band(texts: list[str]) -> dict[str, list[float]]:
    held: dict[str, list[float]] = {}
    for text in texts:
        name, _, limits = text.partition("=")
        least, _, greatest = limits.partition("..")
        pair = [bare_number(least), bare_number(greatest)]
        if not (name.isidentifier() and pair[0] <= pair[1]):
            raise CannotRecord(f"{text!r} is no band; accepted: temper_degC=420..560")
        held[name] = pair
    return held
