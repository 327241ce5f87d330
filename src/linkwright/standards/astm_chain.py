"""ASTM welded chain: forces by size and grade, elongation.

`astm_chain_forces` and `astm_least_elongation`.

Grades 30, 43, 70 (A413/A413M, carbon steel), 80 (A391/A391M), 100 (A973/A973M, alloy).
A lot for acceptance is 1000 m (3000 ft) or less of one grade and size (A391/A391M, 3.1.2).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, convert
from linkwright.standards.en818 import load_on_two_sections_N
from linkwright.standards.reader import published_table

SOURCE = "ASTM A413/A413M, A391/A391M, A973/A973M, tables of working load, proof and break"


class AstmForces(NamedTuple):
    """Results of `astm_chain_forces`."""

    working_load_limit_lbf: Values
    proof_force_lbf: Values
    breaking_force_lbf: Values


@calculation(
    source=SOURCE,
    needs={
        "nominal_diameter_mm": POSITIVE,
        "grade": POSITIVE,
        "mean_stress_break_MPa": POSITIVE,
        "break_over_wll": (1.0, None),
    },
    basis="memory",
)
def astm_chain_forces(
    *,
    nominal_diameter_mm: Values,
    grade: Values | None = None,
    mean_stress_break_MPa: Values | None = None,
    break_over_wll: Values | None = None,
) -> AstmForces:
    """Working load limit, proof force and breaking force of ASTM chain, in pounds.

    A size that the grade lists gives the published row: WLL of the table, proof = 2 WLL,
    break = ``break_over_wll`` WLL (4; grade 43: 3). A size that it does not list is computed
    only if stress and ratio are both given: break = 2 (pi d^2 / 4) sigma, the standards'
    definition of the grade (G = break in kN / (0.005 pi d^2)), WLL = break / ratio.

    Args:
        nominal_diameter_mm: Nominal size.
        grade: 30, 43, 70, 80 or 100.
        mean_stress_break_MPa: Mean stress at break, ten times the grade; instead of it.
        break_over_wll: Breaking force over working load limit.

    Raises:
        ArgumentError: neither grade nor stress, an unknown grade, a size that the grade
            does not list (the message says which it lists).

    References:
        ASTM A413/A413M, A391/A391M, A973/A973M.

    Example:
        >>> [float(value) for value in astm_chain_forces(nominal_diameter_mm=13, grade=80)]
        [12000.0, 24000.0, 48000.0]
    """
    if grade is None and mean_stress_break_MPa is None:
        known = ", ".join(f"{row:g}" for row in published_table("astm_grades").listed)
        raise ArgumentError("grade", "none", "", known, "is needed, or mean_stress_break_MPa")
    if grade is None:
        grade = mean_stress_break_MPa / 10.0  # type: ignore[operator]
    formula = mean_stress_break_MPa is not None and break_over_wll is not None
    stress = 10.0 * grade if mean_stress_break_MPa is None else mean_stress_break_MPa
    # 0 stands for "not given": a ratio below 1 is refused at the door
    given_ratio = 0.0 if break_over_wll is None else break_over_wll
    cells = np.broadcast(nominal_diameter_mm, grade, stress, given_ratio)
    found = [_one_size(*map(float, cell), formula=formula) for cell in cells]
    limit, ratio = np.array(found).T.reshape(2, *cells.shape)
    return AstmForces(limit[()], (2.0 * limit)[()], (ratio * limit)[()])


@calculation(
    source="ASTM A391/A391M, A973/A973M, A413/A413M, elongation requirement, current editions",
    gives="least_elongation_percent",
    basis="memory",
)
def astm_least_elongation(*, standard: str) -> Values:
    """Least elongation at break that an ASTM chain standard asks for.

    Args:
        standard: "A391", "A973" or "A413" (also "ASTM A391/A391M").

    Raises:
        UnknownName: another standard.

    References:
        ASTM A391/A391M and A973/A973M (20 %), A413/A413M (15 %), current editions; older
        ones may differ. Specimen and gauge length as in the standard.

    Example:
        >>> astm_least_elongation(standard="A413")
        15.0
    """
    names = [_short(name) for name in np.atleast_1d(standard)]
    table = published_table("astm_elongation")
    return table.column(names if np.ndim(standard) else names[0], "least_elongation_percent")


def _one_size(
    size: float, grade: float, stress: float, given_ratio: float, *, formula: bool
) -> tuple[float, float]:
    """Working load limit in lbf and ratio of break to it, for one size."""
    grades = published_table("astm_grades")
    if not grades.holds(grade):
        if formula:
            return _by_definition(size, stress, given_ratio)
        grades.row(grade, "grade")
    grade_row = grades.row(grade)
    ratio = given_ratio or float(grade_row.cells["break_over_wll"])
    sizes = published_table("astm_chain").where(grade=grade_row.cells["grade"])
    if sizes.holds(size) or not formula:
        row = sizes.row(size, "nominal_diameter_mm")
        return float(row.cells["working_load_limit_lbf"]), ratio
    return _by_definition(size, stress, ratio)


def _by_definition(size: float, stress: float, ratio: float) -> tuple[float, float]:
    breaking_N = float(load_on_two_sections_N(size, stress))
    return float(convert(breaking_N, "N", "lbf")) / ratio, ratio


def _short(name: str) -> str:
    return str(name).upper().removeprefix("ASTM").strip().partition("/")[0]
