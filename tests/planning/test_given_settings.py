"""Settings that the order gives: kept as they stand, and everything else fits them."""

from __future__ import annotations

import re

import numpy as np
import planned
import pytest
from planned import finding, setting, with_settings

from linkwright.quantities import CannotPlan
from linkwright.route import GIVEN, SOLVED
from linkwright.services.planning import OrderPlan, plan_order

# what the order gives, and the sizes of the finished chain that must come out all the same
GIVES = [
    "drawing.die_diameter_mm = 7.92",
    "forming.finger_radius_mm = 5.3",
    "welding.upset_length_mm = 2.0",
    "tempering.temperature_degC = 450.0",
    "tempering.coil_current_A = 1000.0",
    "calibrating.force_kN = 55.0",
    "hardening.temperature_degC = 960.0",
]


def parts(settings: str) -> tuple[str, str, float]:
    """Operation, name and value of ``operation.name = value``."""
    operation, name, value = re.split(r"\.| = ", settings, maxsplit=2)
    return operation, name, float(value)


@pytest.mark.parametrize("settings", GIVES)
def test_it_is_kept_and_called_given(settings: str) -> None:
    """The value on the card is the order's, to the last digit."""
    operation, name, value = parts(settings)
    card = setting(with_settings(settings), operation, name)
    assert (float(card.value), card.how) == (value, GIVEN)


@pytest.mark.parametrize("settings", GIVES)
def test_the_pitch_is_asked_back_for_it(settings: str) -> None:
    """What comes before is solved again, so that the finished pitch is the one wanted."""
    assert finding(with_settings(settings), "inspection", "pitch_mm") == pytest.approx(
        24.0, rel=1e-5
    )


@pytest.mark.parametrize("settings", [one for one in GIVES if not one.startswith("temper")])
def test_the_breaking_force_aimed_at_stays(settings: str) -> None:
    """The temper is solved for the wire and width that really come."""
    assert finding(with_settings(settings), "inspection", "breaking_force_kN") == pytest.approx(
        finding(planned.demo(), "inspection", "breaking_force_kN"), rel=1e-4
    )


@pytest.mark.parametrize("settings", GIVES)
def test_it_is_a_line_of_the_order_in_the_derivation(settings: str) -> None:
    """The number opens to order.toml; nothing on the way has lost its source."""
    operation, name, value = parts(settings)
    line = with_settings(settings).document()["lines"][0]
    kinds = {entry["kind"] for entry in line["derivation"]}
    assert "bare" not in kinds
    entry = next(one for one in line["derivation"] if one["source"].endswith(f"{operation}.{name}"))
    assert (entry["kind"], entry["value"]) == ("file", value)
    assert entry["source"].startswith("order.toml:")


@pytest.mark.parametrize("settings", GIVES)
def test_the_rest_of_the_settings_keeps_how_it_came_about(settings: str) -> None:
    """Nothing else becomes given."""
    operation, name, _ = parts(settings)
    for key, set_up in with_settings(settings).lines[0].plan.settled.set_ups.items():
        for one in set_up.settings:
            same = key.endswith(f"/{operation}") and one.name == name
            assert (one.how == GIVEN) == same


def test_a_thinner_die_moves_what_comes_after() -> None:
    """Rolls, cut length, finger, weld current and temper are solved for the thinner wire."""
    thin, base = with_settings("drawing.die_diameter_mm = 7.92"), planned.demo()
    for operation, name in [
        ("straightening", "first_roll_intermesh_mm"),
        ("cutting", "cut_length_mm"),
        ("forming", "finger_radius_mm"),
        ("welding", "secondary_current_kA"),
        ("hardening", "coil_current_A"),
        ("tempering", "temperature_degC"),
    ]:
        moved = setting(thin, operation, name)
        assert moved.how == SOLVED
        assert float(moved.value) != pytest.approx(float(setting(base, operation, name).value))


def test_a_longer_upset_takes_a_longer_piece() -> None:
    """Length that the weld takes is added to the cut, millimetre by millimetre."""
    longer = float(setting(with_settings("welding.upset_length_mm = 2.0"), "cutting",
                           "cut_length_mm").value)  # fmt: skip
    base = float(setting(planned.demo(), "cutting", "cut_length_mm").value)
    upset = float(setting(planned.demo(), "welding", "upset_length_mm").value)
    assert longer - base == pytest.approx(2.0 - upset, abs=1e-9)


def test_a_greater_proof_force_asks_for_a_shorter_link() -> None:
    """What the calibrator adds must be missing before it."""
    force = with_settings("calibrating.force_kN = 55.0")
    before = finding(force, "calibrating", "pitch_before_mm")
    assert before < finding(planned.demo(), "calibrating", "pitch_before_mm") - 0.05
    assert finding(force, "calibrating", "permanent_set_mm") == pytest.approx(
        24.0 - before, rel=1e-4
    )


def test_samples_that_the_order_gives_decide_the_chance() -> None:
    """More samples of a lot, more links that must hold: the requirement knows it."""
    more = with_settings("inspection.samples_per_lot_count = 3.0").lines[0].plan.chance
    pieces = {part.requirement.subject: float(part.requirement.pieces) for part in more.parts}
    assert (pieces["breaking_force_kN"], pieces["total_elongation_percent"]) == (15.0, 3.0)
    assert more.chance < with_settings("").lines[0].plan.chance.chance


@pytest.mark.parametrize("settings", ["tempering.soak_length_mm = 4000.0"])
def test_a_longer_soak_is_used(settings: str) -> None:
    """A setting that the works holds is taken from the order where it stands there."""
    longer = with_settings(settings)
    assert finding(longer, "tempering", "temper_time_s") > finding(
        planned.demo(), "tempering", "temper_time_s"
    )
    # the longer soak softens more, so the coil has to heat less for the same strength
    assert finding(longer, "tempering", "temper_temperature_degC") < finding(
        planned.demo(), "tempering", "temper_temperature_degC"
    )


@pytest.mark.parametrize("settings", GIVES)
def test_no_column_of_scatter_moves(settings: str) -> None:
    """A what-if shows the change, not new noise: every draw is the same bits."""
    plain = with_settings("").lines[0].plan.members
    changed = with_settings(settings).lines[0].plan.members
    assert list(changed.draws) == list(plain.draws)
    assert all(np.array_equal(draw, plain.draws[name]) for name, draw in changed.draws.items())


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        (
            "drawing.die_half_angle_deg = 20.0",
            "'drawing bench' cannot hold die_half_angle_deg",
        ),
        ("calibrating.force_kN = 300.0", "'calibrator' cannot hold force_kN = 300"),
        ("quenching.water_flow_l_per_min = 20.0", "its range is 40.0 to 260.0"),
    ],
)
def test_what_no_machine_can_hold_is_refused(settings: str, says: str) -> None:
    """Machine, setting and range are named; the exit code is 1."""
    with pytest.raises(CannotPlan, match=re.escape(says)) as refused:
        plan_order(planned.order(settings=settings), planned.works(), ensemble=planned.FEW)
    assert refused.value.exit_code == 1


def test_two_settings_of_the_order_go_together() -> None:
    """A die and a temper, both kept, and the pitch right."""
    both: OrderPlan = with_settings(
        "drawing.die_diameter_mm = 7.98\ntempering.temperature_degC = 530.0"
    )
    assert float(setting(both, "drawing", "die_diameter_mm").value) == 7.98
    assert float(setting(both, "tempering", "temperature_degC").value) == 530.0
    assert finding(both, "inspection", "pitch_mm") == pytest.approx(24.0, rel=1e-5)
    assert all(one["kind"] != "bare" for one in both.document()["lines"][0]["derivation"])
