"""Trial: the books are whole whenever a writer is killed, and nothing is there twice.

A process takes lots from work to certificate, each act with its key, and is killed with signal 9 at
a random moment; the next one begins with the lot that was under way. After each kill every act that
was confirmed must be there once, the chain whole and the metres right. Then two processes take
different lots at once.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from measured import Figure
from sqlalchemy import text

from linkwright.records.certificates import Certificate
from linkwright.records.chain import walk
from linkwright.records.migrating import migrate
from linkwright.records.pieces import balance
from linkwright.records.store import Store, open_store
from linkwright.records.writing import all_latest
from trials.outcome import Counts, Outcome, frozen
from trials.released_lots import means, prepared, steps

_LONGEST_S = 1.2


def run(counts: Counts, folder: Path) -> Outcome:
    """Kills on SQLite, then two at once."""
    place = str(folder / "trial.books")
    migrate(place)
    store = open_store(place, means())
    prepared(store)
    copy = frozen(folder)
    found: Counter[str] = Counter()
    number, confirmed = 0, set[str]()
    for round_ in range(counts.kills):
        confirmed |= _killed(place, number, random.Random(round_), copy)  # noqa: S311
        found.update(_wrong(store, confirmed))
        number = max((int(key.partition("/")[0]) for key in confirmed), default=0)
    acts = _acts(store)
    both = _together(store, place, number + 1, max(counts.kills // 10, 1), copy)
    figures = (
        Figure("kills while lots went from work to certificate", counts.kills, least=counts.kills),
        Figure("acts confirmed before the kills", len(confirmed), least=min(counts.kills, 1)),
        Figure("confirmed acts that were lost", found["lost"], greatest=0),
        Figure("acts or certificates that were there twice", found["twice"], greatest=0),
        Figure("broken places of the chain", found["broken"], greatest=0),
        Figure("lots whose metres do not add up", found["metres"], greatest=0),
        Figure("databases that the engine itself calls damaged", found["damaged"], greatest=0),
        Figure("acts written by two processes at once", both["acts"], least=1),
        Figure("of them lost, twice or broken", both["wrong"], greatest=0),
    )
    store.close()
    return Outcome(figures, remarks=(f"{acts} acts in the chain after the kills.",))


def _process(place: str, first: int, copy: dict[str, str]) -> subprocess.Popen[str]:
    program = Path(__file__).with_name("released_lots.py")
    return subprocess.Popen(  # noqa: S603
        [sys.executable, str(program), place, str(first)],
        stdout=subprocess.PIPE,
        text=True,
        env=copy,
    )


def _killed(place: str, first: int, chance: random.Random, copy: dict[str, str]) -> set[str]:
    """The keys that were confirmed before the kill."""
    with _process(place, first, copy) as process:
        assert process.stdout is not None  # noqa: S101 - it is a pipe
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, _LONGEST_S))
        process.send_signal(signal.SIGKILL)
        said = process.stdout.read()
    return {line[5:] for line in said.splitlines() if line.startswith("done ")}


def _wrong(store: Store, confirmed: set[str]) -> Counter[str]:
    found: Counter[str] = Counter()
    with store.reading() as session:
        keys = session.execute(text("SELECT key FROM act WHERE key IS NOT NULL")).scalars().all()
        found["lost"] = len(confirmed - set(keys))
        found["twice"] = len(keys) - len(set(keys))
        walked = walk(session)
        found["broken"] = len(walked.broken)
        lots = Counter(row.lot_id for row in all_latest(session, Certificate))
        found["twice"] += sum(count - 1 for count in lots.values())
        last = session.execute(text("SELECT id FROM lot ORDER BY sequence DESC LIMIT 3")).scalars()
        found["metres"] = sum(balance(session, lot).difference_mm != 0 for lot in last)
        found["damaged"] = int(session.scalar(text("PRAGMA integrity_check")) != "ok")
    return found


def _acts(store: Store) -> int:
    with store.reading() as session:
        return int(session.scalar(text("SELECT count(*) FROM act")) or 0)


def _together(
    store: Store, place: str, first: int, lots: int, copy: dict[str, str]
) -> Counter[str]:
    """Two processes with lots of their own, each until it has done so many."""
    before = _acts(store)
    begun = [_process(place, first, copy), _process(place, first + 100_000, copy)]
    confirmed: set[str] = set()
    for process, start in zip(begun, (first, first + 100_000), strict=True):
        last = f"done {start + lots - 1}/{len(steps(0)) - 1}\n"
        assert process.stdout is not None  # noqa: S101 - it is a pipe
        for line in process.stdout:
            if line.startswith("done "):
                confirmed.add(line[5:].strip())
            if line == last:
                break
        process.kill()
        process.stdout.close()
        process.wait()
    return Counter(acts=_acts(store) - before, wrong=sum(_wrong(store, confirmed).values()))
