"""A row of straightening rolls: how deep to set it and what bow it leaves.

- `yield_curvature`: curvature at first yield of a round bar
- `roll_intermesh`: depth of the middle roll for a curvature
- `roll_opening`: gap between the rows at each roll
- `tangent_hardening`: slope of the flow curve of worked wire
- `straightness_after_rolls`: bow per metre, feed force; `last_roll_for_straight` is its inverse
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.straightening import straightened_curvature

_BOW_LENGTH_MM = 1000.0
_TRIALS, _ROUNDS = 24, 2


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
    source="rolls set evenly from the first bending roll to the last",
    gives="roll_opening_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "roll_number": (2.0, 60.0), "roll_count": (3.0, 61.0)},
)
def roll_opening(
    *,
    wire_diameter_mm: Values,
    first_roll_intermesh_mm: Values,
    last_roll_intermesh_mm: Values,
    roll_number: Values,
    roll_count: Values,
) -> Values:
    """Free gap between the two rows of rolls at one roll, d - z; below 0 the rows overlap.

    z falls evenly from the second roll to the last but one; the outer two are at z = 0.

    References: none needed.

    Example:
        >>> print(roll_opening(wire_diameter_mm=8.0, first_roll_intermesh_mm=0.7,
        ...     last_roll_intermesh_mm=0.1, roll_number=5.0, roll_count=9.0))
        7.6
    """
    share = (roll_number - 2.0) / np.maximum(roll_count - 3.0, 1.0)
    fall = first_roll_intermesh_mm - last_roll_intermesh_mm
    return wire_diameter_mm - (first_roll_intermesh_mm - share * fall)


@calculation(
    source="H. W. Swift (1952): slope of K (eps0 + eps)^n at eps = 0",
    gives="hardening_MPa",
    basis="computed",
    needs={"yield_MPa": POSITIVE, "n": NOT_NEGATIVE, "prestrain": POSITIVE},
)
def tangent_hardening(*, yield_MPa: Values, n: Values, prestrain: Values) -> Values:
    """Plastic slope of the flow curve of worked wire, n Y/eps0.

    Good for strains that are small beside the prestrain.

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1.

    Example:
        >>> print(round(tangent_hardening(yield_MPa=650.0, n=0.16, prestrain=0.11), 1))
        945.5
    """
    return n * yield_MPa / prestrain


class AfterRolls(NamedTuple):
    """Results of `straightness_after_rolls`; the bow has the sign of the curvature left."""

    bow_per_metre_mm: Values
    signed_bow_per_metre_mm: Values
    feed_force_N: Values


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending (1996), reversed bending of elastic-plastic "
    "fibres; bow of an arc kappa l^2/8",
    basis="computed",
    needs={
        "roll_count": (3.0, 41.0),
        "coil_diameter_mm": POSITIVE,
        "first_roll_intermesh_mm": NOT_NEGATIVE,
        "last_roll_intermesh_mm": NOT_NEGATIVE,
    },
)
def straightness_after_rolls(
    *,
    wire_diameter_mm: Values,
    yield_MPa: Values,
    E_MPa: Values,
    coil_diameter_mm: Values,
    first_roll_intermesh_mm: Values,
    last_roll_intermesh_mm: Values,
    roll_pitch_mm: Values,
    roll_count: Values,
    hardening_MPa: Values = 0.0,
) -> AfterRolls:
    """Bow per metre of wire that has passed rolls whose depth falls evenly, and the feed force.

    The wire comes with the curvature 2/D of its coil. Curvatures 12 z/L^2 alternate in sign
    over the bending rolls (all but the first and the last); the bow is |kappa| l^2/8 over
    l = 1 m. An elastic shape between the rolls: beyond yield the curvature gathers under the
    roll, so that real rolls are set a little less deep.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996).
    """
    bends = int(np.max(roll_count)) - 2
    first, last = (
        np.asarray(12.0 * np.asarray(depth, float) / np.asarray(roll_pitch_mm) ** 2)[..., None]
        for depth in (first_roll_intermesh_mm, last_roll_intermesh_mm)
    )
    signs = (-1.0) ** np.arange(1, bends + 1)
    left = straightened_curvature(
        diameter_mm=wire_diameter_mm,
        yield_MPa=yield_MPa,
        E_MPa=E_MPa,
        initial_curvature_per_mm=2.0 / np.asarray(coil_diameter_mm, float),
        roll_curvatures_per_mm=(first + (last - first) * np.linspace(0.0, 1.0, bends)) * signs,
        hardening_MPa=hardening_MPa,
    )
    bow = left.residual_curvature_per_mm * _BOW_LENGTH_MM**2 / 8.0
    return AfterRolls(np.abs(bow)[()], bow, left.feed_force_N)


def last_roll_for_straight(first_roll_intermesh_mm: float, **rolls: Any) -> float:
    """Depth of the last bending roll at which `straightness_after_rolls` leaves no bow.

    Looked for between the depth of first yield and that of the first roll, by two rounds of
    trials that run together; where the bow does not change its sign, the depth of least bow.
    """
    first = yield_curvature(
        wire_diameter_mm=rolls["wire_diameter_mm"],
        yield_MPa=rolls["yield_MPa"],
        E_MPa=rolls["E_MPa"],
    )
    low = float(first * rolls["roll_pitch_mm"] ** 2 / 12.0)
    high = max(float(first_roll_intermesh_mm), 1.001 * low)
    for _ in range(_ROUNDS):
        trial = np.linspace(low, high, _TRIALS)
        bow = straightness_after_rolls(
            first_roll_intermesh_mm=first_roll_intermesh_mm, last_roll_intermesh_mm=trial, **rolls
        ).signed_bow_per_metre_mm
        crossed = np.flatnonzero(np.sign(bow[1:]) != np.sign(bow[:-1]))
        if not crossed.size:
            return float(trial[int(np.argmin(np.abs(bow)))])
        at = int(crossed[0])
        low, high = float(trial[at]), float(trial[at + 1])
    return low + (high - low) * float(bow[at] / (bow[at] - bow[at + 1]))
