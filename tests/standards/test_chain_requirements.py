"""Welded chain standards as a planner reads them."""

from __future__ import annotations

import pytest

from linkwright.catalogue import Sourced, recording
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards import en818_2
from linkwright.standards.chain_requirements import (
    CARBURISE,
    CHAIN_STANDARDS,
    FURNACE,
    INDUCTION,
    NORMALISE,
    ROUTES,
    STUD,
    ChainStandard,
    chain_standard,
)
from linkwright.standards.reader import published_table
from linkwright.works.chains import CHAINS

STEEL = {"C": 0.21, "Si": 0.2, "Mn": 1.3, "P": 0.015, "S": 0.012, "Al": 0.032}
EVERY = pytest.mark.parametrize("chain", CHAIN_STANDARDS, ids=lambda one: one.designation)


def some_size(chain: ChainStandard) -> float:
    """A nominal size that the standard covers."""
    return chain.sizes[len(chain.sizes) // 2] if chain.sizes else 16.0


@EVERY
def test_every_requirement_has_limits_source_and_basis(chain: ChainStandard) -> None:
    """Each number says where it stands and on what it rests; sizes are named in the source."""
    size = some_size(chain)
    found = chain.requirements(size)
    for name, one in found.items():
        assert one.name == name
        assert {one.nominal, one.least, one.greatest} != {None}
        assert f"{size:g} mm" in one.source
        assert one.basis in {"memory", "retrieved"}
        if one.nominal is not None:
            assert one.met_by(one.nominal)


@EVERY
def test_forces_rise_with_size_and_break_is_above_proof(chain: ChainStandard) -> None:
    """Breaking force above proof force, both above those of a smaller size."""
    sizes = chain.sizes or (12.0, 16.0, 20.0)
    rows = [chain.requirements(size) for size in sizes]
    forces = [row["breaking_force_kN"].least or 0.0 for row in rows]
    assert forces == sorted(forces)
    assert len(set(forces)) == len(forces)
    for row in rows:
        if "proof_force_kN" in row:
            assert (row["proof_force_kN"].least or 0.0) < (row["breaking_force_kN"].least or 0.0)


@EVERY
def test_every_chain_says_what_is_open_and_how_it_is_used(chain: ChainStandard) -> None:
    """What is left out is named; routes are known; clauses carry source and basis."""
    assert chain.open
    assert set(chain.routes) <= set(ROUTES)
    assert chain.clauses()
    for clause in chain.clauses().values():
        assert clause.text
        assert clause.source
        assert clause.basis in {"memory", "retrieved"}


def test_every_chain_that_an_order_may_name_is_held() -> None:
    """Standards, grades and types of the order file, and no others."""
    held = {(one.standard, one.grade, one.chain_type) for one in CHAIN_STANDARDS}
    named = {
        (row.standard, grade, kind)
        for row in CHAINS
        if row.product == "welded"
        for grade in row.grades
        for kind in (row.types or ("",))
    }
    assert held == named


def test_en818_2_is_that_of_its_own_file() -> None:
    """Requirements, limits, temper and clauses are delegated."""
    chain = chain_standard("EN 818-2", "8")
    assert chain.requirements(8) == en818_2.requirements(8)
    assert chain.material_limits() == en818_2.material_limits()
    assert chain.heat_treatment() == en818_2.heat_treatment()
    assert chain.clauses() == en818_2.clauses()
    assert chain.sizes == en818_2.SIZES
    assert chain.route == INDUCTION


def test_en818_3_gives_its_printed_table() -> None:
    """Every row of Table 5, and the names of EN 818-2."""
    chain = chain_standard("EN 818-3", "4")
    for row in published_table("en818_3"):
        found = chain.requirements(row.cells["nominal_diameter_mm"])
        assert found["working_load_limit_t"].greatest == row.cells["working_load_limit_t"]
        assert found["proof_force_kN"].least == row.cells["proof_force_kN"]
        assert found["breaking_force_kN"].least == row.cells["breaking_force_kN"]
        printed = row.cells["printed_bend_deflection_mm"]
        assert found["bend_deflection_mm"].least == pytest.approx(printed, abs=0.5)
    missing = set(en818_2.requirements(8)) - set(chain.requirements(8))
    assert missing == {"weld_affected_length_mm"}


def test_grade_4_may_be_normalised_or_hardened() -> None:
    """Two ways of heat treatment, the second one remembered."""
    chain = chain_standard("EN 818-3", "4")
    assert set(chain.routes) == {NORMALISE, FURNACE, INDUCTION}
    assert chain.clauses()["heat treatment"].basis == "retrieved"
    assert chain.clauses()["normalising"].basis == "memory"


def test_hoist_chain_by_type() -> None:
    """Type T is quenched and tempered; DAT and DT need a case on the whole link."""
    hoist, case = chain_standard("EN 818-7", "T"), chain_standard("EN 818-7", "T", "DAT")
    assert hoist.chain_type == "T"
    assert hoist.missing == ()
    assert case.route == CARBURISE
    assert case.missing == ()
    assert "hardness at which the case depth is read" in case.open
    needs, hard = hoist.requirements(10), case.requirements(10)
    assert needs["breaking_force_kN"].least == 126.0
    assert needs["surface_hardness_HV"].least == 360.0
    assert needs["bend_deflection_mm"].least == 8.0
    assert "bend_deflection_mm" not in hard
    assert (hard["case_depth_mm"].least, hard["case_depth_mm"].greatest) == (0.2, 0.4)
    assert "fatigue" in case.clauses()
    assert "fatigue" not in hoist.clauses()


def test_din766_gives_its_table() -> None:
    """Pitch, load and forces of every listed size; tolerances are not held."""
    chain = chain_standard("DIN 766", "3")
    for row in published_table("din766"):
        found = chain.requirements(row.cells["nominal_diameter_mm"])
        assert found["pitch_mm"].nominal == row.cells["pitch_mm"]
        assert found["pitch_mm"].least is None
        assert found["proof_force_kN"].least == row.cells["proof_force_kN"]
        assert found["breaking_force_kN"].least == row.cells["breaking_force_kN"]
        assert found["breaking_force_kN"].basis == row.basis


def test_mining_chain_lacks_its_proof_force() -> None:
    """What is not held cannot be planned with, and may not lift."""
    chain = chain_standard("DIN 22252", "C")
    assert chain.lacking(26) == ("proof_force_kN",)
    assert chain.requirements(26)["breaking_force_kN"].least == 850.0
    assert chain.not_for_lifting


def test_astm_chain_in_kilonewtons() -> None:
    """Grade 80 of 13 mm: 12 000, 24 000 and 48 000 lbf, never rounded up or down."""
    chain = chain_standard("ASTM A391", "80")
    found = chain.requirements(13)
    assert found["working_load_limit_t"].greatest == pytest.approx(12000 * 0.45359237 / 1000)
    assert found["proof_force_kN"].least == pytest.approx(24000 * 4.4482216152605 / 1000)
    assert found["breaking_force_kN"].least == pytest.approx(48000 * 4.4482216152605 / 1000)
    assert found["total_elongation_percent"].least == 20.0
    assert chain.lacking(13) == ("pitch_mm",)
    assert chain.lot()["lot_length_m"].greatest == 1000.0


def test_carbon_steel_chain_may_not_lift_overhead() -> None:
    """A413 says so for all its grades; one sample a lot; grade 70 must be heat-treated."""
    for grade in ("30", "43", "70"):
        chain = chain_standard("ASTM A413", grade)
        assert chain.not_for_lifting
        assert chain.lot()["samples_per_lot_count"].least == 1.0
    assert NORMALISE not in chain_standard("ASTM A413", "70").routes


def test_stud_chain_names_what_is_missing() -> None:
    """Anchor and mooring chain: tables only, with the operations that are not modelled."""
    for standard, grade in (("ISO 1704", "2"), ("DNV-OS-E302", "R4")):
        chain = chain_standard(standard, grade)
        assert chain.route == STUD
        assert "flash-butt welding" in chain.missing
    assert chain_standard("ISO 1704", "2").requirements(50)[
        "breaking_force_kN"
    ].least == pytest.approx(1373.0, abs=0.01)


def test_a_steel_for_grade_4_is_judged_by_its_limits() -> None:
    """21Mn5 meets them; little silicon, much sulphur or no aluminium do not."""
    chain = chain_standard("EN 818-3", "4")
    assert chain.unmet_material_limits(STEEL) == ()
    for change in ({"Si": 0.10}, {"S": 0.028}, {"Al": 0.01}):
        (element,) = change
        assert [one.element for one in chain.unmet_material_limits({**STEEL, **change})] == [
            element
        ]
    assert chain.unmet_material_limits({**STEEL, "S": 0.028}, "check") == ()


def test_an_unstated_sulphur_is_refused() -> None:
    """An element that is limited from above has to be stated, and the analysis named."""
    chain = chain_standard("EN 818-3", "4")
    with pytest.raises(ArgumentError, match="is not stated"):
        chain.unmet_material_limits({key: one for key, one in STEEL.items() if key != "S"})
    with pytest.raises(UnknownName, match="ladle"):
        chain.unmet_material_limits(STEEL, "ladle")


def test_unknown_names_and_sizes_are_refused() -> None:
    """Standard, grade, type and size that are not held; the message lists what is."""
    with pytest.raises(UnknownName, match="EN 818-3"):
        chain_standard("EN 818-33", "4")
    with pytest.raises(UnknownName, match="grade"):
        chain_standard("EN 818-3", "8")
    with pytest.raises(UnknownName, match="chain_type"):
        chain_standard("EN 818-7", "T", "XT")
    with pytest.raises(ArgumentError, match="9"):
        chain_standard("EN 818-3", "4").requirements(9)
    with pytest.raises(ArgumentError, match="4 to 22"):
        chain_standard("EN 818-7", "T").requirements(25)


def test_numbers_carry_their_row_while_recording() -> None:
    """Limits of every standard are sourced numbers of kind table."""
    with recording() as book:
        for chain in CHAIN_STANDARDS:
            for need in chain.requirements(some_size(chain)).values():
                for value in (need.nominal, need.least, need.greatest):
                    assert value is None or isinstance(value, Sourced)
    assert {entry.kind for entry in book.entries.values()} == {"table"}
