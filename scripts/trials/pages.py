"""Trial: every operation of a welded and of a roller chain has a setting changed on its page."""

from __future__ import annotations

from pathlib import Path

from changed_setting import figures

from trials.outcome import Counts, Outcome


def run(counts: Counts, _: Path) -> Outcome:
    """Times until page and chance are there, asked as a browser asks."""
    return Outcome(tuple(figures(short=counts.short, lots=max(counts.lots, 50))))
