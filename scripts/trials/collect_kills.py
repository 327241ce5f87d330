"""Trial: what a broker was told is on the disk, whenever the collector is killed.

Messages are published all the time while `linkwright collect` is started and killed at random
moments, a part of them while its files grow. At the end every message must lie in the spool, and
no key may carry two contents; rows that stand twice are repeats, which ingest drops by their key.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from measured import Figure

from linkwright.services.collecting import CollectRequest, collect
from trials import ROOT
from trials.outcome import Counts, Outcome, arguments, frozen

if str(ROOT / "tests") not in sys.path:
    sys.path.append(str(ROOT / "tests"))  # the broker and the invented welder are those of tests

from broker import Broker
from collecting import broker_text, message

SEED, PAUSE_S = 98, 0.003
_WORDS = ("collect", "--from", "collect.toml", "--spool", "spool")


def run(counts: Counts, folder: Path) -> Outcome:
    """Kills at random moments while messages come."""
    place = folder / "broker"
    place.mkdir()
    broker = Broker(place)
    try:
        text = "close_after_s = 0.5\n" + broker_text(broker.url)
        (folder / "collect.toml").write_text(text)
        copy = frozen(folder)
        _once(folder)  # the broker knows it from now on
        with _published(broker) as sent:
            killed = [_killed(folder, copy, seed) for seed in range(counts.kills)]
        whole = _once(folder)
    finally:
        broker.stop()
    rows = _rows(folder / "spool")
    contents = {(row["counter"], row["clock"], row["current_kA"]) for row in rows}
    twice = len(contents) - len({row["counter"] for row in rows})
    lost = set(range(sent[0])) - {row["counter"] for row in rows}
    figures = (
        Figure("kills of the collector", sum(killed), least=counts.kills),
        Figure("messages published meanwhile", sent[0], least=1),
        Figure("messages that are not in the spool", len(lost), greatest=0),
        Figure("keys with two contents, and lines that are no rows", twice, greatest=0),
        Figure("rows that stand twice, for ingest to drop", len(rows) - len(contents)),
        Figure("collectors that failed after all kills", int(not whole), greatest=0),
    )
    return Outcome(figures)


def _once(folder: Path) -> bool:
    """Take what waits; whether all of it is on the disk."""
    file, spool = folder / "collect.toml", folder / "spool"
    said: list[str] = []
    return collect(CollectRequest(file, spool, once=True, quiet_s=0.4, say=said.append)).whole


def _killed(folder: Path, copy: dict[str, str], seed: int) -> bool:
    """Start the collector, kill it, three times of four when it writes; whether it still ran."""
    rng, before = np.random.default_rng((SEED, seed)), _size(folder / "spool")
    process = subprocess.Popen(  # noqa: S603 - our own program with words of our own
        arguments(*_WORDS), cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        env={**os.environ, **copy},
    )  # fmt: skip
    until = time.monotonic() + 10.0
    while seed % 4 and time.monotonic() < until and _size(folder / "spool") <= before:
        time.sleep(0.002)
    time.sleep(rng.uniform(0.0, 0.3))
    running = process.poll() is None
    with contextlib.suppress(ProcessLookupError):
        process.send_signal(signal.SIGKILL)
    process.wait()
    return running


def _size(spool: Path) -> int:
    """Bytes of all rows; a file that is renamed meanwhile is counted the next time."""
    found = 0
    for path in [*(spool / "open").glob("*.jsonl"), *(spool / "ready").glob("*.jsonl")]:
        with contextlib.suppress(OSError):
            found += path.stat().st_size
    return found


@contextlib.contextmanager
def _published(broker: Broker) -> Iterator[list[int]]:
    """Publish until the end of the block; then the broker has all of so many messages."""
    sent, stop, client = [0], threading.Event(), broker.publisher()
    waiting = []

    def body() -> None:
        while not stop.wait(PAUSE_S):
            raw = json.dumps(message(sent[0]))
            waiting.append(client.publish("works/W07/weld", raw, qos=1))
            sent[0] += 1

    thread = threading.Thread(target=body)
    thread.start()
    try:
        yield sent
    finally:
        stop.set()
        thread.join()
        for one in waiting:
            one.wait_for_publish(30.0)
        client.disconnect()
        client.loop_stop()


def _rows(spool: Path) -> list[dict[str, object]]:
    """All closed rows; a line that is none raises."""
    found = [json.loads(line) for path in sorted((spool / "ready").glob("*.jsonl"))
             for line in path.read_text("utf-8").splitlines()]  # fmt: skip
    left = Counter(path.name for path in (spool / "open").iterdir())
    if left:
        raise RuntimeError(f"files are left open: {', '.join(left)}")
    return found
