"""Half done: the places behind a lot, and the metal that lies on the bench after them.

- `Done`: the places behind, worked with the settings that were really used
- `worked`: those places from the plan and the settings used; `steered` fits the last of
  them to a `Reading`, a finding that a gauge gave and a setting answers for
- `Start`: the stock on the bench: measured fields, and fields of the models
- `levels`, `spread_source`, `without_measured`: the scatter of what was measured

What a gauge gave replaces what the models gave; all other fields stay those of the models.
In the ensemble the places behind run again, so that what was not measured keeps its scatter
and doubt, while a measured field has the measured spread and nothing else:

    y = y_measured + s z                   field y, spread s, deviate z
    x = x_model + (dx/dy) (y - y_model)    field x of the models, where y is a reading

with dx/dy from two nominal runs, 0.2 % of the setting below and above.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import active, not_recording, solved
from linkwright.quantities import CannotPlan
from linkwright.route.conditions import Conditions, Scatter
from linkwright.route.operation import Stocks
from linkwright.route.setting import FOLLOWS, GIVEN, SOLVED, SetUp, with_card
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


def worked(
    behind: Route,
    planned: Settled,
    used: Mapping[str, Mapping[str, Any]],
    conditions: Conditions,
) -> Done:
    """The places behind the lot, with the settings that were really used.

    An operation without an entry in ``used`` keeps every setting of the plan. One with an
    entry keeps what is given there, and what the entry does not give is decided anew for the
    metal that came in (a coil current for the temperature that was used). Later operations
    keep the plan's settings and work what really came.
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
            fixed = own or _chosen(set_up)
            wanted = planned.wanted[key]
            set_up = place.operation.set_up(stocks, wanted, place.machine, conditions, fixed)
            set_up = with_card(set_up, place.operation, place.machine, fixed)
            step = place.operation.run(stocks, set_up, place.machine, conditions)
        set_ups[key] = set_up if own else _as_given(set_up)
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
    aim = f"the measured {reading.finding}"
    value = solved(
        reading.setting,
        found,
        f"solved for {aim} within [{low:.6g}, {high:.6g}]",
        **{reading.finding: measured},
    )
    fitted = _with(set_up, reading.setting, value=value, how=SOLVED, aim=aim)
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
    measured name that has a spread. reading, slopes: the reading to which the models were
    fitted, if any, and how the fields of the stock move with it.
    """

    done: Done
    measured: Mapping[str, Any]
    spreads: Mapping[str, Scatter]
    reading: Reading | None
    slopes: Mapping[str, Any]

    @property
    def stock(self) -> Stock:
        """The nominal stock, with the names of its measured fields."""
        stock = self.done.step.stock
        written = dict(self.measured)
        for name, value in self.measured.items():
            if LOT_MIDDLE + name in stock:
                written[LOT_MIDDLE + name] = value
        made = _written(stock, written)
        return replace(made, measured=made.measured | set(written))

    def members(self, conditions: Conditions) -> Stock:
        """The stock of each member: the models' places run again, the gauges' word kept."""
        step = walk(self.done.route, self.done.set_ups, conditions)[self.done.place.key]
        lots = next(iter(conditions.draws.values())).shape[0]
        moved: dict[str, Any] = {}
        middles: dict[str, Any] = {}
        for name, value in self.measured.items():
            plain = np.full((lots, 1), float(value))
            source = self.spreads.get(name)
            moved[name] = plain if source is None else conditions.actual(source.name, plain)
            own = source is not None and source.level == "lot"
            middles[LOT_MIDDLE + name] = moved[name] if own else plain
        moved |= {name: value for name, value in middles.items() if name in step.stock}
        stock = _with_member_axes(step.stock, self.done.step.stock)
        if self.reading is not None:
            off = moved[self.reading.finding] - step.finding(self.reading.finding).value
            for name, slope in self.slopes.items():
                over = slope[..., None, None] if np.ndim(slope) else slope
                moved.setdefault(name, stock[name] + over * off)
        return _written(stock, moved)


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


def _tried(done: Done, setting: str, value: float, conditions: Conditions) -> Step:
    place = done.place
    set_up = _with(done.set_ups[place.key], setting, value=value)
    return place.operation.run(done.stocks, set_up, place.machine, conditions)


def _with(set_up: SetUp, name: str, **changed: Any) -> SetUp:
    settings = tuple(
        replace(one, **changed) if one.name == name else one for one in set_up.settings
    )
    return replace(set_up, settings=settings)


def _as_given(set_up: SetUp) -> SetUp:
    settings = tuple(
        one if one.how == FOLLOWS else replace(one, how=GIVEN) for one in set_up.settings
    )
    return replace(set_up, settings=settings)


def _chosen(set_up: SetUp) -> dict[str, Any]:
    """The settings that somebody chose; those that follow from them are worked out again."""
    return {one.name: one.value for one in set_up.settings if one.how != FOLLOWS}


def _written(stock: Stock, values: Mapping[str, Any]) -> Stock:
    """The stock with new values in the fields that it has."""

    def within(group: Mapping[str, Any]) -> dict[str, Any]:
        return {name: value for name, value in values.items() if name in group}

    return stock.changed(
        shape=within(stock.shape), condition=within(stock.condition), amount=within(stock.amount)
    )


def _with_member_axes(stock: Stock, nominal: Stock) -> Stock:
    """Fields over a section get the members' axes even where nothing varies them."""
    bare = {
        name: np.asarray(value)[..., None, None]
        for name, value in stock.condition.items()
        if np.ndim(value) and np.ndim(value) == np.ndim(nominal[name])
    }
    return stock.changed(condition=bare)


def _name_step(key: str) -> None:
    book = active()
    if book is not None:
        book.step = key
