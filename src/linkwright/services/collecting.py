"""Live collection of machine readings: typed request in, what was collected out.

- `CollectRequest`: the request; `collect`: collects until it ends
- `CollectAnswer`: what comes out; `NotInstalled`: a package that is missing
- `collect_schema_text`: the JSON Schema of collect.toml
"""

from __future__ import annotations

import importlib
import signal
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkwright.link_data.live.collect_file import CollectFile, Collecting, Server, read_collect
from linkwright.link_data.live.collecting import Collector, Tally, Until
from linkwright.link_data.live.counters import Finding
from linkwright.link_data.live.map_text import map_text
from linkwright.link_data.live.secret_files import password_of, present_file, private_file
from linkwright.link_data.live.sources import Signals, Source, SourceState
from linkwright.link_data.live.spool import Spool, SpoolInUse
from linkwright.quantities import CannotPlan, InputErrors, Problem
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.written_file import write_file
from linkwright.works.schema import schema_text_of

__all__ = ["CollectAnswer", "CollectRequest", "NotInstalled", "SpoolInUse", "collect",
           "collect_schema_text"]  # fmt: skip

_SOURCES = {"opc.tcp": ("opcua_source", "OpcuaSource", "asyncua"),
            "mqtt": ("mqtt_source", "MqttSource", "paho-mqtt"),
            "mqtts": ("mqtt_source", "MqttSource", "paho-mqtt")}  # fmt: skip


class NotInstalled(CannotPlan):
    """A package that live collection needs is not there; says how to get it."""

    code = "not-installed"


@dataclass(frozen=True)
class CollectRequest:
    """What is asked.

    file: collect.toml. spool: the folder. once: take what waits and end. for_s: end after so
    long. quiet_s: nothing came for so long means that nothing waits. say: told what happens
    meanwhile. closed: called with every file that is closed. stop: ends the run from outside.
    """

    file: Path
    spool: Path
    once: bool = False
    for_s: float | None = None
    quiet_s: float = 2.0
    say: Callable[[str], None] = print
    closed: Callable[[Path], None] | None = None
    stop: threading.Event | None = None


@dataclass(frozen=True)
class CollectAnswer:
    """What was collected."""

    spool: Path
    tally: Tally
    gaps: tuple[Finding, ...]
    sources: tuple[tuple[Server, SourceState], ...]

    @property
    def whole(self) -> bool:
        """Whether every source was reached and all that came is on the disk."""
        reached = all(state.connections for _, state in self.sources)
        return reached and not self.tally.unwritten

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        tally = self.tally
        return {
            "schema_version": SCHEMA_VERSION, "spool": str(self.spool), "whole": self.whole,
            "rows": tally.rows, "repeats": tally.repeats, "set_aside": tally.set_aside,
            "not_kept": tally.not_kept, "unwritten": tally.unwritten,
            "gaps": [{"kind": one.kind, "machine": one.machine, "first": one.first,
                      "last": one.last} for one in self.gaps],
            "sources": [{"name": server.name, "url": server.url, **state.to_dict()}
                        for server, state in self.sources],
            "files": [str(path) for path in tally.files],
        }  # fmt: skip


def collect(request: CollectRequest) -> CollectAnswer:
    """Collect until stopped (Ctrl-C or SIGTERM), or as the request says.

    Raises `InputErrors` for what is wrong with the file or its secrets, `NotInstalled`,
    `SpoolInUse`.
    """
    collecting = read_collect(request.file)
    passwords = [_secrets(server, collecting.name) for server in collecting.servers]
    makers = [_maker(server) for server in collecting.servers]
    if request.spool.exists() and not request.spool.is_dir():
        raise InputErrors([Problem("file", "is no folder", str(request.spool))])
    spool = Spool(request.spool, collecting.close_after_s, time.monotonic)
    try:
        write_file(request.spool / "map.toml", map_text(collecting))
        signals = Signals(request.stop)
        collector = Collector(collecting, spool, signals, request.say, request.closed)
        collector.recover()
        collector.sources = _sources(collecting, passwords, makers, collector, request)
        with _stopped_by_signals(signals.stop):
            collector.run(Until(request.for_s, request.quiet_s if request.once else None))
    finally:
        spool.release()
    states = tuple((one.server, one.state) for one in collector.sources)
    return CollectAnswer(
        request.spool, collector.tally, tuple(collector.counters.gaps()), states
    )  # fmt: skip


def collect_schema_text() -> str:
    """The JSON Schema of collect.toml as it is published."""
    return schema_text_of("collect", CollectFile)


def _sources(
    collecting: Collecting, passwords: Sequence[str | None], makers: Sequence[Any],
    collector: Collector, request: CollectRequest,
) -> list[Source]:  # fmt: skip
    signals = collector.signals
    made: list[Source] = []
    for server, password, maker in zip(collecting.servers, passwords, makers, strict=True):
        if password is not None and server.security == "none" and server.scheme != "mqtts":
            request.say(f"{server.name}: the pass word may cross the network in the clear")
        readings = collecting.of(server)
        if readings:
            made.append(maker(server, readings, password, collector.offer, signals, request.say))
    return made


def _secrets(server: Server, file: str) -> str | None:
    """The pass word; raises for one that is missing, or files that others can read."""
    for key in ("certificate_file", "server_certificate_file", "authority_file"):
        path = getattr(server, key)
        if path is not None:
            present_file(path, file, key)
    if server.key_file is not None:
        private_file(server.key_file, file, "key_file")
    return password_of(server, file)


def _maker(server: Server) -> Any:
    """The class of a server's source; its package is loaded here and not before."""
    module, name, package = _SOURCES[server.scheme]
    try:
        found = importlib.import_module(f"linkwright.link_data.live.{module}")
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("linkwright"):
            raise
        words = f"{server.url} needs the package {package}, which is not installed"
        raise NotInstalled(f"{words}: python -m pip install 'linkwright[live]'") from None
    return getattr(found, name)


@contextmanager
def _stopped_by_signals(stop: threading.Event) -> Iterator[None]:
    """Ctrl-C and SIGTERM end the run in order; a second one at once."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {one: signal.getsignal(one) for one in (signal.SIGINT, signal.SIGTERM)}

    def ended(number: int, frame: object) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    for one in before:
        signal.signal(one, ended)
    try:
        yield
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)
