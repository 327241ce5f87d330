"""What a chain standard asks, as data: requirements with limits, limits of analysis, clauses.

- `ChainRequirement`, `MaterialLimit`, `Clause`
- `RowSource`: makes requirements of one row of one standard, each number with its source
- `material_limits_of`, `unmet_limits`: analysis limits from a published table, and those failed
- `clauses_of`: clauses in words from a published table
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from linkwright.catalogue import sourced
from linkwright.quantities import ArgumentError, UnknownName, split
from linkwright.standards.reader import Row, Table

ANALYSES = ("cast", "check")


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


@dataclass(frozen=True)
class RowSource:
    """One row of one standard (usually one size), from which requirements are made.

    ``edition`` is the standard as cited, ``row`` names the row; ``basis`` holds where a
    requirement does not say otherwise.
    """

    edition: str
    row: str
    basis: str = "memory"

    def requirement(
        self,
        name: str,
        subject: str,
        clause: str,
        *,
        nominal: float | None = None,
        least: float | None = None,
        greatest: float | None = None,
        basis: str | None = None,
    ) -> ChainRequirement:
        """A requirement whose numbers carry this row as source while recording."""
        source = f"{self.edition}, {clause}, {self.row}"
        known = basis or self.basis

        def cell(word: str, value: float | None) -> float | None:
            if value is None:
                return None
            called = f"{word}_{name}"
            return sourced(called, float(value), "table", source, known)  # type: ignore[no-any-return]

        return ChainRequirement(
            name=name,
            subject=subject,
            nominal=cell("nominal", nominal),
            least=cell("least", least),
            greatest=cell("greatest", greatest),
            clause=clause,
            source=source,
            basis=known,
        )


def by_name(found: Iterable[ChainRequirement]) -> dict[str, ChainRequirement]:
    """Requirements by their name, in the order given."""
    return {one.name: one for one in found}


def material_limits_of(table: Table, edition: str) -> tuple[MaterialLimit, ...]:
    """Limits of the steel's analysis from a published table, one a row."""
    return tuple(_material_limit(row, edition) for row in table)


def unmet_limits(
    limits: Iterable[MaterialLimit], composition: Mapping[str, float], analysis: str = "cast"
) -> tuple[MaterialLimit, ...]:
    """The limits that an analysis fails; empty if the steel may be used.

    Args:
        limits: Limits of the standard, for cast and check analysis.
        composition: Mass per cent by element, keys as ``Ni`` or ``Ni_percent``. An alloying
            element that is missing counts as 0; one that is limited from above must be stated.
        analysis: "cast" or "check".

    Raises:
        UnknownName: another kind of analysis.
        ArgumentError: an element with an upper limit is missing.
    """
    if analysis not in ANALYSES:
        raise UnknownName("analysis", analysis, ANALYSES)
    asked = [limit for limit in limits if limit.analysis == analysis]
    failed = [limit for limit in asked if not _within(limit, _content(composition, limit))]
    helped = {limit.group for limit in asked if limit.group and limit not in failed}
    return tuple(limit for limit in failed if not limit.group or limit.group not in helped)


def clauses_of(table: Table) -> dict[str, Clause]:
    """Clauses in words from a published table, by subject."""
    return {
        str(row.cells["subject"]): Clause(
            str(row.cells["subject"]),
            str(row.cells["text"]),
            str(row.cells["clause"]),
            row.source,
            row.basis,
        )
        for row in table
    }


def _material_limit(row: Row, edition: str) -> MaterialLimit:
    element, cells = str(row.cells["element"]), row.cells
    kind = str(cells["analysis"])
    source = f"{edition}, {cells['clause']}, {element}, {kind} analysis"

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
