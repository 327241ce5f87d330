"""A changed setting on the pages against the same line planned anew.

The pages are asked as a browser asks them, through their application: the change with the page
that follows, then the chance. Every operation of a welded and of a roller chain has one setting
moved by a hundredth, each from the demo order as it stands.

    python benchmarks/changed_setting.py
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from measured import Figure, table
from starlette.testclient import TestClient

from linkwright.services.plan_desk import Desk
from linkwright.web.app import create_app
from linkwright.web.server import site_of_works
from linkwright.works import demo_bytes, demo_works

LINES = {"welded": 1, "roller": 3}
NOMINAL_S, WHOLE_S = 0.3, 1.0
MOVED = 1.01


class Timed(NamedTuple):
    """One change: what was moved, until the page was there, until the chance was there."""

    setting: str
    nominal_s: float
    whole_s: float


def figures(*, short: bool = False, lots: int = 512) -> list[Figure]:
    """Greatest and middle times of all changes, and the time of planning anew over ours."""
    found: list[Figure] = []
    with tempfile.TemporaryDirectory() as folder:
        site = site_of_works(None, drafts=Path(folder), lots=lots, seed=1)
        headers = {"sec-fetch-site": "same-origin"}
        application = create_app(site)
        with TestClient(application, base_url="http://127.0.0.1", headers=headers) as pages:
            draft = pages.post("/orders/demo", follow_redirects=False).headers["location"]
            for name, line in LINES.items():
                changes = list(_changes(site.desk, line))[: 2 if short else None]
                timed = [_timed(pages, f"{draft}/lines/{line}", one) for one in changes]
                done = [one for one in timed if one is not None]
                slowest = max(done, key=lambda one: one.nominal_s)
                anew = _anew(line)
                middle = statistics.median(one.nominal_s for one in done)
                found += [
                    Figure(f"{name}: settings changed", len(done)),
                    Figure(f"{name}: until the page is there, most ({slowest.setting})",
                           slowest.nominal_s, "s", None if short else NOMINAL_S),
                    Figure(f"{name}: until the page is there, middle", middle, "s"),
                    Figure(f"{name}: until the chance is there, most",
                           max(one.whole_s for one in done), "s", None if short else WHOLE_S),
                    Figure(f"{name}: settled anew, its time over the middle", anew / middle),
                ]  # fmt: skip
    return found


def _changes(desk: Desk, line: int) -> Iterator[Mapping[str, str]]:
    """One number of every operation, moved."""
    text = demo_bytes("order.toml").decode()
    ident = desk.order(text).lines[line - 1].id
    for step in desk.settled(text, ident)["steps"]:
        for row in step["settings"]:
            whole = row["name"].endswith(("_count", "passes", "_number"))
            if row["how"] == "follows" or not row["value"] or row["own"] or whole:
                continue
            value = f"{MOVED * row['value']:.9g}"
            yield {"place": step["place"], "name": row["name"], "value": value}
            break


def _timed(pages: TestClient, line: str, change: Mapping[str, str]) -> Timed | None:
    """A change from the line as it stands; None where it cannot be planned."""
    pages.get(f"{line}/at/{change['place']}")
    pages.get(f"{line}/chance")
    begun = time.perf_counter()
    answer = pages.post(f"{line}/set", data=dict(change), follow_redirects=False)
    if answer.status_code != 303:
        return None
    place = answer.headers["location"]
    pages.get(place)
    nominal = time.perf_counter() - begun
    pages.get(f"{place.partition('/at/')[0]}/chance")
    return Timed(f"{change['place']}.{change['name']}", nominal, time.perf_counter() - begun)


def _anew(line: int) -> float:
    """Time of settling the line with nothing kept."""
    text = demo_bytes("order.toml").decode()
    best = float("inf")
    for _ in range(3):
        desk: Any = Desk(demo_works())
        order = desk.order(text)
        begun = time.perf_counter()
        desk.settled(text, order.lines[line - 1].id)
        best = min(best, time.perf_counter() - begun)
    return best


if __name__ == "__main__":
    print(table(figures()))
