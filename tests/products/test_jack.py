"""Jack chain as a plan: 2 000 m of lamp chain No. 12 in an invented works."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from linkwright.planning.document import line_document
from linkwright.planning.draws import single
from linkwright.planning.plan import LinePlan
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.route import MAIN, walk

Planned = Callable[..., tuple[LinePlan, Any]]
LIMIT = "least_opening_force_no_12_N = 380.0 # this works' own limit for lamp chain"


def test_no_12_is_planned(planned: Planned) -> None:
    """It settles, every finding is within its limits, and nearly all lots pass."""
    plan, _ = planned(lots=512)
    assert plan.settled.rounds == 1
    assert plan.verdict == "within"
    assert 0.99 < plan.chance.chance < 1.0
    assert plan.chance.error < 0.002


def test_no_number_of_the_plan_is_left_without_source(planned: Planned) -> None:
    """Each opens down to a line of the file, a table or a calculation."""
    plan, _ = planned()
    assert [e.id for e in plan.derivation.entries.values() if e.kind == "bare"] == []
    document = line_document(plan)
    assert {step["operation"] for step in document["steps"]} >= {"drawing", "packing"}


def test_a_member_alone_is_the_member_of_the_ensemble(planned: Planned) -> None:
    """32 members, the ends of the ranges among them, to 1e-9."""
    plan, job = planned(lots=64)
    columns = list(plan.members.draws.values())
    lots = {int(f(draw[:, 0])) for draw in columns for f in (np.argmin, np.argmax)}
    for lot in sorted(lots)[:32]:
        link = lot % plan.ensemble.links
        alone = walk(job.route, plan.settled.set_ups, single(plan.members, lot, link))
        for step in alone.values():
            for found in step.findings:
                kept = plan.results[found.subject]
                kept = np.broadcast_to(kept, (plan.ensemble.lots, plan.ensemble.links))
                value = float(np.asarray(found.value).reshape(-1)[0])
                assert value == pytest.approx(kept[lot, link], rel=1e-9, abs=1e-12), found.subject


@pytest.mark.parametrize("size", [str(number) for number in range(6, 17)])
def test_other_gauges_are_planned_too(planned: Planned, size: str) -> None:
    """No. 6 to 16: rod drawn in 1 to 11 passes, all within their limits."""
    plan, _ = planned(size, lots=32)
    assert plan.verdict == "within"
    assert plan.chance.chance > 0.98
    assert [e.id for e in plan.derivation.entries.values() if e.kind == "bare"] == []
    packed = plan.steps["chain/packing"].stock
    assert packed["ordered_length_m"] <= packed["packages"] * packed["package_length_m"]


def test_what_comes_out_is_what_was_wanted(planned: Planned) -> None:
    """Wire, eye, gap and pitch of the nominal link are the works' ratios to gauge 12."""
    plan, _ = planned()
    inspected = plan.steps["chain/jack_inspection"]
    wire = 25.4 * 0.1055
    expected = {
        "wire_diameter_mm": wire,
        "pitch_mm": 8.0 * wire,
        "first_eye_inner_diameter_mm": 2.35 * wire,
        "second_gap_ratio": 0.2,
    }
    for subject, value in expected.items():
        assert float(inspected.finding(subject).value) == pytest.approx(value, rel=1e-6)


def test_metal_is_kept(planned: Planned) -> None:
    """Links times their mass is the mass of the wire; what is packed is that less test pieces."""
    plan, _ = planned()
    steps = plan.steps
    piece = float(steps["wire/jack_cutting"].finding("piece_mass_kg").value)
    stock = steps["chain/packing"].stock
    assert piece * float(stock["links"]) == pytest.approx(float(stock["steel_kg"]), rel=1e-9)
    net = float(steps["chain/packing"].finding("net_mass_kg").value)
    assert net == pytest.approx(float(stock["steel_kg"]) / 1.01, rel=1e-4)


def test_every_step_says_that_it_is_not_for_lifting(planned: Planned) -> None:
    """A caution on each step, and a clause of the product."""
    plan, job = planned()
    for key, step in plan.steps.items():
        assert any("not for lifting" in one.danger for one in step.cautions), key
    assert "not for lifting" in job.clauses["use"].text


def test_each_requirement_is_named_as_the_works_own(planned: Planned) -> None:
    """No standard of jack chain is held, and the sources say so."""
    _, job = planned()
    assert {"pitch_mm", "first_gap_ratio", "opening_force_N"} <= {
        need.subject for need in job.requirements
    }
    for need in job.requirements:
        assert "works' own limit, no standard held" in need.source


def test_the_opening_force_has_no_limit_where_the_works_gives_none(planned: Planned) -> None:
    """The limit of No. 12 is not that of No. 10; without one the finding says so."""
    for plan, job in (planned("10", lots=32), planned(edit=((LIMIT, ""),))):
        found = plan.steps["chain/jack_inspection"].finding("opening_force_N")
        assert found.verdict == "no limit given"
        assert "opening_force_N" not in {need.subject for need in job.requirements}


def test_a_gap_as_wide_as_the_wire_is_outside(planned: Planned) -> None:
    """Aiming at too wide a gap is found at forming and at the bench."""
    plan, _ = planned(edit=(("jack_gap_ratio          = 0.2", "jack_gap_ratio          = 1.05"),))
    assert plan.steps["chain/jack_forming"].finding("formed_first_gap_ratio").verdict == "outside"
    assert plan.steps["chain/jack_inspection"].finding("first_gap_ratio").verdict == "outside"
    assert float(plan.steps["chain/jack_inspection"].finding("opening_force_N").value) == 0.0


def test_the_factor_of_the_opening_force_decides_most(planned: Planned) -> None:
    """What the works has not learned yet shows first among the influences."""
    plan, _ = planned()
    name, share, _ = plan.influences["opening_force_N"].shares[0]
    assert name == "factor/jack_inspection/opening_force"
    assert share > 0.5


def test_a_given_finger_moves_the_gap(planned: Planned) -> None:
    """A setting fixed by the order is taken as it stands; the link shows what it does."""
    plan, _ = planned(given=(("jack_forming", "finger_radius_mm", 3.15),))
    assert plan.settled.set_ups["chain/jack_forming"]["finger_radius_mm"] == 3.15
    wanted, _ = planned()
    key, subject = "chain/jack_inspection", "first_gap_ratio"
    assert plan.steps[key].finding(subject).value > wanted.steps[key].finding(subject).value


def test_steel_with_too_much_carbon_is_refused(planned: Planned) -> None:
    """The sentence names the steel, its carbon and the works' limit."""
    with pytest.raises(CannotPlan, match=r"rod 8.5 has 0.23 % C, at most 0.12 %"):
        planned(steel="rod 8.5")


def test_a_gauge_thicker_than_any_rod_is_refused(planned: Planned) -> None:
    """No. 2 needs 6.67 mm wire."""
    with pytest.raises(CannotPlan, match=r"rod 5.5 low carbon \(5.5 mm\) is too thin"):
        planned("2")


def test_a_number_that_is_no_gauge_is_refused(planned: Planned) -> None:
    """The message lists the gauge."""
    with pytest.raises(ArgumentError, match="7/0 to 2/0, 0 to 20"):
        planned("40")


def test_a_works_without_a_packing_bench_says_so(planned: Planned) -> None:
    """The missing operation is named."""
    with pytest.raises(CannotPlan, match="no machine for packing"):
        planned(edit=(('operation       = "packing"', 'operation       = "marking"'),))


def test_wire_bought_at_its_size_is_not_drawn(planned: Planned) -> None:
    """Annealed wire of 2.69 mm goes straight to the machine and gives softer eyes."""
    bought = (
        (
            'form                 = "rod"\ngrade                = "low',
            'form = "wire"\ngrade = "low',
        ),
        ("diameter_mm          = 5.5\n", "diameter_mm          = 2.69\n"),
    )
    plan, job = planned(edit=bought)
    assert "wire/drawing" not in plan.steps
    assert job.route.places[1].feeds == {MAIN: "wire/receiving"}
    assert [e.id for e in plan.derivation.entries.values() if e.kind == "bare"] == []
    drawn, _ = planned()
    key = "chain/jack_inspection"
    soft = float(plan.steps[key].finding("opening_force_N").value)
    assert soft < 0.8 * float(drawn.steps[key].finding("opening_force_N").value)


def test_the_opening_force_carries_the_load_of_the_trade_with_something_to_spare(
    planned: Planned,
) -> None:
    """A dealer's data sheet (2018) lists 29 lbf as the load of No. 12: about a fourth of ours."""
    plan, _ = planned()
    force = float(plan.steps["chain/jack_inspection"].finding("opening_force_N").value)
    assert 2.0 < force / (29.0 * 4.4482216) < 6.0
