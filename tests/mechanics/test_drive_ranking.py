"""Choice of a roller chain drive: every drive that is admissible, in the declared order."""

from __future__ import annotations

import math
import warnings
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import ValidityWarning, recording
from linkwright.mechanics.chain_path import chain_length, iso10823_centre_distance, wrap_angles
from linkwright.mechanics.chain_pull import chain_sag_pull, chain_speed_and_pull
from linkwright.mechanics.drive_chain import lubrication_as, rated_chains
from linkwright.mechanics.drive_evaluation import LOADS, DriveDuty
from linkwright.mechanics.drive_ranking import (
    STRANDS,
    candidates,
    one_drive,
    ranked_drives,
)
from linkwright.mechanics.drive_size import drive_cost
from linkwright.mechanics.joint_wear import joint_wear_life
from linkwright.mechanics.sprocket import iso606_sprocket_diameters, iso606_tooth_width
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.roller_chain import (
    iso606_chain,
    roller_chain_bearing_area,
    roller_chain_strength,
)
from linkwright.standards.roller_length import allowed_chain_elongation
from linkwright.standards.roller_mass import roller_chain_mass
from linkwright.standards.roller_rating import galling_speed, iso10823_rating, strand_factor
from linkwright.standards.roller_selection import (
    iso10823_application_factor,
    lubrication_speed_limits,
)

DRUM = DriveDuty(
    power_kW=30.0, driver_speed_rpm=96.0, driven_speed_rpm=16.0, hours_per_day=16.0,
    shock="moderate shocks", environment="dusty",
)  # fmt: skip
"""The drive of an invented screening drum."""
LARGE = DriveDuty(power_kW=298.0, driver_speed_rpm=500.0, ratio=2.0, shock="moderate shocks")
"""400 hp, common practice without source."""


def by_hand(duty: DriveDuty, chain: str, strands: int, small: int) -> dict[str, float]:
    """One drive from the published calculations alone: use of limits, wear, cost."""
    ratio = duty.driver_speed_rpm / duty.driven_speed_rpm  # type: ignore[operator]
    large = math.floor(small * ratio + 0.5)
    sizes, speed = iso606_chain(chain_number=chain), duty.driver_speed_rpm
    pitch, roller = sizes.pitch_mm, sizes.greatest_roller_diameter_mm
    teeth = {"teeth_small": small, "teeth_large": large}
    pitches = 2 * math.ceil(chain_length(**teeth, centre_distance_pitches=40.0) / 2 - 1e-9)
    centre = iso10823_centre_distance(**teeth, chain_length_pitches=pitches, pitch_mm=pitch)
    factor = iso10823_application_factor(driven_machine=duty.shock, driver=duty.driver_shock)
    m = strand_factor(strands=strands)
    rating = iso10823_rating(chain_number=chain, teeth_small=small, speed_rpm=speed)
    lasting = (pitches / 120) ** 0.4 * (15000 / duty.life_h) ** 0.4
    mass = roller_chain_mass(chain_number=chain, strands=strands)
    pull = chain_speed_and_pull(
        pitch_mm=pitch, teeth_small=small, speed_rpm=speed, power_kW=duty.power_kW,
        mass_per_length_kg_per_m=mass,
    )  # fmt: skip
    sag = chain_sag_pull(
        mass_per_length_kg_per_m=mass, centre_distance_mm=centre.centre_distance_mm
    )
    force, beside = pull.chain_pull_N, pull.centrifugal_pull_N + sag
    breaking = 1e3 * roller_chain_strength(chain_number=chain, strands=strands).breaking_force_kN
    galls = galling_speed(
        pitch_in=pitch / 25.4,
        teeth_small=small,
        chain_pull_lbf=force * factor / m / 4.4482216152605,
    )
    life = [
        joint_wear_life(
            chain_pull_N=force + pull.centrifugal_pull_N, **teeth, pitch_mm=pitch, speed_rpm=speed,
            bearing_area_mm2=roller_chain_bearing_area(chain_number=chain, strands=strands),
            pin_diameter_mm=sizes.greatest_pin_diameter_mm, chain_length_pitches=pitches,
            wear_rate_mm3_per_Nm=rate,
            allowed_elongation_percent=allowed_chain_elongation(teeth_large=large),
        ).life_h
        for rate in (2.6e-6, 1.4e-7)
    ]  # fmt: skip
    tips = [
        iso606_sprocket_diameters(pitch_mm=pitch, roller_diameter_mm=roller, teeth=z)
        for z in (small, large)
    ]
    clear = 1.05 * sum(tip.greatest_tip_diameter_mm for tip in tips) / 2
    widths = iso606_tooth_width(inner_width_mm=sizes.least_inner_width_mm, pitch_mm=pitch)
    discs = sum(math.pi / 4 * tip.pitch_diameter_mm**2 for tip in tips)
    wrap = wrap_angles(**teeth, centre_distance_pitches=centre.centre_distance_pitches)
    return {
        "link plates": duty.power_kW * factor / (m * rating.plate_limited_power_kW),
        "rollers": duty.power_kW * factor / (m * rating.roller_limited_power_kW * lasting),
        "galling": speed / galls,
        "static": 7 * (force + beside) / breaking,
        "dynamic": 5 * (force * factor + beside) / breaking,
        "wear": duty.life_h / life[1],
        "wrap": 120 / wrap.wrap_angle_small_deg,
        "shafts": clear / centre.centre_distance_mm,
        "ratio": abs(large / (small * ratio) - 1) * 100 / 2,
        "middle": duty.life_h / math.sqrt(life[0] * life[1]),
        "cost": drive_cost(
            chain_mass_kg=mass * pitches * pitch / 1e3,
            sprocket_mass_kg=discs * widths[strands > 1] * strands * 7.85e-6,
            strands=strands, teeth_small=small, usual_teeth=19,
            centre_distance_pitches=centre.centre_distance_pitches,
        ),
    }  # fmt: skip


def test_ranking_equals_a_loop_over_the_published_calculations() -> None:
    """The same drives are admissible, and each chain's best and their order are the same."""
    found: dict[tuple[str, int], tuple[bool, float, int]] = {}
    count = 0
    chains = rated_chains()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        for chain in chains:
            for strands in STRANDS:
                for small in range(11, 26):
                    one = by_hand(DRUM, chain, strands, small)
                    late, cost = one.pop("middle") > 1, one.pop("cost")
                    if max(one.values()) <= 1:
                        count += 1
                        new = (late, float(cost), small)
                        found[chain, strands] = min(found.get((chain, strands), new), new)
    ranking = ranked_drives(DRUM)
    order = sorted(found, key=lambda key: (*found[key][:2], chains.index(key[0]), key[1]))
    assert ranking.admissible == count
    assert [(row.chain_number, row.strands) for row in ranking.rows] == order
    assert [row.teeth_small for row in ranking.rows] == [found[key][2] for key in order]
    refused = {one.chain_number for one in ranking.refused}
    assert refused == set(chains) - {chain for chain, _ in found}


def test_a_duplex_is_among_the_drives_of_the_drum() -> None:
    """Moderate or heavy shocks: a duplex can do the invented drum."""
    for shock in ("moderate shocks", "heavy shocks"):
        assert 2 in {row.strands for row in ranked_drives(replace(DRUM, shock=shock)).rows}


def test_400_hp_needs_several_strands_of_sensible_size() -> None:
    """298 kW is carried by several strands, at speeds and teeth that a works would take."""
    best = ranked_drives(LARGE).rows[0]
    assert best.strands > 1
    assert 17 <= best.teeth_small <= 35
    assert 5.0 < best.numbers.chain_speed_m_per_s < 20.0
    assert best.numbers.dynamic_safety_factor > 8.0


@pytest.mark.parametrize("duty", [DRUM, LARGE, replace(DRUM, centre_distance_mm=1500.0)])
def test_the_chosen_drive_is_computed_again_with_its_derivation(duty: DriveDuty) -> None:
    """One drive alone has the numbers of the ranking, and none of them lost its source."""
    row = ranked_drives(duty).rows[0]
    with recording() as book, warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        again = one_drive(duty, row)
    for name, value in vars(row.numbers).items():
        if name != "used":
            assert float(getattr(again, name)) == pytest.approx(value, rel=1e-12), name
    bare = {entry.name for entry in book.entries.values() if entry.kind == "bare"}
    given = {"power_kW", "driver_speed_rpm", "driven_speed_rpm", "ratio", "life_h",
             "centre_distance_mm"}  # fmt: skip
    assert bare <= given


def test_more_power_never_admits_more() -> None:
    """Every drive that is admissible at a higher power is admissible at a lower one."""
    weak, strong = (candidates(replace(DRUM, power_kW=power)).used <= 1 for power in (20.0, 40.0))
    assert np.all(weak[strong])
    assert weak.sum() > strong.sum() > 0


def test_rows_are_limited_by_a_load_and_refused_chains_by_what_they_miss() -> None:
    """Use of an admissible drive is at most 1; nearest refused chains come first."""
    ranking = ranked_drives(DRUM)
    assert all(row.limited_by in LOADS and row.used <= 1 for row in ranking.rows if row.lasting)
    missed = [one.nearest.used for one in ranking.refused]
    assert min(missed) > 1
    assert missed == sorted(missed)


def test_room_and_oil_narrow_the_choice() -> None:
    """A least diameter, a least width and no more than dripping oil are kept."""
    duty = replace(
        DRUM, greatest_sprocket_diameter_mm=1400.0, greatest_width_mm=200.0, lubrication="bath"
    )
    rows = ranked_drives(duty).rows
    assert rows
    for row in rows:
        assert row.numbers.tip_diameter_large_mm <= 1400.0
        assert row.numbers.width_mm <= 200.0
        assert row.numbers.lubrication_class <= 2
    assert len(rows) < len(ranked_drives(DRUM).rows)


def test_named_teeth_are_kept() -> None:
    """Teeth that the duty names are the only ones tried, whatever ratio they make."""
    rows = ranked_drives(replace(DRUM, teeth_small=17, teeth_large=100)).rows
    assert {(row.teeth_small, row.teeth_large) for row in rows} == {(17, 100)}
    rows = ranked_drives(replace(DRUM, teeth_large=114)).rows
    assert {(row.teeth_small, row.teeth_large) for row in rows} == {(19, 114)}


def test_a_drive_to_higher_speed_has_its_small_sprocket_on_the_driven_shaft() -> None:
    """96 to 16 rev/min and 16 to 96 rev/min at one power are the same chain drive."""
    up = ranked_drives(replace(DRUM, driver_speed_rpm=16.0, driven_speed_rpm=96.0))
    assert up.rows == ranked_drives(DRUM).rows


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"power_kW": 0.0}, "power_kW"),
        ({"driven_speed_rpm": 4.0}, "two stages"),
        ({"driven_speed_rpm": None}, "either the driven speed or the ratio"),
        ({"teeth_small": 8}, "11 to 150"),
        ({"teeth_small": 40}, "no partner"),
        ({"life_h": math.inf}, "life_h"),
        ({"lubrication": "wax"}, "drip"),
        ({"shock": "rough"}, "heavy shocks"),
    ],
)
def test_a_bad_duty_is_told_in_a_sentence(change: dict[str, Any], told: str) -> None:
    """What is wrong and what is accepted."""
    with pytest.raises((ArgumentError, UnknownName)) as error:
        ranked_drives(replace(DRUM, **change))
    assert told in str(error.value)


def test_limiting_speeds_stand_for_the_nearest_pitch() -> None:
    """Series B has no limiting speeds of its own: those of the nearest ANSI pitch are taken."""
    pairs = {"16A": "80", "80H": "80", "16B": "80", "05B": "35", "72B": "240", "28B": "140"}
    assert {chain: lubrication_as(chain) for chain in pairs} == pairs
    limits = lubrication_speed_limits(chain_number="80")
    assert limits.greatest_speed_type_a_m_per_s == pytest.approx(0.838, abs=0.001)
