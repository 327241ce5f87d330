"""Assembly of roller chain by operation: stiff joints, loose fits, preload, grease, odd pitches."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest

from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import nominal, plan_line
from linkwright.quantities import CannotPlan
from linkwright.route import Machine, SetUp, Step, Stocks
from linkwright.services.as_ordered import MachineAsOrdered
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.works import demo_works
from linkwright.works.order import order_of_bytes


@cache
def _job(size: str, length: str, more: str = "") -> Any:
    text = (
        '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n'
        f'[[line]]\nproduct = "roller"\nstandard = "ISO 606"\nsize = "{size}"\n{length}\n{more}\n'
    )
    works, line = demo_works(), order_of_bytes(text.encode(), "order.toml").lines[0]
    return job_to_plan(line, works, chain_job(line, works, machines_of(line, works)))


@cache
def _settled(size: str = "16B", length: str = 'length = "300 m"') -> Any:
    return nominal(lambda: _job(size, length))


class At:
    """One operation of a settled chain, with what came in, to be run again otherwise."""

    def __init__(self, key: str, size: str = "16B", length: str = 'length = "300 m"') -> None:
        self.job, self.settled = _job(size, length), _settled(size, length)
        self.place = next(one for one in self.job.route.places if one.key == key)
        self.settings: SetUp = self.settled.set_ups[key]
        self.step: Step = self.settled.steps[key]
        done = {name: step.stock for name, step in self.settled.steps.items()}
        self.stocks: Stocks = self.job.route.stocks(self.place, done)

    def changed(self, feed: str, **shape: float) -> Stocks:
        return {**self.stocks, feed: self.stocks[feed].changed(shape=shape)}

    def holding(self, **held: float) -> Machine:
        """The machine with some held values new."""
        return MachineAsOrdered(self.place.machine, held)

    def run(self, stocks: Stocks | None = None, machine: Machine | None = None,
            settings: Mapping[str, Any] | None = None) -> Step:  # fmt: skip
        """Run as settled but for what is given."""
        return self.place.operation.run(
            stocks or self.stocks, settings or self.settings, machine or self.place.machine,
            self.job.conditions,
        )  # fmt: skip

    def set_up(self, stocks: Stocks, machine: Machine, wanted: Mapping[str, Any],
               given: Mapping[str, Any] | None = None) -> SetUp:  # fmt: skip
        return self.place.operation.set_up(
            stocks, wanted, machine, self.job.conditions, given or {}
        )


def _value(step: Step, subject: str) -> float:
    return float(np.asarray(step.finding(subject).value).item())


def test_a_run_again_is_the_run_of_the_plan():
    for key in ("inner_link/link_pressing", "chain/assembly", "chain/preloading"):
        at = At(key)
        for one, two in zip(at.step.findings, at.run().findings, strict=True):
            assert float(one.value) == pytest.approx(float(two.value)), one.subject


@pytest.mark.parametrize("play", [-0.01, 0.02])
def test_a_bore_below_the_pin_is_a_stiff_joint(play):
    at = At("chain/assembly")
    pin = float(at.stocks["pin"]["pin_diameter_mm"])
    found = at.run(at.changed("inner_link", bushing_bore_mm=pin + play))
    assert _value(found, "joint_clearance_mm") == pytest.approx(play)
    verdict = found.finding("joint_clearance_mm").verdict
    assert verdict == "outside" if play < 0.0 else verdict != "outside"


def test_some_stiff_members_lower_the_chance_and_stop_no_plan():
    narrow = "[line.settings]\nassembly.bore_margin_percent = -0.6"
    usual, tight = (
        plan_line(lambda more=more: _job("16B", 'length = "300 m"', more), Ensemble(lots=32))
        for more in ("", narrow)
    )
    stiff = np.mean(np.asarray(tight.results["joint_clearance_mm"]) < 0.0)
    assert 0.02 < stiff < 0.6
    assert tight.chance.chance < usual.chance.chance


def test_links_wider_than_their_opening_cannot_turn():
    at = At("chain/assembly")
    wide = float(at.settings["outer_link_opening_mm"]) + 0.1
    found = at.run(at.changed("inner_link", bushing_length_mm=wide)).finding("side_play_mm")
    assert float(found.value) == pytest.approx(-0.1)
    assert found.verdict == "outside"


def test_bowed_plates_leave_links_no_room_to_swing():
    """Usual plates take less than the works allows; a bow as wide as the gap takes all of it."""
    at = At("chain/assembly")
    assert at.step.finding("swing_room_mm").verdict == "within"
    assert 0.0 < _value(at.step, "swing_taken_percent") < 60.0
    gap = float(at.settings["outer_link_opening_mm"]) - float(
        at.stocks["inner_link"]["inner_link_width_mm"]
    )
    bowed = at.run(at.changed("outer_plate", flatness_mm=gap / 2))
    assert bowed.finding("swing_room_mm").verdict == "outside"
    assert _value(bowed, "swing_taken_percent") > 100.0


def test_the_burr_of_a_middle_plate_stands_between_links_and_that_of_an_outer_one_does_not():
    one, two = At("chain/assembly"), At("chain/assembly", "16B-2")
    rough = {"burr_height_um": 100.0}
    room = _value(one.step, "swing_room_mm")
    assert _value(one.run(one.changed("outer_plate", **rough)), "swing_room_mm") == room
    usual = float(two.stocks["middle_plate"]["burr_height_um"])
    less = _value(two.step, "swing_room_mm") - _value(
        two.run(two.changed("middle_plate", **rough)), "swing_room_mm"
    )
    assert less == pytest.approx(2 * (0.1 - usual / 1000))


@pytest.mark.parametrize(
    ("key", "plate", "member", "part"),
    [("inner_link/link_pressing", "inner_plate", "bushing_outside_mm", "bushing"),
     ("chain/assembly", "outer_plate", "pin_diameter_mm", "pin")],
)  # fmt: skip
def test_a_looser_fit_fails_the_twist_torque(key, plate, member, part):
    """Torque falls with the interference down to nothing; pressing in costs less as well."""
    at = At(key)
    size = float(at.stocks[part][member])
    made = [
        at.run(at.changed(plate, hole_diameter_mm=size - share * size / 1000.0))
        for share in (4.0, 2.0, 0.2, -1.0)
    ]
    for subject in (f"{part}_twist_torque_Nm", f"{part}_insertion_force_kN"):
        values = [_value(step, subject) for step in made]
        assert values == sorted(values, reverse=True)
        assert values[0] > values[-1] == 0.0
    assert at.step.finding(f"{part}_twist_torque_Nm").verdict != "outside"
    assert [step.finding(f"{part}_twist_torque_Nm").verdict for step in made[2:]] == ["outside"] * 2


@pytest.mark.parametrize(
    ("key", "part"), [("inner_link/link_pressing", "bushing"), ("chain/assembly", "pin")]
)
def test_pressing_out_is_to_pressing_in_as_their_frictions(key, part):
    at = At(key)
    for resting in (0.08, 0.12, 0.20):
        machine = at.holding(pressing_friction=0.12, resting_friction=resting)
        found = at.run(machine=machine)
        ratio = _value(found, f"{part}_push_out_force_kN") / _value(
            found, f"{part}_insertion_force_kN"
        )
        assert ratio == pytest.approx(resting / 0.12)


def test_tight_fits_squeeze_the_bore_and_the_ball_opens_it():
    at = At("inner_link/link_pressing")
    size = float(at.stocks["bushing"]["bushing_outside_mm"])
    shrunk = [
        _value(at.run(at.changed("inner_plate", hole_diameter_mm=size - i)), "bore_shrinkage_mm")
        for i in (0.02, 0.03, 0.04)
    ]
    assert 0.0 < shrunk[0] < shrunk[1] < shrunk[2] < 0.04
    usual = _value(at.step, "bushing_bore_mm")
    assert usual == pytest.approx(
        float(at.settings["sizing_ball_mm"]) - at.settings.prepared["springback_um"] / 1000.0
    )


def test_the_ram_presses_all_joints_of_a_stroke_with_reserve():
    at = At("chain/assembly")
    four = at.set_up(at.stocks, at.holding(pins_per_stroke_count=4.0), {})
    assert four["ram_force_kN"] == pytest.approx(2.0 * float(at.settings["ram_force_kN"]))
    held = at.place.machine.held
    joints = held["pins_per_stroke_count"] * _value(at.step, "pin_insertion_force_kN")
    ram = joints * (1.0 + held["ram_reserve_percent"] / 100.0)
    assert at.settings["ram_force_kN"] == pytest.approx(ram)


def test_a_low_head_is_said():
    """A head that keeps the height of the pin's end is no wider than the pin."""
    at = At("chain/assembly")
    found = at.run(machine=at.holding(head_share=0.99)).finding("head_ratio")
    assert float(found.value) == pytest.approx(0.99**-0.5)
    assert found.verdict == "outside"


@pytest.mark.parametrize("size", ["06B", "16B", "48B", "16B-2"])
def test_the_preload_is_within_the_bench_and_below_what_breaks(size):
    at = At("chain/preloading", size)
    low, high = at.place.machine.limits("preload_kN")
    assert (low or 0.0) <= float(at.settings["preload_kN"]) <= high
    assert at.step.finding("preload_kN").verdict != "outside"
    assert 20.0 < _value(at.step, "preload_share_percent") < 35.0


def test_too_much_preload_is_outside():
    """Above the bench nothing is planned; near what breaks the chain the finding says so."""
    at = At("chain/preloading")
    _, high = at.place.machine.limits("preload_kN")
    with pytest.raises(CannotPlan, match="preload_kN"):
        at.set_up(at.stocks, at.place.machine, {}, {"preload_kN": 1.01 * high})
    settings = at.set_up(at.stocks, at.place.machine, {}, {"preload_kN": 60.0})
    assert at.run(settings=settings).finding("preload_share_percent").verdict == "outside"


def test_the_preload_lengthens_the_strand_by_what_joints_bed_in():
    at = At("chain/preloading")
    before, after = (float(one["pitch_mm"]) for one in (at.stocks["main"], at.step.stock))
    held = at.place.machine.held["bedding_percent"]
    assert 100.0 * (after / before - 1.0) == pytest.approx(held, rel=1e-6)


@pytest.mark.parametrize("size", ["06B", "16B", "48B"])
def test_joints_are_full_of_grease_after_their_dip(size):
    """Depth goes with the root of time, so the reserve of time is known in the depth."""
    at = At("chain/greasing", size)
    half = float(at.stocks["main"]["bushing_length_mm"]) / 2.0
    reserve = 1.0 + at.place.machine.held["dip_reserve_percent"] / 100.0
    assert _value(at.step, "filled_depth_mm") == pytest.approx(half * reserve**0.5, rel=1e-3)
    quarter = float(at.settings["dip_time_s"]) / reserve / 4.0
    short = at.run(settings={**at.settings, "dip_time_s": quarter})
    assert _value(short, "filled_depth_mm") == pytest.approx(half / 2.0, rel=1e-3)
    assert short.finding("filled_depth_mm").verdict == "outside"


def test_stiff_joints_take_next_to_no_grease_and_are_said():
    at = At("chain/greasing")
    found = at.run(at.changed("main", joint_clearance_mm=-0.01)).finding("filled_depth_mm")
    assert found.verdict == "outside"


def test_narrow_joints_take_longer_to_fill():
    at = At("chain/greasing")
    usual = float(at.settings["dip_time_s"])
    play = float(at.stocks["main"]["joint_clearance_mm"])
    narrow = at.set_up(at.changed("main", joint_clearance_mm=play / 2.0), at.place.machine, {})
    assert narrow["dip_time_s"] == pytest.approx(2.0 * usual, rel=1e-3)


def test_a_strand_breaks_where_it_is_weakest():
    found = At("chain/roller_inspection").step
    parts = ("inner_plates_force_kN", "outer_plates_force_kN", "pins_force_kN")
    assert _value(found, "breaking_force_kN") == pytest.approx(
        min(_value(found, name) for name in parts)
    )
    assert _value(found, "weakest_link_in_sample_kN") < _value(found, "breaking_force_kN")


@pytest.mark.parametrize("pitches", [100, 101])
def test_odd_pitches_need_a_cranked_link_that_is_weaker(pitches):
    at = At("chain/roller_inspection", length=f"pitches = {pitches}")
    assert _value(at.step, "cranked_links") == pitches % 2
    subjects = {found.subject for found in at.step.findings}
    assert ("cranked_force_kN" in subjects) == bool(pitches % 2)
    if pitches % 2:
        share = at.place.machine.held["cranked_percent"] / 100.0
        weakest = _value(at.step, "weakest_link_in_sample_kN")
        assert _value(at.step, "cranked_force_kN") == pytest.approx(share * weakest)


@pytest.mark.parametrize(
    "key", ["inner_link/link_pressing", "chain/assembly", "chain/preloading", "chain/greasing",
            "chain/roller_inspection", "pin/pin_cutting", "pin/pin_turning", "pin/pin_grinding",
            "pin/case_hardening"],
)  # fmt: skip
def test_every_step_says_what_can_hurt_and_how_it_is_guarded(key):
    cautions = At(key).step.cautions
    assert cautions
    assert all(one.danger and one.guard for one in cautions)
