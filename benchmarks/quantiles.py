"""How near quantiles and chances come with 1,024, 4,096 and 16,384 members.

The demo is settled once; its members are then run from several seeds at each size and held
against the mean of a few far larger ensembles of other seeds (65,536 members each), whose own
standard error is told too: a bias below it is none. Errors of quantiles are told in standard
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
from linkwright.works import demo_line_order, demo_works

SIZES, SEEDS, REFERENCE_LOTS = (128, 512, 2048), 16, 8192
PERCENT = (5.0, 50.0, 95.0)
REFERENCE_SEED, REFERENCES = 10_007, 4


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


class Reference:
    """The mean of several large samples, and the standard error of its chance of a lot."""

    def __init__(self, samples: Sequence[Sample]) -> None:
        self.subjects = samples[0].subjects
        self.quantiles = np.mean([one.quantiles for one in samples], axis=0)
        self.deviations = np.mean([one.deviations for one in samples], axis=0)
        chances = np.array([one.chances for one in samples])
        self.chances = chances.mean(axis=0)
        self.error = float(chances[:, 0].std(ddof=1) / np.sqrt(len(samples)))


def figures(
    sizes: Sequence[int] = SIZES, seeds: int = SEEDS, reference_lots: int = REFERENCE_LOTS
) -> list[Figure]:
    """Bias, spread and time by size."""
    line = plan_order(demo_line_order(), demo_works(), ensemble=Ensemble(lots=64)).lines[0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        large = [Sample(line, reference_lots, REFERENCE_SEED + k) for k in range(REFERENCES)]
        exact = Reference(large)
        head = f"reference, {REFERENCES} times {reference_lots * Ensemble().links} members"
        found = [
            Figure(f"{head}: chance of a lot", 100 * exact.chances[0], "%"),
            Figure(f"{head}: standard error of that", 100 * exact.error, "%"),
            Figure(f"{head}: time of one", large[-1].seconds, "s"),
        ]
        for lots in sizes:
            found += _of_size([Sample(line, lots, 1 + seed) for seed in range(seeds)], exact, lots)
    return found


def _of_size(samples: Sequence[Sample], exact: Reference, lots: int) -> list[Figure]:
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
