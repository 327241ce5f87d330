"""Hot grease: how a dipped chain fills its joints, and what it carries out of the bath.

- `joint_filling_time`, `joint_filled_depth`: molten grease drawn into the slit of pin and bushing
- `joint_grease`: what the joints hold
- `dip_pickup`: film and filling together, a metre of chain

The viscosity of the molten grease by temperature is `viscosity_at_temperature`; the film that
drains off is that of `oil_film`.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_WASHBURN = (
    "E. W. Washburn, Physical Review 17 (1921) 273-283, for a slit: L^2 = h s cos(a) t/(3 mu)"
)
_NEEDS = {
    "joint_clearance_mm": POSITIVE,
    "grease_viscosity_mPa_s": POSITIVE,
    "surface_tension_N_per_m": POSITIVE,
    "contact_angle_deg": (0.0, 89.0),
}


@calculation(
    source=_WASHBURN, gives="filling_time_s", basis="computed",
    needs={**_NEEDS, "joint_depth_mm": POSITIVE},
)  # fmt: skip
def joint_filling_time(
    *,
    joint_clearance_mm: Values,
    joint_depth_mm: Values,
    grease_viscosity_mPa_s: Values,
    surface_tension_N_per_m: Values,
    contact_angle_deg: Values = 30.0,
) -> Values:
    """Time in which molten grease fills the slit between pin and bushing from its end.

        t = 3 mu L^2/(h s cos a),  h = c/2

    L depth to fill (half the bushing, from both ends), h mean gap of a joint with diametral play
    c, s surface tension, a contact angle. Air must leave at the other side; a chain dipped flat
    and moved lets it.

    Validity: gap far below depth; the pin in the middle. A pin that lies on one side leaves
    a wedge whose narrow part fills sooner and whose wide part later.

    References: as the source; flow between plane walls, h^2/(12 mu), capillary pressure
    2 s cos(a)/h.

    Example:
        >>> print(round(joint_filling_time(joint_clearance_mm=0.06, joint_depth_mm=12.7,
        ...     grease_viscosity_mPa_s=15.0, surface_tension_N_per_m=0.028), 1))
        10.0
    """
    gap = np.asarray(joint_clearance_mm, float) / 2000.0
    pull = surface_tension_N_per_m * np.cos(np.radians(contact_angle_deg))
    way = np.asarray(joint_depth_mm, float) / 1000.0
    return (3.0 * grease_viscosity_mPa_s * 1e-3 * way**2 / (gap * pull))[()]


@calculation(
    source=_WASHBURN, gives="filled_depth_mm", basis="computed",
    needs={**_NEEDS, "dip_time_s": NOT_NEGATIVE},
)  # fmt: skip
def joint_filled_depth(
    *,
    joint_clearance_mm: Values,
    dip_time_s: Values,
    grease_viscosity_mPa_s: Values,
    surface_tension_N_per_m: Values,
    contact_angle_deg: Values = 30.0,
) -> Values:
    """Depth to which molten grease has entered a joint: L = sqrt(h s cos(a) t/(3 mu)).

    Symbols and limits as `joint_filling_time`.

    References: as the source.

    Example:
        >>> print(round(joint_filled_depth(joint_clearance_mm=0.06, dip_time_s=10.0,
        ...     grease_viscosity_mPa_s=15.0, surface_tension_N_per_m=0.028), 1))
        12.7
    """
    gap = np.asarray(joint_clearance_mm, float) / 2000.0
    pull = surface_tension_N_per_m * np.cos(np.radians(contact_angle_deg))
    square = gap * pull * np.asarray(dip_time_s, float) / (3.0 * grease_viscosity_mPa_s * 1e-3)
    return (1000.0 * np.sqrt(square))[()]


@calculation(
    source="volume of a thin ring, pi d h L", gives="joint_grease_g", basis="computed",
    needs={
        "pin_diameter_mm": POSITIVE,
        "joint_clearance_mm": POSITIVE,
        "filled_depth_mm": NOT_NEGATIVE,
        "bushing_length_mm": POSITIVE,
        "grease_density_kg_per_m3": POSITIVE,
    },
)  # fmt: skip
def joint_grease(
    *,
    pin_diameter_mm: Values,
    joint_clearance_mm: Values,
    filled_depth_mm: Values,
    bushing_length_mm: Values,
    grease_density_kg_per_m3: Values,
) -> Values:
    """Grease in one joint: density times pi d (c/2) min(2 L, bushing), filled from both ends.

    References: geometry.

    Example:
        >>> print(round(joint_grease(pin_diameter_mm=8.28, joint_clearance_mm=0.06,
        ...     filled_depth_mm=12.7, bushing_length_mm=25.4, grease_density_kg_per_m3=900.0), 4))
        0.0178
    """
    length = np.minimum(2.0 * np.asarray(filled_depth_mm, float), bushing_length_mm)
    volume = np.pi * pin_diameter_mm * joint_clearance_mm / 2.0 * length
    return (volume * grease_density_kg_per_m3 * 1e-6)[()]


@calculation(
    source="film mass times surface plus the filled joints", gives="pickup_g_per_m",
    basis="computed",
    needs={
        "film_mass_g_per_m2": NOT_NEGATIVE,
        "surface_area_m2_per_m": POSITIVE,
        "joint_grease_g": NOT_NEGATIVE,
        "pitch_mm": POSITIVE,
        "strands": (1.0, 12.0),
    },
)  # fmt: skip
def dip_pickup(
    *,
    film_mass_g_per_m2: Values,
    surface_area_m2_per_m: Values,
    joint_grease_g: Values,
    pitch_mm: Values,
    strands: Values = 1.0,
) -> Values:
    """Grease that a metre of chain takes along: film A + joints 1000/p strands.

    Grease that stands between plates and under rollers after draining is not in it; weighing
    the first metre tells.

    References: none needed.

    Example:
        >>> print(round(dip_pickup(film_mass_g_per_m2=40.0, surface_area_m2_per_m=0.16,
        ...     joint_grease_g=0.0178, pitch_mm=25.4), 2))
        7.1
    """
    joints = 1000.0 / np.asarray(pitch_mm, float) * strands * joint_grease_g
    return (film_mass_g_per_m2 * surface_area_m2_per_m + joints)[()]


@calculation(
    source="definition of kinematic viscosity", gives="viscosity_mPa_s", basis="computed",
    needs={"viscosity_mm2_per_s": POSITIVE, "density_kg_per_m3": POSITIVE},
)  # fmt: skip
def dynamic_viscosity(*, viscosity_mm2_per_s: Values, density_kg_per_m3: Values) -> Values:
    """Dynamic viscosity: kinematic times density.

    References: definition.
    """
    return viscosity_mm2_per_s * np.asarray(density_kg_per_m3, float)[()] / 1000.0


@calculation(source="half of a length", gives="half_length_mm", basis="computed",
             needs={"length_mm": POSITIVE})  # fmt: skip
def half_length(*, length_mm: Values) -> Values:
    """Depth to the middle of a bushing.

    References: none needed.
    """
    return length_mm / 2.0


@calculation(
    source="a stiff joint takes no grease", gives="joint_clearance_mm", basis="computed",
)  # fmt: skip
def open_clearance(*, joint_clearance_mm: Values) -> Values:
    """Play of a joint for flow: at least a micrometre, below which the joint is stiff.

    References: none needed.
    """
    return np.maximum(joint_clearance_mm, 0.001)[()]


@calculation(source="mass per length times length", gives="grease_kg", basis="computed")
def grease_of_length(*, pickup_g_per_m: Values, length_m: Values) -> Values:
    """Grease for a length of chain.

    References: none needed.
    """
    return pickup_g_per_m * length_m / 1000.0
