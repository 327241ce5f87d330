"""Run the trials in full counts and write docs/trials.md; what is finished is not run again.

    python scripts/trial.py
    python scripts/trial.py links kills --again
    python scripts/trial.py --list

Each finished trial is kept in .trial/NAME.json, so that an interrupted run goes on where it
was. ``--again`` runs the named trials, or all, anew. ``--tiny`` takes the least counts, keeps
nothing of the page and only shows that everything runs. The exit code is 1 if a figure
misses its target or a trial could not be finished.
"""

from __future__ import annotations

import argparse
import datetime
import hashlib
import importlib
import json
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import NamedTuple

from trials import ROOT
from trials.outcome import FULL, TINY, Counts, Outcome
from trials.page import kept, page


class Trial(NamedTuple):
    """A trial: the module that runs it, its title, and what it asks."""

    name: str
    title: str
    question: str


TRIALS = (
    Trial("book", "Book of external checks", "Do the published values come out?"),
    Trial("members", "Members alone", "Does a member of the ensemble give the same alone?"),
    Trial("same_bytes", "Same bytes", "Does one order give one plan, to the byte?"),
    Trial("toy", "Chance against exact integrals", "Is the chance of a lot the integral?"),
    Trial("bad_input", "Damaged input", "Does every bad file end in a sentence and exit code 2?"),
    Trial("kills", "Kills", "Is the folder of a plan whole or the old one after a kill?"),
    Trial("books", "Books", "Are the books whole after a kill, and is nothing in them twice?"),
    Trial(
        "collect_kills",
        "Kills of the collector",
        "Is what a broker was told on the disk after a kill?",
    ),
    Trial("links", "Link response", "Does the response stand for the solid link?"),
    Trial("peer", "Solid link against another code", "Does a general-purpose code say the same?"),
    Trial(
        "every_size",
        "Every size of every standard",
        "Does every listed size plan, or end with what is missing?",
    ),
    Trial(
        "roller_numbers",
        "Every number of roller chain",
        "Does every held number plan, with one to six strands, and with what margin?",
    ),
    Trial(
        "other_works",
        "Works that are otherwise",
        "How far may the stated chance be off where the truth is not the planner's?",
    ),
    Trial(
        "certificates",
        "Certificates",
        "Is every flipped bit of a certificate found, and does every malformed file end well?",
    ),
    Trial("arrays", "Arrays and units", "Does each calculation take arrays and other units?"),
    Trial("pages", "Changed settings", "How soon does a page show what a change does?"),
    Trial("ingest", "Readings taken in", "Do damage, kills and great amounts leave all whole?"),
    Trial("engines", "Engines", "Does another engine answer questions to link data alike?"),
    Trial("speed", "Speed", "How long does it take, and how near do quantiles come?"),
)
"""All trials, in the order in which they run."""


def program_digest() -> str:
    """SHA-256 over the program's own files: which state of it was tried."""
    digest = hashlib.sha256()
    for path in sorted((ROOT / "src").rglob("*")):
        if path.is_file() and path.suffix in {".py", ".toml", ".csv", ".json", ".typ"}:
            digest.update(f"{path.relative_to(ROOT).as_posix()}\n".encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def finished(trial: Trial, counts: Counts, state: Path) -> bool:
    """Whether the trial was finished before with the same counts."""
    try:
        data = json.loads((state / f"{trial.name}.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return bool(data.get("counts") == asdict(counts))


def carry_out(trial: Trial, counts: Counts, state: Path) -> Outcome:
    """Run one trial in a folder of its own and keep what it gave."""
    begun, program = time.perf_counter(), program_digest()
    run = importlib.import_module(f"trials.{trial.name}").run
    with tempfile.TemporaryDirectory(prefix="trial-") as folder:
        outcome: Outcome = run(counts, Path(folder).resolve())
    data = {
        **trial._asdict(),
        "date": today(),
        "seconds": round(time.perf_counter() - begun, 1),
        "program": program,
        "counts": asdict(counts),
        "outcome": outcome.to_dict(),
    }
    state.mkdir(parents=True, exist_ok=True)
    file = state / f"{trial.name}.json"
    half = file.with_suffix(".half")
    half.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    half.replace(file)
    return outcome


def write_page(state: Path, path: Path) -> None:
    """The page of all trials that are finished, in their order."""
    files = [state / f"{trial.name}.json" for trial in TRIALS]
    done = [kept(json.loads(file.read_text("utf-8"))) for file in files if file.exists()]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(page(done, program_digest(), today()), encoding="utf-8", newline="\n")


def today() -> str:
    """The date, in UTC."""
    return datetime.datetime.now(datetime.UTC).date().isoformat()


def run_all(
    chosen: Sequence[Trial], counts: Counts, *, state: Path, path: Path, again: bool
) -> list[str]:
    """Run what is not finished; sentences about what missed or failed."""
    wrong: list[str] = []
    for trial in chosen:
        if finished(trial, counts, state) and not again:
            print(f"{trial.name}: finished before; --again runs it anew")
            data = json.loads((state / f"{trial.name}.json").read_text(encoding="utf-8"))
            outcome = Outcome.of(data["outcome"])
        else:
            print(f"{trial.name}: {trial.question}", flush=True)
            try:
                outcome = carry_out(trial, counts, state)
            except Exception as error:
                wrong.append(f"{trial.name} was not finished: {type(error).__name__}: {error}")
                continue
            write_page(state, path)
        wrong += [f"{trial.name}: {name} missed its target" for name in outcome.missed]
    write_page(state, path)
    return wrong


def main(words: Sequence[str] | None = None) -> int:
    """Read the command line and run."""
    parser = argparse.ArgumentParser(description="Run the trials and write docs/trials.md.")
    parser.add_argument("names", nargs="*", metavar="NAME", help="trials to run; all by default")
    parser.add_argument("--again", action="store_true", help="run them even if finished before")
    parser.add_argument("--tiny", action="store_true", help="least counts, to see that all runs")
    parser.add_argument("--list", action="store_true", help="list the trials and end")
    asked = parser.parse_args(words)
    if asked.list:
        for trial in TRIALS:
            print(f"{trial.name:12} {trial.question}")
        return 0
    unknown = set(asked.names) - {trial.name for trial in TRIALS}
    if unknown:
        parser.error(f"no trial {min(unknown)}; there are {', '.join(t.name for t in TRIALS)}")
    chosen = [trial for trial in TRIALS if not asked.names or trial.name in asked.names]
    state = ROOT / ".trial" / "tiny" if asked.tiny else ROOT / ".trial"
    path = state / "trials.md" if asked.tiny else ROOT / "docs" / "trials.md"
    begun = time.perf_counter()
    counts = TINY if asked.tiny else FULL
    wrong = run_all(chosen, counts, state=state, path=path, again=asked.again)
    print(f"{path.relative_to(ROOT)} written after {time.perf_counter() - begun:.0f} s")
    for sentence in wrong:
        print(sentence, file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
