"""Calibrating and inspection as operations: whose flow curve, which limits, what the card shows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from planned import demo, nominal, run_with

from linkwright.processes.inspection import Inspection
from linkwright.processes.link_curve import curve_of
from linkwright.processes.models.link_strength import link_strength
from linkwright.route import MAIN, Conditions, Step
from linkwright.route.stock import Stock

DUCTILITY = "factor/inspection/ductility"


def chain_into(operation: str, **condition: Any) -> Stock:
    """The chain that comes into an operation of the demo."""
    one = demo().lines[0]
    place = one.job.route.place(operation)
    done = {key: step.stock for key, step in one.plan.steps.items()}
    return one.job.route.stocks(place, done)[MAIN].changed(condition=condition)


def inspected(operation: Inspection, chain: Stock, conditions: Conditions | None = None) -> Step:
    """The demo's bench and settings on a chain."""
    one = demo().lines[0]
    place = one.job.route.place("inspection")
    set_up = one.plan.settled.set_ups[place.key]
    return operation.run({MAIN: chain}, set_up, place.machine, conditions or nominal(demo()))


def needs() -> dict[str, Any]:
    place = demo().lines[0].job.route.place("inspection")
    assert isinstance(place.operation, Inspection)
    return dict(place.operation.needs)


def test_the_flow_curve_of_the_chain_goes_before_that_of_the_works() -> None:
    """Normalised chain brings its own exponent and offset; else those held are used."""
    machine = demo().lines[0].job.route.place("inspection").machine
    soft = chain_into("inspection", hardening_exponent=0.18, yield_offset_strain=0.01)
    curve = curve_of(soft, machine)
    assert (curve["hardening_exponent"], curve["prestrain"]) == (0.18, 0.01)
    held = curve_of(chain_into("inspection"), machine)
    assert held["hardening_exponent"] == machine.held["hardening_exponent"]
    assert curve["friction_coefficient"] == machine.held["friction_coefficient"]
    found = inspected(Inspection(needs()), soft)
    wire, pitch, width, strength = (
        soft[name] for name in
        ("wire_diameter_mm", "pitch_mm", "outer_width_mm", "tensile_strength_MPa")
    )  # fmt: skip
    alone = link_strength(
        wire_diameter_mm=wire, pitch_mm=pitch, outer_width_mm=width,
        tensile_strength_MPa=strength, **curve,
    ).breaking_force_kN  # fmt: skip
    assert float(found.finding("breaking_force_kN").value) == pytest.approx(float(alone))


def test_every_requirement_is_optional() -> None:
    """A standard that gives no limit leaves findings without one, and no bend test."""
    found = inspected(Inspection({}), chain_into("inspection"))
    judged = {one.subject for one in found.findings if one.verdict != "no limit given"}
    assert judged == {"damage_at_maximum"}  # what tears is no matter of a standard
    assert "bend_surface_strain" not in {one.subject for one in found.findings}


def with_ductility(share: float) -> Conditions:
    """A works that has learned how much its steel bears."""
    usual = nominal(demo())
    learned = replace(usual.factors[DUCTILITY], median=share, kind="file", source="works.toml")
    return replace(usual, factors={**usual.factors, DUCTILITY: learned})


def test_the_bend_test_is_judged_by_what_the_steel_bears() -> None:
    """Strain and force are those of the bench; less ductility turns the verdict."""
    chain = chain_into("inspection")
    found = inspected(Inspection(needs()), chain)
    assert found.finding("bend_damage").verdict == "within"
    assert 0.1 < float(found.finding("bend_surface_strain").value) < 0.5
    assert 20 < float(found.finding("bend_force_kN").value) < 80
    brittle = inspected(Inspection(needs()), chain, with_ductility(0.3))
    assert brittle.finding("bend_damage").verdict == "outside"
    assert float(brittle.finding("bend_damage").value) == pytest.approx(
        float(found.finding("bend_damage").value) / 0.3
    )


def test_the_plan_says_what_comes_first() -> None:
    """Instability for a tough steel; a brittle one tears before its greatest force."""
    chain = chain_into("inspection")
    tough = inspected(Inspection(needs()), chain).finding("damage_at_maximum")
    assert "instability" in tough.note
    assert tough.verdict == "within"
    brittle = inspected(Inspection(needs()), chain, with_ductility(0.1))
    assert "tears before" in brittle.finding("damage_at_maximum").note
    assert brittle.finding("damage_at_maximum").verdict == "outside"


def test_twist_is_told_where_forming_gives_it() -> None:
    """Twist, its deviation and nothing of it where the link brings none."""
    chain = chain_into("inspection")
    without = {name: size for name, size in chain.shape.items() if name != "twist_deg"}
    straight = inspected(Inspection(needs()), replace(chain, shape=without))
    assert not any("twist" in one.subject for one in straight.findings)
    twisted = inspected(Inspection(needs()), chain.changed(shape={"twist_deg": 1.5}))
    assert float(twisted.finding("twist_deg").value) == 1.5
    assert float(twisted.finding("twist_deviation_deg").value) > 0


def test_the_weakest_of_a_lot_is_weaker_than_that_of_a_sample() -> None:
    """Thousands of links show less than five, five less than one."""
    found = inspected(Inspection(needs()), chain_into("inspection"))
    lot, sample, one = (
        float(found.finding(name).value)
        for name in ("weakest_link_in_lot_kN", "weakest_link_in_sample_kN", "breaking_force_kN")
    )
    assert lot < sample < one


def test_the_card_of_the_calibrator_is_complete() -> None:
    """Force, links, rate, dwell, gauge and reject limits stand on the card, each checked."""
    place = demo().lines[0].job.route.place("calibrating")
    set_up = demo().lines[0].plan.settled.set_ups[place.key]
    for name in place.operation.card:
        assert name in set_up
    for one in set_up.settings:
        assert one.check, one.name
    gauge = float(set_up["no_load_gauge_mm"])
    assert gauge == pytest.approx(24.0 * float(set_up["links_per_stroke_count"]))


def test_chain_that_stretches_more_than_held_is_outside() -> None:
    """Soft chain sets more than the reject limit admits."""
    soft = run_with(demo(), "calibrating", nominal(demo()), tensile_strength_MPa=950.0)
    assert soft.finding("set_percent").verdict == "outside"


def test_a_stroke_must_hold_its_dwell() -> None:
    """A dwell that is longer than the stroke is outside."""
    step = run_with(demo(), "calibrating", nominal(demo()), dwell_s=20.0)
    assert step.finding("stroke_time_s").verdict == "outside"


@pytest.mark.parametrize("operation", ["calibrating", "inspection"])
def test_members_equal_single_runs(operation: str) -> None:
    """Findings over an array of strengths and exponents equal those one by one."""
    strengths, exponents = np.array([1150.0, 1250.0]), np.array([0.05, 0.08])

    def run(strength: Any, exponent: Any) -> Step:
        one = demo().lines[0]
        place = one.job.route.place(operation)
        chain = chain_into(operation, tensile_strength_MPa=strength, hardening_exponent=exponent,
                           yield_offset_strain=0.005)  # fmt: skip
        set_up = one.plan.settled.set_ups[place.key]
        return place.operation.run({MAIN: chain}, set_up, place.machine, nominal(demo()))

    together = run(strengths, exponents)
    for index in range(2):
        alone = run(float(strengths[index]), float(exponents[index]))
        for one in alone.findings:
            many = np.broadcast_to(together.finding(one.subject).value, 2)
            assert many[index] == pytest.approx(float(one.value), rel=1e-9), one.subject
