"""A row of straightening rolls: how deep to set it and what bow it leaves.

- `yield_curvature`: curvature at first yield of a round bar
- `roll_intermesh`: depth of the middle roll for a curvature
- `straightness_after_rolls`: bow per metre after rolls whose depth falls evenly to zero
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.processes.models.straightening import straightened_curvature

_BOW_LENGTH_MM = 1000.0


@calculation(
    source="beam theory: first yield of a round bar, kappa = 2 Y/(E d)",
    gives="curvature_per_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "yield_MPa": POSITIVE, "E_MPa": POSITIVE},
)
def yield_curvature(*, wire_diameter_mm: Values, yield_MPa: Values, E_MPa: Values) -> Values:
    """Curvature at which the outer fibre of a round bar begins to yield: 2 Y/(E d).

    References: S. P. Timoshenko, Strength of Materials, Part II, plastic bending.

    Example:
        >>> print(yield_curvature(wire_diameter_mm=8.0, yield_MPa=618.0, E_MPa=206000.0))
        0.00075
    """
    return 2.0 * yield_MPa / (E_MPa * wire_diameter_mm)


@calculation(
    source="elastic beam on two supports, inverse of curvature 12 z/L^2",
    gives="intermesh_mm",
    basis="computed",
    needs={"curvature_per_mm": POSITIVE, "roll_pitch_mm": POSITIVE},
)
def roll_intermesh(*, curvature_per_mm: Values, roll_pitch_mm: Values) -> Values:
    """Depth of the middle of three rolls for a curvature under it: z = kappa L^2/12.

    Inverse of `roll_curvature`, with its limits.

    References: S. P. Timoshenko, Strength of Materials, Part I.

    Example:
        >>> print(round(roll_intermesh(curvature_per_mm=0.005, roll_pitch_mm=60.0), 3))
        1.5
    """
    return curvature_per_mm * roll_pitch_mm**2 / 12.0


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending (1996), reversed bending of elastic-plastic "
    "fibres; bow of an arc kappa l^2/8",
    gives="bow_per_metre_mm",
    basis="computed",
    needs={"roll_count": (3.0, 41.0), "coil_diameter_mm": POSITIVE},
)
def straightness_after_rolls(
    *,
    wire_diameter_mm: Values,
    yield_MPa: Values,
    E_MPa: Values,
    coil_diameter_mm: Values,
    first_roll_intermesh_mm: Values,
    roll_pitch_mm: Values,
    roll_count: Values,
) -> Values:
    """Bow per metre of wire that has passed rolls whose curvature falls evenly to zero.

    The wire comes with the curvature 2/D of its coil. Curvatures alternate in sign over the
    bending rolls (all but the first and the last) from 12 z/L^2 down to the curvature of
    first yield, so that every part of the coil is treated alike; the bow is |kappa| l^2/8
    over l = 1 m.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996).
    """
    bends = int(np.max(roll_count)) - 2
    shape = np.broadcast_shapes(*map(np.shape, (wire_diameter_mm, yield_MPa, E_MPa)))
    first = 12.0 * np.asarray(first_roll_intermesh_mm, float) / np.asarray(roll_pitch_mm) ** 2
    last = 2.0 * np.asarray(yield_MPa, float) / (E_MPa * np.asarray(wire_diameter_mm, float))
    fall = np.linspace(0.0, 1.0, bends)
    signs = (-1.0) ** np.arange(1, bends + 1)
    first, last = np.broadcast_to(first, shape)[..., None], np.broadcast_to(last, shape)[..., None]
    left = straightened_curvature(
        diameter_mm=wire_diameter_mm,
        yield_MPa=yield_MPa,
        E_MPa=E_MPa,
        initial_curvature_per_mm=2.0 / np.asarray(coil_diameter_mm, float),
        roll_curvatures_per_mm=(first + (last - first) * fall) * signs,
    )
    return (np.abs(left.residual_curvature_per_mm) * _BOW_LENGTH_MM**2 / 8.0)[()]
