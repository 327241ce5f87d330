"""Hydrogen relief after plating: least time of the bake by the strength of the steel.

- `hydrogen_relief_time`: least hours at 190 to 220 °C
- `BAKE_TEMPERATURE_DEGC`, `NEEDED_ABOVE_MPA`: the range of the bake, and where it begins
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.reader import Row, published_table

BAKE_TEMPERATURE_DEGC = (190.0, 220.0)
"""Range of the bake in which the hours of the table hold."""
NEEDED_ABOVE_MPA = 1000.0
"""Steel up to this strength needs no bake by the table."""
SOURCE = "ASTM B850-98 (2009), Table 1, bake at 190 to 220 degC"


@calculation(
    source=SOURCE,
    gives="bake_time_h",
    basis="published",
    needs={"tensile_strength_MPa": POSITIVE},
)
def hydrogen_relief_time(*, tensile_strength_MPa: Values) -> Values:
    """Least time of the bake after plating, at 190 to 220 °C, by the tensile strength.

    Eight hours above 1000 MPa, two more for each further 100 MPa, 22 hours up to 1800 MPa;
    none at or below 1000 MPa. For steel that is not surface hardened. The bake lowers the
    risk and is no proof that no hydrogen is left.

    Any shape. Raises `ArgumentError` above 1800 MPa, where the table ends.

    References: ASTM B850-98 (2009), Table 1, read in a public reprint of a part of it; the
    table is technically that of ISO 9588.

    Example:
        >>> print(hydrogen_relief_time(tensile_strength_MPa=1210.0))
        12.0
    """
    strengths = np.asarray(tensile_strength_MPa, dtype=float)
    hours = [float(row.cells["bake_time_h"]) if row else 0.0
             for row in map(_row, strengths.ravel().tolist())]  # fmt: skip
    return np.reshape(hours, strengths.shape)[()]


def _row(strength: float) -> Row | None:
    """The row of a strength; None where none is asked for."""
    if strength <= NEEDED_ABOVE_MPA:
        return None
    table = published_table("hydrogen_relief")
    for row in table:
        if strength <= float(row.cells[table.key]):
            return row
    most = float(max(table.listed))
    raise ArgumentError("tensile_strength_MPa", f"{strength:g}", "MPa", f"at most {most:g} MPa",
                        f"is not in {table.source}")  # fmt: skip
