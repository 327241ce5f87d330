"""A CSV file as bytes: encoding, head, and pieces that end where a row ends.

`CsvText` finds the byte order mark, passes over what stands before the head, reads the head and
the row of units, and cuts the rest into pieces of UTF-8 of about `PIECE_BYTES`. A line end
within quotation marks ends no row.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np

from linkwright.link_data.map_file import FileMap
from linkwright.quantities import InputErrors, Problem

PIECE_BYTES = 16_000_000
LONGEST_HEAD = 1_000_000
"""Bytes within which the head must be complete."""
LONGEST_ROW = 64_000_000
"""Bytes of one row: more is a quotation mark that was never closed."""
_SEPARATORS = ("\t", ";", ",", "|")
_QUOTE, _NEWLINES = 34, (10, 13)


class CsvText:
    """An open CSV file; `close` it."""

    def __init__(self, path: Path, how: FileMap) -> None:
        self.name = path.name
        self._how = how
        self._stream = path.open("rb")
        try:
            self._reader = _reader(self._stream, how.encoding)
            self._ahead = self._reader.read(LONGEST_HEAD)
            self._find_head()
        except BaseException:
            self.close()
            raise

    heads: list[str]
    units: list[str] | None
    delimiter: str
    head_row: int
    """Number of the row of the head; 0 without one."""
    first_row: int

    def close(self) -> None:
        """Close the file."""
        self._stream.close()

    def ahead(self) -> bytes:
        """What follows the head, as far as it was read with it."""
        return self._ahead

    def pieces(self) -> Iterator[bytes]:
        """The rest of the file, cut where rows end. Raises `InputErrors`."""
        held, row = self._ahead, self.first_row
        while True:
            more = self._reader.read(PIECE_BYTES)
            held += more
            if not more:
                break
            end = self._end_of_rows(held)
            if end:
                yield held[:end]
                row += held.count(b"\n", 0, end)
                held = held[end:]
            elif len(held) > LONGEST_ROW:
                raise self._unclosed(row)
        if b'"' in held and self._end_of_rows(held + b"\n") != len(held) + 1:
            raise self._unclosed(row)
        held = held.rstrip(b"\r\n")
        if held:
            yield held + b"\n"

    def _unclosed(self, row: int) -> InputErrors:
        text = "a quotation mark that opens a cell is never closed"
        return InputErrors([Problem("syntax", text, self.name, row)])

    def _end_of_rows(self, held: bytes) -> int:
        """Where the last whole row ends; 0 if none does."""
        if b'"' not in held:
            at = held.rfind(b"\n")
            return at + 1 if at >= 0 else _old_line_end(held)
        signs = np.frombuffer(held, np.uint8)
        marks = np.flatnonzero(signs == _QUOTE)
        if not _well_placed(signs, marks, ord(self.delimiter)):
            return _scanned_end(held, self.delimiter)
        ends = np.flatnonzero(signs == 10)
        outside = ends[np.searchsorted(marks, ends) % 2 == 0]
        return int(outside[-1]) + 1 if outside.size else 0

    def _find_head(self) -> None:
        how, text = self._how, self._ahead.decode("utf-8", "surrogateescape")
        if "\0" in text[:1000]:
            raise self._refused("holds NUL characters; this is no text", "a CSV file")
        lines = re.findall(r"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+", text)
        used, start = 0, how.rows_before_head
        while start < len(lines) and (not lines[start].strip() or lines[start].startswith("#")):
            start += 1
        declared = re.fullmatch(r"sep=(.)\s*", lines[start]) if start < len(lines) else None
        start += declared is not None
        if start >= len(lines):
            raise self._refused("holds no rows", "a head and readings")
        sign = declared[1] if declared else how.delimiter
        self.delimiter = how.delimiter or sign or _separator(lines[start])
        first, count = _row_of(lines, start, self.delimiter)
        self.heads = first if how.head else [str(at + 1) for at in range(len(first))]
        self.head_row = start + 1 if how.head else 0
        used, self.first_row = start, start + 1
        if how.head:
            used, self.first_row = start + count, start + 2
        self.units = None
        if how.units_row:
            if used >= len(lines):
                raise self._refused("holds no row of units", "units below the head")
            self.units, count = _row_of(lines, used, self.delimiter)
            used, self.first_row = used + count, self.first_row + 1
        size = len("".join(lines[:used]).encode("utf-8", "surrogateescape"))
        self._ahead = self._ahead[size:]

    def _refused(self, text: str, accepted: str) -> InputErrors:
        return InputErrors([Problem("form", text, self.name, None, None, accepted)])


class _Transcoded:
    """A file of another encoding, read as UTF-8; what cannot be read becomes U+FFFD."""

    def __init__(self, stream: BinaryIO, encoding: str) -> None:
        self._stream = stream
        self._decoder = codecs.getincrementaldecoder(encoding)("replace")
        self._ended = False

    def read(self, size: int) -> bytes:
        """About ``size`` bytes; none at the end."""
        while not self._ended:
            block = self._stream.read(size)
            self._ended = not block
            made = self._decoder.decode(block, final=self._ended).encode("utf-8", "replace")
            if made:
                return made
        return b""


def _reader(stream: BinaryIO, encoding: str) -> BinaryIO | _Transcoded:
    mark = stream.read(3)
    if mark == codecs.BOM_UTF8:
        return stream
    stream.seek(0)
    if mark[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        return _Transcoded(stream, "utf-16")
    if encoding == "utf-8":
        return stream
    return _Transcoded(stream, "utf-16-le" if encoding == "utf-16" else encoding)


def _separator(line: str) -> str:
    bare = re.sub(r'"[^"]*"', "", line)
    return next((sign for sign in _SEPARATORS if sign in bare), ",")


def _row_of(lines: list[str], start: int, delimiter: str) -> tuple[list[str], int]:
    """The cells of the row that begins there, and how many lines it takes."""
    reader = csv.reader(io.StringIO("".join(lines[start : start + 100]), newline=""),
                        delimiter=delimiter)  # fmt: skip
    try:
        cells = next(reader)
    except (csv.Error, StopIteration):
        cells = lines[start].strip("\r\n").split(delimiter)
        return [one.strip() for one in cells], 1
    return [one.strip() for one in cells], reader.line_num


def _old_line_end(held: bytes) -> int:
    """Behind the last carriage return of a file without line feeds; 0 if there is none."""
    return held.rfind(b"\r", 0, len(held) - 1) + 1


def _well_placed(signs: np.ndarray, marks: np.ndarray, delimiter: int) -> bool:
    """Whether every quotation mark opens a cell, closes one, or is one of two in a row."""
    edges = np.array([*_NEWLINES, delimiter, _QUOTE], np.uint8)
    opens, closes = marks[0::2], marks[1::2]
    before = signs[np.maximum(opens - 1, 0)]
    after = signs[np.minimum(closes + 1, len(signs) - 1)]
    fine = np.isin(before, edges) | (opens == 0)
    good = np.isin(after, edges) | (closes == len(signs) - 1)
    return bool(fine.all() and good.all())


def _scanned_end(held: bytes, delimiter: str) -> int:
    """Where the last whole row ends, cell by cell: a mark within a bare cell means nothing."""
    sign = re.escape(delimiter.encode())
    cell = re.compile(
        rb'(?:"(?:[^"]|"")*"[^\r\n%b]*|(?!")[^\r\n%b]*)(%b|\r\n|\n|\r)' % (sign, sign, sign)
    )
    at = end = 0
    while (found := cell.match(held, at)) is not None:
        at = found.end()
        if found[1] != delimiter.encode():
            end = at
    return end
