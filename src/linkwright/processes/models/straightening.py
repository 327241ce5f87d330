"""Roller straightening of round wire and rod between two rows of rolls.

- `three_point_roll_force`: force of a roll at mid-span for a wanted depth of yielding
- `roll_curvature`: curvature that the intermesh of three rolls imposes
- `straightened_curvature`: curvature left after a row of rolls, fibre by fibre

The wire is elastic-plastic, with or without linear kinematic hardening, and bends in one
plane; two rows at right angles are two such calculations.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.bending import round_bar_moment_ratio, round_bar_plastic_moments

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)


class RollForce(NamedTuple):
    """Results of `three_point_roll_force`; `moment_Nm` is that under the roll."""

    yield_moment_Nm: Values
    plastic_moment_Nm: Values
    moment_Nm: Values
    force_N: Values


class Straightened(NamedTuple):
    """Results of `straightened_curvature`; the greatest moment is over all rolls.

    The plastic work of all bends on a metre of wire, in J/m, is the force in N that feeds it.
    """

    residual_curvature_per_mm: Values
    greatest_moment_Nm: Values
    feed_force_N: Values


@calculation(
    source="beam statics, F = 4 M/L; ideal-plastic round bar of T. X. Yu & L. C. Zhang, "
    "Plastic Bending (1996)",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "yield_MPa": POSITIVE,
        "roll_pitch_mm": POSITIVE,
        "curvature_ratio": NOT_NEGATIVE,
    },
)
def three_point_roll_force(
    *, diameter_mm: Values, yield_MPa: Values, roll_pitch_mm: Values, curvature_ratio: Values = None
) -> RollForce:
    """Force of a roll at the middle between two others, F = 4 M/L.

    L is the distance of the two outer rolls (the pitch of one row). Without a curvature
    ratio the wire is made fully plastic, M = Mp = d^3 Y/6; with one, M = m My, My = pi d^3
    Y/32 and m the moment ratio at curvature over yield curvature.

    References: statics of a beam on two supports; T. X. Yu & L. C. Zhang, Plastic Bending:
    Theory and Applications (1996).

    Example:
        >>> roll = three_point_roll_force(diameter_mm=8.0, yield_MPa=600.0, roll_pitch_mm=60.0)
        >>> print(round(roll.plastic_moment_Nm, 1), round(roll.force_N))
        51.2 3413
    """
    moments = round_bar_plastic_moments(diameter_mm=diameter_mm, yield_MPa=yield_MPa)
    moment = moments.plastic_moment_Nm
    if curvature_ratio is not None:
        moment = moments.yield_moment_Nm * round_bar_moment_ratio(curvature_ratio=curvature_ratio)
    force = 4000.0 * moment / roll_pitch_mm
    return RollForce(moments.yield_moment_Nm, moments.plastic_moment_Nm, moment, force)


@calculation(
    source="elastic beam on two supports: deflection F L^3/(48 E I), moment F L/4",
    gives="curvature_per_mm",
    basis="computed",
    needs={"intermesh_mm": NOT_NEGATIVE, "roll_pitch_mm": POSITIVE},
)
def roll_curvature(*, intermesh_mm: Values, roll_pitch_mm: Values) -> Values:
    """Curvature under the middle of three rolls, 12 z/L^2.

    z is the deflection at the middle (intermesh less the gap that the wire takes up), L the
    distance of the outer rolls. An elastic shape: beyond yield the curvature gathers under
    the roll and is greater, so the result is a lower bound.

    References: S. P. Timoshenko, Strength of Materials, Part I (beam with a load at mid-span).

    Example:
        >>> print(round(roll_curvature(intermesh_mm=1.5, roll_pitch_mm=60.0), 4))
        0.005
    """
    return 12.0 * intermesh_mm / roll_pitch_mm**2


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996), "
    "elastic-plastic fibres in reversed bending; W. Prager (1956), linear kinematic hardening",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "yield_MPa": POSITIVE,
        "E_MPa": POSITIVE,
        "hardening_MPa": NOT_NEGATIVE,
    },
)
def straightened_curvature(
    *,
    diameter_mm: Values,
    yield_MPa: Values,
    E_MPa: Values,
    initial_curvature_per_mm: Values,
    roll_curvatures_per_mm: Values,
    hardening_MPa: Values = 0.0,
) -> Straightened:
    """Curvature left in a wire after a row of rolls, followed fibre by fibre.

    The wire arrives with its initial curvature and no residual stress. Each roll bends it to
    the curvature given (signs alternate over the rolls; the last axis is the rolls); every
    fibre takes E times the added strain within a band of +-Y about its back stress, which
    moves by H times the plastic strain (H = 0: ideal-plastic). So the moment runs round a loop
    over curvature, with the Bauschinger effect. At the end it springs back elastically:
    kappa = kappa_last - M/(E I). The residual stress of earlier bends stays in the fibres,
    which a formula for one bend cannot follow. The feed force is the plastic work of all
    bends over the length of wire; friction in the bearings of the rolls comes on top.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996);
    W. Prager, J. Appl. Mech. 23 (1956) 493.

    Example:
        >>> left = straightened_curvature(diameter_mm=8.0, yield_MPa=600.0, E_MPa=206000.0,
        ...     initial_curvature_per_mm=[0.0, 0.002],
        ...     roll_curvatures_per_mm=[-0.004, 0.003, -0.002, 0.0012])
        >>> print((1e3 * left.residual_curvature_per_mm).round(4))
        [0.1408 0.1521]
    """
    rolls = np.atleast_1d(np.asarray(roll_curvatures_per_mm, float))
    d, Y, E, start, H = (
        np.asarray(value, float)
        for value in np.broadcast_arrays(
            diameter_mm, yield_MPa, E_MPa, initial_curvature_per_mm, hardening_MPa, rolls[..., 0]
        )[:5]
    )
    radius = d / 2.0
    # the stress is odd over the section, so the upper half stands for both
    angle = np.pi / 4.0 * (1.0 + _NODES)
    height = radius[..., None] * np.sin(angle)
    area = np.pi * _WEIGHTS * np.cos(angle) ** 2
    share = area * np.sin(angle)
    limit, stiff, harder = Y[..., None], E[..., None], H[..., None]
    stress = np.zeros_like(height)
    back = stress
    greatest = np.zeros_like(radius)
    moment = work = greatest
    curvature = start
    for index in range(rolls.shape[-1]):
        added = (rolls[..., index] - curvature)[..., None] * height
        trial = stress + stiff * added
        beyond = trial - np.clip(trial, back - limit, back + limit)
        plastic = beyond / (stiff + harder)
        moved = harder * plastic
        stress = trial - stiff * plastic
        # the stress while it flows goes evenly from where it yields to where it ends
        work = work + radius**2 * np.sum((stress - moved / 2.0) * plastic * area, axis=-1)
        back = back + moved
        moment = radius**3 * (stress @ share)
        greatest = np.maximum(greatest, np.abs(moment))
        curvature = rolls[..., index] + 0.0 * start
    left = curvature - moment / (E * np.pi * d**4 / 64.0)
    return Straightened(left[()], greatest[()] / 1000.0, work[()])
