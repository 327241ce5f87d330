"""Tables for alloy chain slings of the former 29 CFR 1910.184: wear and rated capacity.

`osha_minimum_thickness` (Table N-184-2) and `osha_rated_capacity` (Table N-184-1). Both
left the federal text in 2011; they are kept for slings rated by them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.b30 import SlingCapacity, capacity_by_angle
from linkwright.standards.reader import published_table

_SAME_LOAD = 1e-3


class WornThickness(NamedTuple):
    """Results of `osha_minimum_thickness`."""

    minimum_thickness_in: Values
    remaining_fraction: Values


@calculation(
    source="Michigan Administrative Code R 408.14923 Table 1 (former 29 CFR 1910.184 "
    "Table N-184-2)",
    needs={"nominal_diameter_in": POSITIVE},
)
def osha_minimum_thickness(*, nominal_diameter_in: Values) -> WornThickness:
    """Smallest allowed thickness at any point of a worn link of an alloy sling chain.

    Args:
        nominal_diameter_in: Nominal size, one of the listed 1/4 to 1 3/4 in.

    Returns:
        The listed thickness and its share of the nominal size.

    Raises:
        ArgumentError: a size that the table does not list.

    References:
        Michigan R 408.14923 Table 1; 29 CFR 1910.184 (before 2011) Table N-184-2
        (the row of 1 3/4 in is remembered).

    Example:
        >>> osha_minimum_thickness(nominal_diameter_in=0.5).minimum_thickness_in
        0.390625
    """
    least = published_table("osha_thickness").column(nominal_diameter_in, "minimum_thickness_in")
    return WornThickness(least, least / nominal_diameter_in)


@calculation(
    source="29 CFR 1910.184 (before 2011) Table N-184-1",
    needs={"nominal_diameter_in": POSITIVE, "single_leg_lbf": POSITIVE},
    basis="memory",
)
def osha_rated_capacity(
    *, nominal_diameter_in: Values | None = None, single_leg_lbf: Values | None = None
) -> SlingCapacity:
    """Rated capacity of two-leg and three- or four-leg alloy chain slings.

    Angles are to the horizontal. A listed size whose single leg is that of the table gives
    the table's values; otherwise (other chain, or no size) the rule behind it, not
    rounded: legs x single x sin(angle), four legs counted as three.

    Args:
        nominal_diameter_in: Nominal size, one of the listed 1/4 to 1 3/4 in.
        single_leg_lbf: Capacity of a single leg; left out, that of the table.

    Raises:
        ArgumentError: without a single-leg capacity, a size that the table does not list.

    References:
        29 CFR 1910.184 (before 2011) Table N-184-1, remembered.

    Example:
        >>> float(osha_rated_capacity(nominal_diameter_in=0.5).two_leg_45deg_lbf)
        15900.0
    """
    if nominal_diameter_in is None and single_leg_lbf is None:
        reason = "is needed, or single_leg_lbf"
        raise ArgumentError("nominal_diameter_in", "none", "", "a listed size", reason)
    size = 0.0 if nominal_diameter_in is None else nominal_diameter_in
    given = 0.0 if single_leg_lbf is None else single_leg_lbf
    cells = np.broadcast(size, given)
    columns = np.array([_one_sling(float(one), float(leg)) for one, leg in cells])
    return SlingCapacity(*columns.T.reshape(-1, *cells.shape))


def _one_sling(size: float, single_leg_lbf: float) -> list[float]:
    table = published_table("osha_capacity")
    if single_leg_lbf == 0.0 or table.holds(size):
        cells = table.row(size, "nominal_diameter_in").cells
        listed = float(cells["single_leg_lbf"])
        if single_leg_lbf == 0.0 or abs(single_leg_lbf - listed) <= _SAME_LOAD * listed:
            return [float(cells[name]) for name in SlingCapacity._fields]
    return [float(value) for value in capacity_by_angle(single_leg_lbf)]
