"""The books of the works: opened with what acts need, begun, checked, moved and kept safe.

Offers `opened` (a store with its means), and for each task of `linkwright books` one function that
gives plain data.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from linkwright.quantities import InputErrors, Problem
from linkwright.records import people
from linkwright.records.backup import backup as back_up
from linkwright.records.backup import restore as put_back
from linkwright.records.chain import Head, walk
from linkwright.records.means import Lister, Maker, Means
from linkwright.records.migrating import migrate as step
from linkwright.records.moving import bring_in, take_out
from linkwright.records.store import VERSION, Store, open_store, shown


@contextmanager
def opened(place: str, maker: Maker | None = None, lister: Lister | None = None) -> Iterator[Store]:
    """Open books with a judge of evidence, and with what signs papers if it is given."""
    given = {"maker": maker, "lister": lister}
    means = Means(judge=judged, **{name: one for name, one in given.items() if one is not None})  # type: ignore[arg-type]
    store = open_store(place, means)
    try:
        yield store
    finally:
        store.close()


def judged(requirements: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The verdict of each requirement by its value, uncertainty and guard band (JCGM 106)."""
    from linkwright.quality.release import Evidence, release  # noqa: PLC0415

    evidence = [
        Evidence(
            one["characteristic"], one["value"], one["standard_uncertainty"] or 0.0, one["least"],
            one["greatest"], one["source"],
        )
        for one in requirements
    ]  # fmt: skip
    return [
        {
            "verdict": decided.verdict.verdict,
            "lower_acceptance_limit": decided.verdict.lower_acceptance_limit,
            "upper_acceptance_limit": decided.verdict.upper_acceptance_limit,
        }
        for decided in release(evidence).decided
    ]


def start(place: str, person: str, name: str, pass_phrase: str) -> dict[str, Any]:
    """Begin new books with their first administrator."""
    before, now = step(place)
    store = open_store(place)
    try:
        people.begin(store, person, name, pass_phrase)
    finally:
        store.close()
    return {"books": shown(place), "version_before": before, "version": now}


def check(place: str, head_file: Path | None = None) -> dict[str, Any]:
    """Walk the chain of acts, against a head that was written down if one is given."""
    expected = None if head_file is None else _head(head_file)
    with opened(place) as store, store.reading() as session:
        return walk(session, expected).to_dict()


def backup(place: str, to: Path) -> dict[str, Any]:
    """Back up books while they are in use."""
    with opened(place) as store:
        return back_up(store, to)


def restore(source: Path, place: str) -> dict[str, Any]:
    """Put a backup where no books are, and walk its chain."""
    return put_back(source, place)


def export(place: str, folder: Path) -> dict[str, Any]:
    """Write everything into open files."""
    with opened(place) as store:
        return take_out(store, folder)


def take_in(place: str, folder: Path, person: str, pass_phrase: str) -> dict[str, Any]:
    """Read an export into an empty place; an administrator of it gets a pass phrase."""
    step(place)
    with opened(place) as store:
        walked = bring_in(store, folder)
        people.take_over(store, person, pass_phrase)
    return walked


def migrate(place: str, to: str | None = None) -> dict[str, Any]:
    """Step the tables up or down."""
    before, now = step(place, to or VERSION)
    return {"books": shown(place), "version_before": before, "version": now}


TASKS: dict[str, Callable[..., dict[str, Any]]] = {
    "start": start, "check": check, "backup": backup, "restore": restore, "export": export,
    "import": take_in, "migrate": migrate,
}  # fmt: skip
"""The tasks by their words."""


def _head(path: Path) -> Head:
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        held = held.get("head", held)
        return Head(int(held["act"]), str(held["digest"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        said = "a JSON file with act and digest, as `books check --json` or a backup's note gives"
        raise InputErrors([Problem("file", "holds no head", str(path), accepted=said)]) from error
