"""Orders planned as somebody works on them: at once nominally, then with the ensemble.

`Desk` answers about drafts of orders in one works. What depends on nothing that changed is not
worked again (`planning.again`). Its numbers have no derivation; `plan_record` gives that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from linkwright.catalogue import Held, not_recording
from linkwright.planning.advice import nearest_rows
from linkwright.planning.again import Again
from linkwright.planning.comparison import differ, is_number, paired, settings_of
from linkwright.planning.document import line_document, step_document
from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import Job, LinePlan, verdict_of
from linkwright.products.job import ChainJob, Choice
from linkwright.quantities import CannotPlan, UnknownName
from linkwright.route import OUTSIDE, Settled, place_names
from linkwright.services.chain_jobs import chain_choices, chain_job, machines_of, of_duty
from linkwright.services.line_document import SettledLine, settled_document
from linkwright.services.line_jobs import job_to_plan, refuse_unknown_settings
from linkwright.services.nearest import nearest_change
from linkwright.services.single_changes import Case
from linkwright.works import Line, MachineRecord, Order, Works, order_of_bytes
from linkwright.works.canonical import content_hash

_ORDERS, _ANSWERS, _LINES = 64, 48, 8
_MOVED = 1e-5


@dataclass(frozen=True)
class Moved:
    """A setting that is another than before: given anew, or solved anew for it."""

    place: str
    name: str
    before: Any
    after: Any
    how: str


@dataclass(frozen=True)
class _Settled:
    """A line settled at the desk, with what its plan needs further."""

    line: SettledLine
    job: Job
    again: Again


class Desk:
    """Plans of drafts in one works; answers are kept. For one thread at a time."""

    def __init__(self, works: Works, ensemble: Ensemble | None = None) -> None:
        self.works, self.ensemble = works, ensemble or Ensemble()
        self._orders, self._settled = Held(_ORDERS), Held(_ANSWERS)
        self._documents, self._steps = Held(_ANSWERS), Held(_ANSWERS)
        self._planned, self._nearest, self._again = Held(_ANSWERS), Held(_ANSWERS), Held(_LINES)

    def order(self, text: str) -> Order:
        """The order that a text says. Raises `InputErrors` with everything that is wrong."""
        return self._orders.of(text, lambda: order_of_bytes(text.encode()))

    def settled(self, text: str, ident: str) -> dict[str, Any]:
        """A line nominally, as in plan.json but for chances, derivation and curves.

        Raises `UnknownName` for the line, `CannotPlan`, `InputErrors`.
        """
        held = self._settle(text, ident)
        return self._documents.of((text, ident), lambda: _document(held.line, self.works))

    def step(self, text: str, ident: str, place: str) -> dict[str, Any]:
        """One step of a line with its curves. Raises `UnknownName` for a place it has not."""
        settled = self._settle(text, ident).line.settled
        keys = {name: key for key, name in place_names(settled.steps).items()}
        if place not in keys:
            raise UnknownName("operation", place, keys)
        key = keys[place]

        def make() -> dict[str, Any]:
            with not_recording():
                return step_document(key, place, settled.steps[key], settled.set_ups[key])

        return self._steps.of((text, ident, place), make)

    def planned(self, text: str, ident: str) -> dict[str, Any]:
        """The chances of a line and what moves them: the rest of its part of plan.json."""
        held = self._settle(text, ident)

        def make() -> dict[str, Any]:
            plan = held.again.plan(held.job, held.line.settled)
            return _without_steps(plan)

        return self._planned.of((text, ident), make)

    def nearest(self, text: str, ident: str, units: str) -> list[tuple[str, str]]:
        """What would work instead, in words, for a line that fails; seconds of work."""
        line = self._settle(text, ident).line
        if verdict_of(line.steps) != OUTSIDE:
            return []
        case = Case(line.line, self.works, line.choice)
        found = self._nearest.of(
            (text, ident), lambda: nearest_change(case, settled=line.settled).to_dict()
        )
        return nearest_rows(found, units)

    def moved(self, before: str, after: str, ident: str) -> list[Moved]:
        """The settings of a line that two drafts have differently, in the order of the route."""
        one, other = (settings_of(self.settled(text, ident)) for text in (before, after))
        return [
            Moved(where, name, old, new, how)
            for where, name, old, new, _, how in paired(one, other)
            if _differ(old, new)
        ]

    def _settle(self, text: str, ident: str) -> _Settled:
        line = self.order(text).line(ident)
        return self._settled.of((text, ident), lambda: self._settled_now(line))

    def _settled_now(self, line: Line) -> _Settled:
        """The line as it is usually made; if that fails, the first choice that does not."""
        line = of_duty(line, self.works)
        machines = machines_of(line, self.works)
        first: _Settled | None = None
        failed: CannotPlan | None = None
        for choice in chain_choices(line, self.works, machines):
            try:
                made = self._settled_as(choice, line, machines)
            except CannotPlan as error:
                failed = failed or error
                continue
            if verdict_of(made.line.steps) != OUTSIDE:
                return made
            first = first or made
        if first is None:
            raise failed or CannotPlan("nothing to plan")
        return first

    def _settled_as(
        self, choice: Choice, line: Line, machines: Mapping[str, MachineRecord]
    ) -> _Settled:
        chosen = choice if choice.rod else None
        known = (_content(line), choice.rod, choice.treatment)
        again = self._again.of(known, lambda: Again(self.ensemble))
        made: list[ChainJob] = []

        def prepare() -> Job:
            made.append(chain_job(line, self.works, machines, chosen))
            return job_to_plan(line, self.works, made[-1])

        job, settled = again.nominal(prepare)
        refuse_unknown_settings(line, settled.set_ups)
        return _Settled(
            SettledLine(line=line, job=made[0], settled=settled, machines=machines, choice=chosen),
            job,
            again,
        )


def _document(line: SettledLine, works: Works) -> dict[str, Any]:
    """A settled line as plain data, without curves."""
    names = place_names(line.steps)
    return {
        **settled_document(line, works),
        "verdict": verdict_of(line.steps),
        "steps": [
            step_document(key, names[key], step, line.settled.set_ups[key], curves=False)
            for key, step in line.steps.items()
        ],
    }


def _without_steps(plan: LinePlan) -> dict[str, Any]:
    """What the ensemble adds to the nominal answer."""
    bare = replace(plan, settled=Settled(plan.settled.wanted, {}, {}, plan.settled.rounds))
    told = line_document(bare)
    return {key: told[key] for key in ("chance", "factors", "trials", "scatter", "influence")}


def _content(line: Line) -> str:
    """What a line says but for its settings, which may change while it is worked on."""
    return content_hash(replace(line, settings=line.settings.under("")))


def _differ(old: Any, new: Any) -> bool:
    if is_number(old) and is_number(new):
        return bool(abs(old - new) > _MOVED * max(abs(old), abs(new)))
    return differ(old, new)
