"""What is put into the invented month on purpose: times, ranges, sizes. All figures are invented.

- `BEGIN`: first second of the month
- `Stuck`, `Dirt`, `Wear`, `PoorCoil`, `Clock`, `Law`: one thing each
- `PutIn`: all of it; `CLOCKS`: the clocks of the machines
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from types import MappingProxyType

import numpy as np

BEGIN = datetime(2026, 11, 4, 18, 0, tzinfo=UTC)
"""A Wednesday evening: the first night is the one with the stuck electrode."""
ZONE = "Europe/London"
"""Of the works' walls; in November the same as UTC."""
DAY_S = 86_400.0


def seconds(at: datetime) -> float:
    """Seconds from the begin of the month."""
    return (at - BEGIN).total_seconds()


def moment(at_s: float) -> str:
    """The moment in UTC, to the millisecond."""
    return (BEGIN + timedelta(seconds=float(at_s))).isoformat(timespec="milliseconds")


@dataclass(frozen=True)
class Stuck:
    """An electrode's slide sticks: the force falls off, and with it current, energy and upset.

    The fall of the current stays inside the window at which the welder rejects a link, so the
    machine does not stop. links: after how many the fall is two thirds there.
    """

    machine: str = "W07B"
    at: datetime = datetime(2026, 11, 5, 2, 14, tzinfo=UTC)
    from_m: float = 112.0
    length_m: float = 31.4
    force: float = -0.35
    current: float = -0.025
    voltage: float = -0.025
    upset_mm: float = -0.22
    links: float = 6.0


@dataclass(frozen=True)
class Wear:
    """Electrodes wear between two dressings and, worse, over the month; shares of the current."""

    links: int = 3000
    between: float = -0.0006
    over_month: float = -0.0060
    stop_s: float = 90.0


@dataclass(frozen=True)
class Dirt:
    """The window of the temper pyrometer gets dirty: it reads low, the controller heats more."""

    begin: datetime = datetime(2026, 11, 12, 6, 0, tzinfo=UTC)
    cleaned: datetime = datetime(2026, 11, 23, 6, 0, tzinfo=UTC)
    reads_low_K: float = 8.0

    def at(self, at_s: np.ndarray) -> np.ndarray:
        """Kelvin that the pyrometer reads low."""
        begin, end = seconds(self.begin), seconds(self.cleaned)
        return np.where(at_s < end, np.clip((at_s - begin) / (end - begin), 0.0, 1.0), 0.0) * (
            self.reads_low_K
        )


@dataclass(frozen=True)
class PoorCoil:
    """One wire coil of another heat than its tag says: hardly any molybdenum in it."""

    machine: str = "W07A"
    place: int = 1
    """Which coil of that machine, from 0."""
    percent: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({"Mo": -0.19}))


@dataclass(frozen=True)
class Clock:
    """A machine's clock against the true time: offset at the begin, drift, an hour until set."""

    offset_s: float
    drift_s_per_day: float = 0.0
    hour_ahead_until: datetime | None = None

    def shown(self, at_s: np.ndarray) -> np.ndarray:
        """Seconds from the begin of the month as this clock shows them."""
        shown = at_s + self.offset_s + self.drift_s_per_day * at_s / DAY_S
        if self.hour_ahead_until is None:
            return np.asarray(shown)
        return np.asarray(shown + 3600.0 * (at_s < seconds(self.hour_ahead_until)))


CLOCKS: Mapping[str, Clock] = MappingProxyType(
    {
        "welder": Clock(0.0, 0.02),
        "harden": Clock(41.0, 1.9),
        "temper": Clock(-2.5, -0.05),
        "pull": Clock(4.0, 0.1, datetime(2026, 11, 9, 6, 0, tzinfo=UTC)),
        "gauge": Clock(1.2),
        "desk": Clock(0.0),
    }
)
"""By the work the machine does. The calibrator stands on summer time until a shift sets it."""


@dataclass(frozen=True)
class Law:
    """Figures of the laws that the works follows: see `truth`."""

    hardening_exponent: float = 0.03
    weibull_shape: float = 160.0


@dataclass(frozen=True)
class PutIn:
    """Everything that is put in."""

    stuck: Stuck = field(default_factory=Stuck)
    wear: Wear = field(default_factory=Wear)
    dirt: Dirt = field(default_factory=Dirt)
    coil: PoorCoil = field(default_factory=PoorCoil)
    law: Law = field(default_factory=Law)
    clocks: Mapping[str, Clock] = field(default_factory=lambda: CLOCKS)
    slipped_rows: int = 14
    """Rows whose decimal comma stands in the column of the counter."""
    slipped_machine: str = "W07A"
    twice_machine: str = "W07B"
    """Whose file of the first whole night is sent twice."""
