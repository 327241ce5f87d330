"""What asks for a cause and an action: chart signals and non-conformities; learned factors."""

from __future__ import annotations

import json

from linkwright.records.acts import CHECK, RECORD, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.kinds import (
    ChartLimits,
    Coil,
    FactorSet,
    Lot,
    Machine,
    NonConformity,
    Piece,
    Signal,
)
from linkwright.records.writing import Writing, found, latest


@act(CHECK)
def freeze_limits(
    writing: Writing, *, machine: str, quantity: str, limits: str, seen: int | None = None
) -> list[Row]:
    """Freeze the limits of a chart (JSON as `linkwright chart --freeze` writes); versions stay."""
    of = found(writing.session, Machine, machine)
    text = _json(limits, "limits")
    name = f"{of.name}/{quantity}"
    held = latest(writing.session, f"chart_limits:{name}")
    if isinstance(held, ChartLimits):
        return [writing.next(held, seen=seen, limits=text)]
    return [
        writing.new(
            ChartLimits, name, state="frozen", machine_id=of.id, quantity=quantity, limits=text
        )
    ]  # fmt: skip


@act(RECORD, CHECK)
def note_signal(writing: Writing, *, limits: str, point: str, rule: str) -> list[Row]:
    """Note a point out of control; it stays open until cause and action are said."""
    of = found(writing.session, ChartLimits, limits)
    return [
        writing.new(
            Signal, f"{of.name}/{point}/{rule}", state="open", chart_limits_id=of.id,
            limits_version=of.version, point=point, rule=rule,
        )
    ]  # fmt: skip


@act(RECORD, CHECK)
def explain_signal(
    writing: Writing, *, signal: str, cause: str, action: str, seen: int | None = None
) -> list[Row]:
    """Say the cause of a signal and what was done."""
    row = found(writing.session, Signal, signal)
    _refuse_empty(cause, action)
    return [writing.next(row, state="explained", seen=seen, cause=cause, action=action)]


@act(RECORD, CHECK)
def report(
    writing: Writing, *, wording: str, lot: str | None = None, piece: str | None = None,
    coil: str | None = None,
) -> list[Row]:  # fmt: skip
    """Report a non-conformity of a lot, a piece or a coil."""
    session = writing.session
    held = found(session, Piece, piece) if piece else None
    of = held.lot_id if held else found(session, Lot, lot).id if lot else None
    metal = found(session, Coil, coil).id if coil else None
    if of is None and metal is None:
        raise CannotRecord("a non-conformity is of a lot, a piece or a coil")
    name = f"{writing.at[:4]}-{writing.next_number(NonConformity):05d}"
    return [
        writing.new(
            NonConformity, name, state="open", lot_id=of, piece_id=held.id if held else None,
            coil_id=metal, wording=wording,
        )
    ]  # fmt: skip


@act(CHECK)
def answer_report(
    writing: Writing, *, non_conformity: str, cause: str, action: str, seen: int | None = None
) -> list[Row]:
    """Say the cause of a non-conformity and what was done."""
    row = found(writing.session, NonConformity, non_conformity)
    _refuse_empty(cause, action)
    return [writing.next(row, state="answered", seen=seen, cause=cause, action=action)]


@act(CHECK)
def keep_factors(
    writing: Writing, *, factor_set: str, factors: str, learned_from: str,
    seen: int | None = None,
) -> list[Row]:  # fmt: skip
    """Keep the works' factors as `linkwright learn` gives them, before and after; versions stay."""
    text = _json(factors, "factors")
    held = latest(writing.session, f"factor_set:{factor_set}")
    if isinstance(held, FactorSet):
        return [writing.next(held, seen=seen, factors=text, learned_from=learned_from)]
    return [
        writing.new(
            FactorSet, factor_set, state="in use", factors=text, learned_from=learned_from
        )
    ]  # fmt: skip


def _json(text: str, name: str) -> str:
    try:
        held = json.loads(text, parse_constant=lambda word: 1 / 0)
    except (ValueError, ZeroDivisionError, RecursionError) as error:
        raise CannotRecord(f"{name} is no JSON") from error
    if not isinstance(held, dict):
        raise CannotRecord(f"{name} is no JSON object")
    return text


def _refuse_empty(*texts: str) -> None:
    if not all(text.strip() for text in texts):
        raise CannotRecord("cause and action are said in words")
