"""A drive duty leads to a chain: screening drum, heavy multi-strand drive, derivations."""

from dataclasses import fields, replace
from time import perf_counter

import pytest

from linkwright.mechanics.drive_evaluation import DriveDuty, Evaluated
from linkwright.mechanics.drive_ranking import ranked_drives
from linkwright.quantities import ArgumentError, InputErrors, UnknownName
from linkwright.services.drive_choice import NoDrive, choose_drive, duty_of_values
from linkwright.works import demo_works, order_of_bytes

DRUM = DriveDuty(
    power_kW=30.0, driver_speed_rpm=96.0, driven_speed_rpm=16.0, hours_per_day=16.0,
    shock="heavy shocks", environment="dusty",
)  # fmt: skip
ORDER = """[order]
number = "Q-1"
customer = "Invented quarry"
due = 2026-12-18
[[line]]
[line.drive]
power = "30 kW"
driver_speed = "96 rpm"
driven_speed = "16 rpm"
hours_per_day = 16
shock = "heavy shocks"
environment = "dusty"
"""


@pytest.mark.parametrize("shock", ["moderate shocks", "heavy shocks"])
def test_screening_drum(shock: str) -> None:
    """30 kW from 96 to 16 rpm: a ratio of 6 within 2 %, a duplex among the drives, slow chain."""
    found = choose_drive(DriveDuty(30.0, 96.0, driven_speed_rpm=16.0, shock=shock))
    assert any(row.strands == 2 for row in found.rows)
    for row in found.rows:
        assert row.teeth_large / row.teeth_small == pytest.approx(6.0, rel=0.02)
        assert max(row.numbers.used.values()) <= 1.0 + 1e-9
        assert row.numbers.chain_speed_m_per_s < 4.0
    assert found.refused[0].nearest.used > 1.0


def test_a_heavy_multi_strand_drive_carries_400_hp() -> None:
    """Common practice, no source: several strands of a heavy chain carry about 298 kW."""
    found = choose_drive(DriveDuty(298.0, 600.0, ratio=2.0))
    assert any(row.strands >= 2 and row.numbers.chain_speed_m_per_s < 20 for row in found.rows)


def test_every_number_of_the_first_drive_has_its_derivation() -> None:
    """Nothing rests on a bare number, and the numbers are those of the ranking."""
    found = choose_drive(DRUM)
    assert not [entry for entry in found.derivation.entries.values() if entry.kind == "bare"]
    best = found.rows[0].numbers
    for name in (field.name for field in fields(Evaluated) if field.name != "used"):
        assert float(getattr(found.numbers, name)) == pytest.approx(getattr(best, name), rel=1e-12)
    names = [entry.name for entry in found.behind("shaft_load_N")]
    assert {"power_kW", "driver_speed_rpm"} <= set(names)
    with pytest.raises(UnknownName):
        found.behind("colour")


def test_a_line_of_an_order_gives_the_same_choice_with_its_lines() -> None:
    (line,) = order_of_bytes(ORDER.encode()).lines
    assert line.drive is not None
    found = choose_drive(line.drive)
    assert found.to_dict()["rows"] == choose_drive(DRUM).to_dict()["rows"]
    sources = {entry.name: entry.source for entry in found.derivation.entries.values()}
    assert sources["power_kW"] == "order.toml:7 [line.drive] power"


def test_the_works_own_factor_for_dust_shortens_the_band_and_is_told() -> None:
    """Each life is divided by it; without it, or for a place without one, the answer says so."""
    clean, wear = choose_drive(DRUM), demo_works().wear
    assert wear is not None
    dusty = choose_drive(DRUM, wear=wear)
    factor = float(wear.dusty_factor)
    lives = {(row.chain_number, row.strands, row.teeth_small): row.numbers.least_wear_life_h
             for row in clean.rows}  # fmt: skip
    shared = [
        (row.numbers.least_wear_life_h, lives[key])
        for row in dusty.rows
        if (key := (row.chain_number, row.strands, row.teeth_small)) in lives
    ]
    assert len(shared) > 10
    assert all(one * factor == pytest.approx(other, rel=1e-12) for one, other in shared)
    assert "times 3, the works' own factor for dust" in dusty.to_dict()["wear_band"]
    assert "does not know dust" in clean.to_dict()["wear_band"]
    sources = [one.source for one in dusty.behind("least_wear_life_h")]
    assert any("dusty_factor" in source for source in sources)
    wet = choose_drive(replace(DRUM, environment="wet"), wear=wear)
    assert "does not know water" in wet.to_dict()["wear_band"]
    assert choose_drive(replace(DRUM, environment="clean")).to_dict()["wear_band"] == ""


def test_the_whole_ranking_takes_less_than_two_tenths_of_a_second() -> None:
    started = perf_counter()
    ranked_drives(replace(DRUM, wear_factor=3.0))
    assert perf_counter() - started < 0.2


def test_sprockets_are_those_of_the_first_drive() -> None:
    found = choose_drive(DRUM)
    small, large = found.sprockets
    best = found.rows[0]
    assert (small.teeth, large.teeth) == (best.teeth_small, best.teeth_large)
    assert large.to_dict()["greatest_tip_diameter_mm"] == pytest.approx(
        best.numbers.tip_diameter_large_mm
    )


def test_room_lubrication_and_teeth_are_kept() -> None:
    """What the place fixes holds for every row."""
    asked = DriveDuty(
        5.0, 300.0, ratio=3.0, teeth_small=21.0, lubrication="bath",
        greatest_sprocket_diameter_mm=600.0, greatest_width_mm=80.0,
    )  # fmt: skip
    found = choose_drive(asked)
    for row in found.rows:
        assert row.teeth_small == 21
        assert row.numbers.lubrication_class <= 2
        assert row.numbers.tip_diameter_large_mm <= 600.0
        assert row.numbers.width_mm <= 80.0


def test_what_cannot_be_says_why() -> None:
    with pytest.raises(NoDrive, match="nearest is"):
        choose_drive(DriveDuty(9000.0, 20.0, ratio=6.0))
    with pytest.raises(ArgumentError, match="two stages"):
        choose_drive(DriveDuty(5.0, 300.0, ratio=14.9))
    with pytest.raises(UnknownName, match="dusty"):
        choose_drive(DriveDuty(5.0, 300.0, ratio=3.0, environment="dustyy"))


def test_all_wrong_values_at_once() -> None:
    with pytest.raises(InputErrors) as caught:
        duty_of_values({"power_kW": "30 apples", "driver_speed_rpm": None, "life_h": "-1 h"})
    assert {one.key for one in caught.value.found} == {
        "power_kW", "driver_speed_rpm", "life_h", "ratio",
    }  # fmt: skip
