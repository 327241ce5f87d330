"""From the data of a TOML file to a checked model, with every problem found at once.

``checked(file, model)`` gives a `Reading`: the model and the place of every value in the
file, or raises `InputErrors` with one `Problem` for each thing that is wrong. Quantities
written as texts with units are turned into the number of the key's unit on the way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from linkwright.quantities import (
    UNITS,
    InputErrors,
    Problem,
    QuantityError,
    convert,
    kind_of,
    number_and_unit,
    quantity,
    split,
    units_of,
)
from linkwright.works import sentences
from linkwright.works.names import name_problem
from linkwright.works.places import Path
from linkwright.works.shape import shape_of
from linkwright.works.table import Free, Table
from linkwright.works.toml_file import TomlFile, dotted

MOST_PROBLEMS = 100
ABSOLUTE_ZERO_DEGC = -273.15

M = TypeVar("M", bound=Table)


@dataclass(frozen=True)
class Reading(Generic[M]):
    """A checked model, its file, and under which key each value was written."""

    model: M
    file: TomlFile
    written: Mapping[Path, Path]

    def path(self, path: Path) -> Path:
        """The path as it stands in the file (``size``) for one of the model (``size_mm``)."""
        return _as_written(path, self.written)

    def line(self, path: Path) -> int:
        """The line of a value of the model."""
        return self.file.line(self.path(path))


def checked(file: TomlFile, model: type[M]) -> Reading[M]:
    """Check the data of ``file`` against ``model``; raises `InputErrors`."""
    settling = _Settling(file)
    settled = settling.table(dict(file.data), model, ())
    made: M | None = None
    try:
        made = model.model_validate(settled)
    except ValidationError as error:
        for found in error.errors(include_url=False):
            settling.add_validation(found, model)
    if made is None or settling.problems:
        raise InputErrors(settling.in_order())
    return Reading(made, file, settling.written)


@dataclass
class _Settling:
    """One pass over the data: texts become numbers, keys of free tables are checked."""

    file: TomlFile
    problems: list[Problem] = field(default_factory=list)
    written: dict[Path, Path] = field(default_factory=dict)
    spoilt: set[Path] = field(default_factory=set)
    unlisted: int = 0

    @property
    def full(self) -> bool:
        """Whether so many problems are listed that more are only counted."""
        return len(self.problems) >= MOST_PROBLEMS

    def table(self, raw: Any, model: type[Table], path: Path) -> Any:
        """The data of one table with all quantities as numbers."""
        if not isinstance(raw, dict):
            return raw  # the model will say that this is no table
        shape, names, settled = shape_of(model), model.named(raw), dict[str, Any]()
        for key, value in raw.items():
            here = (*path, key)
            if key in shape.stems and key not in names:
                name = shape.stems[key]
                self._stem(settled, name, value, name in raw, model, here)
            elif key in shape.tables and isinstance(value, list):
                inner = shape.tables[key]
                settled[key] = [self.table(v, inner, (*here, i)) for i, v in enumerate(value)]
            elif key in shape.tables:
                settled[key] = self.table(value, shape.tables[key], here)
            elif key in shape.free and isinstance(value, dict):
                settled[key] = self._free_table(value, shape.free[key], here)
            else:
                settled[key] = value
        for wrong in model.contradictions(raw):
            self._add("contradiction", (*path, *wrong.path), wrong.message, wrong.accepted)
        return settled

    def in_order(self) -> list[Problem]:
        """All problems by line, and how many more there were."""
        problems = sorted(self.problems, key=lambda problem: problem.line or 0)
        if not self.unlisted:
            return problems
        more = f"{self.unlisted} more problems are not listed"
        return [*problems, Problem("more", more, self.file.name)]

    def add_validation(self, found: Any, model: type[Table]) -> None:
        """What the model says, in a sentence, unless the key has a problem already."""
        path: Path = found["loc"]
        if path in self.spoilt:
            return
        if self.full:
            self.unlisted += 1
            return
        here = _as_written(path, self.written)
        given = self.file.value(here)
        if isinstance(given, str) and not isinstance(found["input"], (str, dict)):
            found = {**found, "input": given}  # show the text with its unit, not our number
        code, message, accepted = sentences.of(found, model)
        self._add(code, here, message, accepted)

    def _stem(
        self,
        settled: dict[str, Any],
        name: str,
        value: Any,
        twice: bool,
        model: type[Table],
        here: Path,
    ) -> None:
        """A quantity given by its stem: a text with a unit."""
        kind, named = UNITS[split(name)[1]].kind, (*here[:-1], name)
        accepted = sentences.accepted_of(name, model.model_fields[name])
        self.spoilt.add(named)
        if twice:
            self._add("given-twice", here, f"{name} is given too", "one of the two")
        elif not isinstance(value, str):
            given = sentences.shown(value)
            self._add("type", here, f"{given} is no text with a unit", accepted)
        else:
            try:
                number, unit = quantity(value, name), number_and_unit(value)[1]
            except QuantityError:
                accepted = f"{accepted}; units: {', '.join(units_of(kind))}"
                self._add("quantity", here, sentences.not_a_quantity(value, kind), accepted)
                return
            if not unit:
                self._add("quantity", here, f"{sentences.shown(value)} carries no unit", accepted)
                return
            settled[name] = number
            self.spoilt.discard(named)
            self.written[named] = here

    def _free_table(self, raw: dict[str, Any], free: Free, path: Path) -> dict[str, Any]:
        settled: dict[str, Any] = {}
        stems: dict[str, str] = {}
        for here, value in _flat(raw, free, path):
            operation = f"{here[-2]}." if len(here) == len(path) + 2 else ""
            key = str(here[-1])
            if free.nested and not operation and isinstance(value, (int, float, str)):
                operation, _, key = key.rpartition(".")
                operation = f"{operation}." if operation else ""
            name, number = self._free_value(key, value, here)
            self.spoilt.add(path)  # if it ends up empty, that is not a second problem
            if not name:
                continue
            accepted = "operation.quantity_unit, such as temper.temperature_degC"
            if free.nested and not operation:
                self._add("unknown-key", here, "does not say of which operation", accepted)
                continue
            name = operation + name
            if not self._name_is_good(name, free, here):
                continue
            if stems.setdefault(split(name)[0], name) != name or name in settled:
                self._add("given-twice", here, "this quantity is given twice", "one of the two")
                continue
            settled[name] = number
            self.written[(*path, name)] = here
            self._absurd(name, number, free, here)
        return settled

    def _free_value(self, key: str, value: Any, here: Path) -> tuple[str, Any]:
        """Name and number of a free quantity; texts with units move their unit to the name."""
        texts = [value] if isinstance(value, str) else value if isinstance(value, list) else []
        if not texts or not all(isinstance(text, str) for text in texts):
            return key, value
        stem, unit_of_key = split(key)
        if unit_of_key:
            form = f"{key} without quotes, or {stem} with the unit in the text"
            self._add("type", here, f"{sentences.shown(value)} is a text, not a number", form)
            return "", None
        try:
            read = [number_and_unit(text) for text in texts]
            unit = read[0][1]
            if not all(one for _, one in read):
                form = f"a unit in the text, or the number without quotes: {key} = {read[0][0]:g}"
                self._add("quantity", here, f"{sentences.shown(value)} carries no unit", form)
                return "", None
            numbers = [convert(number, one, unit) for number, one in read]
        except QuantityError as error:
            text = " and ".join(texts)
            self._add("quantity", here, sentences.not_a_quantity(text), error.accepted)
            return "", None
        return f"{key}_{unit}", numbers[0] if isinstance(value, str) else numbers

    def _name_is_good(self, name: str, free: Free, here: Path) -> bool:
        if free.keys:
            if name in free.keys:
                return True
            self._add("unknown-key", here, *sentences.unknown_name(name, free.keys))
            return False
        operation, _, key = name.rpartition(".")
        wrong = name_problem(key, near=not self.full)
        for part in operation.split("/", 1) if operation and not wrong else ():
            # an operation may be named with its branch: outer_plate/plate_tempering
            wrong = wrong or name_problem(f"{part}_mm")
        if wrong:
            self._add("unknown-key", here, *wrong)
        return wrong is None

    def _absurd(self, name: str, number: Any, free: Free, here: Path) -> None:
        if free.item == "pair" and sentences.is_pair(number) and number[0] > number[1]:
            text = f"[{number[0]:g}, {number[1]:g}] begins with the greater value"
            self._add("range", here, text, "[least, greatest]")
        least = number[0] if sentences.is_pair(number) else number
        if kind_of(name) != "temperature" or free.difference or not sentences.is_number(least):
            return
        if convert(float(least), split(name)[1], "degC") < ABSOLUTE_ZERO_DEGC:
            text = f"{least:g} is below absolute zero"
            self._add("range", here, text, f"at least {ABSOLUTE_ZERO_DEGC} degC")

    def _add(self, code: str, path: Path, message: str, accepted: str = "") -> None:
        if self.full:
            self.unlisted += 1
            return
        self.problems.append(
            Problem(
                code=code,
                message=message,
                file=self.file.name,
                line=self.file.line(path),
                key=dotted(path) or None,
                accepted=accepted or None,
            )
        )


def _flat(raw: dict[str, Any], free: Free, path: Path) -> Iterator[tuple[Path, Any]]:
    for key, value in raw.items():
        if free.nested and isinstance(value, dict):
            for inner, number in value.items():
                yield (*path, key, inner), number
        else:
            yield (*path, key), value


def _as_written(path: Path, written: Mapping[Path, Path]) -> Path:
    for length in range(len(path), 0, -1):
        if path[:length] in written:
            return (*written[path[:length]], *path[length:])
    return path
