"""Values as people type them: one number, a list of numbers, one text, a list of texts.

Offers `numbers`, `texts` and `unit_in`. Each number follows the strict grammar of quantities;
a list stands in brackets (``[0.1, 0.2]``, ``[1, 2] in``, nested for a table) or, where it cannot
be mistaken for a decimal comma or a thousands sign, without (``0.1,0.2,0.3``). Nothing is
ever evaluated, and the work is bounded by `LONGEST_TEXT` and `MOST_VALUES`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

from linkwright.quantities import QuantityError, number_and_unit

LONGEST_TEXT = 10_000
"""Characters that one text may have."""
MOST_VALUES = 100_000
"""Values that one list may have."""
_DEEPEST = 4

# "8,5", "1,234.5" and "1.234,5" could be one number to the one who typed it
_UNCLEAR = re.compile(
    r"[+-]?([0-9]+,[0-9]+|[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?|[1-9][0-9]{0,2}(\.[0-9]{3})+,[0-9]+)"
    r"([^0-9,.].*)?"
)
_LIST_FORM = "numbers with a point; a list in brackets, such as [0.1, 0.2, 0.3]"


def numbers(text: str, into: Callable[[float, str], float]) -> Any:
    """Read one number or a (nested) list; ``into(value, unit)`` gives each its final value.

    The unit is "" for a number without one. Raises `QuantityError`.

    >>> numbers("[1, 2] in", lambda value, unit: value * 25.4 if unit == "in" else value)
    [25.4, 50.8]
    """
    text = text.strip()
    if text.count(",") + text.count("[") > MOST_VALUES:
        raise QuantityError(text[:40] + " ...", f"at most {MOST_VALUES} values")
    if text.startswith("["):
        body, _, unit = text.rpartition("]")
        common = number_and_unit(f"1 {unit}")[1] if unit.strip() else ""
        return _nested(body + "]", text, common, into)
    if "," not in text:
        return into(*number_and_unit(text))
    if _UNCLEAR.fullmatch(text):
        raise QuantityError(text, "8.5 for one number, [8, 5] for a list: " + _LIST_FORM)
    return _flat(text.split(","), into)


def texts(text: str) -> str | list[str]:
    """Read one text as it stands, or a list of texts written ``["a", "b"]``.

    >>> texts("4340 steel, annealed"), texts('["oil", "water"]')
    ('4340 steel, annealed', ['oil', 'water'])
    """
    if len(text) > LONGEST_TEXT:
        raise QuantityError(text[:40] + " ...", f"a text of at most {LONGEST_TEXT} characters")
    text = text.strip()
    if not text.startswith('["'):
        return text
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
        raise QuantityError(text, 'a text, or a list of texts such as ["a", "b"]')
    return found


def unit_in(value: Any) -> str:
    """The unit at the end of a text such as ``0.25in``; "" if there is none."""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        return ""
    found: set[str] = set()

    def note(number: float, unit: str) -> float:
        found.add(unit)
        return number

    try:
        numbers(value, note)
    except QuantityError:
        return ""
    return found.pop() if len(found) == 1 else ""


def _nested(text: str, whole: str, common: str, into: Callable[[float, str], float]) -> Any:
    open_lists: list[list[Any]] = []
    whole_list: list[Any] | None = None
    wants_value = True
    units = set()
    for piece in re.findall(r"[\[\],]|[^\[\],\s][^\[\],]*", text):
        if piece == "[" and wants_value and len(open_lists) < _DEEPEST and whole_list is None:
            open_lists.append([])
        elif piece == "," and not wants_value and open_lists:
            wants_value = True
        elif piece == "]" and not wants_value and open_lists:
            done = open_lists.pop()
            if open_lists:
                open_lists[-1].append(done)
            else:
                whole_list = done
        elif piece not in {"[", ",", "]"} and wants_value and open_lists:
            value, unit = number_and_unit(piece)
            units.add(unit)
            open_lists[-1].append(into(value, unit or common))
            wants_value = False
        else:
            raise QuantityError(whole, _LIST_FORM)
    if whole_list is None:
        raise QuantityError(whole, _LIST_FORM)
    _one_way_of_units(units, common, whole)
    return whole_list


def _flat(pieces: list[str], into: Callable[[float, str], float]) -> list[float]:
    read = [number_and_unit(piece) for piece in pieces]
    _one_way_of_units({unit for _, unit in read}, "", ",".join(pieces))
    return [into(value, unit) for value, unit in read]


def _one_way_of_units(units: set[str], common: str, text: str) -> None:
    mixed = "" in units and len(units) > 1
    twice = bool(common) and units != {""}
    if mixed or twice:
        accepted = "a unit at each value, or one unit after the bracket: [1, 2] in"
        raise QuantityError(text, accepted)
