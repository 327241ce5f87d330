"""The shape of a model: which fields are quantities, inner tables, tables of free names.

``shape_of(model)`` gives `Shape`; it is worked out once a model. ``field_at(model, path)``
finds the field that a path of the data leads to.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, get_args, get_origin

from pydantic.fields import FieldInfo

from linkwright.quantities import split
from linkwright.works.places import Path
from linkwright.works.table import Free, Table


@dataclass(frozen=True)
class Shape:
    """What the fields of a model are: quantities by stem, inner tables, free tables."""

    stems: Mapping[str, str]
    tables: Mapping[str, type[Table]]
    free: Mapping[str, Free]


@lru_cache(maxsize=64)
def shape_of(model: type[Table]) -> Shape:
    """The shape of a model, worked out once."""
    stems, tables, free = {}, {}, {}
    for name, info in model.model_fields.items():
        stem, unit = split(name)
        if unit:
            stems[stem] = name
        inner = _inner_table(info.annotation)
        if inner is not None:
            tables[name] = inner
        marks = [mark for mark in _marks(info) if isinstance(mark, Free)]
        if marks:
            free[name] = marks[0]
    return Shape(stems, tables, free)


def field_at(model: type[Table], path: Path) -> tuple[type[Table] | None, FieldInfo | None]:
    """The table that owns the last key of ``path``, and the key's field if it has one."""
    owner: type[Table] | None = model
    info: FieldInfo | None = None
    for position, part in enumerate(path):
        if isinstance(part, int) and owner is not None:
            continue
        if owner is None:
            return None, None
        info = owner.model_fields.get(str(part))
        inner = shape_of(owner).tables.get(str(part))
        rest = [step for step in path[position + 1 :] if isinstance(step, str)]
        if inner is None:
            return owner, info if not rest else None
        if rest:
            owner = inner
    return owner, info


def _inner_table(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    if get_origin(annotation) is not None:
        found = (_inner_table(argument) for argument in get_args(annotation))
        return next((inner for inner in found if inner is not None), None)
    return None


def _marks(info: FieldInfo) -> Iterator[Any]:
    yield from info.metadata
    for argument in get_args(info.annotation):
        yield from getattr(argument, "__metadata__", ())
