"""Trial: readings of machines under damage, kills and great amounts.

Damaged files of every form and damaged maps must end in a sentence and leave nothing half; an
ingest killed at any moment must, gone on with, give what an undisturbed one gives; very many
rows must pass in bounded memory.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from measured import Figure

from trials import ROOT
from trials.outcome import Counts, Outcome

SEED, ROWS, DAMAGED = 31, 100_000_000, 100_000
MEMORY_GIB = 2.0
_TINY = 1000
"""The least counts of a trial divide these by so much."""


def run(counts: Counts, folder: Path) -> Outcome:
    """Damage, kills, and the great file; a tiny run takes a thousandth of the rows."""
    sys.path.insert(0, str(ROOT / "tests"))
    tests = _module(ROOT / "tests" / "link_data" / "test_damage.py")
    share = 1 if counts.kills >= 100 else _TINY
    wrong = tests.damage(folder, DAMAGED // share, SEED)
    lost = tests.kills(folder, counts.kills, SEED)
    rows, seconds, peak = great(folder / "great", ROWS // share)
    figures = (
        Figure("damaged files taken in or refused", DAMAGED // share, least=DAMAGED // share),
        Figure("of these ended otherwise than in a sentence", len(wrong), greatest=0),
        Figure("ingests killed", counts.kills, least=counts.kills),
        Figure("of these that lost or doubled rows", len(lost), greatest=0),
        Figure("rows taken in at once", rows, least=ROWS // share),
        Figure("time for these", seconds, "s"),
        Figure("most memory", peak, "GiB", greatest=MEMORY_GIB),
    )
    return Outcome(figures, remarks=tuple([*wrong, *lost][:10]))


def _module(path: Path) -> Any:
    """The tests' own module, by its file: its folder is no package."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    if spec is None or spec.loader is None:
        raise ImportError(str(path))
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def great(folder: Path, rows: int) -> tuple[int, float, float]:
    """Invent one file of so many rows and take it in, in a process of its own: rows, s, GiB."""
    folder.mkdir()
    script = (
        "import sys, resource; from pathlib import Path\n"
        "import taking_in as b; from linkwright.link_data.map_file import map_of_bytes\n"
        "from linkwright.link_data.taking import take_in\n"
        "f = Path(sys.argv[1]); how = map_of_bytes(b.map_text()).files[0]\n"
        "print(take_in(f / 'weld.csv', how, f / 'links').entry.rows, "
        "resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
    )
    invent = "import sys; from pathlib import Path; import taking_in as b\n"
    invent += "b.invent(Path(sys.argv[1]) / 'weld.csv', int(sys.argv[2]))"
    words = [sys.executable, "-c"]
    place = str(ROOT / "benchmarks")
    subprocess.run(  # noqa: S603 - our own program
        [*words, invent, str(folder), str(rows)], check=True, cwd=place
    )
    begun = time.perf_counter()
    ended = subprocess.run(  # noqa: S603 - our own program
        [*words, script, str(folder)], check=True, cwd=place, capture_output=True, text=True
    )
    taken, peak = map(int, ended.stdout.split())
    return taken, time.perf_counter() - begun, peak * 1024 / 2**30
