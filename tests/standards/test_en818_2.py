"""EN 818-2 as the planner reads it."""

import pytest

from linkwright.catalogue import Sourced, recording
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.en818_2 import (
    OPEN,
    SIZES,
    certificate_items,
    clauses,
    heat_treatment,
    material_limits,
    requirements,
    unmet_material_limits,
)

STEEL = {"C": 0.2, "Mn": 1.2, "Al": 0.03, "S": 0.01, "P": 0.012, "Ni": 0.5, "Cr": 0.5, "Mo": 0.2}


@pytest.mark.parametrize("size", SIZES)
def test_every_size_has_the_same_requirements_with_source_and_basis(size: float) -> None:
    """The names do not depend on the size, each has a limit, a clause and a basis."""
    found = requirements(size)
    assert list(found) == list(requirements(8))
    for name, one in found.items():
        assert one.name == name
        assert one.least is not None or one.greatest is not None
        assert f"{size:g} mm" in one.source
        assert one.basis in {"memory", "retrieved"}
        if one.nominal is not None:
            assert one.met_by(one.nominal)


def test_the_8_mm_chain() -> None:
    """The demo size: forces, elongation, deflection, diameter, weld."""
    found = requirements(8)
    assert found["working_load_limit_t"].greatest == 2.0
    assert found["proof_force_kN"].least == 50.3
    assert found["breaking_force_kN"].least == 80.4
    assert found["total_elongation_percent"].least == 20.0
    assert found["bend_deflection_mm"].least == 6.4
    assert found["weld_affected_length_mm"].greatest == 4.8
    diameter = found["material_diameter_mm"]
    assert (diameter.least, diameter.nominal, diameter.greatest) == (7.68, 8.0, 8.32)
    assert diameter.unit == "mm"


def test_marks_are_at_most_a_metre_apart() -> None:
    """Twenty links or one metre, whichever is shorter."""
    assert requirements(8)["mark_spacing_mm"].greatest == 480.0
    assert requirements(20)["mark_spacing_mm"].greatest == 1000.0


def test_weld_type_2_may_be_thicker_outside_the_plane_across() -> None:
    """Type 2 has a second limit; an unknown type is refused."""
    found = requirements(10, weld_type=2)
    assert found["weld_diameter_mm"].greatest == 12.5
    assert found["weld_diameter_across_mm"].greatest == 11.0
    with pytest.raises(ArgumentError, match="1 or 2"):
        requirements(10, weld_type=3)


def test_a_limit_itself_is_within() -> None:
    """At least means that the limit passes."""
    breaking = requirements(8)["breaking_force_kN"]
    assert breaking.met_by(80.4)
    assert not breaking.met_by(80.3)


def test_numbers_carry_their_row_while_recording() -> None:
    """In the derivation a limit is a row of the standard; nothing is a bare number."""
    with recording() as book:
        least = requirements(8)["breaking_force_kN"].least
        temper = heat_treatment()["tempering_temperature_degC"].least
    assert isinstance(least, Sourced)
    assert isinstance(temper, Sourced)
    entry = book.entries[least.entry]
    assert entry.name == "least_breaking_force_kN"
    assert entry.source == "EN 818-2:1996+A1:2008, 5.4.2, 8 mm"
    assert all(one.kind == "table" for one in book.entries.values())


def test_a_suitable_steel_meets_all_limits() -> None:
    """A nickel-chromium-molybdenum chain steel passes cast and check analysis."""
    assert unmet_material_limits(STEEL) == ()
    assert unmet_material_limits({f"{key}_percent": value for key, value in STEEL.items()}) == ()


def test_one_of_chromium_and_molybdenum_is_enough_but_nickel_is_needed() -> None:
    """Without molybdenum the steel passes; without both, or without nickel, it fails."""
    assert unmet_material_limits(STEEL | {"Mo": 0.0}) == ()
    assert unmet_material_limits(STEEL | {"Cr": 0.0}) == ()
    both = unmet_material_limits(STEEL | {"Cr": 0.1, "Mo": 0.1})
    assert {limit.element for limit in both} == {"Cr", "Mo"}
    assert [limit.element for limit in unmet_material_limits(STEEL | {"Ni": 0.39})] == ["Ni"]


def test_check_analysis_is_wider_than_cast_analysis() -> None:
    """A sulphur content between both limits fails as cast, passes as check."""
    steel = STEEL | {"S": 0.028}
    assert [limit.element for limit in unmet_material_limits(steel)] == ["S"]
    assert unmet_material_limits(steel, "check") == ()


def test_sulphur_has_to_be_stated() -> None:
    """A missing element with a greatest content is an error, not a pass."""
    with pytest.raises(ArgumentError, match="not stated"):
        unmet_material_limits({"Ni": 0.5, "P": 0.01})
    with pytest.raises(UnknownName):
        unmet_material_limits(STEEL, "ladle")


def test_what_is_not_known_is_said() -> None:
    """Limits from memory say so; open points are listed and not filled with numbers."""
    assert {limit.basis for limit in material_limits()} == {"memory"}
    assert any("lot" in point for point in OPEN)
    assert not any("lot" in subject for subject in clauses())
    assert "grade" in certificate_items()
