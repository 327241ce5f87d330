"""The units that people of one system read: metric or inch. For display only.

Offers `SYSTEMS` and `shown_in`. Stored values, files and JSON keep the units of their names.
"""

from __future__ import annotations

from typing import Any

from linkwright.quantities.units import UNITS, convert, kind_of, split

_TO_INCH = {
    "um": "in", "mm": "in", "cm": "in", "m": "ft", "km": "ft",
    "mm2": "in2", "cm2": "in2", "m2": "in2", "mm3": "in3", "cm3": "in3",
    "N": "lbf", "kN": "lbf", "MN": "klbf", "kgf": "lbf", "tf": "klbf",
    "Pa": "psi", "kPa": "psi", "MPa": "kpsi", "GPa": "kpsi", "N_per_mm2": "kpsi", "bar": "psi",
    "Nmm": "lbf_in", "Nm": "lbf_in", "kNm": "lbf_ft",
    "m_per_s": "ft_per_min", "m_per_min": "ft_per_min", "mm_per_s": "ft_per_min",
    "g": "lb", "kg": "lb", "t": "lb", "kg_per_m": "lb_per_ft",
    "W": "hp", "kW": "hp", "degC": "degF", "per_mm": "per_in", "per_m": "per_in",
}  # fmt: skip
_TO_METRIC = {
    "in": "mm", "ft": "m", "in2": "mm2", "in3": "mm3", "lbf": "N", "klbf": "kN",
    "long_ton": "kN", "short_ton": "kN", "psi": "MPa", "kpsi": "MPa",
    "lbf_in": "Nm", "lbf_ft": "Nm", "ft_per_min": "m_per_min", "lb": "kg",
    "lb_per_ft": "kg_per_m", "hp": "kW", "degF": "degC", "per_in": "per_mm",
}  # fmt: skip
SYSTEMS = {"metric": _TO_METRIC, "inch": _TO_INCH}
"""For each system the unit in which a quantity of another unit is shown."""


def shown_in(
    system: str | None, name: str, value: Any, *, difference: bool = False
) -> tuple[Any, str]:
    """The value of ``name`` and its unit as a reader of ``system`` wants them.

    Lists and arrays are converted element by element; ``difference`` says that a
    temperature is a deviation, as a tolerance is.

    >>> shown_in("inch", "pitch_mm", 12.7), shown_in(None, "pitch_mm", 12.7)
    ((0.5, 'in'), (12.7, 'mm'))
    """
    unit = split(name)[1]
    wanted = SYSTEMS[system].get(unit, unit) if system else unit
    if wanted == unit or wanted not in UNITS or isinstance(value, (str, bool, type(None))):
        return value, unit
    apart = difference or kind_of(name) == "temperature difference"
    if isinstance(value, (list, tuple)):
        return [convert(item, unit, wanted, difference=apart) for item in value], wanted
    return convert(value, unit, wanted, difference=apart), wanted
