"""An act on the books from what a person types: its arguments read strictly, then done.

Offers `listed`, `described` and `record`.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin

from linkwright.quantities import InputErrors, Problem, QuantityError, UnknownName, nearest
from linkwright.quantities.number import number_and_unit
from linkwright.records.acts import ActKind, acts, do
from linkwright.records.base import Content
from linkwright.records.errors import CannotRecord
from linkwright.records.people import Signed, sign_in
from linkwright.records.store import Store
from linkwright.records.writing import MOST_BYTES
from linkwright.services.naming import into, meaning
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.reading import texts

_TRUTH = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True)
class Argument:
    """An argument of an act: its name, what it takes, and whether it must be given."""

    name: str
    takes: str
    required: bool
    default: Any

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"name": self.name, "takes": self.takes, "required": self.required}


@dataclass(frozen=True)
class Recorded:
    """What an act wrote: its number, its rows, and whether it had been done before."""

    act: int
    rows: tuple[dict[str, Any], ...]
    new: bool

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "schema_version": SCHEMA_VERSION,
            "act": self.act,
            "new": self.new,
            "rows": list(self.rows),
        }


def listed() -> list[dict[str, Any]]:
    """Every act: its name, subject, what it does, who may."""
    return [
        {"name": one.name, "subject": one.subject, "does": one.title, "roles": list(one.roles)}
        for one in acts().values()
    ]


def described(name: str) -> dict[str, Any]:
    """One act with its arguments. Raises `UnknownName`."""
    one = act_of(name)
    held = [argument.to_dict() for argument in arguments(one)]
    return {
        "name": one.name, "subject": one.subject, "does": inspect.getdoc(one.function),
        "roles": list(one.roles), "arguments": held,
    }  # fmt: skip


def asked_by(name: str) -> tuple[str, ...]:
    """The names of what an act takes. Raises `UnknownName`."""
    return tuple(argument.name for argument in arguments(act_of(name)))


def record(
    store: Store, person: str, pass_phrase: str, name: str, given: Mapping[str, str], *, why: str,
    key: str | None = None,
) -> Recorded:  # fmt: skip
    """Do an act as a person who proves to be themselves.

    Raises `InputErrors` for arguments that cannot be read, all at once; `NotAllowed`,
    `CannotRecord` and `Overtaken` as the books say.
    """
    one = act_of(name)
    bound = bind(one, given)
    return done_as(store, sign_in(store, person, pass_phrase), one, bound, why=why, key=key)


def done_as(
    store: Store, signed: Signed, one: ActKind, bound: dict[str, Any], *, why: str,
    key: str | None = None,
) -> Recorded:  # fmt: skip
    """Do an act with arguments that are read already. Raises as `record`."""
    if not why.strip():
        raise InputErrors([Problem("missing-key", "every act has a reason", key="why")])
    number, rows, new = do(store, signed, one, bound, why=why, key=key)
    return Recorded(number, tuple(rows), new)


def paper_of(store: Store, done: Recorded) -> bytes:
    """The paper that an act has made, as it was kept. Raises `CannotRecord` if it made none."""
    digests = [row["paper"] for row in done.rows if isinstance(row.get("paper"), str)]
    if not digests:
        raise CannotRecord("this act made no paper")
    with store.reading() as session:
        held = session.get(Content, digests[0])
    if held is None:
        raise CannotRecord(f"the paper {digests[0]} is not in the books")
    return held.data


def arguments(one: ActKind) -> list[Argument]:
    """What an act takes, in the order of its function."""
    held = inspect.signature(one.function, eval_str=True).parameters.values()
    return [
        Argument(p.name, _takes(p.annotation), p.default is p.empty, p.default)
        for p in held
        if p.kind is p.KEYWORD_ONLY
    ]


def bind(one: ActKind, given: Mapping[str, str]) -> dict[str, Any]:
    """Typed keys and values as the act's function wants them, every mistake told at once."""
    known = {argument.name: argument for argument in arguments(one)}
    bound: dict[str, Any] = {}
    problems: list[Problem] = []
    for key, text in given.items():
        found = meaning(key, tuple(known))
        if found is None:
            accepted = ", ".join(nearest(key[:200], known) or known)
            said = f"{one.name} has no argument {key[:60]}"
            problems.append(Problem("unknown-key", said, key=key[:60], accepted=accepted))
            continue
        if found.name in bound:
            problems.append(Problem("given-twice", f"{found.name} is given twice", key=key))
            continue
        try:
            bound[found.name] = _read(known[found.name], found.unit, text)
        except QuantityError as error:
            problems.append(Problem("value", str(error), key=key, accepted=error.accepted))
    missing = [
        a.name for a in known.values() if a.required and a.name not in given and a.name not in bound
    ]
    if missing:
        accepted = "; ".join(f"{name}: {known[name].takes}" for name in missing)
        said = f"{one.name} needs {', '.join(missing)}"
        problems.append(Problem("missing-key", said, key=missing[0], accepted=accepted))
    if problems:
        raise InputErrors(problems)
    return bound


def act_of(name: str) -> ActKind:
    """An act by its name. Raises `UnknownName`."""
    known = acts()
    if name not in known:
        raise UnknownName("act", name, known)
    return known[name]


def _takes(annotation: Any) -> str:
    if get_origin(annotation) in (Union, UnionType):
        return next(_takes(one) for one in get_args(annotation) if one is not NoneType)
    words = {
        str: "a text", int: "a whole number", float: "a number", bool: "yes or no",
        bytes: "a file, as @FILE", list[str]: "texts, such as [a, b]",
        list[int]: "whole numbers, such as [1, 2]",
    }  # fmt: skip
    return words[annotation]


def _read(argument: Argument, unit: str | None, text: str) -> Any:
    reader: dict[str, Callable[[], Any]] = {
        "a text": lambda: text,
        "a whole number": lambda: _whole(argument, unit, text),
        "a number": lambda: _number(argument, unit, text),
        "yes or no": lambda: _truth(text),
        "a file, as @FILE": lambda: _file(text),
        "texts, such as [a, b]": lambda: _list(text),
        "whole numbers, such as [1, 2]": lambda: [
            _whole(argument, unit, one) for one in _list(text)
        ],
    }
    return reader[argument.takes]()


def _number(argument: Argument, unit: str | None, text: str) -> float:
    value, own = number_and_unit(text)
    return float(into(value, own or unit or "", argument.name))


def _whole(argument: Argument, unit: str | None, text: str) -> int:
    value = _number(argument, unit, text)
    if value != round(value) or abs(value) > 2**53:
        raise QuantityError(text, "a whole number")
    return round(value)


def _truth(text: str) -> bool:
    if text.strip().lower() not in _TRUTH:
        raise QuantityError(text, "yes or no")
    return _TRUTH[text.strip().lower()]


def _list(text: str) -> list[str]:
    """``["a", "b"]`` as JSON, else what stands between commas, in brackets or without."""
    held = texts(text)
    if not isinstance(held, str):
        return held
    inside = held[1:-1] if held.startswith("[") and held.endswith("]") else held
    parts = [part.strip() for part in inside.split(",")]
    if not all(parts):
        raise QuantityError(text, "a list without empty places, such as [a, b]")
    return parts


def _file(text: str) -> bytes:
    path = Path(text.removeprefix("@"))
    if not text.startswith("@") or not path.is_file() or path.stat().st_size > MOST_BYTES:
        raise QuantityError(text, f"@FILE, of at most {MOST_BYTES // 1_000_000} MB")
    return path.read_bytes()
