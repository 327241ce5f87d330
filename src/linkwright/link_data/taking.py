"""One file taken into a folder of link data: wholly, once, or not at all.

`take_in` reads, judges and stages the rows in two threads, sifts repeats, and commits to the
ledger. `open_source` opens a file in its form.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, TextIO

import pyarrow as pa
import pyarrow.compute as pc

from linkwright.link_data.batch import Rejected
from linkwright.link_data.csv_rows import CsvSource
from linkwright.link_data.dataset import LinkDataError
from linkwright.link_data.judging import judged
from linkwright.link_data.ledger import SET_ASIDE, STAGING, Entry, Ledger, sync_file
from linkwright.link_data.map_file import FileMap
from linkwright.link_data.other_forms import JsonSource, ParquetSource
from linkwright.link_data.parts import Part, PartWriter, Slice, split, write_part
from linkwright.link_data.repeats import Conflict, counter_range, without_repeats
from linkwright.quantities import InputErrors, Problem

THREADS = 2
_AHEAD = 3
"""Pieces that are read before their turn."""
_FORMS = {".csv": "csv", ".txt": "csv", ".tsv": "csv", ".parquet": "parquet",
          ".jsonl": "jsonl", ".ndjson": "jsonl"}  # fmt: skip
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_BLOCK = 4_000_000


@dataclass(frozen=True)
class Taken:
    """What became of a file: its entry, and whether it was known before."""

    entry: Entry
    before: bool


@dataclass
class _Count:
    """What is counted while a file is read."""

    records: int = 0
    passed: int = 0
    set_aside: int = 0
    repeats: int = 0
    ends: list[int] = field(default_factory=list)


def open_source(path: Path, how: FileMap) -> Any:
    """The file in its form. Raises `InputErrors` if it cannot be read at all."""
    form = how.form or _FORMS.get(path.suffix.lower(), "csv")
    made = {"csv": CsvSource, "parquet": ParquetSource, "jsonl": JsonSource}[form]
    try:
        return made(path, how)
    except OSError as error:
        text = f"cannot be opened: {error.strerror or error}"
        raise InputErrors([Problem("file", text, str(path))]) from None


def take_in(path: Path, how: FileMap, folder: Path) -> Taken:
    """Take a file in. The same file once more changes nothing.

    Raises `InputErrors` if the file cannot be read, `LinkDataError` if the folder cannot be
    written; in both cases nothing of the file is taken in.
    """
    ledger = Ledger(folder)
    try:
        if not folder.exists():
            open_source(path, how).close()  # what cannot be read makes no folder
        ledger.prepare()
        with ledger.locked():
            ledger.settle()
            return _take(path, how, ledger)
    except OSError as error:
        if error.errno in _FULL or "No space left" in str(error):
            words = f"the disk at {mount_of(folder)} is full; nothing of {path.name} was taken in"
            raise LinkDataError(f"{folder}: {words}") from error
        raise


def mount_of(folder: Path) -> Path:
    """Where the disk that holds the folder is mounted."""
    place = folder.resolve()
    while not place.is_mount() and place != place.parent:
        place = place.parent
    return place


def _take(path: Path, how: FileMap, ledger: Ledger) -> Taken:
    before = _state(path)
    digest = _sha256(path)
    name = f"{digest[:16]}-{how.digest[:8]}"
    known = ledger.known(name)
    if known is not None:
        return Taken(known, before=True)
    staging = ledger.staging(name)
    try:
        entry = _staged(path, how, ledger.folder, staging, digest)
        if _state(path) != before:
            text = "was changed while it was read"
            raise InputErrors([Problem("file", text, str(path), accepted="a file that is whole")])
        ledger.commit(entry)
    except BaseException:
        if not (ledger.folder / "ledger" / f"{name}.placing").exists():
            ledger.drop(name)
        raise
    return Taken(replace(entry), before=False)


def _staged(path: Path, how: FileMap, folder: Path, staging: Path, digest: str) -> Entry:
    """Everything of the file in the staging folder."""
    name, count, aside = staging.name, _Count(), staging / "set_aside.part"
    with aside.open("w", encoding="utf-8") as told, ThreadPoolExecutor(THREADS) as pool:
        parts = PartWriter(staging, how.kind.name, digest[:16], pool)
        try:
            _read_all(path, how, parts, pool, told, count)
            made = parts.close()
        except BaseException:
            parts.abandon()
            raise
        moves, rows = _sifted(made, how, folder, name, path, told, count)
    if count.set_aside:
        sync_file(aside)
        moves.append((f"{STAGING}/{name}/{aside.name}", f"{SET_ASIDE}/{name}.jsonl"))
    ends = [datetime.fromtimestamp(one / 1e6, UTC).isoformat() for one in
            ((min(count.ends), max(count.ends)) if count.ends else ())]  # fmt: skip
    return Entry(
        name, path.name, digest, how.digest, how.kind.name, count.records, rows, count.repeats,
        count.set_aside, count.passed, ends[0] if ends else None, ends[-1] if ends else None,
        tuple(moves),
    )  # fmt: skip


Piece = tuple[list[Slice], tuple[Rejected, ...], int, int, list[int]]


def _read_all(
    path: Path, how: FileMap, parts: PartWriter, pool: ThreadPoolExecutor, told: TextIO,
    count: _Count,
) -> None:  # fmt: skip
    """Read the pieces ahead in threads and hand them on in their order."""
    with closing(open_source(path, how)) as source:

        def work(piece: Any) -> Piece:
            found = judged(source.batch(piece), how)
            ends = pc.min_max(found.table["clock"].cast(pa.int64())).as_py()
            times = [] if ends["min"] is None else [ends["min"], ends["max"]]
            return split(found.table), found.rejected, found.records, found.passed, times

        ahead: deque[Future[Piece]] = deque()
        offset = source.first_row
        count.records = count.passed = source.first_row - 1

        def next_one(offset: int) -> int:
            slices, rejected, records, passed, times = ahead.popleft().result()
            for one in rejected:
                _tell(told, path.name, one.row + offset, one.reason, one.text)
            parts.add(slices, offset)
            count.records += records
            count.passed += passed
            count.set_aside += len(rejected)
            count.ends += times
            return offset + records

        try:
            for piece in source.pieces():
                ahead.append(pool.submit(work, piece))
                if len(ahead) >= _AHEAD:
                    offset = next_one(offset)
            while ahead:
                offset = next_one(offset)
        finally:
            for one in ahead:
                one.cancel()


def _sifted(
    made: list[Part], how: FileMap, folder: Path, name: str, path: Path, told: TextIO,
    count: _Count,
) -> tuple[list[tuple[str, str]], int]:  # fmt: skip
    """The moves of all parts that hold something new, and how many rows they hold."""
    moves: list[tuple[str, str]] = []
    total, conflicts = 0, list[Conflict]()
    for part in made:
        day = (date(1970, 1, 1) + timedelta(days=part.day)).isoformat()
        place = f"{how.kind.name}/day={day}/machine={part.machine}"
        present = _near(folder / place, part)
        rows = part.rows
        if present or not part.rising:
            sifted = without_repeats(part.path, present, how.kind.name)
            rows = sifted.table.num_rows
            count.repeats += sifted.repeats
            conflicts += sifted.conflicts
            if rows and rows != part.rows:
                part.path = part.path.with_name(f"{part.path.stem}-sifted.part")
                write_part(part.path, how.kind.name, sifted.table)
        if rows:
            final = f"{place}/{name}.parquet"
            moves.append((f"{STAGING}/{name}/{part.path.name}", final))
        total += rows
    if conflicts:
        texts = dict(_texts(path, how, {one.row for one in conflicts}))
        for one in sorted(conflicts):
            why = (f"another reading of the same machine, counter and clock is there: "
                   f"row {one.other_row} of file {one.source}")  # fmt: skip
            _tell(told, path.name, one.row, why, texts.get(one.row, ""))
    count.set_aside += len(conflicts)
    return moves, total


def _near(place: Path, part: Part) -> list[Path]:
    """Parts of the same day and machine whose counters meet those of this one."""
    found = []
    for other in sorted(place.glob("*.parquet")):
        ends = counter_range(other)
        if ends is None or (ends[0] <= part.greatest and ends[1] >= part.least):
            found.append(other)
    return found


def _texts(path: Path, how: FileMap, wanted: set[int]) -> Iterator[tuple[int, str]]:
    """The texts of some rows, by a second reading."""
    with closing(open_source(path, how)) as source:
        offset = source.first_row
        for piece in source.pieces():
            batch = source.batch(piece)
            if any(offset <= row < offset + batch.records for row in wanted):
                for at, row in enumerate(batch.rows):
                    if int(row) + offset in wanted:
                        yield int(row) + offset, batch.text(at)
            offset += batch.records


def _tell(told: TextIO, file: str, row: int, reason: str, text: str) -> None:
    line = {"file": file, "row": row, "reason": reason, "text": text}
    told.write(json.dumps(line, ensure_ascii=True) + "\n")


def _state(path: Path) -> tuple[int, int, int]:
    try:
        state = path.stat()
    except OSError as error:
        text = f"cannot be opened: {error.strerror or error}"
        raise InputErrors([Problem("file", text, str(path))]) from None
    if not path.is_file():
        raise InputErrors([Problem("file", "is no file", str(path))])
    return state.st_size, state.st_mtime_ns, state.st_ino


def _sha256(path: Path) -> str:
    digest = hashlib.sha256()
    try:
        with path.open("rb") as stream:
            if hasattr(os, "posix_fadvise"):  # neither macOS nor Windows has it
                os.posix_fadvise(stream.fileno(), 0, 0, os.POSIX_FADV_SEQUENTIAL)
            while block := stream.read(_BLOCK):
                digest.update(block)
    except OSError as error:
        text = f"cannot be opened: {error.strerror or error}"
        raise InputErrors([Problem("file", text, str(path))]) from None
    return digest.hexdigest()
