"""Avitzur's upper bound for wire drawing: internal work, shear at the zone, friction, land.

- `avitzur_f`: the function f(a) of internal work
- `avitzur_land`: added stress of the bearing land
- `avitzur_optimum_angle`: approximate die half-angle of least stress
- `drawing_stress_avitzur`: the whole upper bound with a shear friction factor
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation
from linkwright.processes.models.drawing_stress import ANGLE

_SOURCE = "B. Avitzur, Metal Forming: Processes and Analysis (1968), wire drawing upper bound"
_ELEVEN_TWELFTHS = 11.0 / 12.0
_SERIES_BELOW = 1e-3


class AvitzurDrawing(NamedTuple):
    """Results of `drawing_stress_avitzur`: parts and sum, over the yield stress."""

    internal_over_yield: Values
    shear_over_yield: Values
    friction_over_yield: Values
    land_over_yield: Values
    drawing_stress_over_yield: Values


@calculation(source=_SOURCE, gives="f", needs={"die_half_angle_deg": (0.0, 90.0)}, basis="computed")
def avitzur_f(*, die_half_angle_deg: Values) -> Values:
    """Avitzur's function f(a) of internal work in a conical die; f tends to 1 as a to 0.

    f = [1 - cos a sqrt(1 - 11/12 sin^2 a) + ln((1 + sqrt(11/12))/(sqrt(11/12) cos a +
    sqrt(1 - 11/12 sin^2 a)))/sqrt(132)]/sin^2 a; below 0.06 degrees its series 1 + a^2/48.

    References: B. Avitzur, Metal Forming: Processes and Analysis, McGraw-Hill (1968).

    Example:
        >>> print(round(avitzur_f(die_half_angle_deg=30.0), 6))
        1.006253
    """
    angle = np.radians(np.asarray(die_half_angle_deg, float))
    small = angle < _SERIES_BELOW
    a = np.where(small, 1.0, angle)
    root = np.sqrt(1.0 - _ELEVEN_TWELFTHS * np.sin(a) ** 2)
    side = np.sqrt(_ELEVEN_TWELFTHS)
    term = np.log((1.0 + side) / (side * np.cos(a) + root)) / np.sqrt(132.0)
    whole = (1.0 - np.cos(a) * root + term) / np.sin(a) ** 2
    return np.where(small, 1.0 + angle**2 / 48.0, whole)[()]


@calculation(
    source=_SOURCE,
    gives="added_stress_over_yield",
    needs={"shear_friction_factor": (0.0, 1.0), "land_over_exit_radius": NOT_NEGATIVE},
    basis="computed",
)
def avitzur_land(*, shear_friction_factor: Values, land_over_exit_radius: Values) -> Values:
    """Added drawing stress of the bearing land over the yield stress, (2/sqrt 3) m L/Rf.

    References: B. Avitzur, Metal Forming: Processes and Analysis (1968).

    Example:
        >>> print(round(avitzur_land(shear_friction_factor=0.1, land_over_exit_radius=1.0), 4))
        0.1155
    """
    return 2.0 / np.sqrt(3.0) * shear_friction_factor * land_over_exit_radius


@calculation(
    source=_SOURCE + ", optimum cone angle",
    gives="optimum_half_angle_deg",
    needs={"reduction": (0.0, 0.999), "shear_friction_factor": (0.0, 1.0)},
    basis="computed",
)
def avitzur_optimum_angle(*, reduction: Values, shear_friction_factor: Values) -> Values:
    """Approximate die half-angle of least stress, sqrt(1.5 m ln(R0/Rf)).

    ln(R0/Rf) = -ln(1 - r)/2, r the reduction of area.

    References: B. Avitzur, Metal Forming: Processes and Analysis (1968).

    Example:
        >>> print(round(avitzur_optimum_angle(reduction=0.2, shear_friction_factor=0.1), 2))
        7.41
    """
    radii = -np.log1p(-np.asarray(reduction, float)) / 2.0
    return np.degrees(np.sqrt(1.5 * shear_friction_factor * radii))[()]


@calculation(
    source=_SOURCE,
    basis="memory",
    needs={
        "reduction": (0.0, 0.999),
        "die_half_angle_deg": ANGLE,
        "shear_friction_factor": (0.0, 1.0),
        "land_over_exit_radius": NOT_NEGATIVE,
    },
)
def drawing_stress_avitzur(
    *,
    reduction: Values,
    die_half_angle_deg: Values,
    shear_friction_factor: Values,
    land_over_exit_radius: Values = 0.0,
) -> AvitzurDrawing:
    """Upper bound of the drawing stress over the yield stress of an ideal-plastic wire.

    2 f(a) ln(R0/Rf) + (2/sqrt 3) [a/sin^2 a - cot a + m (cot a ln(R0/Rf) + L/Rf)], the four
    parts being internal work, shear where the wire enters and leaves the zone, friction on
    the cone and on the land; a result of 1 or more means that the wire yields first.

    References: B. Avitzur, Metal Forming: Processes and Analysis (1968).

    Example:
        >>> bound = drawing_stress_avitzur(reduction=0.2, die_half_angle_deg=7.41,
        ...                                shear_friction_factor=0.1)
        >>> print(round(bound.drawing_stress_over_yield, 3))
        0.422
    """
    a = np.radians(die_half_angle_deg)
    radii = -np.log1p(-np.asarray(reduction, float))[()] / 2.0
    internal = 2.0 * avitzur_f(die_half_angle_deg=die_half_angle_deg) * radii
    shear = 2.0 / np.sqrt(3.0) * (a / np.sin(a) ** 2 - 1.0 / np.tan(a))
    friction = 2.0 / np.sqrt(3.0) * shear_friction_factor * radii / np.tan(a)
    land = avitzur_land(
        shear_friction_factor=shear_friction_factor, land_over_exit_radius=land_over_exit_radius
    )
    return AvitzurDrawing(internal, shear, friction, land, internal + shear + friction + land)
