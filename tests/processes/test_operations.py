"""What holds for every operation of the demo route, whatever its settings are."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import planned
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from planned import demo, nominal, run_with

from linkwright.route import MAIN, Step

FEW = settings(derandomize=True, max_examples=12, deadline=None)


def run(operation: str, **changed: Any) -> Step:
    """An operation of the demo, run nominally with something changed."""
    return run_with(demo(), operation, nominal(demo()), **changed)


def found(operation: str, subject: str, **changed: Any) -> float:
    """One finding of that run."""
    return float(run(operation, **changed).finding(subject).value)


OPERATIONS = (
    "receiving", "drawing", "straightening", "cutting", "forming", "welding", "hardening",
    "quenching", "tempering", "calibrating", "marking", "inspection", "packing",
)  # fmt: skip


def test_all_operations_of_the_route_are_looked_at() -> None:
    """The list of these tests is that of the route."""
    assert tuple(one.operation.name for one in demo().lines[0].job.route.places) == OPERATIONS


@pytest.mark.parametrize("operation", OPERATIONS)
def test_a_run_decides_nothing(operation: str) -> None:
    """The same settings and stock give the same step; settings are neither read nor changed."""
    once, again = run(operation), run(operation)
    assert [(f.subject, float(f.value)) for f in once.findings] == [
        (f.subject, float(f.value)) for f in again.findings
    ]
    planned_step = demo().lines[0].plan.steps[demo().lines[0].job.route.place(operation).key]
    assert [float(f.value) for f in once.findings] == [
        pytest.approx(float(f.value), rel=1e-12) for f in planned_step.findings
    ]


@pytest.mark.parametrize("operation", OPERATIONS)
def test_every_step_has_a_caution_with_a_guard(operation: str) -> None:
    """What can hurt someone stands with the guard to be proven before start."""
    cautions = run(operation).cautions
    assert cautions
    assert all(len(one.danger) > 10 and len(one.guard) > 10 for one in cautions)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_findings_are_finite_and_named_once(operation: str) -> None:
    """Every subject stands once in a step, with a finite value."""
    findings = run(operation).findings
    assert len({one.subject for one in findings}) == len(findings)
    assert all(math.isfinite(float(one.value)) for one in findings)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_limits_have_a_source(operation: str) -> None:
    """A finding with a limit says where the limit stands."""
    for one in run(operation).findings:
        if one.least is not None or one.greatest is not None:
            assert one.source, one.subject


@pytest.mark.parametrize("operation", OPERATIONS)
def test_use_is_finite_and_not_negative(operation: str) -> None:
    """No step gives energy, time or metal back."""
    for name, amount in run(operation).use.items():
        assert 0.0 <= float(amount) < math.inf, name


@pytest.mark.parametrize("operation", OPERATIONS)
def test_what_is_asked_of_the_feed_is_finite_and_positive(operation: str) -> None:
    """Asking with nothing near gives sizes and properties that can exist."""
    one = demo().lines[0]
    place = one.job.route.place(operation)
    wanted = one.plan.settled.wanted[place.key]
    asked = place.operation.ask(wanted, None, place.machine, nominal(demo()))
    for name, value in asked.get(MAIN, {}).items():
        assert 0.0 < float(value) < math.inf, name


@FEW
@given(die=st.floats(7.4, 8.4))
def test_drawing_keeps_the_volume(die: float) -> None:
    """Area times speed is the same before and after, whatever the die."""
    step = run("drawing", die_diameter_mm=die)
    rod = 8.5
    assert float(step.finding("reduction").value) == pytest.approx(1 - (die / rod) ** 2, rel=1e-9)
    balance = demo().lines[0].plan.settled.set_ups["wire/drawing"]
    out = float(balance["drawing_speed_m_per_s"])
    # the finding that carries a speed is the drum's power: force times exit speed
    force, power = (float(step.finding(name).value) for name in
                    ("drawing_force_N", "drum_power_kW"))  # fmt: skip
    least = force * out / 1e3
    assert power > least * 0.999


@FEW
@given(die=st.floats(7.5, 8.35), less=st.floats(0.02, 0.2))
def test_a_smaller_die_pulls_harder_and_strengthens_more(die: float, less: float) -> None:
    """Stress, temperature rise and strength of the wire grow with the reduction."""
    thick, thin = run("drawing", die_diameter_mm=die), run("drawing", die_diameter_mm=die - less)
    for subject in ("drawing_stress_MPa", "drawing_stress_siebel_MPa", "wire_temperature_rise_K"):
        assert float(thin.finding(subject).value) > float(thick.finding(subject).value)
    assert float(thin.stock["tensile_strength_MPa"]) > float(thick.stock["tensile_strength_MPa"])
    assert float(thin.stock["yield_MPa"]) > float(thick.stock["yield_MPa"])


@FEW
@given(length=st.floats(60.0, 120.0), wire=st.floats(6.0, 10.0))
def test_a_piece_has_the_mass_of_its_metal(length: float, wire: float) -> None:
    """Area times length times density: cutting and forming lose nothing."""
    mass = found("cutting", "piece_mass_kg", cut_length_mm=length, wire_diameter_mm=wire)
    assert mass == pytest.approx(math.pi / 4 * wire**2 * length * 7850e-9, rel=1e-9)
    formed = run("forming", cut_length_mm=length, wire_diameter_mm=wire).stock
    assert float(formed["cut_length_mm"]) == length
    assert float(formed["wire_diameter_mm"]) == wire


@FEW
@given(finger=st.floats(4.5, 6.5), more=st.floats(0.05, 0.5))
def test_a_greater_finger_makes_a_wider_link_with_less_strain(finger: float, more: float) -> None:
    """Width grows by more than twice the radius, for springback grows with it."""
    small, great = run("forming", finger_radius_mm=finger), run("forming",
                       finger_radius_mm=finger + more)  # fmt: skip
    width = [float(one.finding("formed_outer_width_mm").value) for one in (small, great)]
    assert width[1] - width[0] > 2 * more
    strain = [float(one.finding("outer_fibre_true_strain").value) for one in (small, great)]
    assert strain[1] < strain[0]


@FEW
@given(upset=st.floats(1.3, 1.7), more=st.floats(0.05, 0.3))
def test_a_longer_upset_shortens_the_link(upset: float, more: float) -> None:
    """The centreline loses what is upset; the pitch half of it."""
    short, long = (run("welding", upset_length_mm=one) for one in (upset + more, upset))
    lost = [float(one.stock["centreline_length_mm"]) for one in (short, long)]
    pitch = [float(one.stock["pitch_mm"]) for one in (short, long)]
    assert lost[1] - lost[0] == pytest.approx(more, rel=1e-6)
    assert pitch[1] - pitch[0] == pytest.approx(more / 2, rel=1e-6)


@settings(derandomize=True, max_examples=5, deadline=None)
@given(current=st.floats(8.5, 11.0), more=st.floats(0.1, 0.6))
def test_more_current_heats_the_joint_more(current: float, more: float) -> None:
    """Joint, surface and heat rise with the current."""
    cool, hot = (run("welding", secondary_current_kA=one) for one in (current, current + more))
    for subject in ("joint_temperature_degC", "visible_surface_temperature_degC", "useful_heat_kJ"):
        assert float(hot.finding(subject).value) > float(cool.finding(subject).value)


@FEW
@given(current=st.floats(1200.0, 1500.0), more=st.floats(10.0, 100.0))
def test_more_coil_current_heats_every_zone_more(current: float, more: float) -> None:
    """Straight, crown and contact, and the power that it takes."""
    cool, hot = (run("hardening", coil_current_A=one) for one in (current, current + more))
    for subject in ("straight_temperature_degC", "crown_temperature_degC",
                    "contact_temperature_degC", "metal_power_kW"):  # fmt: skip
        assert float(hot.finding(subject).value) > float(cool.finding(subject).value)


@FEW
@given(speed=st.floats(0.09, 0.11), more=st.floats(0.001, 0.02))
def test_a_faster_line_is_colder(speed: float, more: float) -> None:
    """Less time in the coil, less heat."""
    slow, fast = (run("hardening", line_speed_m_per_s=one) for one in (speed, speed + more))
    assert float(fast.finding("time_in_coil_s").value) < float(slow.finding("time_in_coil_s").value)
    assert float(fast.finding("coldest_temperature_degC").value) < float(
        slow.finding("coldest_temperature_degC").value
    )


@FEW
@given(flow=st.floats(40.0, 250.0), more=st.floats(1.0, 100.0))
def test_more_water_never_cools_slower(flow: float, more: float) -> None:
    """At no zone and no place, and the chain leaves the ring no hotter."""
    little, much = (run("quenching", water_flow_l_per_min=one) for one in (flow, flow + more))
    for subject in ("slowest_cooling_rate_K_per_s", "straight_centre_cooling_rate_K_per_s"):
        assert float(much.finding(subject).value) >= float(little.finding(subject).value)
    assert float(much.finding("ring_exit_temperature_degC").value) <= float(
        little.finding("ring_exit_temperature_degC").value
    )
    harder = np.asarray(much.stock["martensite_fraction"]) - little.stock["martensite_fraction"]
    assert np.all(harder >= -1e-12)


@FEW
@given(water=st.floats(12.0, 35.0), more=st.floats(0.5, 20.0))
def test_warmer_water_never_cools_faster(water: float, more: float) -> None:
    """The rate at the slowest place falls, or stays."""
    cold, warm = (found("quenching", "slowest_cooling_rate_K_per_s", water_temperature_degC=one)
                  for one in (water, water + more))  # fmt: skip
    assert warm <= cold


@FEW
@given(current=st.floats(950.0, 1200.0), more=st.floats(5.0, 60.0))
def test_hardness_falls_as_the_temper_rises(current: float, more: float) -> None:
    """Every zone is softer, and so the link weaker, and the temper of the standard nearer."""
    low, high = (run("tempering", coil_current_A=one) for one in (current, current + more))
    assert float(high.finding("temper_temperature_degC").value) > float(
        low.finding("temper_temperature_degC").value
    )
    for subject in ("straight_hardness_HV", "crown_hardness_HV", "contact_hardness_HV",
                    "hardness_HV", "tensile_strength_MPa"):  # fmt: skip
        assert float(high.finding(subject).value) < float(low.finding(subject).value)
    assert float(high.finding("one_hour_equivalent_degC").value) > float(
        low.finding("one_hour_equivalent_degC").value
    )


@FEW
@given(force=st.floats(46.0, 60.0), more=st.floats(0.2, 5.0))
def test_a_greater_proof_force_makes_a_longer_pitch(force: float, more: float) -> None:
    """The set grows with the force."""
    less, great = (run("calibrating", force_kN=one) for one in (force, force + more))
    assert float(great.stock["pitch_mm"]) > float(less.stock["pitch_mm"])
    assert float(great.finding("force_over_breaking_ratio").value) > float(
        less.finding("force_over_breaking_ratio").value
    )


@FEW
@given(strength=st.floats(1050.0, 1400.0), more=st.floats(5.0, 100.0))
def test_a_stronger_link_breaks_at_more_and_sets_less(strength: float, more: float) -> None:
    """Breaking force grows with the tensile strength; the set falls."""
    weak, strong = (found("inspection", "breaking_force_kN", tensile_strength_MPa=one)
                    for one in (strength, strength + more))  # fmt: skip
    assert strong > weak
    soft, hard = (found("calibrating", "permanent_set_mm", tensile_strength_MPa=one)
                  for one in (strength, strength + more))  # fmt: skip
    assert hard < soft


@FEW
@given(wire=st.floats(7.8, 8.2), more=st.floats(0.02, 0.2))
def test_a_thicker_link_breaks_at_more(wire: float, more: float) -> None:
    """Within one per cent as the area: F/d^2 is flat here, its top lies near 8.13 mm."""
    thin, thick = (found("inspection", "breaking_force_kN", wire_diameter_mm=one)
                   for one in (wire, wire + more))  # fmt: skip
    assert thick / thin == pytest.approx((1 + more / wire) ** 2, rel=0.01)


@FEW
@given(pitch=st.floats(22.0, 26.0))
def test_marks_are_never_farther_apart_than_the_spacing(pitch: float) -> None:
    """Whole links between marks, as many as go into the spacing held."""
    one = demo().lines[0]
    place = one.job.route.place("marking")
    done = {key: step.stock for key, step in one.plan.steps.items()}
    stock = one.job.route.stocks(place, done)[MAIN].changed(shape={"pitch_mm": pitch})
    wanted = one.plan.settled.wanted[place.key]
    set_up = place.operation.set_up({MAIN: stock}, wanted, place.machine, nominal(demo()), {})
    step = place.operation.run({MAIN: stock}, set_up, place.machine, nominal(demo()))
    links, found = float(set_up["links_between_marks"]), step.finding("mark_distance_mm")
    spare = float(place.machine.held["spare_links_count"])
    assert links == int(links)
    assert found.greatest - (spare + 1) * pitch < float(found.value) <= found.greatest


@pytest.mark.parametrize("operation", ["quenching", "hardening", "welding", "tempering"])
def test_fields_inside_the_section_are_run_once_a_lot(operation: str) -> None:
    """Temperatures over the section have one value for the eight links of a lot."""
    plan = planned.with_settings("")
    steps = planned.walked(plan, plan.lines[0].plan.members)
    place = plan.lines[0].job.route.place(operation)
    subject = {
        "quenching": "slowest_cooling_rate_K_per_s",
        "hardening": "straight_temperature_degC",
        "welding": "joint_temperature_degC",
        "tempering": "temper_temperature_degC",
    }[operation]
    assert np.shape(steps[place.key].finding(subject).value) == (planned.FEW.lots, 1)
