"""EN 818 parts 2 and 3: ratios, forces, dimensions and ductility of sling chain.

`en818_ratios`, `en818_2_forces`, `en818_3_forces`, `en818_2_dimensions`,
`en818_3_dimensions`, `en818_2_ductility` and `en818_3_bend_deflection`. All follow the
formulas of Annex A with the rounding of the printed tables, for the listed sizes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.preferred_numbers import preferred_number_at_most, to_figures
from linkwright.standards.reader import published_table

STANDARD_GRAVITY_M_PER_S2 = 9.80665
PART_2 = "EN 818-2:1996+A1:2008, Annex A and the tables of dimensions and of test requirements"
PART_3 = "EN 818-3:1999, Annex A, table of dimensions and Table 5"
_STRESSES = {
    "mean_stress_break_MPa": POSITIVE,
    "mean_stress_proof_MPa": POSITIVE,
    "mean_stress_wll_MPa": POSITIVE,
}


class Ratios(NamedTuple):
    """Results of `en818_ratios`."""

    break_over_wll: Values
    proof_over_wll: Values
    proof_over_break: Values


class ChainForces(NamedTuple):
    """Results of `en818_2_forces` and `en818_3_forces`."""

    working_load_limit_t: Values
    proof_force_kN: Values
    breaking_force_kN: Values


class LinkDimensions(NamedTuple):
    """Results of `en818_2_dimensions` and `en818_3_dimensions`."""

    diameter_tolerance_mm: Values
    pitch_mm: Values
    least_pitch_mm: Values
    greatest_pitch_mm: Values
    least_inner_width_mm: Values
    greatest_outer_width_mm: Values
    greatest_weld_diameter_mm: Values


class Ductility(NamedTuple):
    """Results of `en818_2_ductility`."""

    least_elongation_percent: Values
    least_bend_deflection_mm: Values


def load_on_two_sections_N(nominal_diameter_mm: Values, mean_stress_MPa: Values) -> Values:
    """F = 2 (pi d^2 / 4) sigma in N: both sides of a link carry."""
    return 2.0 * math.pi / 4.0 * np.square(nominal_diameter_mm) * mean_stress_MPa


def unrounded_limit_t(nominal_diameter_mm: Values, mean_stress_wll_MPa: Values) -> Values:
    """Mass in t whose weight gives the mean stress at the working load limit."""
    load_kN = load_on_two_sections_N(nominal_diameter_mm, mean_stress_wll_MPa) / 1000.0
    return load_kN / STANDARD_GRAVITY_M_PER_S2


@calculation(source="EN 818-2 and EN 818-3, Annex A, mean stresses", needs=_STRESSES)
def en818_ratios(
    *,
    mean_stress_break_MPa: Values,
    mean_stress_proof_MPa: Values,
    mean_stress_wll_MPa: Values,
) -> Ratios:
    """Ratios of breaking force, manufacturing proof force and working load.

    All three act on the same two sections of a link, so forces are as mean stresses.

    Args:
        mean_stress_break_MPa: Mean stress at the least breaking force (800 grade 8, 400 grade 4).
        mean_stress_proof_MPa: At the manufacturing proof force (500 and 200).
        mean_stress_wll_MPa: At the working load limit (200 and 100).

    References:
        EN 818-2:1996+A1:2008 and EN 818-3:1999, Annex A.

    Example:
        >>> ratios = en818_ratios(
        ...     mean_stress_break_MPa=800, mean_stress_proof_MPa=500, mean_stress_wll_MPa=200
        ... )
        >>> ratios.break_over_wll, ratios.proof_over_break
        (4.0, 0.625)
    """
    return Ratios(
        mean_stress_break_MPa / mean_stress_wll_MPa,
        mean_stress_proof_MPa / mean_stress_wll_MPa,
        mean_stress_proof_MPa / mean_stress_break_MPa,
    )


@calculation(source=PART_2, needs={"nominal_diameter_mm": POSITIVE, **_STRESSES}, basis="memory")
def en818_2_forces(
    *,
    nominal_diameter_mm: Values,
    mean_stress_break_MPa: Values = 800.0,
    mean_stress_proof_MPa: Values = 500.0,
    mean_stress_wll_MPa: Values = 200.0,
) -> ChainForces:
    """Working load limit, proof force and breaking force of grade 8 sling chain.

    F = 2 (pi d^2 / 4) sigma; forces rounded to three figures; the working load limit is
    the load at sigma_wll over g (9.80665 m/s2), taken down to the next number of R40.

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 4 to 45 mm.
        mean_stress_break_MPa: Mean stress at the least breaking force.
        mean_stress_proof_MPa: At the manufacturing proof force.
        mean_stress_wll_MPa: At the working load limit.

    Returns:
        Working load limit, least manufacturing proof force, least breaking force.

    Raises:
        ArgumentError: a size that EN 818-2 does not list.

    References:
        EN 818-2:1996+A1:2008, Annex A, table of working load limits and test requirements
        (formulas and stresses remembered; limits agree with DGUV Information 209-021).

    Example:
        >>> [float(value) for value in en818_2_forces(nominal_diameter_mm=8)]
        [2.0, 50.3, 80.4]
    """
    return _forces(
        "en818_2",
        nominal_diameter_mm,
        (mean_stress_wll_MPa, mean_stress_proof_MPa, mean_stress_break_MPa),
    )


@calculation(source=PART_3, needs={"nominal_diameter_mm": POSITIVE, **_STRESSES})
def en818_3_forces(
    *,
    nominal_diameter_mm: Values,
    mean_stress_break_MPa: Values = 400.0,
    mean_stress_proof_MPa: Values = 200.0,
    mean_stress_wll_MPa: Values = 100.0,
) -> ChainForces:
    """Working load limit, proof force and breaking force of grade 4 sling chain.

    As `en818_2_forces`; with the default stresses it gives Table 5 in every row (tested).

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 7 to 45 mm.
        mean_stress_break_MPa: Mean stress at the least breaking force.
        mean_stress_proof_MPa: At the manufacturing proof force.
        mean_stress_wll_MPa: At the working load limit.

    Raises:
        ArgumentError: a size that EN 818-3 does not list.

    References:
        EN 818-3:1999, Annex A and Table 5.

    Example:
        >>> [float(value) for value in en818_3_forces(nominal_diameter_mm=10)]
        [1.6, 31.4, 62.8]
    """
    return _forces(
        "en818_3",
        nominal_diameter_mm,
        (mean_stress_wll_MPa, mean_stress_proof_MPa, mean_stress_break_MPa),
    )


@calculation(source=PART_2, needs={"nominal_diameter_mm": POSITIVE}, basis="memory")
def en818_2_dimensions(*, nominal_diameter_mm: Values) -> LinkDimensions:
    """Diameter tolerance, pitch, widths and weld diameter of grade 8 sling chain.

    Tolerance 4 % of d below 18 mm and 5 % from 18 mm; p = 3 d within 3 %; inner width at
    least 1.3 d, outer width at most 3.7 d, weld at most 1.1 d (weld type 1; type 2 may
    reach 1.25 d outside the plane across the link). Limits are rounded to 0.1 mm; the
    printed table may be coarser above 100 mm.

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 4 to 45 mm.

    Raises:
        ArgumentError: a size that EN 818-2 does not list.

    References:
        EN 818-2:1996+A1:2008, 5.2 and Annex A.

    Example:
        >>> float(en818_2_dimensions(nominal_diameter_mm=8).greatest_pitch_mm)
        24.7
    """
    published_table("en818_2").require(nominal_diameter_mm)
    return _dimensions(nominal_diameter_mm, _to_tenths)


@calculation(source=PART_3, needs={"nominal_diameter_mm": POSITIVE})
def en818_3_dimensions(*, nominal_diameter_mm: Values) -> LinkDimensions:
    """Diameter tolerance, pitch, widths and weld diameter of grade 4 sling chain.

    As `en818_2_dimensions`, but rounded as printed: to 0.1 mm below 100 mm, to 1 mm from
    100 mm. (The print gives the tolerance of 19 mm as 1 mm; 5 % is 0.95 mm.)

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 7 to 45 mm.

    Raises:
        ArgumentError: a size that EN 818-3 does not list.

    References:
        EN 818-3:1999, table of dimensions and Annex A.

    Example:
        >>> float(en818_3_dimensions(nominal_diameter_mm=32).greatest_outer_width_mm)
        118.0
    """
    published_table("en818_3").require(nominal_diameter_mm)
    return _dimensions(nominal_diameter_mm, _as_printed)


@calculation(source=PART_2, needs={"nominal_diameter_mm": POSITIVE}, basis="memory")
def en818_2_ductility(*, nominal_diameter_mm: Values) -> Ductility:
    """Least total ultimate elongation and bend deflection of grade 8 sling chain.

    A = 20 %; f = 0.8 d (not rounded; the printed table rounds it).

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 4 to 45 mm.

    Raises:
        ArgumentError: a size that EN 818-2 does not list.

    References:
        EN 818-2:1996+A1:2008, 5.4.2, 5.4.3 and Annex A.

    Example:
        >>> float(en818_2_ductility(nominal_diameter_mm=16).least_bend_deflection_mm)
        12.8
    """
    published_table("en818_2").require(nominal_diameter_mm)
    deflection = 0.8 * nominal_diameter_mm
    return Ductility(np.full_like(np.asarray(deflection), 20.0)[()], deflection)


@calculation(
    source=PART_3, needs={"nominal_diameter_mm": POSITIVE}, gives="least_bend_deflection_mm"
)
def en818_3_bend_deflection(*, nominal_diameter_mm: Values) -> Values:
    """Least bend deflection of grade 4 sling chain, f = 0.8 d (not rounded).

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 7 to 45 mm.

    Raises:
        ArgumentError: a size that EN 818-3 does not list.

    References:
        EN 818-3:1999, Table 5 and Annex A.

    Example:
        >>> float(en818_3_bend_deflection(nominal_diameter_mm=45))
        36.0
    """
    published_table("en818_3").require(nominal_diameter_mm)
    return 0.8 * nominal_diameter_mm


def _forces(
    table: str, nominal_diameter_mm: Values, stresses: tuple[Values, Values, Values]
) -> ChainForces:
    published_table(table).require(nominal_diameter_mm)
    at_limit, at_proof, at_break = stresses
    return ChainForces(
        preferred_number_at_most(value=unrounded_limit_t(nominal_diameter_mm, at_limit)),
        to_figures(load_on_two_sections_N(nominal_diameter_mm, at_proof) / 1000.0),
        to_figures(load_on_two_sections_N(nominal_diameter_mm, at_break) / 1000.0),
    )


def _to_tenths(length_mm: Values) -> Values:
    return np.round(length_mm, 1)


def _as_printed(length_mm: Values) -> Values:
    return np.where(length_mm < 100.0, np.round(length_mm, 1), np.round(length_mm))[()]


def _dimensions(nominal_diameter_mm: Values, rounded: Callable[[Values], Values]) -> LinkDimensions:
    size = nominal_diameter_mm
    share = np.where(np.asarray(size) < 18.0, 0.04, 0.05)[()]
    return LinkDimensions(
        diameter_tolerance_mm=np.round(share * size, 2),
        pitch_mm=3.0 * size,
        least_pitch_mm=rounded(2.91 * size),
        greatest_pitch_mm=rounded(3.09 * size),
        least_inner_width_mm=rounded(1.3 * size),
        greatest_outer_width_mm=rounded(3.7 * size),
        greatest_weld_diameter_mm=rounded(1.1 * size),
    )
