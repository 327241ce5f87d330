"""Units in names, exact conversion, strict numbers, numbers for people, the error tree."""

from linkwright.quantities.errors import (
    ArgumentError,
    CannotPlan,
    InputErrors,
    LinkwrightError,
    Problem,
    QuantityError,
    UnknownName,
    nearest,
)
from linkwright.quantities.number import number_and_unit, quantity
from linkwright.quantities.text import bounds_text, significant, unit_text, value_text
from linkwright.quantities.units import UNITS, convert, kind_of, split, unit_of_text, units_of

__all__ = [
    "UNITS",
    "ArgumentError",
    "CannotPlan",
    "InputErrors",
    "LinkwrightError",
    "Problem",
    "QuantityError",
    "UnknownName",
    "bounds_text",
    "convert",
    "kind_of",
    "nearest",
    "number_and_unit",
    "quantity",
    "significant",
    "split",
    "unit_of_text",
    "unit_text",
    "units_of",
    "value_text",
]
