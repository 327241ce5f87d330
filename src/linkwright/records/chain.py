"""The chain of acts: each act's digest holds its own content and the digest before it.

    digest_n = SHA-256 of canonical JSON of (act n without its digest, its rows, digest_(n-1))

One changed, moved, added or missing act or row anywhere breaks the chain at a place that `walk`
names. A tail that was cut off shows only against a head that was written down elsewhere: `head`
gives it, certificates print it, and `walk` takes it.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterator
from dataclasses import dataclass
from heapq import merge
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from linkwright.records.base import Act, Content, Record, Row
from linkwright.records.kinds import KINDS
from linkwright.works.canonical import content_hash

NOTHING_BEFORE = "0" * 64
"""What the first act has as the digest before it."""
_AT_ONCE = 1000


@dataclass(frozen=True)
class Head:
    """The newest act: its number and digest, which hold everything before."""

    act: int
    digest: str

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"act": self.act, "digest": self.digest}


@dataclass(frozen=True)
class Walked:
    """What walking the chain found: broken places in words, and where the clock went back."""

    acts: int
    rows: int
    head: Head
    broken: tuple[str, ...]
    clock_went_back: tuple[int, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "acts": self.acts, "rows": self.rows, "head": self.head.to_dict(),
            "broken": list(self.broken), "clock_went_back": list(self.clock_went_back),
        }  # fmt: skip


def digest_of(act: dict[str, Any], rows: list[dict[str, Any]], previous: str) -> str:
    """The digest of an act with its rows in the order of their sequence."""
    return content_hash({"act": act, "rows": rows, "previous": previous})


def act_content(act: Act) -> dict[str, Any]:
    """What of an act goes into its digest."""
    held: dict[str, Any] = {
        "number": act.number, "at": act.at, "person_id": act.person_id, "action": act.action,
        "why": act.why, "asked": act.asked, "last_sequence": act.last_sequence,
    }  # fmt: skip
    return held if act.key is None else {**held, "key": act.key}


def row_content(row: Row) -> dict[str, Any]:
    """What of a row goes into the digest of its act."""
    return {"kind": row.__tablename__, **row.to_dict()}


def head(session: Session) -> Head:
    """The newest act; number 0 in empty books."""
    act = session.scalars(select(Act).order_by(Act.number.desc()).limit(1)).first()
    return Head(act.number, act.digest) if act else Head(0, NOTHING_BEFORE)


def walk(session: Session, expected: Head | None = None) -> Walked:
    """Walk the whole chain; every break is told, none stops the walk.

    Args:
        session: Open for reading.
        expected: A head that was written down earlier; the chain must still hold it.
    """
    broken: list[str] = []
    back: list[int] = []
    rows = _rows(session)
    waiting = next(rows, None)
    number = count = sequence = 0
    previous, at = NOTHING_BEFORE, ""
    held_expected = expected is None or expected.act == 0
    for act in session.scalars(select(Act).order_by(Act.number)).yield_per(_AT_ONCE):
        number += 1
        if act.number != number:
            broken.append(f"act {number} is missing before act {act.number}")
            number = act.number
        own: list[dict[str, Any]] = []
        while waiting is not None and waiting[0] <= act.last_sequence:
            sequence += 1
            if waiting[0] != sequence:
                broken.append(f"row {sequence} is missing in act {number}")
                sequence = waiting[0]
            if waiting[1].act != number:
                broken.append(f"{waiting[1].id} version {waiting[1].version} names another act")
            own.append(row_content(waiting[1]))
            waiting = next(rows, None)
        if sequence != act.last_sequence:
            broken.append(f"rows after {sequence} are missing in act {number}")
            sequence = act.last_sequence
        count += len(own)
        if act.previous != previous or not hmac.compare_digest(
            digest_of(act_content(act), own, act.previous), act.digest
        ):
            broken.append(f"act {number} ({act.action}, {act.at}) is not as it was written")
        if act.at < at:
            back.append(number)
        if expected is not None and act.number == expected.act:
            held_expected = act.digest == expected.digest
            if not held_expected:
                broken.append(f"act {number} has another digest than was written down")
        previous, at = act.digest, act.at
        session.expunge_all()
    if waiting is not None:
        broken.append(f"{waiting[1].id} version {waiting[1].version} belongs to no act")
    if not held_expected and expected is not None and number < expected.act:
        broken.append(f"the acts after {number} are gone; {expected.act} were written down")
    broken += _versions(session) + _contents(session)
    return Walked(number, count, Head(number, previous), tuple(broken), tuple(back))


def _rows(session: Session) -> Iterator[tuple[int, Row]]:
    """All rows of all kinds in the order of their sequence."""

    def of_kind(kind: type[Row]) -> Iterator[tuple[int, Row]]:
        for row in session.scalars(select(kind).order_by(kind.sequence)).yield_per(_AT_ONCE):
            yield row.sequence, row

    return merge(*(of_kind(kind) for kind in KINDS.values()), key=lambda pair: pair[0])


def _versions(session: Session) -> list[str]:
    """Things whose versions do not run 1, 2, 3, ..., and names that nothing stands behind."""
    said = []
    named = set(session.scalars(select(Record.id)))
    for word, kind in KINDS.items():
        counted = select(kind.id, func.count(), func.max(kind.version)).group_by(kind.id)
        for ident, count, last in session.execute(counted):
            named.discard(ident)
            if count != last or not ident.startswith(f"{word}:"):
                said.append(f"the versions of {ident} do not run from 1 to {last}")
    return said + [f"{ident} is named and has no row" for ident in sorted(named)]


def _contents(session: Session) -> list[str]:
    """Kept bytes that are not what their digest says."""
    said = []
    for content in session.scalars(select(Content)).yield_per(10):
        if hashlib.sha256(content.data).hexdigest() != content.digest:
            said.append(f"the paper {content.digest[:16]} is not as it was kept")
        session.expunge(content)
    return said
