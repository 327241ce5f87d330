"""Numbers that know where they come from.

While a derivation is being recorded, a value read from a file, a table or a calculation
is a `Sourced` float (or `SourcedArray`): an ordinary number with the id of its entry.
Arithmetic decays to a bare number, so nothing pretends to a source that it lost.
Outside a recording all functions here hand back plain numbers, so ensembles pay nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from linkwright.quantities import split


@dataclass(frozen=True, slots=True)
class Entry:
    """One number of the derivation and what it was made of.

    kind: ``file`` (a line of the order or works file), ``table`` (a row of a standard or a
    published table), ``calculation``, ``solved`` (a setting found by a root), ``default``
    (a stated default of a calculation), ``choice`` (a name, not a number) or ``bare``
    (arithmetic lost the source: a defect).
    """

    id: str
    name: str
    value: Any
    unit: str
    kind: str
    source: str
    inputs: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()
    basis: str = ""


@dataclass
class Derivation:
    """The acyclic graph of all numbers recorded so far, in order of their making."""

    entries: dict[str, Entry] = field(default_factory=dict)
    step: str = ""
    _counts: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        name: str,
        value: Any,
        kind: str,
        source: str,
        inputs: tuple[tuple[str, str], ...] = (),
        warnings: tuple[str, ...] = (),
        basis: str = "",
    ) -> Entry:
        """Record one number; its id is readable and the same at every run."""
        stem = f"{self.step}/{name}" if self.step else name
        count = self._counts.get(stem, 0)
        self._counts[stem] = count + 1
        ident = f"{stem}#{count + 1}" if count else stem
        unit = "" if kind == "choice" else split(name.rsplit(".", 1)[-1])[1]
        entry = Entry(ident, name, value, unit, kind, source, inputs, warnings, basis)
        self.entries[ident] = entry
        return entry

    def behind(self, ident: str) -> list[Entry]:
        """The entry and everything that it rests on, nearest first, each once."""
        seen: dict[str, Entry] = {}
        waiting = [ident]
        while waiting:
            key = waiting.pop(0)
            if key not in seen:
                seen[key] = self.entries[key]
                waiting.extend(reference for _, reference in self.entries[key].inputs)
        return list(seen.values())


class Sourced(float):
    """A float that carries the id of its entry in the derivation being recorded."""

    __slots__ = ("entry",)
    entry: str

    def __new__(cls, value: float, entry: str) -> Sourced:
        """The number ``value`` with the entry's id."""
        made = super().__new__(cls, value)
        made.entry = entry
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return float, (float(self),)


class SourcedArray(np.ndarray):
    """An array that carries the id of its entry; any operation on it gives a bare array.

    It cannot be changed in place: the numbers would no longer be those of the entry.
    """

    entry: str | None

    def __array_finalize__(self, parent: Any) -> None:
        self.entry = None

    @classmethod
    def of(cls, values: np.ndarray, entry: str) -> SourcedArray:
        """A view of ``values`` that carries the entry's id."""
        made = np.asarray(values).view(cls)
        made.entry = entry
        made.flags.writeable = False
        return made


_active: ContextVar[Derivation | None] = ContextVar("linkwright_derivation", default=None)


@contextmanager
def recording(derivation: Derivation | None = None) -> Iterator[Derivation]:
    """Record every sourced value and calculation made inside the block."""
    book = Derivation() if derivation is None else derivation
    token = _active.set(book)
    try:
        yield book
    finally:
        _active.reset(token)


@contextmanager
def not_recording() -> Iterator[None]:
    """Leave the block out of the derivation: trials of a solver, members, alternatives."""
    token = _active.set(None)
    try:
        yield
    finally:
        _active.reset(token)


def active() -> Derivation | None:
    """The derivation being recorded now, if any."""
    return _active.get()


def sourced(name: str, value: Any, kind: str, source: str, basis: str = "") -> Any:
    """Give ``value`` its source: a line of a file or a row of a table.

    The same name, value and source is one entry however often it is read; another value
    of that name and source (a place between two rows) is another entry.
    """
    book = _active.get()
    if book is None:
        return value
    count, ident = 1, f"{source}|{name}"
    while (known := book.entries.get(ident)) is not None and not _same(known.value, value):
        count += 1
        ident = f"{source}|{name}#{count}"
    if known is None:
        unit = split(name)[1]
        book.entries[ident] = Entry(ident, name, _plain(value), unit, kind, source, basis=basis)
    return with_entry(value, ident)


def solved(name: str, value: float, source: str, **inputs: Any) -> Any:
    """Record a setting found by a solver: ``source`` says for which aim, within what."""
    book = _active.get()
    if book is None:
        return value
    references = tuple((key, reference(book, key, val)) for key, val in inputs.items())
    return with_entry(value, book.add(name, float(value), "solved", source, references).id)


def reference(book: Derivation, name: str, value: Any) -> str:
    """The entry id of an argument; a bare number gets an entry that says so."""
    known = getattr(value, "entry", None)
    # an id is the same at every run, so a number of another derivation may bear it too
    entry = None if known is None else book.entries.get(known)
    if entry is not None and (entry.value is None or _same(entry.value, value)):
        return entry.id
    if isinstance(value, (str, bool, type(None), tuple)):
        return book.add(f"{name}={value}", value, "choice", "a name chosen by the route").id
    return book.add(name, _plain(value), "bare", "source lost in arithmetic").id


def with_entry(value: Any, entry: str) -> Any:
    """The number with the id of its entry; anything that is not a number as it is."""
    if isinstance(value, np.ndarray) and value.ndim:
        return SourcedArray.of(value, entry)
    if isinstance(value, (int, float, np.floating, np.ndarray)) and not isinstance(value, bool):
        return Sourced(float(value), entry)
    return value


def _same(known: Any, value: Any) -> bool:
    if isinstance(known, np.ndarray) or isinstance(value, np.ndarray):
        return np.array_equal(known, value, equal_nan=True)
    if isinstance(known, float) and isinstance(value, float) and math.isnan(known):
        return math.isnan(value)
    return bool(known == value)


def _plain(value: Any) -> Any:
    return value.tolist() if isinstance(value, np.ndarray) else value
