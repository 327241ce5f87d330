"""The books of the works: opened with what acts need, begun, checked, moved and kept safe.

Offers `opened` (a store with its means), and for each task of `linkwright books` one function that
gives plain data.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
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


@dataclass(frozen=True)
class Signing:
    """What signs certificates and lists with the works' key."""

    maker: Maker
    lister: Lister


@contextmanager
def opened(place: str, signing: Signing | None = None) -> Iterator[Store]:
    """Open books with a judge of evidence, and with what signs papers if it is given."""
    means = Means(judged)
    if signing is not None:
        means = Means(judged, signing.maker, signing.lister)
    store = open_store(place, means)
    try:
        yield store
    finally:
        store.close()


def judged(requirements: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The verdict of each requirement.

    Each sample by its value, uncertainty and guard band (JCGM 106); by attributes the state of
    the sampling is the verdict; by variables mean and spread of all samples (ISO 3951).
    """
    from linkwright.quality.release import Evidence, release  # noqa: PLC0415

    evidence = [
        Evidence(
            one["characteristic"], one["value"], one["standard_uncertainty"] or 0.0, one["least"],
            one["greatest"], one["source"],
        )
        for one in requirements
    ]  # fmt: skip
    verdicts = []
    for one, decided in zip(requirements, release(evidence).decided, strict=True):
        said = decided.verdict.verdict
        if one["accept"] or one["k"] is not None:
            said = _sampled(one)
        verdicts.append({
            "verdict": said,
            "lower_acceptance_limit": decided.verdict.lower_acceptance_limit,
            "upper_acceptance_limit": decided.verdict.upper_acceptance_limit,
        })  # fmt: skip
    return verdicts


def _sampled(one: dict[str, Any]) -> str:
    from linkwright.quality.release import MET, NO_EVIDENCE, NOT_MET  # noqa: PLC0415
    from linkwright.quality.variables_sampling import variables_acceptance  # noqa: PLC0415

    if one["samples_done"] < one["samples_wanted"]:
        return NO_EVIDENCE
    if one["k"] is None:
        return MET if one["state"] == "passed" else NOT_MET
    values = [r["value"] for r in one["results"] if not r["void"] and not r["no_evidence"]]
    if min(values) == max(values):
        inside = (one["least"] is None or values[0] > one["least"]) and (
            one["greatest"] is None or values[0] < one["greatest"]
        )
        return MET if inside else NOT_MET
    held = variables_acceptance(
        data=values, k=one["k"], upper_limit=one["greatest"], lower_limit=one["least"]
    )
    return MET if held.accept else NOT_MET


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


def renew(place: str, person: str, old: str, new: str) -> dict[str, Any]:
    """Give oneself another pass phrase."""
    with opened(place) as store:
        people.set_pass_phrase(store, people.sign_in(store, person, old), new)
    return {"books": shown(place), "person": person}


def _head(path: Path) -> Head:
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        held = held.get("head", held)
        return Head(int(held["act"]), str(held["digest"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        said = "a JSON file with act and digest, as `books check --json` or a backup's note gives"
        raise InputErrors([Problem("file", "holds no head", str(path), accepted=said)]) from error
