"""Cut the writing of a plan at every file event, one after the other; used by `kills`.

A plan is made once. Then a child process writes it over an older plan and kills itself at
its first file event (making, opening for writing, renaming or removing a file or folder);
the next child at its second, and so on until one ends by itself. Only events that Python
itself reports are seen: what a library writes between two of them is left to the kills at
random moments. Prints as JSON how the folder was found: old, new, absent or broken.

    python scripts/trials/cut_writing.py FOLDER MOST_EVENTS LOTS
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from linkwright.planning.draws import Ensemble
from linkwright.services.plan_folder import write_plan
from linkwright.services.planning import OrderPlan, plan_order
from linkwright.works import demo_line_order, demo_works

sys.path.append(str(Path(__file__).parents[1]))

from trials.kills import digests

EVENTS = frozenset({"os.rename", "os.mkdir", "os.remove", "os.rmdir", "os.chmod", "os.truncate",
                    "shutil.rmtree", "tempfile.mkdtemp"})  # fmt: skip


def main(folder: Path, most: int, lots: int) -> None:
    """Write the old plan, then cut the writing of the new one at every event."""
    made = {seed: _plan(seed, lots) for seed in (1, 2)}
    states = {}
    for seed in (2, 1):
        _in_child(made[seed], folder / "plan", 0)
        states[seed] = digests(folder / "plan")
    shutil.copytree(folder / "plan", folder / "kept")
    found: Counter[str] = Counter()
    for event in range(1, most + 1):
        _restore(folder)
        ended = _in_child(made[2], folder / "plan", event)
        if ended == 0:
            break
        names = {states[1]: "old", states[2]: "new", "": "absent"}
        found[names.get(digests(folder / "plan"), "broken")] += 1
    print(json.dumps({"found": found}))


def _plan(seed: int, lots: int) -> OrderPlan:
    return plan_order(demo_line_order(), demo_works(), ensemble=Ensemble(lots=lots, seed=seed))


def _restore(folder: Path) -> None:
    for path in folder.iterdir():
        if path.name != "kept":
            shutil.rmtree(path)
    shutil.copytree(folder / "kept", folder / "plan")


def _in_child(made: OrderPlan, out: Path, event: int) -> int:
    """Write in a child that kills itself at this event (0: never); its way of ending."""
    child = os.fork()
    if child == 0:
        try:
            if event:
                _kill_at(event, out.parent)
            write_plan(made, out, force=True, papers=False)
            os._exit(0)
        finally:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status):
        raise RuntimeError("the writing failed without having been cut")
    return status


def _kill_at(event: int, folder: Path) -> None:
    seen = 0

    def watch(name: str, details: tuple[Any, ...]) -> None:
        nonlocal seen
        if name == "open":
            path, _, flags = details
            if not isinstance(path, (str, Path)) or not isinstance(flags, int):
                return
            if not flags & (os.O_WRONLY | os.O_RDWR) or not str(path).startswith(str(folder)):
                return
        elif name not in EVENTS:
            return
        seen += 1
        if seen == event:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(watch)


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), int(sys.argv[2]), int(sys.argv[3]))
