"""DIN 766, ASTM, sling rules, mooring, jack, discard and old rules: invariants and errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import ValidityWarning
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.astm_chain import astm_chain_forces, astm_least_elongation
from linkwright.standards.b30 import b30_9_minimum_thickness, b30_9_sling_capacity
from linkwright.standards.din766 import din766_forces
from linkwright.standards.discard import grade4_temperature_factor, grade8_temperature_factor
from linkwright.standards.historical import goodenough_moore_concentration, navy_open_link_load
from linkwright.standards.jack import jack_chain_blank_radial, jack_chain_wire
from linkwright.standards.link_blank import obround_link_blank
from linkwright.standards.mining import mining_chain_breaking_force
from linkwright.standards.mooring import anchor_chain_forces, mooring_chain_forces
from linkwright.standards.osha import osha_minimum_thickness, osha_rated_capacity
from linkwright.standards.reader import published_table
from linkwright.standards.sling import sling_leg_force


def test_din766_rule_gives_its_table() -> None:
    """Forces from the rule agree with those listed, for every listed size."""
    table = published_table("din766")
    found = din766_forces(nominal_diameter_mm=np.array(table.listed))
    for name in ("proof_force_kN", "breaking_force_kN"):
        np.testing.assert_allclose(getattr(found, name), [row.cells[name] for row in table])


def test_din766_needs_a_listed_size_or_a_load_and_its_own_pitch() -> None:
    """An unlisted size without load, and the pitch of another chain, are refused."""
    with pytest.raises(ArgumentError, match="not listed"):
        din766_forces(nominal_diameter_mm=12)
    with pytest.raises(ArgumentError, match="not the pitch"):
        din766_forces(nominal_diameter_mm=10, pitch_mm=40)
    assert din766_forces(nominal_diameter_mm=12, working_load_limit_t=1.6).proof_force_kN == 40


@pytest.mark.parametrize("grade", [30, 43, 70, 80, 100])
def test_astm_tables_rise_with_size_and_keep_their_ratios(grade: int) -> None:
    """Proof is twice, break four times (grade 43: three times) the limit in every row."""
    sizes = np.array(published_table("astm_chain").where(grade=grade).listed)
    limit, proof, breaking = astm_chain_forces(nominal_diameter_mm=sizes, grade=grade)
    assert np.all(np.diff(limit) > 0)
    np.testing.assert_allclose(proof, 2 * limit)
    np.testing.assert_allclose(breaking, (3 if grade == 43 else 4) * limit)


@pytest.mark.parametrize("grade", [80, 100])
def test_astm_alloy_tables_lie_near_the_definition_of_the_grade(grade: int) -> None:
    """The published break is within 2.5 % of the stress on two sections."""
    for size in published_table("astm_chain").where(grade=grade).listed:
        breaking_lbf = astm_chain_forces(nominal_diameter_mm=size, grade=grade).breaking_force_lbf
        stress = breaking_lbf * 4.4482216 / (np.pi / 2 * size**2)
        assert stress == pytest.approx(10 * grade, rel=0.025)


def test_astm_unlisted_size_is_refused_unless_the_definition_is_asked_for() -> None:
    """With grade alone the error lists the sizes; with stress and ratio it is computed."""
    with pytest.raises(ArgumentError, match=r"5\.5, 7, 8"):
        astm_chain_forces(nominal_diameter_mm=9, grade=80)
    with pytest.raises(ArgumentError, match="30, 43, 70, 80, 100"):
        astm_chain_forces(nominal_diameter_mm=8, grade=90)
    with pytest.raises(ArgumentError, match="is needed"):
        astm_chain_forces(nominal_diameter_mm=8)
    found = astm_chain_forces(nominal_diameter_mm=9, mean_stress_break_MPa=800, break_over_wll=4)
    assert found.breaking_force_lbf == pytest.approx(2 * np.pi / 4 * 81 * 800 / 4.4482216)


def test_astm_standard_may_be_written_in_full() -> None:
    """The designation with and without its metric twin is the same standard."""
    assert astm_least_elongation(standard="ASTM A391/A391M") == 20
    with pytest.raises(UnknownName):
        astm_least_elongation(standard="A29")


def test_osha_tables_agree_with_the_rule_behind_them() -> None:
    """Each listed two-, three- and four-leg capacity is within 1.5 % of legs x sin(angle)."""
    table = published_table("osha_capacity")
    for size in table.listed:
        listed = np.array(osha_rated_capacity(nominal_diameter_in=size))
        single = float(table.row(size).cells["single_leg_lbf"])
        rule = np.array(osha_rated_capacity(single_leg_lbf=single))
        np.testing.assert_allclose(listed, rule, rtol=0.015)


def test_osha_other_chain_of_a_listed_size_follows_the_rule() -> None:
    """A stronger chain of 1/2 in is not rated by the old table."""
    found = osha_rated_capacity(nominal_diameter_in=0.5, single_leg_lbf=15000)
    assert found.two_leg_30deg_lbf == pytest.approx(15000)
    with pytest.raises(ArgumentError, match="not listed"):
        osha_rated_capacity(nominal_diameter_in=0.3)
    with pytest.raises(ArgumentError, match="is needed"):
        osha_rated_capacity()


def test_worn_thickness_tables_are_monotone_and_strict() -> None:
    """Thickness rises with size, keeps 77 to 87 % of it; other sizes are refused."""
    sizes = np.array(published_table("osha_thickness").listed)
    found = osha_minimum_thickness(nominal_diameter_in=sizes)
    assert np.all(np.diff(found.minimum_thickness_in) > 0)
    assert np.all((found.remaining_fraction > 0.77) & (found.remaining_fraction < 0.82))
    sizes_mm = np.array(published_table("b30_thickness").listed)
    shares = b30_9_minimum_thickness(nominal_diameter_mm=sizes_mm) / sizes_mm
    np.testing.assert_allclose(shares, np.sqrt(0.75), rtol=0.0095)
    with pytest.raises(ArgumentError, match="not listed"):
        b30_9_minimum_thickness(nominal_diameter_mm=18)


@settings(derandomize=True, max_examples=30)
@given(angle=st.floats(0.0, 60.0), legs=st.integers(1, 4))
def test_leg_forces_balance_the_load(angle: float, legs: int) -> None:
    """The vertical parts of the leg forces sum to the load."""
    force = sling_leg_force(load_kN=10, legs=legs, angle_to_vertical_deg=angle)
    assert legs * force * np.cos(np.radians(angle)) == pytest.approx(10)


def test_wide_slings_are_warned_of() -> None:
    """Above 60 degrees the statics hold but no chain sling is rated."""
    with pytest.warns(ValidityWarning, match="0 ° to 60 °"):
        sling_leg_force(load_kN=10, legs=2, angle_to_vertical_deg=70)
    assert b30_9_sling_capacity(single_leg_lbf=1.0).two_leg_30deg_lbf == pytest.approx(1.0)


def test_mooring_grades_are_ordered_and_proof_is_below_break() -> None:
    """A higher grade is stronger; studless proof is at most stud-link proof."""
    found = [mooring_chain_forces(nominal_diameter_mm=76, grade=g) for g in ("R3", "R3S", "R5")]
    assert np.all(np.diff([one.breaking_force_kN for one in found]) > 0)
    for one in found:
        assert one.proof_force_studless_kN <= one.proof_force_stud_kN < one.breaking_force_kN
    with pytest.raises(UnknownName, match="R4"):
        mooring_chain_forces(nominal_diameter_mm=76, grade="R9")


def test_anchor_grade_may_carry_the_letter_of_a_society() -> None:
    """U2, "2" and 2 are the same; proof of a grade is break of the one below."""
    two = anchor_chain_forces(nominal_diameter_mm=50, grade=2)
    assert anchor_chain_forces(nominal_diameter_mm=50, grade="U2") == two
    assert anchor_chain_forces(nominal_diameter_mm=50, grade=1).breaking_force_kN == (
        two.proof_force_kN
    )
    with pytest.raises(ArgumentError, match="1, 2, 3"):
        anchor_chain_forces(nominal_diameter_mm=50, grade=4)
    with pytest.raises(UnknownName):
        anchor_chain_forces(nominal_diameter_mm=50, grade="U4")
    with pytest.warns(ValidityWarning):
        anchor_chain_forces(nominal_diameter_mm=200, grade=1)


def test_gauge_falls_with_its_number() -> None:
    """From 7/0 to 20 the wire gets thinner; arrays and written zeros are read."""
    numbers = ["7/0", "6/0", "5/0", "4/0", "000", "00", "0"]
    thick = [float(jack_chain_wire(steel_wire_gauge=number)) for number in numbers]
    thin = jack_chain_wire(steel_wire_gauge=np.arange(0.0, 21.0))
    assert np.all(np.diff([*thick[:-1], *thin]) < 0)
    assert thick[-1] == thin[0]
    with pytest.raises(ArgumentError, match="0 to 20"):
        jack_chain_wire(steel_wire_gauge=12.5)


def test_jack_link_takes_all_its_wire() -> None:
    """Two full circles and the neck; the pitch grows by what the neck grows."""
    short = jack_chain_blank_radial(wire_diameter_mm=2, eye_mean_diameter_mm=9, neck_length_mm=0)
    long = jack_chain_blank_radial(wire_diameter_mm=2, eye_mean_diameter_mm=9, neck_length_mm=5)
    assert short.wire_length_mm == pytest.approx(18 * np.pi)
    assert long.pitch_mm - short.pitch_mm == pytest.approx(5)


def test_temperature_bounds_belong_to_the_cooler_row() -> None:
    """200 and 300 degC still count to the lower range; outside the table is refused."""
    found = grade8_temperature_factor(temperature_degC=np.array([-40, 200, 200.1, 300, 400]))
    np.testing.assert_allclose(found, [1, 1, 0.9, 0.9, 0.75])
    np.testing.assert_allclose(
        grade4_temperature_factor(temperature_degC=[300, 400, 475]), [1, 0.75, 0.5]
    )
    for outside in (-41.0, 401.0):
        with pytest.raises(ArgumentError):
            grade8_temperature_factor(temperature_degC=outside)


def test_mining_chain_is_rounded_to_ten_from_14_mm() -> None:
    """Table sizes are multiples of 10 kN; smaller chain keeps the computed force."""
    found = mining_chain_breaking_force(nominal_diameter_mm=np.array([10.0, 22.0, 34.0]))
    np.testing.assert_allclose(found, [125.6637, 610, 1450], rtol=1e-6)


def test_obround_blank_of_a_ring_is_a_circle() -> None:
    """With width equal to length there is no straight; an impossible width is refused."""
    ring = obround_link_blank(wire_diameter_mm=10, pitch_mm=30, outer_width_mm=50)
    assert ring.centreline_length_mm == pytest.approx(40 * np.pi)
    with pytest.raises(ArgumentError, match="between 2 d"):
        obround_link_blank(wire_diameter_mm=10, pitch_mm=30, outer_width_mm=20)


def test_old_rules_scale_as_written() -> None:
    """The Navy's rule goes with the square; a stud lowers the concentration by a quarter."""
    loads = navy_open_link_load(nominal_diameter_in=np.array([0.5, 1.0]))
    assert loads[1] == pytest.approx(4 * loads[0])
    ratios = goodenough_moore_concentration()
    assert ratios.open_ratio / ratios.stud_ratio == pytest.approx(1.25)
