"""Trial: the figures of the benchmarks, run as a process of their own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from measured import Figure

from trials import ROOT
from trials.outcome import Counts, Outcome


def run(counts: Counts, folder: Path) -> Outcome:
    """All benchmarks; the load of the machine before them stands beside."""
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else None
    answer = folder / "figures.json"
    words = [sys.executable, str(ROOT / "benchmarks" / "run.py"), "--json", str(answer)]
    ended = subprocess.run(  # noqa: S603 - our own script
        [*words, *(["--short"] if counts.short else [])], capture_output=True, check=False
    )
    if not answer.exists():
        told = ended.stderr.decode(errors="replace").strip().splitlines()
        raise RuntimeError(f"the benchmarks gave no figures: {told[-1] if told else 'no word'}")
    found = json.loads(answer.read_text(encoding="utf-8"))
    figures = [Figure.of(one) for group in found.values() for one in group]
    if counts.short:
        # least counts only show that everything runs: such times are held against nothing
        figures = [replace(one, greatest=None, least=None) for one in figures]
    busy = Figure("load of the machine before the benchmarks (1 is one busy core)", load)
    return Outcome((busy, *figures))
