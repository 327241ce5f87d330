"""Shot peening of plates: dent of a ball, depth that yields below it, balance of stress, load.

- `shot_dent`: dent that a ball leaves
- `dent_zone`: depth to which metal yields below a dent
- `peened_balance`: tension in the core that balances compressed faces
- `peening_load`: plates over whose surface the shot of a machine is shared

Impacts and coverage are `shot_impacts`, `blast_coverage` and `blast_time`. What peening adds to the
fatigue strength is not here: no formula is held that one could vouch for. Nor does anything here
give the arc height of an Almen strip: a works sets it by its own saturation curve (SAE J443).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_PA_PER_HV = 9.80665e6


@calculation(
    source="D. Kirk, energy balance of an impact: what the ball loses is hardness times volume of "
    "the dent; derived again",
    gives="indent_diameter_mm",
    basis="computed",
    needs={
        "shot_diameter_mm": POSITIVE,
        "shot_speed_m_per_s": NOT_NEGATIVE,
        "hardness_HV": POSITIVE,
        "restitution": (0.0, 1.0),
    },
)
def shot_dent(
    *,
    shot_diameter_mm: Values,
    shot_speed_m_per_s: Values,
    hardness_HV: Values,
    restitution: Values = 0.4,
    shot_density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Diameter of the dent of a hard ball: d = D [8/3 (1 - e^2) rho v^2/H]^(1/4).

    (1 - e^2) of the energy m v^2/2 is spent on H pi d^4/(32 D), the volume of a shallow cap; H the
    Vickers hardness as a pressure, e the share of speed with which the ball leaves.

    Raises `ArgumentError` for a dent as wide as the ball.

    References: as the source: (8/3)^(1/4) = 1.278 is the constant of D. Kirk (remembered). Vickers
    hardness stands for the dynamic one, which is higher.

    Example:
        >>> print(round(shot_dent(shot_diameter_mm=0.8, shot_speed_m_per_s=50.0, hardness_HV=400.0,
        ...                       restitution=0.4), 3))
        0.26
    """
    speed = np.asarray(shot_speed_m_per_s, float)
    energy = (1.0 - np.asarray(restitution, float) ** 2) * shot_density_kg_per_m3 * speed**2
    ratio = (8.0 / 3.0 * energy / (hardness_HV * _PA_PER_HV)) ** 0.25
    if np.any(ratio >= 1.0):
        accepted = "slower shot or harder plates: the dent is wider than the ball"
        raise ArgumentError("shot_speed_m_per_s", float(np.max(speed)), "m/s", accepted)
    return (ratio * shot_diameter_mm)[()]


@calculation(
    source="K. L. Johnson, Contact Mechanics (1985), ch. 6, cavity model of indentation, "
    "E tan b/Y = 6 (1 - nu)(c/a)^3 - 4 (1 - 2 nu); remembered and derived again",
    gives="yielding_depth_mm",
    basis="memory",
    needs={
        "indent_diameter_mm": NOT_NEGATIVE,
        "shot_diameter_mm": POSITIVE,
        "yield_strength_MPa": POSITIVE,
        "E_MPa": POSITIVE,
        "poisson": (0.0, 0.5),
    },
)
def dent_zone(
    *,
    indent_diameter_mm: Values,
    shot_diameter_mm: Values,
    yield_strength_MPa: Values,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> Values:
    """Depth to which metal yields below a dent: the estimate of the depth in compression.

    a = d/2, sin b = d/D the slope at the edge of the dent, Y yield stress:

        c = a [(E tan b/Y + 4 (1 - 2 nu))/(6 (1 - nu))]^(1/3)

    Validity: no hardening, a rigid ball; compression ends somewhat above c. Where the slope asks
    for c below a, the dent is elastic and the depth is a.

    Raises `ArgumentError` for a dent as wide as the ball.

    References: as the source.

    Example:
        >>> print(round(dent_zone(indent_diameter_mm=0.26, shot_diameter_mm=0.8,
        ...                       yield_strength_MPa=1100.0), 2))
        0.33
    """
    slope = np.asarray(indent_diameter_mm, float) / shot_diameter_mm
    if np.any(slope >= 1.0):
        accepted = f"below the ball of {float(np.min(shot_diameter_mm)):.4g} mm"
        raise ArgumentError("indent_diameter_mm", float(np.max(indent_diameter_mm)), "mm", accepted)
    tangent = slope / np.sqrt(1.0 - slope**2)
    cube = (E_MPa * tangent / yield_strength_MPa + 4.0 * (1.0 - 2.0 * poisson)) / 6.0
    cube = np.maximum(cube / (1.0 - poisson), 1.0)
    return (np.asarray(indent_diameter_mm, float) / 2.0 * np.cbrt(cube))[()]


class PeenedBalance(NamedTuple):
    """Results of `peened_balance`; compression is negative."""

    face_stress_MPa: Values
    core_stress_MPa: Values


@calculation(
    source="equilibrium of a plate with two faces in even compression",
    basis="computed",
    needs={
        "yield_strength_MPa": POSITIVE,
        "yielding_depth_mm": NOT_NEGATIVE,
        "plate_thickness_mm": POSITIVE,
        "stress_share": (0.0, 1.0),
    },
)
def peened_balance(
    *,
    yield_strength_MPa: Values,
    yielding_depth_mm: Values,
    plate_thickness_mm: Values,
    stress_share: Values,
) -> PeenedBalance:
    """Compression of the faces and the tension that balances it: -q Y and q Y 2 c/(t - 2 c).

    q is what the works has measured on its own plates (X-ray, hole drilling); it cannot pass 1. The
    real profile is not even: the core stress is a mean.

    Raises `ArgumentError` where the two layers meet.

    References: statics.

    Example:
        >>> got = peened_balance(yield_strength_MPa=1100.0, yielding_depth_mm=0.3,
        ...                      plate_thickness_mm=4.0, stress_share=0.5)
        >>> print(got.face_stress_MPa, round(got.core_stress_MPa))
        -550.0 97
    """
    core = np.asarray(plate_thickness_mm, float) - 2.0 * np.asarray(yielding_depth_mm, float)
    if np.any(core <= 0.0):
        accepted = f"below half of the plate of {float(np.min(plate_thickness_mm)):.4g} mm"
        raise ArgumentError("yielding_depth_mm", float(np.max(yielding_depth_mm)), "mm", accepted)
    face = -stress_share * np.asarray(yield_strength_MPa, float)
    return PeenedBalance(face[()], (-face * 2.0 * yielding_depth_mm / core)[()])


@calculation(
    source="geometry of a plate with two holes",
    gives="load_mass_kg",
    basis="computed",
    needs={
        "treated_surface_m2": POSITIVE,
        "area_mm2": POSITIVE,
        "perimeter_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "plate_mass_kg": POSITIVE,
    },
)
def peening_load(
    *,
    treated_surface_m2: Values,
    area_mm2: Values,
    perimeter_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    plate_mass_kg: Values,
) -> Values:
    """Mass of plates whose surface is that over which the machine's shot is shared.

    Faces less holes, edges and hole walls: 2 (A - pi d^2/2) + (L + 2 pi d) t each.

    References: geometry.

    Example:
        >>> print(round(peening_load(treated_surface_m2=2.0, area_mm2=800.0, perimeter_mm=113.0,
        ...     hole_diameter_mm=11.2, plate_thickness_mm=4.0, plate_mass_kg=0.019), 1))
        19.6
    """
    hole = np.asarray(hole_diameter_mm, float)
    faces = 2.0 * (area_mm2 - np.pi / 2.0 * hole**2)
    edges = (perimeter_mm + 2.0 * np.pi * hole) * plate_thickness_mm
    return (treated_surface_m2 * 1e6 / (faces + edges) * plate_mass_kg)[()]
