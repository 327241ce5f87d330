"""Readings of machines taken into a folder of link data: once, by a map, or as files come.

- `IngestRequest`: the request; `ingest`: files or folders once; `watch`: as they come
- `preview`: what the first rows would become; nothing is written
- `Ingested`, `Preview`: what comes out
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkwright.link_data.judging import judged
from linkwright.link_data.machine_clocks import Relation
from linkwright.link_data.map_file import FileMap, Map, map_schema_text, read_map
from linkwright.link_data.taking import Taken, open_source, take_in
from linkwright.quantities import InputErrors, LinkwrightError, Problem
from linkwright.services.plain import SCHEMA_VERSION

__all__ = [
    "FileOutcome", "IngestRequest", "Ingested", "Preview", "ingest", "map_schema_text", "preview",
    "watch",
]  # fmt: skip

STILL_S = 2.0
"""Seconds without a change after which a file counts as complete."""
POLL_S = 0.5
PREVIEW_ROWS = 5
_UNFINISHED = (".part", ".tmp", ".half", ".swp")


@dataclass(frozen=True)
class IngestRequest:
    """What is asked: files and folders, the map file, the folder of link data."""

    paths: tuple[Path, ...]
    map_file: Path
    into: Path


@dataclass(frozen=True)
class FileOutcome:
    """What became of one file: taken, known before, or what is wrong with it."""

    file: Path
    taken: Taken | None = None
    error: LinkwrightError | None = None

    @property
    def problems(self) -> list[dict[str, Any]]:
        """What is wrong with a refused file."""
        return [] if self.error is None else self.error.problems()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        if self.taken is None:
            return {"file": str(self.file), "outcome": "refused", "problems": self.problems}
        entry = self.taken.entry
        return {
            "file": str(self.file), "outcome": "known" if self.taken.before else "taken",
            "kind": entry.kind, "records": entry.records, "rows": entry.rows,
            "repeats": entry.repeats, "set_aside": entry.set_aside, "passed": entry.passed,
            "first": entry.first, "last": entry.last, "sha256": entry.sha256,
            "parts": list(entry.parts),
            "set_aside_file": next((final for _, final in entry.moves
                                    if final.endswith(".jsonl")), None),
        }  # fmt: skip


@dataclass(frozen=True)
class Ingested:
    """All files in their order, and names that no pattern of the map meets."""

    into: Path
    files: tuple[FileOutcome, ...]
    unmatched: tuple[Path, ...]
    clocks: tuple[Relation, ...] = ()

    @property
    def refused(self) -> tuple[FileOutcome, ...]:
        """Files that could not be read."""
        return tuple(one for one in self.files if one.taken is None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        new = [one.taken.entry for one in self.files if one.taken and not one.taken.before]
        return {
            "schema_version": SCHEMA_VERSION, "into": str(self.into),
            "rows": sum(one.rows for one in new), "repeats": sum(one.repeats for one in new),
            "set_aside": sum(one.set_aside for one in new),
            "files": [one.to_dict() for one in self.files],
            "unmatched": [str(path) for path in self.unmatched],
            "clocks": [
                {"here": one.here, "there": one.there, "version": one.version,
                 "stretches": len(one.stretches), "offset_s": one.stretches[-1].middle[0],
                 "drift": one.stretches[-1].middle[1], "doubt_s": one.stretches[-1].doubt_s}
                for one in self.clocks
            ],
        }  # fmt: skip


@dataclass(frozen=True)
class Preview:
    """The first rows of a file as they would be taken in, and the first that would not."""

    file: Path
    kind: str
    columns: tuple[tuple[str, str, str], ...]
    rows: tuple[Mapping[str, Any], ...]
    looked_at: int
    set_aside: tuple[tuple[int, str, str], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION, "file": str(self.file), "kind": self.kind,
            "columns": [{"name": name, "from": head, "unit": unit}
                        for name, head, unit in self.columns],
            "rows": [dict(row) for row in self.rows], "looked_at": self.looked_at,
            "set_aside": [{"row": row, "reason": why, "text": text}
                          for row, why, text in self.set_aside],
        }  # fmt: skip


def ingest(request: IngestRequest) -> Ingested:
    """Take files in, each wholly or not at all; a bad one does not keep the others out.

    Raises `InputErrors` for a wrong map or place, or if the only file asked for cannot be read;
    `LinkDataError` if the folder cannot be written.
    """
    rules = read_map(request.map_file)
    files = list(_files(request))
    matched = [(path, how) for path in files if (how := rules.of(path.name)) is not None]
    unmatched = [path for path in files if rules.of(path.name) is None]
    if not matched:
        raise InputErrors([_no_pattern(request, rules)])
    outcomes = [_outcome(path, how, request.into) for path, how in matched]
    if len(outcomes) == 1 and outcomes[0].error is not None:
        raise outcomes[0].error
    new = any(one.taken and not one.taken.before for one in outcomes)
    clocks = clocks_of(rules, request.into) if new else ()
    return Ingested(request.into, tuple(outcomes), tuple(unmatched), clocks)


def clocks_of(rules: Map, into: Path) -> tuple[Relation, ...]:
    """Offset and drift of the machines that a map names, from the order of all links so far."""
    if not rules.clocks:
        return ()
    from linkwright.services.tracing import clocks_at_ingest  # noqa: PLC0415

    found = (clocks_at_ingest(into, pair) for pair in rules.clocks)
    return tuple(one for one in found if one is not None and one.stretches)


def watch(
    request: IngestRequest, *, still_s: float = STILL_S, poll_s: float = POLL_S
) -> Iterator[FileOutcome]:
    """Take files in as they are complete, for ever; ends by the interrupt of the user.

    A file is complete if neither its size nor its time of change moved for ``still_s``. One that
    was refused is tried again when it changes. Raises `InputErrors` as `ingest`.
    """
    rules = read_map(request.map_file)
    seen: dict[Path, tuple[int, int]] = {}
    done: dict[Path, tuple[int, int]] = {}
    since: dict[Path, float] = {}
    while True:
        for path in _files(request):
            how = rules.of(path.name)
            state = _state(path) if how is not None else None
            if how is None or state is None or done.get(path) == state:
                continue
            if seen.get(path) != state:
                seen[path] = state
                age = max(0.0, time.time() - state[1] / 1e9)
                since[path] = time.monotonic() - age
            if time.monotonic() - since[path] >= still_s:
                outcome = _outcome(path, how, request.into)
                done[path] = state
                if outcome.taken and not outcome.taken.before:
                    clocks_of(rules, request.into)
                yield outcome
        time.sleep(poll_s)


def preview(request: IngestRequest) -> Preview:
    """What the first rows of the first file would become. Raises `InputErrors`."""
    rules = read_map(request.map_file)
    for path in _files(request):
        how = rules.of(path.name)
        if how is not None:
            return _preview(path, how)
    raise InputErrors([_no_pattern(request, rules)])


def _preview(path: Path, how: FileMap) -> Preview:
    rows: list[dict[str, Any]] = []
    aside: list[tuple[int, str, str]] = []
    looked = 0
    with closing(open_source(path, how)) as source:
        piece = next(iter(source.pieces()), None)
        if piece is not None:
            found = judged(source.batch(piece), how)
            looked = found.records
            aside = [(one.row + source.first_row, one.reason, one.text)
                     for one in found.rejected[:PREVIEW_ROWS]]  # fmt: skip
            rows = found.table.slice(0, PREVIEW_ROWS).to_pylist()
    for row in rows:
        row["row"] += source.first_row
        row["clock"] = row["clock"].isoformat()
    columns = tuple((one.column.name, one.head if one.head is not None else f"fixed {one.fixed}",
                     one.unit) for one in how.columns)  # fmt: skip
    return Preview(path, how.kind.name, columns, tuple(rows), looked, tuple(aside))


def _outcome(path: Path, how: FileMap, into: Path) -> FileOutcome:
    try:
        return FileOutcome(path, take_in(path, how, into))
    except LinkwrightError as error:
        if error.exit_code == 1:
            raise
        return FileOutcome(path, None, error)


def _files(request: IngestRequest) -> Iterator[Path]:
    """The files asked for, those of folders by name; what is being written is left out."""
    for path in request.paths:
        if not path.exists():
            text = "there is no such file or folder"
            raise InputErrors([Problem("file", text, str(path))])
        if not path.is_dir():
            yield path
            continue
        for one in sorted(path.iterdir()):
            hidden = one.name.startswith(".") or one.suffix.lower() in _UNFINISHED
            if one.is_file() and not hidden and one.suffix != ".toml":
                yield one


def _state(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns


def _no_pattern(request: IngestRequest, rules: Map) -> Problem:
    patterns = ", ".join(dict.fromkeys(one.pattern for one in rules.files))
    where = ", ".join(str(path) for path in request.paths)
    return Problem("no-pattern", "no file is met by a pattern of the map", where, None, None,
                   f"names such as {patterns}")  # fmt: skip
