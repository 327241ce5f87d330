"""Trial: members of the ensemble recomputed one by one, at random and at the extremes.

A member's result must not depend on who else is in the ensemble: each chosen link of each
chosen lot is run alone with the same settings and its own deviates, and every finding is
compared with what the whole ensemble gave.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
from measured import Figure

from linkwright.catalogue import ValidityWarning
from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import LinePlan
from linkwright.route import Conditions, walk
from linkwright.services.line_document import PlannedLine
from linkwright.services.planning import plan_order
from linkwright.works import demo_line_order, demo_works
from trials.outcome import Counts, Outcome

SEED = 41
TARGET = 1e-9


def run(counts: Counts, _: Path) -> Outcome:
    """Half of the members at random, half where a deviate or a result is extreme."""
    line = plan_order(demo_line_order(), demo_works(), ensemble=Ensemble(lots=counts.lots)).lines[0]
    chosen = _chosen(line.plan, counts.members)
    worst: dict[str, float] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        for place in chosen:
            for subject, value in _alone(line, *place).items():
                kept = _at(line.plan.results[subject], *place)
                deviation = _deviation(kept, value)
                worst[subject] = max(worst.get(subject, 0.0), deviation)
    order = sorted(worst, key=lambda subject: -worst[subject])
    return Outcome(
        (
            Figure("members recomputed singly", len(chosen), least=counts.members),
            Figure("findings compared, each member", len(worst)),
            Figure("greatest relative deviation", worst[order[0]], greatest=TARGET),
        ),
        remarks=(
            "Largest deviations: "
            + ", ".join(f"{subject} {worst[subject]:.1e}" for subject in order[:3]),
        ),
    )


def _chosen(plan: LinePlan, count: int) -> list[tuple[int, int]]:
    shape = (plan.ensemble.lots, plan.ensemble.links)
    places: dict[tuple[int, int], None] = {}
    for place in _extremes(plan, shape):
        if len(places) < count // 2:
            places[place] = None
    rng = np.random.default_rng(SEED)
    for flat in rng.permutation(shape[0] * shape[1]):
        if len(places) >= count:
            break
        places[(int(flat) // shape[1], int(flat) % shape[1])] = None
    return list(places)


def _extremes(plan: LinePlan, shape: tuple[int, int]) -> Iterator[tuple[int, int]]:
    """Least and greatest of every deviate and result; then the members farthest out."""
    columns = [np.broadcast_to(values, shape) for values in plan.members.draws.values()]
    for values in [*columns, *(np.broadcast_to(v, shape) for v in plan.results.values())]:
        for flat in (int(np.argmin(values)), int(np.argmax(values))):
            yield flat // shape[1], flat % shape[1]
    distance = np.sum(np.square(columns), axis=0).ravel()
    for flat in np.argsort(-distance, kind="stable"):
        yield int(flat) // shape[1], int(flat) % shape[1]


def _alone(line: PlannedLine, lot: int, link: int) -> Mapping[str, float]:
    members = line.plan.members
    draws = {
        name: values[lot : lot + 1, (slice(link, link + 1) if values.shape[1] > 1 else slice(None))]
        for name, values in members.draws.items()
    }
    conditions = Conditions(members.scatter, members.factors, draws)
    steps = walk(line.job.route, line.plan.settled.set_ups, conditions)
    return {
        found.subject: float(np.ravel(np.asarray(found.value, float))[0])
        for step in steps.values()
        for found in step.findings
    }


def _at(values: np.ndarray, lot: int, link: int) -> float:
    return float(values[lot if values.shape[0] > 1 else 0, link if values.shape[1] > 1 else 0])


def _deviation(one: float, other: float) -> float:
    if one == other or (np.isnan(one) and np.isnan(other)):
        return 0.0
    scale = max(abs(one), abs(other))
    return abs(one - other) / scale if np.isfinite(one - other) else float("inf")
