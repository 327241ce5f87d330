"""Readings of a CSV file: a fast reading where it is proven exact, else cell by cell.

The fast reading lets Arrow turn cells into numbers in one pass. Its grammar is ours but for
``nan``, ``inf``, numbers too large, hexadecimal whole numbers and signs that cannot be read:
where a piece holds one of these, anything it refuses or an empty cell that is needed, the piece
is read again as texts, which `cells` and `clocks` judge. Both give the same (a property test).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv

from linkwright.link_data import cells, clocks
from linkwright.link_data.batch import LONGEST_TEXT, Batch, Fault, Rejected
from linkwright.link_data.csv_text import CsvText
from linkwright.link_data.map_file import ColumnMap, FileMap
from linkwright.quantities import InputErrors, Problem, QuantityError, nearest, unit_of_text

_PACKED = pa.dictionary(pa.int32(), pa.string())
_LARGEST_WHOLE = 10**cells.MOST_DIGITS
_UNREADABLE = "\ufffd"


class _Doubtful(Exception):
    """The fast reading cannot be proven exact."""


class CsvSource:
    """A CSV file with a map."""

    def __init__(self, path: Path, how: FileMap, *, fast: bool = True) -> None:
        self._text = CsvText(path, how)
        self._how, self._fast = how, fast
        try:
            self._places = _places(self._text, how)
            _check_units(self._text, how, self._places)
        except BaseException:
            self._text.close()
            raise
        self.first_row = self._text.first_row
        self._names = [f"c{at}" for at in range(len(self._text.heads))]
        self._sign = cells.Sign(how.decimal, how.thousands)
        self._clock = self._clock_type()
        self._skipped = [tuple(row) for row in (self._text.heads, self._text.units) if row]

    def close(self) -> None:
        """Close the file."""
        self._text.close()

    def pieces(self) -> Iterator[bytes]:
        """The rows of the file in pieces."""
        return self._text.pieces()

    def batch(self, piece: bytes) -> Batch:
        """The readings of a piece."""
        if self._fast and not _is_doubtful(piece):
            try:
                return self._fast_batch(piece)
            except _Doubtful:
                pass
        return self._exact_batch(piece)

    def _fast_batch(self, piece: bytes) -> Batch:
        types = {self._names[self._places[one.column.name]]: self._fast_type(one)
                 for one in self._how.read}  # fmt: skip
        try:
            table, ragged = self._parsed(piece, types)
        except pa.ArrowInvalid:
            raise _Doubtful from None
        made: dict[str, pa.Array] = {}
        for one in self._how.read:
            made[one.column.name] = self._proven(one, table[self._place_name(one)])
        return _batch(table.num_rows, made, (), ragged, 0, lambda at: self._one_text(piece, at))

    def _fast_type(self, one: ColumnMap) -> pa.DataType:
        form = one.column.form
        if form == "text":
            return _PACKED
        if form == "clock" and one.form == "iso":
            return self._clock
        if form in ("clock", "numbers") or self._how.thousands:
            return pa.string()
        return pa.int64() if form == "whole" else pa.float64()

    def _clock_type(self) -> pa.DataType:
        """How Arrow can read the clock, by the first row: local, with a zone, or as a text."""
        first = next(iter(self._text.ahead().splitlines()), b"") + b"\n"
        name = next(self._place_name(one) for one in self._how.read if one.column.form == "clock")
        for kind in (pa.timestamp("us"), clocks.UTC_TIME):
            try:
                self._parsed(first, {name: kind})
            except pa.ArrowInvalid:
                continue
            return kind
        return pa.string()

    def _proven(self, one: ColumnMap, values: pa.Array) -> pa.Array:
        """The values in the form of our column; raises `_Doubtful`."""
        form = one.column.form
        if one.column.name in ("machine", "counter", "clock") and values.null_count:
            raise _Doubtful
        if form == "text":
            words = cells.trimmed(values.dictionary)
            if words.null_count:
                raise _Doubtful
            return pa.DictionaryArray.from_arrays(values.indices, words)
        if pa.types.is_string(values.type):
            read = self._judged(one, cells.trimmed(values))
            if read.faults:
                raise _Doubtful
            return read.values
        if form == "clock" and values.type.tz is None:
            values, faults = clocks.to_utc(values, self._how.zone, self._how.repeated_hour)
            if faults:
                raise _Doubtful
        if form == "clock":
            return values
        if form == "number":
            sound = pc.all(pc.is_finite(values)).as_py() in (True, None)
        else:
            ends = pc.min_max(values).as_py()
            sound = max(abs(ends["min"] or 0), abs(ends["max"] or 0)) < _LARGEST_WHOLE
        if not sound:
            raise _Doubtful
        return values

    def _judged(self, one: ColumnMap, texts: pa.Array) -> cells.Read:
        how = self._how
        return cells.of_form(
            texts, one.column.form, self._sign,
            lambda: clocks.clocks(texts, one.form, how.zone, how.repeated_hour),
        )  # fmt: skip

    def _exact_batch(self, piece: bytes) -> Batch:
        sound = piece.decode("utf-8", "replace").replace("\0", _UNREADABLE).encode()
        try:
            table, ragged = self._parsed(sound, dict.fromkeys(self._names, pa.string()))
        except pa.ArrowInvalid as error:
            words = f"cannot be read: {str(error).splitlines()[0][:120]}"
            raise InputErrors([Problem("syntax", words, self._text.name)]) from None
        columns = [cells.trimmed(table[name]) for name in self._names]
        passed, spoilt = self._passed_over(columns), _unreadable(columns)
        kept = np.flatnonzero(~passed)
        faults = [Fault(int(at), "holds a character that cannot be read")
                  for at in np.flatnonzero(spoilt[kept])]  # fmt: skip
        made: dict[str, pa.Array] = {}
        for one in self._how.read:
            read = self._judged(one, columns[self._places[one.column.name]].take(pa.array(kept)))
            made[one.column.name] = read.values
            faults += [Fault(place, f"{one.column.name}: {why}") for place, why in read.faults]

        def text(at: int) -> str:
            return _as_row([table[name][int(kept[at])].as_py() for name in self._names],
                           self._text.delimiter)  # fmt: skip

        return _batch(table.num_rows, made, faults, ragged, int(passed.sum()), text, kept)

    def _parsed(
        self, piece: bytes, types: Mapping[str, pa.DataType]
    ) -> tuple[_Columns, list[Rejected]]:
        """The table of a piece and its rows of another width; raises `pa.ArrowInvalid`."""
        _refuse_unsound(piece)
        ragged: list[Rejected] = []
        width = len(self._names)

        def aside(row: Any) -> str:
            reason = f"the row has {row.actual_columns} cells; the head has {width}"
            ragged.append(Rejected(row.number - 1, reason, row.text[:LONGEST_TEXT]))
            return "skip"

        table = pyarrow.csv.read_csv(
            pa.BufferReader(piece),
            read_options=pyarrow.csv.ReadOptions(
                use_threads=False, block_size=len(piece) + 1, column_names=self._names
            ),
            parse_options=pyarrow.csv.ParseOptions(
                delimiter=self._text.delimiter, ignore_empty_lines=False,
                newlines_in_values=b'"' in piece, invalid_row_handler=aside,
            ),
            convert_options=pyarrow.csv.ConvertOptions(
                column_types=types, include_columns=list(types), null_values=[""],
                strings_can_be_null=True, decimal_point=self._how.decimal,
                timestamp_parsers=[pyarrow.csv.ISO8601],
            ),
        )  # fmt: skip
        return _Columns(table), ragged

    def _passed_over(self, columns: Sequence[pa.Array]) -> np.ndarray:
        """Rows without any cell, and heads and units that stand there again."""
        empty = np.logical_and.reduce([np.asarray(pc.is_null(one)) for one in columns])
        for row in self._skipped:
            pairs = zip(columns, row, strict=False)
            same = [np.asarray(pc.fill_null(pc.equal(one, text), not text)) for one, text in pairs]
            empty |= np.logical_and.reduce(same)
        return np.asarray(empty)

    def _one_text(self, piece: bytes, at: int) -> str:
        table, _ = self._parsed(piece, dict.fromkeys(self._names, pa.string()))
        return _as_row([table[name][at].as_py() for name in self._names], self._text.delimiter)

    def _place_name(self, one: ColumnMap) -> str:
        return self._names[self._places[one.column.name]]


def _refuse_unsound(piece: bytes) -> None:
    """Bytes that are no UTF-8 would reach a person as an error of the reader's own."""
    if not piece.isascii():
        try:
            piece.decode()
        except UnicodeDecodeError as error:
            raise pa.ArrowInvalid(f"byte {error.start} is not UTF-8") from None


class _Columns:
    """A parsed table whose columns are single arrays."""

    def __init__(self, table: pa.Table) -> None:
        self._table, self.num_rows = table, table.num_rows

    def __getitem__(self, name: str) -> pa.Array:
        made = self._table[name].combine_chunks()
        return made.combine_chunks() if isinstance(made, pa.ChunkedArray) else made


def _batch(
    count: int,
    columns: Mapping[str, pa.Array],
    faults: Sequence[Fault],
    ragged: Sequence[Rejected],
    passed: int,
    text: Any,
    kept: np.ndarray | None = None,
) -> Batch:
    """Rows of another width stand between the others: count them in; comments are passed over."""
    records = count + len(ragged)
    rows = np.arange(records)
    if ragged:
        rows = np.delete(rows, [one.row for one in ragged])
    rows = rows if kept is None else rows[kept]
    told = tuple(one for one in ragged if not one.text.startswith("#"))
    passed += len(ragged) - len(told)
    return Batch(records, rows, columns, tuple(faults), told, passed, text)


def _is_doubtful(piece: bytes) -> bool:
    if b"\0" in piece or not _is_readable(piece):
        return True
    return any(sign in piece and b"0" + sign in piece for sign in (b"x", b"X"))


def _is_readable(piece: bytes) -> bool:
    if piece.isascii():
        return True
    try:
        return _UNREADABLE not in piece.decode("utf-8")
    except UnicodeDecodeError:
        return False


def _unreadable(columns: Sequence[pa.Array]) -> np.ndarray:
    found = [np.asarray(pc.fill_null(pc.match_substring(one, _UNREADABLE), False))
             for one in columns]  # fmt: skip
    return np.asarray(np.logical_or.reduce(found))


def _as_row(row: Sequence[str | None], delimiter: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="").writerow(
        ["" if one is None else one for one in row]
    )
    return out.getvalue()[:LONGEST_TEXT]


def _places(text: CsvText, how: FileMap) -> dict[str, int]:
    """Which column of the file each of ours is. Raises `InputErrors` for all that are none."""
    problems, places = [], {}
    for one in how.read:
        found = [at for at, head in enumerate(text.heads) if head == one.head]
        number = str(one.head)
        if not found and number.isascii() and number.isdigit():
            found = [int(number) - 1] if 1 <= int(number) <= len(text.heads) else []
        if len(found) == 1:
            places[one.column.name] = found[0]
            continue
        words = f"there is no column {cells.shown(one.head)}"
        accepted = ", ".join((nearest(str(one.head), text.heads) or text.heads)[:12])
        if found:
            words = f"the column {cells.shown(one.head)} stands {len(found)} times"
            accepted = "its number: " + ", ".join(f'from = "{at + 1}"' for at in found)
        row = text.head_row or None
        problems.append(Problem("no-column", words, text.name, row, one.column.name, accepted))
    if problems:
        raise InputErrors(problems)
    return places


def _check_units(text: CsvText, how: FileMap, places: Mapping[str, int]) -> None:
    """The row of units must say what the map says. Raises `InputErrors`."""
    problems = []
    for one in how.read if text.units is not None else ():
        at = places[one.column.name]
        said = (text.units or [])[at].strip("[]() ") if at < len(text.units or []) else ""
        if not one.column.unit or said in ("", "-"):
            continue
        try:
            found = unit_of_text(said)
        except QuantityError:
            found = ""
        if found != one.unit:
            words = f"the row of units says {cells.shown(said)}, the map {one.unit}"
            problems.append(Problem("unit", words, text.name, text.head_row + 1, one.column.name,
                                    "the same unit in both"))  # fmt: skip
    if problems:
        raise InputErrors(problems)
