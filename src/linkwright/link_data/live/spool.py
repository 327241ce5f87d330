"""The spool: JSON-lines files that are on the disk before anything is confirmed.

    SPOOL/open/NAME.jsonl           being written, one for each reading
    SPOOL/ready/NAME@TIME.jsonl     closed: what ingest takes
    SPOOL/set_aside/DAY.jsonl       what was no reading, and why; bounded
    SPOOL/state.json                where each machine's counter was
    SPOOL/map.toml                  the map for ingest

`Spool.write` puts a batch on the disk wholly, or takes the files back to where they were and
raises `NotWritten`. A fall of the program leaves at most half a last line, which was never
confirmed: `recovered` cuts it off and closes the file.
"""

from __future__ import annotations

import contextlib
import datetime
import errno
import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from filelock import FileLock, Timeout

from linkwright.link_data.ledger import sync_folder
from linkwright.link_data.live.map_text import SIGN
from linkwright.link_data.live.retries import Failed
from linkwright.quantities import CannotPlan

MOST_BYTES = 8_000_000
"""Size at which a file is closed whatever its age."""
MOST_ASIDE_BYTES = 64_000_000
"""What is set aside beyond this is counted only."""
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


class NotWritten(Failed):
    """A batch is not on the disk; nothing of it is confirmed."""


class SpoolInUse(CannotPlan):
    """Another collector writes into the folder."""

    code = "spool-in-use"


class Recovered(NamedTuple):
    """A file that a fall had left open: now closed, with the bytes that were cut off."""

    name: str
    path: Path
    cut_bytes: int


class Spool:
    """A spool folder, held by one process."""

    def __init__(
        self, folder: Path, close_after_s: float, now: Callable[[], float],
        *, most_aside_bytes: int = MOST_ASIDE_BYTES,
    ) -> None:  # fmt: skip
        self.folder, self._close_after_s, self._now = folder, close_after_s, now
        self.ready = folder / "ready"
        for one in ("open", "ready", "set_aside"):
            (folder / one).mkdir(parents=True, exist_ok=True)
        self._lock = FileLock(folder / "lock", mode=0o640)
        try:
            self._lock.acquire(blocking=False)
        except Timeout:
            raise SpoolInUse(f"{folder}: another collector writes into this folder") from None
        self._files: dict[str, _Open] = {}
        self._aside: _Open | None = None
        self._room = most_aside_bytes - sum(
            one.stat().st_size for one in (folder / "set_aside").iterdir()
        )

    def recovered(self) -> Iterator[Recovered]:
        """Close the files that a fall left open."""
        for path in sorted((self.folder / "open").glob("*.jsonl")):
            cut = _cut_half_line(path)
            if path.stat().st_size:
                yield Recovered(path.stem, self._closed(path), cut)
            else:
                path.unlink()

    def write(self, lines: Mapping[str, Sequence[bytes]], asides: Sequence[bytes]) -> int:
        """Put lines into the files of their readings, all of them on the disk at the end.

        The number of asides that found no room and are counted only. Raises `NotWritten`.
        """
        fitting = self._fitting(asides)
        grown: list[_Open] = []
        try:
            for name, many in lines.items():
                grown.append(self._file(name))
                grown[-1].grow(b"".join(many))
            if fitting:
                grown.append(self._aside_file())
                grown[-1].grow(b"".join(fitting))
            for file in grown:
                os.fsync(file.fd)
        except OSError as error:
            for file in grown:
                file.back()
            raise NotWritten(self._sentence(error)) from None
        for file in grown:
            file.settle()
        self._room -= sum(map(len, fitting))
        return len(asides) - len(fitting)

    def close_due(self, *, every: bool = False) -> list[Path]:
        """Close the files that are old or large enough, or all; where they are now."""
        made = []
        for name, file in list(self._files.items()):
            old = self._now() - file.since >= self._close_after_s
            if file.size and (every or old or file.size >= MOST_BYTES):
                try:
                    made.append(self._closed(file.path))
                except OSError as error:
                    raise NotWritten(self._sentence(error)) from None
                os.close(self._files.pop(name).fd)
        return made

    def state(self) -> Mapping[str, Any]:
        """What `keep_state` kept; empty if there is none."""
        try:
            found = json.loads((self.folder / "state.json").read_text("utf-8"))
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def keep_state(self, state: Mapping[str, Any]) -> None:
        """Keep plain data for the next start; a full disk only makes it older."""
        part = self.folder / "state.json.part"
        with contextlib.suppress(OSError):
            part.write_text(json.dumps(state), "utf-8")
            os.replace(part, self.folder / "state.json")

    def release(self) -> None:
        """Let another process have the folder."""
        for file in self._files.values():
            os.close(file.fd)
        self._files.clear()
        if self._aside is not None:
            os.close(self._aside.fd)
            self._aside = None
        self._lock.release()

    def _file(self, name: str) -> _Open:
        if name not in self._files:
            path = self.folder / "open" / f"{name}.jsonl"
            self._files[name] = _Open(path, self._now())
            sync_folder(path.parent)
        return self._files[name]

    def _aside_file(self) -> _Open:
        day = datetime.datetime.now(datetime.UTC).date().isoformat()
        path = self.folder / "set_aside" / f"{day}.jsonl"
        if self._aside is None or self._aside.path != path:
            if self._aside is not None:
                os.close(self._aside.fd)
            self._aside = _Open(path, self._now())
            sync_folder(path.parent)
        return self._aside

    def _fitting(self, asides: Sequence[bytes]) -> list[bytes]:
        room, made = self._room, []
        for line in asides:
            if len(line) > room:
                break
            room -= len(line)
            made.append(line)
        return made

    def _closed(self, path: Path) -> Path:
        """Rename an open file so that ingest sees it, and only whole."""
        moment = datetime.datetime.now(datetime.UTC)
        while True:
            target = self.ready / f"{path.stem}{SIGN}{moment:%Y%m%dT%H%M%S%fZ}.jsonl"
            if not target.exists():
                break
            moment += datetime.timedelta(microseconds=1)
        os.rename(path, target)
        sync_folder(path.parent)
        sync_folder(self.ready)
        return target

    def _sentence(self, error: OSError) -> str:
        if error.errno in _FULL:
            return f"{self.folder}: the disk is full; nothing is confirmed until there is room"
        return f"{self.folder}: cannot be written: {error.strerror}; nothing is confirmed"


class _Open:
    """A file that grows at its end; what was not settled is overwritten."""

    def __init__(self, path: Path, since: float) -> None:
        self.path, self.since = path, since
        if path.exists():
            _cut_half_line(path)
        self.fd = os.open(path, os.O_CREAT | os.O_WRONLY, 0o640)
        self.size = self._end = os.fstat(self.fd).st_size

    def grow(self, raw: bytes) -> None:
        """Write behind what is settled."""
        left = memoryview(raw)
        self._end = self.size
        while left:
            wrote = os.pwrite(self.fd, left, self._end)
            left, self._end = left[wrote:], self._end + wrote
        os.ftruncate(self.fd, self._end)

    def settle(self) -> None:
        """What was written is on the disk."""
        self.size = self._end

    def back(self) -> None:
        """Take off what was not settled."""
        with contextlib.suppress(OSError):
            os.ftruncate(self.fd, self.size)


def _cut_half_line(path: Path) -> int:
    """Cut off what stands behind the last end of a line; how many bytes that was."""
    raw = path.read_bytes()
    whole = raw.rfind(b"\n") + 1
    if whole < len(raw):
        os.truncate(path, whole)
        with path.open("rb") as held:
            os.fsync(held.fileno())
    return len(raw) - whole
