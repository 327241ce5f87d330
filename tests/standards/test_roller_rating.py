"""Power ratings: the two forms of the formulas beside each other, and their domain."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import ArgumentError, UnknownName, convert
from linkwright.standards.reader import published_table
from linkwright.standards.roller_chain import ansi_chain, iso606_chain
from linkwright.standards.roller_rating import (
    galling_speed,
    iso10823_plate_area,
    iso10823_rating,
    rating_peak_speed,
    roller_chain_rating,
    strand_factor,
    tabulated_power,
    tooth_correction,
)

few = settings(derandomize=True, max_examples=30, deadline=None)
teeth = st.integers(9, 60)
RATED = [row.cells for row in published_table("iso606_chain") if row.cells["series"] in "ABH"]


@pytest.mark.parametrize("cells", RATED, ids=lambda cells: str(cells["chain_number"]))
def test_plate_sections_explain_the_dynamic_strengths(cells: dict) -> None:
    """Fd of ISO 606 is 134 N/mm2 Ai p^(-0.0008 p) within 2.3 %; from 36A and 180H on, 139.

    Two independent memories, the table of ISO 606 and the section of ISO 10823, meet here.
    """
    stress = 139.0 if cells["pitch_mm"] > 57 and cells["series"] in "AH" else 134.0
    area = iso10823_plate_area(chain_number=cells["chain_number"])
    expected = stress * area * cells["pitch_mm"] ** (-0.0008 * cells["pitch_mm"])
    assert cells["dynamic_strength_N"] == pytest.approx(expected, rel=0.023)


@pytest.mark.parametrize("number", ["08A", "10A", "12A", "16A", "20A", "24A", "32A", "40A", "48A"])
def test_metric_and_american_ratings_are_one_rating(number: str) -> None:
    """ISO 10823 and the American Chain Association give series A the same power within 4 %."""
    inch = ansi_chain(chain_number=number).pitch_in
    metric = iso10823_rating(chain_number=number, teeth_small=19, speed_rpm=200.0)
    american = roller_chain_rating(pitch_in=inch, teeth_small=19, speed_rpm=200.0)
    for one, other in zip(metric[1:], american[1:], strict=True):
        assert one == pytest.approx(convert(other, "hp", "kW"), rel=0.04)


@pytest.mark.parametrize(
    ("number", "speed", "power_kW"),
    [("08A", 100, 0.53), ("08A", 500, 2.24), ("10A", 500, 4.34), ("16A", 100, 4.03),
     ("12A", 200, 3.40), ("16A", 300, 11.63)],
)  # fmt: skip
def test_ratings_lie_near_a_printed_table(number: str, speed: float, power_kW: float) -> None:
    """V. B. Bhandari, Design of Machine Elements, Table 14.2, 17 teeth, recalled; within 9 %."""
    found = iso10823_rating(chain_number=number, teeth_small=17, speed_rpm=speed)
    assert found.rated_power_kW == pytest.approx(power_kW, rel=0.09)


@few
@given(pitch=st.sampled_from([0.5, 0.75, 1.0, 1.5, 2.0, 3.0]), count=teeth)
def test_the_rating_peaks_where_plates_and_rollers_limit_alike(pitch: float, count: int) -> None:
    """Slower and faster than the peak speed less is transmitted."""
    peak = rating_peak_speed(pitch_in=pitch, teeth_small=count)
    speeds = peak * np.array([0.9, 1.0, 1.1])
    rated, plates, rollers = roller_chain_rating(
        pitch_in=pitch, teeth_small=count, speed_rpm=speeds
    )
    assert plates[1] == pytest.approx(rollers[1], rel=1e-9)
    assert rated[1] > max(rated[0], rated[2])


@few
@given(count=teeth)
def test_tooth_correction_is_the_ratio_of_ratings(count: int) -> None:
    """Both corrections follow from the rating formulas and are 1 for 17 teeth."""
    below, above = tooth_correction(teeth_small=count)
    one = roller_chain_rating(pitch_in=1.0, teeth_small=count, speed_rpm=300.0)
    other = roller_chain_rating(pitch_in=1.0, teeth_small=17, speed_rpm=300.0)
    assert one.plate_limited_power_hp / other.plate_limited_power_hp == pytest.approx(below)
    assert one.roller_limited_power_hp / other.roller_limited_power_hp == pytest.approx(above)


def test_the_chain_number_brings_its_constants() -> None:
    """No. 41 is rated lower than No. 40 of the same pitch; No. 35 has bushings on the teeth."""
    light = roller_chain_rating(chain_number="41", teeth_small=17, speed_rpm=1800.0)
    assert light.rated_power_hp == pytest.approx(1.7923, rel=1e-4)
    fine = roller_chain_rating(chain_number="35", teeth_small=17, speed_rpm=600.0)
    given = roller_chain_rating(
        pitch_in=0.375, teeth_small=17, speed_rpm=600.0, roller_constant=29.0
    )
    assert fine == given
    with pytest.raises(ArgumentError, match="chain_number"):
        roller_chain_rating(teeth_small=17, speed_rpm=600.0)


def test_a_longer_chain_and_a_shorter_life_spare_the_rollers_only() -> None:
    """Length and hours enter the roller limit by their power of 0.4, never the plate limit."""
    plain = roller_chain_rating(pitch_in=1.0, teeth_small=17, speed_rpm=900.0)
    spared = roller_chain_rating(
        pitch_in=1.0, teeth_small=17, speed_rpm=900.0, chain_length_pitches=200.0, life_h=7500.0
    )
    assert spared.plate_limited_power_hp == plain.plate_limited_power_hp
    assert spared.roller_limited_power_hp == pytest.approx(plain.roller_limited_power_hp * 4**0.4)


def test_galling_comes_earlier_with_pitch_teeth_and_pull() -> None:
    """Each of the three lowers the greatest speed."""
    base = galling_speed(pitch_in=1.0, teeth_small=17, chain_pull_lbf=1000.0)
    assert galling_speed(pitch_in=1.25, teeth_small=17, chain_pull_lbf=1000.0) < base
    assert galling_speed(pitch_in=1.0, teeth_small=25, chain_pull_lbf=1000.0) < base
    assert galling_speed(pitch_in=1.0, teeth_small=17, chain_pull_lbf=1500.0) < base


def test_strands_share_a_load_unevenly() -> None:
    """Each factor lies below its number of strands; seven are not listed."""
    found = strand_factor(strands=np.array([1, 2, 3, 4, 5, 6, 8]))
    assert np.all(np.diff(found) > 0)
    assert np.all(found[1:] < [2, 3, 4, 5, 6, 8])
    with pytest.raises(ArgumentError, match="1, 2, 3, 4, 5, 6, 8"):
        strand_factor(strands=7)
    power = tabulated_power(power_hp=17.0, service_factor=1.0)
    assert power.two_strands_hp == pytest.approx(10.0)


def test_ratings_that_are_not_held_are_refused() -> None:
    """Bush chain and cycle chain have no section here; an unknown chain is named."""
    for number in ("04C", "081", "41"):
        with pytest.raises(ArgumentError, match="series A, B or H"):
            iso10823_plate_area(chain_number=number)
    with pytest.raises(UnknownName):
        iso10823_rating(chain_number="99B", teeth_small=19, speed_rpm=100.0)
    assert iso606_chain(chain_number="41").pitch_mm == 12.7
