"""Works whose truth is not the planner's: what a plan's settings give in a world of other laws.

A `World` says what becomes of plain draws (heavier tails, a drift, a factor elsewhere in its band)
and which operations run by another published law. `Otherwise` wraps the planner's own tempering
and replaces what comes out of it; draws and factors are handed over as `Conditions`. Nothing of
the program is changed.

- `World`, `Draws`; `as_drawn`, `at_medians`, `heavy_tails`, `factor_at`: what becomes of draws
- `Otherwise`, `spies`, `just`, `anchored`: tempering by another law
- `other_cooling`: heat transfer by Grossmann's severity, as the draw of the planner's factor
- `plain_draws`, `findings_of`: lots made in a world with the settings of a plan
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

import numpy as np
from scipy.special import ndtr, stdtrit

from linkwright.catalogue import ValidityWarning
from linkwright.materials.hardness_scales import hardness_iso18265, tensile_strength_from_hardness
from linkwright.materials.tempering import tempered_hardness_by_quenched, tempered_hardness_spies
from linkwright.mechanics.quench_severity import heat_transfer_of_severity, quench_severity
from linkwright.processes.models.quenching import (
    ring_impingement_density,
    spray_heat_transfer_wendelstorf,
)
from linkwright.route import MAIN, Conditions, Operation, Route, Step, Stock, walk
from linkwright.services.line_document import PlannedLine

FREEDOM = 4.0
"""Degrees of freedom of Student's t where scatter has heavy tails."""
_JUDGED_DEGC = 700.0
"""Surface temperature at which the two laws of cooling are compared: where the rate is judged."""

Draws = dict[str, np.ndarray]
Law = Callable[[Stock, Any], np.ndarray]


class World(NamedTuple):
    """A works as it really is: what it does to plain draws, and operations that run otherwise."""

    name: str
    draws: Callable[[Draws, Conditions], Draws]
    operations: Mapping[str, Callable[[Operation], Any]] = {}


def _iso_strength(hardness_HV: np.ndarray) -> np.ndarray:
    return np.asarray(tensile_strength_from_hardness(hardness_HV=hardness_HV))


@dataclass(frozen=True)
class Otherwise:
    """Tempering whose hardness follows another law; links keep their scatter about their lot.

    strength: tensile strength of a hardness; the planner's own conversion if left out.
    """

    inner: Any
    law: Law
    strength: Callable[[np.ndarray], np.ndarray] = field(default=_iso_strength)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.inner, name)

    def run(self, stocks: Any, settings: Any, machine: Any, factors: Conditions) -> Step:
        """The planner's step with hardness and strength as the other laws have them."""
        step: Step = self.inner.run(stocks, settings, machine, factors)
        before = np.asarray(step.stock["hardness_HV"])
        equivalent = step.finding("one_hour_equivalent_degC").value
        lot = self.law(stocks[MAIN], equivalent)
        hardness = lot * before / before.mean(axis=-1, keepdims=True)
        stock = step.stock.changed(
            condition={"hardness_HV": hardness, "tensile_strength_MPa": self.strength(hardness)}
        )
        return replace(step, stock=stock)


def spies(chain: Stock, equivalent_degC: Any) -> np.ndarray:
    """Vickers hardness of the lots by Spies, Münch & Prewitz."""
    brinell = tempered_hardness_spies(
        quenched_hardness_HRC=_quenched_HRC(chain),
        temperature_degC=equivalent_degC,
        **chain.elements("C", "Si", "Mn", "Cr", "Mo"),
    )
    return np.asarray(hardness_iso18265(hardness_HB=brinell).hardness_HV)


def just(chain: Stock, equivalent_degC: Any) -> np.ndarray:
    """Vickers hardness of the lots by Just."""
    rockwell = tempered_hardness_by_quenched(
        quenched_hardness_HRC=_quenched_HRC(chain), temperature_degC=equivalent_degC
    )
    return np.asarray(hardness_iso18265(hardness_HRC=rockwell).hardness_HV)


def _quenched_HRC(chain: Stock) -> np.ndarray:
    """Rockwell hardness of the martensite at the middle of the straight; one value a lot."""
    return np.asarray(hardness_iso18265(hardness_HV=chain["martensite_HV"][0][0]).hardness_HRC)


def grossmann_factor(planned: PlannedLine) -> float:
    """Grossmann's heat transfer over that of the spray law, at the demo's ring."""
    ring = planned.job.route.place("quenching").machine
    (set_up,) = (s for key, s in planned.plan.settled.set_ups.items() if key.endswith("quenching"))
    held = {name: float(ring.held[name]) for name in
            ("ring_length_mm", "envelope_diameter_mm", "hitting_share")}  # fmt: skip
    density = ring_impingement_density(
        water_flow_l_per_min=float(set_up["water_flow_l_per_min"]), **held
    )
    spray = spray_heat_transfer_wendelstorf(
        surface_temperature_degC=_JUDGED_DEGC,
        impingement_density_kg_per_m2s=density,
        water_temperature_degC=float(set_up["water_temperature_degC"]),
    )
    severity = quench_severity(medium="water, moderate agitation")
    middle = 0.5 * (severity.H_low_per_in + severity.H_high_per_in)
    return float(heat_transfer_of_severity(H_per_in=middle) / spray)


TRANSFER = "factor/quenching/heat_transfer"
"""The planner's factor of heat transfer in the quench."""


def other_cooling(planned: PlannedLine) -> float:
    """Deviate of the planner's factor of heat transfer that gives Grossmann's cooling."""
    known = planned.plan.members.factors[TRANSFER]
    return math.log(grossmann_factor(planned) / known.median) / known.spread


def anchored(law: Law, planned: PlannedLine) -> Law:
    """The law shifted so that it gives the nominal chain the hardness that the plan states.

    So a works that set its temper by the hardness of its first article: the two laws agree
    there, and differ in how hardness answers temperature and analysis.
    """
    place = planned.job.route.place("tempering")
    done = {key: step.stock for key, step in planned.plan.steps.items()}
    chain = planned.job.route.stocks(place, done)[MAIN]
    step = planned.plan.steps[place.key]
    equivalent = step.finding("one_hour_equivalent_degC").value
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        shift = float(np.mean(step.stock["hardness_HV"])) - float(np.mean(law(chain, equivalent)))
    return lambda stock, at: law(stock, at) + shift


def as_drawn(draws: Draws, _: Conditions) -> Draws:
    """Nothing changed."""
    return draws


def at_medians(draws: Draws, stated: Conditions) -> Draws:
    """Every factor at its median."""
    return draws | {name: np.zeros_like(draws[name]) for name in stated.factors}


def heavy_tails(draws: Draws, stated: Conditions) -> Draws:
    """Scatter by Student's t of the same spread; factors as drawn."""
    unit = math.sqrt(FREEDOM / (FREEDOM - 2.0))
    heavy = {name: stdtrit(FREEDOM, ndtr(draws[name])) / unit for name in stated.scatter}
    return draws | heavy


def factor_at(name: str, deviate: float) -> Callable[[Draws, Conditions], Draws]:
    """One factor so many standard deviations from its median, the others at theirs."""

    def changed(draws: Draws, stated: Conditions) -> Draws:
        still = at_medians(draws, stated)
        return still | {name: np.full_like(still[name], deviate)}

    return changed


def plain_draws(stated: Conditions, lots: int, links: int, seed: int) -> Draws:
    """Independent standard normal deviates of every source and factor, unmirrored."""
    rng = np.random.default_rng(seed)
    return {
        name: rng.standard_normal((lots, links if draw.shape[1] > 1 else 1))
        for name, draw in stated.draws.items()
    }


def findings_of(planned: PlannedLine, world: World, draws: Draws) -> dict[str, Any]:
    """All findings of lots made in a world with the settings of the plan, by subject.

    draws: as the world has them already. Arrays broadcast over (lots, links).
    """
    route, stated = planned.job.route, planned.plan.members
    places = tuple(
        replace(place, operation=world.operations[place.operation.name](place.operation))
        if place.operation.name in world.operations else place
        for place in route.places
    )  # fmt: skip
    conditions = Conditions(stated.scatter, stated.factors, draws)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        steps = walk(Route(places, route.entering), planned.plan.settled.set_ups, conditions)
    return {one.subject: one.value for step in steps.values() for one in step.findings}
