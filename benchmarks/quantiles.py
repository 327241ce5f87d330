"""How near quantiles and chances come with 1,024, 4,096 and 16,384 members.

The demo is settled once; its members are then run from several seeds at each size and held
against one far larger ensemble of another seed. Errors of quantiles are told in standard
deviations of the result, bias (mean over seeds) and spread (standard deviation over seeds)
apart; errors of chances in per cent points. Run:

    python benchmarks/quantiles.py
"""

from __future__ import annotations

import time
import warnings
from collections.abc import Sequence

import numpy as np
from measured import Figure, table

from linkwright.catalogue import ValidityWarning
from linkwright.planning.chance import chance_of, together
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.influence import design_of, influence_of
from linkwright.route import walk
from linkwright.services.planning import PlannedLine, plan_order
from linkwright.works import demo_order, demo_works

SIZES, SEEDS, REFERENCE_LOTS = (128, 512, 2048), 16, 8192
PERCENT = (5.0, 50.0, 95.0)
REFERENCE_SEED = 10_007


class Sample:
    """Quantiles by result, chances of the requirements and of all together, and the time."""

    def __init__(self, line: PlannedLine, lots: int, seed: int) -> None:
        begun = time.perf_counter()
        ensemble = Ensemble(lots=lots, seed=seed)
        of_plan = line.plan.members
        members = drawn(of_plan.scatter.values(), of_plan.factors.values(), ensemble)
        steps = walk(line.job.route, line.plan.settled.set_ups, members)
        needs = line.job.requirements
        found = {one.subject: one.value for step in steps.values() for one in step.findings}
        full = {
            need.subject: np.broadcast_to(
                np.asarray(found[need.subject], float), (lots, ensemble.links)
            )
            for need in needs
        }
        design = design_of(members, ensemble)
        parts = [
            chance_of(full[n.subject], n, influence_of(full[n.subject], design)) for n in needs
        ]
        whole = together(parts)
        self.chances = np.array([whole.chance, whole.at_factors, *(one.chance for one in parts)])
        self.told_error = whole.error
        self.seconds = time.perf_counter() - begun
        self.quantiles = np.array([np.percentile(full[n.subject], PERCENT) for n in needs])
        self.deviations = np.array([full[n.subject].std() for n in needs])
        self.subjects = [need.subject for need in needs]


def figures(
    sizes: Sequence[int] = SIZES, seeds: int = SEEDS, reference_lots: int = REFERENCE_LOTS
) -> list[Figure]:
    """Bias, spread and time by size."""
    line = plan_order(demo_order(), demo_works(), ensemble=Ensemble(lots=64)).lines[0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        exact = Sample(line, reference_lots, REFERENCE_SEED)
        members = reference_lots * Ensemble().links
        found = [
            Figure(f"reference of {members} members: chance", 100 * exact.chances[0], "%"),
            Figure(f"reference of {members} members: time", exact.seconds, "s"),
        ]
        for lots in sizes:
            found += _of_size([Sample(line, lots, 1 + seed) for seed in range(seeds)], exact, lots)
    return found


def _of_size(samples: Sequence[Sample], exact: Sample, lots: int) -> list[Figure]:
    head = f"{lots * Ensemble().links} members"
    scale = np.where(exact.deviations > 0, exact.deviations, np.inf)[:, None]
    errors = np.array([(one.quantiles - exact.quantiles) / scale for one in samples])
    chances = 100.0 * np.array([one.chances - exact.chances for one in samples])
    told = 100.0 * float(np.mean([one.told_error for one in samples]))
    found = []
    for index, percent in enumerate(PERCENT):
        name = f"{head}: {percent:g} % quantile"
        bias, spread = np.abs(errors.mean(axis=0)), errors.std(axis=0, ddof=1)
        for word, values in (("greatest bias", bias), ("greatest spread", spread)):
            worst = int(np.argmax(values[:, index]))
            value = float(values[worst, index])
            found.append(Figure(f"{name}, {word}", value, "sd", remark=exact.subjects[worst]))
    return [
        *found,
        Figure(f"{head}: chance of a lot, bias", float(chances[:, 0].mean()), "%"),
        Figure(f"{head}: chance of a lot, spread", float(chances[:, 0].std(ddof=1)), "%"),
        Figure(f"{head}: chance of a lot, standard error as told", told, "%"),
        Figure(f"{head}: chance at median factors, spread", float(chances[:, 1].std(ddof=1)), "%"),
        Figure(f"{head}: worst single chance, any requirement", float(np.abs(chances).max()), "%"),
        Figure(f"{head}: time to run", float(np.median([s.seconds for s in samples])), "s"),
    ]


if __name__ == "__main__":
    print(table(figures()))
