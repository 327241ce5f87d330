"""Taking over: the single changes between two orders and works, to be made one at a time.

`differences` lists them in a fixed order, that of the files; each `Taken` turns a `State`
(order line, works, ensemble) that lacks it into one that has it. `grouped` joins them by
table or by kind where there are too many to plan each. What no chance can hang on (prices,
rates, shifts, names, notes) is one change of its own, so that all together always make B of A.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any

from linkwright.planning.draws import Ensemble
from linkwright.works import (
    FiledNumbers,
    FiledRanges,
    Line,
    Record,
    Works,
    canonical_bytes,
)
from linkwright.works.filed import Where

MOST_CHANGES = 16
"""More single changes than this are joined: each costs two plans."""
BESIDE = "prices, rates, shifts, names and notes"
"""The change that holds everything that no chance hangs on."""
_BESIDE_FIELDS = frozenset({
    "note", "place_name", "invented", "currency", "shifts", "tariff", "learned_from", "version",
    "id", "stock_t", "count", "heat",
})  # fmt: skip


@dataclass(frozen=True)
class State:
    """All that a plan of one line is made from."""

    line: Line
    works: Works
    ensemble: Ensemble


@dataclass(frozen=True)
class Taken:
    """One change from A to B. where: table; kind: what it belongs to if it is joined."""

    name: str
    where: str
    kind: str
    a: Any
    b: Any
    made: Callable[[State], State]


Get = Callable[[State], Any]
Put = Callable[[State, Any], State]


def differences(a: State, b: State) -> list[Taken]:
    """Every change from A to B: order line, machines, steels, factors, aims, members."""
    found = list(_record("order line", "order", a.line, b.line, _get_line, _put_line))
    for attribute, kind in (("machines", "machine"), ("steels", "steel"), ("factors", "factor")):
        found += _rows(attribute, kind, a.works, b.works)
    own = {"machines", "steels", "factors"}
    found += _record("works", "works", a.works, b.works, _get_works, _put_works, own)
    if a.ensemble != b.ensemble:
        found.append(
            Taken("members", "members", "members", _told(a.ensemble), _told(b.ensemble),
                  lambda state: replace(state, ensemble=b.ensemble))
        )  # fmt: skip
    beside = [one for one in found if one.kind == BESIDE]
    found = [one for one in found if one.kind != BESIDE]
    return [*found, _joined(BESIDE, beside)] if beside else found


def grouped(changes: Sequence[Taken], most: int = MOST_CHANGES) -> list[Taken]:
    """The changes; joined by table, then by kind, if there are more than ``most``."""
    if len(changes) <= most:
        return list(changes)
    by_table = _by(changes, lambda one: one.where)
    return by_table if len(by_table) <= most else _by(changes, lambda one: one.kind)


def _by(changes: Sequence[Taken], key: Callable[[Taken], str]) -> list[Taken]:
    groups: dict[str, list[Taken]] = {}
    for one in changes:
        groups.setdefault(key(one), []).append(one)
    return [_joined(name, group) for name, group in groups.items()]


def _joined(name: str, changes: Sequence[Taken]) -> Taken:
    if len(changes) == 1:
        return changes[0]

    def made(state: State) -> State:
        for one in changes:
            state = one.made(state)
        return state

    names = ", ".join(dict.fromkeys(one.name for one in changes))
    return Taken(f"{len(changes)} values", name, changes[0].kind, names, names, made)


def _get_line(state: State) -> Line:
    return state.line


def _put_line(state: State, line: Line) -> State:
    return replace(state, line=line)


def _get_works(state: State) -> Works:
    return state.works


def _put_works(state: State, works: Works) -> State:
    return replace(state, works=works)


def _record(
    where: str,
    kind: str,
    a: Record,
    b: Record,
    get: Get,
    put: Put,
    leave: frozenset[str] | set[str] = frozenset(),
) -> Iterator[Taken]:
    """Changes of one table: number by number, and one for each other field."""
    for one in fields(a):
        if one.name in leave:
            continue
        old, new = getattr(a, one.name), getattr(b, one.name)
        if isinstance(old, FiledNumbers):
            yield from _numbers(where, kind, one.name, (old.numbers, new.numbers), new, get, put)
        elif isinstance(old, FiledRanges):
            yield from _numbers(where, kind, one.name, (old.pairs, new.pairs), new, get, put)
        elif canonical_bytes(old) != canonical_bytes(new):

            def made(state: State, name: str = one.name, value: Any = new) -> State:
                return put(state, replace(get(state), **{name: value}))

            yield Taken(one.name, where, _kind(one.name, kind), _told(old), _told(new), made)


def _numbers(
    where: str,
    kind: str,
    table: str,
    values: tuple[Mapping[str, Any], Mapping[str, Any]],
    other: Any,
    get: Get,
    put: Put,
) -> Iterator[Taken]:
    old, new = values
    for key in dict.fromkeys([*old, *new]):
        if old.get(key) == new.get(key):
            continue

        def made(state: State, key: str = key) -> State:
            record = get(state)
            return put(state, replace(record, **{table: _with(getattr(record, table), other, key)}))

        name = key if table == "numbers" else f"{table}.{key}"
        yield Taken(name, where, _kind(name, kind), old.get(key), new.get(key), made)


def _with(mine: Any, other: Any, key: str) -> Any:
    """The table with one number or range as the other has it, and with its place."""
    held = "numbers" if isinstance(mine, FiledNumbers) else "pairs"
    values, theirs = dict(getattr(mine, held)), getattr(other, held)
    lines, keys = dict(mine.where.lines), dict(mine.where.keys)
    if key in theirs:
        values[key] = theirs[key]
        lines[key], keys[key] = other.where.lines[key], other.where.keys[key]
    else:
        values.pop(key, None)
    where = Where(mine.where.file, mine.where.header, mine.where.line, lines, keys)
    return replace(mine, **{held: values, "where": where})


def _rows(attribute: str, kind: str, a: Works, b: Works) -> Iterator[Taken]:
    """Changes of an array of tables: in pairs of rows, and rows that are gone, new or moved."""
    old, new = getattr(a, attribute), getattr(b, attribute)
    pairs = _pairs(old, new)
    for mine, theirs in pairs:
        get, put = _one_of(attribute, {mine.name, theirs.name})
        yield from _record(f"{kind} {mine.name}", kind, mine, theirs, get, put)
    order = [row.name for row in new]
    kept = [theirs.name for _, theirs in pairs]
    for row in old:
        if not any(row is mine for mine, _ in pairs):
            gone = partial(_without, name=row.name)
            yield _row_change(attribute, kind, row.name, ("there", "gone"), gone)
    for row in new:
        if row.name not in kept:
            more = partial(_also, row=row, order=order)
            yield _row_change(attribute, kind, row.name, ("not there", "there"), more)
    if [name for name in order if name in kept] != kept:
        told = ", ".join(mine.name for mine, _ in pairs), ", ".join(kept)
        yield _row_change(attribute, kind, "order", told, partial(_sorted, order=order))


def _pairs(old: Sequence[Any], new: Sequence[Any]) -> list[tuple[Any, Any]]:
    """Rows of one name; among machines also rows of other names that do the same work."""
    names = {row.name: row for row in new}
    own = {row.name for row in old}
    pairs: list[tuple[Any, Any]] = []
    for row in old:
        other = names.get(row.name)
        work = getattr(row, "operations", None)
        if other is None and work:
            free = (one for one in new if one.name not in own and one.operations == work)
            taken = [theirs for _, theirs in pairs]
            other = next((one for one in free if not any(one is row for row in taken)), None)
        if other is not None:
            pairs.append((row, other))
    return pairs


def _one_of(attribute: str, names: set[str]) -> tuple[Get, Put]:
    """How to read and to replace the row that has one of these names."""

    def get(state: State) -> Any:
        return next(row for row in getattr(state.works, attribute) if row.name in names)

    def put(state: State, row: Any) -> State:
        rows = getattr(state.works, attribute)
        return _with_rows(
            state, attribute, tuple(row if one.name in names else one for one in rows)
        )

    return get, put


def _with_rows(state: State, attribute: str, rows: tuple[Any, ...]) -> State:
    changed: dict[str, Any] = {attribute: rows}
    return replace(state, works=replace(state.works, **changed))


def _without(rows: Sequence[Any], name: str) -> tuple[Any, ...]:
    return tuple(row for row in rows if row.name != name)


def _also(rows: Sequence[Any], row: Any, order: Sequence[str]) -> tuple[Any, ...]:
    return _sorted((*rows, row), order)


def _sorted(rows: Sequence[Any], order: Sequence[str]) -> tuple[Any, ...]:
    place = {name: index for index, name in enumerate(order)}
    return tuple(sorted(rows, key=lambda row: place.get(row.name, -1)))


def _row_change(
    attribute: str,
    kind: str,
    name: str,
    told: tuple[str, str],
    change: Callable[[Sequence[Any]], tuple[Any, ...]],
) -> Taken:
    def made(state: State) -> State:
        return _with_rows(state, attribute, change(getattr(state.works, attribute)))

    return Taken(name, attribute, kind, *told, made)


def _kind(name: str, kind: str) -> str:
    beside = name in _BESIDE_FIELDS or name.startswith(("price_", "rate."))
    beside = beside or (name == "name" and kind in ("works", "machine"))
    return BESIDE if beside else kind


def _told(value: Any) -> Any:
    """A value as a row of a table can show it."""
    if isinstance(value, (str, int, float, type(None))):
        return value
    if isinstance(value, Ensemble):
        return f"{value.lots} lots of {value.links}, seed {value.seed}"
    return ", ".join(map(str, value)) if isinstance(value, tuple) else "a table"
