"""Plan on from a lot: keep what was done, take what was measured, settle the rest again.

`plan_from_lot` gives a `LotPlan`, an `OrderPlan` of the lot's line whose route begins after
the operation behind which the lot lies. `READINGS` are the findings that count as measured
although the metal carries no such field: what a pyrometer or a hardness test says of how
an operation really ran.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from linkwright.planning.document import number
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.plan import Job, plan_line
from linkwright.products.job import ChainJob
from linkwright.quantities import (
    InputErrors,
    Problem,
    UnknownName,
    nearest,
    split,
)
from linkwright.route import (
    FOLLOWS,
    GIVEN,
    HELD,
    SOLVED,
    Conditions,
    Route,
    Scatter,
    Setting,
    Settled,
    settle,
)
from linkwright.route.continuing import Continued, continued, divided
from linkwright.route.half_done import (
    Done,
    Reading,
    Start,
    levels,
    slopes,
    spread_source,
    steered,
    without_measured,
    worked,
)
from linkwright.services.as_ordered import MachineAsOrdered
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_document import PlannedLine
from linkwright.services.line_jobs import conditions_of, given_settings, refuse_unknown_settings
from linkwright.services.planning import OrderPlan
from linkwright.works import FiledNumbers, Line, Order, Works
from linkwright.works.lot import Lot
from linkwright.works.names import name_problem

READINGS = (
    Reading("hardening", "straight_temperature_degC", "coil_current_A"),
    Reading("tempering", "hardness_HV", "coil_current_A"),
    Reading("tempering", "temper_temperature_degC", "coil_current_A"),
)
"""Findings that a gauge gives, and the setting that answers for each."""
_SOURCES = {
    GIVEN: "the plan from the rod",
    HELD: "held by the works",
    SOLVED: "solved for what was used",
    FOLLOWS: "follows from what was used",
}
_GREATEST_RATIO = 2.0
_FEW = Ensemble(lots=4, pairs=1)


@dataclass(frozen=True)
class LotPlan(OrderPlan):
    """The plan of the rest of one order line, from a lot on the bench."""

    lot: Lot
    after: str
    rest: Continued

    def nearest(self, planned: PlannedLine) -> None:
        """Nothing: what was done to the lot cannot be changed any more."""

    def document(self) -> dict[str, Any]:
        """The plan as plain data, with what was measured, taken from models and done."""
        made = super().document()
        hashes = {**made["hashes"], "lot": self.lot.content_hash()}
        return {**made, "hashes": hashes, "lot": _lot_document(self)}


def plan_from_lot(
    order: Order,
    works: Works,
    lot: Lot,
    ensemble: Ensemble | None = None,
    *,
    after: str | None = None,
) -> LotPlan:
    """Plan the rest of the lot's order line; ``after`` takes the place of the file's own.

    The line is planned from the rod first, as it was before the lot was made; of that plan
    the lot keeps every setting that ``[done]`` does not change. Raises `InputErrors` where
    the lot file does not fit order or route, `CannotPlan` where the rest cannot be planned.
    """
    ensemble = ensemble or Ensemble()
    line = _line_of(order, lot)
    machines = machines_of(line, works)
    made: list[tuple[ChainJob, Continued]] = []

    def prepare() -> Job:
        job = chain_job(line, works, machines)
        conditions = conditions_of(job.route, works, job.steels)
        given = given_settings(line, job.route)
        planned = settle(job.route, job.wanted, conditions, given)
        done = _done(lot, _behind(lot, after, job.route), planned, given, conditions)
        start, conditions = _start(lot, done, conditions)
        rest = continued(job.route, planned, job.wanted, start, job.requirements, conditions)
        made.append((job, rest))
        names = {place.operation.name for place in rest.route.places}
        left = {name: fixed for name, fixed in given.items() if name in names}
        return Job(rest.route, rest.wanted, job.requirements, conditions, left)

    plan = plan_line(prepare, ensemble)
    refuse_unknown_settings(line, plan.settled.set_ups)
    job, rest = made[0]
    planned_line = PlannedLine(
        line=line, job=job, settled=plan.settled, machines=machines, plan=plan
    )
    last = rest.start.done.place.operation.name
    return LotPlan(order, works, ensemble, (planned_line,), lot, last, rest)


def _line_of(order: Order, lot: Lot) -> Line:
    """The line that the lot belongs to; its number may be left out if there is one only."""
    if lot.order != order.number:
        raise InputErrors([_problem(lot, "order", f"'{lot.order}' is not the order that is "
                                    f"planned", order.number)])  # fmt: skip
    known = [line.id for line in order.lines]
    if lot.line is None and len(known) == 1:
        return order.lines[0]
    try:
        return order.line(lot.line or "")
    except UnknownName:
        message = "is missing" if lot.line is None else f"'{lot.line}' is no line of the order"
        raise InputErrors([_problem(lot, "line", message, ", ".join(known))]) from None


def _behind(lot: Lot, after: str | None, route: Route) -> Route:
    """The places up to the one that the command or the lot file names."""
    known = [place.operation.name for place in route.places]
    named = after or lot.after
    if named not in known:
        if after is not None:
            raise UnknownName("after", after, known)
        message = "is missing" if named is None else f"'{named}' is no operation of this route"
        raise InputErrors([_problem(lot, "after", message, ", ".join(known[:-1]))])
    return divided(route, named)[0]


def _refuse_unknown_done(lot: Lot, behind: Route, planned: Settled) -> None:
    """Every setting in ``[done]`` belongs to an operation behind the lot."""
    places = {place.operation.name: place.key for place in behind.places}
    last = behind.places[-1].operation.name
    found = []
    for key in lot.done:
        operation, _, name = key.partition(".")
        if operation not in places:
            known = nearest(operation, places) or list(places)
            found.append(
                _problem(lot, key, f"is not done after {last}", ", ".join(known), lot.done)
            )
        elif _named(name, planned.set_ups[places[operation]], lot.done.under(operation)) is None:
            settings = list(planned.set_ups[places[operation]])
            known = nearest(name, settings) or settings
            message = f"is no setting of {operation}"
            found.append(_problem(lot, key, message, ", ".join(known), lot.done))
    if found:
        raise InputErrors(found)


def _done(
    lot: Lot,
    behind: Route,
    planned: Settled,
    given: Mapping[str, Any],
    conditions: Conditions,
) -> Done:
    """The places behind the lot, with what the lot file states laid over plan and machines."""
    _refuse_unknown_done(lot, behind, planned)
    used: dict[str, Mapping[str, Any]] = {}
    places = []
    for place in behind.places:
        operation = place.operation.name
        stated: Any = lot.done.under(operation)
        if stated:
            used[operation] = ChainMap(stated, given.get(operation, {}))
        machine = MachineAsOrdered(place.machine, stated) if stated else place.machine
        places.append(replace(place, machine=machine))
    return worked(replace(behind, places=tuple(places)), planned, used, conditions)


def _start(lot: Lot, done: Done, conditions: Conditions) -> tuple[Start, Conditions]:
    """The stock on the bench with what was measured, and the conditions that go with it."""
    names = _measured_names(lot, done)
    measured = {name: lot.measured[name] for name in names}
    _refuse_absurd(lot, done, measured)
    operation = done.place.operation.name
    readings = [one for one in READINGS if one.operation == operation and one.finding in measured]
    reading = readings[0] if readings else None
    moved: Mapping[str, Any] = {}
    if reading is not None:
        done = steered(done, reading, measured[reading.finding], conditions)
        moved = slopes(done, reading, conditions)
    spreads = _spreads(lot, done, names, conditions)
    start = Start(done, measured, spreads, reading, moved)
    return start, without_measured(conditions, done, names, spreads.values())


def measurable(done: Done) -> list[str]:
    """What a lot file may call measured after the last of these places."""
    return [name for name in done.measurable(READINGS) if name_problem(name) is None]


def _measured_names(lot: Lot, done: Done) -> list[str]:
    """Names of the route for what the file calls measured, whatever its units."""
    known = measurable(done)
    operation = done.place.operation.name
    found: list[Problem] = []
    names = []
    for key in lot.measured:
        name = _named(key, known, lot.measured)
        if name is None:
            near = nearest(key, known) or known
            message = f"cannot be measured on what lies there after {operation}"
            found.append(_problem(lot, key, message, ", ".join(near), lot.measured))
        else:
            names.append(name)
    steering: dict[str, str] = {}
    for one in READINGS:
        if one.operation == operation and one.finding in names:
            first = steering.setdefault(one.setting, one.finding)
            if first != one.finding:
                message = f"{first} is given too, and both say how {operation} ran"
                found.append(_problem(lot, one.finding, message, "one of the two", lot.measured))
    if found:
        raise InputErrors(found)
    return names


def _named(key: str, known: Iterable[str], table: FiledNumbers) -> str | None:
    """The known name that a key of the file stands for, whatever unit it was written in."""
    if key in (known := list(known)):
        return key
    stem = split(key)[0]
    return next((name for name in known if split(name)[0] == stem and name in table), None)


def _refuse_absurd(lot: Lot, done: Done, measured: Mapping[str, Any]) -> None:
    """A size, temperature or strength far from the models' is a slip of the pen or the unit."""
    found = []
    for name, value in measured.items():
        step = done.step
        modelled = float(step.stock[name] if name in step.stock else step.finding(name).value)
        if name in step.stock.amount or name.endswith("_percent") or modelled <= 0.0:
            continue
        low, high = modelled / _GREATEST_RATIO, modelled * _GREATEST_RATIO
        if not low <= float(value) <= high:
            message = f"{float(value):g} is far from the {modelled:.4g} that the models give there"
            accepted = f"{low:.4g} to {high:.4g} {split(name)[1]}".strip()
            found.append(_problem(lot, name, message, accepted, lot.measured))
    if found:
        raise InputErrors(found)


def _spreads(
    lot: Lot, done: Done, names: Iterable[str], conditions: Conditions
) -> dict[str, Scatter]:
    given = [name for name in names if name in lot.measured_spread]
    few = drawn(conditions.scatter.values(), conditions.factors.values(), _FEW)
    found = levels(done, given, few)
    return {
        name: spread_source(
            done.place,
            name,
            found[name],
            float(lot.measured_spread[name]),
            lot.measured_spread.place(name),
        )
        for name in given
    }


def _problem(
    lot: Lot, key: str, message: str, accepted: str, table: FiledNumbers | None = None
) -> Problem:
    where = lot.place(key) if table is None else table.place(key)
    file, _, row = where.rpartition(":")
    header = "lot" if table is None else table.where.header.strip("[]")
    return Problem("lot", message, file, int(row), f"{header}.{key}", accepted)


def _lot_document(plan: LotPlan) -> dict[str, Any]:
    """What the lot file says, and what the models filled in."""
    lot, start = plan.lot, plan.rest.start
    stock, modelled = start.stock, start.done.step.stock
    fields = {**stock.shape, **stock.condition, **stock.amount}
    return {
        "number": lot.number,
        "order": lot.order,
        "line": plan.lines[0].line.id,
        "after": plan.after,
        "measured": [_measured(plan, name) for name in start.measured],
        "modelled": {
            name: number(value)
            for name, value in fields.items()
            if name not in stock.measured and np.ndim(value) == 0
        },
        "done": [
            _done_setting(lot, place.operation.name, one)
            for place in start.done.route.places
            for one in start.done.set_ups[place.key].settings
        ],
        "asked": [
            {"name": name, "asked": number(value), "has": number(stock[name])}
            for name, value in plan.rest.asked.items()
            if name in modelled
        ],
    }


def _measured(plan: LotPlan, name: str) -> dict[str, Any]:
    lot, start = plan.lot, plan.rest.start
    spread = start.spreads.get(name)
    return {
        "name": name,
        "value": number(start.measured[name]),
        "unit": split(name)[1],
        "spread": None if spread is None else spread.sd,
        "level": None if spread is None else spread.level,
        "source": lot.measured.place(name),
        "entry": getattr(start.measured[name], "entry", None),
    }


def _done_setting(lot: Lot, operation: str, setting: Setting) -> dict[str, Any]:
    used = lot.done.under(operation)
    source = used.place(setting.name) if setting.name in used else _SOURCES[setting.how]
    return {
        "operation": operation,
        "name": setting.name,
        "value": None if isinstance(setting.value, str) else number(setting.value),
        "text": setting.value if isinstance(setting.value, str) else None,
        "unit": split(setting.name)[1],
        "how": setting.how,
        "aim": setting.aim,
        "source": source,
    }
