"""Mooring and anchor chain: proof and breaking loads, steel, mass.

`mooring_chain_forces`, `mooring_chain_steel`, `mooring_chain_mass_stud`,
`mooring_chain_mass_studless` (DNV-OS-E302, IACS UR W22) and `anchor_chain_forces`
(IACS UR W18). Loads are coefficients times d^2 (44 - 0.08 d), d in mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.reader import published_table

MOORING = "DNV-OS-E302, Offshore mooring chain (2015); IACS UR W22"


class MooringForces(NamedTuple):
    """Results of `mooring_chain_forces`."""

    breaking_force_kN: Values
    proof_force_studless_kN: Values
    proof_force_stud_kN: Values


class MooringSteel(NamedTuple):
    """Results of `mooring_chain_steel`."""

    least_tensile_strength_MPa: Values
    least_yield_MPa: Values
    yield_over_tensile: Values
    least_elongation_percent: Values


class AnchorForces(NamedTuple):
    """Results of `anchor_chain_forces`."""

    proof_force_kN: Values
    breaking_force_kN: Values


def size_function(nominal_diameter_mm: Values) -> Values:
    """d^2 (44 - 0.08 d) of the classification societies, d in mm."""
    return np.square(nominal_diameter_mm) * (44.0 - 0.08 * nominal_diameter_mm)


@calculation(
    source=f"{MOORING}, proof and breaking load formulas",
    needs={"nominal_diameter_mm": (1.0, 500.0)},
)
def mooring_chain_forces(*, nominal_diameter_mm: Values, grade: str) -> MooringForces:
    """Breaking load and proof loads (studless, stud link) of offshore mooring chain.

    F = c d^2 (44 - 0.08 d) in kN; c by grade, for example R4: 0.0274 (break), 0.0192
    (proof, studless), 0.0216 (proof, stud link).

    Args:
        nominal_diameter_mm: Nominal diameter.
        grade: "R3", "R3S", "R4", "R4S" or "R5".

    Raises:
        UnknownName: another grade.

    References:
        DNV-OS-E302 (2015), load formulas; the proof coefficient of R3, 0.0156 for both
        kinds, reproduces a public load table after the same standards; other rules and
        editions print 0.0148: check the edition agreed.

    Example:
        >>> forces = mooring_chain_forces(nominal_diameter_mm=84, grade="R4")
        >>> round(float(forces.breaking_force_kN), 1)
        7207.5
    """
    table, load = published_table("mooring"), size_function(nominal_diameter_mm)
    return MooringForces(
        table.column(grade, "break_coefficient", "grade") * load,
        table.column(grade, "proof_studless_coefficient", "grade") * load,
        table.column(grade, "proof_stud_coefficient", "grade") * load,
    )


@calculation(source=f"{MOORING}, mechanical properties")
def mooring_chain_steel(*, grade: str) -> MooringSteel:
    """Least tensile strength, yield and elongation of mooring chain steel by grade.

    The ratio of yield to tensile strength is that of the least values; the standards allow
    at most 0.92 in a test.

    Args:
        grade: "R3", "R3S", "R4", "R4S" or "R5".

    Raises:
        UnknownName: another grade.

    References:
        DNV-OS-E302 and IACS UR W22, table of mechanical properties (elongation remembered).

    Example:
        >>> mooring_chain_steel(grade="R5").yield_over_tensile
        0.76
    """
    table = published_table("mooring")
    tensile = table.column(grade, "least_tensile_strength_MPa", "grade")
    yielding = table.column(grade, "least_yield_MPa", "grade")
    elongation = table.column(grade, "least_elongation_percent", "grade")
    return MooringSteel(tensile, yielding, yielding / tensile, elongation)


@calculation(
    source="DNV-OS-E302, Offshore mooring chain (2015), weight formulas",
    gives="mass_per_length_kg_per_m",
    needs={"nominal_diameter_mm": POSITIVE},
)
def mooring_chain_mass_stud(*, nominal_diameter_mm: Values) -> Values:
    """Mass of stud-link mooring chain, 0.0219 d^2 kg/m with d in mm.

    Args:
        nominal_diameter_mm: Nominal diameter.

    References:
        DNV-OS-E302 (2015), weight formulas.

    Example:
        >>> round(mooring_chain_mass_stud(nominal_diameter_mm=76), 2)
        126.49
    """
    return 0.0219 * nominal_diameter_mm**2


@calculation(
    source="DNV-OS-E302, Offshore mooring chain (2015), weight formulas",
    gives="mass_per_length_kg_per_m",
    needs={"nominal_diameter_mm": POSITIVE},
)
def mooring_chain_mass_studless(*, nominal_diameter_mm: Values) -> Values:
    """Mass of studless mooring chain, 0.02 d^2 kg/m with d in mm.

    Args:
        nominal_diameter_mm: Nominal diameter.

    References:
        DNV-OS-E302 (2015), weight formulas.

    Example:
        >>> round(mooring_chain_mass_studless(nominal_diameter_mm=76), 2)
        115.52
    """
    return 0.02 * nominal_diameter_mm**2


@calculation(
    source="IACS UR W18, Anchor chain cables and accessories, formulae for loads; ISO 1704",
    needs={"nominal_diameter_mm": (1.0, 500.0)},
    valid={"nominal_diameter_mm": (11.0, 162.0)},
    basis="memory",
)
def anchor_chain_forces(*, nominal_diameter_mm: Values, grade: Values | str) -> AnchorForces:
    """Proof and breaking load of stud-link anchor chain, not rounded (tables round to 1 kN).

    F = c d^2 (44 - 0.08 d) in kN; c = 0.00686 / 0.00981 (grade 1), 0.00981 / 0.01373
    (grade 2), 0.01373 / 0.01961 (grade 3).

    Args:
        nominal_diameter_mm: Nominal diameter (tables: 11 to 162 mm).
        grade: 1, 2 or 3.

    Raises:
        ArgumentError: another grade.

    References:
        IACS UR W18, table of formulae for proof and breaking loads; ISO 1704; remembered.

    Example:
        >>> [round(float(load), 3) for load in anchor_chain_forces(nominal_diameter_mm=50, grade=2)]
        [981.0, 1373.0]
    """
    table, load = published_table("anchor"), size_function(nominal_diameter_mm)
    number = _grade_number(grade)
    return AnchorForces(
        table.column(number, "proof_coefficient", "grade") * load,
        table.column(number, "break_coefficient", "grade") * load,
    )


def _grade_number(grade: Values | str) -> Values:
    """1 for 1, "1", "U1", "K1"; societies put a letter before the same number."""
    if not isinstance(grade, str):
        return grade
    bare = grade.strip().upper().lstrip("UK")
    return float(bare) if bare in {"1", "2", "3"} else grade
