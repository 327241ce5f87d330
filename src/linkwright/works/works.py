"""works.toml: what a chain works can do, as people write it and as the program uses it.

``read_works(path)`` and ``works_of_bytes(raw, name)`` give `Works`: machines with ranges,
held values, spread and rates, steels in stock with their analysis, shifts, tariff, and the
works' own model factors; or raise `InputErrors` with every problem of the file. Names of
free quantities end in a unit of the closed table; which of them a machine needs is decided
by the operation that runs on it.
"""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass
from typing import Any, TypeVar

from linkwright.quantities import UnknownName
from linkwright.works.canonical import content_hash
from linkwright.works.filed import (
    Filed,
    FiledNumbers,
    FiledOptional,
    FiledRanges,
    Record,
    free_numbers,
    free_ranges,
    numbers_of,
    sourced_here,
)
from linkwright.works.places import Path
from linkwright.works.reading import Reading, checked
from linkwright.works.toml_file import TomlFile, read_toml, toml_of_bytes
from linkwright.works.works_file import CardTable, MachineTable, SteelTable, WorksFile


@dataclass(frozen=True)
class CardRecord(Record):
    """One row of a set-up card as the works file gives it: a number that knows its line, or words.

    tolerance belongs to a number; check says how it is checked and how often.
    """

    name: str
    words: str | None
    check: str

    tolerance = FiledOptional()

    @property
    def value(self) -> Any:
        """The number with its place, or the words."""
        return self.numbers["value"] if self.words is None else self.words


@dataclass(frozen=True)
class MachineRecord(Record):
    """One machine, or ``count`` alike."""

    operations: tuple[str, ...]
    name: str
    count: int
    range: FiledRanges
    held: FiledNumbers
    spread: FiledNumbers
    rate: FiledNumbers
    card: tuple[CardRecord, ...]
    parts: tuple[str, ...]
    note: str | None
    price_EUR_per_h = FiledOptional()

    @property
    def many(self) -> float:
        """How many alike there are, as a number that knows its line."""
        return sourced_here("machines", float(self.count), lambda: self.source("count"))

    def limits(self, key: str) -> tuple[float | None, float | None]:
        """Least and greatest value that the machine can hold; None, None if not given."""
        return self.range.get(key, (None, None))


@dataclass(frozen=True)
class TemperRecord(Record):
    """One row of a tempering table."""

    temperature_degC = Filed()
    time_h = Filed()
    case_hardness_HV = Filed()
    core_hardness_HV = Filed()


@dataclass(frozen=True)
class CrackRecord(Record):
    """One point of the strain at which a case cracks."""

    case_hardness_HV = Filed()
    strain_percent = Filed()


@dataclass(frozen=True)
class SteelRecord(Record):
    """One steel in stock."""

    name: str
    form: str
    grade: str
    heat: str
    analysis_kind: str
    analysis: FiledNumbers
    spread: FiledNumbers
    note: str | None
    bought_to_size: bool
    parts: tuple[str, ...]
    case_temper: tuple[TemperRecord, ...]
    case_crack: tuple[CrackRecord, ...]
    diameter_mm = Filed()
    thickness_mm = FiledOptional()
    width_mm = FiledOptional()
    coil_length_m = FiledOptional()
    tensile_strength_MPa = Filed()
    stock_t = FiledOptional()
    price_EUR_per_kg = FiledOptional()
    coil_mass_kg = FiledOptional()
    ovality_mm = FiledOptional()
    surface_defect_depth_mm = FiledOptional()
    decarburised_depth_mm = FiledOptional()
    reduction_of_area_percent = FiledOptional()
    grain_size_number = FiledOptional()


@dataclass(frozen=True)
class ShiftRecord(Record):
    """One shift."""

    name: str
    days: tuple[str, ...]
    start: datetime.time
    duration_h = Filed()


@dataclass(frozen=True)
class TariffRecord(Record):
    """Prices of energy and water."""

    electricity_EUR_per_kWh = Filed()
    carbon_kg_per_kWh = Filed()
    water_EUR_per_m3 = Filed()
    ammonia_EUR_per_kg = FiledOptional()


@dataclass(frozen=True)
class WearRecord(Record):
    """Wear of joints where a drive stands over that of a clean drive, as the works knows it."""

    dusty_factor = FiledOptional()
    wet_factor = FiledOptional()
    corrosive_factor = FiledOptional()
    hot_factor = FiledOptional()


@dataclass(frozen=True)
class FactorRecord(Record):
    """A model factor as this works knows it; spread is the standard deviation of ln."""

    name: str
    learned_from: str | None
    version: int
    median = Filed()
    spread = Filed()


@dataclass(frozen=True)
class Works(Record):
    """A works after reading."""

    name: str
    place_name: str | None
    invented: bool
    currency: str
    note: str | None
    machines: tuple[MachineRecord, ...]
    steels: tuple[SteelRecord, ...]
    shifts: tuple[ShiftRecord, ...]
    tariff: TariffRecord | None
    wear: WearRecord | None
    factors: tuple[FactorRecord, ...]
    aim: FiledNumbers

    def machines_for(self, operation: str) -> tuple[MachineRecord, ...]:
        """The machines that do an operation, in the order of the file; perhaps none."""
        return tuple(machine for machine in self.machines if operation in machine.operations)

    def machine(self, name: str) -> MachineRecord:
        """The machine of that name; raises `UnknownName`."""
        return _of_name(self.machines, "machine", name)

    def steel(self, name: str) -> SteelRecord:
        """The steel of that name; raises `UnknownName`."""
        return _of_name(self.steels, "steel", name)

    @property
    def rods(self) -> tuple[SteelRecord, ...]:
        """Rod and wire of a size, of which welded and jack chain are made."""
        return tuple(
            one
            for one in self.steels
            if one.form != "strip" and not one.parts and "diameter_mm" in one.numbers
        )

    def factor(self, name: str) -> FactorRecord | None:
        """The works' own factor of that name, if it has one."""
        return next((factor for factor in self.factors if factor.name == name), None)

    def content_hash(self) -> str:
        """SHA-256 of the content; spelling, comments, order of keys do not enter."""
        return content_hash(self)


def read_works(path: str | os.PathLike[str]) -> Works:
    """Read a works file; raises `InputErrors` with all that is wrong."""
    return _works(read_toml(path))


def works_of_bytes(raw: bytes, name: str = "works.toml") -> Works:
    """Read the content of a works file; raises `InputErrors`."""
    return _works(toml_of_bytes(raw, name))


def _works(file: TomlFile) -> Works:
    reading = checked(file, WorksFile)
    made = reading.model
    return Works(
        numbers=numbers_of(reading, ("works",), made.works),
        name=made.works.name,
        place_name=made.works.place,
        invented=made.works.invented,
        currency=made.works.currency,
        note=made.works.note,
        machines=tuple(_machine(reading, ("machine", i), m) for i, m in enumerate(made.machine)),
        steels=tuple(_steel(reading, ("steel", i), s) for i, s in enumerate(made.steel)),
        shifts=tuple(
            ShiftRecord(
                numbers_of(reading, ("shift", i), shift), shift.name, tuple(shift.days), shift.start
            )
            for i, shift in enumerate(made.shift)
        ),
        tariff=TariffRecord(numbers_of(reading, ("tariff",), made.tariff)) if made.tariff else None,
        wear=WearRecord(numbers_of(reading, ("wear",), made.wear)) if made.wear else None,
        factors=tuple(
            FactorRecord(
                numbers_of(reading, ("factor", i), one), one.name, one.learned_from, one.version
            )
            for i, one in enumerate(made.factor)
        ),
        aim=free_numbers(reading, ("aim",), made.aim),
    )


def _machine(reading: Reading[WorksFile], path: Path, machine: MachineTable) -> MachineRecord:
    return MachineRecord(
        numbers=numbers_of(reading, path, machine),
        operations=tuple(machine.operation),
        name=machine.name,
        count=machine.count,
        range=free_ranges(reading, (*path, "range"), machine.range),
        held=free_numbers(reading, (*path, "held"), machine.held),
        spread=free_numbers(reading, (*path, "spread"), machine.spread, difference=True),
        rate=free_numbers(reading, (*path, "rate"), machine.rate),
        card=tuple(_card(reading, (*path, "card", i), row) for i, row in enumerate(machine.card)),
        parts=tuple(machine.parts),
        note=machine.note,
    )


def _card(reading: Reading[WorksFile], path: Path, row: CardTable) -> CardRecord:
    words = row.value if isinstance(row.value, str) else None
    return CardRecord(numbers_of(reading, path, row), row.name, words, row.check)


def _steel(reading: Reading[WorksFile], path: Path, steel: SteelTable) -> SteelRecord:
    return SteelRecord(
        numbers=numbers_of(reading, path, steel),
        name=steel.name,
        form=steel.form,
        grade=steel.grade,
        heat=steel.heat,
        analysis_kind=steel.analysis_kind,
        analysis=free_numbers(reading, (*path, "analysis"), steel.analysis),
        spread=free_numbers(reading, (*path, "spread"), steel.spread, difference=True),
        note=steel.note,
        bought_to_size=steel.bought_to_size,
        parts=tuple(steel.parts),
        case_temper=tuple(
            TemperRecord(numbers_of(reading, (*path, "case_temper", i), row))
            for i, row in enumerate(steel.case_temper)
        ),
        case_crack=tuple(
            CrackRecord(numbers_of(reading, (*path, "case_crack", i), row))
            for i, row in enumerate(steel.case_crack)
        ),
    )


R = TypeVar("R", MachineRecord, SteelRecord)


def _of_name(records: tuple[R, ...], argument: str, name: str) -> R:
    for record in records:
        if record.name == name:
            return record
    raise UnknownName(argument, name, [record.name for record in records])
