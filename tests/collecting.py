"""Files and runs of live collection for tests: a collect.toml, and what lies in a spool."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from linkwright.services.collecting import CollectAnswer, CollectRequest, collect

WELD = """
[[reading]]
name = "weld-W07"
server = "hall"
kind = "weld"
machine = "W07"
topic = "works/W07/weld"
[[reading.column]]
name = "counter"
from = "n"
[[reading.column]]
name = "clock"
from = "t"
form = "unix_ms"
[[reading.column]]
name = "current_A"
from = "weld.current"
unit = "kA"
"""
"""A reading of an invented welder at a broker."""

MACHINE = """
[[reading]]
name = "weld-W07"
server = "hall"
kind = "weld"
machine = "W07"
interval_s = 0.05
[[reading.column]]
name = "counter"
from = "ns=2;s=W.Counter"
[[reading.column]]
name = "current_A"
from = "ns=2;s=W.Current"
unit = "kA"
[[reading.column]]
name = "electrode_force_N"
from = "ns=2;s=W.Force"
[[reading.column]]
name = "coil"
from = "ns=2;s=W.Coil"
"""
"""A reading of the same welder at a server."""


def broker_text(url: str, *more: str, reading: str = WELD) -> str:
    """A collect.toml of one broker."""
    lines = ["[[server]]", 'name = "hall"', f'url = "{url}"', 'client = "collector"', *more]
    return "\n".join(lines) + "\n" + reading


def machine_text(url: str, *more: str, reading: str = MACHINE) -> str:
    """A collect.toml of one server."""
    return "\n".join(["[[server]]", 'name = "hall"', f'url = "{url}"', *more]) + "\n" + reading


def message(number: int, current: float = 8.1) -> dict[str, Any]:
    """A message of the invented welder."""
    return {"n": number, "t": 1_764_190_000_000 + number, "weld": {"current": current}}


class Place:
    """A folder with a collect.toml and a spool."""

    def __init__(self, folder: Path, text: str) -> None:
        self.file, self.spool = folder / "collect.toml", folder / "spool"
        self.file.write_text(text)
        self.said: list[str] = []

    def once(self, quiet_s: float = 0.2) -> CollectAnswer:
        """Take what waits."""
        return collect(
            CollectRequest(self.file, self.spool, once=True, quiet_s=quiet_s, say=self.said.append)
        )

    @contextmanager
    def running(self) -> Iterator[SimpleNamespace]:
        """Collect in a thread until the end of the block; then ``answer`` is there."""
        held = SimpleNamespace(answer=None, stop=threading.Event())
        request = CollectRequest(self.file, self.spool, say=self.said.append, stop=held.stop)

        def body() -> None:
            held.answer = collect(request)

        thread = threading.Thread(target=body)
        thread.start()
        try:
            yield held
        finally:
            held.stop.set()
            thread.join(20.0)

    def rows(self) -> list[dict[str, Any]]:
        """All rows in files, closed or open."""
        return [one for part in ("ready", "open") for one in self._lines(part)]

    def closed(self) -> list[dict[str, Any]]:
        """All rows in closed files."""
        return self._lines("ready")

    def set_aside(self) -> list[dict[str, Any]]:
        """What was set aside."""
        return self._lines("set_aside")

    def _lines(self, part: str) -> list[dict[str, Any]]:
        files = sorted((self.spool / part).glob("*.jsonl"))
        return [json.loads(line) for path in files for line in path.read_text().splitlines()]


def wait_for(what: Callable[[], bool], longest_s: float = 10.0) -> None:
    """Wait until it is so; fail if it never is."""
    until = time.monotonic() + longest_s
    while not what():
        assert time.monotonic() < until, "it never came so far"
        time.sleep(0.02)
