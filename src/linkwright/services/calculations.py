"""The catalogue of calculations as a use case: list, describe, calculate.

Offers `calculations`, `describe`, `calculate`, and for other services `load_catalogue`,
`find_calculation` and `evaluate`. The catalogue fills itself as the modules that hold
calculations are imported; one calculation by name imports only the module it stands in.
"""

from __future__ import annotations

import importlib
import importlib.util
import pkgutil
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from linkwright.catalogue import CATALOGUE, POSITIVE, Calculation
from linkwright.quantities import InputErrors, Problem, UnknownName, nearest, split, value_text
from linkwright.services.arguments import bind, parameters
from linkwright.services.carried import prepared
from linkwright.services.naming import into, meaning
from linkwright.services.plain import SCHEMA_VERSION, plain
from linkwright.services.running import run

ROOMS = ("standards", "materials", "mechanics", "processes", "products", "costing", "quality")
"""The rooms that hold calculations, in the order of their listing."""
_DEFINED = re.compile(r"^def (\w+)\(", re.MULTILINE)


@dataclass(frozen=True)
class Listed:
    """One line of the list of calculations."""

    name: str
    summary: str
    room: str

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {"name": self.name, "summary": self.summary, "room": self.room}


@dataclass(frozen=True)
class Answer:
    """The results of one calculation, with what they rest on.

    ``results`` and ``arguments`` (those given, in the units of the calculation) are by
    name; ``answer["pitch_in"]`` gives a result in another unit of its kind. ``warnings``
    says where the arguments leave the range in which the source holds.
    """

    name: str
    results: Mapping[str, Any]
    arguments: Mapping[str, Any]
    warnings: tuple[str, ...]
    source: str
    basis: str

    def __getitem__(self, key: str) -> Any:
        found = meaning(key, tuple(self.results))
        if found is None:
            raise UnknownName("result", key, self.results)
        value = self.results[found.name]
        if found.unit is None or isinstance(value, (str, bool)) or value is None:
            return value
        return into(value, split(found.name)[1], key)

    def __repr__(self) -> str:
        shown = ", ".join(
            f"{split(name)[0]} = {value_text(value, split(name)[1])}"
            if isinstance(value, float)
            else f"{name} = {value!r}"
            for name, value in self.results.items()
        )
        return f"<{self.name}: {shown}>"

    def shown(self, keys: tuple[str, ...]) -> Answer:
        """The answer with only these results, each in the unit of its key.

        Raises `InputErrors` for all keys that name no result.
        """
        known = tuple(self.results)
        problems = [
            Problem(
                "unknown-result",
                f"{self.name} gives no {key} that can be shown so",
                key=key,
                accepted=", ".join(nearest(key, known) or known),
            )
            for key in keys
            if meaning(key, known) is None
        ]
        if problems:
            raise InputErrors(problems)
        results = {self._full(key): self[key] for key in keys}
        return Answer(
            self.name,
            MappingProxyType(results),
            self.arguments,
            self.warnings,
            self.source,
            self.basis,
        )

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        results, reasons = plain(self.results)
        return {
            "schema_version": SCHEMA_VERSION,
            "calculation": self.name,
            "source": self.source,
            "basis": self.basis,
            "arguments": plain(self.arguments)[0],
            "results": results,
            "reasons": reasons,
            "warnings": list(self.warnings),
        }

    def _full(self, key: str) -> str:
        found = meaning(key, tuple(self.results))
        return found.name if found is not None and found.unit is None else key


@dataclass(frozen=True)
class ArgumentNote:
    """What is said about one argument: unit, kind of value, default and ranges."""

    name: str
    unit: str
    takes: tuple[str, ...]
    required: bool
    default: Any
    needs: tuple[float | None, float | None] | None
    valid: tuple[float | None, float | None] | None

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; ranges as least, greatest and above (that it must exceed)."""
        data = {**vars(self), "needs": _range(self.needs), "valid": _range(self.valid)}
        return plain(data)[0]


@dataclass(frozen=True)
class Description:
    """All that is said about one calculation."""

    name: str
    description: str
    room: str
    source: str
    basis: str
    arguments: tuple[ArgumentNote, ...]
    results: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION,
            "calculation": self.name,
            "description": self.description,
            "room": self.room,
            "source": self.source,
            "basis": self.basis,
            "arguments": [note.to_dict() for note in self.arguments],
            "results": [{"name": name, "unit": split(name)[1]} for name in self.results],
        }


def calculations(find: str = "") -> tuple[Listed, ...]:
    """All calculations by room and name, or those that hold every word of ``find``.

    Words are looked for in name, summary, source, arguments and results.
    """
    words = find.lower().split()
    return tuple(
        Listed(entry.name, entry.summary, _room(entry))
        for entry in load_catalogue()
        if all(word in _searchable(entry) for word in words)
    )


def describe(name: str) -> Description:
    """All that is said about the calculation ``name``. Raises `UnknownName`."""
    entry = find_calculation(name)
    notes = tuple(
        ArgumentNote(
            name=parameter.name,
            unit=parameter.unit,
            takes=tuple(sorted(parameter.takes)),
            required=parameter.required,
            default=parameter.default,
            needs=entry.needs.get(parameter.name),
            valid=entry.valid.get(parameter.name),
        )
        for parameter in parameters(entry).values()
    )
    return Description(
        entry.name,
        entry.description,
        _room(entry),
        entry.source,
        entry.basis,
        notes,
        entry.gives,
    )


def calculate(name: str, /, **arguments: Any) -> Answer:
    """Calculate by name: ``calculate("drawing_reduction", start_diameter="10 mm", ...)``.

    A key is an argument as it stands, or its stem with another unit of its kind. A value
    is a number, list or array in the unit of its key, or a text as on the command line.

    Raises `UnknownName` for the calculation, `InputErrors` with everything that is wrong
    with the arguments, `ArgumentError` for a value outside the domain of the formula.
    """
    return evaluate(find_calculation(name), arguments)


def evaluate(entry: Calculation, given: Mapping[str, Any]) -> Answer:
    """Bind what is given to the arguments, call, and gather results and warnings."""
    entry, given = prepared(entry, given)
    arguments = bind(entry, given)
    results, warnings = run(entry, arguments)
    return Answer(
        name=entry.name,
        results=MappingProxyType(results),
        arguments=MappingProxyType(arguments),
        warnings=warnings,
        source=entry.source,
        basis=entry.basis,
    )


def find_calculation(name: str) -> Calculation:
    """The calculation of that name; imports only the module that defines it.

    Raises `UnknownName` with the nearest names.
    """
    if name not in CATALOGUE:
        for module in _modules():
            if name in module.defines:
                importlib.import_module(module.name)
    if name not in CATALOGUE:
        raise UnknownName("calculation", name[:200], [entry.name for entry in load_catalogue()])
    return CATALOGUE[name]


def load_catalogue() -> tuple[Calculation, ...]:
    """Every calculation of the program, by room and name."""
    for module in _modules():
        importlib.import_module(module.name)
    return tuple(sorted(CATALOGUE.values(), key=_place))


@dataclass(frozen=True)
class _Module:
    """A module that uses the catalogue, and the functions it defines at top level."""

    name: str
    defines: frozenset[str]


@lru_cache(maxsize=1)
def _modules() -> tuple[_Module, ...]:
    """The modules that may hold calculations, found by their text, not by importing them."""
    return tuple(module for room in ROOMS for module in _modules_of(f"linkwright.{room}"))


def _modules_of(room: str) -> Iterator[_Module]:
    package = importlib.import_module(room)
    for found in pkgutil.walk_packages(package.__path__, f"{room}."):
        spec = importlib.util.find_spec(found.name)
        read = getattr(spec.loader, "get_source", None) if spec else None
        text = read(found.name) if read else None
        if text is None or "linkwright.catalogue" in text:
            yield _Module(found.name, frozenset(_DEFINED.findall(text or "")))


def _place(entry: Calculation) -> tuple[int, str]:
    room = _room(entry)
    return (ROOMS.index(room) if room in ROOMS else len(ROOMS), entry.name)


def _range(bounds: tuple[float | None, float | None] | None) -> dict[str, float | None] | None:
    if bounds is None:
        return None
    low, high = bounds
    positive = low == POSITIVE[0]
    return {
        "above": 0.0 if positive else None,
        "least": None if positive else low,
        "greatest": high,
    }


def _room(entry: Calculation) -> str:
    """The room in which a calculation stands; the module itself if it is none of ours."""
    within = entry.room.removeprefix("linkwright.")
    return within.partition(".")[0]


def _searchable(entry: Calculation) -> str:
    parts = (entry.name, entry.summary, entry.source, *entry.arguments, *entry.gives)
    return " ".join(parts).lower()
