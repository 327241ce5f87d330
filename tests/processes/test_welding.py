"""The welding operation: solved settings, window, card, sizes of wire, limits of the standard."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import planned
import pytest
from planned import demo, finding, nominal, run_with, setting, with_settings

from linkwright.catalogue import ValidityWarning
from linkwright.processes.models.upset_welding import upset_weld_course, upset_weld_heating
from linkwright.processes.models.weld_window import first_reach
from linkwright.processes.welding import Welding
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Conditions, SetUp, Step
from linkwright.route.stock import Stock
from linkwright.works import demo_bytes, works_of_bytes

FACTORS = {factor.name: factor for factor in Welding.factors}
LOW_CARBON = {"C_percent": 0.09, "Si_percent": 0.1, "Mn_percent": 0.45, "P_percent": 0.015,
              "S_percent": 0.012, "Al_percent": 0.03}  # fmt: skip
ALLOYED = {"C_percent": 0.23, "Si_percent": 0.2, "Mn_percent": 1.25, "P_percent": 0.012,
           "S_percent": 0.008, "Ni_percent": 0.55, "Cr_percent": 0.5, "Mo_percent": 0.24,
           "Al_percent": 0.03}  # fmt: skip


def open_link(wire: float, analysis: dict[str, float], strength: float = 600.0) -> Stock:
    """An open link of short chain of a wire, pitch 3 d."""
    return Stock(
        "open link",
        "steel",
        {"wire_diameter_mm": wire, "lot_wire_diameter_mm": wire, "cut_length_mm": 10.7 * wire,
         "outer_width_mm": 3.35 * wire, "gap_mm": 0.15 * wire},
        {**analysis, "tensile_strength_MPa": strength},
        {"links": 1000.0},
    )  # fmt: skip


def welded(
    link: Stock, machine: Any, operation: Welding | None = None, **given: float
) -> tuple[SetUp, Step]:
    """The link set up and run on a welder, nominally."""
    operation, conditions = operation or Welding(), Conditions({}, FACTORS)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        set_up = operation.set_up({MAIN: link}, {}, machine, conditions, given)
        return set_up, operation.run({MAIN: link}, set_up, machine, conditions)


def welder(wire: float) -> Any:
    """The demo's welder for a wire."""
    machines = works_of_bytes(demo_bytes("works.toml"), "works.toml").machines_for("welding")
    fits = [one for one in machines if one.limits("wire_diameter_mm")[0] <= wire
            <= one.limits("wire_diameter_mm")[1]]  # fmt: skip
    return fits[0]


@pytest.mark.parametrize("analysis", [LOW_CARBON, ALLOYED], ids=["0.09 C", "0.23 C alloyed"])
@pytest.mark.parametrize("wire", [4.0, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0])
def test_every_wire_and_steel_is_welded_sound(wire: float, analysis: dict[str, float]) -> None:
    """From 4 to 20 mm one record a welder gives aim, upset and a set point inside the window."""
    set_up, step = welded(open_link(wire, analysis), welder(wire))
    reached = {one.subject: one for one in step.findings}
    # heat cycles are whole: nothing else keeps the current's solution from its aim
    assert float(reached["joint_temperature_degC"].value) == pytest.approx(1275.0, abs=2.0)
    assert float(reached["upset_reached_mm"].value) == pytest.approx(0.2 * wire, rel=0.01)
    assert all(one.verdict != "outside" for one in step.findings)
    assert float(reached["current_above_lack_of_fusion_percent"].value) > 2.0
    assert float(reached["current_below_expulsion_percent"].value) > 2.0
    assert all(one.reachable for one in set_up.settings)


def test_plausible_at_8_mm() -> None:
    """9 to 12 kA, 0.3 to 0.5 s, 2 to 3.5 kJ: a rough reckoning, no source; all met."""
    assert 9.0 < float(setting(demo(), "welding", "secondary_current_kA").value) < 12.0
    assert 0.3 < float(setting(demo(), "welding", "heat_cycles").value) / 50.0 < 0.5
    assert 2.0 < finding(demo(), "welding", "useful_heat_kJ") < 3.5


def test_visible_surface_lies_near_common_practice() -> None:
    """The wire between the electrodes is within 60 K of 927 °C (common practice, no source)."""
    assert finding(demo(), "welding", "visible_surface_temperature_degC") == pytest.approx(
        927.0, abs=60.0
    )
    edge = finding(demo(), "welding", "electrode_edge_temperature_degC")
    assert edge < 750.0


def test_force_found_just_reaches_the_stop() -> None:
    """Without the works' reserve of 25 % the upset ends at its stop, with less it stays short."""
    force = float(setting(demo(), "welding", "upset_force_kN").value) / 1.25
    stop = float(setting(demo(), "welding", "upset_length_mm").value)
    upset = {
        share: float(
            run_with(demo(), "welding", nominal(demo()), upset_force_kN=share * force)
            .finding("upset_reached_mm").value
        )
        for share in (0.9, 1.01)
    }  # fmt: skip
    assert upset[1.01] == pytest.approx(stop, rel=1e-3)
    assert upset[0.9] < 0.95 * stop


@pytest.mark.parametrize("edge", [0.985, 1.015])
def test_boundaries_of_the_window_are_where_they_are_said_to_be(edge: float) -> None:
    """Just inside a boundary the weld is sound, just outside it is not."""
    current = float(setting(demo(), "welding", "secondary_current_kA").value)
    below = finding(demo(), "welding", "current_above_lack_of_fusion_percent")
    above = finding(demo(), "welding", "current_below_expulsion_percent")
    cold = run_with(demo(), "welding", nominal(demo()),
                    secondary_current_kA=current * (1 - below / 100) * edge)  # fmt: skip
    hot = run_with(demo(), "welding", nominal(demo()),
                   secondary_current_kA=current * (1 + above / 100) * edge)  # fmt: skip
    fused = all(
        bool(cold.finding(name).met()) for name in ("joint_temperature_degC", "upset_reached_mm")
    )
    assert fused == (edge > 1.0)
    assert (float(hot.finding("expulsion_margin_K").value) > 0.0) == (edge < 1.0)


def test_expulsion_has_no_limit_until_it_is_learned() -> None:
    """The factor names its trial; given by the works file it gives the margin a limit."""
    margin = demo().lines[0].plan.steps["chain/welding"].finding("expulsion_margin_K")
    assert margin.verdict == "no limit given"
    factor = FACTORS["factor/welding/expulsion_temperature"]
    assert "currents" in factor.trial
    assert factor.spread >= 0.05
    more = (
        '\n[[factor]]\nname = "factor/welding/expulsion_temperature"\nmedian = 0.98\n'
        'spread = 0.01\nlearned_from = "trial"\nversion = 1\n'
    )
    from linkwright.services.planning import plan_order

    learned = plan_order(planned.order(), planned.works(more=more), ensemble=planned.FEW)
    found = learned.lines[0].plan.steps["chain/welding"].finding("expulsion_margin_K")
    assert found.verdict == "within"
    assert float(found.value) < float(margin.value)


def test_order_that_gives_current_and_temperature_has_the_time_solved() -> None:
    """Two of current, time and joint temperature are given, the third follows in whole cycles."""
    plan = with_settings(
        "welding.secondary_current_kA = 9.5\nwelding.joint_temperature_degC = 1275.0"
    )
    cycles = float(setting(plan, "welding", "heat_cycles").value)
    assert cycles == int(cycles)
    assert cycles > float(setting(demo(), "welding", "heat_cycles").value)
    assert finding(plan, "welding", "joint_temperature_degC") == pytest.approx(1275.0, abs=35.0)


def test_a_transformer_too_weak_is_named() -> None:
    """The needed voltage and that of the highest tap are told."""
    wire = 8.0
    weak = works_of_bytes(
        demo_bytes("works.toml").replace(
            b"greatest_tap_voltage_V       = 6.6", b"greatest_tap_voltage_V       = 2.5", 1
        ),
        "works.toml",
    ).machines_for("welding")[0]
    with pytest.raises(CannotPlan, match=r"cannot drive .* kA: .* V are needed"):
        welded(open_link(wire, ALLOYED), weak)


def test_card_is_complete() -> None:
    """Every name of the card stands in the set-up, with a check, numbers with a tolerance."""
    settings = demo().lines[0].plan.settled.set_ups["chain/welding"].settings
    assert {one.name for one in settings} >= set(Welding.card)
    for one in settings:
        assert one.check, one.name
        assert isinstance(one.value, str) or one.tolerance is not None, one.name


def test_limits_of_the_standard_are_optional() -> None:
    """Without needs the weld's sizes have no limit; with them they have the standard's."""
    names = ("weld_diameter_mm", "weld_affected_length_mm", "inner_width_at_weld_mm")
    planned_step = demo().lines[0].plan.steps["chain/welding"]
    _, alone = welded(open_link(8.0, ALLOYED), welder(8.0))
    for name in names:
        assert alone.finding(name).verdict == "no limit given"
        assert planned_step.finding(name).source.startswith("EN 818-2")


def test_shorter_weld_is_the_beginning_of_a_longer_one() -> None:
    """At a held current the course passes what a weld of that time reaches, within 5 K."""
    course = upset_weld_course(wire_diameter_mm=8.0, weld_time_s=0.56, secondary_current_kA=10.6)
    for time in (0.28, 0.4, 0.5):
        joint = upset_weld_heating(
            wire_diameter_mm=8.0, weld_time_s=time, secondary_current_kA=10.6
        )
        for name in course._fields[1:]:
            reached = np.interp(time, course.time_s, getattr(course, name))
            assert reached == pytest.approx(getattr(joint, name), abs=5.0)


def test_first_reach_finds_rows_apart() -> None:
    """Each row by itself; nan where a row never reaches, or begins above."""
    trial = np.array([1.0, 2.0, 3.0])
    rows = np.array([[0.0, 1.0, 2.0], [0.0, 0.1, 0.2], [5.0, 6.0, 7.0], [0.0, np.inf, np.inf]])
    found = first_reach(trial, rows, 1.5)
    assert found[0] == pytest.approx(2.5)
    assert np.isnan(found[1:3]).all()
    assert found[3] == 2.0


def test_window_is_made_only_when_it_is_wanted() -> None:
    """The step holds a function; the document holds lists that bracket the set point."""
    step = demo().lines[0].plan.steps["chain/welding"]
    assert all(callable(curve) for curve in step.curves.values())
    curves = next(one for one in planned.line()["steps"] if one["operation"] == "welding")["curves"]
    time, current = curves["window_set_time_s"], curves["window_set_current_kA"]
    low, high = (
        np.interp(time, curves["window_time_s"], curves[f"window_{name}_current_kA"])
        for name in ("heat", "expulsion")
    )
    assert low < current < high
    by_force = np.array(curves["window_force_upset_current_kA"], float)
    assert (np.diff(by_force) < 0.0).all()
