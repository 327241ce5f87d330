"""Readings of Parquet files and of JSON lines, by the same map and the same grammar.

A Parquet column is taken in its own type, a text by the grammar of cells. A line of JSON is one
object; numbers stand as numbers or as texts, ``NaN`` and keys that stand twice are refused. Rows
count from 1: of Parquet in the order of the file, of JSON by lines.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from linkwright.link_data import cells, clocks
from linkwright.link_data.batch import LONGEST_TEXT, Batch, Fault, Rejected
from linkwright.link_data.map_file import ColumnMap, FileMap
from linkwright.quantities import InputErrors, Problem, nearest

PIECE_ROWS = 262_144
LONGEST_LINE = 64_000_000
_LINES_BYTES = 8_000_000
_TYPES = {"text": pa.string(), "whole": pa.int64(), "number": pa.float64(),
          "clock": clocks.UTC_TIME, "numbers": pa.list_(pa.float64())}  # fmt: skip


class ParquetSource:
    """A Parquet file with a map."""

    first_row = 1

    def __init__(self, path: Path, how: FileMap) -> None:
        self._name, self._how = path.name, how
        try:
            self._file = pq.ParquetFile(path)
            heads = list(self._file.schema_arrow.names)
        except (pa.ArrowException, ValueError, OSError) as error:
            raise self._refused(error) from None
        problems = []
        for one in how.read:
            if heads.count(str(one.head)) != 1:
                words = f"there is no column {cells.shown(one.head)}"
                accepted = ", ".join((nearest(str(one.head), heads) or heads)[:12])
                problems.append(Problem("no-column", words, path.name, None, one.column.name,
                                        accepted))  # fmt: skip
        if problems:
            self.close()
            raise InputErrors(problems)

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def pieces(self) -> Iterator[pa.RecordBatch]:
        """The rows in pieces."""
        heads = list(dict.fromkeys(str(one.head) for one in self._how.read))
        try:
            yield from self._file.iter_batches(PIECE_ROWS, columns=heads, use_threads=False)
        except (pa.ArrowException, ValueError, OSError) as error:
            raise self._refused(error) from None

    def batch(self, piece: pa.RecordBatch) -> Batch:
        """The readings of a piece."""
        try:
            piece.validate(full=True)
            faults: list[Fault] = []
            columns = {}
            for one in self._how.read:
                values = piece.column(str(one.head))
                read = _typed(one, _plain(values), self._how)
                columns[one.column.name] = read.values
                faults += [Fault(at, f"{one.column.name}: {why}") for at, why in read.faults]
        except (pa.ArrowException, ValueError) as error:
            raise self._refused(error) from None
        rows = np.arange(piece.num_rows)

        def text(at: int) -> str:
            return json.dumps(piece.slice(at, 1).to_pylist()[0], default=str)[:LONGEST_TEXT]

        return Batch(piece.num_rows, rows, columns, tuple(faults), (), 0, text)

    def _refused(self, error: Exception) -> InputErrors:
        line = (str(error).strip().splitlines() or [type(error).__name__])[0][:160]
        text = f"cannot be read as Parquet: {line}"
        return InputErrors([Problem("form", text, self._name, accepted="a whole Parquet file")])


class JsonSource:
    """A file of JSON lines with a map."""

    first_row = 1

    def __init__(self, path: Path, how: FileMap) -> None:
        self._name, self._how = path.name, how
        self._stream = path.open("rb")

    def close(self) -> None:
        """Close the file."""
        self._stream.close()

    def pieces(self) -> Iterator[list[bytes]]:
        """The lines in pieces."""
        first = True
        while lines := self._stream.readlines(_LINES_BYTES):
            if first:
                lines[0] = lines[0].removeprefix(b"\xef\xbb\xbf")
                if lines[0].startswith((b"\xff\xfe", b"\xfe\xff", b"PAR1")) or b"\0" in lines[0]:
                    text = "is no text in UTF-8"
                    raise InputErrors([Problem("encoding", text, self._name,
                                               accepted="JSON lines")])  # fmt: skip
                first = False
            yield lines

    def batch(self, piece: list[bytes]) -> Batch:
        """The readings of some lines."""
        found: list[tuple[int, dict[str, Any]]] = []
        rejected, passed = [], 0
        for at, line in enumerate(piece):
            if not line.strip():
                passed += 1
                continue
            try:
                found.append((at, _object(line)))
            except (ValueError, RecursionError) as error:
                told = line[:LONGEST_TEXT].decode("utf-8", "replace").rstrip("\r\n")
                rejected.append(Rejected(at, f"is no JSON object: {str(error)[:100]}", told))
        faults: list[Fault] = []
        columns = {}
        for one in self._how.read:
            values = [row.get(str(one.head)) for _, row in found]
            read = _of_json(one, values, self._how)
            columns[one.column.name] = read.values
            faults += [Fault(at, f"{one.column.name}: {why}") for at, why in read.faults]
        rows = np.array([at for at, _ in found], np.int64)

        def text(at: int) -> str:
            return piece[int(rows[at])].decode("utf-8", "replace").rstrip("\r\n")[:LONGEST_TEXT]

        return Batch(len(piece), rows, columns, tuple(faults), tuple(rejected), passed, text)


def _object(line: bytes) -> dict[str, Any]:
    def refuse(word: str) -> Any:
        raise ValueError(f"{word} is not a number")

    def once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) != len(pairs):
            raise ValueError("a key stands twice")
        return made

    made = json.loads(line.decode("utf-8"), parse_constant=refuse, object_pairs_hook=once)
    if not isinstance(made, dict):
        raise ValueError("not in braces")
    return made


def _of_json(one: ColumnMap, values: list[Any], how: FileMap) -> cells.Read:
    """Values of JSON in the form of our column; numbers as they stand, texts by the grammar."""
    form = one.column.form
    if form == "numbers":
        return _lists_of_json(values)
    plain: list[str | None] = []
    faults = []
    for at, value in enumerate(values):
        fits = value is None or isinstance(value, str) or (
            isinstance(value, (int, float)) and not isinstance(value, bool)
        )  # fmt: skip
        if not fits:
            faults.append((at, f"{cells.shown(json.dumps(value)[:80])} is no single value"))
        plain.append(_written(value) if fits else None)
    texts = cells.trimmed(pa.array(plain, pa.string()))
    # a JSON number has a point; only texts follow the signs of the map
    signs = [how.decimal if isinstance(value, str) else "." for value in values]
    if how.decimal != "." and form in ("number", "whole") and "." in signs:
        moved = [None if text is None else text.replace(".", how.decimal) if sign == "." else text
                 for text, sign in zip(texts.to_pylist(), signs, strict=True)]  # fmt: skip
        texts = pa.array(moved, pa.string())
    read = _judged(one, texts, how)
    return cells.Read(read.values, faults + list(read.faults))


def _written(value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return None if value is None else value.encode("utf-8", "replace").decode()
    try:
        return repr(value)
    except ValueError:  # a whole number of thousands of digits
        return "9" * 400


def _lists_of_json(values: list[Any]) -> cells.Read:
    made: list[list[float] | None] = []
    faults = []
    for at, value in enumerate(values):
        good = isinstance(value, list) and all(
            isinstance(one, (int, float)) and not isinstance(one, bool) and abs(one) <= 1e300
            for one in value
        )
        if value is not None and not good:
            faults.append((at, "is no list of numbers"))
        made.append([float(one) for one in value] if good else None)
    return cells.Read(pa.array(made, _TYPES["numbers"]), faults)


def _plain(values: pa.Array) -> pa.Array:
    if pa.types.is_dictionary(values.type):
        values = values.dictionary_decode()
    if pa.types.is_large_string(values.type) or pa.types.is_string_view(values.type):
        return values.cast(pa.string())
    return values


def _typed(one: ColumnMap, values: pa.Array, how: FileMap) -> cells.Read:
    """A column of Parquet in the form of ours."""
    kind, form = values.type, one.column.form
    whole = pa.types.is_integer(kind)
    number = whole or pa.types.is_floating(kind) or pa.types.is_decimal(kind)
    if pa.types.is_string(kind):
        read = _judged(one, cells.trimmed(values), how)
    elif pa.types.is_null(kind):
        read = cells.Read(pa.nulls(len(values), _TYPES[form]), [])
    elif form == "number" and number:
        read = _finite(values, values.cast(pa.float64(), safe=False))
    elif form in ("whole", "text", "clock") and whole:
        read = _judged(one, values.cast(pa.string()), how)
    elif form == "clock" and pa.types.is_timestamp(kind):
        read = _timestamps(values, how)
    elif form == "numbers" and (pa.types.is_list(kind) or pa.types.is_large_list(kind)):
        read = _lists_of_json(values.to_pylist())
    else:
        raise ValueError(f"column {one.head} is {kind}; {one.column.name} is {form}")
    return read


def _timestamps(values: pa.Array, how: FileMap) -> cells.Read:
    """Times of Parquet, cut to microseconds; those without a zone are local."""
    if values.type.tz is not None:
        return cells.Read(values.cast(clocks.UTC_TIME, safe=False), [])
    local = values.cast(pa.timestamp("us"), safe=False)
    made, faults = clocks.to_utc(local, how.zone, how.repeated_hour)
    return cells.Read(made, faults)


def _finite(values: pa.Array, made: pa.Array) -> cells.Read:
    finite = pc.fill_null(pc.is_finite(made), True)
    faults = [(int(at), f"{values[int(at)].as_py()} is not a number")
              for at in np.flatnonzero(~np.asarray(finite))]  # fmt: skip
    return cells.Read(pc.if_else(finite, made, pa.scalar(None, made.type)), faults)


def _judged(one: ColumnMap, texts: pa.Array, how: FileMap) -> cells.Read:
    sign = cells.Sign(how.decimal, how.thousands)
    return cells.of_form(
        texts, one.column.form, sign,
        lambda: clocks.clocks(texts, one.form, how.zone, how.repeated_hour),
    )  # fmt: skip
