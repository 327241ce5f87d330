"""EN 818-2 as a planner and a quality clerk need it: every requirement of one size.

`SIZES` lists the nominal sizes; `requirements` gives dimensions, forces, elongation, bend
deflection, weld and marking of one size; `heat_treatment` the least tempering;
`material_limits` the analysis limits and `unmet_material_limits` those that a steel
fails; `clauses` what the standard asks for in words; `certificate_items` what the
certificate holds. Numbers carry their row as source while a derivation is recorded.

What rests on memory says so in ``basis``. `OPEN` lists what nobody here could vouch for
and what is therefore left out: read it in the standard itself.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.quantities import ArgumentError
from linkwright.standards.en818 import (
    en818_2_dimensions,
    en818_2_ductility,
    en818_2_forces,
)
from linkwright.standards.reader import Row, published_table
from linkwright.standards.requirement import (
    ChainRequirement,
    Clause,
    MaterialLimit,
    RowSource,
    by_name,
    clauses_of,
    material_limits_of,
    unmet_limits,
)

__all__ = [
    "GRADE_MARK",
    "OPEN",
    "SIZES",
    "STANDARD",
    "ChainRequirement",
    "Clause",
    "MaterialLimit",
    "certificate_items",
    "clauses",
    "heat_treatment",
    "material_limits",
    "requirements",
    "unmet_material_limits",
]

STANDARD = "EN 818-2:1996+A1:2008"
GRADE_MARK = "8"
SIZES: tuple[float, ...] = tuple(float(size) for size in published_table("en818_2").listed)
"""Nominal sizes of EN 818-2 in mm."""

OPEN: tuple[str, ...] = (
    "length of a lot by nominal size (EN 818-1, clause on size of lot)",
    "number and length of the samples of a lot for the tensile and the bend test (EN 818-1)",
    "what is done when a sample fails: retest or rejection (EN 818-1)",
    "tolerance of the multiple pitch length, if the purchaser asks for it",
    "numbers of the subclauses of 5.3.1 and of the tables, beyond the table of contents",
)
"""Points of EN 818-2 and EN 818-1 that are not held here because no text was at hand."""

_WELD_SHARE = 1.1
_WELD_SHARE_TYPE_2 = 1.25
_AFFECTED_SHARE = 0.6
_MARK_LINKS, _MARK_SPACING_MM = 20, 1000.0


def requirements(nominal_diameter_mm: float, *, weld_type: int = 1) -> dict[str, ChainRequirement]:
    """Every numerical requirement of grade 8 sling chain of one nominal size, by name.

    Args:
        nominal_diameter_mm: One of `SIZES`.
        weld_type: 1 (10 % in any direction) or 2 (10 % across the plane of the link, 25 % in
            other planes).

    Raises:
        ArgumentError: a size that EN 818-2 does not list, or another weld type.

    Example:
        >>> needed = requirements(8)
        >>> needed["breaking_force_kN"].least, needed["pitch_mm"].greatest
        (80.4, 24.7)
    """
    row = published_table("en818_2").row(nominal_diameter_mm, "nominal_diameter_mm")
    size = float(row.cells["nominal_diameter_mm"])
    if weld_type not in {1, 2}:
        raise ArgumentError("weld_type", weld_type, "", "1 or 2", "is not known")
    found = [
        *_dimension_rows(size),
        *_weld_rows(size, weld_type),
        *_force_rows(size, row),
        *_ductility_rows(size),
        _marking_row(size),
    ]
    return by_name(found)


def heat_treatment() -> dict[str, ChainRequirement]:
    """Least tempering: at least equivalent to 400 degC held for 1 h (see also `clauses`).

    >>> heat_treatment()["tempering_temperature_degC"].least
    400.0
    """
    subject = "tempering at least equivalent to this temperature held for 1 h"
    found = (
        _requirement("tempering_temperature_degC", subject, "5.3.2", "any size", least=400.0),
        _requirement("tempering_time_h", "time of that tempering", "5.3.2", "any size", least=1.0),
    )
    return by_name(found)


def material_limits() -> tuple[MaterialLimit, ...]:
    """Limits of the steel's analysis, for cast and for check analysis.

    >>> [limit.least for limit in material_limits() if limit.element == "Ni"]
    [0.4, 0.35]
    """
    return material_limits_of(published_table("en818_2_material"), STANDARD)


def unmet_material_limits(
    composition: Mapping[str, float], analysis: str = "cast"
) -> tuple[MaterialLimit, ...]:
    """The limits that an analysis fails; empty if the steel may be used.

    Args:
        composition: Mass per cent by element, keys as ``Ni`` or ``Ni_percent``. An alloying
            element that is missing counts as 0; sulphur and phosphorus must be stated.
        analysis: "cast" or "check".

    Raises:
        UnknownName: another kind of analysis.
        ArgumentError: sulphur or phosphorus is missing.

    Example:
        >>> steel = {"Al": 0.03, "S": 0.01, "P": 0.01, "Ni": 0.5, "Cr": 0.5, "Mo": 0.05}
        >>> unmet_material_limits(steel)
        ()
    """
    return unmet_limits(material_limits(), composition, analysis)


def clauses() -> dict[str, Clause]:
    """What the standard asks for in words, by subject.

    >>> clauses()["tempering"].text
    'tempering at least equivalent to 400 degC held for 1 h'
    """
    return clauses_of(published_table("en818_2_clauses"))


def certificate_items() -> tuple[str, ...]:
    """What the manufacturer's certificate holds (EN 818-1, remembered; wording ours).

    >>> len(certificate_items())
    8
    """
    return tuple(str(item) for item in published_table("certificate_items").listed)


def _requirement(
    name: str,
    subject: str,
    clause: str,
    row: str,
    *,
    nominal: float | None = None,
    least: float | None = None,
    greatest: float | None = None,
    basis: str = "memory",
) -> ChainRequirement:
    made = RowSource(STANDARD, row, basis)
    return made.requirement(name, subject, clause, nominal=nominal, least=least, greatest=greatest)


def _dimension_rows(size: float) -> list[ChainRequirement]:
    with not_recording():
        link = en818_2_dimensions(nominal_diameter_mm=size)
    tolerance, row = link.diameter_tolerance_mm, f"{size:g} mm"
    return [
        _requirement(
            "material_diameter_mm", "diameter of the material, except at the weld", "5.2.2", row,
            nominal=size, least=np.round(size - tolerance, 2),
            greatest=np.round(size + tolerance, 2),
        ),
        _requirement(
            "pitch_mm", "inner length of a link", "5.2.5", row,
            nominal=link.pitch_mm, least=link.least_pitch_mm, greatest=link.greatest_pitch_mm,
        ),
        _requirement(
            "inner_width_mm", "inner width of a link", "5.2.5", row,
            least=link.least_inner_width_mm,
        ),
        _requirement(
            "outer_width_mm", "outer width of a link over the weld", "5.2.5", row,
            greatest=link.greatest_outer_width_mm,
        ),
    ]  # fmt: skip


def _weld_rows(size: float, weld_type: int) -> list[ChainRequirement]:
    row = f"{size:g} mm"
    share = _WELD_SHARE if weld_type == 1 else _WELD_SHARE_TYPE_2
    where = "in any direction" if weld_type == 1 else "outside the plane across the link"
    found = [
        _requirement(
            "weld_diameter_mm", f"diameter at the weld {where}", "5.2.3", row,
            greatest=np.round(share * size, 2),
        ),
        _requirement(
            "weld_affected_length_mm",
            "length dimensionally affected by welding, on either side of the middle of the link",
            "5.2.4", row, greatest=np.round(_AFFECTED_SHARE * size, 2),
        ),
    ]  # fmt: skip
    if weld_type == 2:
        subject = "diameter at the weld perpendicular to the plane of the link"
        across = np.round(_WELD_SHARE * size, 2)
        found.append(
            _requirement("weld_diameter_across_mm", subject, "5.2.3", row, greatest=across)
        )
    return found


def _force_rows(size: float, limit: Row) -> list[ChainRequirement]:
    with not_recording():
        forces = en818_2_forces(nominal_diameter_mm=size)
    row = f"{size:g} mm"
    return [
        _requirement(
            "working_load_limit_t", "working load limit", "table of test requirements", row,
            greatest=limit.cells["working_load_limit_t"], basis=limit.basis,
        ),
        _requirement(
            "proof_force_kN", "manufacturing proof force", "5.4.1", row,
            least=forces.proof_force_kN,
        ),
        _requirement(
            "breaking_force_kN", "breaking force", "5.4.2", row, least=forces.breaking_force_kN
        ),
    ]  # fmt: skip


def _ductility_rows(size: float) -> list[ChainRequirement]:
    with not_recording():
        ductility = en818_2_ductility(nominal_diameter_mm=size)
    row = f"{size:g} mm"
    return [
        _requirement(
            "total_elongation_percent", "total ultimate elongation", "5.4.2", row,
            least=ductility.least_elongation_percent,
        ),
        _requirement(
            "bend_deflection_mm", "bend deflection of a single link", "5.4.3", row,
            least=float(np.round(ductility.least_bend_deflection_mm, 2)),
        ),
    ]  # fmt: skip


def _marking_row(size: float) -> ChainRequirement:
    spacing = min(_MARK_LINKS * 3.0 * size, _MARK_SPACING_MM)
    subject = f"spacing of grade mark {GRADE_MARK}: every twentieth link or every metre"
    return _requirement("mark_spacing_mm", subject, "7", f"{size:g} mm", greatest=spacing)
