"""The tables of works.toml as people write them: the models that a file is checked against.

`WorksFile` is the whole file; `MachineTable`, `CardTable`, `SteelTable`, `ShiftTable`,
`TariffTable`, `WearTable`, `FactorTable` its tables; `Operation` the work that a machine can do.
Which free quantities a machine needs is decided by the operation that runs on it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field, WithJsonSchema

from linkwright.works.names import ELEMENTS, name_problem
from linkwright.works.table import (
    GREATEST,
    MOST_ROWS,
    Contradiction,
    Free,
    Label,
    Note,
    Numbers,
    Percent,
    Ranges,
    Rates,
    Spreads,
    Table,
    Text,
    number,
    same_twice,
)

Operation = Literal[
    "receiving", "drawing", "straightening", "notching", "cutting", "forming", "welding",
    "hardening", "quenching", "tempering", "furnace_hardening", "furnace_tempering",
    "normalising", "calibrating", "marking", "inspection", "jack_straightening",
    "jack_cutting", "jack_forming", "jack_inspection", "tumbling", "blasting", "oiling", "plating",
    "hydrogen_relief", "hot_dip_zinc", "packing", "strip_slitting", "blanking",
    "plate_hardening", "plate_tempering", "plate_tumbling", "link_pressing", "assembly",
    "preloading", "roller_inspection", "greasing", "crating", "curling", "roller_extrusion",
    "pin_cutting", "pin_turning", "pin_grinding", "part_washing", "case_hardening", "ball_sizing",
    "shot_peening", "carbonitriding", "link_case_hardening", "case_tempering",
    "pin_shearing", "pin_drilling", "end_annealing", "cottering",
]  # fmt: skip
_ONE = {"type": "string", "enum": list(get_args(Operation))}
Operations = Annotated[
    list[Operation],
    Field(min_length=1, max_length=8),
    BeforeValidator(lambda value: [value] if isinstance(value, str) else value),
    WithJsonSchema({"anyOf": [_ONE, {"type": "array", "items": _ONE, "minItems": 1}]}),
]
Part = Literal["plate", "bushing", "roller", "pin"]
CasePart = Literal["bushing", "roller", "pin"]
Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
Analysis = Annotated[dict[str, Percent], Free(keys=ELEMENTS)]
MOST_ALLOY_PERCENT = 50.0


class WorksTable(Table):
    """[works]: which works this is."""

    name: Text = Field(description="name of the works", examples=["Quarry Lane works"])
    place: Text | None = Field(None, description="where it is")
    invented: bool = Field(False, description="true if works and numbers are made up")
    currency: Literal["EUR"] = Field("EUR", description="currency of all prices in the file")
    note: Note | None = Field(None, description="anything else, not read by the program")


class CardTable(Table):
    """One row of a machine's set-up card that no calculation gives."""

    name: Text = Field(description="what is set, with its unit", examples=["electrode_alloy"])
    value: float | Text = Field(description="a number, or words", examples=["CuCrZr"])
    tolerance: float | None = Field(
        None, ge=0, le=GREATEST, description="by how much a number may be off", examples=[0.5]
    )
    check: Text = Field(
        description="how it is checked and how often", examples=["stamp, at each change"]
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A number has a unit and a tolerance; words have neither."""
        name, value = given.get("name"), given.get("value")
        if isinstance(value, str):
            if "tolerance" in given:
                yield Contradiction(("tolerance",), "belongs to a number", "words without one")
            return
        wrong = name_problem(name) if isinstance(name, str) else None
        if wrong:
            yield Contradiction(("name",), *wrong)
        if "tolerance" not in given:
            yield Contradiction(("tolerance",), "is missing", "tolerance = a number")


class MachineTable(Table):
    """[[machine]]: one machine, or several alike."""

    operation: Operations = Field(description="what it does: one operation, or several in an array")
    name: Text = Field(description="name of the machine", examples=["Bench 1"])
    count: int = Field(1, ge=1, le=1000, description="how many alike there are", examples=[1])
    price_EUR_per_h: float | None = number("price of one machine hour", 0, 10_000, 40)
    range: Ranges = Field(default_factory=dict, description="quantity_unit = [least, greatest]")
    held: Numbers = Field(default_factory=dict, description="values that the works keeps fixed")
    spread: Spreads = Field(default_factory=dict, description="standard deviations")
    rate: Rates = Field(default_factory=dict, description="times, speeds, power while it runs")
    card: list[CardTable] = Field(
        default_factory=list, max_length=100, description="what else its set-up card must say"
    )
    parts: list[CasePart] = Field(
        default_factory=list,
        max_length=3,
        description="parts of roller chain that this works always carbonitrides, unless a drawing "
        "or an order says otherwise",
        examples=[["bushing"]],
    )
    note: Note | None = Field(None, description="anything else, not read by the program")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Parts are named at the furnace that carbonitrides."""
        does = given.get("operation")
        if "parts" in given and "carbonitriding" not in (
            does if isinstance(does, list) else [does]
        ):
            yield Contradiction(
                ("parts",), "belongs to a furnace for carbonitriding", "a machine without parts"
            )


class TemperTable(Table):
    """One row of a steel's tempering table: what the works measured of its hardened case."""

    temperature_degC: float = number("temperature of the temper", 0, 700, 300, needed=True)
    time_h: float = number("time of the temper", 0.01, 100, 2, needed=True)
    case_hardness_HV: float = number("hardness of the case after it", 100, 1200, 600, needed=True)
    core_hardness_HV: float = number("hardness of the core after it", 80, 700, 430, needed=True)


class CrackTable(Table):
    """One point of the strain at which a steel's case cracks: a bend test of the works."""

    case_hardness_HV: float = number("hardness of the case", 100, 1200, 600, needed=True)
    strain_percent: float = number(
        "tensile strain of the surface at its first crack", 0.05, 30, 1.5, needed=True
    )


class SteelTable(Table):
    """[[steel]]: one rod or wire in stock, of one heat."""

    name: Text = Field(description="name that an order can ask for", examples=["rod 9 rich"])
    form: Literal["rod", "wire", "strip"] = Field("rod", description="form as bought")
    grade: Text = Field(description="name of the steel grade", examples=["23MnNiCrMo5-2"])
    heat: Label = Field(description="heat number", examples=["H-2107"])
    diameter_mm: float | None = number("diameter of rod or wire as bought", 0.5, 200, 9)
    thickness_mm: float | None = number("thickness of strip as bought", 0.1, 60, 4)
    width_mm: float | None = number("width of the coil of strip", 5, 3000, 620)
    coil_length_m: float | None = number("length of a coil of strip", 1, 100_000, 300)
    bought_to_size: bool = Field(
        False, description="true if diameter or thickness is ordered as each part needs it"
    )
    parts: list[Part] = Field(
        default_factory=list,
        max_length=4,
        description="parts of roller chain that this works makes of it",
        examples=[["plate"]],
    )
    tensile_strength_MPa: float = number("tensile strength", 100, 3000, 560, needed=True)
    stock_t: float | None = number("mass in stock", 0, 100_000, 12)
    price_EUR_per_kg: float | None = number("price", 0, 1000, 1.2)
    coil_mass_kg: float | None = number("mass of one coil", 1, 100_000, 1800)
    ovality_mm: float | None = number("greatest less least diameter", 0, 20, 0.2)
    surface_defect_depth_mm: float | None = number("deepest surface defect", 0, 20, 0.08)
    decarburised_depth_mm: float | None = number("measured depth of the weak skin", 0, 20, 0.06)
    reduction_of_area_percent: float | None = number("reduction of area in tension", 1, 99, 65)
    grain_size_number: float | None = number("grain size number of the heat", -3, 14, 7)
    analysis_kind: Literal["cast", "check"] = Field(
        "cast", description="cast analysis of the melt, or check analysis of the product"
    )
    analysis: Analysis = Field(min_length=1, description="mass per cent by element")
    spread: Spreads = Field(default_factory=dict, description="standard deviations in the heat")
    case_temper: list[TemperTable] = Field(
        default_factory=list,
        max_length=100,
        description="hardness of its case and core after tempers; the first row as quenched",
    )
    case_crack: list[CrackTable] = Field(
        default_factory=list,
        max_length=100,
        description="strain at which its case cracks, softest case first",
    )
    note: Note | None = Field(None, description="anything else, not read by the program")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """A steel has a size, carbon in its analysis, and is mostly iron."""
        yield from _unsized(given)
        yield from _uneven(given)
        analysis = given.get("analysis")
        if not isinstance(analysis, dict) or not analysis:
            return
        if "C_percent" not in analysis and "C" not in analysis:
            yield Contradiction(("analysis", "C_percent"), "is missing", "C_percent = 0.23")
        values = [one for one in analysis.values() if isinstance(one, (int, float))]
        if all(0 <= one <= 100 for one in values) and sum(values) > MOST_ALLOY_PERCENT:
            text = f"adds up to {sum(values):g} percent"
            yield Contradiction(("analysis",), text, f"at most {MOST_ALLOY_PERCENT:g} percent")


def _uneven(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """A tempering table needs two rows, from quenched to hotter; crack strains rise in hardness."""
    for table, key in (("case_temper", "temperature_degC"), ("case_crack", "case_hardness_HV")):
        rows = given.get(table)
        if not isinstance(rows, list) or not rows:
            continue
        values = [row.get(key) for row in rows if isinstance(row, dict)]
        if table == "case_temper" and len(rows) < 2:
            yield Contradiction((table,), "has one row", "as quenched, and one temper or more")
        numbers = [float(one) for one in values if isinstance(one, (int, float))]
        if len(numbers) == len(rows):
            for place, (one, other) in enumerate(pairwise(numbers), start=1):
                if not one < other:
                    text = f"{key} does not rise"
                    yield Contradiction((table, place, key), text, f"more than {one:g}")


def _unsized(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Sizes that a steel of its form lacks; a width is asked of every strip."""
    strip = given.get("form", "rod") == "strip"
    needed = [] if given.get("bought_to_size") is True else ["thickness" if strip else "diameter"]
    for stem in (*needed, *(["width"] if strip else [])):
        if stem not in given and f"{stem}_mm" not in given:
            accepted = f"{stem}_mm = a number" + (
                "" if stem == "width" else ", or bought_to_size = true"
            )
            yield Contradiction((f"{stem}_mm",), "is missing", accepted)


class ShiftTable(Table):
    """[[shift]]: when people work."""

    name: Text = Field(description="name of the shift", examples=["early"])
    days: list[Day] = Field(min_length=1, max_length=7, description="days of the week")
    start: datetime.time = Field(description="when it begins", examples=["06:00:00"])
    duration_h: float = number("length of the shift without breaks", 0.25, 24, 7.5, needed=True)


class TariffTable(Table):
    """[tariff]: prices of energy, water and ammonia, carbon of energy."""

    electricity_EUR_per_kWh: float = number("price of energy", 0, 100, 0.19, needed=True)
    carbon_kg_per_kWh: float = number("carbon dioxide of energy", 0, 10, 0.38, needed=True)
    water_EUR_per_m3: float = number("price of water", 0, 1000, 2.4, needed=True)
    ammonia_EUR_per_kg: float | None = number("price of ammonia", 0, 1000, 1.1)


class WearTable(Table):
    """[wear]: how much faster joints of roller chain wear in a place than in a clean drive."""

    dusty_factor: float | None = number("wear rate in dust over that of a clean drive", 1, 1000, 4)
    wet_factor: float | None = number("the same in water", 1, 1000, 2)
    corrosive_factor: float | None = number("the same where it corrodes", 1, 1000, 3)
    hot_factor: float | None = number("the same in heat", 1, 1000, 2)


class FactorTable(Table):
    """[[factor]]: a factor of a model as this works knows it, log-normal."""

    name: Text = Field(description="name of the factor", examples=["breaking force"])
    median: float = number("median of the factor", 0.01, 100, 1, needed=True)
    spread: float = number("standard deviation of its logarithm", 0, 3, 0.05, needed=True)
    learned_from: Text | None = Field(None, description="what it was learned from")
    version: int = Field(1, ge=1, le=1_000_000, description="version", examples=[1])


class WorksFile(Table):
    """works.toml as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    works: WorksTable = Field(description="which works this is")
    machine: list[MachineTable] = Field(
        min_length=1, max_length=MOST_ROWS, description="machines, one table each"
    )
    steel: list[SteelTable] = Field(
        min_length=1, max_length=MOST_ROWS, description="steels in stock, one table each"
    )
    shift: list[ShiftTable] = Field(
        default_factory=list, max_length=100, description="shifts, one table each"
    )
    tariff: TariffTable | None = Field(None, description="prices of energy and water")
    wear: WearTable | None = Field(
        None, description="the works' own factors on the wear of joints, by what surrounds a drive"
    )
    factor: list[FactorTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="the works' own model factors"
    )
    aim: Numbers = Field(default_factory=dict, description="margins that this works aims at")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Names are given once."""
        for table in ("machine", "steel", "shift", "factor"):
            yield from same_twice(given.get(table), "name", table)
        machines = given.get("machine")
        for place, machine in enumerate(machines if isinstance(machines, list) else ()):
            rows = machine.get("card") if isinstance(machine, dict) else None
            for wrong in same_twice(rows, "name", "card"):
                yield wrong._replace(path=("machine", place, *wrong.path))
