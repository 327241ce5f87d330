"""Writing into the books: one act at a time, whole or not at all.

`Writing` is one act by one signed person: `new` and `next` add versions, `close` chains them. The
functions `latest`, `found`, `all_latest` and `history` read.
"""

from __future__ import annotations

import datetime
import hashlib
import math
from collections.abc import Iterator
from typing import Any, TypeVar

from sqlalchemy import Float, Integer, exists, select
from sqlalchemy.orm import Session, aliased

from linkwright.quantities import UnknownName
from linkwright.records.base import Act, Content, Record, Row
from linkwright.records.chain import act_content, digest_of, head, row_content
from linkwright.records.errors import CannotRecord, Overtaken
from linkwright.records.kinds import KINDS, Rule
from linkwright.records.life import NEW, SAME, allowed, may
from linkwright.records.means import NO_MEANS, Means
from linkwright.works.canonical import canonical_bytes

R = TypeVar("R", bound=Row)
LONGEST_TEXT = 20_000
"""Characters that a text of a record may have."""
LONGEST_NAME = 200
MOST_BYTES = 50_000_000
"""Bytes that a kept paper may have."""
_ASIDE = frozenset({"sequence", "act", "id", "version", "state"})


class Writing:
    """One act that is being written.

    Args:
        session: In a transaction that no other writer can be in.
        person: Id of the person who does it.
        roles: Their roles.
        action: The act's word, as in the table of lives.
        why: The reason, in the person's words.
        asked: The arguments, for the audit.
        key: Sent twice with the same key, an act is done once.
        means: What acts need from other rooms.
    """

    def __init__(
        self, session: Session, person: str, roles: frozenset[str], action: str, why: str,
        asked: dict[str, Any], key: str | None = None, means: Means = NO_MEANS,
    ) -> None:  # fmt: skip
        self.session, self.person, self.roles, self.action = session, person, roles, action
        self.means = means
        self._head = head(session)
        self._rows: list[Row] = []
        before = session.get(Act, self._head.act)
        self._sequence = before.last_sequence if before else 0
        self.at = datetime.datetime.now(datetime.UTC).isoformat(timespec="microseconds")
        self.act = Act(
            number=self._head.act + 1, at=self.at, person_id=person, action=action,
            why=_text(why, "why"), asked=canonical_bytes(asked).decode(), key=key,
            previous=self._head.digest,
        )  # fmt: skip

    @property
    def done_before(self) -> int | None:
        """The number of the act that was sent with the same key, None if there is none."""
        if self.act.key is None:
            return None
        return self.session.scalar(select(Act.number).where(Act.key == self.act.key))

    @property
    def today(self) -> str:
        """The day of the act (UTC), ``YYYY-MM-DD``."""
        return self.at[:10]

    @property
    def written(self) -> list[Row]:
        """What the act has written so far."""
        return list(self._rows)

    def new(self, kind: type[R], name: str, *, state: str = SAME, **values: Any) -> R:
        """The first version of a thing."""
        word = kind.__tablename__
        ident = f"{word}:{_name(name)}"
        self._refuse_unless(word, NEW, state, ident)
        if self.session.get(Record, ident) is not None:
            raise CannotRecord(f"there is a {word} {name} already")
        self.session.add(Record(id=ident, act=self.act.number))
        self.session.flush()
        return self._add(kind, ident, 1, state, values)

    def next(
        self, row: R, *, state: str | None = None, seen: int | None = None, **changes: Any
    ) -> R:
        """The next version of a thing: ``changes`` in the columns, the rest as before.

        Raises `Overtaken` if somebody has written a newer version than the one ``seen``.
        """
        newest = latest(self.session, row.id)
        if newest is None or not isinstance(newest, type(row)):
            raise CannotRecord(f"{row.id} is not in the books")
        if seen is not None and newest.version != seen:
            raise Overtaken(
                f"{row.id} was changed meanwhile: you saw version {seen}, now it is version "
                f"{newest.version}; look at it again",
                seen,
                newest.to_dict(),
            )
        after = newest.state if state is None else state
        self._refuse_unless(row.__tablename__, newest.state, after, row.id)
        held = {key: value for key, value in newest.to_dict().items() if key not in _ASIDE}
        return self._add(type(row), row.id, newest.version + 1, after, {**held, **changes})

    def keep(self, data: bytes) -> str:
        """Keep the bytes of a paper; gives their digest, which a row must name."""
        if not 0 < len(data) <= MOST_BYTES:
            raise CannotRecord(f"a paper has 1 to {MOST_BYTES:,} bytes, this one {len(data):,}")
        digest = hashlib.sha256(data).hexdigest()
        if self.session.get(Content, digest) is None:
            self.session.add(Content(digest=digest, data=data))
        return digest

    def next_number(self, kind: type[Row]) -> int:
        """One more than the things of a kind: numbers without gaps, as writers wait in line."""
        prefix = f"{kind.__tablename__}:"
        held = select(Record.id).where(Record.id.startswith(prefix, autoescape=True))
        return len(self.session.scalars(held).all()) + 1

    def next_of(self, kind: type[Row], **same: Any) -> int:
        """One more than the things of a kind that have these values, such as a gauge's studies."""
        return sum(1 for _ in all_latest(self.session, kind, **same)) + 1

    def close(self) -> bool:
        """Chain the act; False if it wrote nothing and there is no act."""
        if not self._rows:
            return False
        self.session.flush()
        self.act.last_sequence = self._sequence
        rows = [row_content(row) for row in self._rows]
        self.act.digest = digest_of(act_content(self.act), rows, self.act.previous)
        self.session.add(self.act)
        self.session.flush()
        return True

    def _refuse_unless(self, kind: str, before: str, after: str, ident: str) -> None:
        if not allowed(kind, before, self.action, after):
            could = ", ".join(may(kind, before)) or "nothing more"
            raise CannotRecord(f"{ident} is {before}; what can be done with it: {could}")

    def _add(
        self, kind: type[R], ident: str, version: int, state: str, values: dict[str, Any]
    ) -> R:
        self._sequence += 1
        row = kind(
            sequence=self._sequence, act=self.act.number, id=ident, version=version, state=state,
            **_coerced(kind, values),
        )  # fmt: skip
        self.session.add(row)
        self.session.flush()
        self._rows.append(row)
        return row


def latest(session: Session, ident: str) -> Row | None:
    """The newest version of a thing by its id, None if there is none."""
    kind = KINDS.get(ident.partition(":")[0])
    if kind is None:
        return None
    newest = select(kind).where(kind.id == ident).order_by(kind.version.desc()).limit(1)
    return session.scalars(newest).first()


def found(session: Session, kind: type[R], name: str) -> R:
    """The newest version of a thing by its name or id. Raises `UnknownName`."""
    word = kind.__tablename__
    ident = name if name.startswith(f"{word}:") else f"{word}:{name}"
    row = latest(session, ident)
    if row is None:
        known = session.scalars(
            select(Record.id).where(Record.id.startswith(f"{word}:", autoescape=True)).limit(500)
        )
        raise UnknownName(word, name, [other.partition(":")[2] for other in known])
    assert isinstance(row, kind)  # noqa: S101 - the id begins with the kind's word
    return row


def all_latest(session: Session, kind: type[R], **same: Any) -> Iterator[R]:
    """The newest versions of a kind, in the order of their making.

    ``same``: columns with the value that the newest version must have.
    """
    later = aliased(kind)
    superseded = exists().where(later.id == kind.id, later.version == kind.version + 1)
    query = select(kind).where(~superseded).filter_by(**same)
    first = aliased(kind)
    query = query.join(first, (first.id == kind.id) & (first.version == 1)).order_by(first.sequence)
    yield from session.scalars(query)


def history(session: Session, ident: str) -> list[tuple[Row, Act]]:
    """Every version of a thing with the act that wrote it, oldest first."""
    kind = KINDS.get(ident.partition(":")[0])
    if kind is None:
        return []
    query = select(kind, Act).join(Act, Act.number == kind.act).where(kind.id == ident)
    return [(row, act) for row, act in session.execute(query.order_by(kind.version))]


def rule(session: Session, name: str, default: int) -> int:
    """The value of a rule of the works."""
    row = latest(session, f"rule:{name}")
    return row.value if isinstance(row, Rule) else default


def _coerced(kind: type[Row], values: dict[str, Any]) -> dict[str, Any]:
    """Values as the columns hold them, so that what is hashed is what is read again."""
    columns = kind.__table__.columns
    return {key: _value(columns[key].type, key, value) for key, value in values.items()}


def _value(wanted: object, key: str, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(wanted, Float):
        number = float(value)
        if not math.isfinite(number):
            raise CannotRecord(f"{key} is a finite number")
        return number + 0.0
    if isinstance(wanted, Integer):
        whole = int(value)
        if not -(2**63) <= whole < 2**63:
            raise CannotRecord(f"{key} has too many digits")
        return whole
    return _text(str(value), key)


def _text(text: str, key: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise CannotRecord(f"{key} has {len(text):,} characters; at most {LONGEST_TEXT:,}")
    odd = [sign for sign in text if not sign.isprintable() and sign not in "\n\t"]
    if odd:
        raise CannotRecord(f"{key} holds the unprintable sign {odd[0]!r}")
    return text


def _name(name: str) -> str:
    if (
        not 0 < len(name) <= LONGEST_NAME
        or ":" in name
        or not name.isprintable()
        or name != name.strip()
    ):
        raise CannotRecord(
            f"{name[:LONGEST_NAME]!r} is no name: 1 to {LONGEST_NAME} printable signs, no colon, "
            "no space at either end"
        )
    return name
