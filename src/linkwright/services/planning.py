"""Plan an order: choose the steel, settle the route, run the members, price the use.

`plan_order` gives an `OrderPlan` in memory; `services.plan_folder` writes it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from importlib import metadata, resources
from typing import Any

from linkwright.costing.prices import Rates, priced, totals
from linkwright.planning.document import SCHEMA_VERSION, line_document, number
from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import Job, LinePlan, nominal, outside, plan_line, verdict_of
from linkwright.products.job import ChainJob, Choice
from linkwright.quantities import CannotPlan, InputErrors, Problem, nearest
from linkwright.route import FOLLOWS, OUTSIDE, Conditions, Factor, Route, Scatter, Step
from linkwright.route.operation import Numbers
from linkwright.services.chain_jobs import chain_choices, chain_job, machines_of
from linkwright.works import Line, MachineRecord, Order, Works
from linkwright.works.canonical import content_hash

_TABLES = ("linkwright.standards", "linkwright.materials", "linkwright.mechanics",
           "linkwright.processes.models")  # fmt: skip


@dataclass(frozen=True)
class Tried:
    """A choice of rod and heat treatment that was tried, its verdict and what failed."""

    choice: Choice
    verdict: str
    failing: str


@dataclass(frozen=True)
class PlannedLine:
    """One line of the order with its plan; ``tried`` where the usual choice failed."""

    line: Line
    job: ChainJob
    plan: LinePlan
    machines: Mapping[str, MachineRecord]
    tried: tuple[Tried, ...] = ()


@dataclass(frozen=True)
class OrderPlan:
    """The plan of an order: its lines, and what it was made from.

    `document` gives it as plain data, the content of plan.json.
    """

    order: Order
    works: Works
    ensemble: Ensemble
    lines: tuple[PlannedLine, ...]

    @property
    def unused_factors(self) -> tuple[str, ...]:
        """Factors of the works file that no operation of any line knows."""
        known = {name for line in self.lines for name in line.plan.members.factors}
        return tuple(one.name for one in self.works.factors if one.name not in known)

    @property
    def passes(self) -> bool:
        """Whether no nominal finding of any line is outside its limits."""
        return all(line.plan.verdict != "outside" for line in self.lines)

    def document(self) -> dict[str, Any]:
        """The plan as plain data, in fixed order, with no time, path or host in it."""
        return self._document

    @cached_property
    def _document(self) -> dict[str, Any]:
        return {
            "schema_version": SCHEMA_VERSION,
            "program": {"name": "linkwright", "version": metadata.version("linkwright")},
            "seed": self.ensemble.seed,
            "members": {"lots": self.ensemble.lots, "links": self.ensemble.links},
            "hashes": {
                "order": self.order.content_hash(),
                "works": self.works.content_hash(),
                "tables": _hash_of_tables(),
                "factors": content_hash(_factors_used(self.lines)),
            },
            "works": {
                "name": self.works.name,
                "place": self.works.place_name,
                "invented": self.works.invented,
                "currency": self.works.currency,
            },
            "order": {
                "number": self.order.number,
                "customer": self.order.customer,
                "due": self.order.due.isoformat(),
            },
            "lines": [_line_document(line, self.works) for line in self.lines],
        }

    def to_dict(self) -> dict[str, Any]:
        """The same as `document`."""
        return self.document()


def plan_order(order: Order, works: Works, *, ensemble: Ensemble | None = None) -> OrderPlan:
    """Plan every line of an order in a works.

    Raises `CannotPlan` where a line cannot be planned, `InputErrors` where a file lacks or
    misnames something that the route needs.
    """
    ensemble = ensemble or Ensemble()
    lines = tuple(_planned(line, works, ensemble) for line in order.lines)
    return OrderPlan(order, works, ensemble, lines)


def _planned(line: Line, works: Works, ensemble: Ensemble) -> PlannedLine:
    """The line as it is usually made; if that fails, the next choice that does not."""
    machines = machines_of(line, works)
    usual, *others = chain_choices(line, works, machines)
    failed: CannotPlan | None = None
    planned: PlannedLine | None = None
    try:
        planned = _planned_as(usual, line, works, machines, ensemble)
        if planned.plan.verdict != OUTSIDE:
            return planned
        tried = [Tried(usual, planned.plan.verdict, _failing(planned.plan.steps))]
    except CannotPlan as error:
        failed, tried = error, [Tried(usual, OUTSIDE, str(error))]
    for choice in others:
        tried.append(_tried(choice, line, works, machines))
        if tried[-1].verdict != OUTSIDE:
            better = _planned_as(choice, line, works, machines, ensemble)
            return replace(better, tried=tuple(tried))
    if planned is None:
        raise failed or CannotPlan("nothing to plan")
    return replace(planned, tried=tuple(tried))


def _planned_as(
    choice: Choice,
    line: Line,
    works: Works,
    machines: Mapping[str, MachineRecord],
    ensemble: Ensemble,
) -> PlannedLine:
    made: list[ChainJob] = []

    def prepare() -> Job:
        made.append(chain_job(line, works, machines, choice if choice.rod else None))
        return job_to_plan(line, works, made[-1])

    plan = plan_line(prepare, ensemble)
    refuse_unknown_settings(line, plan)
    return PlannedLine(line, made[0], plan, machines)


def _tried(
    choice: Choice, line: Line, works: Works, machines: Mapping[str, MachineRecord]
) -> Tried:
    """One nominal pass of a choice, and what fails in it."""
    try:
        settled = nominal(
            lambda: job_to_plan(line, works, chain_job(line, works, machines, choice))
        )
    except CannotPlan as error:
        return Tried(choice, OUTSIDE, str(error))
    return Tried(choice, verdict_of(settled.steps), _failing(settled.steps))


def _failing(steps: Mapping[str, Step]) -> str:
    """The findings that are outside, in a sentence; empty if none is."""
    return "; ".join(
        f"{found.subject} {float(found.value):.4g} at {key.split('/', 1)[1]}"
        for key, found in outside(steps)
    )


def job_to_plan(line: Line, works: Works, job: ChainJob) -> Job:
    """A chain's job as the planner takes it: with the works' conditions and given settings."""
    conditions = conditions_of(job.route, works, job.rod)
    given = given_settings(line, job.route)
    return Job(job.route, job.wanted, job.requirements, conditions, given)


def conditions_of(route: Route, works: Works, rod: Any) -> Conditions:
    """Scatter with the machines' and the steel's own spread, factors as the works has them."""
    scatter: dict[str, Scatter] = {}
    factors: dict[str, Factor] = {}
    for place in route.places:
        for source in place.operation.scatter:
            scatter[source.name] = _own_spread(source, place.machine.spread, rod.spread)
        for factor in place.operation.factors:
            factors[factor.name] = _own_factor(factor, works)
    return Conditions(scatter, factors)


def _own_spread(source: Scatter, machine: Numbers, steel: Numbers) -> Scatter:
    """The works' own spread in place of the usual one.

    A machine's is called ``level_quantity`` or, where it is plain, ``quantity``; a steel's by
    its quantity. Both are standard deviations in the unit of the quantity.
    """
    places = [(machine, f"{source.level}_{source.quantity}"), (machine, source.quantity)]
    if "/receiving/" in source.name:
        places.append((steel, source.quantity))
    for spread, key in places:
        if key in spread:
            sd = float(spread[key])
            return replace(source, sd=sd, source=spread.place(key), relative=False)
    return source


def _own_factor(factor: Factor, works: Works) -> Factor:
    own = works.factor(factor.name)
    if own is None:
        return factor
    return replace(
        factor,
        median=float(own.median),
        spread=float(own.spread),
        source=own.source("median"),
        kind="file",
    )


def given_settings(line: Line, route: Route) -> dict[str, Any]:
    """Settings that the order fixes, by operation; unknown operations are refused."""
    operations = [place.operation.name for place in route.places]
    found: list[Problem] = []
    given: dict[str, Any] = {}
    for key in line.settings:
        operation = key.partition(".")[0]
        if operation not in operations:
            near = nearest(operation, operations) or operations
            found.append(_setting_problem(line, key, "is no operation of this route", near))
        else:
            given[operation] = line.settings.under(operation)
    if found:
        raise InputErrors(found)
    return given


def refuse_unknown_settings(line: Line, plan: LinePlan) -> None:
    """Raise `InputErrors` for settings of the order that no operation of the plan knows."""
    found = []
    for key in line.settings:
        operation, _, name = key.partition(".")
        for place, set_up in plan.settled.set_ups.items():
            if not place.endswith(f"/{operation}"):
                continue
            free = [one.name for one in set_up.settings if one.how != FOLLOWS]
            if name in free:
                continue
            wrong = "follows from the others" if name in set_up else f"is no setting of {operation}"
            found.append(_setting_problem(line, key, wrong, nearest(name, free) or free))
    if found:
        raise InputErrors(found)


def _setting_problem(line: Line, key: str, message: str, accepted: list[str]) -> Problem:
    file, _, row = line.settings.place(key).rpartition(":")
    return Problem(
        code="setting",
        message=message,
        file=file,
        line=int(row),
        key=f"settings.{key}",
        accepted=", ".join(accepted),
    )


def _rates(line: PlannedLine, works: Works) -> Rates:
    tariff = works.tariff
    steps = {key: key.split("/", 1)[1] for key in line.plan.steps}
    return Rates(
        machine_EUR_per_h={
            key: number(line.machines[operation].price_EUR_per_h)
            for key, operation in steps.items()
        },
        machines={key: line.machines[operation].count for key, operation in steps.items()},
        electricity_EUR_per_kWh=number(tariff.electricity_EUR_per_kWh) if tariff else None,
        water_EUR_per_m3=number(tariff.water_EUR_per_m3) if tariff else None,
        steel_EUR_per_kg=number(line.job.rod.price_EUR_per_kg),
        carbon_kg_per_kWh=number(tariff.carbon_kg_per_kWh) if tariff else None,
    )


def _line_document(planned: PlannedLine, works: Works) -> dict[str, Any]:
    line, rod = planned.line, planned.job.rod
    rates = _rates(planned, works)
    rows = priced({key: step.use for key, step in planned.plan.steps.items()}, rates)
    return {
        "id": line.id,
        "product": line.product,
        "not_for_lifting": planned.job.not_for_lifting,
        "treatment": planned.job.treatment,
        "standard": line.standard,
        "grade": line.grade,
        "chain_type": line.chain_type,
        "size": line.size,
        "size_mm": number(line.size_mm),
        "length_m": number(line.length_m),
        "steel": {
            "name": rod.name,
            "grade": rod.grade,
            "heat": rod.heat,
            "analysis_kind": rod.analysis_kind,
            "analysis": {key: number(rod.analysis[key]) for key in rod.analysis},
        },
        "tried": [
            {
                "steel": one.choice.rod,
                "treatment": one.choice.treatment,
                "verdict": one.verdict,
                "failing": one.failing,
            }
            for one in planned.tried
        ],
        "totals": totals(rows, rates),
        "prices": [
            {
                "step": row.step,
                "what": row.what,
                "amount": row.amount,
                "rate_EUR": row.rate_EUR,
                "price_EUR": row.price_EUR,
            }
            for row in rows
        ],
        "inspection": _inspection(planned),
        **line_document(planned.plan),
    }


def _inspection(planned: PlannedLine) -> dict[str, Any]:
    return {
        "lots": number(planned.job.lots),
        "open": list(planned.job.open),
        "clauses": [
            {"subject": clause.subject, "text": clause.text, "source": clause.source,
             "basis": clause.basis}
            for clause in planned.job.clauses.values()
        ],
        "requirements": [
            {
                "subject": need.subject,
                "least": number(need.least),
                "greatest": number(need.greatest),
                "pieces": number(need.pieces),
                "how": need.how,
                "source": need.source,
            }
            for need in planned.job.requirements
        ],
    }  # fmt: skip


def _factors_used(lines: tuple[PlannedLine, ...]) -> dict[str, Any]:
    return {
        factor.name: {"median": factor.median, "spread": factor.spread}
        for line in lines
        for factor in line.plan.members.factors.values()
    }


@lru_cache(maxsize=1)
def _hash_of_tables() -> str:
    """SHA-256 over all published tables that ship with the program, by name and content."""
    digest = hashlib.sha256()
    for package in _TABLES:
        folder = resources.files(package).joinpath("data")
        for entry in sorted(folder.iterdir(), key=lambda item: item.name):
            if entry.name.endswith((".toml", ".csv", ".json")):
                digest.update(f"{package}/{entry.name}\n".encode())
                digest.update(entry.read_bytes())
    return digest.hexdigest()
