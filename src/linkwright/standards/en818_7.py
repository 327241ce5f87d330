"""EN 818-7: fine tolerance hoist chain grade T, types T, DAT and DT.

`en818_7_properties`, `en818_7_bend_deflection`, `en818_7_case_depth`,
`en818_7_weld_diameter` and `en818_7_fatigue`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation
from linkwright.quantities import UnknownName
from linkwright.standards.reader import Table, published_table

PART_7 = "EN 818-7:2002, Short link chain for lifting purposes, hoist chain grade T"
SIZES = {"nominal_diameter_mm": (4.0, 22.0)}
"""Range of nominal sizes in the scope of EN 818-7."""


class HoistChainProperties(NamedTuple):
    """Results of `en818_7_properties`."""

    least_elongation_percent: Values
    least_surface_hardness_HV: Values


class CaseDepth(NamedTuple):
    """Results of `en818_7_case_depth`."""

    least_case_depth_mm: Values
    greatest_case_depth_mm: Values


@calculation(source=f"{PART_7}, Table 7", needs=SIZES)
def en818_7_properties(*, chain_type: str, nominal_diameter_mm: Values) -> HoistChainProperties:
    """Least total ultimate elongation and surface hardness of hoist chain.

    By type (T, DAT, DT) and class of size: below 7 mm (tested at HV 5), 7 to 11 mm and
    above 11 mm (HV 10).

    Args:
        chain_type: "T" (quenched and tempered), "DAT" or "DT" (case hardened).
        nominal_diameter_mm: Nominal size, 4 to 22 mm.

    Raises:
        UnknownName: a type that is not one of the three.
        ArgumentError: a size outside the scope.

    References:
        EN 818-7:2002, Table 7.

    Example:
        >>> float(
        ...     en818_7_properties(
        ...         chain_type="DAT", nominal_diameter_mm=13
        ...     ).least_surface_hardness_HV
        ... )
        450.0
    """
    table = published_table("en818_7")
    size = np.asarray(nominal_diameter_mm, dtype=float)
    elongation = table.column(chain_type, "least_elongation_percent", "chain_type")
    below, between, above = (
        table.column(chain_type, f"hardness_{sizes}_HV", "chain_type")
        for sizes in ("below_7", "7_to_11", "above_11")
    )
    hardness = np.where(size < 7.0, below, np.where(size <= 11.0, between, above))
    return HoistChainProperties((elongation + 0.0 * size)[()], hardness[()])


@calculation(source=f"{PART_7}, Table 7", needs=SIZES, gives="least_bend_deflection_mm")
def en818_7_bend_deflection(*, nominal_diameter_mm: Values, chain_type: str = "T") -> Values:
    """Least bend deflection of hoist chain of type T, f = 0.8 d.

    Args:
        nominal_diameter_mm: Nominal size, 4 to 22 mm.
        chain_type: "T"; the standard asks no bend deflection of DAT and DT.

    Raises:
        UnknownName: a type other than T.

    References:
        EN 818-7:2002, Table 7.

    Example:
        >>> float(en818_7_bend_deflection(nominal_diameter_mm=10))
        8.0
    """
    if np.any(np.char.upper(np.asarray(chain_type)) != "T"):
        raise UnknownName("chain_type", chain_type, ("T",))
    return 0.8 * nominal_diameter_mm


@calculation(source=f"{PART_7}, Table 8", needs=SIZES)
def en818_7_case_depth(*, chain_type: str, nominal_diameter_mm: Values) -> CaseDepth:
    """Least and greatest case depth of case-hardened hoist chain.

    (c - 0.01) d to (c + 0.01) d; c is 0.04 (DAT) and 0.05 (DT) below 8 mm, 0.03 and 0.04
    above. In the text at hand it cannot be read to which row 8 mm itself belongs: the
    range that satisfies both rows is given there.

    Args:
        chain_type: "DAT" or "DT".
        nominal_diameter_mm: Nominal size, 4 to 22 mm.

    Raises:
        UnknownName: type T, which is not case hardened, or an unknown type.
        ArgumentError: a size outside the scope.

    References:
        EN 818-7:2002, Table 8.

    Example:
        >>> depth = en818_7_case_depth(chain_type="DT", nominal_diameter_mm=10)
        >>> round(depth.least_case_depth_mm, 3), round(depth.greatest_case_depth_mm, 3)
        (0.3, 0.5)
    """
    size = np.asarray(nominal_diameter_mm, dtype=float)
    hardened = _case_hardened()
    small = np.asarray(hardened.column(chain_type, "case_share_below_8", "chain_type"))
    large = np.asarray(hardened.column(chain_type, "case_share_above_8", "chain_type"))
    least = np.where(size > 8.0, large, small) - 0.01
    greatest = np.where(size < 8.0, small, large) + 0.01
    return CaseDepth((least * size)[()], (greatest * size)[()])


@calculation(
    source=f"{PART_7}, clause on weld diameter", needs=SIZES, gives="greatest_weld_diameter_mm"
)
def en818_7_weld_diameter(*, nominal_diameter_mm: Values) -> Values:
    """Greatest weld diameter of hoist chain: 8 % above the nominal size in any direction.

    Args:
        nominal_diameter_mm: Nominal size, 4 to 22 mm.

    References:
        EN 818-7:2002, clause on weld diameter.

    Example:
        >>> float(en818_7_weld_diameter(nominal_diameter_mm=10))
        10.8
    """
    return 1.08 * nominal_diameter_mm


@calculation(source=f"{PART_7}, clause on fatigue resistance", gives="least_cycles")
def en818_7_fatigue(*, chain_type: str) -> Values:
    """Cycles that hoist chain of types DAT and DT withstands in the type test.

    Args:
        chain_type: "DAT" or "DT"; the clause does not ask it of type T.

    Raises:
        UnknownName: any other type.

    References:
        EN 818-7:2002, clause on fatigue resistance.

    Example:
        >>> en818_7_fatigue(chain_type="DT")
        2000000.0
    """
    return _case_hardened().column(chain_type, "least_cycles", "chain_type")


def _case_hardened() -> Table:
    return published_table("en818_7").where(least_cycles=2e6)
