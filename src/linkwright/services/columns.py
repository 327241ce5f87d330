"""Columns of a file as the values of an argument.

``readings=@weld.csv:energy_kJ`` takes one column, ``x=@trial.csv:current,time`` several as the
columns of a table; with a single column in the file its name may be left out. ``file=weld.csv``
gives each column to the argument it is called after. Offers `opened`, `is_columns`,
`column_values`, `column_texts`, `unit_of_columns` and `spread_file`.

A text alone opens no file: only a door whose user may read this machine's files (the command
line, a book below its folder) makes it a `FromFile` by `opened`. A page never does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from linkwright.quantities import InputErrors, Problem, split
from linkwright.services.csv_file import Column, Table, read_csv

FILE = "file"
"""The key whose value is a file that holds the arguments."""
_NUMBERED = re.compile(r"(.*\D)\d+")


class FromFile(str):
    """A text that means a file or its columns, and that may be opened."""

    __slots__ = ()


def opened(given: Mapping[str, Any]) -> dict[str, Any]:
    """What is given, with leave to read the files that its texts name."""
    return {
        key: FromFile(value) if means_file(key, value) else value for key, value in given.items()
    }


def means_file(key: str, value: Any) -> bool:
    """Whether a text is written as a file or as columns of one."""
    if not isinstance(value, str):
        return False
    return key == FILE or (value.startswith("@") and len(value) > 1)


def is_columns(value: Any) -> bool:
    """Whether a value means columns of a file that may be opened."""
    return isinstance(value, FromFile) and value.startswith("@")


def column_values(value: str) -> tuple[Any, str]:
    """The numbers that ``@FILE:COLUMN`` means and the unit of their head.

    A list, or for several columns a list of rows. Raises `InputErrors`.
    """
    columns = _columns(value)
    lists = [column.numbers() for column in columns]
    if len(columns) == 1:
        return lists[0], columns[0].unit
    lengths = {len(one) for one in lists}
    if len(lengths) > 1:
        named = ", ".join(f"{one.head} has {len(one.cells)}" for one in columns)
        text = f"columns of different length: {named}"
        raise InputErrors([Problem("lists", text, file=columns[0].file)])
    units = {column.unit for column in columns}
    return [list(row) for row in zip(*lists, strict=True)], units.pop() if len(units) == 1 else ""


def column_texts(value: str) -> list[str]:
    """The texts of a column."""
    return _columns(value)[0].texts()


def unit_of_columns(value: Any) -> str:
    """The unit that the head of the columns carries; "" if none, or no columns are meant."""
    if not is_columns(value):
        return ""
    units = {column.unit for column in _columns(value)}
    return units.pop() if len(units) == 1 else ""


def spread_file(
    given: Mapping[str, Any],
    names: Sequence[str],
    required: Sequence[str],
    means: Callable[[str, Sequence[str]], str | None],
) -> dict[str, Any]:
    """What is given, with the columns of ``file`` in place of the file.

    ``means(head, names)`` tells which argument a head is called after. If a head means none,
    the columns go to the required arguments that are not given, in their order.
    """
    if FILE not in given or FILE in names or not isinstance(given[FILE], FromFile):
        return dict(given)
    rest = {key: value for key, value in given.items() if key != FILE}
    table = read_csv(Path(given[FILE]))
    open_names = [name for name in names if name not in {means(key, names) for key in rest}]
    by_name = _by_name(table, open_names, means)
    if by_name is None:
        wanted = [name for name in required if name in open_names]
        if len(wanted) != len(table.columns):
            raise InputErrors([_unclear(table, wanted)])
        by_name = {name: [one] for name, one in zip(wanted, table.columns, strict=True)}
    return rest | {
        name: FromFile(f"@{table.file}:{','.join(table.place_of(one) for one in columns)}")
        for name, columns in by_name.items()
    }


def _by_name(
    table: Table, names: Sequence[str], means: Callable[[str, Sequence[str]], str | None]
) -> dict[str, list[Column]] | None:
    found: dict[str, list[Column]] = {}
    for column in table.columns:
        numbered = _NUMBERED.fullmatch(column.head)
        name = means(column.head, names) or (numbered and means(numbered[1].rstrip("_"), names))
        if not name:
            return None
        found.setdefault(name, []).append(column)
    return found


def _columns(value: str) -> list[Column]:
    place = value[1:]
    path, colon, names = place.rpartition(":")
    if not colon or (not Path(path).is_file() and Path(place).is_file()):
        path, names = place, ""
    table = read_csv(Path(path))
    if names:
        return [table.column(name) for name in names.split(",")]
    if len(table.columns) == 1:
        return [table.columns[0]]
    heads = ", ".join(column.head for column in table.columns)
    raise InputErrors([Problem("no-column", "which column?", table.file, None, None, heads)])


def _unclear(table: Table, wanted: Sequence[str]) -> Problem:
    heads = ", ".join(column.head for column in table.columns)
    example = f"{split(wanted[0])[0] if wanted else 'KEY'}=@{table.file}:COLUMN"
    text = f"it is not clear which of its columns ({heads}) is which argument"
    accepted = f"columns called {', '.join(wanted)}; or {example}"
    return Problem("no-column", text, table.file, None, None, accepted)
