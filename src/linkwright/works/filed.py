"""Numbers of a file that know their line.

`FiledNumbers` is a mapping of ``quantity_unit`` to number: outside a recording plain
floats, while a derivation is being recorded `Sourced` floats whose source is
``works.toml:41 [machine.held] die_half_angle_deg``. `FiledRanges` does the same for pairs.
A quantity may be asked for in any unit of its kind. `Filed` and `FiledOptional` make a
number of a record an attribute.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from typing import Any, overload

from linkwright.quantities import UNITS, InputErrors, Problem, convert, kind_of, nearest, split
from linkwright.works.places import Path
from linkwright.works.reading import Reading
from linkwright.works.toml_file import dotted


class NumberMissing(InputErrors, KeyError):
    """A number that is needed does not stand in the file; says where it would belong."""

    code = "missing"

    def __str__(self) -> str:
        """The sentence, not the quoted form of a KeyError."""
        return "\n".join(problem.sentence() for problem in self.found)


@dataclass(frozen=True)
class Where:
    """A table of a file: base name, header as written, its line, lines and keys of its rows."""

    file: str
    header: str
    line: int
    lines: Mapping[str, int] = field(default_factory=dict)
    keys: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, reading: Reading[Any], path: Path, names: Mapping[str, Any]) -> Where:
        """The table at ``path`` of a file that was read, with the places of ``names``."""
        written = {name: reading.path((*path, name)) for name in names}
        depth = len(path)
        return cls(
            file=reading.file.name,
            header=f"[[{path[0]}]]" if isinstance(path[-1], int) else f"[{dotted(path)}]",
            line=reading.line(path),
            lines={name: reading.file.line(path) for name, path in written.items()},
            keys={name: dotted(path[depth:]) for name, path in written.items()},
        )

    def source(self, name: str) -> str:
        """``works.toml:41 [machine.held] die_half_angle_deg``."""
        return f"{self.file}:{self.lines[name]} {self.header} {self.keys[name]}"


@dataclass(frozen=True, eq=False, repr=False)
class FiledNumbers(Mapping[str, float]):
    """Free quantities of one table, by name with unit.

    Asking for a name that is not there raises `NumberMissing`, which is both a `KeyError`
    and an error that the user is told with file, line and key. Asking in another unit of
    the same kind converts; ``difference`` says that the numbers are deviations.
    """

    numbers: Mapping[str, float]
    where: Where
    difference: bool = False

    def __getitem__(self, key: str) -> float:
        kept = self._kept(key)
        value = _converted(self.numbers[kept], kept, key, self.difference)
        return sourced_here(key, value, lambda: self.where.source(kept))

    def get(self, key: str, default: Any = None) -> Any:
        """The number, or the default, which carries no source."""
        if key not in self:
            return default
        return self[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self.numbers)

    def __len__(self) -> int:
        return len(self.numbers)

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and _kept_name(key, self.numbers) is not None

    def __hash__(self) -> int:
        return hash(tuple(sorted(self.numbers.items())))

    def __repr__(self) -> str:
        return f"{self.where.file}:{self.where.line} {self.where.header} {dict(self.numbers)}"

    def place(self, name: str) -> str:
        """``works.toml:41``: where the number stands."""
        return f"{self.where.file}:{self.where.lines[self._kept(name)]}"

    def under(self, operation: str) -> FiledNumbers:
        """The numbers whose names begin with ``operation.``, without it."""
        start = f"{operation}."
        names = {name: name.removeprefix(start) for name in self.numbers if name.startswith(start)}
        where = Where(
            self.where.file,
            self.where.header,
            self.where.line,
            {short: self.where.lines[name] for name, short in names.items()},
            {short: self.where.keys[name] for name, short in names.items()},
        )
        numbers = {short: self.numbers[name] for name, short in names.items()}
        return FiledNumbers(numbers, where, self.difference)

    def to_dict(self) -> dict[str, float]:
        """The bare numbers as they stand in the file, with no source and nothing recorded."""
        return dict(self.numbers)

    def _kept(self, name: str) -> str:
        kept = _kept_name(name, self.numbers)
        if kept is None:
            raise _missing(name, self.numbers, self.where)
        return kept


@dataclass(frozen=True, eq=False, repr=False)
class FiledRanges(Mapping[str, tuple[float, float]]):
    """What a machine can hold, least and greatest, by name with unit."""

    pairs: Mapping[str, tuple[float, float]]
    where: Where

    def __getitem__(self, key: str) -> tuple[float, float]:
        kept = _kept_name(key, self.pairs)
        if kept is None:
            raise _missing(key, self.pairs, self.where)
        low, high = (_converted(value, kept, key, False) for value in self.pairs[kept])
        return (
            sourced_here(f"least_{key}", low, lambda: self.where.source(kept)),
            sourced_here(f"greatest_{key}", high, lambda: self.where.source(kept)),
        )

    def __iter__(self) -> Iterator[str]:
        return iter(self.pairs)

    def __len__(self) -> int:
        return len(self.pairs)

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and _kept_name(key, self.pairs) is not None

    def __hash__(self) -> int:
        return hash(tuple(sorted(self.pairs.items())))

    def __repr__(self) -> str:
        return f"{self.where.file}:{self.where.line} {self.where.header} {dict(self.pairs)}"

    def place(self, name: str) -> str:
        """``works.toml:41``: where the range stands."""
        kept = _kept_name(name, self.pairs)
        if kept is None:
            raise _missing(name, self.pairs, self.where)
        return f"{self.where.file}:{self.where.lines[kept]}"

    def to_dict(self) -> dict[str, list[float]]:
        """The bare pairs as they stand in the file."""
        return {name: list(pair) for name, pair in self.pairs.items()}


class Filed:
    """An attribute that is a number of the record's own table; it must be there."""

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    @overload
    def __get__(self, record: None, owner: type) -> Filed: ...

    @overload
    def __get__(self, record: Record, owner: type) -> float: ...

    def __get__(self, record: Record | None, owner: type) -> Any:
        return self if record is None else record.numbers[self.name]


class FiledOptional:
    """An attribute that is a number of the record's own table, or None."""

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    @overload
    def __get__(self, record: None, owner: type) -> FiledOptional: ...

    @overload
    def __get__(self, record: Record, owner: type) -> float | None: ...

    def __get__(self, record: Record | None, owner: type) -> Any:
        return self if record is None else record.numbers.get(self.name)


@dataclass(frozen=True)
class Record:
    """One table of a file after reading: names, numbers of its own, and where it stands."""

    numbers: FiledNumbers

    def place(self, name: str | None = None) -> str:
        """``works.toml:38``: where the table or one of its numbers stands."""
        where = self.numbers.where
        if name is not None and name in self.numbers:
            return self.numbers.place(name)
        return f"{where.file}:{where.lines.get(name or '', where.line)}"

    def source(self, name: str) -> str:
        """``works.toml:77 [[machine]] count``; without a key where it is left out of the file."""
        where = self.numbers.where
        if name in where.lines:
            return where.source(name)
        return f"{where.file}:{where.line} {where.header} without {name}"

    def to_dict(self) -> dict[str, Any]:
        """The content without places: what a canonical hash is made of."""
        content = {one.name: getattr(self, one.name) for one in fields(self)}
        return {**content.pop("numbers").to_dict(), **content}


def numbers_of(reading: Reading[Any], path: Path, model: Any) -> FiledNumbers:
    """The numbers that stand directly in the table that ``model`` was read from."""
    fields_set = model.model_fields_set
    given = {name: getattr(model, name) for name in type(model).model_fields if name in fields_set}
    numbers = {name: value for name, value in given.items() if isinstance(value, float)}
    return FiledNumbers(numbers, Where.of(reading, path, given))


def free_numbers(
    reading: Reading[Any], path: Path, numbers: Mapping[str, float], *, difference: bool = False
) -> FiledNumbers:
    """A table of free quantities at ``path``."""
    return FiledNumbers(dict(numbers), Where.of(reading, path, numbers), difference)


def free_ranges(
    reading: Reading[Any], path: Path, ranges: Mapping[str, list[float]]
) -> FiledRanges:
    """A table of ranges at ``path``."""
    pairs = {name: (low, high) for name, (low, high) in ranges.items()}
    return FiledRanges(pairs, Where.of(reading, path, ranges))


def _kept_name(name: str, names: Mapping[str, Any]) -> str | None:
    """The name under which a quantity is kept, whatever unit it is asked for in."""
    if name in names:
        return name
    stem, unit = split(name)
    if not unit:
        return None
    for kept in names:
        kept_stem, kept_unit = split(kept)
        if kept_stem == stem and kept_unit and UNITS[kept_unit].kind == UNITS[unit].kind:
            return kept
    return None


def _converted(value: float, kept: str, name: str, difference: bool) -> float:
    if kept == name:
        return value
    deviation = difference or kind_of(kept) == "temperature difference"
    return float(convert(value, split(kept)[1], split(name)[1], difference=deviation))


def sourced_here(name: str, value: float, source: Callable[[], str]) -> float:
    """A number of the file with its place, while a derivation is being recorded."""
    # a derivation can only be recorded once its module is loaded; reading a file needs none
    if "linkwright.catalogue.sourced" not in sys.modules:
        return value
    from linkwright.catalogue import active, sourced  # noqa: PLC0415  (numpy stays out)

    if active() is None:
        return value
    number: float = sourced(name, value, "file", source())
    return number


def _missing(name: str, known: Mapping[str, Any], where: Where) -> NumberMissing:
    near = nearest(name, known)
    problem = Problem(
        code="missing",
        message=f"{where.header} does not give {name}, which is needed here",
        file=where.file,
        line=where.line,
        key=f"{where.header.strip('[]')}.{name}",
        accepted=f"{name} = a number" + (f"; nearest given: {', '.join(near)}" if near else ""),
    )
    return NumberMissing([problem])
