"""Rules of ASME B30.9 for alloy chain slings: worn thickness and capacity by angle.

`b30_9_minimum_thickness` and `b30_9_sling_capacity`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import convert
from linkwright.standards.reader import published_table


class SlingCapacity(NamedTuple):
    """Capacity of slings by number of legs and angle to the horizontal."""

    two_leg_60deg_lbf: Values
    two_leg_45deg_lbf: Values
    two_leg_30deg_lbf: Values
    three_four_leg_60deg_lbf: Values
    three_four_leg_45deg_lbf: Values
    three_four_leg_30deg_lbf: Values


@calculation(
    source="ASME B30.9, Slings, table of minimum allowable thickness at any point on a link",
    gives="minimum_thickness_mm",
    needs={"nominal_diameter_mm": POSITIVE},
    basis="memory",
)
def b30_9_minimum_thickness(*, nominal_diameter_mm: Values) -> Values:
    """Smallest allowed thickness at any point of a worn link of an alloy chain sling.

    The table is in inches. It is no formula, but agrees with sqrt(0.75) d (a quarter of
    the section worn away) within 0.9 %.

    Args:
        nominal_diameter_mm: Nominal size, one of the listed 5.5 to 32 mm.

    Raises:
        ArgumentError: a size that the table does not list.

    References:
        ASME B30.9, table of minimum allowable thickness, remembered.

    Example:
        >>> round(b30_9_minimum_thickness(nominal_diameter_mm=13), 2)
        11.25
    """
    least_in = published_table("b30_thickness").column(nominal_diameter_mm, "minimum_thickness_in")
    return convert(least_in, "in", "mm")


@calculation(
    source="Rule of ASME B30.9: legs x single x sin(angle), four legs counted as three",
    needs={"single_leg_lbf": POSITIVE},
)
def b30_9_sling_capacity(*, single_leg_lbf: Values) -> SlingCapacity:
    """Rated capacity of two-leg and three- or four-leg slings at 60, 45 and 30 degrees.

    n x single x sin(angle to the horizontal), n = 2 and 3; not rounded (published tables
    round to 100 lbf). Loads shared equally.

    Args:
        single_leg_lbf: Capacity of a single vertical leg.

    References:
        ASME B30.9, rated load of chain slings.

    Example:
        >>> round(b30_9_sling_capacity(single_leg_lbf=7100).two_leg_60deg_lbf)
        12298
    """
    return capacity_by_angle(single_leg_lbf)


def capacity_by_angle(single_leg_lbf: Values) -> SlingCapacity:
    """Legs x single x sin(angle) for 2 and 3 legs and 60, 45, 30 degrees to the horizontal."""
    return SlingCapacity(
        *(
            legs * single_leg_lbf * math.sin(math.radians(angle_deg))
            for legs in (2.0, 3.0)
            for angle_deg in (60.0, 45.0, 30.0)
        )
    )
