"""Welded chain standards as requirements for a planner: one common object for all of them.

- `chain_standard`: the `ChainStandard` of a standard, grade and type
- `CHAIN_STANDARDS`: all of them, in the order of the table
- `ChainStandard`: sizes, requirements of a size, analysis limits, heat treatment, clauses,
  lots and samples, the routes that lead to it, what is missing and what is left open

The names of requirements are those of `en818_2.requirements` where the thing is the same.
What nobody here could vouch for is left out and listed in ``open``: read it in the standard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards import en818_2
from linkwright.standards.chain_rows import ROWS, Chain, listed_sizes
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

INDUCTION = "induction harden and temper"
FURNACE = "furnace harden and temper"
NORMALISE = "normalise"
CARBURISE = "carburise, harden and temper"
STUD = "hot bending, flash-butt weld, stud"
ROUTES = (INDUCTION, FURNACE, NORMALISE, CARBURISE, STUD)
"""Heat treatments, and for stud-link chain the whole making, that lead to a chain."""

NEEDED_FOR_A_PLAN = ("pitch_mm", "proof_force_kN", "breaking_force_kN")
"""Requirements without which a route has nothing to aim at."""

_SAME_AS_2 = "EN 818-2"
_EUROPEAN = ("EN 818-2", "EN 818-3", "EN 818-7")


@dataclass(frozen=True)
class ChainStandard:
    """One standard and grade (and type) of welded chain.

    sizes: nominal sizes listed (mm), empty where only a range or a formula is held;
    size_range_mm: that range. routes: admissible ones, the usual one first. missing:
    operations of the route that are not modelled. not_for_lifting: the standard's own ban.
    open: what is left out because nobody here could vouch for it.
    """

    standard: str
    edition: str
    grade: str
    chain_type: str
    mark: str
    sizes: tuple[float, ...]
    size_range_mm: tuple[float, float] | None
    routes: tuple[str, ...]
    missing: tuple[str, ...]
    not_for_lifting: bool
    open: tuple[str, ...]
    source: str
    basis: str
    _row: Row

    @property
    def designation(self) -> str:
        """``EN 818-7 DAT``: standard with type, or with grade where there are no types."""
        return str(self._row.cells["designation"])

    @property
    def route(self) -> str:
        """The usual route."""
        return self.routes[0]

    def requirements(self, nominal_diameter_mm: float) -> dict[str, ChainRequirement]:
        """Every numerical requirement of one nominal size, by name.

        Raises `ArgumentError` for a size that the standard does not list or cover.
        """
        size = float(nominal_diameter_mm)
        if self.size_range_mm is not None:
            low, high = self.size_range_mm
            if not low <= size <= high:
                raise ArgumentError("nominal_diameter_mm", size, "mm", f"{low:g} to {high:g} mm",
                                    f"is outside {self.edition}")  # fmt: skip
        chain = Chain(self.edition, self.grade, self.chain_type)
        return by_name(ROWS[self.standard](chain, size))

    def lacking(self, nominal_diameter_mm: float) -> tuple[str, ...]:
        """What a plan of this size would need and the standard's data here do not hold."""
        found = self.requirements(nominal_diameter_mm)
        return tuple(name for name in NEEDED_FOR_A_PLAN if name not in found)

    def material_limits(self) -> tuple[MaterialLimit, ...]:
        """Limits of the steel's analysis that are held; perhaps none (see ``open``)."""
        if self.standard == _SAME_AS_2:
            return en818_2.material_limits()
        table = published_table("chain_material").where(standard=self.standard)
        return material_limits_of(table, self.edition)

    def unmet_material_limits(
        self, composition: Mapping[str, float], analysis: str = "cast"
    ) -> tuple[MaterialLimit, ...]:
        """The held limits that an analysis fails; see `requirement.unmet_limits`."""
        return unmet_limits(self.material_limits(), composition, analysis)

    def heat_treatment(self) -> dict[str, ChainRequirement]:
        """Least tempering where the standard's figure is held; else empty (see `clauses`)."""
        return en818_2.heat_treatment() if self.standard == _SAME_AS_2 else {}

    def clauses(self) -> dict[str, Clause]:
        """What the standard asks for in words, as far as read or remembered, by subject."""
        if self.standard == _SAME_AS_2:
            return en818_2.clauses()
        found = published_table("chain_clauses").where(standard=self.standard)
        mine = clauses_of(found)
        for row in found:
            if self.chain_type not in row.cells.get("chain_types", [self.chain_type]):
                del mine[str(row.cells["subject"])]
        return mine

    def lot(self) -> dict[str, ChainRequirement]:
        """Greatest length of a lot and least number of samples, as far as read."""
        made = RowSource(self.edition, "any size", "retrieved").requirement
        cells, found = self._row.cells, []
        if "lot_length_m" in cells:
            subject = "length of a lot of one size (3000 ft)"
            found.append(
                made("lot_length_m", subject, "3.1, lot", greatest=float(cells["lot_length_m"]))
            )
        if "samples_per_lot_count" in cells:
            number = float(cells["samples_per_lot_count"])
            subject = "samples of a lot for breaking force and elongation"
            found.append(made("samples_per_lot_count", subject, "9, testing", least=number))
        return by_name(found)

    def certificate_items(self) -> tuple[str, ...]:
        """What the certificate holds (EN 818-1); empty for other standards: not held."""
        return en818_2.certificate_items() if self.standard in _EUROPEAN else ()


def chain_standard(standard: str, grade: str, chain_type: str = "") -> ChainStandard:
    """The standard, grade and type as a planner needs them.

    Args:
        standard: As an order names it, for example "EN 818-3" or "ASTM A413".
        grade: Grade of that standard, for example "4" or "30".
        chain_type: Type where the standard has types (EN 818-7: "T", "DAT", "DT"); left out,
            the first.

    Raises:
        UnknownName: a standard, grade or type that is not held.

    Example:
        >>> chain = chain_standard("EN 818-3", "4")
        >>> chain.route, chain.requirements(10)["breaking_force_kN"].least
        ('normalise', 62.8)
        >>> chain_standard("EN 818-7", "T", "DAT").route
        'carburise, harden and temper'
    """
    of_standard = _named("standard", standard, CHAIN_STANDARDS, lambda one: one.standard)
    of_grade = _named("grade", str(grade), of_standard, lambda one: one.grade)
    if not chain_type:
        return of_grade[0]
    return _named("chain_type", chain_type, of_grade, lambda one: one.chain_type)[0]


def _named(
    argument: str,
    wanted: str,
    among: Iterable[ChainStandard],
    name_of: Callable[[ChainStandard], str],
) -> tuple[ChainStandard, ...]:
    among = tuple(among)
    found = tuple(one for one in among if name_of(one).upper() == wanted.strip().upper())
    if not found:
        known = list(dict.fromkeys(name_of(one) for one in among if name_of(one)))
        raise UnknownName(argument, wanted, known)
    return found


def _chain_standard(row: Row) -> ChainStandard:
    cells = row.cells
    standard, grade = str(cells["standard"]), str(cells["grade"])
    span = [float(cells[key]) for key in ("least_size_mm", "greatest_size_mm") if key in cells]
    points = en818_2.OPEN if standard == _SAME_AS_2 else tuple(cells["open"])
    return ChainStandard(
        standard=standard,
        edition=str(cells["edition"]),
        grade=grade,
        chain_type=str(cells.get("chain_type", "")),
        mark=str(cells["mark"]),
        sizes=listed_sizes(standard, grade),
        size_range_mm=(span[0], span[1]) if span else None,
        routes=tuple(cells["routes"]),
        missing=tuple(cells.get("missing", ())),
        not_for_lifting=not cells["lifting"],
        open=points,
        source=row.source,
        basis=row.basis,
        _row=row,
    )


CHAIN_STANDARDS: tuple[ChainStandard, ...] = tuple(
    _chain_standard(row) for row in published_table("chain_standards")
)
"""Every standard and grade of welded chain that is held."""
