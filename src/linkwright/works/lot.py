"""lot.toml: a lot that is under way, as people write it and as the program uses it.

``read_lot(path)`` and ``lot_of_bytes(raw, name)`` give a `Lot`, or raise `InputErrors` with
every problem of the file. A lot names the order line it belongs to and the operation after
which its metal lies on the bench; ``measured`` holds what gauges gave there, with
``measured_spread`` where the works knows it, and ``done`` the settings that were really
used. Which fields and settings there are is known only once the route is; that is checked
when the lot is planned on.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field

from linkwright.quantities import split
from linkwright.works.canonical import content_hash
from linkwright.works.filed import FiledNumbers, Record, free_numbers, numbers_of
from linkwright.works.reading import checked
from linkwright.works.table import (
    Contradiction,
    Label,
    Note,
    Numbers,
    Settings,
    Spreads,
    Table,
    Text,
)
from linkwright.works.toml_file import TomlFile, printable, read_toml, toml_of_bytes
from linkwright.works.works_file import Operation


class LotTable(Table):
    """[lot]: which lot, of which order line, and where it lies."""

    number: Label = Field(description="number of the lot", examples=["L-0317"])
    order: Text = Field(description="number of the order", examples=["Q-1042"])
    line: Label | None = Field(
        None, description="name of the order's line; not needed if the order has one"
    )
    after: Operation | None = Field(
        None, description="the last operation that is done", examples=["drawing"]
    )
    note: Note | None = Field(None, description="anything else, not read by the program")


class LotFile(Table):
    """lot.toml as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    lot: LotTable = Field(description="which lot, and how far it is")
    measured: Numbers = Field(
        default_factory=dict, description="what gauges gave after that operation"
    )
    measured_spread: Spreads = Field(
        default_factory=dict, description="standard deviations of what was measured, in this lot"
    )
    done: Settings = Field(
        default_factory=dict,
        description="settings that were really used, operation.quantity_unit = number",
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A spread belongs to something that was measured."""
        measured, spread = given.get("measured", {}), given.get("measured_spread", {})
        if not isinstance(measured, dict) or not isinstance(spread, dict):
            return
        stems = {split(name)[0] for name in measured}
        for name in spread:
            if split(name)[0] not in stems:
                listed = ", ".join(printable(stem) for stem in sorted(stems)) or "nothing measured"
                yield Contradiction(
                    ("measured_spread", name), "is a spread of something not measured", listed
                )


@dataclass(frozen=True)
class Lot(Record):
    """A lot after reading; ``after`` is None where the file leaves it to the command."""

    number: str
    order: str
    line: str | None
    after: str | None
    note: str | None
    measured: FiledNumbers
    measured_spread: FiledNumbers
    done: FiledNumbers

    def content_hash(self) -> str:
        """SHA-256 of the content; spelling, comments, order of keys do not enter."""
        return content_hash(self)


def read_lot(path: str | os.PathLike[str]) -> Lot:
    """Read a lot file; raises `InputErrors` with all that is wrong."""
    return _lot(read_toml(path))


def lot_of_bytes(raw: bytes, name: str = "lot.toml") -> Lot:
    """Read the content of a lot file; raises `InputErrors`."""
    return _lot(toml_of_bytes(raw, name))


def _lot(file: TomlFile) -> Lot:
    reading = checked(file, LotFile)
    made, head = reading.model, reading.model.lot
    return Lot(
        numbers=numbers_of(reading, ("lot",), head),
        number=head.number,
        order=head.order,
        line=head.line,
        after=head.after,
        note=head.note,
        measured=free_numbers(reading, ("measured",), made.measured),
        measured_spread=free_numbers(
            reading, ("measured_spread",), made.measured_spread, difference=True
        ),
        done=free_numbers(reading, ("done",), made.done),
    )
