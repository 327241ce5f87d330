"""Models of wire and rod drawing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.flow_curves import mean_flow_stress_swift
from linkwright.processes.models.avitzur import (
    avitzur_f,
    avitzur_land,
    avitzur_optimum_angle,
    drawing_stress_avitzur,
)
from linkwright.processes.models.drawing import (
    cold_work,
    drawing_force,
    drawing_mass_balance,
    drawing_pass_schedule,
    drawing_stress_ratio,
    drawing_temperature_rise,
    drum_power,
    rod_drawing_power,
)
from linkwright.processes.models.drawing_limits import drawing_limit_efficiency, drawing_limit_slab
from linkwright.processes.models.drawing_stress import (
    drawing_stress_sachs,
    drawing_stress_schey,
    drawing_stress_siebel,
    drawing_stress_wright,
    siebel_optimum_angle,
    wright_redundant_work,
)
from linkwright.quantities import ArgumentError, UnknownName

few = settings(derandomize=True, max_examples=25, deadline=None)
reduction = st.floats(0.02, 0.6)
angle = st.floats(2.0, 30.0)
friction = st.floats(0.0, 0.3)
start = st.floats(1.0, 30.0)


@few
@given(d0=start, r=reduction, v0=st.floats(0.1, 10.0))
def test_drawing_keeps_volume(d0: float, r: float, v0: float) -> None:
    """Section times speed is the same before and behind the die."""
    d1 = d0 * np.sqrt(1.0 - r)
    drawn = drawing_mass_balance(start_diameter_mm=d0, final_diameter_mm=d1, entry_speed_m_per_s=v0)
    assert d1**2 * drawn.exit_speed_m_per_s == pytest.approx(d0**2 * v0)
    assert drawn.reduction == pytest.approx(r)
    assert np.exp(drawn.true_strain) == pytest.approx(drawn.length_ratio)
    worked = cold_work(start_diameter_mm=d0, final_diameter_mm=d1)
    assert worked == pytest.approx(100.0 * drawn.reduction)


@few
@given(d0=start, r=reduction, passes=st.integers(1, 12))
def test_passes_add_to_the_whole(d0: float, r: float, passes: int) -> None:
    """Equal passes keep volume, and the final diameter alone gives the same schedule."""
    schedule = drawing_pass_schedule(start_diameter_mm=d0, reduction_per_pass=r, passes=passes)
    last = schedule.diameters_mm[-1]
    assert (last / d0) ** 2 == pytest.approx(1.0 - schedule.total_reduction)
    again = drawing_pass_schedule(start_diameter_mm=d0, final_diameter_mm=last, passes=passes)
    np.testing.assert_allclose(again.diameters_mm, schedule.diameters_mm)
    assert again.true_strain_per_pass == pytest.approx(schedule.true_strain_per_pass)


def test_pass_schedule_of_several_wires_has_passes_last() -> None:
    """Arrays of start diameters give one row a wire."""
    schedule = drawing_pass_schedule(
        start_diameter_mm=[8.0, 9.0], reduction_per_pass=[0.2, 0.1], passes=3
    )
    assert schedule.diameters_mm.shape == (2, 3)


def test_bad_pass_schedules_are_refused() -> None:
    """Half passes and missing reductions."""
    with pytest.raises(ArgumentError, match="passes"):
        drawing_pass_schedule(start_diameter_mm=8.0, reduction_per_pass=0.2, passes=2.5)
    with pytest.raises(ArgumentError, match="reduction_per_pass"):
        drawing_pass_schedule(start_diameter_mm=8.0, passes=2)


def schey(**changes: float) -> float:
    """Drawing stress of a reference pass with changes."""
    pass_ = {
        "start_diameter_mm": 8.5, "final_diameter_mm": 8.0, "die_half_angle_deg": 7.0,
        "friction_coefficient": 0.06, "K_MPa": 700.0, "n": 0.15,
    }  # fmt: skip
    return drawing_stress_schey(**{**pass_, **changes}).drawing_stress_MPa


@few
@given(mu=friction, a=angle, d1=st.floats(6.0, 8.4), K=st.floats(100.0, 2000.0))
def test_schey_stress_rises_with_friction_and_strength(
    mu: float, a: float, d1: float, K: float
) -> None:
    """More friction or strength takes more stress; the redundant factor is at least 0.88."""
    case = {
        "friction_coefficient": mu, "die_half_angle_deg": a, "final_diameter_mm": d1, "K_MPa": K,
    }  # fmt: skip
    stress = schey(**case)
    assert schey(**{**case, "friction_coefficient": mu + 0.01}) > stress
    assert schey(**{**case, "K_MPa": 1.01 * K}) == pytest.approx(1.01 * stress)
    strain = 2.0 * np.log(8.5 / d1)
    assert stress > 0.88 * K * strain**1.15 / 1.15


def test_schey_takes_flow_stress_constants_or_material() -> None:
    """The three ways of giving the flow stress agree."""
    strain = 2.0 * np.log(8.5 / 8.0)
    mean = 745.0 * strain**0.2 / 1.2
    by_material = schey(K_MPa=None, n=None, material="1020 steel, annealed")
    assert by_material == pytest.approx(schey(K_MPa=745.0, n=0.2))
    assert by_material == pytest.approx(schey(K_MPa=None, n=None, mean_flow_stress_MPa=mean))
    with pytest.raises(UnknownName):
        schey(K_MPa=None, n=None, material="unobtainium")
    with pytest.raises(ArgumentError, match="K_MPa"):
        schey(K_MPa=None, n=None)


def test_wire_cannot_grow_in_a_die() -> None:
    """A final diameter at or above the start is refused."""
    with pytest.raises(ArgumentError, match="start_diameter_mm"):
        schey(final_diameter_mm=9.0)
    with pytest.raises(ArgumentError, match="final_diameter_mm"):
        schey(final_diameter_mm=8.5)


@few
@given(r=reduction, mu=st.floats(0.01, 0.2))
def test_siebel_optimum_is_the_least_stress(r: float, mu: float) -> None:
    """A little smaller or larger angle takes more stress than the optimum."""
    best = siebel_optimum_angle(reduction=r, friction_coefficient=mu)
    drawn = drawing_stress_siebel(
        start_diameter_mm=10.0, final_diameter_mm=10.0 * np.sqrt(1.0 - r),
        die_half_angle_deg=np.array([0.95, 1.0, 1.05]) * best, friction_coefficient=mu,
        mean_flow_stress_MPa=500.0,
    )  # fmt: skip
    low, least, high = drawn.drawing_stress_MPa
    assert least < min(low, high)
    # at the optimum friction and shear work are equal
    assert drawn.friction_stress_MPa[1] == pytest.approx(drawn.shear_stress_MPa[1])


@few
@given(r=reduction, a=angle, mu=friction, eps0=st.floats(0.0, 0.5))
def test_siebel_parts_add_up_with_a_swift_curve(r: float, a: float, mu: float, eps0: float) -> None:
    """Sum of parts, mean flow stress of the curve, force on the drawn section."""
    d1 = 10.0 * np.sqrt(1.0 - r)
    drawn = drawing_stress_siebel(
        start_diameter_mm=10.0, final_diameter_mm=d1, die_half_angle_deg=a,
        friction_coefficient=mu, K_MPa=800.0, n=0.15, prestrain=eps0,
    )  # fmt: skip
    mean = mean_flow_stress_swift(
        K_MPa=800.0, n=0.15, prestrain=eps0, true_strain=drawn.true_strain
    )
    parts = drawn.ideal_stress_MPa + drawn.friction_stress_MPa + drawn.shear_stress_MPa
    assert drawn.mean_flow_stress_MPa == pytest.approx(mean)
    assert drawn.ideal_stress_MPa == pytest.approx(mean * drawn.true_strain)
    assert drawn.drawing_stress_MPa == pytest.approx(parts)
    section = np.pi * d1**2 / 4.0
    assert drawn.drawing_force_N == pytest.approx(drawn.drawing_stress_MPa * section)


@few
@given(r=reduction, a=angle)
def test_sachs_without_friction_is_ideal_work(r: float, a: float) -> None:
    """No friction: k ln(1/(1-r)) plus the back tension; continuous towards it."""
    case = {
        "reduction": r, "die_half_angle_deg": a, "mean_flow_stress_MPa": 400.0,
        "back_tension_MPa": 50.0,
    }  # fmt: skip
    ideal = -400.0 * np.log(1.0 - r) + 50.0
    frictionless = drawing_stress_sachs(friction_coefficient=0.0, **case)
    assert frictionless == pytest.approx(ideal)
    assert drawing_stress_sachs(friction_coefficient=1e-9, **case) == pytest.approx(ideal)
    assert drawing_stress_sachs(friction_coefficient=0.1, **case) > frictionless - 1e-9


@few
@given(a=angle, mu=friction)
def test_slab_limit_is_where_the_slab_stress_meets_the_yield(a: float, mu: float) -> None:
    """At the limit the drawing stress of the slab equation equals the yield stress."""
    limit = drawing_limit_slab(die_half_angle_deg=a, friction_coefficient=mu)
    stress = drawing_stress_sachs(
        reduction=limit.max_reduction, die_half_angle_deg=a, friction_coefficient=mu,
        mean_flow_stress_MPa=300.0,
    )  # fmt: skip
    assert stress == pytest.approx(300.0)
    by_whole = drawing_limit_slab(die_included_angle_deg=2.0 * a, friction_coefficient=mu)
    assert by_whole.max_reduction == pytest.approx(limit.max_reduction)
    with pytest.raises(ArgumentError, match="die_included_angle_deg"):
        drawing_limit_slab(friction_coefficient=mu)


@few
@given(n=st.floats(0.0, 0.5), eta=st.floats(0.3, 1.0))
def test_limit_by_efficiency_is_where_the_wire_yields(n: float, eta: float) -> None:
    """Drawing stress over exit flow stress is 1 at the greatest strain."""
    limit = drawing_limit_efficiency(n=n, efficiency=eta)
    strain = limit.max_true_strain
    ratio = drawing_stress_ratio(
        drawing_stress_MPa=500.0 * strain ** (n + 1.0) / (n + 1.0) / eta,
        exit_flow_stress_MPa=500.0 * strain**n,
    )
    assert ratio == pytest.approx(1.0)
    assert limit.max_reduction == pytest.approx(1.0 - 1.0 / limit.max_area_ratio)


@few
@given(r=st.floats(0.05, 0.4), a=angle, mu=friction)
def test_wright_stress_is_built_of_its_factors(r: float, a: float, mu: float) -> None:
    """The zone's shape and the redundant work factor belong together."""
    drawn = drawing_stress_wright(reduction=r, die_half_angle_deg=a, friction_coefficient=mu)
    if drawn.delta < 1.0:
        return
    factor = wright_redundant_work(delta=drawn.delta)
    assert drawn.redundant_work_factor == pytest.approx(factor)
    # 4 phi/delta (a + mu), with 3.2 and 0.9 as printed
    unrounded = 4.0 * factor / drawn.delta * (np.radians(a) + mu)
    assert drawn.drawing_stress_over_mean_flow_stress == pytest.approx(unrounded, rel=0.01)


@few
@given(a=st.floats(0.01, 89.0))
def test_avitzur_f_is_its_integral(a: float) -> None:
    """Both forms equal 2/sin^2 a times the integral of sin t sqrt(1 - 11/12 sin^2 t)."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    top = np.radians(a)
    t = top / 2.0 * (1.0 + nodes)
    inner = np.sin(t) * np.sqrt(1.0 - 11.0 / 12.0 * np.sin(t) ** 2)
    integral = 2.0 / np.sin(top) ** 2 * np.sum(inner * weights) * top / 2.0
    assert avitzur_f(die_half_angle_deg=a) == pytest.approx(integral, abs=1e-9)


@few
@given(r=st.floats(0.05, 0.3), m=st.floats(0.02, 0.3))
def test_avitzur_optimum_is_near_the_least_bound(r: float, m: float) -> None:
    """The approximate angle costs at most half a per cent over the least of the bound."""
    best = avitzur_optimum_angle(reduction=r, shear_friction_factor=m)
    angles = np.linspace(0.5 * best, 2.0 * best, 301)
    bound = drawing_stress_avitzur(
        reduction=r, die_half_angle_deg=angles, shear_friction_factor=m
    ).drawing_stress_over_yield
    here = drawing_stress_avitzur(
        reduction=r, die_half_angle_deg=best, shear_friction_factor=m
    ).drawing_stress_over_yield
    assert here <= 1.005 * bound.min()


def test_avitzur_land_only_adds() -> None:
    """The land adds its own term and nothing else."""
    case = {"reduction": 0.15, "die_half_angle_deg": 6.0, "shear_friction_factor": 0.1}
    without = drawing_stress_avitzur(**case)
    land = avitzur_land(shear_friction_factor=0.1, land_over_exit_radius=0.6)
    with_land = drawing_stress_avitzur(**case, land_over_exit_radius=0.6)
    added = with_land.drawing_stress_over_yield - without.drawing_stress_over_yield
    assert added == pytest.approx(land)


@few
@given(losses=st.floats(0.0, 2.0), v=st.floats(0.01, 5.0))
def test_rod_power_is_force_times_speed(losses: float, v: float) -> None:
    """Power, force and stress belong together; losses multiply all of them."""
    rod = rod_drawing_power(
        start_diameter_mm=10.0, final_diameter_mm=9.0, speed_m_per_s=v,
        losses_over_ideal_work=losses, material="1020 steel, annealed",
    )  # fmt: skip
    force = drawing_force(drawing_stress_MPa=rod.actual_drawing_stress_MPa, final_diameter_mm=9.0)
    assert rod.actual_force_kN == pytest.approx(force / 1000.0)
    power = drum_power(drawing_force_N=force, exit_speed_m_per_s=v)
    assert rod.actual_power_kW == pytest.approx(power)
    assert rod.actual_power_kW == pytest.approx((1.0 + losses) * rod.ideal_power_kW)


def test_all_work_of_drawing_is_heat_of_the_wire() -> None:
    """Power at the die equals the heat that the wire carries away."""
    stress, d1, v = 300.0, 8.0, 1.5
    rise = drawing_temperature_rise(
        drawing_stress_MPa=stress, density_kg_per_m3=7850.0, specific_heat_J_per_kgK=480.0
    )
    force = drawing_force(drawing_stress_MPa=stress, final_diameter_mm=d1)
    power = drum_power(drawing_force_N=force, exit_speed_m_per_s=v)
    mass_rate = 7850.0 * np.pi * (d1 / 1000.0) ** 2 / 4.0 * v
    assert mass_rate * 480.0 * rise / 1000.0 == pytest.approx(power)
