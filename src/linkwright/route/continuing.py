"""Continuing: a route planned on from metal that lies on the bench, half done and measured.

- `Done`: the places behind the lot, worked with the settings that were really used
- `worked`: those places from the plan and the settings used; `steered` fits them to a
  `Reading`, a finding that a gauge gave and a setting answers for
- `Start`: the stock on the bench: measured fields, and fields of the models
- `continued`: the rest of the route, fed by that stock

What a gauge gave replaces what the models gave; all other fields stay those of the models.
In the ensemble the places behind run again, so that what was not measured keeps its scatter
and doubt, while a measured field has the measured spread and nothing else:

    y = y_measured + s z              field y, spread s, deviate z
    x = x_model + (dx/dy) (y - y_model)    field x of the models, where y is a reading

with dx/dy from two nominal runs, 0.2 % of the setting below and above.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import active, not_recording, solved
from linkwright.quantities import CannotPlan
from linkwright.route.conditions import LOT_LEVELS, Conditions, Scatter
from linkwright.route.operation import MAIN, Machine, Operation, Stocks, Wanted
from linkwright.route.setting import GIVEN, Setting, SetUp
from linkwright.route.step import Step
from linkwright.route.stock import Stock
from linkwright.route.walk import Place, Route, Settled, walk

LOT_MIDDLE = "lot_"
"""Prefix of a field that is the lot's own middle of the field behind it."""
_NEAR = 0.002
_SEARCH = (0.5, 1.6)


class Reading(NamedTuple):
    """A finding that can be measured after an operation, and the setting that answers for it.

    A pyrometer's temperature says how hot the coil really ran: the setting is found at which
    the models give the reading, and every field of the stock follows.
    """

    operation: str
    finding: str
    setting: str


@dataclass(frozen=True)
class Done:
    """The places behind a lot in the order of work, the last one being where it lies."""

    route: Route
    set_ups: Mapping[str, SetUp]
    steps: Mapping[str, Step]

    @property
    def place(self) -> Place:
        """The place that worked last."""
        return self.route.places[-1]

    @property
    def step(self) -> Step:
        """The step that came last."""
        return self.steps[self.place.key]

    @property
    def stocks(self) -> Stocks:
        """What came in at the last place."""
        done = {key: step.stock for key, step in self.steps.items()}
        return self.route.stocks(self.place, done)

    def measurable(self, readings: Iterable[Reading]) -> list[str]:
        """Fields of the stock on the bench that a gauge can give, and readings."""
        stock = self.step.stock
        names = [
            name
            for group in (stock.shape, stock.condition, stock.amount)
            for name, value in group.items()
            if np.ndim(value) == 0 and not name.startswith(LOT_MIDDLE)
        ]
        operation = self.place.operation.name
        found = [one.finding for one in readings if one.operation == operation]
        return list(dict.fromkeys([*names, *found]))


def divided(route: Route, after: str) -> tuple[Route, tuple[Place, ...]]:
    """The places up to ``after`` with all that fed it, and the places that are left.

    Raises `KeyError` for an operation that is not in the route, `CannotPlan` if nothing is
    left or if the next place joins the lot with other feeds.
    """
    last = route.place(after)
    behind = {last.key}
    for place in reversed(route.places):
        if place.key in behind:
            behind.update(place.feeds.values())
    done = tuple(place for place in route.places if place.key in behind)
    left = tuple(place for place in route.places if place.key not in behind)
    if not left:
        raise CannotPlan(f"nothing is left to plan after {after}: it is the last operation")
    mixed = [place.key for place in left if len(behind & set(place.feeds.values())) and
             len(place.feeds) > 1]  # fmt: skip
    if mixed:
        raise CannotPlan(
            f"{mixed[0]} joins this lot with others; planning on from a lot is done for routes "
            f"without joints"
        )
    entering = {key: stock for key, stock in route.entering.items() if key in behind}
    return Route(done, entering), left


def worked(
    behind: Route,
    planned: Settled,
    used: Mapping[str, Mapping[str, Any]],
    conditions: Conditions,
) -> Done:
    """The places behind the lot, with the settings that were really used.

    An operation without an entry in ``used`` keeps every setting of the plan. One with an
    entry keeps what is given there, and what the entry does not give is decided anew for the
    metal that came in (a coil current for the temperature that was used).
    """
    set_ups: dict[str, SetUp] = {}
    steps: dict[str, Step] = {}
    done: dict[str, Stock] = {}
    moved = False
    for place in behind.places:
        key, own = place.key, used.get(place.operation.name, {})
        set_up, step = planned.set_ups[key], planned.steps[key]
        if own or moved:
            moved = True
            _name_step(f"{key}/done")
            stocks = behind.stocks(place, done)
            fixed = own or dict(set_up)
            wanted = planned.wanted[key]
            set_up = place.operation.set_up(stocks, wanted, place.machine, conditions, fixed)
            step = place.operation.run(stocks, set_up, place.machine, conditions)
        set_ups[key] = _as_given(set_up)
        steps[key], done[key] = step, step.stock
    return Done(behind, set_ups, steps)


def steered(done: Done, reading: Reading, measured: Any, conditions: Conditions) -> Done:
    """The last place at the setting for which the models give the reading.

    Raises `CannotPlan` if no setting from half to 1.6 times the planned one does.
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - on use

    place, set_up = done.place, done.set_ups[done.place.key]
    planned = float(set_up[reading.setting])
    low, high = (share * planned for share in _SEARCH)

    def away(value: float) -> float:
        step = _tried(done, reading.setting, value, conditions)
        return float(step.finding(reading.finding).value) - float(measured)

    with not_recording():
        ends = away(low), away(high)
        if ends[0] * ends[1] > 0.0:
            raise CannotPlan(
                f"no {reading.setting} from {low:.5g} to {high:.5g} gives the measured "
                f"{reading.finding} = {float(measured):g} after {place.operation.name}"
            )
        found = float(brentq(away, low, high, xtol=1e-12 * high, rtol=1e-13))
    _name_step(f"{place.key}/done")
    value = solved(
        reading.setting,
        found,
        f"solved for the measured {reading.finding} within [{low:.6g}, {high:.6g}]",
        **{reading.finding: measured},
    )
    fitted = _with(set_up, reading.setting, value)
    step = place.operation.run(done.stocks, fitted, place.machine, conditions)
    return Done(
        done.route,
        {**done.set_ups, place.key: fitted},
        {**done.steps, place.key: step},
    )


def slopes(done: Done, reading: Reading, conditions: Conditions) -> dict[str, Any]:
    """Change of each field of the stock on the bench with the reading, from two runs."""
    value = float(done.set_ups[done.place.key][reading.setting])
    with not_recording():
        low, high = (
            _tried(done, reading.setting, value * (1.0 + part), conditions)
            for part in (-_NEAR, _NEAR)
        )
    moved = float(high.finding(reading.finding).value) - float(low.finding(reading.finding).value)
    rise = {
        name: (np.asarray(high.stock[name], float) - np.asarray(low.stock[name], float)) / moved
        for name in (*done.step.stock.shape, *done.step.stock.condition)
    }
    return {name: slope for name, slope in rise.items() if np.any(slope)}


@dataclass(frozen=True)
class Start:
    """The stock on the bench: nominal, and as it is for each member of an ensemble.

    measured: what gauges gave, by field or reading. spreads: the source of scatter of each
    measured name that has a spread. reading, slopes: the steered reading, if any. limits:
    least, greatest and source of what the rest asks of a field, as far as the end's limits
    can be asked back.
    """

    done: Done
    measured: Mapping[str, Any]
    spreads: Mapping[str, Scatter] = field(default_factory=dict)
    reading: Reading | None = None
    slopes: Mapping[str, Any] = field(default_factory=dict)

    @property
    def stock(self) -> Stock:
        """The nominal stock, with the names of its measured fields."""
        return _measured_in(self.done.step.stock, self.measured, {})

    def members(self, conditions: Conditions) -> Stock:
        """The stock of each member: the models' places run again, the gauges' word kept."""
        steps = walk(self.done.route, self.done.set_ups, conditions)
        step = steps[self.done.place.key]
        lots = next(iter(conditions.draws.values())).shape[0]
        values = {}
        for name, value in self.measured.items():
            plain = np.full((lots, 1), float(value))
            scatter = self.spreads.get(name)
            values[name] = plain if scatter is None else conditions.actual(scatter.name, plain)
        nominal, stock = self.done.step.stock, step.stock
        moved: dict[str, Any] = {}
        if self.reading is not None:
            modelled = step.finding(self.reading.finding).value
            off = values[self.reading.finding] - modelled
            for name, slope in self.slopes.items():
                over = slope[..., None, None] if np.ndim(slope) else slope
                moved[name] = _members_last(stock[name], nominal[name]) + over * off
        moved = {name: value for name, value in moved.items() if name not in self.measured}
        return _measured_in(_written(stock, moved), values, self.measured)


def levels(done: Done, names: Iterable[str], conditions: Conditions) -> dict[str, str]:
    """Whether a measured name varies from link to link or from lot to lot in the models.

    ``conditions`` are those of a small ensemble.
    """
    with not_recording():
        step = walk(done.route, done.set_ups, conditions)[done.place.key]
    found = {}
    for name in names:
        value = step.stock[name] if name in step.stock else step.finding(name).value
        shape = np.shape(value)
        found[name] = "link" if len(shape) > 1 and shape[-1] > 1 else "lot"
    return found


def spread_source(place: Place, name: str, level: str, sd: float, source: str) -> Scatter:
    """The scatter of a measured name: a column of the place where it was measured."""
    return Scatter(f"{level}/{place.branch}/{place.operation.name}/{name}", sd, source)


def without_measured(
    conditions: Conditions, done: Done, measured: Iterable[str], spreads: Iterable[Scatter]
) -> Conditions:
    """Scatter of the places behind that varies a measured field is dropped for its spread."""
    known = set(measured)
    behind = {(place.branch, place.operation.name) for place in done.route.places}

    def dropped(source: Scatter) -> bool:
        _, branch, operation, quantity = source.name.split("/", 3)
        return (branch, operation) in behind and quantity in known

    kept = {name: one for name, one in conditions.scatter.items() if not dropped(one)}
    return Conditions({**kept, **{one.name: one for one in spreads}}, conditions.factors)


class FromStart(Operation):
    """The first operation of the rest: it is fed by the stock on the bench."""

    inner: Operation
    start: Start
    limits: Mapping[str, tuple[Any, Any, str]]

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """What the operation itself asks."""
        return self.inner.ask(wanted, near, machine, factors)

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The sizes that the operation itself gives."""
        return self.inner.sizes(stocks, wanted, machine, factors, given)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The operation's own settings; what it asks of the stock on the bench is kept."""
        made = self.inner.set_up(stocks, wanted, machine, factors, given)
        asked = self.inner.ask(wanted, stocks[MAIN], machine, factors)[self.inner.feeds[0]]
        return replace(made, prepared={**made.prepared, "asked": dict(asked)})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The operation's own step, and what the stock on the bench brings of what is asked."""
        from linkwright.route.finding import Finding  # noqa: PLC0415

        (feed,) = stocks
        stock = self.start.members(factors) if factors.draws else stocks[feed]
        step = self.inner.run({feed: stock}, settings, machine, factors)
        found = []
        for name, asked in settings.prepared["asked"].items():
            if name in stock and not _same(asked, self.start.stock[name]):
                least, greatest, source = self.limits.get(name, (None, None, ""))
                note = f"asked of the lot: {float(asked):.6g}"
                found.append(
                    Finding(f"incoming_{name}", stock[name], least, greatest, source, note)
                )
        return replace(step, findings=(*found, *step.findings))
