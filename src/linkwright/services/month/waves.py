"""Waveforms of the welding current: one weld in a thousand, as the welder's recorder writes it.

Half waves of the mains cut at the planned firing angle, scaled to the root mean square that the
welder shows of that weld. Offers `Wave`, `waves`, `write_waves`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from linkwright.services.month.dialects import Dialect
from linkwright.services.month.flow import Strand
from linkwright.services.month.put_in import BEGIN, moment
from linkwright.services.month.readings import Signals, mains_Hz, weld

EVERY, STEP_S = 1000, 0.0005


class Wave(NamedTuple):
    """One waveform: whose, of which weld, when by the machine's clock, current in ampere."""

    machine: str
    counter: int
    shown_s: float
    current_A: np.ndarray


def waves(signals: Signals, strand: Strand) -> Iterator[Wave]:
    """The waveforms of a strand's welds whose number divides by a thousand."""
    picked = np.flatnonzero(strand.weld_numbers % EVERY == 0)
    if not picked.size:
        return
    read = weld(signals, strand)
    shape = _shape(signals)
    for place in picked.tolist():
        yield Wave(strand.head.machine, int(read["counter"][place]), float(read["clock"][place]),
                   shape * float(read["current_A"][place]))  # fmt: skip


def _shape(signals: Signals) -> np.ndarray:
    """Current over its root mean square, at whole steps through the heat."""
    cycles, mains = signals.setting("welding", "heat_cycles"), mains_Hz(signals)
    angle = 360.0 * mains * STEP_S * np.arange(round(cycles / mains / STEP_S))
    on = angle % 180.0 >= signals.setting("welding", "firing_angle_deg")
    cut = np.where(on, np.sin(np.radians(angle)), 0.0)
    return np.asarray(cut / np.sqrt(np.mean(cut**2)))


def write_waves(folder: Path, dialect: Dialect, name: str, made: Iterable[Wave]) -> int:
    """JSON lines, a file a day; returns how many waveforms."""
    by_day: dict[str, list[tuple[int, str]]] = {}
    unix_ms, count = int(1000 * BEGIN.timestamp()), 0
    heads = [cell.head for cell in dialect.cells]
    for one in made:
        at_ms = round(1000 * one.shown_s)
        cells = (one.machine, one.counter, unix_ms + at_ms, "weld", "current_A", STEP_S,
                 np.round(one.current_A, 0).tolist())  # fmt: skip
        line = json.dumps(dict(zip(heads, cells, strict=True)), separators=(",", ":"))
        by_day.setdefault(moment(at_ms / 1e3)[:10], []).append((at_ms, line))
        count += 1
    for day, lines in by_day.items():
        text = "".join(f"{line}\n" for _, line in sorted(lines))
        (folder / f"{name}_{day}.{dialect.ending}").write_text(text, "utf-8")
    return count
