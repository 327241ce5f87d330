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
from dataclasses import dataclass

import numpy as np

from linkwright.catalogue import not_recording, sourced
from linkwright.quantities import ArgumentError, UnknownName, split
from linkwright.standards.en818 import (
    en818_2_dimensions,
    en818_2_ductility,
    en818_2_forces,
)
from linkwright.standards.reader import Row, published_table

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


@dataclass(frozen=True)
class ChainRequirement:
    """One thing that a standard asks of a chain, with its limits.

    ``name`` carries the unit; ``nominal``, ``least`` and ``greatest`` are None where the
    standard gives none.
    """

    name: str
    subject: str
    least: float | None
    greatest: float | None
    clause: str
    source: str
    basis: str
    nominal: float | None = None

    @property
    def unit(self) -> str:
        """Unit suffix of the name, "" for a pure number."""
        return split(self.name)[1]

    def met_by(self, value: float) -> bool:
        """Whether ``value`` lies within the limits (a limit itself is within)."""
        above = self.least is None or value >= self.least
        return above and (self.greatest is None or value <= self.greatest)


@dataclass(frozen=True)
class MaterialLimit:
    """A limit of the steel's analysis in mass per cent; ``analysis`` is cast or check.

    Of the limits with the same ``group`` at least one has to be met.
    """

    element: str
    least: float | None
    greatest: float | None
    analysis: str
    clause: str
    source: str
    basis: str
    note: str = ""
    group: str = ""


@dataclass(frozen=True)
class Clause:
    """A requirement in words (wording ours)."""

    subject: str
    text: str
    clause: str
    source: str
    basis: str


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
    return {one.name: one for one in found}


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
    return {one.name: one for one in found}


def material_limits() -> tuple[MaterialLimit, ...]:
    """Limits of the steel's analysis, for cast and for check analysis.

    >>> [limit.least for limit in material_limits() if limit.element == "Ni"]
    [0.4, 0.35]
    """
    return tuple(_material_limit(row) for row in published_table("en818_2_material"))


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
    if analysis not in {"cast", "check"}:
        raise UnknownName("analysis", analysis, ("cast", "check"))
    limits = [limit for limit in material_limits() if limit.analysis == analysis]
    content = {limit.element: _content(composition, limit) for limit in limits}
    failed = [limit for limit in limits if not _within(limit, content[limit.element])]
    helped = {limit.group for limit in limits if limit.group and limit not in failed}
    return tuple(limit for limit in failed if not limit.group or limit.group not in helped)


def clauses() -> dict[str, Clause]:
    """What the standard asks for in words, by subject.

    >>> clauses()["tempering"].text
    'tempering at least equivalent to 400 degC held for 1 h'
    """
    return {
        str(row.cells["subject"]): Clause(
            str(row.cells["subject"]),
            str(row.cells["text"]),
            str(row.cells["clause"]),
            row.source,
            row.basis,
        )
        for row in published_table("en818_2_clauses")
    }


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
    source = f"{STANDARD}, {clause}, {row}"

    def cell(word: str, value: float | None) -> float | None:
        if value is None:
            return None
        called = f"{word}_{name}"
        return sourced(called, float(value), "table", source, basis)  # type: ignore[no-any-return]

    return ChainRequirement(
        name=name,
        subject=subject,
        nominal=cell("nominal", nominal),
        least=cell("least", least),
        greatest=cell("greatest", greatest),
        clause=clause,
        source=source,
        basis=basis,
    )


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


def _material_limit(row: Row) -> MaterialLimit:
    element, cells = str(row.cells["element"]), row.cells
    kind = str(cells["analysis"])
    source = f"{STANDARD}, {cells['clause']}, {element}, {kind} analysis"

    def cell(word: str) -> float | None:
        value = cells.get(f"{word}_percent")
        if value is None:
            return None
        called = f"{word}_{element}_percent"
        return sourced(called, float(value), "table", source, row.basis)  # type: ignore[no-any-return]

    return MaterialLimit(
        element=element,
        least=cell("least"),
        greatest=cell("greatest"),
        analysis=kind,
        clause=str(cells["clause"]),
        source=source,
        basis=row.basis,
        note=str(cells.get("note", "")),
        group=str(cells.get("group", "")),
    )


def _content(composition: Mapping[str, float], limit: MaterialLimit) -> float:
    for key in (limit.element, f"{limit.element}_percent"):
        if key in composition:
            return float(composition[key])
    if limit.greatest is not None:
        name = f"{limit.element}_percent"
        raise ArgumentError(name, "none", "%", f"at most {limit.greatest:g} %", "is not stated")
    return 0.0


def _within(limit: MaterialLimit, content: float) -> bool:
    above = limit.least is None or content >= limit.least
    return above and (limit.greatest is None or content <= limit.greatest)
