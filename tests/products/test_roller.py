"""Roller chain from its number to the strand: what fits, what breaks, what the order may say."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from linkwright.planning.draws import Ensemble, drawn, single
from linkwright.planning.plan import LinePlan, nominal, outside, plan_line
from linkwright.quantities import CannotPlan, InputErrors
from linkwright.route import walk
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.standards.reader import published_table
from linkwright.works import demo_bytes, demo_works, works_of_bytes
from linkwright.works.order import order_of_bytes
from linkwright.works.part_drawings import part_drawings_of_bytes

CHAINS = [str(row.cells["chain_number"]) for row in published_table("iso606_chain")]
FEW = Ensemble(lots=32)


def _line(size: str, more: str = "", length: str = 'length = "300 m"') -> Any:
    text = (
        '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n'
        f'[[line]]\nproduct = "roller"\nstandard = "ISO 606"\nsize = "{size}"\n{length}\n{more}\n'
    )
    return order_of_bytes(text.encode(), "order.toml").lines[0]


def _prepared(size: str, more: str = "", length: str = 'length = "300 m"') -> Any:
    works, line = demo_works(), _line(size, more, length)
    return lambda: job_to_plan(line, works, chain_job(line, works, machines_of(line, works)))


@cache
def _settled(size: str, more: str = "") -> Any:
    return nominal(_prepared(size, more))


@cache
def _plan(size: str) -> LinePlan:
    return plan_line(_prepared(size), FEW)


def _found(size: str, place: str, subject: str) -> float:
    return float(_settled(size).steps[place].finding(subject).value)


@pytest.mark.parametrize("chain", CHAINS)
def test_every_held_chain_is_planned_with_a_margin(chain):
    """Tensile strength with 5 to 40 % to spare; the thickest plates are too much for the press."""
    settled = _settled(chain)
    margin = float(
        settled.steps["chain/roller_inspection"].finding("strength_margin_percent").value
    )
    assert 5.0 <= margin <= 40.0
    failing = {found.subject for _, found in outside(settled.steps)}
    assert failing <= ({"stroke_force_kN", "stroke_energy_J"} if chain == "72B" else set())


@pytest.mark.parametrize("size", ["16B-2", "16B-6", "80-3", "41", "04C-4"])
def test_strands_and_american_numbers(size):
    """Middle plates lie between strands; numbers of both standards name the same chain."""
    steps = _settled(size).steps
    several = "-" in size
    assert ("middle_plate/blanking" in steps) == several
    assert steps["chain/roller_inspection"].finding("length_error_percent").verdict == "within"


def test_two_strands_break_at_twice_the_force():
    one, two = (_found(n, "chain/roller_inspection", "breaking_force_kN") for n in ("16B", "16B-2"))
    assert two / one == pytest.approx(106.0 / 60.0, rel=1e-3)  # what the standard asks of each


class TestPlausible:
    """A second rough reckoning of 16B; common practice, no source."""

    def test_a_press_of_500_tonnes_cuts_some_sixteen(self):
        assert 200.0 < _found("16B", "inner_plate/blanking", "plate_force_kN") < 230.0
        settings = _settled("16B").set_ups["inner_plate/blanking"]
        assert settings["plates_per_stroke_count"] == 16.0

    def test_pins_press_in_with_two_to_six_kilonewtons(self):
        assert 20e-3 < _found("16B", "chain/assembly", "pin_interference_mm") < 60e-3
        assert 2.0 < _found("16B", "chain/assembly", "pin_insertion_force_kN") < 6.0

    def test_sixty_micrometres_yield_the_plate(self):
        tight = "[line.settings]\nassembly.pin_interference_percent = 0.72"
        found = _settled("16B", tight).steps["chain/assembly"]
        assert float(found.finding("pin_interference_mm").value) == pytest.approx(0.06, abs=2e-3)
        assert float(found.finding("plate_yielding_percent").value) > 5.0
        assert _found("16B", "chain/assembly", "plate_yielding_percent") == 0.0

    def test_the_case_takes_one_and_a_half_to_two_and_a_half_hours(self):
        settings = _settled("16B").set_ups["pin/case_hardening"]
        hours = float(settings["boost_time_h"] + settings["diffuse_time_h"])
        assert 0.4 <= _found("16B", "pin/pin_grinding", "case_left_mm") <= 0.5
        assert 1.2 <= hours <= 2.5

    def test_outer_plates_break_first_near_seventy_kilonewtons(self):
        names = ("outer_plates_force_kN", "inner_plates_force_kN", "pins_force_kN")
        outer, inner, pins = (_found("16B", "chain/roller_inspection", name) for name in names)
        assert outer < min(inner, pins)
        assert outer == pytest.approx(70.0, abs=3.0)


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
@pytest.mark.parametrize("size", ["16B", "08B-2"])
def test_every_member_is_its_single_run(size):
    works, line = demo_works(), _line(size)
    job = job_to_plan(line, works, chain_job(line, works, machines_of(line, works)))
    members = drawn(job.conditions.scatter.values(), job.conditions.factors.values(), FEW)
    settled = nominal(lambda: job)
    whole = walk(job.route, settled.set_ups, members)
    for lot, link in ((0, 0), (7, 3), (31, 7), (16, 5)):
        alone = walk(job.route, settled.set_ups, single(members, lot, link))
        for key, step in whole.items():
            for found in step.findings:
                value = np.broadcast_to(np.asarray(found.value, float), (32, 8))[lot, link]
                one = float(np.asarray(alone[key].finding(found.subject).value).reshape(-1)[0])
                assert one == pytest.approx(value, rel=1e-9, abs=1e-12), (key, found.subject)


def test_findings_of_all_branches_are_kept():
    """The same subject of two parts stands twice among the results; the strand's is plain."""
    results = _plan("16B").results
    assert not np.array_equal(
        results["inner_plate/hardness_HV"], results["outer_plate/hardness_HV"]
    )
    assert "breaking_force_kN" in results
    columns = [name for name in _plan("16B").members.scatter if name.endswith("hole_spacing_mm")]
    assert len(columns) == 4


def test_settings_of_one_branch_move_that_branch_alone():
    softer = '[line.settings."outer_plate/plate_tempering"]\ntemperature_degC = 640'
    one, other = _settled("16B"), _settled("16B", softer)
    for key in ("inner_plate/plate_tempering", "pin/case_hardening"):
        assert dict(one.set_ups[key]) == dict(other.set_ups[key])
    assert other.set_ups["outer_plate/plate_tempering"]["temperature_degC"] == 640.0
    assert float(other.steps["chain/roller_inspection"].finding("breaking_force_kN").value) < 70.0


def test_a_tight_chain_is_as_long_as_asked():
    """Hole spacing, play, bedding and stretch add up to the aim of the works."""
    assert _found("16B", "chain/roller_inspection", "length_error_percent") == pytest.approx(
        0.075, abs=1e-4
    )


def test_an_odd_number_of_pitches_needs_a_cranked_link():
    even, odd = (nominal(_prepared("16B", "", f"pitches = {n}")) for n in (400, 401))
    for settled, count in ((even, 0.0), (odd, 1.0)):
        step = settled.steps["chain/roller_inspection"]
        assert float(step.finding("cranked_links").value) == count
        assert ("cranked_force_kN" in {one.subject for one in step.findings}) == (count > 0)


def test_bush_chain_has_no_rollers():
    assert not any(key.startswith("roller/") for key in _settled("06C").steps)


def test_an_unknown_number_is_told_at_its_line():
    with pytest.raises(InputErrors) as caught:
        nominal(_prepared("17B"))
    (problem,) = caught.value.found
    assert (problem.line, problem.key) == (8, "line.size")


def test_more_strands_than_planned_are_refused():
    with pytest.raises(CannotPlan, match="strands"):
        nominal(_prepared("16B-7"))


class TestCarbonitrided:
    """Ammonia is chosen, never silently: by the order, else the drawing, else the works."""

    def _parts(self, more: str = "", works: Any = None, drawing: str = "") -> set[str]:
        line = _line("16B", more)
        if drawing:
            line = replace(line, drawings=part_drawings_of_bytes(drawing.encode()))
        works = works or demo_works()
        job = chain_job(line, works, machines_of(line, works))
        return {one.branch for one in job.route.places if one.operation.name == "carbonitriding"}

    def test_nobody_says_so(self):
        assert self._parts() == set()

    def test_order_before_drawing_before_works(self):
        table = '[[drawing]]\nchain_number = "16B"\nsource = "drawing 31"\n'
        drawn = f'{table}carbonitrided = ["roller"]\n'
        text = demo_bytes("works.toml").decode()
        name = 'name            = "carbonitriding furnace"\n'
        assert text.count(name) == 1
        usual = works_of_bytes(text.replace(name, f'{name}parts = ["pin"]\n').encode())
        assert self._parts(works=usual) == {"pin"}
        assert self._parts(works=usual, drawing=table) == {"pin"}
        assert self._parts(works=usual, drawing=drawn) == {"roller"}
        said = 'carbonitrided = ["bushing"]'
        assert self._parts(said, usual, drawn) == {"bushing"}
        assert self._parts("carbonitrided = []", usual, drawn) == set()

    def test_a_works_without_such_a_furnace_says_so(self):
        works = demo_works()
        few = replace(
            works,
            machines=tuple(m for m in works.machines if "carbonitriding" not in m.operations),
        )
        with pytest.raises(CannotPlan, match="no machine for carbonitriding"):
            self._parts('carbonitrided = ["bushing"]', few)

    def test_bushings_are_planned_with_every_limit_kept(self):
        settled = _settled("16B", 'carbonitrided = ["bushing"]')
        assert "bushing/case_hardening" not in settled.steps
        assert outside(settled.steps) == []
        nitrogen = settled.steps["bushing/carbonitriding"].finding("surface_nitrogen_percent")
        assert nitrogen.verdict == "within"
