"""The closed table of link data: kinds of reading, their columns, what each means.

`KINDS` holds every `Kind` with its `Column`s; `kind(name)` finds one and names the nearest if
there is none. A reading is known by machine, counter and clock (`KEY`). A column's unit is the
suffix of its name, as everywhere; every column but `NEEDED` may be null. Nothing heavy is
imported here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from linkwright.quantities import UnknownName, kind_of, split

Form = Literal["text", "whole", "number", "clock", "numbers"]
"""text; whole number (int64); number (float64); UTC time in microseconds; list of float64."""

KEY = ("machine", "counter", "clock")
"""What makes a reading the same reading, within its kind."""
NEEDED = ("machine", "counter", "clock", "source", "row")
"""Columns that are never null."""
ORIGIN = ("source", "row")
"""Columns that say where a reading comes from and not what it is."""
MACHINE_NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9_.-]{0,30}[A-Za-z0-9_-])?")
"""Names of machines: they become names of folders."""


@dataclass(frozen=True)
class Column:
    """One column: its name with unit, its form, what it holds."""

    name: str
    form: Form
    meaning: str

    @property
    def unit(self) -> str:
        """The unit's suffix; "" where there is none."""
        return split(self.name)[1] if self.form in ("number", "numbers") else ""

    @property
    def quantity(self) -> str:
        """The kind of quantity, such as "force"; "number" without a unit."""
        return kind_of(self.name) if self.unit else "number"


@dataclass(frozen=True)
class Kind:
    """One kind of reading."""

    name: str
    one_is: str
    own: tuple[Column, ...]

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The common columns and its own, in the order of the files."""
        return (*COMMON, *self.own)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of all columns."""
        return tuple(one.name for one in self.columns)

    @cached_property
    def numbers(self) -> tuple[str, ...]:
        """Names of its own numbers: what can be charted."""
        return tuple(one.name for one in self.own if one.form == "number")

    def column(self, name: str) -> Column:
        """The column by name. Raises `UnknownName`."""
        for one in self.columns:
            if one.name == name:
                return one
        raise UnknownName("column", name, self.names)


def _text(name: str, meaning: str) -> Column:
    return Column(name, "text", meaning)


def _whole(name: str, meaning: str) -> Column:
    return Column(name, "whole", meaning)


def _number(name: str, meaning: str) -> Column:
    return Column(name, "number", meaning)


COMMON = (
    _text("machine", "name of the machine"),
    _whole("counter", "the machine's own running number"),
    Column("clock", "clock", "time by the machine's own clock, in UTC"),
    _text("source", "digest of the file the reading came in, 16 hex digits"),
    _whole("row", "row in that file, from 1, heads and empty rows counted"),
    _text("strand", "mark of the chain or wire that runs"),
    _whole("position", "number of the link in the strand, from 0"),
)
"""The columns of every kind."""

_TABLE = (
    Kind(
        "weld",
        "one row a link",
        (
            _text("coil", "wire coil"),
            _number("current_A", "welding current, root mean square over the weld"),
            _number("voltage_V", "voltage between the electrodes"),
            _number("electrode_force_N", "force of the electrodes"),
            _number("weld_energy_J", "energy of the weld"),
            _number("weld_time_s", "duration of the current"),
            _number("upset_mm", "shortening of the link while it is upset"),
        ),
    ),
    Kind(
        "harden",
        "one row a link",
        (
            _number("temperature_degC", "temperature by pyrometer before the quench"),
            _number("coil_power_W", "power of the induction coil"),
            _number("speed_m_per_s", "speed of the strand"),
            _number("quench_water_degC", "temperature of the quench water"),
        ),
    ),
    Kind(
        "temper",
        "one row a link",
        (
            _number("temperature_degC", "temperature by pyrometer"),
            _number("coil_power_W", "power of the induction coil"),
            _number("speed_m_per_s", "speed of the strand"),
        ),
    ),
    Kind(
        "pull",
        "one row a stroke of the calibrator",
        (
            _whole("first_position", "first link in the stroke"),
            _whole("last_position", "last link in the stroke, included"),
            _number("force_N", "greatest force of the stroke"),
            _number("extension_mm", "extension at the greatest force"),
            _number("set_mm", "extension that stays"),
            _number("stroke_length_mm", "length in the stroke before it"),
        ),
    ),
    Kind(
        "gauge",
        "one row a reading of a gauge",
        (
            _number("pitch_mm", "inside length of the link"),
            _number("wire_diameter_mm", "diameter of the wire"),
            _number("width_mm", "width of the link"),
            _number("hardness_HV", "Vickers hardness"),
        ),
    ),
    Kind(
        "event",
        "one row an event",
        (
            _text("what", "alarm, stop, tool change, ..."),
            _text("text", "what the machine or a person wrote"),
        ),
    ),
    Kind(
        "wave",
        "one row a waveform",
        (
            _text("of", "kind of reading the waveform belongs to"),
            _text("signal", "what was measured, with its unit"),
            _number("step_s", "time between two values"),
            Column("values", "numbers", "the values in the order of time"),
        ),
    ),
    Kind(
        "passage",
        "one row a run of metal that went from one numbering to another",
        (
            _text("from_kind", "numbering it left: coil_mm, weld, strand, harden, ..."),
            _text("from_name", "name of the coil, machine, strand, ... it left"),
            _whole("from_first", "first number there"),
            _whole("from_last", "last number there, included"),
            _text("to_kind", "numbering it went into"),
            _text("to_name", "name of what it went into"),
            _whole("to_first", "first number there"),
            _whole("to_last", "last number there, included"),
        ),
    ),
)

KINDS: Mapping[str, Kind] = {one.name: one for one in _TABLE}
"""Every kind of reading, by name."""


def kind(name: str) -> Kind:
    """The kind by name. Raises `UnknownName`.

    >>> kind("harden").numbers
    ('temperature_degC', 'coil_power_W', 'speed_m_per_s', 'quench_water_degC')
    """
    if name not in KINDS:
        raise UnknownName("kind", name, KINDS)
    return KINDS[name]
