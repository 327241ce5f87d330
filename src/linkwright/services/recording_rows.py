"""The same act for every row of a CSV file, as a laboratory writes its results.

The head names the act's arguments. Each row is an act of its own under a key made of its content,
so that a file sent twice, or sent on after an interruption, does nothing twice. A row that the
books refuse is told with its number, and the others go on; a file that cannot be read is refused
before its first row is done.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkwright.quantities import InputErrors, LinkwrightError, Problem
from linkwright.records.people import sign_in
from linkwright.records.store import Store
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.recording import Recorded, act_of, bind, done_as
from linkwright.works.canonical import content_hash

LARGEST_FILE = 20_000_000
MOST_ROWS = 100_000
_SEPARATORS = ";\t,"


@dataclass(frozen=True)
class RecordedRows:
    """What became of each row: done now, done before, or refused with the reason."""

    act: str
    done: tuple[tuple[int, Recorded], ...]
    refused: tuple[tuple[int, str], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "schema_version": SCHEMA_VERSION, "name": self.act,
            "done": [{"row": row, "act": one.act, "new": one.new,
                      "ids": [written["id"] for written in one.rows]} for row, one in self.done],
            "refused": [{"row": row, "reason": reason} for row, reason in self.refused],
        }  # fmt: skip


def record_rows(
    store: Store, person: str, pass_phrase: str, name: str, file: Path, *, why: str,
    common: Mapping[str, str] | None = None,
) -> RecordedRows:  # fmt: skip
    """Do an act for each row; ``common``: arguments that all rows share.

    Raises `InputErrors` if the file or its head cannot be used, `NotAllowed` for the person; a
    single row raises nothing.
    """
    one = act_of(name)
    signed = sign_in(store, person, pass_phrase)
    times: Counter[str] = Counter()
    done, refused = [], []
    for number, cells in list(_rows(file)):
        given = {**(common or {}), **cells}
        digest = content_hash({"act": name, "given": given})
        times[digest] += 1
        key = f"row {digest} {times[digest]}"
        try:
            written = done_as(store, signed, one, bind(one, given), why=why, key=key)
        except LinkwrightError as error:
            refused.append((number, str(error)))
        else:
            done.append((number, written))
    return RecordedRows(name, tuple(done), tuple(refused))


def _rows(file: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Row numbers (the head is 1) and cells that are not empty, by the names of the head."""
    text = _text(file)
    first = text.partition("\n")[0]
    separator = max(_SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        head = [name.strip() for name in next(reader, [])]
        _refuse_head(head, file)
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(head):
                said = f"has {len(cells)} cells, the head {len(head)}"
                raise InputErrors([Problem("form", said, str(file), reader.line_num)])
            if reader.line_num > MOST_ROWS:
                said = f"has more than {MOST_ROWS:,} rows"
                raise InputErrors([Problem("too-large", said, str(file))])
            pairs = zip(head, cells, strict=True)
            yield reader.line_num, {name: cell.strip() for name, cell in pairs if cell.strip()}
    except csv.Error as error:
        said = f"is no CSV: {error}"
        raise InputErrors([Problem("syntax", said, str(file), reader.line_num)]) from None


def _text(file: Path) -> str:
    if not file.is_file():
        raise InputErrors([Problem("file", "is no file", str(file))])
    if file.stat().st_size > LARGEST_FILE:
        said = f"is larger than {LARGEST_FILE // 1_000_000} MB"
        raise InputErrors([Problem("too-large", said, str(file))])
    try:
        return file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        said = f"byte {error.start} is not UTF-8"
        raise InputErrors([Problem("encoding", said, str(file))]) from None


def _refuse_head(head: list[str], file: Path) -> None:
    twice = [name for name, count in Counter(head).items() if count > 1]
    if not head or not all(head) or twice:
        said = f"has no head of different names ({', '.join(twice) or 'an empty one'})"
        raise InputErrors([Problem("form", said, str(file), 1)])
