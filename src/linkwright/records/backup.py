"""Backups: of an SQLite file while it is written to, of PostgreSQL as an export.

A backup of SQLite is one file, made by the database itself (VACUUM INTO) from one moment, beside
its note with SHA-256 and head of the chain. `restore` checks both before it puts anything in place.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from pathlib import Path
from typing import Any

from sqlalchemy import text

from linkwright.records.chain import head, walk
from linkwright.records.errors import BooksDamaged, CannotRecord
from linkwright.records.migrating import migrate
from linkwright.records.moving import bring_in, take_out
from linkwright.records.store import Store, open_store, shown
from linkwright.works.canonical import canonical_bytes

_NOTE = ".note.json"


def backup(store: Store, to: Path) -> dict[str, Any]:
    """Back up the books into a new file (SQLite) or folder (PostgreSQL)."""
    if to.exists():
        raise CannotRecord(f"{to} is there already")
    if store.dialect != "sqlite":
        return take_out(store, to)
    part = to.with_name(f"{to.name}.{os.getpid()}.part")
    try:
        with store.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")  # VACUUM runs in no transaction
            connection.execute(text("VACUUM INTO :to"), {"to": str(part)})
            connection.exec_driver_sql("BEGIN")
        copied = open_store(str(part))
        with copied.reading() as session:
            newest = head(session)
        copied.close()
        note = {"sha256": _sha256(part), "head": newest.to_dict()}
        to.with_name(to.name + _NOTE).write_bytes(canonical_bytes(note) + b"\n")
        os.replace(part, to)
    finally:
        _cleared(part)
    return note


def restore(source: Path, place: str) -> dict[str, Any]:
    """Put a backup in an empty place and walk its chain.

    Raises `BooksDamaged` if the backup is not as it was made, `CannotRecord` if the place is taken.
    """
    if source.is_dir():
        return _restored_export(source, place)
    to = Path(place)
    if "://" in place or to.exists():
        raise CannotRecord(f"{shown(place)} is taken; a backup file is put where no file is")
    note = _note(source)
    if _sha256(source) != note["sha256"]:
        raise BooksDamaged(f"{source} is not as it was made")
    part = to.with_name(f"{to.name}.{os.getpid()}.part")
    try:
        shutil.copyfile(source, part)
        walked = _walked(str(part), note["head"])
        os.replace(part, to)
    finally:
        _cleared(part)
    return walked


def _restored_export(source: Path, place: str) -> dict[str, Any]:
    before, _ = migrate(place)
    if before != "0000":
        store = open_store(place)
        with store.reading() as session:
            begun = head(session).act
        store.close()
        if begun:
            raise CannotRecord(f"the books at {shown(place)} have begun already")
    store = open_store(place)
    try:
        return bring_in(store, source)
    finally:
        store.close()


def _walked(place: str, expected: dict[str, Any]) -> dict[str, Any]:
    store = open_store(place)
    try:
        with store.reading() as session:
            walked = walk(session)
    finally:
        store.close()
    if walked.broken or walked.head.to_dict() != expected:
        raise BooksDamaged(f"the chain in {place} is broken: {'; '.join(walked.broken[:3])}")
    return walked.to_dict()


def _cleared(part: Path) -> None:
    """Take away a half file and what the database had beside it."""
    for leftover in (part, *(part.with_name(part.name + end) for end in ("-wal", "-shm"))):
        leftover.unlink(missing_ok=True)


def _note(source: Path) -> dict[str, Any]:
    path = source.with_name(source.name + _NOTE)
    if not source.is_file() or not path.is_file():
        raise CannotRecord(f"{source} is no backup: file and {path.name} belong together")
    try:
        note: dict[str, Any] = json.loads(path.read_bytes())
        if set(note) != {"sha256", "head"}:
            raise ValueError
    except (ValueError, TypeError, RecursionError) as error:
        raise BooksDamaged(f"{path} is no note of a backup") from error
    return note


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
