"""Roller chains by number: the cells of the tables held against each other, numbers, errors."""

import math

import numpy as np
import pytest

from linkwright.catalogue import ValidityWarning
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.reader import Row, published_table
from linkwright.standards.roller_chain import (
    ansi_chain,
    iso606_chain,
    read_chain_number,
    roller_chain_bearing_area,
    roller_chain_strength,
)

TABLE = published_table("iso606_chain")
BY_SERIES = {
    series: [row.cells for row in TABLE if row.cells["series"] == series] for series in "ABH"
}
MULTIPLE = [row.cells for row in TABLE if "greatest_pin_length_duplex_mm" in row.cells]


@pytest.mark.parametrize("cells", MULTIPLE, ids=lambda cells: str(cells["chain_number"]))
def test_each_further_strand_lengthens_the_pin_by_a_transverse_pitch(cells: dict) -> None:
    """b5 - b4 and b6 - b5 of ISO 606 are the transverse pitch, to the rounding of its table."""
    lengths = [cells[f"greatest_pin_length_{name}_mm"] for name in ("simplex", "duplex", "triplex")]
    np.testing.assert_allclose(np.diff(lengths), cells["transverse_pitch_mm"], atol=0.3)


@pytest.mark.parametrize("row", TABLE.rows, ids=lambda row: str(row.cells["chain_number"]))
def test_parts_of_a_chain_fit_into_each_other(row: Row) -> None:
    """Pin in bushing, bushing in roller, inner link between outer plates, plates in their path."""
    cells = row.cells
    assert 0 < cells["least_bushing_bore_mm"] - cells["greatest_pin_diameter_mm"] < 0.06
    assert cells["least_bushing_bore_mm"] < cells["greatest_roller_diameter_mm"]
    play = cells["least_outer_link_opening_mm"] - cells["greatest_inner_link_width_mm"]
    assert 0.04 < play < 0.14
    assert 0.2 < cells["least_path_depth_mm"] - cells["greatest_plate_height_mm"] < 1.1
    assert cells["greatest_plate_height_mm"] < cells["pitch_mm"]
    transverse = cells.get("transverse_pitch_mm", math.inf)
    assert transverse > cells["greatest_inner_link_width_mm"]


@pytest.mark.parametrize("cells", BY_SERIES["A"], ids=lambda cells: str(cells["chain_number"]))
def test_series_a_follows_the_proportions_of_asme_b29_1(cells: dict) -> None:
    """Plates 0.95 p and 0.82 p high, 12500 p^2 lbf a strand, sizes of the ANSI chain in mm."""
    pitch_in = cells["pitch_mm"] / 25.4
    assert cells["greatest_plate_height_mm"] == pytest.approx(0.95 * cells["pitch_mm"], rel=2e-3)
    assert cells["greatest_outer_plate_height_mm"] == pytest.approx(
        0.82 * cells["pitch_mm"], rel=2e-3
    )
    strength = 12500 * pitch_in**2 * 4.4482216e-3
    for strands, name in enumerate(("simplex", "duplex", "triplex"), start=1):
        assert cells[f"breaking_force_{name}_kN"] == pytest.approx(strands * strength, rel=4e-3)
    ansi = ansi_chain(chain_number=cells["ansi_number"])
    for iso, inch in (
        ("greatest_roller_diameter_mm", ansi.roller_diameter_in),
        ("least_inner_width_mm", ansi.inner_width_in),
        ("greatest_pin_diameter_mm", ansi.pin_diameter_in),
        ("transverse_pitch_mm", ansi.transverse_pitch_in),
    ):
        assert cells[iso] == pytest.approx(25.4 * inch, rel=0.015)


@pytest.mark.parametrize("cells", BY_SERIES["H"], ids=lambda cells: str(cells["chain_number"]))
def test_heavy_chain_differs_from_series_a_by_its_plates_alone(cells: dict) -> None:
    """Equal joints and strengths; each of four plates adds its thicker share to a strand."""
    heavy = ansi_chain(chain_number=cells["chain_number"])
    usual = ansi_chain(chain_number=cells["chain_number"].removesuffix("H"))
    plain = iso606_chain(chain_number=cells["chain_number"].removesuffix("H"))
    assert cells["breaking_force_simplex_kN"] == plain.breaking_force_simplex_kN
    assert cells["greatest_pin_diameter_mm"] == plain.greatest_pin_diameter_mm
    thicker = 25.4 * (heavy.plate_thickness_in - usual.plate_thickness_in)
    wider = cells["transverse_pitch_mm"] - plain.transverse_pitch_mm
    assert wider == pytest.approx(4 * thicker, rel=0.07)


def test_strengths_rise_with_pitch_in_each_series() -> None:
    """A greater pitch of one series breaks later, statically and in fatigue."""
    for rows in BY_SERIES.values():
        for name in ("pitch_mm", "breaking_force_simplex_kN", "dynamic_strength_N"):
            assert np.all(np.diff([cells[name] for cells in rows]) > 0), name


def test_multiple_strands_of_series_b_do_not_exceed_their_sum() -> None:
    """Duplex and triplex of series B hold at most two and three times the simplex force."""
    for cells in BY_SERIES["B"]:
        single = cells["breaking_force_simplex_kN"]
        assert cells["breaking_force_duplex_kN"] <= 2.005 * single
        assert cells["breaking_force_triplex_kN"] <= 3.005 * single


@pytest.mark.parametrize(
    ("text", "chain", "strands"),
    [
        ("16b", "16B", 1), ("16B-2", "16B", 2), ("ISO 606 16B-3", "16B", 3), ("80-3", "80", 3),
        ("ANSI 60H", "60H", 1), ("No. 40", "40", 1), ("DIN 8187 08B - 2", "08B", 2),
        ("#41", "41", 1), ("160H-4", "160H", 4), ("081", "081", 1),
    ],
)  # fmt: skip
def test_a_chain_number_is_read_as_people_write_it(text: str, chain: str, strands: int) -> None:
    """Standard, letters of any case and strands are taken apart."""
    assert read_chain_number(text) == (chain, strands)


@pytest.mark.parametrize(
    "text", ["", "B16", "16B-0", "16B--2", "16B-2-3", "sixteen", "1234", "16 2B"]
)
def test_what_is_no_chain_number_says_what_would_be_one(text: str) -> None:
    """Anything else is refused with an example."""
    with pytest.raises(ArgumentError, match="16B-2"):
        read_chain_number(text)


def test_both_standards_find_the_same_chain() -> None:
    """08A is 40, 085 is 41; heavy chain keeps its number; a number not held is named."""
    assert iso606_chain(chain_number="40") == iso606_chain(chain_number="08A")
    assert ansi_chain(chain_number="16A") == ansi_chain(chain_number="80")
    assert iso606_chain(chain_number="41").greatest_roller_diameter_mm == 7.77
    assert ansi_chain(chain_number="80H").plate_thickness_in == 0.156
    with pytest.raises(UnknownName, match="16B"):
        iso606_chain(chain_number="16C")
    with pytest.raises(UnknownName, match="60"):
        ansi_chain(chain_number="16B")


def test_a_list_of_chains_gives_arrays() -> None:
    """Each element is the single call; a cell that is not held is nan."""
    found = iso606_chain(chain_number=["16B", "081"])
    np.testing.assert_array_equal(found.pitch_mm, [25.4, 12.7])
    assert np.isnan(found.transverse_pitch_mm[1])
    np.testing.assert_array_equal(iso606_chain(chain_number="16B, 081").pitch_mm, [25.4, 12.7])
    assert np.isnan(found.dynamic_strength_N[1])
    mass = iso606_chain(chain_number="16A").mass_per_length_kg_per_m
    assert mass == pytest.approx(1.71 * 0.45359237 / 0.3048)


def test_strength_takes_the_strands_of_the_number_or_those_given() -> None:
    """Cells of the standard up to three strands, with a preload of a third."""
    assert roller_chain_strength(chain_number="16B-2").breaking_force_kN == 106
    several = roller_chain_strength(chain_number="16B", strands=[1, 2, 3])
    np.testing.assert_array_equal(several.breaking_force_kN, [60, 106, 160])
    np.testing.assert_array_equal(several.measuring_force_N, [500, 1000, 1490])
    np.testing.assert_allclose(several.preload_kN, several.breaking_force_kN / 3)


def test_more_than_three_strands_carry_a_warning() -> None:
    """Six strands of series A are six times the simplex force and by agreement."""
    with pytest.warns(ValidityWarning, match="strands"):
        found = roller_chain_strength(chain_number="32A", strands=6)
    assert found.breaking_force_kN == pytest.approx(6 * 223)
    assert found.greatest_pin_length_mm == pytest.approx(182.9 + 3 * 58.55)


@pytest.mark.parametrize(("chain", "strands"), [("081", 2), ("16B", 1.5), ("16B", 7), ("16B", 0)])
def test_strands_that_do_not_exist_are_refused(chain: str, strands: float) -> None:
    """Cycle chain has one strand; strands are whole numbers from one to six."""
    with pytest.raises(ArgumentError, match="strands"):
        roller_chain_strength(chain_number=chain, strands=strands)


def test_bearing_area_comes_from_sizes_or_from_the_number() -> None:
    """Given sizes stand before the table; without either the error says what is needed."""
    by_number = roller_chain_bearing_area(chain_number="16B")
    assert by_number == pytest.approx(8.28 * 25.45)
    assert roller_chain_bearing_area(pin_diameter_mm=8.0, inner_link_width_mm=25.0) == 200
    worn = roller_chain_bearing_area(chain_number="16B", pin_diameter_mm=8.0, strands=2)
    assert worn == pytest.approx(2 * 8.0 * 25.45)
    with pytest.raises(ArgumentError, match="pin_diameter_mm"):
        roller_chain_bearing_area(pin_diameter_mm=8.0)
