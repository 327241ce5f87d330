"""How each machine of the invented month writes its files, and the map that reads them.

One table, `DIALECTS`, serves both: the writer asks it for heads, units, decimals and encoding, and
`map_text` turns it into map.toml. The dialects are invented.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from linkwright.services.month.put_in import ZONE

ClockForm = Literal["iso", "day.month.year", "unix_ms", "unix_us"]
Form = Literal["csv", "jsonl", "parquet"]


@dataclass(frozen=True)
class Cell:
    """A column of a file: ours, its head there, its unit there, decimals, bounds in our unit."""

    ours: str
    head: str
    unit: str = ""
    places: int = 0
    least: float | None = None
    greatest: float | None = None

    @property
    def is_number(self) -> bool:
        """Whether it is a measured number."""
        return bool(self.unit)


@dataclass(frozen=True)
class Dialect:
    """How the files of one kind of machine look. letter: with which their names begin."""

    letter: str
    kind: str
    form: Form
    cells: tuple[Cell, ...]
    delimiter: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    marked: bool = False
    units_row: bool = False
    clock: ClockForm = "iso"
    ending: str = "csv"
    zone: str = ""

    @property
    def pattern(self) -> str:
        """Names of the files, for the map."""
        return f"{self.letter}*.{self.ending}"


def _whose(machine: str, counter: str, clock: str) -> tuple[Cell, ...]:
    return Cell("machine", machine), Cell("counter", counter), Cell("clock", clock)


DIALECTS: Mapping[str, Dialect] = {
    "weld": Dialect(
        "W", "weld", "csv", (
            *_whose("Kopf", "Zähler", "Zeit"), Cell("coil", "Drahtring"),
            Cell("current_A", "Strom [kA]", "kA", 3, 0.0, 60_000.0),
            Cell("voltage_V", "Spannung [V]", "V", 3, 0.0, 20.0),
            Cell("electrode_force_N", "Kraft [kN]", "kN", 3, 0.0, 50_000.0),
            Cell("weld_energy_J", "Wärme [kJ]", "kJ", 3, 0.0, 500_000.0),
            Cell("weld_time_s", "Dauer [ms]", "ms", 0, 0.0, 10.0),
            Cell("upset_mm", "Stauchweg [mm]", "mm", 2, -1.0, 20.0),
        ), ";", ",", "cp1252", clock="day.month.year", zone=ZONE,
    ),
    "harden": Dialect(
        "H", "harden", "csv", (
            *_whose("coil", "heat", "time"), Cell("strand", "strand"), Cell("position", "link"),
            Cell("temperature_degC", "pyrometer", "degC", 1, 0.0, 1400.0),
            Cell("coil_power_W", "power", "kW", 2, 0.0, 1e6),
            Cell("speed_m_per_s", "speed", "m_per_min", 3, 0.0, 2.0),
            Cell("quench_water_degC", "water", "degC", 1, 0.0, 100.0),
        ), marked=True, units_row=True,
    ),
    "temper": Dialect(
        "T", "temper", "parquet", (
            *_whose("unit", "n", "stamp_us"), Cell("strand", "chain"), Cell("position", "at"),
            Cell("temperature_degC", "t_F", "degF", 1, 0.0, 900.0),
            Cell("coil_power_W", "p_kW", "kW", 2, 0.0, 1e6),
            Cell("speed_m_per_s", "v_m_per_min", "m_per_min", 3, 0.0, 2.0),
        ), clock="unix_us", ending="parquet",
    ),
    "pull": Dialect(
        "C", "pull", "csv", (
            *_whose("MACHINE", "STROKE", "TIME"), Cell("strand", "CHAIN"),
            Cell("first_position", "FROM"), Cell("last_position", "TO"),
            Cell("force_N", "FORCE_KGF", "kgf", 1, 0.0, 1e6),
            Cell("extension_mm", "EXT_IN", "in", 4, 0.0, 500.0),
            Cell("set_mm", "SET_IN", "in", 4, -50.0, 500.0),
            Cell("stroke_length_mm", "LENGTH_IN", "in", 3, 0.0, 10_000.0),
        ), "\t", ending="txt",
    ),
    "gauge": Dialect(
        "G", "gauge", "jsonl", (
            *_whose("gauge", "no", "ms"), Cell("strand", "strand"), Cell("position", "link"),
            Cell("pitch_mm", "pitch", "mm", 3, 0.0, 500.0),
            Cell("wire_diameter_mm", "wire", "mm", 3, 0.0, 100.0),
            Cell("width_mm", "width", "mm", 3, 0.0, 500.0),
            Cell("hardness_HV", "hv", "HV", 0, 50.0, 1200.0),
        ), clock="unix_ms", ending="jsonl",
    ),
    "wave": Dialect(
        "R", "wave", "jsonl", (
            *_whose("head", "weld", "ms"), Cell("of", "of"), Cell("signal", "signal"),
            Cell("step_s", "step", "s"), Cell("values", "values"),
        ), clock="unix_ms", ending="jsonl",
    ),
    "event": Dialect(
        "E", "event", "csv",
        (*_whose("machine", "number", "time"), Cell("what", "what"), Cell("text", "text")),
    ),
    "passage": Dialect(
        "D", "passage", "csv", (
            *_whose("desk", "number", "time"),
            *(Cell(f"{way}_{one}", f"{way}_{one}") for way in ("from", "to")
              for one in ("kind", "name", "first", "last")),
        ),
    ),
}  # fmt: skip
"""By kind of reading."""


CLOCKS_MET = {"from": "harden/H01", "to": "temper/T01", "least": "85 s", "greatest": "95 s"}
"""A link runs from the hardening to the temper coil in 90 s; the works holds that to 5 s."""


def map_text() -> str:
    """map.toml: how every file of the month is read."""
    parts = ["# Invented: how the machines of the invented month write. One table a kind of file.\n"
             "format = 1\n"]  # fmt: skip
    clocks = "".join(f"{key} = {_quoted(value)}\n" for key, value in CLOCKS_MET.items())
    return "\n".join([*parts, *(_file(one) for one in DIALECTS.values()), f"[[clocks]]\n{clocks}"])


def _file(dialect: Dialect) -> str:
    rows = {"pattern": dialect.pattern, "kind": dialect.kind, "form": dialect.form}
    if dialect.form == "csv":
        rows["delimiter"] = "tab" if dialect.delimiter == "\t" else dialect.delimiter
    if dialect.decimal != ".":
        rows["decimal"] = dialect.decimal
    if dialect.encoding != "utf-8":
        rows["encoding"] = dialect.encoding
    if dialect.zone:
        rows["zone"] = dialect.zone
    text = "[[file]]\n" + "".join(f"{key} = {_quoted(value)}\n" for key, value in rows.items())
    if dialect.units_row:
        text += "units_row = true\n"
    return text + "".join(_column(cell, dialect) for cell in dialect.cells)


def _column(cell: Cell, dialect: Dialect) -> str:
    text = f"\n[[file.column]]\nname = {_quoted(cell.ours)}\nfrom = {_quoted(cell.head)}\n"
    if cell.ours == "clock":
        text += f"form = {_quoted(dialect.clock)}\n"
    if cell.unit:
        text += f"unit = {_quoted(cell.unit)}\n"
    for key, bound in (("least", cell.least), ("greatest", cell.greatest)):
        if bound is not None:
            text += f"{key} = {bound}\n"
    return text


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
