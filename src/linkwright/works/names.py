"""Names of free quantities: what may stand left of ``=`` in a table of numbers.

``name_problem(key)`` says what is wrong with a key such as ``die_half_angle_rad``; None if it
carries a unit of the closed table, or ends in a word for pure numbers. `ELEMENTS` are the
keys of a steel's analysis.
"""

from __future__ import annotations

import difflib
import re

from linkwright.quantities import UNITS, QuantityError, split, unit_of_text

PURE_NUMBERS = frozenset({
    "coefficient", "constant", "count", "coupling", "cycles", "efficiency", "emissivity",
    "exponent", "factor", "fraction", "friction", "heads", "index", "lanes", "legs", "links",
    "machines",
    "margin", "number", "passes", "permeability", "pieces", "poles", "probability", "quantile",
    "ratio", "reduction", "rolls", "samples", "segments", "shape", "share", "springback",
    "strain", "strands", "teeth", "turns",
})  # fmt: skip
"""Last words of names that carry no unit because the number has none."""

_SYMBOLS = (
    "C", "Si", "Mn", "P", "S", "Ni", "Cr", "Mo", "Al", "Cu", "V", "Nb", "Ti", "N", "B", "W",
    "Co", "As", "Sn", "Sb", "Ca", "H", "O", "Pb",
)  # fmt: skip
ELEMENTS = tuple(f"{symbol}_percent" for symbol in _SYMBOLS)
"""Keys of an analysis: mass per cent of each element that a steel certificate may list."""

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+)*")
LONGEST_NAME = 80


def name_problem(key: str, *, near: bool = True) -> tuple[str, str] | None:
    """What is wrong with the name of a free quantity, and what would be accepted.

    ``near`` says whether to look for the nearest unit, which costs most of the time.

    >>> name_problem("die_half_angle_deg"), name_problem("friction_coefficient")
    (None, None)
    >>> name_problem("wire_diameter_mn")[0]
    "ends in 'mn', which is no unit of the table"
    """
    if len(key) > LONGEST_NAME or not _NAME.fullmatch(key):
        return "is not a name", "letters a to z, digits and _, ending in a unit"
    if split(key)[1]:
        return None
    last = key.rsplit("_", 1)[-1]
    if last in PURE_NUMBERS:
        return None
    units = _near(last) if near and "_" in key else []
    if units:
        stem = key.rsplit("_", 1)[0]
        words = f"ends in {last!r}, which is no unit of the table"
        return words, ", ".join(f"{stem}_{suffix}" for suffix in units)
    shown = "mm, m, kN, MPa, degC, s, percent, ..."
    words = "a number without one ends in factor, ratio, coefficient, count, ..."
    return "carries no unit of the table", f"a unit at the end of the name ({shown}); {words}"


_SPELLED = {
    "sec": "s", "second": "s", "mins": "min", "minute": "min", "millimetre": "mm",
    "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "metre": "m", "metres": "m",
    "meter": "m", "meters": "m", "celsius": "degC", "kelvin": "K", "fahrenheit": "degF",
    "degree": "deg", "degrees": "deg", "rad": "deg", "radian": "deg", "newton": "N",
    "kilonewton": "kN", "watt": "W", "kilowatt": "kW", "pct": "percent", "kilogram": "kg",
}  # fmt: skip


def _near(word: str) -> list[str]:
    """The units that a wrong ending may stand for: written out, or with a slip."""
    if word.lower() in _SPELLED:
        return [_SPELLED[word.lower()]]
    try:
        return [suffix] if (suffix := unit_of_text(word)) else []
    except QuantityError:
        slips = [suffix for suffix in UNITS if abs(len(suffix) - len(word)) <= 1]
        lowered = {suffix.lower(): suffix for suffix in slips}
        close = difflib.get_close_matches(word.lower(), lowered, n=6, cutoff=0.5)
        return [lowered[one] for one in close]
