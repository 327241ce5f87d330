"""A folder of link data opened for reading: one table a kind, in DuckDB, within limits.

    with opened(Path("links")) as data:
        data.sql("select machine, count(*) from weld group by all").fetchall()

Every kind is a view by its own name with all its columns and ``day``; a kind nothing was taken
in for is empty. ``machine`` and ``day`` in a condition leave other files unread. The database is
in memory, may read that folder and nothing else, loads no extensions and cannot be reconfigured.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb

from linkwright.link_data.columns import KINDS, Kind
from linkwright.quantities import CannotPlan, InputErrors, Problem

MEMORY_LIMIT = "1GiB"
"""Memory that queries may use unless told otherwise; more spills to the system's scratch."""
_TYPES = {"text": "VARCHAR", "whole": "BIGINT", "number": "DOUBLE",
          "clock": "TIMESTAMP WITH TIME ZONE", "numbers": "DOUBLE[]"}  # fmt: skip
_DAY = re.compile(r"day=\d{4}-\d{2}-\d{2}", re.ASCII)


class LinkDataError(CannotPlan):
    """Link data cannot be read or written; says what and where."""

    code = "link-data"


@dataclass(frozen=True)
class Dataset:
    """An open folder of link data."""

    folder: Path
    connection: duckdb.DuckDBPyConnection

    def sql(self, query: str, values: Sequence[Any] | dict[str, Any] = ()) -> Any:
        """Carry out one query; values stand for ``?`` or ``$name``. Raises `LinkDataError`."""
        try:
            return self.connection.execute(query, values)
        except duckdb.Error as error:
            raise LinkDataError(f"{self.folder}: {_first_line(error)}") from error

    def files(self, kind: str) -> list[Path]:
        """The files of a kind, by day, machine and name."""
        return part_files(self.folder, kind)


@contextmanager
def opened(
    folder: Path, *, memory_limit: str = MEMORY_LIMIT, threads: int | None = None
) -> Iterator[Dataset]:
    """Open a folder for reading. Raises `InputErrors` if it is none."""
    if not folder.is_dir():
        text = "is no folder of link data"
        raise InputErrors([Problem("file", text, str(folder), accepted="a folder of ingest")])
    connection = _connected(folder, memory_limit, threads)
    try:
        yield Dataset(folder, connection)
    except duckdb.Error as error:
        raise LinkDataError(f"{folder}: {_first_line(error)}") from error
    finally:
        connection.close()


def part_files(folder: Path, kind: str) -> list[Path]:
    """The Parquet files of a kind, by day, machine and name."""
    days = sorted(one for one in _entries(folder / kind) if _DAY.fullmatch(one.name))
    return [
        part
        for day in days
        for machine in sorted(_entries(day))
        if machine.name.startswith("machine=")
        for part in sorted(_entries(machine))
        if part.suffix == ".parquet"
    ]


def _entries(folder: Path) -> list[Path]:
    try:
        return [Path(one.path) for one in os.scandir(folder)]
    except (FileNotFoundError, NotADirectoryError):
        return []


def _connected(folder: Path, memory_limit: str, threads: int | None) -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect(":memory:")
    try:
        for setting in _settings(folder, memory_limit, threads):
            connection.execute(setting)
        for one in KINDS.values():
            connection.execute(_view(one, part_files(folder, one.name)))
        connection.execute("SET lock_configuration = true")
    except duckdb.Error as error:
        connection.close()
        raise LinkDataError(f"{folder}: {_first_line(error)}") from error
    return connection


def _settings(folder: Path, memory_limit: str, threads: int | None) -> Iterator[str]:
    yield "SET TimeZone = 'UTC'"
    yield "SET autoinstall_known_extensions = false"
    yield "SET autoload_known_extensions = false"
    yield f"SET memory_limit = {_quoted(memory_limit)}"
    yield "SET preserve_insertion_order = false"
    if threads is not None:
        yield f"SET threads = {threads:d}"
    yield f"SET allowed_directories = [{_quoted(f'{folder.resolve()}/')}]"
    yield "SET enable_external_access = false"


def _view(kind: Kind, files: Sequence[Path]) -> str:
    """The view of a kind: its files by name, so that nothing half written is ever looked at."""
    if not files:
        empty = ", ".join(f"NULL::{_TYPES[one.form]} AS {one.name}" for one in kind.columns)
        return f"CREATE VIEW {kind.name} AS SELECT {empty}, NULL::DATE AS day WHERE false"
    listed = ", ".join(_quoted(str(one.resolve())) for one in files)
    names = ", ".join(f'"{one}"' for one in (*kind.names, "day"))
    return (
        f"CREATE VIEW {kind.name} AS SELECT {names} FROM read_parquet([{listed}], "
        "hive_partitioning = true, hive_types = {'day': DATE, 'machine': VARCHAR}, "
        "union_by_name = false)"
    )


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _first_line(error: Exception) -> str:
    return str(error).strip().split("\n", 1)[0]
