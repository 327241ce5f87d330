"""Days and numbers as people give them to acts, read strictly."""

from __future__ import annotations

import datetime
import math

from linkwright.quantities import QuantityError, number_and_unit
from linkwright.records.errors import CannotRecord


def day(text: str, name: str) -> str:
    """A date as ``YYYY-MM-DD``. Raises `CannotRecord`."""
    try:
        given = datetime.date.fromisoformat(text)
    except ValueError:
        given = None
    if given is None or len(text) != 10 or not 1990 <= given.year <= 2199:
        raise CannotRecord(f"{name} = {text!r} is no date; accepted: YYYY-MM-DD, 1990 to 2199")
    return text


def bare_number(text: str) -> float:
    """A number without unit by the strict grammar, nan if it is none."""
    try:
        value, unit = number_and_unit(text)
    except QuantityError:
        return math.nan
    return math.nan if unit else value
