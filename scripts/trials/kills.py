"""Trial: a plan's folder is whole or the old one, whenever the program is killed.

First the command `linkwright plan --out DIR --force` is killed at random moments, a part of
them while its files are being written. Then the writing alone is cut at every single file
event, one after the other (`scripts/trials/cut_writing.py`). After each cut the folder must
hold, byte for byte, either the plan that was there or the new one.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np
from measured import Figure

from linkwright.works import demo_bytes, demo_line_bytes
from trials.outcome import Counts, Outcome, arguments, command, frozen

SEED, OUT, LOTS = 97, "plan", 64


def digests(folder: Path) -> str:
    """One digest over names and bytes of all files below a folder; empty if there is none."""
    if not folder.is_dir():
        return ""
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            whole.update(f"{path.relative_to(folder).as_posix()}\n".encode())
            whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()


def run(counts: Counts, folder: Path) -> Outcome:
    """Kills at random moments, then the cuts at every file event."""
    for name in ("order.toml", "works.toml"):
        raw = demo_line_bytes() if name == "order.toml" else demo_bytes(name)
        (folder / name).write_bytes(raw)
    copy = frozen(folder)
    killed = _killed(folder, counts.kills, copy)
    left = [path for path in folder.iterdir() if path.name.startswith(f".{OUT}")]
    after = command(_words(1), folder, copy)
    cut = _cut(folder / "cut", counts.sweep, copy)
    figures = (
        Figure("kills of the command", sum(killed.values()), least=counts.kills,
               remark=", ".join(f"{what}: {n}" for what, n in sorted(killed.items()))),
        Figure("kills after which the folder was neither whole nor the old one",
               killed["broken"] + killed["absent"], greatest=0),
        Figure("plans that failed after all kills", int(after.returncode != 0), greatest=0),
        Figure("unfinished folders left beside it by these kills", len(left)),
        Figure("file events of one writing that were cut", sum(cut.values()), least=1,
               remark=", ".join(f"{what}: {n}" for what, n in sorted(cut.items()))),
        Figure("cuts after which the folder was absent", cut["absent"], greatest=0),
        Figure("cuts after which the folder was broken", cut["broken"], greatest=0),
    )  # fmt: skip
    return Outcome(figures)


def _words(seed: int) -> list[str]:
    return ["plan", "order.toml", "--works", "works.toml", "--out", OUT, "--force", "--quiet",
            "--no-papers", "--lots", str(LOTS), "--seed", str(seed)]  # fmt: skip


def _killed(folder: Path, kills: int, copy: dict[str, str]) -> Counter[str]:
    """Kill the command at random moments: over its whole time, and within its writing."""
    found: Counter[str] = Counter()
    if not kills:
        return found
    plans = {}
    begun = time.perf_counter()
    for seed in (2, 1):
        command(_words(seed), folder, copy)
        plans[seed] = digests(folder / OUT)
    usual = (time.perf_counter() - begun) / 2
    rng = np.random.default_rng(SEED)
    old = 1
    for index in range(kills):
        new = 3 - old
        process = subprocess.Popen(  # noqa: S603 - our own program with words of our own
            arguments(*_words(new)), cwd=folder, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, env={**os.environ, **copy},
        )  # fmt: skip
        if index % 2:
            _wait_for_writing(process, folder)
            time.sleep(rng.uniform(0.0, 0.08))
        else:
            time.sleep(rng.uniform(0.0, 1.1 * usual))
        with contextlib.suppress(ProcessLookupError):
            process.send_signal(signal.SIGKILL)
        process.wait()
        state = digests(folder / OUT)
        names = {plans[old]: "old", plans[new]: "new", "": "absent"}
        found[names.get(state, "broken")] += 1
        if state == plans[new]:
            old = new
        elif state != plans[old]:
            command(_words(old), folder, copy)
    return found


def _wait_for_writing(process: subprocess.Popen[bytes], folder: Path) -> None:
    """Wait until a new unfinished folder appears beside the wanted one, or the end."""
    known = {path.name for path in folder.iterdir()}
    while process.poll() is None:
        if any(path.name not in known for path in folder.iterdir()):
            return
        time.sleep(0.001)


def _cut(folder: Path, most: int, copy: dict[str, str]) -> Counter[str]:
    """How the folder is found after the writing was cut at its first, second, ... file event."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    script = Path(__file__).with_name("cut_writing.py")
    ended = subprocess.run(  # noqa: S603 - our own script
        [sys.executable, str(script), str(folder), str(most), str(LOTS)],
        capture_output=True, check=True, env={**os.environ, **copy},
    )  # fmt: skip
    return Counter(json.loads(ended.stdout)["found"])
