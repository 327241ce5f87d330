"""The one way in which anything is tried again: with growing delay, and with an end.

`keep_trying` serves connections and writing alike; `Waits` says how long, `Clock` what time
it is and whether to stop. A test gives a clock of its own.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol

Ending = Literal["done", "stopped", "given up"]


class Failed(Exception):
    """Something that may work later; its text is for people."""


@dataclass(frozen=True)
class Waits:
    """Delays: the first, by how much each grows, the longest; and the end without success."""

    first_s: float = 1.0
    factor: float = 2.0
    longest_s: float = 60.0
    end_s: float | None = None


class Ticking(Protocol):
    """What `keep_trying` needs of a clock."""

    def now(self) -> float:
        """Seconds from any beginning."""

    def wait(self, seconds: float) -> bool:
        """Wait; True at once if all is to stop."""


class Clock:
    """The clock on the wall, stopped by an event."""

    def __init__(self, stop: threading.Event) -> None:
        self._stop = stop

    def now(self) -> float:
        """Seconds that never go back."""
        return time.monotonic()

    def wait(self, seconds: float) -> bool:
        """Wait; True at once if all is to stop."""
        return self._stop.wait(seconds)


def keep_trying(
    action: Callable[[], bool],
    waits: Waits,
    clock: Ticking,
    failing: Callable[[str, float | None], None],
) -> Ending:
    """Carry out ``action`` until it returns True, the clock stops, or the end is reached.

    ``action`` raises `Failed` if it did not work, and returns False if it worked for a while
    and then broke: delays begin small again. ``failing(why, delay_s)`` is told each
    time, without a delay at the end.
    """
    delay, since = waits.first_s, clock.now()
    while True:
        try:
            if action():
                return "done"
            why, delay, since = "the connection was lost", waits.first_s, clock.now()
        except Failed as error:
            why = str(error)
            left = None if waits.end_s is None else waits.end_s - (clock.now() - since)
            if left is not None and left <= 0.0:
                failing(why, None)
                return "given up"
            if left is not None:
                delay = min(delay, left)  # the last try is at the end, not after it
        failing(why, delay)
        if clock.wait(delay):
            return "stopped"
        delay = min(delay * waits.factor, waits.longest_s)
