"""The invented month made: raw files of the machines, tests of the laboratory, and what was put in.

- `MonthRequest`, `MonthAnswer`; `make_month`: into a folder that is complete or absent
- `signals_of`, `lines_of`: the same month as arrays, for those who need no files
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.planning.draws import Ensemble, stream
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.route import Step
from linkwright.services.line_document import PlannedLine
from linkwright.services.month import laboratory
from linkwright.services.month.dialects import DIALECTS, map_text
from linkwright.services.month.flow import Line, Strand, works_flow
from linkwright.services.month.machine_files import DayFiles, write_rows
from linkwright.services.month.passages import events, passages
from linkwright.services.month.put_in import PutIn
from linkwright.services.month.readings import (
    Columns,
    Signals,
    gauge,
    harden,
    pull,
    temper,
    weld,
)
from linkwright.services.month.truth import truth_of
from linkwright.services.month.truth_document import truth_document
from linkwright.services.month.waves import waves, write_waves
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.plan_folder import json_text, refuse_if_in_use, whole_folder

KINDS = tuple(DIALECTS)
MOST_LINKS = 1_000_000_000
_FEW = Ensemble(lots=64)
_BY_LINE: dict[str, tuple[str, Callable[[Signals, Strand, Line], Columns]]] = {
    "harden": ("H", harden), "temper": ("T", temper), "pull": ("C", pull), "gauge": ("G", gauge),
}  # fmt: skip


@dataclass(frozen=True)
class MonthRequest:
    """links: welds in all; kinds: of reading that are written, see `KINDS`."""

    folder: Path
    links: int = 3_000_000
    seed: int = 1
    kinds: tuple[str, ...] = KINDS
    put_in: PutIn = field(default_factory=PutIn)
    force: bool = False


@dataclass(frozen=True)
class MonthAnswer:
    """What was written: rows by kind of reading, number of files, what was put in."""

    folder: Path
    rows: dict[str, int]
    files: int
    truth: dict[str, Any]

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {"schema_version": SCHEMA_VERSION, "folder": str(self.folder), "files": self.files,
                "rows": self.rows, "truth": self.truth}  # fmt: skip


def make_month(request: MonthRequest) -> MonthAnswer:
    """Write the month. Raises `ArgumentError`, `UnknownName`, `FolderInUse`."""
    if not 1 <= request.links <= MOST_LINKS:
        raise ArgumentError("links", request.links, "", f"1 to {MOST_LINKS}")
    for one in request.kinds:
        if one not in KINDS:
            raise UnknownName("kind", one, KINDS)
    refuse_if_in_use(request.folder, force=request.force)
    signals, first = signals_of(request.links, request.seed, request.put_in)
    lines = lines_of(request.links, request.seed, signals)
    document = truth_document(signals, first, request.links)
    with whole_folder(request.folder) as folder:
        raw = folder / "machines"
        raw.mkdir()
        rows = dict.fromkeys(request.kinds, 0)
        for line in lines:
            for kind in request.kinds:
                rows[kind] += _write(raw, kind, line, signals, document)
        _write_twice(raw, document)
        _write_laboratory(folder, signals, first)
        (folder / "map.toml").write_text(map_text(), "utf-8")
        (folder / "truth.json").write_text(json_text(document), "utf-8")
        files = sum(1 for one in folder.rglob("*") if one.is_file())
    return MonthAnswer(request.folder, rows, files, document)


def signals_of(links: int, seed: int, put_in: PutIn | None = None) -> tuple[Signals, Line]:
    """What all readings come from, and the first line of the works."""
    put_in = put_in or PutIn()
    planned = _plan()
    found = planned.plan.steps[planned.job.route.place("inspection").key].finding("pitch_mm")
    pitch = float(np.mean(found.value))
    line = next(_lines(links, seed, planned, put_in, pitch))
    truth = truth_of(planned, line.strands, put_in, seed)
    return Signals(planned, truth, put_in, seed, pitch), line


def lines_of(links: int, seed: int, signals: Signals) -> Iterator[Line]:
    """All lines of the works, one after the other."""
    return _lines(links, seed, signals.planned, signals.put_in, signals.pitch_mm)


def _lines(
    links: int, seed: int, planned: PlannedLine, put_in: PutIn, pitch_mm: float
) -> Iterator[Line]:
    def step(operation: str) -> Step:
        return planned.plan.steps[planned.job.route.place(operation).key]

    coil = float(step("receiving").stock["coil_mass_kg"])
    piece = float(np.mean(step("cutting").finding("piece_mass_kg").value))
    hardening = planned.plan.settled.set_ups[planned.job.route.place("hardening").key]
    return works_flow(links, seed, put_in, pitch_mm=pitch_mm, coil_links=int(coil / piece),
                      speed_m_per_s=float(hardening["line_speed_m_per_s"]))  # fmt: skip


@lru_cache(maxsize=1)
def _plan() -> PlannedLine:
    """The first line of the demo order in the demo works: lifting chain for Northmoor quarry."""
    from linkwright.services.planning import plan_order  # noqa: PLC0415
    from linkwright.works import demo_line_order, demo_works  # noqa: PLC0415

    return plan_order(demo_line_order(), demo_works(), ensemble=_FEW).lines[0]


def _write(raw: Path, kind: str, line: Line, signals: Signals, document: dict[str, Any]) -> int:
    dialect = DIALECTS[kind]
    if kind == "event":
        rows = list(events(line, signals))
        write_rows(raw, dialect, line.name("E"), rows)
        return len(rows)
    if kind == "passage":
        cut = signals.setting("cutting", "cut_length_mm")
        rows = list(passages(line, cut))
        write_rows(raw, dialect, line.name("D"), rows)
        return len(rows)
    if kind == "wave":
        made = (one for strand in line.strands for one in waves(signals, strand))
        return write_waves(raw, dialect, line.name("R"), made)
    if kind == "weld":
        return sum(_write_head(raw, line, place, signals, document) for place in range(3))
    letter, readings = _BY_LINE[kind]
    known = {"strand": [one.mark for one in line.strands]}
    out = DayFiles(raw, dialect, line.name(letter), known)
    for place, strand in enumerate(line.strands):
        columns = readings(signals, strand, line)
        out.add(columns | {"strand": np.array(place)})
    out.close()
    return out.rows


def _write_head(
    raw: Path, line: Line, place: int, signals: Signals, document: dict[str, Any]
) -> int:
    head = line.heads[place]
    mine = [one for one in line.strands if one.head.machine == head.machine]
    if not mine:
        return 0
    coils = 1 + max(one.first_weld + one.welds for one in mine) // head.coil_links
    known = {"coil": [head.coil(one) for one in range(coils)]}

    def change(name: str, data: bytes) -> bytes:
        slipped = document["slipped_commas"]
        if slipped is None or slipped["file"] != name:
            return data
        return _slipped(data, signals, slipped)

    out = DayFiles(raw, DIALECTS["weld"], head.machine, known, change=change)
    for strand in sorted(mine, key=lambda one: one.first_weld):
        out.add(weld(signals, strand))
    out.close()
    return out.rows


def _slipped(data: bytes, signals: Signals, note: dict[str, Any]) -> bytes:
    """Rows of a file whose decimal comma stands in the counter; which, is noted."""
    lines = data.split(b"\r\n")
    own = stream("slipped", signals.seed)
    count = min(signals.put_in.slipped_rows, len(lines) - 3)
    picked = np.sort(own.choice(np.arange(1, len(lines) - 1), count, replace=False))
    counters = []
    for at in picked.tolist():
        cells = lines[at].split(b";")
        counters.append(int(cells[1]))
        cells[1] = cells[1][:-3] + b"," + cells[1][-3:]
        lines[at] = b";".join(cells)
    note["rows"] = [int(at) + 1 for at in picked]
    note["counters"] = counters
    return b"\r\n".join(lines)


def _write_twice(raw: Path, document: dict[str, Any]) -> None:
    note = document["sent_twice"]
    if note is None or not (raw / note["file"]).is_file():
        return
    (raw / note["again"]).write_bytes((raw / note["file"]).read_bytes())


def _write_laboratory(folder: Path, signals: Signals, line: Line) -> None:
    found = laboratory.findings(signals, line.strands)
    place = folder / "laboratory"
    place.mkdir()
    texts = {
        "tests.csv": laboratory.tests_csv(found),
        "learning.csv": laboratory.learning_csv(found, signals.put_in),
        "coils.csv": laboratory.coils_csv(found),
        "lots.csv": laboratory.causes_csv(signals, found),
    }
    for name, text in texts.items():
        (place / name).write_text(text, "utf-8")
