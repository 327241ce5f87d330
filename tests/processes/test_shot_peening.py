"""Shot peening: dents, depth, balance; the operation at the end of the plates' route."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from processes.furnace_stock import ENSEMBLE, bare_entries, conditions, differing
from processes.plate_stock import job, operations, wanted

from linkwright.planning.draws import single
from linkwright.planning.plan import plan_line
from linkwright.processes.models.peening import (
    dent_zone,
    peened_balance,
    peening_load,
    shot_dent,
)
from linkwright.processes.shot_peening import ShotPeening
from linkwright.quantities import ArgumentError
from linkwright.route import settle, walk

KEY = "plate/shot_peening"


def test_the_dent_spends_the_energy_of_the_ball():
    """Hardness times the volume of the cap is what the ball loses; 3 % for a shallow cap."""
    dent = shot_dent(
        shot_diameter_mm=0.8, shot_speed_m_per_s=40.0, hardness_HV=400.0, restitution=0.5
    )
    radius, rim = 0.4, dent / 2.0
    deep = radius - np.sqrt(radius**2 - rim**2)
    cap = np.pi * deep**2 * (3.0 * radius - deep) / 3.0
    work_J = 400.0 * 9.80665 * cap / 1e3
    energy_J = 0.5 * np.pi / 6.0 * 0.8**3 * 7.85e-6 * 40.0**2 * (1.0 - 0.5**2)
    assert work_J == pytest.approx(energy_J, rel=0.03)


def test_the_constant_is_that_of_kirk():
    """D = 1 mm and (1 - e2) rho v2 = H: 1.278 is beyond the ball, so at a hundredth of it."""
    speed = np.sqrt(0.01 * 100.0 * 9.80665e6 / 7850.0)
    dent = shot_dent(
        shot_diameter_mm=1.0, shot_speed_m_per_s=speed, hardness_HV=100.0, restitution=0.0
    )
    assert dent == pytest.approx(1.278 * 0.01**0.25, rel=1e-3)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(
    shot=st.floats(0.2, 2.0), speed=st.floats(10.0, 90.0), hardness=st.floats(250.0, 600.0),
    flow=st.floats(600.0, 1600.0),
)  # fmt: skip
def test_dents_scale_with_the_shot_and_depth_passes_the_dent(shot, speed, hardness, flow):
    arguments = {"shot_speed_m_per_s": speed, "hardness_HV": hardness}
    one = shot_dent(shot_diameter_mm=shot, **arguments)
    two = shot_dent(shot_diameter_mm=2.0 * shot, **arguments)
    assert two == pytest.approx(2.0 * one, rel=1e-12)
    depth = dent_zone(indent_diameter_mm=one, shot_diameter_mm=shot, yield_strength_MPa=flow)
    softer = dent_zone(indent_diameter_mm=one, shot_diameter_mm=shot, yield_strength_MPa=flow / 2)
    assert one / 2.0 < depth < softer


def test_the_cavity_keeps_volume():
    """Johnson's equation integrated: what the dent displaces is what the cavity grows by."""
    E, nu, flow = 206000.0, 0.3, 1000.0
    dent = np.linspace(0.0, 0.2, 20001)[1:]
    depth = dent_zone(indent_diameter_mm=dent, shot_diameter_mm=0.8, yield_strength_MPa=flow)
    a, c = dent[-1] / 2.0, depth[-1]
    slope = (dent[-1] / 0.8) / np.sqrt(1.0 - (dent[-1] / 0.8) ** 2)
    # growth of the core by the yielding shell around it, per growth of the zone
    grown = flow / E * (3.0 * (1.0 - nu) * (c / a) ** 2 - 2.0 * (1.0 - 2.0 * nu) * a / c)
    # the dent displaces pi a2 tan(b) da, the core takes it up over half a sphere
    assert 2.0 * grown * c / a == pytest.approx(slope, rel=1e-9)


def test_faces_and_core_are_in_balance():
    got = peened_balance(
        yield_strength_MPa=1100.0, yielding_depth_mm=0.3, plate_thickness_mm=4.0, stress_share=0.5
    )
    assert 2.0 * 0.3 * got.face_stress_MPa + 3.4 * got.core_stress_MPa == pytest.approx(0.0)


def test_what_cannot_be_is_refused():
    with pytest.raises(ArgumentError):
        shot_dent(shot_diameter_mm=0.8, shot_speed_m_per_s=5000.0, hardness_HV=100.0)
    with pytest.raises(ArgumentError):
        dent_zone(indent_diameter_mm=0.9, shot_diameter_mm=0.8, yield_strength_MPa=900.0)
    with pytest.raises(ArgumentError):
        peened_balance(
            yield_strength_MPa=900.0, yielding_depth_mm=2.0, plate_thickness_mm=4.0,
            stress_share=0.5,
        )  # fmt: skip
    with pytest.raises(ArgumentError):
        peening_load(
            treated_surface_m2=0.0, area_mm2=800.0, perimeter_mm=113.0, hole_diameter_mm=11.0,
            plate_thickness_mm=4.0, plate_mass_kg=0.02,
        )  # fmt: skip


def _job():
    return job(further=(ShotPeening(),))


@cache
def _plan():
    return plan_line(_job, ENSEMBLE)


def test_the_route_settles_within_the_limits_of_the_works():
    plan = _plan()
    assert bare_entries(plan.derivation) == []
    step = plan.steps[KEY]
    assert step.finding("coverage_percent").value == pytest.approx(99.0, rel=1e-6)
    assert [f.subject for f in step.findings if f.verdict == "outside"] == []
    assert step.stock["hole_diameter_mm"] == pytest.approx(
        float(wanted()["hole_diameter_mm"]), rel=1e-6
    )


def test_every_member_is_its_single_run_and_speed_scatters_depth():
    work = _job()
    drawn = conditions(*operations(), ShotPeening(), ensemble=ENSEMBLE)
    settled = settle(work.route, wanted(), work.conditions, {})
    whole = walk(work.route, settled.set_ups, drawn)
    for lot, link in ((0, 0), (ENSEMBLE.lots - 1, 1)):
        one = walk(work.route, settled.set_ups, single(drawn, lot, link))
        assert differing(whole[KEY], one[KEY], lot, link) == []
    assert np.std(whole[KEY].stock["peened_depth_mm"]) > 0.0


def test_twice_the_time_covers_what_two_passes_cover():
    """SAE J443: 1 - (1 - C)^2."""
    covered = _plan().steps[KEY].curves["coverage_percent"]
    once, twice = covered[20] / 100.0, covered[40] / 100.0
    assert twice == pytest.approx(1.0 - (1.0 - once) ** 2, rel=1e-9)
