"""One call of a calculation: warnings gathered, results as plain values, failures in words.

Offers `run` and `CannotCalculate`. A function that takes one value at a time (its
argument is annotated ``str``, ``int`` or ``float``) is called once an element when a list
is given, so that every calculation takes lists.
"""

from __future__ import annotations

import threading
import warnings
from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import Calculation, ValidityWarning
from linkwright.quantities import InputErrors, LinkwrightError, Problem
from linkwright.services.arguments import parameters

_ONE_AT_A_TIME = threading.Lock()  # the interpreter's list of warning filters is shared


class CannotCalculate(LinkwrightError):
    """The arguments can be read, but the formula has no value for them."""

    exit_code = 1
    code = "cannot-calculate"


def run(entry: Calculation, arguments: Mapping[str, Any]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The results by name and the warnings, each once.

    Raises what the calculation raises on purpose, `InputErrors` if lists do not fit each
    other, `CannotCalculate` if the arithmetic fails.
    """
    with _ONE_AT_A_TIME, warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        results = _call(entry, arguments)
    told = [
        str(item.message)
        if issubclass(item.category, ValidityWarning)
        else f"{entry.name}: in the arithmetic: {item.message}"
        for item in caught
    ]
    return results, tuple(dict.fromkeys(told))


def _call(entry: Calculation, arguments: Mapping[str, Any]) -> dict[str, Any]:
    lists = any(isinstance(value, (list, np.ndarray)) for value in arguments.values())
    try:
        return _spread(entry, arguments) if lists else _plain_results(entry, arguments)
    except LinkwrightError:
        raise
    except (ArithmeticError, np.linalg.LinAlgError) as error:
        raise CannotCalculate(f"{entry.name} has no value for these arguments: {error}") from error
    except (ValueError, TypeError, IndexError) as error:
        if lists:
            message = f"{entry.name} cannot take lists of these lengths together: {error}"
            raise InputErrors([Problem("lists", message)]) from error
        if isinstance(error, ValueError):
            text = f"{entry.name} has no value for these arguments: {error}"
            raise CannotCalculate(text) from error
        raise


def _spread(entry: Calculation, arguments: Mapping[str, Any]) -> dict[str, Any]:
    """Call once an element where the function takes one value but a list is given."""
    known = parameters(entry)
    listed = [
        name
        for name, value in arguments.items()
        if isinstance(value, (list, np.ndarray)) and known[name].wants_one
    ]
    if not listed:
        return _plain_results(entry, arguments)
    lengths = {len(arguments[name]) for name in listed}
    if len(lengths) > 1:
        named = ", ".join(f"{name} has {len(arguments[name])}" for name in listed)
        raise InputErrors([Problem("lists", f"lists of different length: {named}")])
    length = lengths.pop()

    def element(value: Any, index: int) -> Any:
        along = isinstance(value, (list, np.ndarray)) and len(value) == length
        item = value[index] if along else value
        return item.item() if isinstance(item, np.generic) else item

    rows = []
    for index in range(length):
        chosen = {name: element(value, index) for name, value in arguments.items()}
        rows.append(_plain_results(entry, _whole(chosen, entry)))
    return {name: _stacked([row[name] for row in rows]) for name in rows[0]}


def _whole(arguments: dict[str, Any], entry: Calculation) -> dict[str, Any]:
    known = parameters(entry)
    return {
        name: int(value) if isinstance(value, float) and known[name].takes == {"whole"} else value
        for name, value in arguments.items()
    }


def _plain_results(entry: Calculation, arguments: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _plain(value) for name, value in entry.call(arguments).items()}


def _plain(value: Any) -> Any:
    """Numpy's single values as the language's own; whatever else as it is."""
    if isinstance(value, np.generic) or (isinstance(value, np.ndarray) and value.ndim == 0):
        return value.item()
    return value


def _stacked(values: list[Any]) -> Any:
    if all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in values):
        return np.asarray(values, dtype=float)
    return values
