"""A works' own table of a chain as a standard that a planner can use like the printed ones.

`own_chain_standard` gives an `OwnChainStandard`, a `ChainStandard` whose every number comes
from a line of the works' file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from linkwright.quantities import ArgumentError
from linkwright.standards.chain_requirements import ChainStandard
from linkwright.standards.reader import SAME_SIZE, Row
from linkwright.standards.requirement import ChainRequirement, Clause, MaterialLimit, by_name

BASIS = "works' own"

_SUBJECTS = {
    "material_diameter_mm": "diameter of the material",
    "pitch_mm": "inner length of a link",
    "inner_width_mm": "inner width of a link",
    "outer_width_mm": "outer width of a link over the weld",
    "weld_diameter_mm": "diameter at the weld in any direction",
    "working_load_limit_t": "working load limit",
    "proof_force_kN": "manufacturing proof force",
    "breaking_force_kN": "breaking force",
    "total_elongation_percent": "total ultimate elongation",
    "bend_deflection_mm": "bend deflection of a single link",
    "mark_spacing_mm": "spacing of the marks",
}
_NOMINAL = {"material_diameter_mm": "nominal_diameter_mm", "pitch_mm": "pitch_mm"}


class Placed(Protocol):
    """A table of a file: its numbers, each with its line."""

    @property
    def numbers(self) -> Mapping[str, float]:
        """Numbers by name."""
        ...

    def source(self, name: str) -> str:
        """File, line, table and key of a number."""
        ...


class PlacedLimit(Placed, Protocol):
    """One limit of the analysis."""

    @property
    def element(self) -> str:
        """Chemical symbol."""
        ...

    @property
    def analysis(self) -> str:
        """``cast`` or ``check``."""
        ...


class OwnTable(Placed, Protocol):
    """What the works' file gives."""

    @property
    def standard(self) -> str:
        """Name of the chain."""
        ...

    @property
    def grade(self) -> str:
        """Its grade."""
        ...

    @property
    def cited(self) -> str:
        """Where the works has the numbers from."""
        ...

    @property
    def mark(self) -> str:
        """What is stamped."""
        ...

    @property
    def lifting(self) -> bool:
        """Whether it may lift."""
        ...

    @property
    def routes(self) -> tuple[str, ...]:
        """Heat treatments."""
        ...

    @property
    def samples_per_lot_count(self) -> int | None:
        """Least samples."""
        ...

    @property
    def sizes(self) -> Sequence[Placed]:
        """One table a size."""
        ...

    @property
    def limits(self) -> Sequence[PlacedLimit]:
        """Limits of the analysis."""
        ...


@dataclass(frozen=True)
class OwnChainStandard(ChainStandard):
    """A chain of a works' own table; everything that it does not say is open."""

    table: OwnTable

    @property
    def designation(self) -> str:
        """Name and grade."""
        return f"{self.standard} {self.grade}"

    def requirements(self, nominal_diameter_mm: float) -> dict[str, ChainRequirement]:
        """Every numerical requirement of one size; raises `ArgumentError` that lists the sizes."""
        wanted = float(nominal_diameter_mm)
        for row, size in zip(self.table.sizes, self.sizes, strict=True):
            if abs(size - wanted) <= SAME_SIZE * size:
                return by_name(_rows(row, f"{size:g} mm"))
        listed = ", ".join(f"{size:g}" for size in sorted(self.sizes))
        raise ArgumentError("nominal_diameter_mm", f"{wanted:g}", "mm", f"{listed} mm",
                            f"is not listed in {self.edition}")  # fmt: skip

    def material_limits(self) -> tuple[MaterialLimit, ...]:
        """Limits of the steel's analysis, as the file gives them."""
        return tuple(_limit(row, self.edition) for row in self.table.limits)

    def heat_treatment(self) -> dict[str, ChainRequirement]:
        """Least temper, if the file gives one."""
        return self._of_head("tempering_temperature_degC", "tempering_time_h", side="least")

    def lot(self) -> dict[str, ChainRequirement]:
        """Greatest lot and least samples, if the file gives them."""
        found = self._of_head("lot_length_m", side="greatest")
        if self.table.samples_per_lot_count is not None:
            name, count = "samples_per_lot_count", float(self.table.samples_per_lot_count)
            source = self.table.source(name)
            found[name] = ChainRequirement(name, "samples of a lot", count, None, "", source, BASIS)
        return found

    def clauses(self) -> dict[str, Clause]:
        """That this is no published standard, and where its numbers come from."""
        text = (
            "this chain follows the works' own table and no published standard; local codes and "
            "a competent person's judgement come first"
        )
        return {"own table": Clause("own table", text, "", self.edition, BASIS)}

    def certificate_items(self) -> tuple[str, ...]:
        """None are held."""
        return ()

    def _of_head(self, *names: str, side: str) -> dict[str, ChainRequirement]:
        return by_name(
            _requirement(self.table, name, name.rpartition("_")[0].replace("_", " "), {side: name})
            for name in names
            if name in self.table.numbers
        )


def own_chain_standard(table: OwnTable, file: str) -> OwnChainStandard:
    """The chain of a works' own table; ``file`` is its name, as cited."""
    edition = f"{table.standard}, {table.cited} ({file})"
    cells: dict[str, Any] = {"designation": f"{table.standard} {table.grade}"}
    return OwnChainStandard(
        standard=table.standard,
        edition=edition,
        grade=table.grade,
        chain_type="",
        mark=table.mark,
        sizes=tuple(float(row.numbers["nominal_diameter_mm"]) for row in table.sizes),
        size_range_mm=None,
        routes=table.routes,
        missing=(),
        not_for_lifting=not table.lifting,
        open=("whatever the works' own table does not say",),
        source=edition,
        basis=BASIS,
        _row=Row(cells, edition, BASIS),
        table=table,
    )


def _rows(row: Placed, size: str) -> list[ChainRequirement]:
    found = []
    for name, subject in _SUBJECTS.items():
        keys = {"least": f"least_{name}", "greatest": f"greatest_{name}"}
        keys |= {"nominal": _NOMINAL[name]} if name in _NOMINAL else {}
        given = {side: key for side, key in keys.items() if key in row.numbers}
        if given:
            found.append(_requirement(row, name, f"{subject}, {size}", given))
    return found


def _requirement(row: Placed, name: str, subject: str, keys: Mapping[str, str]) -> ChainRequirement:
    """A requirement whose limits are numbers of a file that know their lines."""
    limits = {side: row.numbers[key] for side, key in keys.items()}
    source = row.source(next(iter(keys.values())))
    return ChainRequirement(
        name, subject, limits.get("least"), limits.get("greatest"), "", source, BASIS,
        limits.get("nominal"),
    )  # fmt: skip


def _limit(row: PlacedLimit, edition: str) -> MaterialLimit:
    limits = {side: row.numbers.get(f"{side}_percent") for side in ("least", "greatest")}
    source = f"{edition}, {row.source('element')}"
    return MaterialLimit(row.element, limits["least"], limits["greatest"], row.analysis, "", source,
                         BASIS)  # fmt: skip
