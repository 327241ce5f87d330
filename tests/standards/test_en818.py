"""EN 818 parts 2, 3, 4 and 7 as calculations."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.en818 import (
    en818_2_dimensions,
    en818_2_ductility,
    en818_2_forces,
    en818_3_bend_deflection,
    en818_3_dimensions,
    en818_3_forces,
)
from linkwright.standards.en818_4 import (
    en818_4_leg_difference,
    en818_4_leg_factors,
    en818_4_sling_limits,
)
from linkwright.standards.en818_7 import (
    en818_7_bend_deflection,
    en818_7_case_depth,
    en818_7_fatigue,
    en818_7_properties,
)
from linkwright.standards.reader import published_table

SIZES_2 = published_table("en818_2").listed
SIZES_3 = published_table("en818_3").listed


def test_part_3_formulas_give_the_printed_table() -> None:
    """Working load limit and both forces agree with Table 5 in every row."""
    table = published_table("en818_3")
    found = en818_3_forces(nominal_diameter_mm=np.array(SIZES_3))
    for name in found._fields:
        printed = [row.cells[name] for row in table]
        np.testing.assert_allclose(getattr(found, name), printed, rtol=1e-12)


def test_part_3_deflection_agrees_with_the_print_within_its_rounding() -> None:
    """0.8 d lies within half a millimetre of the printed deflection."""
    printed = [row.cells["printed_bend_deflection_mm"] for row in published_table("en818_3")]
    found = en818_3_bend_deflection(nominal_diameter_mm=np.array(SIZES_3))
    np.testing.assert_allclose(found, printed, atol=0.5)


def test_part_2_limits_are_the_listed_ones() -> None:
    """The rule for the working load limit gives the table of sizes."""
    found = en818_2_forces(nominal_diameter_mm=np.array(SIZES_2)).working_load_limit_t
    printed = [row.cells["working_load_limit_t"] for row in published_table("en818_2")]
    np.testing.assert_allclose(found, printed)


@pytest.mark.parametrize("size", SIZES_2)
def test_part_2_forces_keep_their_ratios(size: float) -> None:
    """Break is at least 4 times the limit, proof 0.625 of break within the rounding."""
    limit, proof, breaking = en818_2_forces(nominal_diameter_mm=size)
    assert breaking >= 4.0 * limit * 9.80665 * 0.999
    assert proof / breaking == pytest.approx(0.625, rel=0.006)


@pytest.mark.parametrize("size", SIZES_2)
def test_part_2_dimensions_are_ordered(size: float) -> None:
    """Limits lie on the right side of the nominal and leave room for the next link."""
    link = en818_2_dimensions(nominal_diameter_mm=size)
    assert link.least_pitch_mm < link.pitch_mm < link.greatest_pitch_mm
    assert link.least_inner_width_mm > link.greatest_weld_diameter_mm
    assert link.greatest_outer_width_mm > link.least_inner_width_mm + 2 * size


def test_tolerance_changes_at_18_mm() -> None:
    """4 % below 18 mm, 5 % from 18 mm on."""
    found = en818_2_dimensions(nominal_diameter_mm=np.array([16.0, 18.0])).diameter_tolerance_mm
    np.testing.assert_allclose(found, [0.64, 0.9])


@pytest.mark.parametrize(
    "call", [en818_2_forces, en818_2_dimensions, en818_2_ductility, en818_3_forces]
)
def test_an_unlisted_size_is_refused_also_within_an_array(call: object) -> None:
    """9 mm is no size of either part, alone or among listed ones."""
    assert callable(call)
    for size in (9.0, np.array([8.0, 9.0])):
        with pytest.raises(ArgumentError, match="not listed"):
            call(nominal_diameter_mm=size)


def test_part_3_does_not_list_4_mm() -> None:
    """Part 3 begins at 7 mm, part 2 at 4 mm."""
    with pytest.raises(ArgumentError, match="7, 8, 10"):
        en818_3_dimensions(nominal_diameter_mm=4)


def test_a_scalar_gives_scalars_and_an_array_arrays() -> None:
    """Results have the shape of the size."""
    assert np.ndim(en818_2_ductility(nominal_diameter_mm=8).least_elongation_percent) == 0
    assert en818_2_ductility(nominal_diameter_mm=[8, 10]).least_elongation_percent.shape == (2,)


def test_sling_limit_that_belongs_to_another_size_is_refused() -> None:
    """The limit of 8 mm chain is not taken for 10 mm chain."""
    with pytest.raises(ArgumentError, match="does not belong"):
        en818_4_sling_limits(nominal_diameter_mm=10, working_load_limit_t=2.0)


@pytest.mark.parametrize("size", SIZES_2)
def test_sling_limits_never_exceed_the_factor_on_the_unrounded_load(size: float) -> None:
    """Rounding goes down, at most one step of R40 (6 %)."""
    limits = en818_4_sling_limits(nominal_diameter_mm=size)
    load_t = 2 * np.pi / 4 * size**2 * 200 / 9806.65
    whole = np.array([1.0, 1.4, 1.0, 2.1, 1.5, 1.6]) * load_t
    assert np.all(np.array(limits) <= whole * (1 + 1e-9))
    assert np.all(np.array(limits) >= whole / 1.07)


@settings(derandomize=True, max_examples=30)
@given(limit=st.floats(0.1, 100.0))
def test_leg_factors_are_proportional(limit: float) -> None:
    """Twice the load of a leg is twice the load of every sling."""
    one = np.array(en818_4_leg_factors(working_load_limit_t=limit))
    two = np.array(en818_4_leg_factors(working_load_limit_t=2 * limit))
    np.testing.assert_allclose(two, 2 * one)


def test_leg_difference_is_continuous_at_two_metres() -> None:
    """10 mm and 6 mm hold up to 2 m and go over into 5 and 3 mm a metre."""
    found = en818_4_leg_difference(nominal_length_mm=np.array([500.0, 2000.0, 2000.001]))
    np.testing.assert_allclose(found.greatest_leg_difference_joined_mm, 10.0, rtol=1e-6)
    np.testing.assert_allclose(found.greatest_leg_difference_welded_mm, 6.0, rtol=1e-6)


def test_hoist_chain_hardness_falls_with_size_class() -> None:
    """Bounds of the classes: 7 and 11 mm belong to the middle class."""
    found = en818_7_properties(chain_type="DT", nominal_diameter_mm=[6.9, 7, 11, 11.1])
    np.testing.assert_allclose(found.least_surface_hardness_HV, [550, 550, 550, 500])


def test_case_depth_at_8_mm_satisfies_both_rows() -> None:
    """Where the text cannot be read, the range that meets both rows is given."""
    at_8 = en818_7_case_depth(chain_type="DAT", nominal_diameter_mm=8)
    below = en818_7_case_depth(chain_type="DAT", nominal_diameter_mm=7.9999)
    above = en818_7_case_depth(chain_type="DAT", nominal_diameter_mm=8.0001)
    assert at_8.least_case_depth_mm == pytest.approx(below.least_case_depth_mm, rel=1e-4)
    assert at_8.greatest_case_depth_mm == pytest.approx(above.greatest_case_depth_mm, rel=1e-4)


def test_what_is_asked_of_one_type_only_is_refused_for_the_others() -> None:
    """Case depth and cycles are for DAT and DT, bend deflection for T."""
    with pytest.raises(UnknownName, match="DAT"):
        en818_7_case_depth(chain_type="T", nominal_diameter_mm=8)
    with pytest.raises(UnknownName):
        en818_7_fatigue(chain_type="T")
    with pytest.raises(UnknownName):
        en818_7_bend_deflection(nominal_diameter_mm=8, chain_type="DT")
    with pytest.raises(ArgumentError, match="4 mm to 22 mm"):
        en818_7_properties(chain_type="T", nominal_diameter_mm=23)
