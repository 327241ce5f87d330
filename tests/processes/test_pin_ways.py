"""Sheared, cottered and annealed pins in a whole strand: routes, findings, what must not change."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from linkwright.planning.plan import nominal
from linkwright.processes.case_hardening import CaseHardening
from linkwright.quantities import CannotPlan
from linkwright.route import Conditions, Step
from linkwright.services.as_ordered import MachineAsOrdered
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.works import demo_works
from linkwright.works.order import order_of_bytes

RIVETED, COTTERED, ANNEALED = '["rivets"]', '["shearing", "cotters"]', '["end annealing"]'


@cache
def _job(work: str, size: str = "16B") -> Any:
    text = (
        '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n'
        f'[[line]]\nproduct = "roller"\nstandard = "ISO 606"\nsize = "{size}"\n'
        f'length = "300 m"\npin_work = {work}\n'
    )
    works, line = demo_works(), order_of_bytes(text.encode(), "order.toml").lines[0]
    return job_to_plan(line, works, chain_job(line, works, machines_of(line, works)))


@cache
def _settled(work: str) -> Any:
    return nominal(lambda: _job(work))


def _value(work: str, key: str, subject: str) -> float:
    return float(_settled(work).steps[key].finding(subject).value)


def _pins(work: str) -> list[str]:
    return [key.split("/")[1] for key in _settled(work).steps if key.startswith("pin/")]


def _run(work: str, key: str, machine: Any = None, conditions: Any = None, **shape: float) -> Step:
    """An operation of a settled strand once more, with some sizes of its stock otherwise."""
    job, settled = _job(work), _settled(work)
    place = next(one for one in job.route.places if one.key == key)
    stocks = job.route.stocks(place, {name: step.stock for name, step in settled.steps.items()})
    if shape:
        stocks = {feed: stock.changed(shape=shape) for feed, stock in stocks.items()}
    held = place.machine if machine is None else MachineAsOrdered(place.machine, machine)
    return place.operation.run(stocks, settled.set_ups[key], held, conditions or job.conditions)


def test_routes_of_pins():
    rest = ["pin_grinding", "part_washing"]
    assert _pins(RIVETED) == ["receiving", "pin_cutting", "pin_turning", "case_hardening", *rest]
    assert _pins(COTTERED) == [
        "receiving", "pin_shearing", "pin_turning", "pin_drilling", "case_hardening", *rest,
    ]  # fmt: skip
    assert _pins(ANNEALED) == [
        "receiving", "pin_cutting", "pin_turning", "case_hardening", "end_annealing", *rest,
    ]  # fmt: skip
    assert "chain/cottering" in _settled(COTTERED).steps


@pytest.mark.parametrize("work", [COTTERED, ANNEALED])
def test_the_demo_works_meets_every_limit(work):
    bad = [
        (key, one.subject)
        for key, step in _settled(work).steps.items()
        for one in step.findings
        if one.verdict == "outside"
    ]
    assert bad == []


@pytest.mark.parametrize("work", [COTTERED, ANNEALED])
def test_cards_show_all_that_they_must(work):
    for key, set_up in _settled(work).set_ups.items():
        assert [name for name in set_up.card if name not in set_up] == [], key


# ------------------------------------------------------------------ cotters


def test_a_cottered_strand_breaks_where_a_riveted_one_breaks():
    """The cotter bears none of the pull: plates and pins are the same."""
    key, subject = "chain/roller_inspection", "breaking_force_kN"
    assert _value(COTTERED, key, subject) == pytest.approx(_value(RIVETED, key, subject), rel=1e-6)


def test_a_cottered_pin_is_longer_by_its_end_within_b7_of_iso_606():
    longer = _value(COTTERED, "pin/pin_turning", "pin_length_mm") - _value(
        RIVETED, "pin/pin_turning", "pin_length_mm"
    )
    found = _settled(COTTERED).steps["chain/cottering"].finding("fastener_projection_mm")
    assert longer == pytest.approx(float(found.value))
    assert 0.0 < longer < float(found.greatest) == 5.4  # b7 of 16B, ISO 606:2004, memory


def test_cotters_make_a_metre_heavier_and_have_a_mass_to_be_priced():
    step = _settled(COTTERED).steps["chain/cottering"]
    before = _value(COTTERED, "chain/assembly", "chain_mass_kg_per_m")
    one = float(step.use["cotters_kg"]) / float(step.finding("cotters_count").value)
    hole = 7850e-9 * np.pi / 4.0 * 2.5**2 * 8.28
    after = float(step.finding("chain_mass_kg_per_m").value)
    assert after - before == pytest.approx((one - hole) / 0.0254, rel=1e-3)


def test_the_size_is_that_of_iso_1234_for_the_pin():
    settings = _settled(COTTERED).set_ups
    assert settings["pin/pin_drilling"]["hole_diameter_mm"] == 2.5  # pins of 8 to 9 mm
    assert settings["chain/cottering"]["cotter_hole_mm"] == 2.5


@pytest.mark.parametrize(
    ("shape", "subject"),
    [({"hole_from_end_mm": 4.3}, "hole_clearance_mm"),
     ({"hole_from_end_mm": 1.26}, "pin_end_ratio")],
)  # fmt: skip
def test_a_hole_at_the_wrong_place_is_found(shape, subject):
    """Too near the plate the cotter does not go in; at the rim the pin's end tears out."""
    assert _run(COTTERED, "chain/cottering").finding(subject).verdict == "within"
    assert _run(COTTERED, "chain/cottering", **shape).finding(subject).verdict == "outside"


def test_a_hole_drilled_too_wide_or_too_narrow_is_outside_h14():
    def verdict(change: float) -> str:
        name = "lot/pin/pin_drilling/hole_diameter_mm"
        scatter = _job(COTTERED).conditions.scatter
        draws = {name: np.array([[change / scatter[name].sd]])}
        drawn = Conditions(scatter, _job(COTTERED).conditions.factors, draws)
        return _member(_run(COTTERED, "pin/pin_drilling", conditions=drawn), "hole_diameter_mm")

    assert [verdict(change) for change in (0.0, 0.26, -0.21)] == ["in", "out", "out"]


def _member(step: Step, subject: str) -> str:
    return "in" if bool(np.all(step.finding(subject).met())) else "out"


# ------------------------------------------------------------------ shearing


def test_turning_takes_off_what_the_knives_left_askew():
    face = _value(COTTERED, "pin/pin_shearing", "end_out_of_square_mm")
    settings = _settled(COTTERED).set_ups
    allowance = float(settings["pin/pin_turning"]["end_allowance_mm"])
    facing = float(settings["pin/pin_turning"]["facing_mm"])
    assert allowance == pytest.approx(facing + face)
    cut = float(settings["pin/pin_shearing"]["cut_length_mm"])
    assert cut - _value(COTTERED, "pin/pin_turning", "pin_length_mm") == pytest.approx(
        2.0 * allowance
    )
    assert _value(COTTERED, "pin/pin_turning", "face_room_mm") == pytest.approx(facing)
    assert "end_allowance_mm" not in settings["pin/case_hardening"]
    assert "end_allowance_mm" not in _settled(RIVETED).set_ups["pin/pin_turning"]


def test_a_face_more_askew_than_was_allowed_stays_black():
    usual = _run(COTTERED, "pin/pin_turning")
    black = _run(COTTERED, "pin/pin_turning", end_out_of_square_mm=0.6)
    assert usual.finding("face_room_mm").verdict == "within"
    assert black.finding("face_room_mm").verdict == "outside"


def test_shears_waste_less_bar_than_saws_and_are_faster():
    assert _value(COTTERED, "pin/pin_shearing", "bar_used_share") > _value(
        RIVETED, "pin/pin_cutting", "bar_used_share"
    )


@pytest.mark.parametrize(
    ("machine", "subject"),
    [({"greatest_shear_force_kN": 20.0}, "shear_force_kN"),
     ({"stroke_work_J": 50.0}, "shear_work_J"),
     ({"flattening_ratio": 0.02}, "end_flattening_mm"),
     ({"least_bar_strength_MPa": 640.0}, "bar_strength_MPa"),
     ({"least_length_over_diameter_ratio": 5.0}, "length_over_diameter_ratio")],
)  # fmt: skip
def test_shears_too_weak_or_pins_too_short_are_found(machine, subject):
    found = _run(COTTERED, "pin/pin_shearing", machine).finding(subject)
    assert found.verdict == "outside"


# ------------------------------------------------------------------ annealed ends


def test_annealed_pins_are_hardened_without_paste():
    said = {
        work: str(_settled(work).set_ups["pin/case_hardening"]["end_protection"])
        for work in (RIVETED, ANNEALED)
    }
    assert "paste" in said[RIVETED]
    assert said[ANNEALED].startswith("none")
    assert CaseHardening("pin").annealed is False


def test_heads_are_upset_at_the_strength_of_the_annealed_end():
    stock = _settled(ANNEALED).steps["pin/end_annealing"].stock
    ratio = float(stock["end_yield_strength_MPa"]) / float(stock["yield_strength_MPa"])
    force = _value(ANNEALED, "chain/assembly", "rivet_force_kN") / _value(
        RIVETED, "chain/assembly", "rivet_force_kN"
    )
    assert force == pytest.approx(ratio, rel=1e-3)


def test_the_pin_s_own_strength_is_left_to_its_core():
    key, subject = "chain/roller_inspection", "pins_force_kN"
    assert _value(ANNEALED, key, subject) == pytest.approx(_value(RIVETED, key, subject), rel=1e-6)


@pytest.mark.parametrize(
    ("machine", "subject"),
    [({"greatest_end_HV": 420.0}, "end_case_hardness_HV"),
     ({"hard_HV": 725.0, "least_hard_in_plate_percent": 60.0}, "hard_in_plate_percent"),
     ({"ac1_margin_K": 30.0}, "end_peak_degC"),
     ({"warm_time_min": 240.0}, "pin_temperature_degC")],
)  # fmt: skip
def test_limits_of_annealing_can_be_missed(machine, subject):
    assert _run(ANNEALED, "pin/end_annealing").finding(subject).verdict in ("within", "close")
    assert _run(ANNEALED, "pin/end_annealing", machine).finding(subject).verdict == "outside"


def test_members_of_annealing_are_single_runs_and_the_middle_is_the_nominal():
    job = _job(ANNEALED)
    names = ("lot/pin/end_annealing/end_power_kW", "link/pin/end_annealing/coil_offset_mm")
    factor = "factor/end_annealing/end_hardness"
    rng = np.random.default_rng(7)
    draws = {names[0]: rng.normal(size=(4, 1)), names[1]: rng.normal(size=(4, 3)),
             factor: rng.normal(size=(4, 1))}  # fmt: skip
    draws[names[0]][0] = draws[names[1]][0] = draws[factor][0] = 0.0

    def run(some: dict[str, np.ndarray]) -> Step:
        conditions = Conditions(job.conditions.scatter, job.conditions.factors, some)
        return _run(ANNEALED, "pin/end_annealing", conditions=conditions)

    many, nominal_step = run(draws), _settled(ANNEALED).steps["pin/end_annealing"]
    for one in many.findings:
        whole = np.broadcast_to(np.asarray(one.value, float), (4, 3))
        assert whole[0] == pytest.approx(
            np.full(3, float(nominal_step.finding(one.subject).value)), rel=1e-9
        )
        for i in range(1, 4):
            single = run({key: value[i : i + 1, :1] for key, value in draws.items()})
            value = np.asarray(single.finding(one.subject).value, float).reshape(-1)[0]
            assert whole[i, 0] == pytest.approx(value, rel=1e-9), one.subject


def test_cottered_ends_are_not_annealed():
    """The hole is drilled before the pin is hardened and would be hard inside."""
    text = (
        '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n'
        '[[line]]\nproduct = "roller"\nstandard = "ISO 606"\nsize = "16B"\nlength = "9 m"\n'
        'pin_work = ["cotters"]\n'
    )
    works, line = demo_works(), order_of_bytes(text.encode(), "order.toml").lines[0]
    machines = machines_of(line, works)
    bare: Any = {**machines, "case_hardening": _without_card(machines["case_hardening"])}
    with pytest.raises(CannotPlan, match="hole"):
        chain_job(line, works, bare)


def _without_card(machine: Any) -> Any:
    class NoCard(MachineAsOrdered):
        @property
        def card(self) -> Any:
            return ()

    return NoCard(machine, {})  # type: ignore[arg-type]
