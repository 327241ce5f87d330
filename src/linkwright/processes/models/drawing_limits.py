"""The greatest reduction in one drawing pass, where the drawn wire itself would yield.

- `drawing_limit_efficiency`: from the drawing efficiency and the hardening exponent
- `drawing_limit_slab`: from the slab equation with friction
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation
from linkwright.processes.models.drawing_stress import ANGLE
from linkwright.quantities import ArgumentError


class DrawingLimit(NamedTuple):
    """Greatest strain, area ratio A0/A1 and reduction of area in one pass."""

    max_true_strain: Values
    max_area_ratio: Values
    max_reduction: Values


@calculation(
    source="W. F. Hosford & R. M. Caddell, Metal Forming: Mechanics and Metallurgy; "
    "M. P. Groover, 5th ed. (2013), Eqs 18.36-18.38 for n = 0",
    needs={"n": (0.0, 1.0), "efficiency": (5e-324, 1.0)},
)
def drawing_limit_efficiency(*, n: Values = 0.0, efficiency: Values = 1.0) -> DrawingLimit:
    """Largest strain per pass, eps_max = eta (1 + n).

    The drawing stress K eps^(n+1)/((n + 1) eta) is set equal to the flow stress K eps^n of
    the drawn wire. Ideal-plastic and without losses: ln(A0/A1) = 1, r = 0.632.

    References: W. F. Hosford & R. M. Caddell, Metal Forming, ideal work; M. P. Groover,
    Fundamentals of Modern Manufacturing, 5th ed. (2013), Sec. 18.6.1.

    Example:
        >>> print(round(drawing_limit_efficiency(n=0.2, efficiency=0.65).max_reduction, 3))
        0.542
    """
    strain = efficiency * (1.0 + n)
    return DrawingLimit(strain, np.exp(strain), -np.expm1(-strain))


@calculation(
    source="G. E. Dieter, Mechanical Metallurgy, 3rd ed. (1986), Example 19-2",
    needs={
        "friction_coefficient": NOT_NEGATIVE,
        "die_included_angle_deg": (0.02, 178.0),
        "die_half_angle_deg": ANGLE,
    },
)
def drawing_limit_slab(
    *,
    friction_coefficient: Values,
    die_included_angle_deg: Values = None,
    die_half_angle_deg: Values = None,
) -> DrawingLimit:
    """Limit of reduction in the slab equation for an ideal-plastic wire.

    1 = (1 + B)/B [1 - (1 - r)^B] gives ln(A0/A1) = ln(1 + B)/B, B = mu/tan a; 1 without
    friction. First approximation: no redundant work and no hardening.

    Raises `ArgumentError` if neither the included angle nor its half is given.

    References: G. E. Dieter, Mechanical Metallurgy, 3rd ed. (1986), Example 19-2.

    Example:
        >>> print(round(drawing_limit_slab(die_included_angle_deg=12.0,
        ...                                friction_coefficient=0.09).max_reduction, 3))
        0.514
    """
    if die_half_angle_deg is None:
        if die_included_angle_deg is None:
            accepted = "the included angle or the half-angle of the die"
            raise ArgumentError("die_included_angle_deg", None, "deg", accepted, "is missing")
        die_half_angle_deg = die_included_angle_deg / 2.0
    B = np.asarray(friction_coefficient / np.tan(np.radians(die_half_angle_deg)))
    strain = np.where(B == 0.0, 1.0, np.log1p(B) / np.where(B == 0.0, 1.0, B))[()]
    return DrawingLimit(strain, np.exp(strain), -np.expm1(-strain))
