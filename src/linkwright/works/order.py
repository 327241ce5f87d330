"""order.toml: what a customer wants, as people write it and as the program uses it.

``read_order(path)`` and ``order_of_bytes(raw, name)`` give an `Order` of `Line`s, or raise
`InputErrors` with every problem of the file. A line is a named chain (product, standard,
size, length), a lifting duty (working load, legs, length) or a drive duty (`Drive`). The
models (`OrderFile` and the tables in it) are the edge; their JSON Schema is published.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Literal

from pydantic import Field

from linkwright.quantities import InputErrors, Problem, UnknownName, nearest
from linkwright.works.canonical import content_hash
from linkwright.works.chain_table import ChainTable, read_chain_table
from linkwright.works.chains import NUMBERED, PRODUCTS, named, standards_of
from linkwright.works.drive_duty import Drive, DriveTable, read_drive
from linkwright.works.filed import (
    FiledNumbers,
    FiledOptional,
    Record,
    free_numbers,
    numbers_of,
    sourced_here,
)
from linkwright.works.part_drawings import PartDrawings, read_part_drawings
from linkwright.works.pin_work import PinWork, one_of_each, pin_work_field
from linkwright.works.places import Path
from linkwright.works.reading import Reading, checked
from linkwright.works.table import (
    MOST_ROWS,
    Contradiction,
    Label,
    Note,
    Settings,
    Table,
    Text,
    number,
    same_twice,
)
from linkwright.works.toml_file import TomlFile, printable, read_toml, toml_of_bytes

FIRST_DAY, LAST_DAY = datetime.date(2000, 1, 1), datetime.date(2100, 12, 31)
CHAIN, LIFTING, DRIVE = "chain", "lifting duty", "drive duty"
_FORMS = {"product": CHAIN, "working_load": LIFTING, "working_load_t": LIFTING, "drive": DRIVE}

_OF_CHAIN = (
    "standard", "grade", "chain_type", "size", "size_mm", "steel", "finish", "table", "settings",
    "pitches", "drawings", "plate_work", "carbonitrided", "pin_work",
)  # fmt: skip

_OF_DRIVE = ("settings", "drawings", "carbonitrided", "pin_work")
"""What a drive may say of the chain that is chosen for it."""


class OrderTable(Table):
    """[order]: who wants it and when."""

    number: Text = Field(description="order number", examples=["Q-1042"])
    customer: Text = Field(description="customer", examples=["Northmoor quarry"])
    due: datetime.date = Field(
        ge=FIRST_DAY, le=LAST_DAY, description="date of delivery", examples=["2026-12-18"]
    )
    note: Note | None = Field(None, description="anything else, not read by the program")


class LineTable(Table):
    """[[line]]: one named chain or one duty."""

    id: Label | None = Field(None, description="name of the line; its number if not given")
    product: Literal["welded", "jack", "roller"] | None = Field(
        None, description="kind of chain", examples=["welded"]
    )
    standard: Text | None = Field(None, description="standard", examples=["EN 818-2"])
    table: Text | None = Field(
        None, description="file with a table of one's own, beside the order; instead of standard",
        examples=["own_chain.toml"],
    )  # fmt: skip
    grade: Label | None = Field(None, description="grade of the standard", examples=[8])
    chain_type: Text | None = Field(None, description="type of the standard, where it has some")
    size_mm: float | None = number("nominal diameter of a welded chain", 1, 200, 8)
    size: Label | None = Field(
        None, description="number of a roller chain (16B-2) or of a jack chain (12)"
    )
    length_m: float | None = number("length of chain ordered", 0.01, 1_000_000, 300)
    pitches: int | None = Field(
        None, ge=2, le=10_000_000, description="length of a roller chain in pitches", examples=[126]
    )
    drawings: Text | None = Field(
        None, description="file with drawings of one's own parts of roller chain, beside the order",
        examples=["part_drawings.toml"],
    )  # fmt: skip
    plate_work: list[Literal["ball sizing", "shot peening"]] | None = Field(
        None, min_length=1, max_length=2,
        description="what is done to the plates of roller chain beyond hardening and tumbling",
        examples=[["shot peening"]],
    )  # fmt: skip
    carbonitrided: list[Literal["bushing", "roller", "pin"]] | None = Field(
        None, max_length=3,
        description="parts of roller chain that are carbonitrided instead of carburised; before "
        "what drawing and works say, [] for none",
        examples=[["bushing"]],
    )  # fmt: skip
    pin_work: list[PinWork] | None = pin_work_field()
    steel: Text | None = Field(None, description="name of a steel in the works' stock")
    finish: (
        Literal["bright", "oiled", "tumbled", "blasted", "zinc electroplated", "hot-dip zinc"]
        | None
    ) = Field(None, description="how welded chain leaves the works", examples=["oiled"])
    settings: Settings = Field(
        default_factory=dict,
        description="settings fixed by the order, operation.quantity_unit = number",
    )
    working_load_t: float | None = number("mass to be lifted", 0.001, 1000, 2)
    legs: int | None = Field(None, ge=1, le=4, description="legs of the sling", examples=[1])
    drive: DriveTable | None = Field(None, description="duty of a power transmission")
    note: Note | None = Field(None, description="anything else, not read by the program")

    @classmethod
    def named(cls, given: Mapping[str, Any]) -> frozenset[str]:
        """A roller or jack chain has a number as size, not a length."""
        return frozenset({"size"} if given.get("product") in NUMBERED else ())

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """One kind of line, with all that this kind needs and nothing of the others."""
        forms = {_FORMS[key]: key for key in _FORMS if key in given}
        if len(forms) != 1:
            wrong = "says neither product nor duty" if not forms else "mixes product and duty"
            path: Path = (next(iter(forms.values())),) if forms else ()
            one = "product, or working_load, or a table [line.drive]"
            yield Contradiction(path, wrong, f"one of: {one}")
            return
        form = next(iter(forms))
        yield from _needed(given, form)
        yield from one_of_each(given.get("pin_work"))
        if form == CHAIN:
            yield from _names(given) if "table" not in given else _own_table(given)
            if "finish" in given and given["product"] != "welded":
                yield Contradiction(("finish",), "belongs to welded chain", "a line without finish")
            yield from _of_roller(given)


class OrderFile(Table):
    """order.toml as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    order: OrderTable = Field(description="who wants it and when")
    line: list[LineTable] = Field(
        min_length=1, max_length=MOST_ROWS, description="what is ordered, one table a line"
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """No two lines of one name."""
        return same_twice(given.get("line"), "id", "line")


def _needed(given: Mapping[str, Any], form: str) -> Iterator[Contradiction]:
    needed = {
        CHAIN: {"size": ("size_mm", 'size = "8 mm"'), "length": ("length_m", 'length = "300 m"')},
        LIFTING: {"length": ("length_m", 'length = "300 m"')},
        DRIVE: {},
    }[form]
    in_pitches = "pitches" in given and given.get("product") == "roller"
    for stem, (key, example) in needed.items():
        if stem not in given and key not in given and not (stem == "length" and in_pitches):
            yield Contradiction((key,), "is missing", example)
    strange = {
        CHAIN: ("legs",),
        LIFTING: _OF_CHAIN,
        DRIVE: (*(key for key in _OF_CHAIN if key not in _OF_DRIVE), "legs"),
    }[form]
    for key in strange:
        if key in given:
            yield Contradiction((key,), f"does not belong to a {form}", f"a {form} without {key}")


def _of_roller(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Pitches, drawings, work on parts belong to roller chain; its length is said once."""
    roller = given["product"] == "roller"
    for key in ("pitches", "drawings", "plate_work", "carbonitrided", "pin_work"):
        if key in given and not roller:
            yield Contradiction((key,), "belongs to roller chain", f"a line without {key}")
    yield from _beside_order(given.get("drawings"), "drawings", "part_drawings.toml")
    if "pitches" in given and ("length" in given or "length_m" in given):
        yield Contradiction(("pitches",), "says the length again", "length or pitches")


def _names(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Product, standard, grade and type that go together."""
    product, standard = given["product"], given.get("standard")
    if product not in PRODUCTS:
        return  # the field itself says so
    known = standards_of(product)
    listed = ", ".join(f'"{name}"' for name in known)
    if standard is None:
        if known:
            yield Contradiction(("standard",), "is missing", listed)
        return
    if not isinstance(standard, str):
        return
    if standard not in known:
        close = nearest(standard, known, 1)
        near = f'; nearest is "{close[0]}"' if close else ""
        wrong = f"'{printable(standard)}' is no known standard of {product} chain{near}"
        accepted = listed or f"no standard: {product} chain is ordered by its size alone"
        yield Contradiction(("standard",), wrong, accepted)
        return
    chain = named(standard)
    for key, choices in (("grade", chain.grades), ("chain_type", chain.types)) if chain else ():
        yield from _choice(given, key, choices, standard)


def _own_table(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """A table of one's own stands instead of a standard, for welded chain."""
    if given["product"] != "welded":
        yield Contradiction(("table",), "belongs to welded chain", "a line without table")
    for key in ("standard", "grade", "chain_type"):
        if key in given:
            yield Contradiction((key,), "stands in the table already", f"a line without {key}")
    yield from _beside_order(given["table"], "table", "own_chain.toml")


def _beside_order(name: object, key: str, example: str) -> Iterator[Contradiction]:
    """A file is named without folders."""
    if isinstance(name, str) and (FilePath(name).name != name or not name.endswith(".toml")):
        wrong = f"'{printable(name)}' is not the name of a file beside the order"
        yield Contradiction((key,), wrong, f'a name without folders, such as "{example}"')


def _choice(
    given: Mapping[str, Any], key: str, choices: tuple[str, ...], standard: str
) -> Iterator[Contradiction]:
    value = given.get(key)
    listed = ", ".join(choices)
    if value is None:
        if len(choices) > 1:
            yield Contradiction((key,), "is missing", f"{listed} ({standard})")
    elif not choices:
        yield Contradiction((key,), f"{standard} has none", f"no {key}")
    elif isinstance(value, (str, int)) and str(value) not in choices:
        yield Contradiction((key,), f"'{printable(str(value))}' is not in {standard}", listed)


@dataclass(frozen=True)
class Line(Record):
    """One line of an order; ``form`` is "chain", "lifting duty" or "drive duty"."""

    id: str
    form: str
    product: str | None
    standard: str | None
    grade: str | None
    chain_type: str | None
    size: str | None
    steel: str | None
    finish: str | None
    table_file: str | None
    table: ChainTable | None
    drawings: PartDrawings | None
    pitches_count: int | None
    plate_work: tuple[str, ...]
    carbonitrided: tuple[str, ...] | None
    pin_work: tuple[str, ...]
    legs: int | None
    settings: FiledNumbers
    drive: Drive | None
    note: str | None
    size_mm = FiledOptional()
    length_m = FiledOptional()
    working_load_t = FiledOptional()

    @property
    def pitches(self) -> float | None:
        """Length in pitches, as a number that knows its line; None where it is said in metres."""
        if self.pitches_count is None:
            return None
        return sourced_here("pitches", float(self.pitches_count), self._pitches_source)

    def _pitches_source(self) -> str:
        """The line that says it, or the duty that it was chosen for."""
        if self.drive is None:
            return self.source("pitches")
        return f"chosen for the duty at {self.drive.place()}"


@dataclass(frozen=True)
class Order(Record):
    """An order after reading."""

    number: str
    customer: str
    due: datetime.date
    note: str | None
    lines: tuple[Line, ...]

    def line(self, ident: str) -> Line:
        """The line of that name; raises `UnknownName`."""
        for line in self.lines:
            if line.id == ident:
                return line
        raise UnknownName("line", ident, [line.id for line in self.lines])

    def content_hash(self) -> str:
        """SHA-256 of the content; spelling, comments, order of keys do not enter."""
        return content_hash(self)


def read_order(path: str | os.PathLike[str]) -> Order:
    """Read an order file and the tables beside it; raises `InputErrors` with all that is wrong."""
    return _order(read_toml(path), FilePath(path).parent)


def order_of_bytes(
    raw: bytes, name: str = "order.toml", folder: str | os.PathLike[str] | None = None
) -> Order:
    """Read an order's content; ``folder`` has the tables beside it. Raises `InputErrors`."""
    return _order(toml_of_bytes(raw, name), None if folder is None else FilePath(folder))


def _order(file: TomlFile, folder: FilePath | None = None) -> Order:
    reading = checked(file, OrderFile)
    head = reading.model.order
    lines = enumerate(reading.model.line)
    return Order(
        numbers=numbers_of(reading, ("order",), head),
        number=head.number,
        customer=head.customer,
        due=head.due,
        note=head.note,
        lines=tuple(_line(reading, ("line", i), line, folder) for i, line in lines),
    )


def _line(
    reading: Reading[OrderFile], path: Path, line: LineTable, folder: FilePath | None
) -> Line:
    form = CHAIN if line.product else DRIVE if line.drive else LIFTING
    chain = named(line.standard) if line.standard else None
    table = _table(reading, path, line.table, folder) if line.table else None
    only_grade = chain.grades[0] if chain and len(chain.grades) == 1 else None
    return Line(
        numbers=numbers_of(reading, path, line),
        id=line.id or str(int(path[1]) + 1),
        form=form,
        product=line.product,
        standard=table.standard if table else line.standard,
        grade=table.grade if table else line.grade or only_grade,
        chain_type=line.chain_type,
        size=line.size,
        steel=line.steel,
        finish=line.finish,
        table_file=line.table,
        table=table,
        drawings=_drawings(reading, path, line.drawings, folder) if line.drawings else None,
        pitches_count=line.pitches,
        plate_work=tuple(line.plate_work or ()),
        carbonitrided=None if line.carbonitrided is None else tuple(line.carbonitrided),
        pin_work=tuple(line.pin_work or ()),
        legs=(line.legs or 1) if form == LIFTING else None,
        settings=free_numbers(reading, (*path, "settings"), line.settings),
        drive=read_drive(reading, (*path, "drive"), line.drive) if line.drive else None,
        note=line.note,
    )


def _table(
    reading: Reading[OrderFile], path: Path, name: str, folder: FilePath | None
) -> ChainTable:
    """The table that a line names."""
    return read_chain_table(_beside(reading, (*path, "table"), name, folder))


def _drawings(
    reading: Reading[OrderFile], path: Path, name: str, folder: FilePath | None
) -> PartDrawings:
    """The drawings that a line names."""
    return read_part_drawings(_beside(reading, (*path, "drawings"), name, folder))


def _beside(
    reading: Reading[OrderFile], path: Path, name: str, folder: FilePath | None
) -> FilePath:
    """A file beside the order; told with the place that names it if it is not there."""
    if folder is not None and (folder / name).is_file():
        return folder / name
    where = "beside it" if folder else "beside an order that is no file itself"
    message = f"there is no file {printable(name)} {where}"
    line, key = reading.line(path), f"line.{path[-1]}"
    accepted = "a file in the same folder"
    raise InputErrors([Problem("file", message, reading.file.name, line, key, accepted)])
