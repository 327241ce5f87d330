"""What every source has in common: what it hands on, how it is stopped, what it tells."""

from __future__ import annotations

import datetime
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol

from linkwright.link_data.live.collect_file import Server
from linkwright.link_data.live.row import Aside, Row, utc_text


class Arrival(NamedTuple):
    """What came at once; ``confirm`` is called when all of it is on the disk."""

    rows: Sequence[Row]
    asides: Sequence[Aside]
    confirm: Callable[[], None]


class Signals:
    """stop: take nothing new. close: all that was taken is settled, part from the other side."""

    def __init__(self, stop: threading.Event | None = None) -> None:
        self.stop = stop or threading.Event()
        self.close = threading.Event()


@dataclass
class SourceState:
    """How a source fares."""

    connections: int = 0
    rows: int = 0
    dropped: int = 0
    last_error: str | None = None
    quiet: threading.Event = field(default_factory=threading.Event)
    """Set when it hands on nothing more."""

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"connections": self.connections, "rows": self.rows, "dropped": self.dropped,
                "last_error": self.last_error}  # fmt: skip


class Source(Protocol):
    """A server or broker that is listened to."""

    server: Server
    state: SourceState

    def session(self) -> bool:
        """One connection: True if it ended because all stops, False if it broke.

        Raises `Failed` if it did not come about.
        """


Offer = Callable[[Arrival, float], bool]
"""Hand on what came, waiting so many seconds for room; False if there was none."""
Say = Callable[[str], None]


def now_text() -> str:
    """The present, for people and for what is kept."""
    return utc_text(datetime.datetime.now(datetime.UTC))
