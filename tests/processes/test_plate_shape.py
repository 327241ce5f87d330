"""Burr and flatness of link plates: laws there and back, bow against a beam, and the route."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from processes.furnace_stock import ENSEMBLE, conditions
from processes.plate_stock import coil, job, machine, operations, wanted

from linkwright.planning.plan import plan_line
from linkwright.processes.models.plate_shape import (
    blanking_bow,
    bow_of_strain,
    burr_after_tumbling,
    burr_of_tool,
    counterpad_for_bow,
    flatness_after_quench,
    strokes_to_burr,
    swing_room,
)
from linkwright.processes.plate_blanking import Blanking
from linkwright.processes.plate_tumbling import PlateTumbling
from linkwright.route import MAIN, settle, walk

TOOL = {"sharp_burr_um": 15.0, "burr_growth_um": 1.5, "plate_thickness_mm": 4.0,
        "measured_clearance_share": 0.06, "clearance_exponent": 0.7}  # fmt: skip


@cache
def _plan():
    return plan_line(job, ENSEMBLE)


@settings(derandomize=True, max_examples=30, deadline=None)
@given(burr=st.floats(30.0, 200.0), clearance=st.floats(0.05, 0.4))
def test_the_tool_is_ground_at_the_burr_it_was_asked_for(burr, clearance):
    tool = {**TOOL, "cutting_clearance_mm": clearance}
    strokes = strokes_to_burr(burr_height_um=burr, **tool)
    made = burr_of_tool(strokes=strokes, **tool)
    sharp = burr_of_tool(strokes=0.0, **tool)
    assert made == pytest.approx(max(burr, sharp), rel=1e-9)


def test_wear_and_a_wide_gap_raise_the_burr_and_the_barrel_takes_it():
    strokes, gap = np.meshgrid(np.linspace(0, 5e4, 5), np.linspace(0.1, 0.4, 5))
    burr = burr_of_tool(strokes=strokes, cutting_clearance_mm=gap, **TOOL)
    assert (np.diff(burr, axis=0) > 0).all()
    assert (np.diff(burr, axis=1) > 0).all()
    left = burr_after_tumbling(burr_height_um=burr, burr_loss_um_per_h=40.0, time_min=60.0)
    np.testing.assert_allclose(left, np.maximum(burr - 40.0, 0.0))


def test_the_bow_is_that_of_a_beam_under_even_moment():
    """Euler-Bernoulli: e = M t/(2 E I) at the faces, M L^2/(8 E I) in the middle.

    S. P. Timoshenko, Strength of Materials: a beam bent by couples at its ends.
    """
    E, width, thick, length, moment = 206e3, 20.0, 4.0, 46.0, 5e3
    inertia = width * thick**3 / 12
    strain = moment * thick / (2 * E * inertia)
    bow = bow_of_strain(
        face_strain_percent=100 * strain, plate_length_mm=length, plate_thickness_mm=thick
    )
    assert bow == pytest.approx(moment * length**2 / (8 * E * inertia))


@settings(derandomize=True, max_examples=30, deadline=None)
@given(aim=st.floats(0.0, 0.1), gap=st.floats(0.1, 0.5), plates=st.integers(1, 16))
def test_the_counterpad_leaves_the_bow_aimed_at(aim, gap, plates):
    press = {"contour_force_kN": 120.0, "flattening_share": 0.1}
    bent = {"free_bow_mm": 0.03, "cutting_clearance_mm": gap, "plate_thickness_mm": 4.0,
            "measured_clearance_share": 0.06, **press}  # fmt: skip
    free = blanking_bow(**bent)
    force = counterpad_for_bow(bow_without_mm=free, aimed_bow_mm=aim, plates=plates, **press)
    bow = blanking_bow(**bent, counterpad_force_kN=force, plates=plates)
    assert bow == pytest.approx(min(free, aim), abs=1e-12)


def test_bows_of_press_and_bath_add_as_their_squares():
    """Against the scatter of sums: two independent bows of either sign (seeded draws)."""
    draw = np.random.default_rng(1)
    both = 0.03 * draw.choice([-1, 1], 20000) + 0.04 * draw.choice([-1, 1], 20000)
    expected = np.sqrt(np.mean(both**2))
    assert flatness_after_quench(blanked_bow_mm=0.03, quench_bow_mm=0.04) == pytest.approx(
        expected, rel=0.01
    )


def test_true_plates_take_no_room():
    room = swing_room(opening_mm=25.8, inner_link_width_mm=25.2, inner_flatness_mm=0.0,
                      outer_flatness_mm=0.0, inner_burr_um=0.0)  # fmt: skip
    assert room.swing_room_mm == pytest.approx(0.6)
    assert room.taken_percent == 0.0


def test_the_route_keeps_burr_and_flatness_within():
    """The tool is ground at 45 um, 90 minutes of barrel take 60: none is left."""
    steps = _plan().steps
    blanked = steps["plate/blanking"]
    assert blanked.finding("burr_height_um").value == pytest.approx(45.0, rel=1e-3)
    assert steps["plate/plate_tumbling"].finding("burr_height_um").value == 0.0
    flat = steps["plate/plate_hardening"].finding("flatness_mm")
    assert flat.verdict == "within"
    assert flat.value > blanked.finding("blanked_bow_mm").value > 0.0
    for step, subject in ((blanked, "burr_height_um"), (blanked, "blanked_bow_mm")):
        assert step.finding(subject).verdict == "within", subject


def test_the_aim_of_the_bow_sets_the_counterpad():
    """A bow of 0.0004 of the length is left, and the stroke bears the counterpads too."""
    step, set_up = _plan().steps["plate/blanking"], _plan().settled.set_ups["plate/blanking"]
    assert step.stock["blanked_bow_mm"] == pytest.approx(
        0.0004 * step.stock["plate_length_mm"], rel=1e-3
    )
    plates = set_up["plates_per_stroke_count"]
    assert step.finding("stroke_force_kN").value == pytest.approx(
        plates * step.finding("plate_force_kN").value + set_up["counterpad_force_kN"]
    )


def test_a_tool_kept_too_long_and_a_slack_counterpad_are_outside():
    stocks = {MAIN: coil().changed("strip", shape={"strip_width_mm": 99.0, "slit_share": 0.95})}
    work, press = Blanking(), machine("blanking")
    given = {"regrind_interval_count": 60000.0, "counterpad_force_kN": 0.0}
    found = {}
    for name, settings_given in (("as solved", {}), ("as given", given)):
        set_up = work.set_up(stocks, wanted(), press, conditions(work), settings_given)
        found[name] = work.run(stocks, set_up, press.changed(greatest_bow_ratio=0.0005),
                               conditions(work))  # fmt: skip
    for subject in ("burr_height_um", "blanked_bow_mm"):
        assert found["as solved"].finding(subject).verdict == "within", subject
        assert found["as given"].finding(subject).verdict == "outside", subject
    hours = [found[name].use["machine_time_h"] for name in ("as solved", "as given")]
    assert hours[0] > hours[1], "grinding less often takes the press less time"


def test_a_short_time_in_the_barrel_leaves_a_burr_that_is_outside():
    plate = _plan().steps["plate/plate_tempering"].stock
    work, barrel = PlateTumbling(), machine("plate_tumbling")
    set_up = work.set_up({MAIN: plate}, wanted(), barrel, conditions(work),
                         {"tumbling_time_min": 15.0})  # fmt: skip
    left = work.run({MAIN: plate}, set_up, barrel, conditions(work)).finding("burr_height_um")
    assert left.value == pytest.approx(45.0 - 10.0, rel=1e-3)
    assert left.verdict == "outside"


def test_lots_differ_in_burr_and_flatness():
    work, route = operations(), job().route
    settled = settle(route, wanted(), conditions(*work), {})
    steps = walk(route, settled.set_ups, conditions(*work, ensemble=ENSEMBLE))
    for key, subject in (("plate/blanking", "burr_height_um"),
                         ("plate/plate_hardening", "flatness_mm")):  # fmt: skip
        assert np.std(steps[key].finding(subject).value) > 0.0, subject
