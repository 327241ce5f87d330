"""Hot-dip zinc on steel articles: least thickness and mass by the thickness of the steel.

`hot_dip_zinc` gives the row of EN ISO 1461 for articles that are not spun.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.reader import Row, published_table

SOURCE = "EN ISO 1461:2009, Table 3, articles that are not centrifuged"


class HotDipZinc(NamedTuple):
    """Results of `hot_dip_zinc`."""

    local_thickness_um: Values
    local_mass_g_per_m2: Values
    mean_thickness_um: Values
    mean_mass_g_per_m2: Values


@calculation(source=SOURCE, basis="published", needs={"steel_thickness_mm": POSITIVE})
def hot_dip_zinc(*, steel_thickness_mm: Values) -> HotDipZinc:
    """Least local and mean thickness and mass of hot-dip zinc on steel of a thickness.

    For round wire the diameter is taken as the thickness. Steel of exactly 3 or 6 mm stands
    in the row below, exactly 1.5 mm in the row from 1.5 to 3 mm.

    References: EN ISO 1461:2009, Table 3, read in public reprints.

    Example:
        >>> zinc = hot_dip_zinc(steel_thickness_mm=8.0)
        >>> print(zinc.mean_thickness_um, zinc.mean_mass_g_per_m2)
        85.0 610.0
    """
    thickness = np.asarray(steel_thickness_mm, dtype=float)
    rows = [_row(one) for one in thickness.ravel().tolist()]
    columns = ([float(row.cells[name]) for row in rows] for name in HotDipZinc._fields)
    return HotDipZinc(*(np.reshape(column, thickness.shape)[()] for column in columns))


def _row(thickness: float) -> Row:
    table = published_table("hot_dip_zinc")
    found = [row for row in table if thickness > float(row.cells[table.key])]
    reached = [row for row in table if thickness == float(row.cells[table.key]) == _INCLUDED_MM]
    return (reached or found)[0]


_INCLUDED_MM = 1.5
"""The only bound of the table that belongs to the row above it."""
