"""Reads the published tables that lie as TOML files in ``data/``.

A file names its source and basis once; a row may override both. One row is one line:

    source = "EN 818-3:1999, Table 5"
    basis = "retrieved"
    key = "nominal_diameter_mm"
    row = [
      { nominal_diameter_mm = 7, working_load_limit_t = 0.75 },
    ]

`published_table` gives the `Table`; `Table.where` narrows it, `Table.row` finds one `Row`,
`Table.column` finds a column for one name or number or an array of them. `Row.number`
gives a value with its source while a derivation is being recorded. A name or size that
the table does not hold is an error that lists what it does hold.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np

from linkwright.catalogue import Values, sourced
from linkwright.quantities import ArgumentError, UnknownName, split, unit_text

SAME_SIZE = 1e-4
"""Two sizes closer than this (relative) are the same size: room for a unit conversion."""


@dataclass(frozen=True)
class Row:
    """One row of a published table: its cells, its source down to the row, its basis."""

    cells: Mapping[str, Any]
    source: str
    basis: str

    def number(self, name: str, *, called: str | None = None) -> float:
        """The cell as a number that carries this row as source while recording.

        ``called`` is the name in the derivation where it differs from the column's.
        """
        value = sourced(called or name, float(self.cells[name]), "table", self.source, self.basis)
        return value  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Table:
    """A published table; ``key`` is the column by which a row is found."""

    name: str
    source: str
    basis: str
    key: str
    rows: tuple[Row, ...]

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    @property
    def listed(self) -> tuple[Any, ...]:
        """What stands in the key column, in the order of the table."""
        return tuple(row.cells[self.key] for row in self.rows)

    def where(self, **cells: Any) -> Table:
        """The rows in which the given columns hold the given values."""
        kept = tuple(
            row for row in self.rows if all(row.cells.get(k) == v for k, v in cells.items())
        )
        return replace(self, rows=kept)

    def holds(self, value: Any) -> bool:
        """Whether the key column lists ``value``."""
        return self._find(value) is not None

    def row(self, value: Any, argument: str | None = None) -> Row:
        """The row of ``value``; ``argument`` is the name to use in the error.

        Raises `ArgumentError` (`UnknownName` for a text) that lists what the table holds.
        """
        found = self._find(value)
        if found is not None:
            return found
        name = argument or self.key
        if isinstance(value, str):
            raise UnknownName(name, value, [str(entry) for entry in self.listed])
        sizes = ", ".join(f"{entry:g}" for entry in self.listed)
        unit = unit_text(split(name)[1])
        reason = f"is not listed in {self.source}"
        raise ArgumentError(name, f"{float(value):g}", unit, f"{sizes} {unit}".strip(), reason)

    def column(self, value: Any, name: str, argument: str | None = None) -> Values:
        """Column ``name`` for one key or an array of keys (same shape as ``value``)."""
        if isinstance(value, (list, tuple)) or np.ndim(value):
            keys = np.asarray(value)
            cells = [float(self.row(key, argument).cells[name]) for key in keys.ravel()]
            return np.array(cells).reshape(keys.shape)
        return float(self.row(value, argument).cells[name])

    def require(self, value: Values, argument: str | None = None) -> None:
        """Raise unless every element of ``value`` is listed."""
        for element in np.asarray(value, dtype=float).ravel():
            self.row(float(element), argument)

    def _find(self, value: Any) -> Row | None:
        for row in self.rows:
            entry = row.cells[self.key]
            if isinstance(entry, str) or isinstance(value, str):
                if str(entry).upper() == str(value).strip().upper():
                    return row
            elif abs(float(entry) - float(value)) <= SAME_SIZE * abs(float(entry)):
                return row
        return None


@lru_cache(maxsize=64)
def published_table(name: str) -> Table:
    """Read ``data/NAME.toml`` once."""
    text = files("linkwright.standards").joinpath("data", f"{name}.toml").read_text("utf-8")
    content = tomllib.loads(text)
    key = content["key"]
    rows = tuple(_row(content, key, dict(cells)) for cells in content["row"])
    return Table(name, content["source"], content["basis"], key, rows)


def _row(content: Mapping[str, Any], key: str, cells: dict[str, Any]) -> Row:
    source = cells.pop("source", content["source"])
    basis = cells.pop("basis", content["basis"])
    label = cells[key]
    shown = label if isinstance(label, str) else f"{label:g} {unit_text(split(key)[1])}".strip()
    return Row(cells, f"{source}, row {shown}", basis)
