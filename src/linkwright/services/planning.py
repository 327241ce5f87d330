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

from linkwright.planning.advice import advice
from linkwright.planning.document import SCHEMA_VERSION
from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import Job, nominal, plan_line, verdict_of
from linkwright.products.job import ChainJob, Choice
from linkwright.quantities import CannotPlan
from linkwright.route import OUTSIDE
from linkwright.services.chain_jobs import chain_choices, chain_job, machines_of, of_duty
from linkwright.services.line_document import PlannedLine, Tried, failing, planned_document
from linkwright.services.line_jobs import job_to_plan, refuse_unknown_settings
from linkwright.services.nearest import nearest_change
from linkwright.services.single_changes import Case
from linkwright.works import Line, MachineRecord, Order, Works
from linkwright.works.canonical import content_hash

_TABLES = ("linkwright.standards", "linkwright.materials", "linkwright.mechanics",
           "linkwright.processes.models")  # fmt: skip


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

    def nearest(self, planned: PlannedLine) -> dict[str, Any] | None:
        """The nearest thing that would work, as data; None for a line that does not fail."""
        if planned.plan.verdict != OUTSIDE:
            return None
        case = Case(planned.line, self.works, planned.choice)
        return nearest_change(case, settled=planned.plan.settled).to_dict()

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
            "lines": [
                {**planned_document(line, self.works), "nearest": self.nearest(line)}
                for line in self.lines
            ],
        }

    def to_dict(self) -> dict[str, Any]:
        """The same as `document`."""
        return self.document()


def plan_order(
    order: Order, works: Works, *, ensemble: Ensemble | None = None, advise: bool = False
) -> OrderPlan:
    """Plan every line of an order in a works.

    Raises `CannotPlan` where a line cannot be planned, which with ``advise`` says the nearest
    thing that would work (up to three seconds more); `InputErrors` where a file lacks or
    misnames something that the route needs.
    """
    ensemble = ensemble or Ensemble()
    lines = tuple(
        _planned_or_advised(line, works, ensemble) if advise else _planned(line, works, ensemble)
        for line in order.lines
    )
    return OrderPlan(order, works, ensemble, lines)


def _planned_or_advised(line: Line, works: Works, ensemble: Ensemble) -> PlannedLine:
    try:
        return _planned(line, works, ensemble)
    except CannotPlan as error:
        nearest = nearest_change(Case(line, works), reason=str(error)).to_dict()
        raise CannotPlan(f"{error}; {advice(nearest)}") from error


def _planned(line: Line, works: Works, ensemble: Ensemble) -> PlannedLine:
    """The line as it is usually made; if that fails, the next choice that does not."""
    line = of_duty(line, works)
    machines = machines_of(line, works)
    usual, *others = chain_choices(line, works, machines)
    failed: CannotPlan | None = None
    planned: PlannedLine | None = None
    try:
        planned = _planned_as(usual, line, works, machines, ensemble)
        if planned.plan.verdict != OUTSIDE:
            return planned
        tried = [Tried(usual, planned.plan.verdict, failing(planned.plan.steps))]
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
    chosen = choice if choice.rod else None

    def prepare() -> Job:
        made.append(chain_job(line, works, machines, chosen))
        return job_to_plan(line, works, made[-1])

    plan = plan_line(prepare, ensemble)
    refuse_unknown_settings(line, plan.settled.set_ups)
    return PlannedLine(
        line=line, job=made[0], settled=plan.settled, machines=machines, choice=chosen, plan=plan
    )


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
    return Tried(choice, verdict_of(settled.steps), failing(settled.steps))


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
