"""Machines, their set-up by the cards of a plan, and the signed first article."""

from __future__ import annotations

import json
from typing import Any

from linkwright.records.acts import CHECK, RECORD, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import bare_number
from linkwright.records.kinds import Line, Lot, Machine, SetUp, TypeTest
from linkwright.records.writing import Writing, all_latest, found, latest


@act(CHECK)
def add_machine(writing: Writing, *, machine: str, work: str) -> list[Row]:
    """Enter a machine of the works and its work."""
    return [writing.new(Machine, machine, work=work)]


@act(RECORD)
def set_up_machine(
    writing: Writing, *, machine: str, line: str, card_digest: str, settings: list[str]
) -> list[Row]:
    """Write down what a machine was set to for a line; it awaits its first article.

    A setting such as temper_degC=600 beyond the band of a type test reopens that.
    """
    on, of = found(writing.session, Machine, machine), found(writing.session, Line, line)
    held = latest(writing.session, f"set_up:{of.name}/{on.name}")
    reopened = _reopened(writing, of, settings)
    values: dict[str, Any] = {"card_digest": card_digest, "settings": "\n".join(settings)}
    if isinstance(held, SetUp):
        return [
            writing.next(
                held, state="awaits first article", measured=None, signed_by=None, **values
            ),
            *reopened,
        ]  # fmt: skip
    return [
        writing.new(
            SetUp, f"{of.name}/{on.name}", state="awaits first article", machine_id=on.id,
            line_id=of.id, **values,
        ),
        *reopened,
    ]  # fmt: skip


@act(CHECK)
def sign_first_article(
    writing: Writing, *, set_up: str, measured: list[str], good: bool, seen: int | None = None
) -> list[Row]:
    """Sign the first article of a set-up with what was measured, or refuse it."""
    row = found(writing.session, SetUp, set_up)
    if not measured:
        raise CannotRecord("a first article is measured; say what was found")
    return [
        writing.next(
            row, state="signed" if good else "refused", seen=seen, signed_by=writing.person,
            measured="\n".join(measured),
        )
    ]  # fmt: skip


@act(RECORD)
def change_set_up(
    writing: Writing, *, set_up: str, settings: list[str], seen: int | None = None
) -> list[Row]:
    """Change settings of a signed set-up: it awaits a first article again."""
    row = found(writing.session, SetUp, set_up)
    return [
        writing.next(
            row, state="awaits first article", seen=seen, settings="\n".join(settings),
            measured=None, signed_by=None,
        ),
        *_reopened(writing, found(writing.session, Line, row.line_id), settings),
    ]  # fmt: skip


def _reopened(writing: Writing, line: Line, settings: list[str]) -> list[Row]:
    """Reopen each valid type test of the line's lots that a setting ``name=value`` lies outside."""
    said = dict(text.split("=", 1) for text in settings if "=" in text)
    rows: list[Row] = []
    for lot in all_latest(writing.session, Lot, line_id=line.id):
        held = found(writing.session, TypeTest, lot.type_test_id) if lot.type_test_id else None
        if held is None or held.state != "valid":
            continue
        for name, (least, greatest) in json.loads(held.band).items():
            value = bare_number(said.get(name, "nan"))
            if value < least or value > greatest:
                rows.append(writing.next(held, state="reopened"))
                break
    return rows
