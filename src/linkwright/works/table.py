"""Building blocks of the models of the two files: tables, quantities, names, free numbers.

`Table` is the base of all models: unknown keys, coerced types and non-finite numbers are
refused. ``number(...)`` declares a quantity with its range; the unit is the suffix of the
field's name and the file may also give the stem with a text (``size = "8 mm"``). `Free`
marks a table whose keys are free names with units.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from linkwright.works.places import Path
from linkwright.works.toml_file import printable

MOST_ROWS = 1000
GREATEST = 1e12


class Contradiction(NamedTuple):
    """Two or more keys that do not go together: the path below the table, and why."""

    path: Path
    message: str
    accepted: str = ""


class Table(BaseModel):
    """One table of a file."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)

    @classmethod
    def named(cls, given: Mapping[str, Any]) -> frozenset[str]:
        """Stems that in this very table are names, not quantities."""
        return frozenset()

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """What is wrong between keys; ``given`` may hold values of any type."""
        return iter(())


@dataclass(frozen=True)
class Free:
    """Marks a table of free quantities.

    item: one number a key, or a pair [low, high]. nested: keys stand in a table of their
    operation (``temper.temperature_degC``). keys: the only names allowed, if given.
    difference: the numbers are deviations, so a zero of a temperature scale does not count.
    """

    item: Literal["number", "pair"] = "number"
    nested: bool = False
    keys: tuple[str, ...] = ()
    difference: bool = False


def number(
    meaning: str, least: float, greatest: float, example: float, *, needed: bool = False
) -> Any:
    """A quantity with its accepted range, both ends included."""
    return Field(
        ... if needed else None,
        ge=least,
        le=greatest,
        description=meaning,
        examples=[example],
    )


def same_twice(rows: object, key: str, table: str) -> Iterator[Contradiction]:
    """Rows of an array of tables that carry the same name."""
    seen: dict[str, int] = {}
    for position, row in enumerate(rows if isinstance(rows, list) else ()):
        name = row.get(key) if isinstance(row, dict) else None
        if isinstance(name, str):
            if name in seen:
                taken = f"is taken by [[{table}]] number {seen[name] + 1}"
                yield Contradiction(
                    (table, position, key),
                    f"the {key} '{printable(name)}' {taken}",
                    f"a {key} of its own for each [[{table}]]",
                )
            seen.setdefault(name, position)


def _line_of_text(text: str) -> str:
    if text != text.strip() or not text.isprintable():
        raise ValueError("holds signs that cannot be seen, or begins or ends with a space")
    return text


def _lines_of_text(text: str) -> str:
    _line_of_text(text.replace("\n", " ").replace("\t", " ").strip())
    return text


def _whole_number_as_text(value: object) -> object:
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


Text = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_line_of_text)]
"""One printable line."""

Note = Annotated[str, Field(max_length=2000), AfterValidator(_lines_of_text)]
"""Printable text of several lines."""

Label = Annotated[
    Text,
    BeforeValidator(_whole_number_as_text),
    WithJsonSchema({"type": ["string", "integer"]}),
]
"""A short name that people also write as a number: grade 8, size 12."""

Bounded = Annotated[float, Field(ge=-GREATEST, le=GREATEST)]
NotNegative = Annotated[float, Field(ge=0.0, le=GREATEST)]
Percent = Annotated[float, Field(ge=0.0, le=100.0)]
Pair = Annotated[list[Bounded], Field(min_length=2, max_length=2)]

Numbers = Annotated[dict[str, Bounded], Free()]
"""quantity_unit = number."""
Rates = Annotated[dict[str, NotNegative], Free()]
"""quantity_unit = number, not negative."""
Spreads = Annotated[dict[str, NotNegative], Free(difference=True)]
"""quantity_unit = standard deviation."""
Ranges = Annotated[dict[str, Pair], Free(item="pair")]
"""quantity_unit = [low, high]."""
Settings = Annotated[dict[str, Bounded], Free(nested=True)]
"""operation.quantity_unit = number."""
