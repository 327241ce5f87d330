"""Sentences for people about what a file holds and what would be accepted.

``of(found, model)`` turns one finding of the model into code, message and accepted values;
``shown`` is a value as it is echoed in a message, ``accepted_of`` the range of a field.
"""

from __future__ import annotations

import datetime
import types
from collections.abc import Iterable, Mapping
from typing import Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from linkwright.quantities import UNITS, convert, nearest, split
from linkwright.works.shape import field_at
from linkwright.works.table import Table
from linkwright.works.toml_file import printable

_WANTED = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "bool_type": "true or false",
    "date_type": "a date without quotes and without time, such as 2026-12-18",
    "time_type": "a time without quotes, such as 06:00:00",
    "list_type": "an array in brackets",
    "dict_type": "a table",
    "model_type": "a table",
}


def of(found: Mapping[str, Any], model: type[Table]) -> tuple[str, str, str]:
    """Code, message and accepted values for one finding of pydantic.

    >>> from linkwright.works.works_file import TariffTable
    >>> of({"type": "missing", "loc": ("water_EUR_per_m3",), "input": {}}, TariffTable)[:2]
    ('missing', 'is missing')
    """
    kind, value, key = found["type"], found["input"], found["loc"][-1]
    owner, info = field_at(model, found["loc"])
    accepted = accepted_of(key, info)
    if kind == "extra_forbidden":
        return _unknown_key(str(key), value, owner)
    if kind in _WANTED:
        more = f"{_WANTED[kind]}; {accepted}" if accepted and accepted not in _WANTED[kind] else ""
        return "type", f"{shown(value)} cannot be used here", more or _WANTED[kind]
    if kind.startswith("greater_than") or kind.startswith("less_than"):
        words = f"{shown(value)} is outside the accepted range"
        return "range", words, accepted or _bounds(found["ctx"], split(str(key))[1])
    faults = {
        "missing": ("missing", "is missing"),
        "value_error": ("text", f"{shown(value)} {found.get('ctx', {}).get('error')}"),
        "literal_error": ("unknown-name", f"{shown(value)} is not known{_nearest(value, info)}"),
        "finite_number": ("number", f"{shown(value)} is not a finite number"),
        "float_type": ("type", f"{shown(value)} is not a number"),
    }
    if kind not in faults:
        return _length(found)
    if kind == "value_error":
        accepted = "printable text"
    return (*faults[kind], accepted or "a number")


def accepted_of(key: str | int, info: FieldInfo | None) -> str:
    """What a field accepts: its range with the unit and both ways to write it, or a list."""
    if info is None:
        return ""
    choices = _choices(info.annotation)
    if choices:
        return ", ".join(f'"{choice}"' if isinstance(choice, str) else str(choice).lower()
                         for choice in choices)  # fmt: skip
    unit = split(str(key))[1]
    limits = {name: getattr(mark, name) for mark in info.metadata for name in ("ge", "le")
              if hasattr(mark, name)}  # fmt: skip
    text = _bounds(limits, unit)
    example = info.examples[0] if info.examples else None
    if unit and example is not None:
        return f"{text}, written {forms(str(key), example)}"
    if example is not None:
        return f"{text}, such as {example}" if text else f"such as {example}"
    return text or _kind(str(key), info.annotation)


def shown(value: Any) -> str:
    r"""A value of a file as a message repeats it: short, and with nothing hidden in it.

    >>> shown("8\u200b mm"), shown([1, 2]), shown(True)
    ("'8\\u200b mm'", 'an array', 'true')
    """
    if isinstance(value, str):
        return f"'{printable(value)}'"
    if isinstance(value, (dict, list)):
        return "a table" if isinstance(value, dict) else "an array"
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, bool):
        return str(value).lower()
    return f"{float(value):.12g}" if is_number(value) else str(value)


def not_a_quantity(text: str, wanted: str = "") -> str:
    """The text that could not be read, and the comma named if it is to blame."""
    comma = " (a decimal comma is not taken)" if "," in text else ""
    return f"{shown(text)} is not a {wanted or 'quantity'}{comma}"


def forms(name: str, example: float) -> str:
    """Both ways to write a quantity: ``size_mm = 8 or size = "8 mm"``."""
    stem, unit = split(name)
    number, unit = shown(example), unit.replace("_per_", "/")
    return f'{name} = {number} or {stem} = "{number} {unit}"'


def unknown_name(name: str, known: Iterable[str]) -> tuple[str, str]:
    """What is wrong with a key that is not in a closed list, and what is in it."""
    known = tuple(known)
    for key in known:
        if split(key)[0] == name:
            return "carries no unit", key
    close = nearest(name, known, 1)
    return "is not known here" + (f"; nearest is {close[0]}" if close else ""), ", ".join(known)


def is_number(value: object) -> bool:
    """Whether a value of a file is a number."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def is_pair(value: object) -> bool:
    """Whether a value of a file is a pair of numbers."""
    return isinstance(value, list) and len(value) == 2 and all(map(is_number, value))


def _unknown_key(key: str, value: Any, owner: type[Table] | None) -> tuple[str, str, str]:
    fields = dict(owner.model_fields) if owner else {}
    stem, unit = split(key)
    for name, info in fields.items():
        known_stem, known_unit = split(name)
        if unit and known_unit and known_stem == stem:
            words = f"has another unit than {name}, the key that is known here"
            if UNITS[unit].kind != UNITS[known_unit].kind or not is_number(value):
                return "unknown-key", words, accepted_of(name, info)
            number = shown(convert(float(value), unit, known_unit))
            return "unknown-key", words, f'{name} = {number} or {stem} = "{shown(value)} {unit}"'
    stems = [split(name)[0] for name in fields]
    close = nearest(key, dict.fromkeys([*fields, *stems]), 1)
    words = "is not known here" + (f"; nearest is {close[0]}" if close else "")
    return "unknown-key", words, ", ".join(fields)


def _choices(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    if get_origin(annotation) in (Union, types.UnionType, list):
        return tuple(one for argument in get_args(annotation) for one in _choices(argument))
    return ()


def _nearest(value: Any, info: FieldInfo | None) -> str:
    choices = _choices(info.annotation) if info else ()
    close = nearest(str(value), [choice for choice in choices if isinstance(choice, str)], 1)
    return f'; nearest is "{close[0]}"' if close else ""


def _bounds(limits: Mapping[str, Any], unit: str) -> str:
    least, greatest = limits.get("ge"), limits.get("le")
    if least is None and greatest is None:
        return ""
    low = shown(least) if least is not None else ""
    high = f"{shown(greatest)} {unit}".strip() if greatest is not None else ""
    if not high:
        return f"at least {low} {unit}".strip()
    return f"{low} to {high}" if low else f"at most {high}"


def _length(found: Mapping[str, Any]) -> tuple[str, str, str]:
    """Texts, arrays and tables that are too short or too long; else pydantic's own words."""
    kind, value, limits = found["type"], found["input"], found.get("ctx", {})
    least, most = limits.get("min_length"), limits.get("max_length")
    accepted = f"at least {least}" if most is None else f"at most {most}"
    if kind.startswith("string_too"):
        words = "is empty" if not value else f"is too {kind.removeprefix('string_too_')}"
        return "length", f"{shown(value)} {words}", "a text" if least else f"{accepted} signs"
    if kind in ("too_short", "too_long"):
        word = "few" if kind == "too_short" else "many"
        return "length", f"{len(value)} entries are too {word}", accepted
    return "value", f"{shown(value)}: {found['msg']}", ""


def _kind(key: str, annotation: Any) -> str:
    kinds = {str: "a text in quotes", int: "a whole number", float: "a number",
             bool: "true or false", datetime.date: "a date, such as 2026-12-18",
             datetime.time: "a time, such as 06:00:00"}  # fmt: skip
    for one in (annotation, *get_args(annotation)):
        if one in kinds:
            return kinds[one]
    return f"[[{key}]]" if get_origin(annotation) is list else f"[{key}]"
