"""The arguments of a calculation, made of what a user or a row of the book gives.

Offers `parameters` (what a calculation takes, by the types of its function) and `bind`
(keys and values as given to arguments as the function wants them, every mistake told at
once). A value is a text as typed, or already a number, a list or a truth value.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin

import numpy as np

from linkwright.catalogue import Calculation
from linkwright.quantities import InputErrors, Problem, QuantityError, nearest, split
from linkwright.services.columns import column_texts, column_values, is_columns, unit_of_columns
from linkwright.services.naming import Meaning, into, meaning, unit_choice
from linkwright.services.reading import LONGEST_TEXT, MOST_VALUES, numbers, texts, unit_in

_TRUTH = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True)
class Parameter:
    """One argument of a calculation and what it takes.

    ``takes`` holds words of: ``numbers`` (one or an array), ``number`` (one), ``whole``
    (one whole number), ``text``, ``texts`` (a list of them), ``truth``.
    """

    name: str
    unit: str
    takes: frozenset[str]
    required: bool
    default: Any

    @property
    def is_text(self) -> bool:
        """Whether it takes texts and nothing else, so that a comma is only a comma."""
        return self.takes <= {"text", "texts"}

    @property
    def wants_one(self) -> bool:
        """Whether the function takes one value at a time, by its annotation."""
        return not self.takes & {"numbers", "texts"}

    def accepted(self) -> str:
        """What may be given, in words."""
        if self.is_text:
            return "a text"
        if self.takes == {"truth"}:
            return "yes or no"
        return "a whole number" if self.takes == {"whole"} else unit_choice(self.name)


def parameters(calculation: Calculation) -> dict[str, Parameter]:
    """What a calculation takes, by name, in the order of its function."""
    return _parameters_of(calculation.function)


@lru_cache(maxsize=4096)
def _parameters_of(function: Callable[..., Any]) -> dict[str, Parameter]:
    signature = inspect.signature(function, eval_str=True)
    return {
        name: Parameter(
            name=name,
            unit=split(name)[1],
            takes=frozenset(_takes(parameter.annotation)),
            required=parameter.default is parameter.empty,
            default=None if parameter.default is parameter.empty else parameter.default,
        )
        for name, parameter in signature.parameters.items()
    }


def bind(calculation: Calculation, given: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments that ``given`` means, in the units of the calculation.

    Raises `InputErrors` with every problem: unknown keys with the nearest right ones,
    values that cannot be read, arguments given twice, required ones that are missing.
    """
    known = parameters(calculation)
    bound: dict[str, Any] = {}
    problems: list[Problem] = []
    for key, value in given.items():
        found = meaning(key, tuple(known), prefer=unit_of_columns(value) or unit_in(value))
        if found is None:
            problems.append(_unknown(calculation, key, known))
        elif value is None:
            continue  # as left out; a required argument is then missing
        elif found.name in bound:
            problems.append(Problem("given-twice", f"{found.name} is given twice", key=key))
        else:
            bound[found.name] = None
            try:
                bound[found.name] = _value(known[found.name], found, value)
            except QuantityError as error:
                problems.append(Problem("value", str(error), key=key, accepted=error.accepted))
            except InputErrors as errors:  # of a file that holds the values
                problems += errors.found
    missing = [name for name in calculation.required if name not in bound]
    if missing:
        problems.append(_missing(calculation, missing, known))
    if problems:
        raise InputErrors(problems)
    return bound


def _takes(annotation: Any) -> set[str]:
    """The kinds of value that an annotation allows."""
    origin = get_origin(annotation)
    if origin in (Union, UnionType):
        return set().union(*(_takes(part) for part in get_args(annotation)))
    if origin is Literal:
        return {"text"}
    if origin is not None:
        inner = set().union(*(_takes(part) for part in get_args(annotation)))
        return {"texts"} if inner == {"text"} else {"numbers"}
    plain = {str: {"text"}, bool: {"truth"}, int: {"whole"}, float: {"number"}}
    empty: dict[Any, set[str]] = {NoneType: set(), Ellipsis: set()}
    return {**plain, **empty}.get(annotation, {"numbers"})


def _value(parameter: Parameter, found: Meaning, value: Any) -> Any:
    if isinstance(value, str):
        return _read(parameter, found, value)
    if isinstance(value, (bool, np.bool_)):
        if "truth" in parameter.takes:
            return bool(value)
        raise QuantityError(str(value).lower(), parameter.accepted())
    if isinstance(value, (list, tuple)) and any(isinstance(item, str) for item in value):
        return _list_with_texts(parameter, found, list(value))
    if parameter.is_text:
        raise QuantityError(_shown(value), "a text, in quotation marks in a file")
    return _checked(
        parameter, into(_array(value), _unit_of_data(parameter, found, value), parameter.name)
    )


def _read(parameter: Parameter, found: Meaning, text: str) -> Any:
    """A text as typed, read as the parameter wants it."""
    if is_columns(text):
        return _from_file(parameter, found, text)
    if parameter.is_text:
        return texts(text)
    if parameter.takes == {"truth"}:
        if text.strip().lower() not in _TRUTH:
            raise QuantityError(text, parameter.accepted())
        return _TRUTH[text.strip().lower()]

    def convert(value: float, unit: str) -> float:
        if not unit and found.unit is None and parameter.unit:
            accepted = f"the unit with it, {text} {parameter.unit}, or in the key, {parameter.name}"
            raise QuantityError(text, accepted)
        return float(into(value, unit or found.unit or "", parameter.name))

    try:
        return _checked(parameter, _array(numbers(text, convert)))
    except QuantityError:
        if parameter.takes & {"text", "texts"}:
            return texts(text)
        raise


def _from_file(parameter: Parameter, found: Meaning, text: str) -> Any:
    """The column that a text means; a unit of its head comes before that of the key."""
    if parameter.is_text:
        return column_texts(text)
    values, unit = column_values(text)
    if not unit:
        unit = _unit_of_data(parameter, found, text)
    return _checked(parameter, into(_array(values), unit, parameter.name))


def _list_with_texts(parameter: Parameter, found: Meaning, items: list[Any]) -> Any:
    if parameter.takes & {"text", "texts"}:
        if len(items) > MOST_VALUES or any(len(str(item)) > LONGEST_TEXT for item in items):
            raise QuantityError(
                "the list", f"at most {MOST_VALUES} texts of {LONGEST_TEXT} letters"
            )
        return items
    return _checked(parameter, _array([_value(parameter, found, item) for item in items]))


def _unit_of_data(parameter: Parameter, found: Meaning, value: Any) -> str:
    """The unit of a value that is data, not text: that of its key.

    A key without unit is a pure number, which only a share in per cent can be made of.
    """
    if found.unit is None and parameter.unit not in ("", "percent"):
        raise QuantityError(_shown(value), f"the unit in the key: {parameter.name}")
    return found.unit or ""


def _array(value: Any) -> Any:
    """Lists as arrays of floats, single numbers as floats; bounded and finite."""
    if isinstance(value, (int, float, np.integer, np.floating)):
        if not -sys.float_info.max <= value <= sys.float_info.max:
            raise QuantityError(_shown(value), "a finite number")
        return float(value)
    try:
        array = np.asarray(value, dtype=float)
    except (ValueError, TypeError, OverflowError):
        raise QuantityError(_shown(value), "numbers; rows of a table of equal length") from None
    if array.size == 0 or array.size > MOST_VALUES:
        raise QuantityError(f"{array.size} values", f"1 to {MOST_VALUES} values")
    if not np.isfinite(array).all():
        raise QuantityError("nan or inf", "finite numbers")
    return float(array) if array.ndim == 0 else array


def _shown(value: Any) -> str:
    """A value for a message; whole numbers of thousands of digits have no text."""
    try:
        return str(value)
    except ValueError:
        return "a number of thousands of digits"


def _checked(parameter: Parameter, value: Any) -> Any:
    if "whole" in parameter.takes and not parameter.takes & {"number", "numbers"}:
        if np.any(np.asarray(value) != np.round(value)):
            raise QuantityError(str(value), "a whole number")
        return int(value) if isinstance(value, float) else value
    return value


def _unknown(calculation: Calculation, key: str, known: Mapping[str, Parameter]) -> Problem:
    same_stem = [name for name in known if split(name)[0] == split(key)[0]]
    shown = key if len(key) <= 60 else key[:57] + "..."
    if same_stem:
        scales = ", ".join(same_stem)
        message = f"{shown} cannot be converted to {scales}"
        return Problem("unknown-key", message, key=shown, accepted=scales)
    near = nearest(key[:200], known) or list(known)
    message = f"{calculation.name} has no argument {shown}"
    return Problem("unknown-key", message, key=shown, accepted=", ".join(near))


def _missing(
    calculation: Calculation, missing: list[str], known: Mapping[str, Parameter]
) -> Problem:
    named = ", ".join(missing)
    accepted = "; ".join(f"{name}: {known[name].accepted()}" for name in missing)
    return Problem(
        "missing-key", f"{calculation.name} needs {named}", key=missing[0], accepted=accepted
    )
