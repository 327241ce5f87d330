"""How long a plan takes: the cold command, with papers, warm in one process, help, import.

Each cold figure is the wall time of a fresh process, best and median of several. Run:

    python benchmarks/plan_times.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from measured import Figure, best_and_median, table

from linkwright.services.planning import plan_order
from linkwright.works import demo_bytes, demo_line_bytes, demo_line_order, demo_works

REPEATS = 5
COLD_S, PAPERS_S, WARM_S, HELP_S, IMPORT_S = 2.5, 3.0, 0.6, 0.3, 0.15
COMMAND = "from linkwright.cli.main import run; run()"


def figures(repeats: int = REPEATS) -> list[Figure]:
    """All times of this file."""
    with tempfile.TemporaryDirectory() as folder:
        cold, papers = _plans(Path(folder), repeats)
    found = [*cold, *papers, *warm(repeats)]
    found += _process("`linkwright --help`", [*_command(), "--help"], HELP_S, repeats)
    found += _process("`import linkwright`", ["-c", "import linkwright"], IMPORT_S, repeats)
    return found


def warm(repeats: int = REPEATS) -> list[Figure]:
    """A plan in a process that has made one before."""
    order, works = demo_line_order(), demo_works()
    plan_order(order, works)
    best, median = best_and_median(lambda: plan_order(order, works), repeats)
    return _both("warm plan in one process", best, median, WARM_S)


def _plans(folder: Path, repeats: int) -> tuple[list[Figure], list[Figure]]:
    """The cold command without papers, and what papers add to it."""
    for name in ("order.toml", "works.toml"):
        raw = demo_line_bytes() if name == "order.toml" else demo_bytes(name)
        (folder / name).write_bytes(raw)
    words = [
        *_command(), "plan", str(folder / "order.toml"), "--works", str(folder / "works.toml"),
        "--out", str(folder / "plan"), "--force", "--quiet",
    ]  # fmt: skip
    name = "cold `linkwright plan`"
    best, median = best_and_median(lambda: _run([*words, "--no-papers"]), repeats)
    cold = _both(f"{name} --no-papers", best, median, COLD_S)
    try:
        with_papers, middle = best_and_median(lambda: _run(words), repeats)
    except subprocess.CalledProcessError as error:
        told = (error.stderr or "").strip().splitlines()
        why = told[-1][:120] if told else f"exit code {error.returncode}"
        return cold, [Figure("papers add", None, "s", greatest=PAPERS_S, remark=why)]
    papers = _both(f"{name} with papers", with_papers, middle, None)
    added = _both("papers add", with_papers - best, middle - median, PAPERS_S)
    return cold, [*papers, *added]


def _process(name: str, words: list[str], greatest: float, repeats: int) -> list[Figure]:
    return _both(name, *best_and_median(lambda: _run(words), repeats), greatest)


def _both(name: str, best: float, median: float, greatest: float | None) -> list[Figure]:
    """The target is held against the best: what the program takes when nothing is in the way."""
    return [
        Figure(f"{name}, best", round(best, 4), "s", greatest=greatest),
        Figure(f"{name}, median", round(median, 4), "s"),
    ]


def _command() -> list[str]:
    return ["-c", COMMAND]


def _run(words: list[str]) -> None:
    subprocess.run([sys.executable, *words], check=True, capture_output=True, text=True)


if __name__ == "__main__":
    print(table(figures()))
