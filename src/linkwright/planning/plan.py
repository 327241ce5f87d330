"""A plan: one order line taken along its route, nominally and as an ensemble.

`plan_line` settles the route, records the nominal pass, runs the members and gives the
chance of passing each requirement, with what moves it. `nominal` settles and works a job
once, without members or record; `outside` names what then fails.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.catalogue import Derivation, ValidityWarning, not_recording, recording
from linkwright.planning.chance import LotChance, chance_of, together
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.influence import Design, Influence, design_of, influence_of
from linkwright.planning.trial_worth import TrialsWorth, trials_worth
from linkwright.quantities import CannotPlan
from linkwright.route import (
    CLOSE,
    OUTSIDE,
    WITHIN,
    Conditions,
    Finding,
    Kept,
    Requirement,
    Route,
    Settled,
    Step,
    Wanted,
    settle,
    walk,
)


@dataclass(frozen=True)
class Job:
    """What a product hands to the planner: the route, what its end must give, and the proof."""

    route: Route
    wanted: Wanted
    requirements: Sequence[Requirement]
    conditions: Conditions
    given: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class LinePlan:
    """The plan of one order line.

    settled: settings and nominal steps; members: conditions of the ensemble; results: the
    required quantities and all findings that vary, over (lots, links); chance: with its
    parts; influences: by requirement; trials: what tests of the factors are worth, None with
    too few lots; derivation: every number of the nominal pass.
    """

    settled: Settled
    ensemble: Ensemble
    members: Conditions
    results: Mapping[str, np.ndarray]
    chance: LotChance
    influences: Mapping[str, Influence]
    trials: TrialsWorth | None
    derivation: Derivation

    @property
    def steps(self) -> Mapping[str, Step]:
        """The nominal steps by place."""
        return self.settled.steps

    def findings(self) -> list[tuple[str, Finding]]:
        """All nominal findings with the place they belong to."""
        return [(key, found) for key, step in self.steps.items() for found in step.findings]

    @property
    def verdict(self) -> str:
        """``outside`` if any nominal finding is, else ``close`` or ``within``."""
        return verdict_of(self.steps)


def plan_line(prepare: Callable[[], Job], ensemble: Ensemble | None = None) -> LinePlan:
    """Settle, record, draw, run, judge. Raises `CannotPlan` if the route cannot settle.

    ``prepare`` makes the job inside the recording, so that what it reads of files and
    standards has its source.
    """
    ensemble = ensemble or Ensemble()
    with recording() as book, warnings.catch_warnings():
        # what lies beyond a source's range is kept with the number; a solver's trials are not
        warnings.simplefilter("ignore", ValidityWarning)
        job = prepare()
        settled = settle_job(job)
    members = drawn(job.conditions.scatter.values(), job.conditions.factors.values(), ensemble)
    design = design_of(members, ensemble)
    with warnings.catch_warnings():
        # a nominal value beyond a source's range is told once, from the nominal pass
        warnings.simplefilter("ignore", ValidityWarning)
        steps = walk(job.route, settled.set_ups, members)
    return judged(job, settled, Walked(ensemble, members, design, steps), book)


@dataclass(frozen=True)
class Walked:
    """An ensemble taken along a route: its members, their design, the steps of all of them."""

    ensemble: Ensemble
    members: Conditions
    design: Design
    steps: Mapping[str, Step]


def judged(job: Job, settled: Settled, walked: Walked, book: Derivation) -> LinePlan:
    """The plan of a line that was settled and walked: chances, what moves them, what to try."""
    named = _named(job.route)
    results = _results(walked.steps, walked.ensemble, named)
    influences = {
        need.subject: influence_of(results[need.subject], walked.design)
        for need in job.requirements
    }
    parts = [
        chance_of(results[need.subject], need, influences[need.subject])
        for need in job.requirements
    ]
    found = _by_operation(walked.steps, results, named)
    trials = trials_worth(
        found, walked.design, parts, influences, job.conditions.factors, seed=walked.ensemble.seed
    )
    return LinePlan(
        settled, walked.ensemble, walked.members, results, together(parts), influences, trials, book
    )


def nominal(prepare: Callable[[], Job]) -> Settled:
    """The job settled and worked once: what a try costs. Raises `CannotPlan`."""
    with not_recording(), warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        return settle_job(prepare())


def verdict_of(steps: Mapping[str, Step]) -> str:
    """``outside`` if any finding is, else ``close`` or ``within``."""
    verdicts = {found.verdict for step in steps.values() for found in step.findings}
    if OUTSIDE in verdicts:
        return OUTSIDE
    return CLOSE if CLOSE in verdicts else WITHIN


def outside(steps: Mapping[str, Step]) -> list[tuple[str, Finding]]:
    """The findings that are outside their limits, with their places."""
    return [
        (key, found)
        for key, step in steps.items()
        for found in step.findings
        if found.verdict == OUTSIDE
    ]


def settle_job(job: Job, kept: Kept | None = None) -> Settled:
    """The settings and nominal steps of a job. Raises `CannotPlan` if they cannot settle."""
    places = {name for place in job.route.places for name in (place.key, place.operation.name)}
    unknown = sorted(set(job.given) - places)
    if unknown:
        raise CannotPlan(f"settings are given for {', '.join(unknown)}, not in this route")
    return settle(job.route, job.wanted, job.conditions, job.given, kept)


def _named(route: Route) -> Callable[[str, str], str]:
    """Name of a finding among the results: its subject, in side branches ``branch/subject``.

    A line of one branch after another has each subject once, or its last one counts; where
    several branches meet, the same subject belongs to each of them.
    """
    joined, last = len(route.entering) > 1, route.places[-1].branch

    def name(place: str, subject: str) -> str:
        branch = place.split("/", 1)[0]
        return subject if not joined or branch == last else f"{branch}/{subject}"

    return name


def _results(
    steps: Mapping[str, Step], ensemble: Ensemble, named: Callable[[str, str], str]
) -> dict[str, np.ndarray]:
    """Findings that vary, by name; a later step's finding replaces an earlier one's."""
    results: dict[str, np.ndarray] = {}
    for key, step in steps.items():
        for found in step.findings:
            value = np.asarray(found.value, dtype=float)
            if value.ndim < 2:
                value = np.full((ensemble.lots, 1), float(value))
            results[named(key, found.subject)] = value
    return results


def _by_operation(
    steps: Mapping[str, Step],
    results: Mapping[str, np.ndarray],
    named: Callable[[str, str], str],
) -> dict[str, dict[str, np.ndarray]]:
    """The same by operation, which several branches may run."""
    found: dict[str, dict[str, np.ndarray]] = {}
    for key, step in steps.items():
        names = [named(key, one.subject) for one in step.findings]
        found.setdefault(key.split("/", 1)[1], {}).update({one: results[one] for one in names})
    return found
