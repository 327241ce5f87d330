"""Drawings of a works' own roller chain parts: sizes that go before standard and rule.

``read_part_drawings(path)`` and ``part_drawings_of_bytes(raw, name)`` give a `PartDrawings`, one
drawing a chain number; ``of("16B")`` gives its sizes, each knowing its line, as `roller_parts`
takes them. A size that a drawing leaves out is that of the standard or of the rule.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field

from linkwright.quantities import ArgumentError
from linkwright.works.filed import FiledNumbers, Record, numbers_of
from linkwright.works.pin_work import PinWork, one_of_each, pin_work_field
from linkwright.works.reading import checked
from linkwright.works.table import MOST_ROWS, Contradiction, Label, Table, Text, number
from linkwright.works.toml_file import TomlFile, read_toml, toml_of_bytes


class DrawingTable(Table):
    """[[drawing]]: the parts of one chain."""

    chain_number: Label = Field(description="number of the chain", examples=["16B"])
    source: Text = Field(description="which drawing", examples=["drawing 31, rev B"])
    inner_plate_thickness_mm: float | None = number("inner plates", 0.2, 100, 4)
    outer_plate_thickness_mm: float | None = number("outer plates", 0.2, 100, 3.1)
    inner_plate_height_mm: float | None = number("height of inner plates", 1, 500, 20.9)
    outer_plate_height_mm: float | None = number("height of outer plates", 1, 500, 20.9)
    inner_waist_height_mm: float | None = number("waist of inner plates", 1, 500, 15.6)
    outer_waist_height_mm: float | None = number("waist of outer plates", 1, 500, 15.6)
    inner_hole_diameter_mm: float | None = number("hole for the bushing", 0.5, 300, 11.24)
    outer_hole_diameter_mm: float | None = number("hole for the pin", 0.5, 300, 8.25)
    inner_width_mm: float | None = number("width between inner plates", 0.5, 500, 17.2)
    inner_link_width_mm: float | None = number("width over inner plates", 0.5, 500, 25.2)
    bushing_outside_mm: float | None = number("outside of the bushing", 0.5, 300, 11.3)
    bushing_bore_mm: float | None = number("bore of the bushing", 0.5, 300, 8.34)
    pin_diameter_mm: float | None = number("pin", 0.5, 300, 8.27)
    pin_length_mm: float | None = number("length of the riveted pin", 1, 2000, 36)
    roller_outside_mm: float | None = number("outside of the roller", 0.5, 300, 15.88)
    roller_bore_mm: float | None = number("bore of the roller", 0.5, 300, 11.4)
    roller_length_mm: float | None = number("length of the roller", 0.5, 500, 16.5)
    carbonitrided: list[Literal["bushing", "roller", "pin"]] | None = Field(
        None, max_length=3, description="parts that are carbonitrided instead of carburised",
        examples=[["bushing"]],
    )  # fmt: skip
    pin_work: list[PinWork] | None = pin_work_field()
    cotter_hole_mm: float | None = number("hole for the cotter, its nominal size", 0.6, 13, 2.5)
    hole_from_end_mm: float | None = number("middle of that hole to the pin's end", 0.5, 200, 4)
    hole_clearance_mm: float | None = number("outer plate to the edge of that hole", 0, 50, 0.6)

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """The number is one, and what goes into another fits."""
        # the tables of chains load numpy, which reading a file must not
        from linkwright.standards.roller_chain import read_chain_number  # noqa: PLC0415

        chain = given.get("chain_number")
        if isinstance(chain, str):
            try:
                read_chain_number(chain)
            except ArgumentError as error:
                yield Contradiction(("chain_number",), "is no chain number", error.accepted)
        yield from one_of_each(given.get("pin_work"))
        for low, high in _SMALLER:
            below, above = given.get(low), given.get(high)
            if isinstance(below, float | int) and isinstance(above, float | int) and below >= above:
                text = f"{below:g} is not below {high} = {above:g}"
                yield Contradiction((low,), text, f"below {above:g}")


_SMALLER = (
    ("cotter_hole_mm", "pin_diameter_mm"),
    ("pin_diameter_mm", "bushing_bore_mm"),
    ("outer_hole_diameter_mm", "pin_diameter_mm"),
    ("bushing_bore_mm", "bushing_outside_mm"),
    ("inner_hole_diameter_mm", "bushing_outside_mm"),
    ("bushing_outside_mm", "roller_bore_mm"),
    ("roller_bore_mm", "roller_outside_mm"),
    ("roller_length_mm", "inner_width_mm"),
    ("inner_width_mm", "inner_link_width_mm"),
    ("inner_waist_height_mm", "inner_plate_height_mm"),
    ("outer_waist_height_mm", "outer_plate_height_mm"),
)
"""Pairs of sizes of which the first goes into, or is cut out of, the second."""


class PartDrawingsFile(Table):
    """The file as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    drawing: list[DrawingTable] = Field(
        min_length=1, max_length=MOST_ROWS, description="drawings, one table a chain"
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A chain has one drawing."""
        seen: set[str] = set()
        rows = given.get("drawing")
        for place, row in enumerate(rows if isinstance(rows, list) else ()):
            chain = row.get("chain_number") if isinstance(row, dict) else None
            if isinstance(chain, str) and _plain(chain) in seen:
                path = ("drawing", place, "chain_number")
                yield Contradiction(path, f"{chain} stands twice", "each chain once")
            elif isinstance(chain, str):
                seen.add(_plain(chain))


@dataclass(frozen=True)
class DrawingRecord(Record):
    """One drawing; its numbers know their lines."""

    chain_number: str
    cited: str
    carbonitrided: tuple[str, ...] | None
    pin_work: tuple[str, ...]


@dataclass(frozen=True)
class PartDrawings:
    """All drawings of a file."""

    drawings: tuple[DrawingRecord, ...]

    def to_dict(self) -> dict[str, Any]:
        """The content without places: what the hash of an order that names it is made of."""
        return {"drawings": [one.to_dict() for one in self.drawings]}

    def of(self, chain_number: str) -> FiledNumbers | None:
        """Sizes of the drawing of a chain, strands apart; None if there is none."""
        drawing = self._drawing(chain_number)
        return None if drawing is None else drawing.numbers

    def carbonitrided(self, chain_number: str) -> tuple[str, ...] | None:
        """Parts that the drawing of a chain has carbonitrided; None where none says anything."""
        drawing = self._drawing(chain_number)
        return None if drawing is None else drawing.carbonitrided

    def pin_work(self, chain_number: str) -> tuple[str, ...]:
        """How the drawing has the pins made; nothing where it does not say."""
        drawing = self._drawing(chain_number)
        return () if drawing is None else drawing.pin_work

    def _drawing(self, chain_number: str) -> DrawingRecord | None:
        wanted = _plain(chain_number)
        found = (one for one in self.drawings if _plain(one.chain_number) == wanted)
        return next(found, None)


def read_part_drawings(path: str | os.PathLike[str]) -> PartDrawings:
    """Read drawings; raises `InputErrors` with all that is wrong."""
    return _drawings(read_toml(path))


def part_drawings_of_bytes(raw: bytes, name: str = "part_drawings.toml") -> PartDrawings:
    """Read the content of a file of drawings; raises `InputErrors`."""
    return _drawings(toml_of_bytes(raw, name))


def _drawings(file: TomlFile) -> PartDrawings:
    reading = checked(file, PartDrawingsFile)
    return PartDrawings(
        tuple(
            DrawingRecord(
                numbers_of(reading, ("drawing", place), one),
                one.chain_number,
                one.source,
                None if one.carbonitrided is None else tuple(one.carbonitrided),
                tuple(one.pin_work or ()),
            )
            for place, one in enumerate(reading.model.drawing)
        )
    )


def _plain(chain_number: str) -> str:
    """The chain without its strands, or the text as it stands if it is none."""
    # the tables of chains load numpy, which reading a file must not
    from linkwright.standards.roller_chain import read_chain_number  # noqa: PLC0415

    try:
        return read_chain_number(chain_number).chain
    except ArgumentError:
        return chain_number
