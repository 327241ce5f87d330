"""Where the books stand: one SQLite file, or a PostgreSQL database for several users.

`open_store` opens them, `Store.reading` and `Store.writing` give a session. On SQLite a writer
takes the file at once (BEGIN IMMEDIATE), on PostgreSQL a lock that all writers share: acts form one
chain, so they wait in line, and a reader never waits.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Engine, create_engine, event, text
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm import Session

from linkwright.records.errors import BooksDamaged, CannotRecord
from linkwright.records.means import NO_MEANS, Means
from linkwright.records.writing import Writing

VERSION = "0002"
"""The version of the tables that this program reads and writes."""
WAIT_S = 30.0
"""How long a writer waits for another."""
_LOCK = 0x6C696E6B
_REMOTE = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs"}


class Store:
    """Open books.

    Args:
        engine: The database.
        place: The file or address, for messages.
        means: What acts need from other rooms.
    """

    def __init__(self, engine: Engine, place: str, means: Means = NO_MEANS) -> None:
        self.engine, self.place, self.means = engine, place, means

    @property
    def dialect(self) -> str:
        """``sqlite`` or ``postgresql``."""
        return self.engine.dialect.name

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees the books as they are now, and writes nothing."""
        options = {"isolation_level": "REPEATABLE READ"} if self.dialect == "postgresql" else {}
        with _told(self.place), Session(self.engine.execution_options(**options)) as session:
            yield session

    @contextmanager
    def aside(self) -> Iterator[Session]:
        """A session for what stands outside the chain, written whole at its end."""
        with _told(self.place), Session(self.engine.execution_options(writes=True)) as session:
            self._wait_in_line(session)
            yield session
            session.commit()

    @contextmanager
    def writing(
        self, person: str, roles: frozenset[str], action: str, *, why: str, asked: dict[str, Any],
        key: str | None = None,
    ) -> Iterator[Writing]:  # fmt: skip
        """One act: written whole at the end of the block, not at all if it raises."""
        engine = self.engine.execution_options(writes=True)
        with _told(self.place), Session(engine, expire_on_commit=False) as session:
            self._wait_in_line(session)
            writing = Writing(session, person, roles, action, why, asked, key, self.means)
            yield writing
            if writing.close():
                session.commit()

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()

    def _wait_in_line(self, session: Session) -> None:
        if self.dialect == "postgresql":
            session.execute(text(f"SET LOCAL lock_timeout = '{int(WAIT_S * 1000)}ms'"))
            session.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})


def engine_of(place: str) -> Engine:
    """An engine for a file or an address ``postgresql://…``; nothing is looked at yet."""
    if place.startswith(("postgresql://", "postgresql+psycopg://")):
        address = place.replace("postgresql://", "postgresql+psycopg://", 1)
        try:
            return create_engine(address, pool_pre_ping=True)
        except ModuleNotFoundError as error:
            raise CannotRecord(
                f"{error.name} is not installed; PostgreSQL needs the extra `postgresql`"
            ) from error
    _refuse_remote(Path(place))
    file = URL.create("sqlite", database=place)  # whatever signs its name has
    engine = create_engine(file, connect_args={"timeout": WAIT_S})
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def shown(place: str) -> str:
    """A place for people: an address without user and password."""
    return place.rpartition("@")[2] if "://" in place else place


def open_store(place: str, means: Means = NO_MEANS) -> Store:
    """Open books that exist.

    Raises `CannotRecord` if there are none, if they are of another version of the program, or if
    the database may lose what it has confirmed.
    """
    if "://" not in place and not Path(place).is_file():
        raise CannotRecord(
            f"there are no books at {place}; `linkwright books start {place}` begins"
        )
    store = Store(engine_of(place), place, means)
    try:
        with store.reading() as session:
            held = session.scalar(text("SELECT version_num FROM alembic_version"))
            safe = store.dialect != "postgresql" or session.scalar(text("SHOW fsync")) == "on"
    except CannotRecord as error:
        store.close()
        raise CannotRecord(f"{shown(place)} holds no books of linkwright: {error}") from error
    if held != VERSION:
        store.close()
        what = "newer than this program" if str(held) > VERSION else "of an older program"
        help_ = "" if str(held) > VERSION else "; `linkwright books migrate` brings them up"
        raise CannotRecord(
            f"the books at {shown(place)} are {what} (version {held}, not {VERSION}){help_}"
        )
    if not safe:
        store.close()
        raise CannotRecord("this PostgreSQL runs with fsync off and may lose what it has confirmed")
    return store


def _set_up_sqlite(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # we begin transactions ourselves, see _begin_sqlite
    for setting in (
        "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "recursive_triggers=ON",
        f"busy_timeout={int(WAIT_S * 1000)}", "trusted_schema=OFF", "cell_size_check=ON",
    ):  # fmt: skip
        connection.execute(f"PRAGMA {setting}")


def _begin_sqlite(connection: Any) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def _told(place: str) -> Iterator[None]:
    """Turn what a database says into a sentence with the place in it."""
    try:
        yield
    except DBAPIError as error:
        raise _sentence(error, place) from error


def _sentence(error: DBAPIError, place: str) -> CannotRecord | BooksDamaged:
    said = str(error.orig).strip().splitlines()[0] if error.orig else str(error)
    where = shown(place)
    code = getattr(error.orig, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_FULL or "No space left" in said or "disk is full" in said:
        return CannotRecord(f"the disk of {where} is full; nothing was written, free some space")
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return BooksDamaged(f"{where} is damaged or no database: {said}; restore the newest backup")
    if code == sqlite3.SQLITE_BUSY or "lock timeout" in said:
        return CannotRecord(f"somebody else is writing to {where} for {WAIT_S:g} s; try again")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return CannotRecord(f"{where} cannot be written or opened: {said}")
    kind = "could not be reached" if isinstance(error, OperationalError) else "refused"
    return CannotRecord(f"the database {where} {kind}: {said}")


def _refuse_remote(path: Path) -> None:
    """SQLite's journal wants memory that only one machine shares."""
    mounts = Path("/proc/mounts")
    if not mounts.is_file():
        return
    inside = path.absolute()
    best, kind = "", ""
    for line in mounts.read_text(encoding="utf-8", errors="replace").splitlines():
        _, point, filesystem, *_ = line.split(" ")
        if inside.is_relative_to(point) and len(point) > len(best):
            best, kind = point, filesystem
    if kind in _REMOTE:
        raise CannotRecord(f"{path} lies on a network share ({kind}); use PostgreSQL there")
