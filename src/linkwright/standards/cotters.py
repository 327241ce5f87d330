"""Split cotter pins: which goes with a pin, what hole it needs, how long it must be.

- `cotter_for_pin`: nominal size, wire, eye and hole for a pin's diameter
- `cotter_of_hole`: the same by the hole
- `cotter_length`: the next length of the series
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.reader import Row, published_table

SOURCE = "ISO 1234:1997, Table 1"
_LENGTHS_MM = (
    4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 32, 36, 40, 45, 50, 56, 63, 71, 80, 90, 100,
    112, 125, 140, 160, 180, 200, 224, 250, 280,
)  # fmt: skip


class Cotter(NamedTuple):
    """Results of `cotter_for_pin` and `cotter_of_hole`."""

    cotter_hole_mm: Values
    """Diameter of the hole, which is the nominal size."""
    greatest_cotter_mm: Values
    """Greatest diameter of the shank, made of two half rounds."""
    least_cotter_mm: Values
    eye_width_mm: Values
    eye_length_mm: Values
    hole_tolerance_mm: Values
    """By how much the hole may be larger."""


@calculation(source=f"{SOURCE}, clevis pins", basis="memory", needs={"pin_diameter_mm": POSITIVE})
def cotter_for_pin(*, pin_diameter_mm: Values) -> Cotter:
    """Cotter for a pin that is loaded across: the size whose range holds the diameter.

    A range goes from above the size before to its own end. One pin at a time.

    Raises `ArgumentError` for pins above 110 mm.

    References: ISO 1234:1997, Table 1, remembered; eye width is the greatest, eye length about.

    Example:
        >>> print(cotter_for_pin(pin_diameter_mm=17.81).cotter_hole_mm)
        5.0
    """
    for row in published_table("iso1234_cotter"):
        if float(pin_diameter_mm) <= float(row.cells["greatest_pin_diameter_mm"]):
            return _cotter(row)
    raise ArgumentError("pin_diameter_mm", pin_diameter_mm, "mm", "at most 110 mm")


@calculation(source=SOURCE, basis="memory", needs={"cotter_hole_mm": POSITIVE})
def cotter_of_hole(*, cotter_hole_mm: Values) -> Cotter:
    """Cotter of a nominal size, whatever the pin: for a drawing that asks another one.

    Raises `ArgumentError` for a size that is not listed.

    References: ISO 1234:1997, Table 1, remembered.
    """
    return _cotter(published_table("iso1234_cotter").row(float(cotter_hole_mm)))


@calculation(
    source=f"{SOURCE}, series of lengths", gives="cotter_length_mm", basis="memory",
    needs={"least_length_mm": POSITIVE},
)  # fmt: skip
def cotter_length(*, least_length_mm: Values) -> Values:
    """Length below the eye: the next of the series 4, 5, 6, 8 ... 280 mm.

    Which lengths a size is made in is not held: ask the supplier.

    Raises `ArgumentError` above 280 mm.

    References: ISO 1234:1997, Table 1, remembered.

    Example:
        >>> print(cotter_length(least_length_mm=13.2))
        14.0
    """
    series = np.array(_LENGTHS_MM, float)
    wanted = np.asarray(least_length_mm, float) * (1.0 - 1e-9)
    if np.any(wanted > series[-1]):
        raise ArgumentError("least_length_mm", float(np.max(wanted)), "mm", "at most 280 mm")
    return series[np.searchsorted(series, wanted)][()]


def _cotter(row: Row) -> Cotter:
    return Cotter(*(float(row.cells[name]) for name in Cotter._fields))
