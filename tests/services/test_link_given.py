"""What is asked of one link: three ways of giving the steel, and what is refused."""

import pytest

from linkwright.materials.flow_curves import hollomon_constants
from linkwright.materials.hardness_scales import tensile_strength_from_hardness
from linkwright.materials.steels import steel
from linkwright.mechanics.solid_weld import SOUND, Weld
from linkwright.quantities import ArgumentError, InputErrors, UnknownName
from linkwright.services.link_given import given_link

SIZES = {"wire_diameter_mm": "8 mm", "pitch_mm": 24.0, "inner_width_mm": 10.8}


def test_a_hardness_gives_the_strength_of_iso_18265():
    """And the reduction of area of a tempered steel of that strength."""
    made = given_link({**SIZES, "steel": "23MnNiMoCr5-4", "hardness_HV": "380 HV"})
    strength = tensile_strength_from_hardness(hardness_HV=380.0)
    assert made.curve.tensile_strength_MPa == pytest.approx(strength)
    assert 45 < made.number("reduction_of_area_percent") < 55
    assert "ISO 18265" in made.steel_as
    assert "tempered steel" in made.area_as


def test_a_steel_by_name_alone_is_annealed_rod():
    """Its published K and n are taken as they are."""
    made = given_link({**SIZES, "steel": "21Mn5"})
    row = hollomon_constants(material=steel("21Mn5").flow_curve)
    assert made.curve.strength_coefficient_MPa == row.K_MPa
    assert made.curve.hardening_exponent == row.n
    assert "annealed" in made.steel_as


def test_a_greater_reduction_of_area_bears_more():
    """Limits rise with it; a given one is taken."""
    made = [
        given_link({**SIZES, "tensile_strength_MPa": 1180.0, "reduction_of_area_percent": area})
        for area in (40.0, 60.0)
    ]
    assert made[1].limits.void_strain_limit > 1.5 * made[0].limits.void_strain_limit
    assert made[0].area_as == "given"


def test_a_steel_gets_no_harder_than_its_martensite():
    """The message says how hard it gets, and why."""
    with pytest.raises(ArgumentError, match=r"martensite of 0\.21 % carbon in 21Mn5"):
        given_link({**SIZES, "steel": "21Mn5", "hardness_HV": 580.0})


def test_an_unknown_steel_is_refused_with_the_nearest():
    """By name."""
    with pytest.raises(UnknownName, match="21Mn5"):
        given_link({**SIZES, "steel": "21Mn6"})


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "tensile_strength_MPa"),
        ({"steel": "21Mn5", "tensile_strength_MPa": 800.0}, "stands beside steel"),
        ({"tensile_strength_MPa": 800.0, "weld_ductility_percent": 120.0}, "at most 100"),
        ({"tensile_strength_MPa": 800.0, "fall_percent": 0.0}, "more than 0"),
    ],
    ids=("no steel", "two steels", "weld too good", "no fall"),
)
def test_what_makes_no_sense_is_refused(more, said):
    """With the key and what would be accepted."""
    with pytest.raises(InputErrors) as told:
        given_link(SIZES | more)
    assert said in str([problem.sentence() for problem in told.value.found])


def test_a_weld_on_one_leg_is_the_default_and_none_at_all_if_nothing_differs():
    """Percent become shares; a link without bulge, undercut or zone has legs alike."""
    steel_of = {**SIZES, "tensile_strength_MPa": 1180.0}
    assert given_link(steel_of).weld is SOUND
    made = given_link({**steel_of, "weld_strength_percent": "80%", "weld_zone_mm": 6.0}).weld
    assert made == Weld(zone_strength=0.8, zone_length_mm=6.0)
    both = given_link({**steel_of, "weld_bulge_percent": -5.0, "welded_legs": 2}).weld
    assert both == Weld(one_leg=False, bulge=-0.05)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"welded_legs": 3}, "1 or 2"),
        ({"friction_coefficient": -0.1}, "friction_coefficient"),
        ({"weld_undercut_percent": -1.0}, "weld_undercut_percent"),
    ],
    ids=["legs", "friction", "undercut"],
)
def test_an_impossible_weld_is_refused(more, said):
    """With its key or what would be accepted."""
    with pytest.raises(InputErrors, match=said):
        given_link({**SIZES, "tensile_strength_MPa": 1180.0, **more})


def test_a_stud_is_of_the_steel_of_the_link() -> None:
    """Diameter and squeeze as given; no stud without a diameter."""
    plain = {"wire_diameter_mm": 20, "pitch_mm": 80, "inner_width_mm": 32,
             "tensile_strength_MPa": 690}  # fmt: skip
    assert given_link(plain).stud is None
    made = given_link({**plain, "stud_diameter_mm": "14 mm", "stud_squeeze_mm": 0.1}).stud
    assert made == (14.0, 205.0, 0.1)


def test_a_squeeze_without_a_stud_is_refused() -> None:
    plain = {"wire_diameter_mm": 20, "pitch_mm": 80, "inner_width_mm": 32,
             "tensile_strength_MPa": 690}  # fmt: skip
    with pytest.raises(InputErrors, match="stud_squeeze_mm"):
        given_link({**plain, "stud_squeeze_mm": 0.1})
