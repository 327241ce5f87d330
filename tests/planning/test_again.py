"""A line planned again after a changed setting is the line planned anew."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from linkwright.planning.again import Again
from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import Job, LinePlan
from linkwright.services.chain_jobs import chain_choices, chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.services.order_text import with_setting
from linkwright.works import Line, demo_bytes, demo_works, order_of_bytes

SMALL = Ensemble(lots=64)
WELDED, ROLLER = 0, 2
SETTLED = 5e-6
"""Settling leaves 1e-6 of a wanted size, which its consequences follow."""


@dataclass
class Desk:
    """One line of the demo, changed again and again."""

    index: int
    again: Again = field(default_factory=lambda: Again(SMALL))
    text: str = field(default_factory=lambda: demo_bytes("order.toml").decode())

    def changed(self, place: str, name: str, value: float) -> LinePlan:
        self.text = with_setting(self.text, self.index, place, name, value)
        return self.plan()

    def plan(self) -> LinePlan:
        line = order_of_bytes(self.text.encode()).lines[self.index]
        return self.again.plan(*self.again.nominal(lambda: job(line)))

    def anew(self) -> LinePlan:
        return Desk(self.index, text=self.text).plan()


def job(line: Line) -> Job:
    works = demo_works()
    machines = machines_of(line, works)
    choice = chain_choices(line, works, machines)[0]
    made = chain_job(line, works, machines, choice if choice.rod else None)
    return job_to_plan(line, works, made)


def numbers(plan: LinePlan) -> dict[Any, float]:
    settings = {
        (key, one.name): float(one.value)
        for key, set_up in plan.settled.set_ups.items()
        for one in set_up.settings
        if not isinstance(one.value, str)
    }
    found = {(key, one.subject): float(one.value) for key, one in plan.findings()}
    return settings | found


@pytest.mark.parametrize(
    ("index", "changes"),
    [
        (WELDED, [("tempering", "temperature_degC", 546.0), ("cutting", "cut_length_mm", 87.0),
                  ("tempering", "temperature_degC", 541.0)]),
        (ROLLER, [("outer_plate/plate_tempering", "temperature_degC", 550.0),
                  ("bushing/carbonitriding", "temperature_degC", 865.0)]),
    ],
    ids=["welded", "roller"],
)  # fmt: skip
def test_a_changed_line_is_the_line_planned_anew(
    index: int, changes: list[tuple[str, str, float]]
) -> None:
    desk = Desk(index)
    desk.plan()
    for change in changes:
        plan = desk.changed(*change)
    anew = desk.anew()
    one, other = numbers(plan), numbers(anew)
    assert one.keys() == other.keys()
    far = {key: (one[key], other[key]) for key in one
           if abs(one[key] - other[key]) > SETTLED * max(abs(other[key]), 1e-3)}  # fmt: skip
    assert not far
    assert plan.chance.chance == pytest.approx(anew.chance.chance, abs=1e-4)
    for name, members in anew.results.items():
        np.testing.assert_allclose(plan.results[name], members, rtol=1e-4, atol=1e-6)


def test_going_back_gives_the_first_answer_and_works_nothing(monkeypatch: Any) -> None:
    desk = Desk(WELDED)
    first = desk.changed("marking", "mark_depth_mm", 0.2)
    desk.changed("marking", "mark_depth_mm", 0.3)
    worked: list[str] = []
    held = desk.again._kept.worked

    def counting(key: str, work: Any, make: Any) -> Any:
        return held(key, work, lambda: (worked.append(key), make())[1])

    monkeypatch.setattr(desk.again._kept, "worked", counting)
    back = desk.changed("marking", "mark_depth_mm", 0.2)
    assert worked == []
    assert numbers(back) == numbers(first)
    assert back.chance.chance == first.chance.chance


def test_only_what_depends_on_it_is_worked(monkeypatch: Any) -> None:
    desk = Desk(ROLLER)
    desk.plan()
    worked: list[str] = []
    held = desk.again._kept.worked

    def counting(key: str, work: Any, make: Any) -> Any:
        return held(key, work, lambda: (worked.append(key), make())[1])

    monkeypatch.setattr(desk.again._kept, "worked", counting)
    desk.changed("outer_plate/plate_tempering", "temperature_degC", 550.0)
    assert "outer_plate/plate_tempering" in worked
    assert not [key for key in worked if key.split("/")[0] in {"inner_plate", "bushing", "roller"}]


def test_the_numbers_have_no_derivation() -> None:
    plan = Desk(WELDED).plan()
    assert plan.derivation.entries == {} or not plan.derivation.entries
    assert all(found.entry is None for _, found in plan.findings())
