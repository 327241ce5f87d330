"""Which files were taken in, and the one moment at which a file counts as taken in.

Everything of a file is staged beside the data first. `Ledger.commit` then writes one small note,
``ledger/ID.placing``, in one step: before it nothing of the file counts, after it everything
does. Staged parts are moved to their places and the note becomes ``ledger/ID.json``; a process
that was killed in between is made good by `Ledger.settle` of the next one. One lock keeps two
ingests apart.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from filelock import FileLock

from linkwright.quantities import InputErrors, Problem

LEDGER, STAGING, SET_ASIDE = "ledger", "staging", "set_aside"
"""Folders beside those of the kinds."""
_LOCK = "lock"


@dataclass(frozen=True)
class Entry:
    """What was taken in of one file by one map.

    records: rows of the file; rows: readings taken in; repeats: known already; set_aside;
    passed: empty rows, comments and repeated heads. moves: staged to final place, both below
    the folder. first, last: clock of the earliest and latest reading.
    """

    id: str
    name: str
    sha256: str
    map_sha256: str
    kind: str
    records: int
    rows: int
    repeats: int
    set_aside: int
    passed: int
    first: str | None
    last: str | None
    moves: tuple[tuple[str, str], ...]

    @property
    def parts(self) -> tuple[str, ...]:
        """The Parquet files, below the folder."""
        return tuple(final for _, final in self.moves if final.endswith(".parquet"))


class Ledger:
    """The ledger of one folder of link data."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def prepare(self) -> None:
        """Make the folders. Raises `InputErrors` if the place is a file."""
        if self.folder.exists() and not self.folder.is_dir():
            raise InputErrors([Problem("file", "is no folder", str(self.folder))])
        for name in (LEDGER, STAGING, SET_ASIDE):
            (self.folder / name).mkdir(parents=True, exist_ok=True)

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Hold the folder alone; waits for another ingest. A killed one holds nothing."""
        with FileLock(self.folder / LEDGER / _LOCK):
            yield

    def known(self, name: str) -> Entry | None:
        """The entry of that id, if the file was taken in."""
        return _read(self.folder / LEDGER / f"{name}.json")

    def entries(self) -> list[Entry]:
        """All entries, by id."""
        found = (_read(path) for path in sorted((self.folder / LEDGER).glob("*.json")))
        return [one for one in found if one is not None]

    def staging(self, name: str) -> Path:
        """An empty folder for what is not yet taken in."""
        place = self.folder / STAGING / name
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir(parents=True)
        return place

    def drop(self, name: str) -> None:
        """Leave nothing of what was staged."""
        shutil.rmtree(self.folder / STAGING / name, ignore_errors=True)

    def commit(self, entry: Entry) -> None:
        """Take the staged files in. Raises `OSError`; before the note is there nothing counts."""
        ledger = self.folder / LEDGER
        write_synced(ledger / f"{entry.id}.half", _text(asdict(entry)))
        os.replace(ledger / f"{entry.id}.half", ledger / f"{entry.id}.placing")
        sync_folder(ledger)
        self._place(entry)

    def settle(self) -> None:
        """Finish what a killed process had committed and drop what it had not."""
        ledger = self.folder / LEDGER
        for note in sorted(ledger.glob("*.placing")):
            entry = _read(note)
            if entry is not None:
                self._place(entry)
        for half in ledger.glob("*.half"):
            half.unlink(missing_ok=True)
        for left in (self.folder / STAGING).iterdir():
            shutil.rmtree(left, ignore_errors=True)

    def _place(self, entry: Entry) -> None:
        touched = set()
        for staged, final in entry.moves:
            target = self.folder / final
            target.parent.mkdir(parents=True, exist_ok=True)
            with suppress(FileNotFoundError):  # moved before the kill
                os.replace(self.folder / staged, target)
            touched |= {target.parent, target.parent.parent, target.parent.parent.parent}
        for place in touched:
            sync_folder(place)
        ledger = self.folder / LEDGER
        os.replace(ledger / f"{entry.id}.placing", ledger / f"{entry.id}.json")
        sync_folder(ledger)
        self.drop(entry.id)


def settle_if_left(folder: Path) -> None:
    """Before reading: finish what a killed ingest had committed, if there is something left."""
    ledger = Ledger(folder)
    if next((folder / LEDGER).glob("*.placing"), None) is not None:
        with suppress(PermissionError), ledger.locked():
            ledger.settle()


def write_synced(path: Path, text: str) -> None:
    """Write a text so that it outlasts a loss of power."""
    with path.open("w", encoding="utf-8") as stream:
        stream.write(text)
        stream.flush()
        os.fsync(stream.fileno())


def sync_file(path: Path) -> None:
    """Let a written file outlast a loss of power."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def sync_folder(path: Path) -> None:
    """Let names in a folder outlast a loss of power."""
    sync_file(path)


def _text(data: Mapping[str, Any]) -> str:
    return json.dumps({"format": 1, **data}, indent=1, ensure_ascii=False) + "\n"


def _read(path: Path) -> Entry | None:
    try:
        data = json.loads(path.read_text("utf-8"))
        del data["format"]
        data["moves"] = tuple((staged, final) for staged, final in data["moves"])
        return Entry(**data)
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError) as error:
        text = f"is damaged: {type(error).__name__}"
        raise InputErrors([Problem("ledger", text, str(path))]) from None
