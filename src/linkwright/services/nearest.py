"""The nearest thing that would work, where a line fails or cannot be planned.

`nearest_change` plans the line again, nominally and without an ensemble, with single changes
(`single_changes`): another steel or rod size of the stock, a slower line, more water, another
temper temperature, a given setting moved or left out, another machine. Small changes come
first; a lever that does not bring the failing findings nearer is let go, one that does is
followed by the secant to where they should be met, and what works is halved once towards
what does not. At most `MOST_PLANS` routes are settled, about a quarter of a second each; a
steel that the standard refuses costs nothing and is not counted.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any

from linkwright.planning.document import number
from linkwright.planning.plan import Job, nominal, outside
from linkwright.products.job import ChainJob
from linkwright.quantities import LinkwrightError, split
from linkwright.route import Finding, Settled, place_names
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan, refuse_unknown_settings
from linkwright.services.single_changes import (
    MEASURE,
    Case,
    Change,
    Lever,
    leavings,
    levers,
    other_machines,
    other_steels,
)

MOST_PLANS, WANTED = 12, 3
"""Routes settled at most; changes that work, after which the search ends."""
_DEGREES = 100.0
_FURTHER, _BEYOND, _CLOSE_ENOUGH, _NEARER = 2.0, 1.1, 0.1, 0.99


@dataclass(frozen=True)
class Judged:
    """A finding at its operation."""

    operation: str
    finding: Finding

    @property
    def short_by(self) -> float:
        """Distance outside the limits, in the unit of the finding; 0 inside them."""
        value, least, greatest = (
            None if one is None else float(one)
            for one in (self.finding.value, self.finding.least, self.finding.greatest)
        )
        below = 0.0 if least is None or value is None else least - value
        above = 0.0 if greatest is None or value is None else value - greatest
        return max(below, above, 0.0)

    @property
    def share(self) -> float:
        """The same as share of the limit that is missed; of a temperature, over 100 K."""
        if split(self.finding.subject)[1] in ("degC", "K"):
            return self.short_by / _DEGREES
        value, least = float(self.finding.value), self.finding.least
        limit = least if least is not None and value < float(least) else self.finding.greatest
        return self.short_by / (abs(float(limit or 0.0)) or 1.0)


@dataclass(frozen=True)
class Tried:
    """A change, the findings that failed before as they are with it, and what fails with it."""

    change: Change
    findings: tuple[Judged, ...]
    failing: tuple[Judged, ...]
    reason: str = ""

    @property
    def works(self) -> bool:
        """Whether nothing is outside its limits."""
        return not self.failing and not self.reason

    @property
    def gap(self) -> float:
        """How far it is from working: shares missed, added; infinite without a plan."""
        return math.inf if self.reason else sum(one.share for one in self.failing)


@dataclass(frozen=True)
class Nearest:
    """Why a line fails, and the changes that would mend it, the smallest first.

    reason: why there is no plan, empty if there is one. closest: where nothing works, the
    change that leaves least outside. plans: routes settled in the search.
    """

    failing: tuple[Judged, ...]
    reason: str
    working: tuple[Tried, ...]
    closest: Tried | None
    plans: int

    def to_dict(self) -> dict[str, Any]:
        """As plain data, for plan.json."""
        return {
            "failing": [_judged(one) for one in self.failing],
            "reason": self.reason,
            "measure": MEASURE,
            "plans": self.plans,
            "works": [_tried(one) for one in self.working],
            "closest": None if self.closest is None else _tried(self.closest),
        }


def nearest_change(case: Case, *, settled: Settled | None = None, reason: str = "") -> Nearest:
    """The smallest single changes with which a failing case works.

    ``settled`` is its nominal plan, which fails, or ``reason`` the sentence that says why there
    is none.
    """
    return _Search(case, _failing(settled), reason, settled).run()


@dataclass
class _Search:
    """The search: what is waiting to be tried, by size, and what was found."""

    case: Case
    failing: tuple[Judged, ...]
    reason: str
    settled: Settled | None
    waiting: list[tuple[float, int, Change, Lever | None, float]] = field(default_factory=list)
    tickets: Iterator[int] = field(default_factory=count)
    tried: list[Tried] = field(default_factory=list)
    working: dict[tuple[str, str], Tried] = field(default_factory=dict)
    plans: int = 0

    def run(self) -> Nearest:
        """Try until enough is found, nothing waits, or the plans are used up."""
        self._list_all()
        while self.waiting and self.plans < MOST_PLANS and len(self.working) < WANTED:
            _, _, change, lever, gap = heapq.heappop(self.waiting)
            self._try(change, lever, gap)
        works = sorted(self.working.values(), key=lambda one: one.change.size)
        least = min(self.tried, key=lambda one: one.gap, default=None)
        nearer = least is not None and least.gap < _gap(self.failing, self.reason)
        return Nearest(
            self.failing, self.reason, tuple(works), least if nearer and not works else None,
            self.plans,
        )  # fmt: skip

    def _list_all(self) -> None:
        operations = self._operations()
        choice = self.case.choice
        present = self.case.line.steel if choice is None else choice.rod
        for change in (
            *leavings(self.case),
            *other_steels(self.case, present),
            *other_machines(self.case, operations),
        ):
            self._wait(change)
        # what fails later in the route is mostly what fails first handed on
        first = self.failing[0].operation if self.failing else None
        for lever in levers(self.case, operations, first):
            place = min(lever.first, lever.last)
            self._wait(lever.change(self.case, place), lever, _gap(self.failing, self.reason))

    def _wait(self, change: Change, lever: Lever | None = None, gap: float = 0.0) -> None:
        heapq.heappush(self.waiting, (change.size, next(self.tickets), change, lever, gap))

    def _operations(self) -> dict[str, Any]:
        """Set-ups by operation, up to the last one that fails; without a plan all machines'."""
        if self.settled is None:
            return dict.fromkeys(machines_of(self.case.line, self.case.works))
        names = list(place_names(self.settled.set_ups).values())
        last = max(names.index(one.operation) for one in self.failing)
        return dict(zip(names[: last + 1], self.settled.set_ups.values(), strict=False))

    def _try(self, change: Change, lever: Lever | None, before: float) -> None:
        one = self._planned(change)
        self.tried.append(one)
        if one.works:
            self._found(one, lever)
        elif lever is not None:
            self._go_on(one, lever, before)

    def _found(self, one: Tried, lever: Lever | None) -> None:
        """Keep what works; of a lever try once whether half of the last step does too."""
        key = (one.change.key, "" if lever is None else str(lever.way))
        if lever is None:
            key = (one.change.key, str(one.change.b))
        else:
            mine = (t.change.size for t in self.tried if not t.works and _along(t.change, lever))
            start = max(mine, default=0.0)
            if one.change.size - start > _CLOSE_ENOUGH and self.plans < MOST_PLANS:
                half = self._planned(lever.change(self.case, 0.5 * (start + one.change.size)))
                self.tried.append(half)
                one = half if half.works else one
        self.working[key] = one

    def _go_on(self, one: Tried, lever: Lever, before: float) -> None:
        """The next place of a lever that helps: where the secant meets the limits."""
        place, base = one.change.size, _gap(self.failing, self.reason)
        if place >= lever.last * (1.0 - 1e-9):
            return
        if math.isinf(before):
            further = _FURTHER * place  # nothing to go by until there is a plan
        elif one.gap <= _NEARER * before:
            further = _BEYOND * max(place, place * base / (base - one.gap))
        else:
            return
        change = lever.change(self.case, min(further, lever.last))
        if change.size > place:
            self._wait(change, lever, one.gap)

    def _planned(self, change: Change) -> Tried:
        """Plan with a change, nominally."""
        made: list[ChainJob] = []
        try:
            settled = nominal(lambda: _job(change.case, made))
            refuse_unknown_settings(change.case.line, settled.set_ups)
        except LinkwrightError as error:
            self.plans += bool(made)
            return Tried(change, (), (), " ".join(str(error).split()))
        self.plans += 1
        asked = {(one.operation, one.finding.subject) for one in self.failing}
        found = tuple(
            one for one in _judgements(settled) if (one.operation, one.finding.subject) in asked
        )
        if change.b is None:
            change = _left_out(change, settled)
        return Tried(change, found, _failing(settled))


def _job(case: Case, made: list[ChainJob]) -> Job:
    """The job of a case; ``made`` tells that there is one, which a refused steel has not."""
    machines = machines_of(case.line, case.works)
    made.append(chain_job(case.line, case.works, machines, case.choice))
    return job_to_plan(case.line, case.works, made[0])


def _along(change: Change, lever: Lever) -> bool:
    """Whether a change is one of a lever's places."""
    if change.key != f"{lever.operation}.{lever.name}" or change.b is None:
        return False
    return bool(lever.way * (float(change.b) - lever.value) > 0.0)


def _left_out(change: Change, settled: Settled) -> Change:
    """The change with the value that a setting comes to if the order does not give it."""
    operation, _, name = change.key.partition(".")
    for key, set_up in settled.set_ups.items():
        if operation in (key, key.split("/", 1)[1]) and name in set_up:
            value = float(set_up[name])
            lever = Lever(operation, name, float(change.a), 1, None, None)
            return replace(change, b=value, size=abs(lever.size(value)))
    return change


def _judgements(settled: Settled) -> list[Judged]:
    names = place_names(settled.steps)
    return [
        Judged(names[key], found) for key, step in settled.steps.items() for found in step.findings
    ]


def _failing(settled: Settled | None) -> tuple[Judged, ...]:
    if settled is None:
        return ()
    names = place_names(settled.steps)
    return tuple(Judged(names[key], found) for key, found in outside(settled.steps))


def _gap(failing: Sequence[Judged], reason: str) -> float:
    return math.inf if reason else sum(one.share for one in failing)


def _judged(one: Judged) -> dict[str, Any]:
    found = one.finding
    return {
        "operation": one.operation,
        "subject": found.subject,
        "unit": split(found.subject)[1],
        "value": number(found.value),
        "least": number(found.least),
        "greatest": number(found.greatest),
        "verdict": found.verdict,
        "short_by": one.short_by,
        "source": found.source,
    }


def _tried(one: Tried) -> dict[str, Any]:
    change = one.change
    told: Mapping[str, Any] = {
        "kind": change.kind,
        "key": change.key,
        "unit": split(change.key)[1],
        "from": change.a,
        "to": change.b,
        "size": change.size,
    }
    return {
        **told,
        "findings": [_judged(found) for found in one.findings],
        "failing": [_judged(found) for found in one.failing],
    }
