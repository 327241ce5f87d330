"""Tables of readings as spreadsheets and machines write them, read once and strictly.

Taken: comma, semicolon or tab between cells, or one column without any; decimal point or decimal
comma; UTF-8 with or without byte order mark and UTF-16; cells in quotation marks; any line ends;
lines that begin with ``#`` and empty lines, which are passed over; a head or none; a row of
units below the head; a head that is repeated further down.
Offers `read_csv` and its `Table` of `Column`s. Every error names file, line and column.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from linkwright.quantities import (
    UNITS,
    InputErrors,
    Problem,
    QuantityError,
    nearest,
    split,
    unit_of_text,
)

LARGEST_FILE = 50_000_000
"""Bytes that a file may have."""
_SEPARATORS = ("\t", ";", ",")
_POINT = re.compile(r"[+-]?(\d{1,30}(\.\d{0,30})?|\.\d{1,30})([eE][+-]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"[+-]?(\d{1,30}(,\d{0,30})?|,\d{1,30})([eE][+-]?\d{1,3})?", re.ASCII)
_HEAD_UNIT = re.compile(r"(?P<name>.*\S)\s*[\[(](?P<unit>[^\[\]()]*)[\])]")
_MOST_TOLD = 5
_WORDS = ("min", "in")
"""Units that a head means otherwise: least, and the word."""


@dataclass(frozen=True)
class Column:
    """One column: its head as it stands, name and unit that the head carries, its cells.

    ``cells`` are (line of the file, text); empty cells below the last filled one are left out.
    """

    file: str
    head: str
    name: str
    unit: str
    cells: tuple[tuple[int, str], ...]

    @property
    def lines(self) -> tuple[int, ...]:
        """The line of each cell in the file."""
        return tuple(line for line, _ in self.cells)

    def texts(self) -> list[str]:
        """The cells as they stand."""
        return [text for _, text in self.cells]

    def numbers(self) -> list[float]:
        """The cells as numbers. Raises `InputErrors` that name the lines that hold none."""
        form = self._form
        wrong = [(line, text) for line, text in self.cells if not form.fullmatch(text)]
        if wrong or not self.cells:
            raise InputErrors(list(self._faults(wrong)))
        return [float(text.replace(",", ".")) for text in self.texts()]

    def number(self, place: int) -> float:
        """One cell as a number. Raises `InputErrors`."""
        line, text = self.cells[place]
        if not self._form.fullmatch(text):
            raise InputErrors(list(self._faults([(line, text)])))
        return float(text.replace(",", "."))

    def are_numbers(self) -> bool:
        """Whether every cell is a number."""
        form = self._form
        return bool(self.cells) and all(form.fullmatch(text) for text in self.texts())

    @cached_property
    def _form(self) -> re.Pattern[str]:
        """Decimal comma if a cell has a comma alone and none a point alone."""
        signs = {("," in text, "." in text) for text in self.texts()}
        return _COMMA if (True, False) in signs and (False, True) not in signs else _POINT

    def _faults(self, wrong: list[tuple[int, str]]) -> Iterator[Problem]:
        if not self.cells:
            yield Problem("empty", "the column is empty", file=self.file, key=self.head)
        for line, text in wrong[:_MOST_TOLD]:
            shown = f"{text[:40]!r} is not a number" if text else "the cell is empty"
            accepted = "a number with a point, or in the whole column with a comma; no thousands"
            yield Problem("value", shown, self.file, line, self.head, accepted)
        if len(wrong) > _MOST_TOLD:
            text = f"{len(wrong) - _MOST_TOLD} more cells are no numbers"
            yield Problem("value", text, file=self.file, key=self.head)


@dataclass(frozen=True)
class Table:
    """The columns of a file, in their order."""

    file: str
    columns: tuple[Column, ...]

    def place_of(self, column: Column) -> str:
        """The number by which a column can be called."""
        return str(self.columns.index(column) + 1)

    def column(self, wanted: str) -> Column:
        """The column by its head, its name without unit, or its number from 1.

        Raises `InputErrors` that lists the columns.
        """
        word = wanted.strip()
        for called in (
            [one.head == word for one in self.columns],
            [one.name == word for one in self.columns],
            [one.name.lower() == word.lower() for one in self.columns],
        ):
            if sum(called) == 1:
                return self.columns[called.index(True)]
        if word.isascii() and word.isdigit() and 1 <= int(word) <= len(self.columns):
            return self.columns[int(word) - 1]
        heads = [one.head for one in self.columns]
        accepted = ", ".join(nearest(word[:200], heads) or heads[:12])
        text = f"there is no column {word[:60]!r}"
        raise InputErrors([Problem("no-column", text, self.file, None, None, accepted)])


def read_csv(path: Path) -> Table:
    """Read a file. Raises `InputErrors`, `OSError` if it cannot be read."""
    if not path.is_file():
        message = "is a folder" if path.is_dir() else "there is no such file"
        raise InputErrors([Problem("file", message, file=str(path), accepted="a CSV file")])
    state = path.stat()
    if state.st_size > LARGEST_FILE:
        accepted = f"at most {LARGEST_FILE} bytes"
        raise InputErrors([Problem("too-large", "is too large", str(path), None, None, accepted)])
    return _read(str(path), state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=4)
def _read(file: str, _changed: int, _size: int) -> Table:
    return table_of(Path(file).read_bytes(), file)


def table_of(content: bytes, file: str) -> Table:
    """The table in ``content``; ``file`` is its name for messages. Raises `InputErrors`."""
    rows = list(_rows(_text(content, file), file))
    if not rows:
        raise InputErrors([Problem("no-rows", "holds no rows", file=file, accepted="readings")])
    first = rows[0][1]
    heads = _heads(first)
    body = rows if heads is None else rows[1:]
    names = heads or [str(index + 1) for index in range(len(first))]
    units = _units_row(body[0][1]) if heads and body else None
    kept = [row for row in body[1 if units else 0 :] if row[1] != heads]
    _refuse_uneven(kept, len(names), file)
    return Table(
        file, tuple(_column(file, names, index, units, kept) for index in range(len(names)))
    )


def _column(
    file: str,
    heads: list[str],
    index: int,
    units: list[str] | None,
    rows: list[tuple[int, list[str]]],
) -> Column:
    cells = [(line, row[index] if index < len(row) else "") for line, row in rows]
    while cells and not cells[-1][1]:
        cells.pop()
    name, unit = _name_and_unit(heads[index])
    if units is not None and units[index]:
        unit = units[index]
    return Column(file, heads[index], name, unit, tuple(cells))


def _text(content: bytes, file: str) -> str:
    utf16 = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = content.decode("utf-16" if utf16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        accepted = "UTF-8 or UTF-16; save it as UTF-8"
        problem = Problem("encoding", "is not UTF-8 text", file, line, None, accepted)
        raise InputErrors([problem]) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise InputErrors([Problem("encoding", "holds a NUL character", file, line)])
    return text


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """The filled rows as (line, cells)."""
    lines = text.splitlines(keepends=True)
    start = 0
    while start < len(lines) and (not lines[start].strip() or lines[start].startswith("#")):
        start += 1
    separator = ""
    if start < len(lines):
        declared = re.fullmatch(r"sep=(.)\s*", lines[start])
        start += declared is not None
        separator = declared[1] if declared else _separator(lines[start])
    rest = "".join(lines[start:])
    reader = csv.reader(io.StringIO(rest, newline=""), delimiter=separator or "\x1f")
    begun = start
    try:
        for cells in reader:
            line, begun = begun + 1, start + reader.line_num
            made = [cell.strip() for cell in cells]
            comment = bool(made) and made[0].startswith("#")
            if any(made) and not comment:
                yield line, made
    except csv.Error as error:
        line = start + reader.line_num
        raise InputErrors([Problem("syntax", f"cannot be read: {error}", file, line)]) from None


def _separator(line: str) -> str:
    """What parts the cells of the first line; "" if nothing does."""
    bare = re.sub(r'"[^"]*"', "", line)
    if _COMMA.fullmatch(bare.strip()):
        return ""  # one column of numbers with decimal comma, without a head
    return next((sign for sign in _SEPARATORS if sign in bare), "")


def _heads(first: list[str]) -> list[str] | None:
    """The cells of the first row as heads; None if it holds readings already."""
    if all(_POINT.fullmatch(cell) or _COMMA.fullmatch(cell) or not cell for cell in first):
        return None
    return [cell or str(index + 1) for index, cell in enumerate(first)]


def _units_row(row: list[str]) -> list[str] | None:
    """The units of a row that holds nothing else; None if it is a row of readings."""
    units = []
    for cell in row:
        plain = cell.strip("[]()")
        if _POINT.fullmatch(cell) or _COMMA.fullmatch(cell):
            return None
        try:
            units.append(unit_of_text(plain) if plain not in ("", "-", "1") else "")
        except QuantityError:
            return None
    return units if any(units) else None


def _name_and_unit(head: str) -> tuple[str, str]:
    """Name and unit of a head: ``energy_kJ``, ``energy [kJ]``, ``energy (kJ)``."""
    match = _HEAD_UNIT.fullmatch(head)
    if match:
        try:
            return match["name"], unit_of_text(match["unit"])
        except QuantityError:
            return head, ""
    if head in UNITS and len(head) > 1 and head not in _WORDS:
        return head, head
    return split(head)


def _refuse_uneven(rows: list[tuple[int, list[str]]], width: int, file: str) -> None:
    problems = []
    for line, row in rows:
        if any(row[width:]):
            text = f"the row has {len(row)} cells"
            accepted = f"{width} cells as in the head; a decimal comma in quotation marks"
            problems.append(Problem("form", text, file, line, None, accepted))
    if problems:
        raise InputErrors(problems[:_MOST_TOLD])
