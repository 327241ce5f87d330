"""What a trial hands on, and how many of everything it tries.

- `Counts`, `FULL`, `TINY`: how much is tried
- `Outcome`: figures, tables and remarks of one trial, as plain data and back
- `command`: one run of the program as a process of its own
- `frozen`: a copy of the program, so that work on it meanwhile does not disturb a trial
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from measured import Figure

from trials import ROOT

COMMAND = "from linkwright.cli.main import run; run()"


@dataclass(frozen=True)
class Counts:
    """How much each trial tries.

    members: recomputed singly; runs: for equal bytes; seeds: of the toy; orders, works,
    numbers: damaged order files, works files and written numbers; seconds: time that each
    of these three may take; commands: damaged files put through the command itself;
    kills: of the command; sweep: greatest number of file events at which a write is cut;
    links: against the solid, a run for every 25; every_size: of each standard, or one alone;
    rows: of the book, 0 for all; lots: of each ensemble; simulated: lots of each simulated
    works; flips: bits of a certificate that are flipped, 0 for all; malformed: certificates and
    lists that are damaged; short: benchmarks with their least counts.
    """

    members: int = 1024
    runs: int = 10
    seeds: int = 50
    orders: int = 20_000
    works: int = 2_000
    numbers: int = 20_000
    seconds: float = 120.0
    commands: int = 60
    kills: int = 100
    sweep: int = 400
    links: int = 200
    every_size: bool = True
    rows: int = 0
    lots: int = 512
    simulated: int = 2048
    flips: int = 0
    malformed: int = 10_000
    short: bool = False


FULL = Counts()
TINY = Counts(
    members=8, runs=2, seeds=3, orders=60, works=10, numbers=100, seconds=5.0, commands=2,
    kills=1, sweep=4, links=6, every_size=False, rows=12, lots=32, simulated=64,
    flips=200, malformed=60, short=True,
)  # fmt: skip


@dataclass(frozen=True)
class Listing:
    """A table of texts for the page."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Outcome:
    """Figures, tables and remarks of one trial."""

    figures: tuple[Figure, ...]
    listings: tuple[Listing, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def missed(self) -> list[str]:
        """Names of the figures that miss their target or could not be measured."""
        return [one.name for one in self.figures if one.verdict in ("missed", "not measured")]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "figures": [one.to_dict() for one in self.figures],
            "listings": [
                {"title": one.title, "head": list(one.head), "rows": [list(r) for r in one.rows]}
                for one in self.listings
            ],
            "remarks": list(self.remarks),
        }

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Outcome:
        """The outcome that `to_dict` gave."""
        return cls(
            tuple(Figure.of(one) for one in data["figures"]),
            tuple(
                Listing(one["title"], tuple(one["head"]), tuple(tuple(r) for r in one["rows"]))
                for one in data["listings"]
            ),
            tuple(data["remarks"]),
        )


def frozen(folder: Path) -> dict[str, str]:
    """Copy the program below ``folder``; the environment in which a process runs the copy."""
    copy = folder / "program"
    shutil.copytree(ROOT / "src", copy, dirs_exist_ok=True)
    return {"PYTHONPATH": str(copy)}


def arguments(*words: str) -> list[str]:
    """The words that start the program with these arguments in this interpreter."""
    return [sys.executable, "-c", COMMAND, *words]


def command(
    words: Sequence[str], folder: Path, environment: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[bytes]:
    """Run the program in a folder and wait for it; its exit code is for the caller."""
    return subprocess.run(  # noqa: S603 - our own program with words of our own
        arguments(*words),
        cwd=folder,
        capture_output=True,
        check=False,
        env={**os.environ, **(environment or {})},
    )
