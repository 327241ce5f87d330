"""Plans of the invented demo that several test files look at, each made once.

- `demo`, `document`, `line`: the demo order in the demo works
- `order`, `works`: the demo files with some text replaced or added
- `with_settings`: the demo planned with settings that the order gives
- `run_with`: one operation of a plan once more, changed; `walked`: the whole route
"""

from __future__ import annotations

import warnings
from dataclasses import replace
from functools import lru_cache
from typing import Any

from linkwright.catalogue import ValidityWarning
from linkwright.planning.draws import Ensemble
from linkwright.route import MAIN, Conditions, Step, walk
from linkwright.services.planning import OrderPlan, plan_order
from linkwright.works import (
    Order,
    Works,
    demo_bytes,
    demo_line_bytes,
    order_of_bytes,
    works_of_bytes,
)

FEW = Ensemble(lots=64)
"""Lots enough for what does not hang on the sampling error."""


def order(*replaced: tuple[str, str], settings: str = "") -> Order:
    """The demo order with texts replaced and settings, ``operation.name = value``, added."""
    text = _replaced("order.toml", replaced)
    if settings:
        text += f"\n[line.settings]\n{settings}\n"
    return order_of_bytes(text.encode(), "order.toml")


def demo_rows(name: str) -> list[str]:
    """The lines of a demo file."""
    return demo_bytes(name).decode().splitlines()


def order_and(more: str) -> Order:
    """The demo order with more tables at its end."""
    return order_of_bytes((_replaced("order.toml", ()) + more).encode(), "order.toml")


def works(*replaced: tuple[str, str], more: str = "") -> Works:
    """The demo works with texts replaced and tables added."""
    return works_of_bytes((_replaced("works.toml", replaced) + more).encode(), "works.toml")


def _replaced(name: str, replaced: tuple[tuple[str, str], ...]) -> str:
    text = (demo_line_bytes() if name == "order.toml" else demo_bytes(name)).decode()
    for old, new in replaced:
        assert old in text, f"{name} has no {old!r}"
        text = text.replace(old, new, 1)
    return text


@lru_cache(maxsize=1)
def demo() -> OrderPlan:
    """The demo order in the demo works, 512 lots."""
    return plan_order(order(), works())


@lru_cache(maxsize=32)
def with_settings(settings: str) -> OrderPlan:
    """The demo with settings given by the order (or none), few lots."""
    return plan_order(order(settings=settings), works(), ensemble=FEW)


def document() -> dict[str, Any]:
    """The demo plan as data; not to be changed."""
    return demo().document()


def line() -> dict[str, Any]:
    """The only line of the demo plan as data; not to be changed."""
    found: dict[str, Any] = document()["lines"][0]
    return found


def setting(plan: OrderPlan, operation: str, name: str) -> Any:
    """A setting of a plan's first line."""
    for key, set_up in plan.lines[0].plan.settled.set_ups.items():
        if key.endswith(f"/{operation}"):
            return next(one for one in set_up.settings if one.name == name)
    raise KeyError(operation)


def finding(plan: OrderPlan, operation: str, subject: str) -> float:
    """The value of a nominal finding of a plan's first line."""
    place = plan.lines[0].job.route.place(operation)
    return float(plan.lines[0].plan.steps[place.key].finding(subject).value)


def run_with(plan: OrderPlan, operation: str, conditions: Conditions, **changed: Any) -> Step:
    """One operation of a plan's first line once more, with settings or stock fields changed.

    A name that is no setting is a field of the stock that comes in.
    """
    one = plan.lines[0]
    place = one.job.route.place(operation)
    set_up = one.plan.settled.set_ups[place.key]
    done = {key: step.stock for key, step in one.plan.steps.items()}
    stock = one.job.route.stocks(place, done)[MAIN]
    settings = tuple(
        replace(each, value=changed.get(each.name, each.value)) for each in set_up.settings
    )
    for group in ("shape", "condition", "amount"):
        fields = getattr(stock, group)
        stock = stock.changed(**{group: {k: v for k, v in changed.items() if k in fields}})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        return place.operation.run(
            {MAIN: stock}, replace(set_up, settings=settings), place.machine, conditions
        )


def nominal(plan: OrderPlan) -> Conditions:
    """The conditions of the nominal pass: no draws."""
    members = plan.lines[0].plan.members
    return Conditions(members.scatter, members.factors)


def walked(plan: OrderPlan, conditions: Conditions) -> dict[str, Step]:
    """The route of a plan's first line run once more under these conditions."""
    one = plan.lines[0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        return walk(one.job.route, one.plan.settled.set_ups, conditions)
