"""Statics of slings: force in a leg by load, number of legs and angle (`sling_leg_force`)."""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation


@calculation(
    source="Statics: equilibrium of the suspension point",
    gives="leg_force_kN",
    needs={
        "load_kN": NOT_NEGATIVE,
        "legs": (1.0, None),
        "angle_to_vertical_deg": (0.0, 89.9),
    },
    valid={"angle_to_vertical_deg": (0.0, 60.0)},
    basis="computed",
)
def sling_leg_force(*, load_kN: Values, legs: Values, angle_to_vertical_deg: Values) -> Values:
    """Force in one leg of a symmetric sling whose legs share the load equally.

    F = W / (n cos beta), beta to the vertical. Chain slings are not rated above 60 degrees;
    of four legs often only two or three carry: then count those.

    Args:
        load_kN: Weight of the load W.
        legs: Number n of legs that carry.
        angle_to_vertical_deg: Angle beta of each leg.

    References:
        Statics; range of angles from EN 818-4, Table 3.

    Example:
        >>> round(float(sling_leg_force(load_kN=10, legs=2, angle_to_vertical_deg=30)), 4)
        5.7735
    """
    return load_kN / (legs * np.cos(np.radians(angle_to_vertical_deg)))
