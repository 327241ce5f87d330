"""Rod that comes in: measured, prepared, enough of it, and its weak skin on the way."""

from __future__ import annotations

import numpy as np
import pytest
from planned import FEW, demo, finding, order, works

from linkwright.processes.models.rod import (
    coils_of_rod,
    decarburised_strength_share,
    drawn_depth,
)
from linkwright.services.planning import OrderPlan, plan_order

ROD = "coil_mass_kg         = 1900.0\n"


def planned_with(*replaced: tuple[str, str]) -> OrderPlan:
    """The demo order in works with texts replaced, few lots."""
    return plan_order(order(), works(*replaced), ensemble=FEW)


def test_the_need_is_held_against_the_stock() -> None:
    """Steel in tonnes, with what points and joints take; too little in store is outside."""
    found = demo().lines[0].plan.steps["wire/receiving"].finding("steel_needed_t")
    assert float(found.greatest) == 14.2
    assert found.verdict == "within"
    little = planned_with(("stock_t              = 14.2", "stock_t = 0.2"))
    found = little.lines[0].plan.steps["wire/receiving"].finding("steel_needed_t")
    assert found.verdict == "outside"
    assert not little.passes


def test_small_coils_have_joints_that_are_cut_out() -> None:
    """Three coils of 150 kg: two joints, each with its length, and more steel."""
    small = planned_with((ROD, "coil_mass_kg         = 150.0\n"))
    coils, joints = (finding(small, "receiving", name) for name in ("coils_count", "joints_count"))
    assert (coils, joints) == (3.0, 2.0)
    assert finding(small, "receiving", "rod_lost_m") == pytest.approx(2.0 * 1.0 + 3.0 * 1.5)
    assert finding(small, "receiving", "steel_needed_t") > finding(
        demo(), "receiving", "steel_needed_t"
    )


def test_every_coil_is_full_but_the_last() -> None:
    """One coil fewer would not hold what the order takes."""
    steel = np.array([100.0, 1000.0, 1001.0, 25000.0])
    made = coils_of_rod(
        steel_kg=steel, coil_mass_kg=1000.0, rod_diameter_mm=10.0, joint_loss_m=0.0,
        pointing_loss_m=0.0,
    )  # fmt: skip
    assert list(made.coils_count) == [1.0, 1.0, 2.0, 25.0]
    assert np.all(made.steel_kg == steel)


def test_acid_is_warned_of_and_not_the_usual_way() -> None:
    """Mechanical descaling by default; a works that pickles is told of hydrogen."""
    usual = demo().lines[0].plan
    assert "mechanical" in usual.settled.set_ups["wire/receiving"]["descaling"]
    assert not any("hydrogen" in one.danger for one in usual.steps["wire/receiving"].cautions)
    row = '[{ name = "descaling", value = "hydrochloric acid", check = "bath, each shift" }]'
    bath = planned_with(
        ('name            = "goods-in bench"\n', f'name = "goods-in bench"\ncard = {row}\n')
    ).lines[0].plan  # fmt: skip
    assert bath.settled.set_ups["wire/receiving"]["descaling"] == "hydrochloric acid"
    assert any("hydrogen" in one.danger for one in bath.steps["wire/receiving"].cautions)


def test_an_oval_rod_is_outside_the_works_own_limit() -> None:
    """Measured on the rod, judged by the bench."""
    oval = planned_with(("ovality_mm           = 0.15", "ovality_mm = 0.6"))
    found = oval.lines[0].plan.steps["wire/receiving"].finding("rod_ovality_mm")
    assert found.verdict == "outside"
    assert "goods-in bench" in found.source


def test_a_weak_skin_keeps_its_share_of_the_section() -> None:
    """Drawing thins it with the radius, so that its share of the section stays."""
    thin = drawn_depth(decarburised_depth_mm=0.2, start_diameter_mm=10.0, final_diameter_mm=6.0)
    assert thin / 6.0 == pytest.approx(0.2 / 10.0)
    for depth, wire in ((0.2, 10.0), (thin, 6.0)):
        share = decarburised_strength_share(
            decarburised_depth_mm=depth, wire_diameter_mm=wire, skin_strength_ratio=0.0
        )
        assert share == pytest.approx((1.0 - 0.04) ** 2)


def test_a_weak_skin_is_paid_by_a_harder_core() -> None:
    """The breaking force aimed at stays; the strength asked of the temper rises by the share."""
    plan = planned_with((ROD, ROD + "decarburised_depth_mm = 0.05\n"))
    depth = float(plan.lines[0].plan.steps["wire/drawing"].stock["decarburised_depth_mm"])
    wire = finding(plan, "drawing", "drawn_wire_diameter_mm")
    assert depth == pytest.approx(0.05 * wire / 8.5)
    share = decarburised_strength_share(decarburised_depth_mm=depth, wire_diameter_mm=wire)
    rise = finding(plan, "tempering", "tensile_strength_MPa") / finding(
        demo(), "tempering", "tensile_strength_MPa"
    )
    assert rise * share == pytest.approx(1.0, abs=0.003)
    force = [finding(one, "inspection", "breaking_force_kN") for one in (plan, demo())]
    assert force[0] == pytest.approx(force[1], rel=1e-4)


def test_what_was_measured_on_the_steel_is_no_part_of_its_analysis() -> None:
    """A reduction of area in per cent is no element; it limits the bend."""
    plan = planned_with((ROD, ROD + "reduction_of_area_percent = 30.0\n"))
    stock = plan.lines[0].plan.steps["wire/forming"].stock
    assert "reduction_of_area_percent" not in stock.analysis()
    assert "C_percent" in stock.analysis()
    found = plan.lines[0].plan.steps["wire/forming"].finding("outer_fibre_true_strain")
    assert float(found.greatest) == pytest.approx(-np.log(0.7) - float(stock["prestrain"]))
    assert found.verdict == "outside"
