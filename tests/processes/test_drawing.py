"""Drawing as one operation: passes, what the die sees, and settings that cannot be."""

from __future__ import annotations

import numpy as np
import planned
import pytest
from planned import FEW, order, with_settings, works

from linkwright.processes.models.drawing_die import (
    die_life_length,
    die_pressure,
    die_surface_temperature,
)
from linkwright.processes.models.drawing_line import drawn_length, drum_turning
from linkwright.quantities import InputErrors
from linkwright.services.planning import plan_order


def test_the_demo_draws_in_one_pass() -> None:
    """10 % reduction is far inside both limits; no earlier die, no finding of an earlier pass."""
    step = planned.demo().lines[0].plan.steps["wire/drawing"]
    set_up = planned.demo().lines[0].plan.settled.set_ups["wire/drawing"]
    assert float(set_up["passes"]) == 1.0
    assert not [name for name in set_up if name.startswith("die_1")]
    assert not [one.subject for one in step.findings if one.subject.startswith("pass_")]


def test_a_bench_with_one_die_takes_the_wire_pass_by_pass() -> None:
    """A strict works needs more passes; hours are those of the runs, each at its own length."""
    strict = works(("greatest_stress_ratio        = 0.7", "greatest_stress_ratio = 0.2"))
    one = plan_order(order(), strict, ensemble=FEW).lines[0].plan
    set_up, step = one.settled.set_ups["wire/drawing"], one.steps["wire/drawing"]
    assert float(set_up["passes"]) == 2.0
    rod, wire = 8.5, float(set_up["die_diameter_mm"])
    middle = float(set_up["die_1_diameter_mm"])
    assert middle == pytest.approx(np.sqrt(rod * wire), rel=1e-9)
    length = float(step.stock["wire_length_m"])
    hours = (length + length * (wire / middle) ** 2) / 0.8 / 3600.0
    assert float(step.use["machine_time_h"]) == pytest.approx(hours, rel=1e-9)


def test_a_die_thicker_than_the_rod_is_refused_at_its_line() -> None:
    """File, line and key of the order, not a sentence about an argument."""
    with pytest.raises(InputErrors) as refused:
        with_settings("drawing.die_diameter_mm = 8.6")
    (problem,) = refused.value.found
    rows = order(settings="drawing.die_diameter_mm = 8.6")
    assert f"{problem.file}:{problem.line}" == rows.lines[0].settings.place(
        "drawing.die_diameter_mm"
    )
    assert problem.key.endswith("settings.drawing.die_diameter_mm")
    assert "the rod has 8.5 mm" in problem.message


@pytest.mark.parametrize(
    "settings",
    ["forming.gap_mm = -5.0", "drawing.die_half_angle_deg = 170.0", "cutting.notch_depth_mm = -1"],
)
def test_a_value_that_no_machine_could_hold_is_refused_at_its_line(settings: str) -> None:
    """Also where the machine gives no range of it."""
    with pytest.raises(InputErrors) as refused:
        plan_order(order(settings=settings), works(), ensemble=FEW)
    (problem,) = refused.value.found
    assert problem.file == "order.toml"
    assert problem.line is not None
    assert problem.key.endswith("settings." + settings.split(" ", maxsplit=1)[0])


def test_a_held_value_that_cannot_be_names_the_works_file() -> None:
    """The same for a number that the works keeps fixed."""
    with pytest.raises(InputErrors, match=r"works\.toml"):
        plan_order(
            order(), works(("gap_ratio             = 0.15", "gap_ratio = -0.15")), ensemble=FEW
        )


def test_die_pressure_carries_the_drawing_force() -> None:
    """Pressure and friction on the cone, summed along the axis, are the force at the wire."""
    start, end, angle, mu = 8.5, 8.05, np.radians(6.0), 0.08
    pressure = die_pressure(
        drawing_stress_MPa=150.0, start_diameter_mm=start, final_diameter_mm=end,
        die_half_angle_deg=6.0, friction_coefficient=mu,
    )  # fmt: skip
    cone = np.pi / 4.0 * (start**2 - end**2) / np.sin(angle)
    axial = pressure * cone * (np.sin(angle) + mu * np.cos(angle))
    assert axial == pytest.approx(150.0 * np.pi / 4.0 * end**2, rel=1e-12)


def test_the_surface_heats_with_the_root_of_the_speed() -> None:
    """Twice the flux for half the time: four times the speed, twice the rise by friction."""
    given = {
        "temperature_rise_K": 0.0, "die_pressure_MPa": 700.0, "friction_coefficient": 0.08,
        "contact_length_mm": 2.0, "density_kg_per_m3": 7850.0, "specific_heat_J_per_kgK": 460.0,
    }  # fmt: skip
    slow = die_surface_temperature(drawing_speed_m_per_s=0.5, **given) - 20.0
    fast = die_surface_temperature(drawing_speed_m_per_s=2.0, **given) - 20.0
    assert fast == pytest.approx(2.0 * slow, rel=1e-12)


def test_a_die_lives_longer_where_it_is_pressed_less() -> None:
    """Archard: the life falls with the pressure and rises with the works' factor."""
    given = {"die_diameter_mm": 8.0, "life_factor": 1.0}
    assert die_life_length(die_pressure_MPa=350.0, **given) == pytest.approx(
        2.0 * die_life_length(die_pressure_MPa=700.0, **given)
    )


def test_die_life_has_no_limit_and_names_its_trial() -> None:
    """Nothing is claimed of a die's life before the works has measured dies."""
    found = planned.demo().lines[0].plan.steps["wire/drawing"].finding("dies_used_count")
    assert found.verdict == "no limit given"
    assert "measure ten dies" in found.note


def test_drum_and_length_follow_from_volume_and_turning() -> None:
    """The drum's rim has the wire's speed; the metal of a length stays."""
    turns = drum_turning(drawing_speed_m_per_s=0.8, drum_diameter_mm=560.0)
    assert turns / 60.0 * np.pi * 0.56 == pytest.approx(0.8)
    assert drawn_length(
        length_m=100.0, diameter_mm=8.5, final_diameter_mm=8.0
    ) * 8.5**2 == pytest.approx(100.0 * 8.0**2)


def test_a_weak_bench_draws_in_more_passes() -> None:
    """The force of a pass is brought below what the bench can pull, where passes can do that."""
    weak = works(("drawing_force_N       = [0.0, 120000.0]", "drawing_force_N = [0.0, 6000.0]"))
    plan = plan_order(order(), weak, ensemble=FEW).lines[0].plan
    assert float(plan.settled.set_ups["wire/drawing"]["passes"]) > 1.0
    assert plan.steps["wire/drawing"].finding("drawing_force_N").verdict in ("within", "close")
