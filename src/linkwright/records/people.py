"""People who write: roles, pass phrases, and names that can be erased.

The chain holds ids; what a person is called stands outside and goes after the years of keeping.
Pass phrases are kept as argon2id; a wrong one and an unknown person take the same time and text.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError
from sqlalchemy import select
from sqlalchemy.orm import Session

from linkwright.records.acts import ADMINISTER, ROLES, act
from linkwright.records.base import KnownAs, Login, Row
from linkwright.records.errors import CannotRecord, NotAllowed
from linkwright.records.kinds import Customer, Person, Rule
from linkwright.records.store import Store
from linkwright.records.writing import Writing, found, latest

HASHER = PasswordHasher()
"""argon2id with the library's parameters (64 MiB, 3 passes, 4 lanes)."""
_NOBODY = "$argon2id$v=19$m=65536,t=3,p=4$c29tZXNhbHRzb21lc2FsdA$" + "A" * 43
_SHORTEST, _LONGEST = 10, 256
_FREE_TRIES = 5
_LONGEST_WAIT_S = 900.0
_WEAK = ("linkwright", "password", "passphrase", "chain", "12345678", "qwertz", "qwerty")


@dataclass(frozen=True)
class Signed:
    """Somebody who has proved to be themselves."""

    person: str
    roles: frozenset[str]
    name: str


def sign_in(store: Store, person: str, pass_phrase: str) -> Signed:
    """Prove to be a person. Raises `NotAllowed`, in the same words whatever was wrong."""
    ident = person if person.startswith("person:") else f"person:{person}"
    with store.aside() as session:
        login = session.get(Login, ident)
        row = latest(session, ident)
        now = datetime.datetime.now(datetime.UTC)
        if login is not None and login.not_before > now.isoformat():
            raise NotAllowed(
                f"too many wrong pass phrases; try again after {login.not_before[:19]}Z"
            )
        good = _verified(login.secret if login else _NOBODY, pass_phrase)
        if login is not None:
            _count_try(login, good, now)
            if good and HASHER.check_needs_rehash(login.secret):
                login.secret = HASHER.hash(pass_phrase)
        known = session.get(KnownAs, ident)
        name = (known.name if known else None) or ident
        active = isinstance(row, Person) and row.state == "active"
        roles = frozenset(row.roles.split()) if isinstance(row, Person) else frozenset()
    if not good or not active:
        raise NotAllowed("person and pass phrase do not belong together")
    return Signed(ident, roles, name)


def begin(store: Store, person: str, name: str, pass_phrase: str) -> None:
    """Write the first person of new books, who may do nothing but administer."""
    _refuse_weak(pass_phrase, person)
    with store.writing(
        f"person:{person}", frozenset({ADMINISTER}), "add_person", why="the books begin",
        asked={"person": person},
    ) as writing:  # fmt: skip
        if writing.act.number != 1:
            raise CannotRecord("the books have begun already; an administrator adds people")
        row = writing.new(Person, person, state="active", roles=ADMINISTER)
        _stand_outside(writing, row, name, pass_phrase)


@act(ADMINISTER)
def add_person(
    writing: Writing, *, person: str, name: str, roles: str, pass_phrase: str
) -> list[Row]:
    """Add somebody, with roles such as "record check" and a first pass phrase."""
    _refuse_weak(pass_phrase, person)
    row = writing.new(Person, person, state="active", roles=_roles(roles))
    _stand_outside(writing, row, name, pass_phrase)
    return [row]


@act(ADMINISTER)
def change_person(
    writing: Writing, *, person: str, roles: str | None = None, active: bool = True,
    seen: int | None = None,
) -> list[Row]:  # fmt: skip
    """Give other roles, or close somebody's account (active=no)."""
    row = found(writing.session, Person, person)
    kept = row.roles if roles is None else _roles(roles)
    return [writing.next(row, state="active" if active else "closed", seen=seen, roles=kept)]


@act(ADMINISTER)
def renew_pass_phrase(writing: Writing, *, person: str, pass_phrase: str) -> list[Row]:
    """Give somebody a new pass phrase, for instance after an import."""
    _refuse_weak(pass_phrase, person)
    row = found(writing.session, Person, person)
    written = writing.next(row)
    _set_secret(writing.session, row.id, pass_phrase)
    return [written]


@act(ADMINISTER)
def erase_name(writing: Writing, *, of: str, kept_until: str) -> list[Row]:
    """Erase what a closed person or a customer is called, after the years of keeping.

    The record stays; its id says nothing about the person. The log keeps who erased it and why.
    """
    if kept_until >= writing.today:
        raise CannotRecord(f"names are kept until {kept_until}; today is {writing.today}")
    row = latest(writing.session, of if ":" in of else f"person:{of}")
    if not isinstance(row, (Person, Customer)) or (
        isinstance(row, Person) and row.state != "closed"
    ):
        raise CannotRecord(f"{of} is no closed person and no customer")
    known = writing.session.get(KnownAs, row.id)
    if known is None or known.name is None:
        raise CannotRecord(f"{row.id} has no name any more")
    known.name, known.contact = None, None
    return [writing.next(row, state="erased")]


@act(ADMINISTER)
def set_rule(
    writing: Writing, *, rule: str, value: int, source: str, seen: int | None = None
) -> list[Row]:
    """Set a rule of the works, such as `two_people` or `retests`, with where it comes from."""
    before = latest(writing.session, f"rule:{rule}")
    if before is None:
        return [writing.new(Rule, rule, state="set", value=value, source=source)]
    return [writing.next(before, seen=seen, value=value, source=source)]


def take_over(store: Store, person: str, pass_phrase: str) -> None:
    """Give the first administrator of books without any pass phrase one, after an import."""
    _refuse_weak(pass_phrase, person)
    with store.aside() as session:
        if session.scalar(select(Login.id).limit(1)) is not None:
            raise NotAllowed("these books have pass phrases; an administrator renews them")
        row = found(session, Person, person)
        if ADMINISTER not in row.roles.split() or row.state != "active":
            raise NotAllowed(f"{row.id} is no active administrator")
        _set_secret(session, row.id, pass_phrase)


def set_pass_phrase(store: Store, signed: Signed, new: str) -> None:
    """Change one's own pass phrase."""
    _refuse_weak(new, signed.person)
    with store.aside() as session:
        _set_secret(session, signed.person, new)


def _stand_outside(writing: Writing, row: Person, name: str, pass_phrase: str) -> None:
    writing.session.add(KnownAs(id=row.id, name=name, contact=None))
    _set_secret(writing.session, row.id, pass_phrase)


def _set_secret(session: Session, ident: str, pass_phrase: str) -> None:
    session.merge(Login(id=ident, secret=HASHER.hash(pass_phrase), failures=0, not_before=""))
    session.flush()


def _roles(text: str) -> str:
    given = sorted(set(text.replace(",", " ").split()))
    unknown = [role for role in given if role not in ROLES]
    if unknown or not given:
        raise CannotRecord(f"roles are some of {', '.join(ROLES)}; given: {text!r}")
    return " ".join(given)


def _verified(secret: str, pass_phrase: str) -> bool:
    try:
        return HASHER.verify(secret, pass_phrase[:_LONGEST])
    except (VerifyMismatchError, InvalidHashError):
        return False


def _count_try(login: Login, good: bool, now: datetime.datetime) -> None:
    """A growing wait after some wrong tries, never a lock for good."""
    login.failures = 0 if good else login.failures + 1
    over = login.failures - _FREE_TRIES
    wait = min(2.0**over, _LONGEST_WAIT_S) if over >= 0 else 0.0
    login.not_before = (now + datetime.timedelta(seconds=wait)).isoformat() if wait else ""


def _refuse_weak(pass_phrase: str, person: str) -> None:
    plain = pass_phrase.casefold().replace(" ", "")
    own = person.rpartition(":")[2].casefold()
    if not _SHORTEST <= len(pass_phrase) <= _LONGEST:
        raise CannotRecord(f"a pass phrase has {_SHORTEST} to {_LONGEST} signs; some words do best")
    if len(set(plain)) < 5 or plain in {word * n for word in (*_WEAK, own) for n in (1, 2, 3)}:
        raise CannotRecord(
            "this pass phrase is guessed at once; some words that do not belong together"
        )
