"""What every form of file is read into: a batch of rows by our columns, with what was wrong.

A source gives ``pieces()``, cheaply and in the order of the file, and ``batch(piece)``, which
may run in any thread and knows nothing of what comes before: rows count from 0 in the piece.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np
import pyarrow as pa

LONGEST_TEXT = 2000
"""Signs of a row that are kept when it is set aside."""


class Fault(NamedTuple):
    """Why a row of a batch cannot be taken: its place in the batch and the reason."""

    place: int
    reason: str


class Rejected(NamedTuple):
    """A row that was set aside: its number in the piece (later in the file), why, its text."""

    row: int
    reason: str
    text: str


@dataclass(frozen=True)
class Batch:
    """Rows by our columns: numbers in the file's unit, clocks in UTC.

    ``records``: rows of the piece, whatever they hold. ``rows``: numbers of the rows that are
    readings, from 0. ``passed``: empty rows and repeated heads. ``text``: a row as it stands.
    """

    records: int
    rows: np.ndarray
    columns: Mapping[str, pa.Array]
    faults: tuple[Fault, ...]
    rejected: tuple[Rejected, ...]
    passed: int
    text: Callable[[int], str]


class Source(Protocol):
    """A file that is read."""

    first_row: int
    """Number of the first row of the first piece, from 1."""

    def pieces(self) -> Iterator[Any]:
        """The parts of the file, in order. Raises `InputErrors`."""

    def batch(self, piece: Any) -> Batch:
        """The readings of one piece. Raises `InputErrors` if it cannot be read at all."""
