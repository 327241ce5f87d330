"""The whole of the books as files in open formats, and back into empty ones.

    EXPORT/manifest.json      version of the tables, head of the chain, SHA-256 of every file
    EXPORT/<table>.jsonl      one row a line, as canonical JSON; pass phrases stay behind
    EXPORT/papers/<digest>    kept papers

All is of one moment. After `bring_in` the chain has the same head, so nothing was lost or changed.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert, select
from sqlalchemy.orm import Session

from linkwright.records.base import Act, Base, Content, KnownAs, Login, Record
from linkwright.records.chain import head, walk
from linkwright.records.errors import BooksDamaged, CannotRecord
from linkwright.records.kinds import KINDS
from linkwright.records.store import VERSION, Store, shown
from linkwright.works.canonical import canonical_bytes

MANIFEST = "manifest.json"
_PAPERS = "papers"
_AT_ONCE = 500
_LEFT = {Login.__tablename__, Content.__tablename__}


def take_out(store: Store, folder: Path) -> dict[str, Any]:
    """Write everything into a new folder. Raises `CannotRecord` if it is there already."""
    part = folder.with_name(f"{folder.name}.{os.getpid()}.part")
    if folder.exists():
        raise CannotRecord(f"{folder} is there already")
    part.mkdir(parents=True)
    try:
        with store.reading() as session:
            digests = {f"{table.name}.jsonl": _written(session, table, part) for table in _tables()}
            digests |= _papers_written(session, part / _PAPERS)
            manifest = {
                "format": "linkwright books", "version": VERSION, "head": head(session).to_dict(),
                "files": digests,
            }  # fmt: skip
        (part / MANIFEST).write_bytes(canonical_bytes(manifest) + b"\n")
        part.rename(folder)
    finally:
        if part.exists():
            _remove(part)
    return manifest


def bring_in(store: Store, folder: Path) -> dict[str, Any]:
    """Read an export into books without any act; whole or not at all.

    Raises:
        CannotRecord: the books have begun, or it is no export of this version.
        BooksDamaged: a file is not as it was written, or the chain does not hold.
    """
    manifest = _manifest(folder)
    with store.aside() as session:
        if head(session).act:
            raise CannotRecord(f"the books at {shown(store.place)} have begun already")
        for name, digest in manifest["files"].items():
            if name.startswith(f"{_PAPERS}/"):
                data = _checked(folder, name, digest)
                session.add(Content(digest=Path(name).name, data=data))
        for table in _tables():
            name = f"{table.name}.jsonl"
            data = _checked(folder, name, manifest["files"].get(name, ""))
            _read(session, table, data)
        session.flush()
        session.expire_all()
        walked = walk(session)
        if walked.broken or walked.head.to_dict() != manifest["head"]:
            said = "; ".join(walked.broken[:3]) or "its head differs from the manifest"
            raise BooksDamaged(f"the chain in {folder} is broken: {said}")
    return walked.to_dict()


def _tables() -> list[Table]:
    """Tables in the order in which references allow them to be filled."""
    first = [Act.__table__, Record.__table__, KnownAs.__table__]
    return [Base.metadata.tables[str(t.name)] for t in first] + [  # type: ignore[attr-defined]
        Base.metadata.tables[kind] for kind in KINDS
    ]


def _written(session: Session, table: Table, folder: Path) -> str:
    digest = hashlib.sha256()
    with (folder / f"{table.name}.jsonl").open("wb") as file:
        for line in _lines(session, table):
            digest.update(line)
            file.write(line)
        file.flush()
        os.fsync(file.fileno())
    return digest.hexdigest()


def _lines(session: Session, table: Table) -> Iterator[bytes]:
    key = next(iter(table.primary_key.columns))
    rows = session.execute(select(table).order_by(key)).yield_per(_AT_ONCE)
    for row in rows.mappings():
        yield canonical_bytes({k: v for k, v in row.items() if v is not None}) + b"\n"


def _papers_written(session: Session, folder: Path) -> dict[str, str]:
    folder.mkdir()
    digests = {}
    for content in session.scalars(select(Content).order_by(Content.digest)).yield_per(5):
        (folder / content.digest).write_bytes(content.data)
        digests[f"{_PAPERS}/{content.digest}"] = content.digest
        session.expunge(content)
    return digests


def _manifest(folder: Path) -> dict[str, Any]:
    path = folder / MANIFEST
    if not path.is_file():
        raise CannotRecord(f"{folder} is no export: it has no {MANIFEST}")
    try:
        held = json.loads(path.read_bytes())
        good = held["format"] == "linkwright books" and isinstance(held["files"], dict)
    except (ValueError, KeyError, TypeError, RecursionError):
        good = False
    if not good:
        raise BooksDamaged(f"{path} is no manifest of an export")
    if held["version"] != VERSION:
        raise CannotRecord(f"{folder} is of version {held['version']}, this program of {VERSION}")
    result: dict[str, Any] = held
    return result


def _checked(folder: Path, name: str, digest: str) -> bytes:
    path = folder / name
    if ".." in Path(name).parts or Path(name).is_absolute() or not path.is_file():
        raise BooksDamaged(f"{path} is missing")
    data = path.read_bytes()
    if hashlib.sha256(data).hexdigest() != digest:
        raise BooksDamaged(f"{path} is not as it was written")
    return data


def _read(session: Session, table: Table, data: bytes) -> None:
    empty = {column.key: None for column in table.columns}
    try:
        rows = [{**empty, **json.loads(line)} for line in data.splitlines()]
    except (ValueError, TypeError) as error:
        raise BooksDamaged(f"{table.name}.jsonl holds a line that is no row") from error
    if any(set(row) != set(empty) for row in rows):
        raise BooksDamaged(f"{table.name}.jsonl holds columns that this program does not know")
    for begin in range(0, len(rows), _AT_ONCE):
        session.execute(insert(table), rows[begin : begin + _AT_ONCE])


def _remove(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    folder.rmdir()
