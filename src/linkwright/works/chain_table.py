"""A works' own table of a chain, as people write it and as the program uses it.

``read_chain_table(path)`` and ``chain_table_of_bytes(raw, name)`` give a `ChainTable` for a
chain that no standard lists: sizes with their limits and forces, heat treatment, limits of the
steel; or raise `InputErrors` with every problem of the file. An order line names the file,
which lies beside the order: ``table = "own_chain.toml"``.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field

from linkwright.works.filed import FiledOptional, Record, numbers_of
from linkwright.works.places import Path
from linkwright.works.reading import Reading, checked
from linkwright.works.table import (
    MOST_ROWS,
    Contradiction,
    Label,
    Note,
    Table,
    Text,
    number,
)
from linkwright.works.toml_file import TomlFile, read_toml, toml_of_bytes

Treatment = Literal["induction harden and temper", "furnace harden and temper", "normalise"]
_PAIRS = ("material_diameter_mm", "pitch_mm")


class HeadTable(Table):
    """[chain]: which chain this is and where its numbers come from."""

    standard: Text = Field(description="name of the chain", examples=["Quarry bucket chain"])
    grade: Label = Field(description="grade, one to a file", examples=["Q7"])
    source: Text = Field(description="where the numbers come from", examples=["drawing 114, rev C"])
    mark: Text | None = Field(None, description="what is stamped", examples=["Q7"])
    lifting: bool = Field(False, description="whether the chain may lift")
    routes: list[Treatment] = Field(
        min_length=1, max_length=3, description="heat treatments, the usual one first",
        examples=[["induction harden and temper"]],
    )  # fmt: skip
    lot_length_m: float | None = number("greatest length of a lot", 1, 100_000, 200)
    samples_per_lot_count: int | None = Field(None, ge=1, le=100, description="least samples")
    tempering_temperature_degC: float | None = number("least temper", 100, 720, 400)
    tempering_time_h: float | None = number("time of the least temper", 0.001, 100, 1)
    note: Note | None = Field(None, description="anything else, not read by the program")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A least temper has a temperature and a time."""
        stems = ("tempering_temperature", "tempering_time")
        found = [any(key.startswith(stem) for key in given) for stem in stems]
        if any(found) and not all(found):
            missing = ("tempering_temperature_degC", "tempering_time_h")[found.index(False)]
            yield Contradiction((missing,), "is missing", "temperature and time, or neither")


class SizeTable(Table):
    """[[size]]: one nominal size with all that is asked of it."""

    nominal_diameter_mm: float = number("nominal diameter", 1, 200, 8, needed=True)
    least_material_diameter_mm: float | None = number("least diameter", 1, 200, 7.7)
    greatest_material_diameter_mm: float | None = number("greatest diameter", 1, 200, 8.3)
    pitch_mm: float = number("nominal inner length of a link", 2, 1000, 24, needed=True)
    least_pitch_mm: float | None = number("least inner length", 2, 1000, 23.3)
    greatest_pitch_mm: float | None = number("greatest inner length", 2, 1000, 24.7)
    least_inner_width_mm: float | None = number("least inner width", 1, 1000, 10)
    greatest_outer_width_mm: float | None = number("greatest outer width", 1, 1000, 29.6)
    greatest_weld_diameter_mm: float | None = number("greatest diameter at the weld", 1, 250, 8.8)
    greatest_working_load_limit_t: float | None = number("working load limit", 0.001, 1000, 1.5)
    least_proof_force_kN: float = number("proof force", 0.01, 100_000, 37, needed=True)
    least_breaking_force_kN: float = number("breaking force", 0.01, 100_000, 60, needed=True)
    least_total_elongation_percent: float | None = number("least elongation", 0, 100, 20)
    least_bend_deflection_mm: float | None = number("least bend deflection", 0, 1000, 6.4)
    greatest_mark_spacing_mm: float | None = number("spacing of marks", 1, 100_000, 480)

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Limits stand in their order, and the chain breaks above its proof force."""
        pairs = [(f"least_{one}", f"greatest_{one}") for one in _PAIRS]
        pairs += [(f"least_{one}", one) for one in ("pitch_mm",)]
        pairs += [("pitch_mm", "greatest_pitch_mm")]
        pairs += [("least_proof_force_kN", "least_breaking_force_kN")]
        for low, high in pairs:
            below, above = given.get(low), given.get(high)
            if not (isinstance(below, (int, float)) and isinstance(above, (int, float))):
                continue
            if below > above:
                text = f"{below:g} is above {high} = {above:g}"
                yield Contradiction((low,), text, f"at most {above:g}")


class LimitTable(Table):
    """[[limit]]: one limit of the steel's analysis, in mass per cent."""

    element: Literal[
        "C", "Si", "Mn", "P", "S", "Ni", "Cr", "Mo", "Al", "Cu", "V", "Nb", "Ti", "N", "B"
    ] = Field(description="chemical symbol", examples=["Ni"])
    analysis: Literal["cast", "check"] = Field("cast", description="which analysis is limited")
    least_percent: float | None = number("least content", 0, 50, 0.4)
    greatest_percent: float | None = number("greatest content", 0, 50, 0.025)

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A limit limits."""
        if not any(key.startswith(("least", "greatest")) for key in given):
            yield Contradiction((), "has no limit", "least_percent, greatest_percent, or both")


class ChainTableFile(Table):
    """The file as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    chain: HeadTable = Field(description="which chain this is")
    size: list[SizeTable] = Field(
        min_length=1, max_length=MOST_ROWS, description="sizes, one table each"
    )
    limit: list[LimitTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="limits of the steel's analysis"
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A size stands once."""
        seen: dict[float, int] = {}
        rows = given.get("size")
        for place, row in enumerate(rows if isinstance(rows, list) else ()):
            size = row.get("nominal_diameter_mm") if isinstance(row, dict) else None
            if isinstance(size, (int, float)) and seen.setdefault(float(size), place) != place:
                path = ("size", place, "nominal_diameter_mm")
                yield Contradiction(path, f"{size:g} mm stands twice", "each size once")


@dataclass(frozen=True)
class SizeRecord(Record):
    """One size; its numbers know their lines."""

    nominal_diameter_mm = FiledOptional()


@dataclass(frozen=True)
class LimitRecord(Record):
    """One limit of the analysis."""

    element: str
    analysis: str
    least_percent = FiledOptional()
    greatest_percent = FiledOptional()


@dataclass(frozen=True)
class ChainTable(Record):
    """A works' own chain after reading."""

    standard: str
    grade: str
    cited: str
    mark: str
    lifting: bool
    routes: tuple[str, ...]
    samples_per_lot_count: int | None
    sizes: tuple[SizeRecord, ...]
    limits: tuple[LimitRecord, ...]


def read_chain_table(path: str | os.PathLike[str]) -> ChainTable:
    """Read a table; raises `InputErrors` with all that is wrong."""
    return _chain_table(read_toml(path))


def chain_table_of_bytes(raw: bytes, name: str = "own_chain.toml") -> ChainTable:
    """Read the content of a table; raises `InputErrors`."""
    return _chain_table(toml_of_bytes(raw, name))


def _chain_table(file: TomlFile) -> ChainTable:
    reading = checked(file, ChainTableFile)
    made, head = reading.model, reading.model.chain
    return ChainTable(
        numbers=numbers_of(reading, ("chain",), head),
        standard=head.standard,
        grade=head.grade,
        cited=head.source,
        mark=head.mark or "",
        lifting=head.lifting,
        routes=tuple(head.routes),
        samples_per_lot_count=head.samples_per_lot_count,
        sizes=tuple(
            SizeRecord(numbers_of(reading, ("size", i), one)) for i, one in enumerate(made.size)
        ),
        limits=tuple(_limit(reading, ("limit", i), one) for i, one in enumerate(made.limit)),
    )


def _limit(reading: Reading[ChainTableFile], path: Path, limit: LimitTable) -> LimitRecord:
    return LimitRecord(numbers_of(reading, path, limit), limit.element, limit.analysis)
