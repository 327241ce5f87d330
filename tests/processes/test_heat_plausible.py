"""The heat of the demo's 8 mm chain against a second, rough reckoning (no source).

Bands in the names of the trade, from nobody's book; what lies outside is explained in
docs/models/heat.md, and the test holds how far.
"""

from __future__ import annotations

import math

import planned
import pytest
from planned import demo, finding, setting

from linkwright.materials.hardness_scales import hardness_iso18265


@pytest.mark.parametrize(
    ("operation", "subject", "low", "high"),
    [
        ("tempering", "tensile_strength_MPa", 1150.0, 1280.0),
        ("tempering", "temper_metal_power_kW", 40.0, 45.0),
        ("quenching", "straight_centre_cooling_rate_K_per_s", 100.0, 900.0),
        # 90 kW without losses; the shell's radiation in 12 s and the standard's specific heat,
        # which takes the change of structure with room to spare, make it 13 % more
        ("hardening", "metal_power_kW", 90.0, 105.0),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_the_demo_lies_in_the_rough_band(
    operation: str, subject: str, low: float, high: float
) -> None:
    """Rough reckoning, no source."""
    assert low < finding(demo(), operation, subject) < high


def test_hardness_after_the_temper() -> None:
    """36 to 41 HRC (rough reckoning, no source)."""
    found = hardness_iso18265(hardness_HV=finding(demo(), "tempering", "hardness_HV"))
    assert 36.0 < float(found.hardness_HRC) < 41.0


def test_the_temper_is_hotter_than_the_rough_one_and_says_how_much() -> None:
    """500 to 530 °C for 10 to 20 s is the rough reckoning; ours is 15 to 35 K hotter, for 25 s.

    At the rough temper our law would leave 4 to 8 % more strength than the force aimed at asks for;
    three published regressions differ by as much. See docs/models/heat.md.
    """
    assert 530.0 < float(setting(demo(), "tempering", "temperature_degC").value) < 565.0
    assert finding(demo(), "tempering", "temper_time_s") == pytest.approx(25.0)


def test_power_into_the_metal_by_hand() -> None:
    """Heat content to 940 °C of a mean specific heat of 0.67 kJ/(kg K), mass and speed: 90 kW."""
    chain = planned.line()["steps"]
    mass = next(step["stock"]["shape"] for step in chain if step["operation"] == "tempering")
    d, p, w = (mass[name] for name in ("wire_diameter_mm", "pitch_mm", "outer_width_mm"))
    wire = math.pi * (w - d) + 2.0 * (p + 2.0 * d - w)
    per_m = math.pi / 4.0 * (d * 1e-3) ** 2 * 7850.0 * wire / p
    by_hand = per_m * 0.1 * 0.67 * 920.0
    assert 85.0 < by_hand < 95.0
    ours = finding(demo(), "hardening", "metal_power_kW")
    assert by_hand < ours < 1.2 * by_hand
