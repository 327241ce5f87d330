"""The numerical requirements of one size of each welded chain standard, from its own tables.

One function a standard, each giving `ChainRequirement` rows with the names that
`en818_2.requirements` uses where the thing is the same; `ROWS` finds them by standard. What
was not read and is not remembered with certainty is left out here and named as open in
``data/chain_standards.toml``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.quantities import ArgumentError, convert
from linkwright.standards import en818_2
from linkwright.standards.astm_chain import astm_chain_forces, astm_least_elongation
from linkwright.standards.din766 import din766_forces
from linkwright.standards.en818 import (
    STANDARD_GRAVITY_M_PER_S2,
    en818_3_bend_deflection,
    en818_3_dimensions,
    en818_3_forces,
    load_on_two_sections_N,
)
from linkwright.standards.en818_7 import (
    en818_7_bend_deflection,
    en818_7_case_depth,
    en818_7_properties,
    en818_7_weld_diameter,
)
from linkwright.standards.mining import mining_chain_breaking_force
from linkwright.standards.mooring import (
    anchor_chain_forces,
    mooring_chain_forces,
    mooring_chain_steel,
)
from linkwright.standards.preferred_numbers import to_figures
from linkwright.standards.reader import published_table
from linkwright.standards.requirement import ChainRequirement, RowSource

_MARK_LINKS, _MARK_SPACING_MM = 20, 1000.0
_TOTAL_ELONGATION_OF_GRADE_4_PERCENT = 20.0
_GRADE_T_BREAK_MPA, _GRADE_T_PROOF_MPA = 800.0, 500.0


class Chain(NamedTuple):
    """Which chain is asked for: edition as cited, grade, type where there are types."""

    edition: str
    grade: str
    chain_type: str


Rows = list[ChainRequirement]


def _en818_2_rows(chain: Chain, size: float) -> Rows:
    return list(en818_2.requirements(size).values())


def _en818_3_rows(chain: Chain, size: float) -> Rows:
    with not_recording():
        link, forces = (
            en818_3_dimensions(nominal_diameter_mm=size),
            en818_3_forces(nominal_diameter_mm=size),
        )
        bent = en818_3_bend_deflection(nominal_diameter_mm=size)
    made = RowSource(chain.edition, f"{size:g} mm", "retrieved").requirement
    off = link.diameter_tolerance_mm
    spacing = min(_MARK_LINKS * link.pitch_mm, _MARK_SPACING_MM)
    return [
        made("material_diameter_mm", "diameter of the material, except at the weld", "5.2.2",
             nominal=size, least=np.round(size - off, 2), greatest=np.round(size + off, 2)),
        made("pitch_mm", "inner length of a link", "5.2.5", nominal=link.pitch_mm,
             least=link.least_pitch_mm, greatest=link.greatest_pitch_mm),
        made("inner_width_mm", "inner width of a link", "5.2.5", least=link.least_inner_width_mm),
        made("outer_width_mm", "outer width of a link over the weld", "5.2.5",
             greatest=link.greatest_outer_width_mm),
        made("weld_diameter_mm", "diameter at the weld in any direction", "5.2.3",
             greatest=link.greatest_weld_diameter_mm),
        made("working_load_limit_t", "working load limit", "Table 5",
             greatest=forces.working_load_limit_t),
        made("proof_force_kN", "manufacturing proof force", "5.4.1, Table 5",
             least=forces.proof_force_kN),
        made("breaking_force_kN", "breaking force", "5.4.2, Table 5",
             least=forces.breaking_force_kN),
        made("total_elongation_percent", "total ultimate elongation", "5.4.2",
             least=_TOTAL_ELONGATION_OF_GRADE_4_PERCENT, basis="memory"),
        made("bend_deflection_mm", "bend deflection of a single link", "5.4.3, Table 5",
             least=float(np.round(bent, 2))),
        made("mark_spacing_mm", "spacing of grade mark 4: every twentieth link or every metre", "7",
             greatest=spacing, basis="memory"),
    ]  # fmt: skip


def _en818_7_rows(chain: Chain, size: float) -> Rows:
    with not_recording():
        asked = en818_7_properties(chain_type=chain.chain_type, nominal_diameter_mm=size)
        weld = en818_7_weld_diameter(nominal_diameter_mm=size)
        breaking, proof = (
            to_figures(load_on_two_sections_N(size, stress) / 1000.0)
            for stress in (_GRADE_T_BREAK_MPA, _GRADE_T_PROOF_MPA)
        )
    made = RowSource(chain.edition, f"type {chain.chain_type}, {size:g} mm", "retrieved")
    row = made.requirement
    found = [
        row("material_diameter_mm", "diameter of the material", "5.2", nominal=size),
        row("pitch_mm", "inner length of a link, 3 d", "Annex A", nominal=3.0 * size,
            basis="memory"),
        row("weld_diameter_mm", "diameter at the weld in any direction", "5.2, Table 2",
            greatest=float(np.round(weld, 2))),
        row("proof_force_kN", "manufacturing proof force, 500 N/mm2 on two sections", "5.4.1",
            least=proof, basis="memory"),
        row("breaking_force_kN", "breaking force, 800 N/mm2 on two sections (grade T)", "5.4.2",
            least=breaking),
        row("total_elongation_percent", "total ultimate elongation", "Table 7",
            least=asked.least_elongation_percent),
        row("surface_hardness_HV", "hardness of the surface", "Table 7",
            least=asked.least_surface_hardness_HV),
        row("mark_spacing_mm", "spacing of the mark: every twentieth link or every metre", "7",
            greatest=min(_MARK_LINKS * 3.0 * size, _MARK_SPACING_MM), basis="memory"),
    ]  # fmt: skip
    return found + _of_type(chain, size, made)


def _of_type(chain: Chain, size: float, made: RowSource) -> Rows:
    """Bend deflection of type T, case depth of the case-hardened types."""
    if chain.chain_type == "T":
        with not_recording():
            bent = en818_7_bend_deflection(nominal_diameter_mm=size)
        subject, deflection = "bend deflection of a single link", float(np.round(bent, 2))
        return [made.requirement("bend_deflection_mm", subject, "Table 7", least=deflection)]
    with not_recording():
        depth = en818_7_case_depth(chain_type=chain.chain_type, nominal_diameter_mm=size)
    least, greatest = (float(np.round(one, 3)) for one in depth)
    subject = "depth of the hardened case"
    return [
        made.requirement("case_depth_mm", subject, "Table 8", least=least, greatest=greatest),
    ]


def _din766_rows(chain: Chain, size: float) -> Rows:
    listed = published_table("din766").row(size, "nominal_diameter_mm")
    with not_recording():
        forces = din766_forces(nominal_diameter_mm=size)
    made = RowSource(chain.edition, f"{size:g} mm", listed.basis).requirement
    return [
        made("material_diameter_mm", "diameter of the material", "Table 1", nominal=size),
        made("pitch_mm", "inner length of a link", "Table 1",
             nominal=float(listed.cells["pitch_mm"])),
        made("working_load_limit_t", "load capacity", "table of forces",
             greatest=float(listed.cells["working_load_limit_t"])),
        made("proof_force_kN", "manufacturing proof force", "table of forces",
             least=forces.proof_force_kN),
        made("breaking_force_kN", "breaking force", "table of forces",
             least=forces.breaking_force_kN),
    ]  # fmt: skip


def _din22252_rows(chain: Chain, size: float) -> Rows:
    listed = published_table("mining").row(size, "nominal_diameter_mm")
    with not_recording():
        force = mining_chain_breaking_force(nominal_diameter_mm=size)
    made = RowSource(chain.edition, f"{size:g} mm", listed.basis).requirement
    return [
        made("material_diameter_mm", "diameter of the material", "dimensions", nominal=size),
        made("pitch_mm", "inner length of a link", "dimensions",
             nominal=float(listed.cells["pitch_mm"])),
        made("breaking_force_kN", "breaking force, 800 N/mm2 on two sections", "grade C",
             least=force, basis="memory"),
    ]  # fmt: skip


def _astm_rows(chain: Chain, size: float) -> Rows:
    name = chain.edition.partition("/")[0]
    with not_recording():
        pounds = astm_chain_forces(nominal_diameter_mm=size, grade=float(chain.grade))
        elongation = astm_least_elongation(standard=name)
    made = RowSource(chain.edition, f"grade {chain.grade}, {size:g} mm").requirement

    def kilonewtons(force_lbf: float) -> float:
        return float(convert(float(force_lbf), "lbf", "kN"))

    limit = kilonewtons(pounds.working_load_limit_lbf) / STANDARD_GRAVITY_M_PER_S2
    return [
        made("material_diameter_mm", "nominal size", "table of the grade", nominal=size),
        made("working_load_limit_t", "working load limit, from pounds", "table of the grade",
             greatest=limit),
        made("proof_force_kN", "proof test, from pounds", "table of the grade",
             least=kilonewtons(pounds.proof_force_lbf)),
        made("breaking_force_kN", "minimum breaking force, from pounds", "table of the grade",
             least=kilonewtons(pounds.breaking_force_lbf)),
        made("total_elongation_percent", "elongation at break", "elongation", least=elongation),
    ]  # fmt: skip


def _anchor_rows(chain: Chain, size: float) -> Rows:
    with not_recording():
        forces = anchor_chain_forces(nominal_diameter_mm=size, grade=float(chain.grade))
    made = RowSource(chain.edition, f"grade {chain.grade}, {size:g} mm").requirement
    return [
        made("material_diameter_mm", "nominal diameter", "scope", nominal=size),
        made("proof_force_kN", "proof load", "formulae for loads", least=forces.proof_force_kN),
        made("breaking_force_kN", "breaking load", "formulae for loads",
             least=forces.breaking_force_kN),
    ]  # fmt: skip


def _mooring_rows(chain: Chain, size: float) -> Rows:
    if not 1.0 <= size <= 500.0:
        raise ArgumentError("nominal_diameter_mm", size, "mm", "1 to 500 mm")
    with not_recording():
        forces = mooring_chain_forces(nominal_diameter_mm=size, grade=chain.grade)
        steel = mooring_chain_steel(grade=chain.grade)
    made = RowSource(chain.edition, f"grade {chain.grade}, {size:g} mm", "retrieved").requirement
    return [
        made("material_diameter_mm", "nominal diameter", "scope", nominal=size),
        made("proof_force_kN", "proof load, stud link", "load formulas",
             least=forces.proof_force_stud_kN),
        made("proof_force_studless_kN", "proof load, studless", "load formulas",
             least=forces.proof_force_studless_kN),
        made("breaking_force_kN", "breaking load", "load formulas",
             least=forces.breaking_force_kN),
        made("tensile_strength_MPa", "tensile strength of the steel", "mechanical properties",
             least=steel.least_tensile_strength_MPa),
        made("yield_MPa", "yield stress of the steel", "mechanical properties",
             least=steel.least_yield_MPa),
        made("steel_elongation_percent", "elongation of a test bar", "mechanical properties",
             least=steel.least_elongation_percent, basis="memory"),
    ]  # fmt: skip


ROWS: Mapping[str, Callable[[Chain, float], Rows]] = {
    "EN 818-2": _en818_2_rows,
    "EN 818-3": _en818_3_rows,
    "EN 818-7": _en818_7_rows,
    "DIN 766": _din766_rows,
    "DIN 22252": _din22252_rows,
    "ASTM A391": _astm_rows,
    "ASTM A973": _astm_rows,
    "ASTM A413": _astm_rows,
    "ISO 1704": _anchor_rows,
    "DNV-OS-E302": _mooring_rows,
}
"""Rows of one size, by standard."""


def listed_sizes(standard: str, grade: str) -> tuple[float, ...]:
    """The nominal sizes (mm) that a standard lists; empty where it gives a range or a formula."""
    tables = {"EN 818-2": "en818_2", "EN 818-3": "en818_3", "DIN 766": "din766",
              "DIN 22252": "mining"}  # fmt: skip
    if standard in tables:
        return tuple(float(size) for size in published_table(tables[standard]).listed)
    if standard.startswith("ASTM"):
        sizes = published_table("astm_chain").where(grade=int(grade)).listed
        return tuple(float(size) for size in sizes)
    return ()
