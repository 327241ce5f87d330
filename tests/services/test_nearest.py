"""The nearest thing that would work: found by planning again, ranked, and told."""

from __future__ import annotations

import dataclasses
import json
import math
import re
from functools import cache
from pathlib import Path
from typing import Any

import planned
import pytest
from planned import FEW, order, works

from linkwright.planning.advice import NOTHING, advice, nearest_rows
from linkwright.planning.plan import nominal
from linkwright.products.job import ChainJob
from linkwright.quantities import CannotPlan
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.services.nearest import MOST_PLANS, Nearest, nearest_change
from linkwright.services.planning import plan_order
from linkwright.services.single_changes import MEASURE, Case, Lever, leavings, with_setting

PAGE = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
LEAN = """
[[steel]]
name                 = "rod cheap"
grade                = "lean chain steel, just within the standard"
heat                 = "H-1990"
diameter_mm          = 8.5
tensile_strength_MPa = 545.0
price_EUR_per_kg     = 1.04

[steel.analysis]
C_percent  = 0.20
Si_percent = 0.22
Mn_percent = 1.05
P_percent  = 0.014
S_percent  = 0.010
Ni_percent = 0.41
Cr_percent = 0.41
Mo_percent = 0.16
Al_percent = 0.028
"""
"""An invented heat that EN 818-2 admits, with little to harden through."""


def by_line_only(works_: Any) -> Any:
    """The works without furnaces: what fails in the line cannot be made elsewhere."""
    machines = tuple(
        one for one in works_.machines if not one.operations[0].startswith(("furnace", "normal"))
    )
    return dataclasses.replace(works_, machines=machines)


def job(case: Case) -> ChainJob:
    """The chain's job of a case."""
    return chain_job(case.line, case.works, machines_of(case.line, case.works), case.choice)


def searched(case: Case) -> Nearest:
    """The search from the nominal plan of a case."""
    settled = nominal(lambda: job_to_plan(case.line, case.works, job(case)))
    return nearest_change(case, settled=settled)


@cache
def worn_ring() -> Nearest:
    """The lean heat under a ring of nozzles that lets half of its water through."""
    full = next(r for r in planned.demo_rows("works.toml") if re.match("water_flow_.*= 200.0", r))
    worn = works((full, "water_flow_l_per_min = 95.0"), more=LEAN)
    line = order(('"rod 8.5"', '"rod cheap"')).lines[0]
    return searched(Case(line, by_line_only(worn)))


def test_a_lean_heat_under_a_worn_ring_needs_the_richer_heat_or_twice_the_water() -> None:
    """Its middle falls short of martensite; both ways out are found, with the new share."""
    found = worn_ring()
    failing = {one.finding.subject: one for one in found.failing}
    short = failing["least_martensite_fraction"]
    assert short.short_by == pytest.approx(0.9 - float(short.finding.value), abs=1e-12)
    assert short.short_by > 0.0
    keys = {one.change.key: one for one in found.working}
    water = keys["quenching.water_flow_l_per_min"]
    assert 1.2 < water.change.b / water.change.a < 2.5
    richer = keys["steel"]
    assert richer.change.b in ("rod 8.5", "rod 9.0")
    for one in found.working:
        shares = [f for f in one.findings if f.finding.subject == "least_martensite_fraction"]
        assert [f.finding.verdict for f in shares] in (["within"], ["close"])


def test_changes_are_ranked_by_their_size_and_bounded_in_number() -> None:
    """The smallest first; the search ends."""
    found = worn_ring()
    sizes = [one.change.size for one in found.working]
    assert sizes == sorted(sizes)
    assert found.plans <= MOST_PLANS + 1


def test_what_is_said_to_work_works_when_it_is_planned_again() -> None:
    """Each change, planned once more from its own case, leaves nothing outside."""
    for one in worn_ring().working:
        case = one.change.case
        again = nominal(lambda case=case: job_to_plan(case.line, case.works, job(case)))
        verdicts = {f.verdict for step in again.steps.values() for f in step.findings}
        assert "outside" not in verdicts


def test_a_given_setting_is_moved_or_left_out() -> None:
    """Too cold by order: hotter, or as the works holds it."""
    line = order(settings="hardening.temperature_degC = 830.0").lines[0]
    found = searched(Case(line, by_line_only(works())))
    values = sorted(one.change.b for one in found.working)
    assert {one.change.key for one in found.working} == {"hardening.temperature_degC"}
    assert values[0] < 900.0
    assert values[-1] == 940.0


def test_a_refused_heat_is_refused_with_the_line_of_the_standard_and_another_named() -> None:
    """The lean rod of the demo is below the standard's limits: exit by the richer one."""
    with pytest.raises(CannotPlan) as caught:
        plan_order(order(('"rod 8.5"', '"rod 8.5 lean"')), works(), ensemble=FEW, advise=True)
    text = str(caught.value)
    assert "Ni 0.28 %, at least 0.4 % asked (EN 818-2" in text
    assert "nearest that would work: steel: 'rod 8.5' instead of 'rod 8.5 lean'" in text


def test_where_nothing_works_that_is_said_too() -> None:
    """A chain whose route is not modelled is mended by no setting."""
    with pytest.raises(CannotPlan, match="flash-butt") as caught:
        plan_order(order(('"8 mm"', '"32 mm"')), works(), ensemble=FEW, advise=True)
    assert str(caught.value).endswith(NOTHING)
    nothing = Nearest((), "no such route", (), None, 0).to_dict()
    assert advice(nothing) == NOTHING
    assert nearest_rows(nothing, None)[-1][0] == "nothing found"


def test_a_line_that_does_not_fail_has_nothing_to_say() -> None:
    """No search, no key but null."""
    assert planned.line()["nearest"] is None


def test_the_plan_of_a_failing_line_holds_it_as_data_and_tells_it() -> None:
    """Every key of the page and no other; the rows name miss and remedy."""
    line = order(settings="hardening.temperature_degC = 830.0")
    data = plan_order(line, by_line_only(works()), ensemble=FEW).document()["lines"][0]["nearest"]
    section = PAGE.split("\n## The nearest thing that would work\n", 1)[1].split("\n## ", 1)[0]
    told = set(re.findall(r"`([a-z_]+)`", section))
    judged = {key for one in data["failing"] for key in one}
    tried = {key for one in data["works"] for key in one}
    assert {*data, *judged, *tried} <= told
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert data["measure"] == MEASURE
    rows = nearest_rows(data, None)
    assert re.search(r"at least 82\d.* missed by [89]\.\d+ K", rows[0][1])
    assert any(name == "works: hardening temperature 830 °C to 940 °C" for name, _ in rows)
    assert "°F" in str(nearest_rows(data, "inch"))


def test_a_lever_goes_no_further_than_its_machine() -> None:
    """Rounded to three figures, but never past the end of the range."""
    case = Case(order().lines[0], works())
    lever = Lever("quenching", "water_flow_l_per_min", 200.0, 1, 40.0, 260.0)
    assert lever.last == pytest.approx(math.log(1.3))
    assert lever.change(case, 2.0).b == 260.0
    assert lever.change(case, 0.1).b == 221.0
    down = Lever("hardening", "temperature_degC", 940.0, -1, 820.0, 1020.0)
    assert down.change(case, 0.25).b == 915.0
    assert down.change(case, 0.25).size == pytest.approx(0.25)


def test_a_setting_is_laid_into_a_case_and_taken_out_again() -> None:
    """As the order would give it, with a place in the order file."""
    case = with_setting(Case(order().lines[0], works()), "quenching.gap_length_mm", 50.0)
    assert case.line.settings["quenching.gap_length_mm"] == 50.0
    assert case.line.settings.place("quenching.gap_length_mm").startswith("order.toml:")
    (left,) = leavings(case)
    assert "quenching.gap_length_mm" not in left.case.line.settings
