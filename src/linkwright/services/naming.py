"""Which argument or result a key means, and a value taken into the unit of a name.

A key is a stem and a unit. It means a name of the catalogue if it is that name, if it has
the same stem and a unit of the same kind (``pitch_in`` for ``pitch_mm``), or if it is the
bare stem (``pitch``). Offers `meaning`, `into`, `stems`.

Kinds never mix: hardness scales in particular are not converted. The one bridge is
between a pure number and per cent (``reduction_percent`` for ``reduction``), and a bare
chemical symbol is a mass share in per cent (``C`` for ``C_percent``).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from linkwright.quantities import UNITS, QuantityError, convert, kind_of, split, units_of

_SYMBOLS = """
Al As B Bi C Ca Ce Co Cr Cu Fe H Mg Mn Mo N Nb Ni O P Pb S Sb Se Si Sn Ta Te Ti V W Zn Zr
"""
ELEMENTS = frozenset(_SYMBOLS.split())
"""Chemical symbols that may stand as a key without unit: a mass share in per cent."""


class Meaning(NamedTuple):
    """What a key means: the name of the catalogue, and the unit that the key carries.

    ``unit`` is None if the key is the bare stem of a name with a unit: then the value has
    to bring its unit along.
    """

    name: str
    unit: str | None


def meaning(key: str, names: Sequence[str], prefer: str = "") -> Meaning | None:
    """The one of ``names`` that ``key`` means; None if it means none of them.

    ``prefer`` is a unit that the value carries; it decides if a bare stem fits several.

    >>> meaning("pitch_in", ["teeth", "pitch_mm"])
    Meaning(name='pitch_mm', unit='in')
    >>> meaning("hardness_HRC", ["hardness_HV"]) is None
    True
    """
    key = spelled(key, names)
    if key in names:
        return Meaning(key, split(key)[1])
    stem, unit = split(key)
    same = [name for name in names if split(name)[0] == stem]
    if not unit and same:
        if stem in ELEMENTS and f"{stem}_percent" in same:
            return Meaning(f"{stem}_percent", "percent")
        fitting = [name for name in same if prefer and _bridged(prefer, split(name)[1])]
        return Meaning((fitting or same)[0], None)
    for name in same:
        if _bridged(unit, split(name)[1]):
            return Meaning(name, unit)
    return None


def spelled(key: str, names: Sequence[str]) -> str:
    """The key as a name of the language can be spelled: ``from_`` for from, ``a_b`` for a-b.

    >>> spelled("from", ["from_", "to"]), spelled("level_S-1", ["level_S_1"])
    ('from_', 'level_S_1')
    """
    if key in names or not key:
        return key
    plain = key.replace("-", "_")
    return next((name for name in (f"{key}_", plain) if name in names), key)


def into(value: Any, unit: str, name: str) -> Any:
    """``value`` in ``unit`` as the quantity that ``name`` carries: floats, lists and arrays.

    Temperatures are converted with their zero, differences of temperature without.
    Raises `QuantityError` if the kinds differ.

    >>> into(212.0, "degF", "surface_temperature_degC"), into(18.0, "degF", "temperature_rise_K")
    (100.0, 10.0)
    """
    wanted = split(name)[1]
    if unit == wanted:
        return value
    if isinstance(value, (list, tuple)):
        return [into(item, unit, name) for item in value]
    if (unit, wanted) == ("percent", ""):
        return value / 100
    if (unit, wanted) == ("", "percent"):
        return value * 100
    if not unit or not wanted or not _bridged(unit, wanted):
        raise QuantityError(f"{_short(value)} {unit}".strip(), unit_choice(name))
    difference = kind_of(name) == "temperature difference"
    return convert(value, unit, wanted, difference=difference)


def unit_choice(name: str) -> str:
    """The units in which a value of ``name`` may be given, in words."""
    wanted = split(name)[1]
    if not wanted:
        return "a pure number without unit"
    choices = units_of(UNITS[wanted].kind)
    shown = [wanted, *(unit for unit in choices if unit != wanted)][:8]
    return f"a number in {', '.join(shown)}"


@lru_cache(maxsize=4096)
def stems(names: tuple[str, ...]) -> frozenset[str]:
    """The stems of some names."""
    return frozenset(split(name)[0] for name in names)


def _bridged(unit: str, wanted: str) -> bool:
    if unit == wanted or {unit, wanted} == {"percent", ""}:
        return True
    return bool(unit and wanted) and UNITS[unit].kind == UNITS[wanted].kind


def _short(value: Any) -> str:
    text = str(value)
    return text if len(text) <= 24 else text[:21] + "..."
