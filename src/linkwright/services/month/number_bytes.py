"""Rows of text from arrays, fast: fixed decimals as bytes without a loop over rows.

Each field is a matrix of bytes, a row of it a cell, with zero bytes where nothing is written;
fields side by side and without the zeros are the text. 3 million rows of ten cells take seconds.

- `decimals`, `whole`, `texts`, `literal`, `clock`: fields; `joined`: the text of them all
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

_ZERO, _MINUS = 48, 45
Field = np.ndarray
"""Bytes, shape (rows, width); 0 is no byte."""


def whole(values: np.ndarray) -> Field:
    """Whole numbers, without leading zeros."""
    return decimals(np.asarray(values), 0, ".")


def decimals(values: np.ndarray, places: int, mark: str, missing_text: str = "") -> Field:
    """Numbers rounded to so many decimals; the text where a value is not a number."""
    numbers = np.asarray(values)
    missing = np.isnan(numbers) if numbers.dtype.kind == "f" else np.zeros(numbers.shape, bool)
    if numbers.dtype.kind == "f":
        numbers = np.rint(np.where(missing, 0.0, numbers) * 10.0**places)
    rest = np.abs(numbers).astype(np.int64)
    most = int(rest.max(initial=0))
    if most < 2**31:
        rest = rest.astype(np.uint32)
    width = max(len(str(most)), places + 1)
    point = 1 if places else 0
    cells = np.zeros((numbers.size, width + point + 1), np.uint8)
    for place in range(width):
        tens = rest // 10
        at = width + point - place - (point if place >= places else 0)
        digit = (rest - 10 * tens + _ZERO).astype(np.uint8)
        # a leading zero is no byte; the one before the decimals is
        cells[:, at] = digit if place <= places else np.where(rest > 0, digit, 0)
        rest = tens
    if places:
        cells[:, width + 1 - places] = ord(mark)
    negative = numbers < 0
    if negative.any():
        _put_minus(cells, negative)
    if missing.any():
        cells[missing] = 0
        wide = max(0, len(missing_text) - cells.shape[1])
        cells = np.pad(cells, ((0, 0), (wide, 0)))
        text = np.frombuffer(missing_text.encode(), np.uint8)
        cells[np.ix_(missing, np.arange(text.size))] = text
    return cells


def _put_minus(cells: Field, negative: np.ndarray) -> None:
    rows = np.flatnonzero(negative)
    first = np.argmax(cells[rows] != 0, axis=1)
    cells[rows, first - 1] = _MINUS


def texts(values: np.ndarray, known: Sequence[str], encoding: str = "utf-8") -> Field:
    """Texts by their numbers in a list."""
    table = np.array([one.encode(encoding) for one in known])
    codes = np.asarray(values).astype(np.int64)
    return table.view(np.uint8).reshape(len(known), -1)[codes]


def literal(text: str, rows: int, encoding: str = "utf-8") -> Field:
    """The same text in every row."""
    data = np.frombuffer(text.encode(encoding), np.uint8)
    return np.broadcast_to(data, (rows, data.size))


def clock(milliseconds: np.ndarray) -> Field:
    """Time of the day, HH:MM:SS.mmm, of milliseconds since midnight."""
    cells = np.zeros((milliseconds.size, 12), np.uint8)
    rest = milliseconds.astype(np.int64)
    for at, base in ((11, 10), (10, 10), (9, 10), (7, 10), (6, 6), (4, 10), (3, 6), (1, 10),
                     (0, 10)):  # fmt: skip
        over = rest // base
        cells[:, at] = (rest - base * over + _ZERO).astype(np.uint8)
        rest = over
    cells[:, [2, 5]] = ord(":")
    cells[:, 8] = ord(".")
    return cells


def joined(fields: Sequence[Field]) -> bytes:
    """The fields side by side, row after row."""
    cells = np.concatenate(fields, axis=1).ravel()
    return bytes(cells[cells != 0].tobytes())
