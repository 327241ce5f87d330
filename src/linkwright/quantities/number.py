"""Numbers and quantities as people write them, by one strict grammar.

Accepted: ``8``, ``8.5``, ``1e-3``, ``5/16``, ``1 1/4``, each followed by a unit or not.
Never guessed: a decimal comma, thousands signs, underscores, full-width digits, ``nan``,
``inf``. A text is never evaluated.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from linkwright.quantities.errors import QuantityError
from linkwright.quantities.units import UNITS, convert, kind_of, split, unit_of_text

_LONGEST_TEXT = 64
_DIFFERENCE = "temperature difference"
_DECIMAL = re.compile(r"\s*([+-]?[0-9]{1,30}(?:\.[0-9]{1,30})?(?:[eE][+-]?[0-9]{1,3})?)\s*(\D.*)?")
_FRACTION = re.compile(r"\s*([+-]?(?:[0-9]{1,6} )?[0-9]{1,6}/[0-9]{1,6})\s*(\D.*)?")


def number_and_unit(text: str) -> tuple[float, str]:
    """Read ``"8 mm"``, ``"0.315in"``, ``"1 1/4 in"``, ``"12"`` as (value, unit suffix).

    Raises `QuantityError` with the accepted forms.

    >>> number_and_unit("5/16 in"), number_and_unit("1.5 t")
    ((0.3125, 'in'), (1.5, 't'))
    """
    accepted = "a number with a point and a known unit, such as 8 mm, 0.315 in, 5/16 in, 1.5 t"
    if len(text) > _LONGEST_TEXT:
        raise QuantityError(text, accepted)
    match = _FRACTION.fullmatch(text) or _DECIMAL.fullmatch(text)
    if match is None or (match[2] or "")[:1] in {",", ".", "_", "/"}:
        raise QuantityError(text, accepted)
    value = float(_fraction(match[1], text, accepted)) if "/" in match[1] else float(match[1])
    if not math.isfinite(value):
        raise QuantityError(text, "a finite number")
    return value, unit_of_text(match[2] or "")


def quantity(text: str | float, name: str) -> float:
    """Read a text as the quantity that ``name`` carries, in the unit of ``name``.

    A number without unit is taken in that unit. Raises `QuantityError`.

    >>> quantity("0.25 in", "pitch_mm")
    6.35
    """
    _, wanted = split(name)
    if isinstance(text, (int, float)):
        value, unit = _plain_number(text), ""
    else:
        value, unit = number_and_unit(text)
    if not math.isfinite(value):
        raise QuantityError(str(text), "a finite number")
    if not unit:
        return value
    if not wanted:
        raise QuantityError(str(text), "a pure number without unit")
    if UNITS[unit].kind != UNITS[wanted].kind:
        raise QuantityError(str(text), f"a {UNITS[wanted].kind}, for example 1 {wanted}")
    converted = float(convert(value, unit, wanted, difference=kind_of(name) == _DIFFERENCE))
    if not math.isfinite(converted):
        raise QuantityError(str(text), "a finite number")
    return converted


def _plain_number(value: float) -> float:
    if isinstance(value, bool):
        raise QuantityError(str(value), "a finite number")
    try:
        return float(value)
    except OverflowError:
        raise QuantityError("a whole number of over 300 digits", "a finite number") from None


def _fraction(text: str, whole_text: str, accepted: str) -> Fraction:
    sign = -1 if text.startswith("-") else 1
    *whole, part = text.lstrip("+-").split(" ")
    above, below = part.split("/")
    if int(below) == 0:
        raise QuantityError(whole_text, accepted)
    return sign * (sum(map(int, whole)) + Fraction(int(above), int(below)))
