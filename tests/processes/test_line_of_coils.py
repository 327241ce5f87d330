"""What the works' generators, the pull on hot chain and the least temper make of a plan."""

from __future__ import annotations

import math

import numpy as np
import pytest
from planned import FEW, demo, finding, order, setting, works

from linkwright.processes.line_setting import frequency_setting
from linkwright.processes.models.air_cooling import air_cooling, air_cooling_time
from linkwright.processes.models.coil_generator import (
    coil_copper_loss,
    frequency_for_wire,
    pyrometer_reading,
)
from linkwright.processes.models.hot_stretch import (
    hot_stretch_of_link,
    transformation_plasticity,
    volume_change_to_austenite,
)
from linkwright.processes.models.induction import induction_heating_of_round_bar
from linkwright.processes.models.line_stop import links_lost_by_stop
from linkwright.quantities import CannotPlan
from linkwright.route.setting import lacking
from linkwright.services.planning import OrderPlan, plan_order


def planned_in(*replaced: tuple[str, str], settings: str = "") -> OrderPlan:
    """The demo order in the demo works with texts replaced, few lots."""
    return plan_order(order(settings=settings), works(*replaced), ensemble=FEW)


def test_a_generator_too_weak_slows_the_line() -> None:
    """At 80 kW the line runs at the greatest speed that the power allows, as hot as before."""
    plan = planned_in(("generator_power_kW = [10.0, 250.0]", "generator_power_kW = [10.0, 80.0]"))
    speed = setting(plan, "hardening", "line_speed_m_per_s")
    assert speed.how == "solved"
    assert 0.05 < float(speed.value) < 0.075
    assert finding(plan, "hardening", "generator_power_kW") == pytest.approx(80.0, rel=5e-3)
    assert finding(plan, "hardening", "straight_temperature_degC") == pytest.approx(940.0, abs=1.0)


def test_a_given_speed_is_kept_and_the_power_told() -> None:
    """What the order gives stands; the finding is outside."""
    weak = ("generator_power_kW = [10.0, 250.0]", "generator_power_kW = [10.0, 80.0]")
    plan = planned_in(weak, settings="hardening.line_speed_m_per_s = 0.1")
    assert float(setting(plan, "hardening", "line_speed_m_per_s").value) == 0.1
    steps = plan.lines[0].plan.steps
    key = next(key for key in steps if key.endswith("/hardening"))
    assert steps[key].finding("generator_power_kW").verdict == "outside"


def test_a_slow_generator_tells_its_efficiency_not_an_impossible_frequency() -> None:
    """10 kHz is too slow for 8 mm wire: the plan keeps it and pays in efficiency and power."""
    slow = planned_in(("frequency_kHz      = [50.0, 150.0]", "frequency_kHz      = [4.0, 10.0]"))
    assert float(setting(slow, "hardening", "frequency_kHz").value) == 10.0
    for subject, worse in (("coil_efficiency", -0.1), ("generator_power_kW", 20.0)):
        change = finding(slow, "hardening", subject) - finding(demo(), "hardening", subject)
        assert change * math.copysign(1.0, worse) > abs(worse), subject


def test_the_aim_is_solved_for_austenite_where_none_is_held() -> None:
    """Without a temperature the coldest place comes out above Ac3 by the margin of the works."""
    plan = planned_in(("temperature_degC           = 940.0\n", "austenite_margin_K = 60.0\n"))
    steps = plan.lines[0].plan.steps
    step = next(step for key, step in steps.items() if key.endswith("/hardening"))
    coldest = step.finding("coldest_temperature_degC")
    assert float(coldest.value) == pytest.approx(float(coldest.least) + 60.0, abs=1.0)
    assert setting(plan, "hardening", "temperature_degC").how == "solved"


def test_without_frequency_and_range_the_works_is_told_what_to_give() -> None:
    """The error names both tables."""
    without = works(("frequency_kHz      = [50.0, 150.0]\n", ""))
    machine = next(one for one in without.machines if one.name == "hardening coil")
    link = next(iter(demo().lines[0].plan.steps.values())).stock
    with pytest.raises(CannotPlan, match=r"frequency_kHz under \[machine.held\]"):
        frequency_setting(link, machine, {})


def test_the_pull_lengthens_the_pitch_and_the_pitch_is_asked_back() -> None:
    """Three times the pull, three times the stretch; the chain still ends at its pitch."""
    plan = planned_in(("hot_pull_MPa               = 1.5", "hot_pull_MPa               = 4.5"))
    more, less = (finding(one, "hardening", "hot_stretch_percent") for one in (plan, demo()))
    assert more == pytest.approx(3.0 * less, rel=0.01)
    assert finding(plan, "inspection", "pitch_mm") == pytest.approx(
        finding(demo(), "inspection", "pitch_mm"), rel=1e-5
    )


def test_the_least_temper_goes_before_the_strength() -> None:
    """Lean steel that would need less temper gets the least one, and its strength falls short."""
    plan = planned_in(("breaking_force_margin_percent = 8.5", "breaking_force_margin_percent = 30"))
    for subject in ("one_hour_equivalent_degC", "one_hour_equivalent_creusot_loire_degC"):
        assert finding(plan, "tempering", subject) >= 400.0
    assert "least temper" in setting(plan, "tempering", "coil_current_A").aim


@pytest.mark.parametrize("operation", ["hardening", "quenching", "tempering"])
def test_the_card_lacks_nothing(operation: str) -> None:
    """Every setting that the machine needs is there, with a check, numbers with a tolerance."""
    one = demo().lines[0]
    place = one.job.route.place(operation)
    set_up = one.plan.settled.set_ups[place.key]
    assert lacking(set_up, place.operation) == ()
    for row in set_up.settings:
        assert row.check, row.name
        assert isinstance(row.value, str) or row.tolerance is not None, row.name


def test_no_subject_stands_twice_in_the_heat_of_a_plan() -> None:
    """The member table has one column a subject."""
    found = [
        one.subject
        for key, step in demo().lines[0].plan.steps.items()
        if key.split("/")[1] in {"hardening", "quenching", "tempering"}
        for one in step.findings
    ]
    assert len(found) == len(set(found))


def test_the_loss_of_the_coil_is_that_of_the_full_calculation() -> None:
    """Two ways to the same power; the efficiency falls where the wire is thinner than its skin."""
    line = {"wire_diameter_mm": 8.0, "line_speed_m_per_min": 6.0, "coil_length_mm": 1200.0,
            "coil_diameter_mm": 50.0, "mass_per_length_kg_per_m": 1.42}  # fmt: skip
    found = induction_heating_of_round_bar(
        **line, exit_temperature_degC=940.0, frequency_kHz=np.array([10.0, 72.0])
    )
    lost = coil_copper_loss(
        coil_field_kA_per_m=found.coil_field_kA_per_m,
        frequency_kHz=np.array([10.0, 72.0]),
        coil_inner_diameter_mm=50.0,
        coil_length_mm=1200.0,
    )
    assert lost == pytest.approx(found.coil_loss_kW, rel=1e-12)
    assert found.coil_efficiency[0] < found.coil_efficiency[1] - 0.1


def test_frequency_falls_with_the_square_of_the_wire() -> None:
    """Twice the wire, a quarter of the frequency."""
    both = frequency_for_wire(
        wire_diameter_mm=np.array([8.0, 16.0]),
        resistivity_microohm_m=1.15,
        wire_over_skin_depth_ratio=4.0,
    )
    assert both[0] == pytest.approx(4.0 * both[1])


def test_a_pyrometer_set_right_shows_the_surface() -> None:
    """And one set too high shows less."""
    right, high = (
        pyrometer_reading(
            surface_temperature_degC=940.0, set_emissivity=one, surface_emissivity=0.8
        )
        for one in (0.8, 0.95)
    )
    assert right == pytest.approx(940.0)
    assert high < 930.0


def test_iron_shrinks_by_one_per_cent_at_the_change() -> None:
    """About one per cent of volume at 912 °C (common knowledge of the trade, no source)."""
    assert -0.012 < volume_change_to_austenite(temperature_degC=910.0) < -0.008


def test_transformation_plasticity_of_a_hand_calculation() -> None:
    """5/6 x 0.01 x 6/60 = 0.083 %."""
    strain = transformation_plasticity(stress_MPa=6.0, yield_MPa=60.0, volume_change=-0.01)
    assert strain == pytest.approx(5.0 / 6.0 * 1e-3)


def test_the_stretch_is_linear_in_the_pull() -> None:
    """Twice the pull, twice the stretch and stress; a thicker wire stretches less."""
    link = {"wire_diameter_mm": 8.0, "pitch_mm": 24.0, "outer_width_mm": 26.8}
    once, twice = (hot_stretch_of_link(**link, chain_tension_N=pull) for pull in (100.0, 200.0))
    assert twice.stretch_percent == pytest.approx(2.0 * once.stretch_percent)
    assert twice.greatest_stress_MPa == pytest.approx(2.0 * once.greatest_stress_MPa)
    thick = hot_stretch_of_link(
        wire_diameter_mm=10.0, pitch_mm=30.0, outer_width_mm=33.5, chain_tension_N=100.0
    )
    assert thick.stretch_percent < once.stretch_percent


def test_links_of_a_stop_cover_the_length() -> None:
    """However the length falls on the links, all that lie in it are counted."""
    for length in (1.0, 240.0, 2130.0):
        links = float(links_lost_by_stop(length_mm=length, pitch_mm=24.0))
        assert (links - 2.0) * 24.0 < length <= (links - 1.0) * 24.0


def test_time_in_air_agrees_with_the_rate_in_the_middle() -> None:
    """Over 20 K the time is the span over the rate at its middle, at 450 °C."""
    rate = air_cooling(
        wire_diameter_mm=8.0, exposed_share=1.0, contact_share=1.0, temperature_degC=450.0
    )
    seconds = air_cooling_time(wire_diameter_mm=8.0, start_degC=460.0, end_degC=440.0)
    # the rate is that of austenite, whose heat is less than that of ferrite at 450 °C
    assert seconds == pytest.approx(20.0 / rate.straight_cooling_rate_K_per_s, rel=0.2)
