"""The acts that people can do: one function each, with the roles that may do it.

`act` enters a function into `ACTS` under its own name, which is the word in the table of lives, in
the log, and on the command line. A function takes the `Writing` and keyword arguments, and gives
the rows that it wrote. `do` is the one way in: it checks the role, and does an act that is sent
twice with the same key only once.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from linkwright.records.errors import NotAllowed

if TYPE_CHECKING:
    from linkwright.records.base import Row
    from linkwright.records.people import Signed
    from linkwright.records.store import Store

SELL, RECORD, CHECK, RELEASE, ADMINISTER = "sell", "record", "check", "release", "administer"
ROLES = (SELL, RECORD, CHECK, RELEASE, ADMINISTER)
"""What people may be allowed to do."""
_SUBJECTS = (
    "people", "orders", "deliveries", "metal", "pieces", "gauges", "set_ups", "type_tests",
    "testing", "lots", "deciding", "certificates", "signals",
)  # fmt: skip
_SECRET = frozenset({"pass_phrase", "paper", "photo"})


@dataclass(frozen=True)
class ActKind:
    """An act that can be done: its word, its function, who may."""

    name: str
    function: Callable[..., list[Row]]
    roles: tuple[str, ...]

    @property
    def subject(self) -> str:
        """The module that it stands in."""
        return self.function.__module__.rpartition(".")[2]

    @property
    def title(self) -> str:
        """What it does, in one sentence."""
        return (inspect.getdoc(self.function) or "").partition("\n")[0]

    @property
    def required(self) -> tuple[str, ...]:
        """The arguments that must be given."""
        empty = inspect.Parameter.empty
        held = inspect.signature(self.function).parameters.values()
        return tuple(p.name for p in held if p.kind is p.KEYWORD_ONLY and p.default is empty)


_ENTERED: dict[str, ActKind] = {}


def act(*roles: str) -> Callable[[Callable[..., list[Row]]], Callable[..., list[Row]]]:
    """Enter a function as an act for people with one of these roles."""

    def entered(function: Callable[..., list[Row]]) -> Callable[..., list[Row]]:
        _ENTERED[function.__name__] = ActKind(function.__name__, function, roles)
        return function

    return entered


@cache
def acts() -> dict[str, ActKind]:
    """Every act by its name, in the order of the subjects."""
    for subject in _SUBJECTS:
        importlib.import_module(f"linkwright.records.{subject}")
    place = {subject: number for number, subject in enumerate(_SUBJECTS)}
    return dict(sorted(_ENTERED.items(), key=lambda item: place[item[1].subject]))


def do(
    store: Store, signed: Signed, what: ActKind, given: dict[str, Any], *, why: str,
    key: str | None = None,
) -> tuple[int, list[dict[str, Any]], bool]:  # fmt: skip
    """Do an act as a signed person.

    Returns:
        The number of the act, what it wrote as plain data, and whether it was new: sent again
        with the same key, the first answer is given and nothing is written.

    Raises:
        NotAllowed: none of the person's roles may do it.
        CannotRecord: the books refuse it as they stand.
    """
    if not signed.roles & set(what.roles):
        raise NotAllowed(
            f"{what.name} is for {' or '.join(what.roles)}; {signed.person} may "
            f"{', '.join(sorted(signed.roles)) or 'nothing'}"
        )
    asked = {name: value for name, value in given.items() if name not in _SECRET}
    with store.writing(
        signed.person, signed.roles, what.name, why=why, asked=asked, key=key
    ) as writing:
        before = writing.done_before
        if before is None:
            what.function(writing, **given)
            wrote = [row.to_dict() for row in writing.written]
            return writing.act.number, wrote, True
    return before, rows_of(store, before), False


def rows_of(store: Store, number: int) -> list[dict[str, Any]]:
    """What an act wrote, as plain data in its order."""
    from sqlalchemy import select  # noqa: PLC0415

    from linkwright.records.kinds import KINDS  # noqa: PLC0415

    with store.reading() as session:
        rows = [
            row
            for kind in KINDS.values()
            for row in session.scalars(select(kind).where(kind.act == number))
        ]
    return [row.to_dict() for row in sorted(rows, key=lambda row: row.sequence)]
