"""What the planner takes of an order line: its job, with the works' own scatter and factors.

- `job_to_plan`: a chain's job with the works' conditions and the settings that the order gives
- `conditions_of`: scatter and factors as machines, steel and works file have them
- `given_settings`, `refuse_unknown_settings`: what the order fixes, and its misspelt names
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from linkwright.planning.plan import Job
from linkwright.products.job import ChainJob
from linkwright.quantities import InputErrors, Problem, nearest
from linkwright.route import FOLLOWS, Conditions, Factor, Machine, Route, Scatter, SetUp
from linkwright.works import Line, Works


def job_to_plan(line: Line, works: Works, job: ChainJob) -> Job:
    """A chain's job as the planner takes it: with the works' conditions and given settings."""
    conditions = conditions_of(job.route, works, job.steels)
    given = given_settings(line, job.route)
    return Job(job.route, job.wanted, job.requirements, conditions, given)


def conditions_of(route: Route, works: Works, steels: Mapping[str, Any]) -> Conditions:
    """Scatter with the machines' and the steels' own spread, factors as the works has them.

    steels: by the branch of the route that each enters.
    """
    scatter: dict[str, Scatter] = {}
    factors: dict[str, Factor] = {}
    for place in route.places:
        for source in place.operation.scatter:
            scatter[source.name] = _own_spread(source, place.machine, steels)
        for factor in place.operation.factors:
            factors[factor.name] = _own_factor(factor, works)
    return Conditions(scatter, factors)


def _own_spread(source: Scatter, machine: Machine, steels: Mapping[str, Any]) -> Scatter:
    """The works' own spread in place of the usual one.

    A machine's is called ``level_quantity`` or, where it is plain, ``quantity``; a steel's by
    its quantity. Both are standard deviations in the unit of the quantity.
    """
    spread = machine.spread
    places = [(spread, f"{source.level}_{source.quantity}"), (spread, source.quantity)]
    _, branch, operation, _ = source.name.split("/", 3)
    if operation.endswith("receiving") and branch in steels:
        places.append((steels[branch].spread, source.quantity))
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
    operations = list(
        dict.fromkeys(name for place in route.places for name in (place.operation.name, place.key))
    )
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


def refuse_unknown_settings(line: Line, set_ups: Mapping[str, SetUp]) -> None:
    """Raise `InputErrors` for settings of the order that no operation of the plan knows."""
    found = []
    for key in line.settings:
        operation, _, name = key.partition(".")
        for place, set_up in set_ups.items():
            if operation not in (place, place.split("/", 1)[1]):
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
