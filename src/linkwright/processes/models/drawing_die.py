"""What a die sees: pressure, heat at its wall, wear, and the length of its bearing.

- `die_pressure`: mean pressure on the cone, from the force balance
- `die_surface_temperature`: of the wire where it leaves the die
- `die_life_length`, `dies_used`: wear by the length drawn, a works' own factor in front
- `die_bearing_length`: cylinder behind the cone
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.drawing_stress import ANGLE

_ARCHARD = "J. F. Archard, J. Appl. Phys. 24 (1953) 981: depth of wear k p s/H"
_WEAR = {
    "die_pressure_MPa": POSITIVE,
    "life_factor": POSITIVE,
    "wear_coefficient": POSITIVE,
    "die_hardness_MPa": POSITIVE,
}
_MM_PER_KM = 1e6


@calculation(
    source="force balance of the cone of the die",
    gives="die_pressure_MPa",
    basis="computed",
    needs={
        "drawing_stress_MPa": POSITIVE,
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
        "die_half_angle_deg": ANGLE,
        "friction_coefficient": NOT_NEGATIVE,
    },
)
def die_pressure(
    *,
    drawing_stress_MPa: Values,
    start_diameter_mm: Values,
    final_diameter_mm: Values,
    die_half_angle_deg: Values,
    friction_coefficient: Values,
) -> Values:
    """Mean pressure on the cone, sigma_d/[(A0/A1 - 1)(1 + mu cot a)].

    The axial parts of pressure and friction on the cone carry the drawing force; no back
    tension, and no friction on the bearing.

    References: statics.

    Example:
        >>> print(round(die_pressure(drawing_stress_MPa=150.0, start_diameter_mm=8.5,
        ...     final_diameter_mm=8.05, die_half_angle_deg=6.0, friction_coefficient=0.08)))
        741
    """
    ratio = (start_diameter_mm / final_diameter_mm) ** 2
    cot = 1.0 / np.tan(np.radians(die_half_angle_deg))
    return drawing_stress_MPa / ((ratio - 1.0) * (1.0 + friction_coefficient * cot))


@calculation(
    source="H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), Sec. 2.9: "
    "half-space under a constant flux",
    gives="die_exit_surface_temperature_degC",
    basis="computed",
    needs={
        "die_pressure_MPa": NOT_NEGATIVE,
        "friction_coefficient": NOT_NEGATIVE,
        "drawing_speed_m_per_s": NOT_NEGATIVE,
        "contact_length_mm": POSITIVE,
        "density_kg_per_m3": POSITIVE,
        "specific_heat_J_per_kgK": POSITIVE,
        "conductivity_W_per_mK": POSITIVE,
    },
)
def die_surface_temperature(
    *,
    temperature_rise_K: Values,
    die_pressure_MPa: Values,
    friction_coefficient: Values,
    drawing_speed_m_per_s: Values,
    contact_length_mm: Values,
    density_kg_per_m3: Values,
    specific_heat_J_per_kgK: Values,
    conductivity_W_per_mK: Values = 50.7,
    start_temperature_degC: Values = 20.0,
) -> Values:
    """Temperature of the wire's surface at the die exit, T0 + dT + 2 q sqrt(t/(pi k rho c)).

    dT mean rise of the wire; q = mu p v the heat of friction, all of it into the wire, so an
    upper bound; t = L/v the time in the cone. Conductivity 50.7 W/(m K): EN 1993-1-2:2005,
    3.4.1.3 at 100 degC. The wire comes in at T0: cooled on the drum of the pass before.

    References: H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959).

    Example:
        >>> print(round(die_surface_temperature(temperature_rise_K=40.0, die_pressure_MPa=740.0,
        ...     friction_coefficient=0.08, drawing_speed_m_per_s=0.8, contact_length_mm=2.15,
        ...     density_kg_per_m3=7850.0, specific_heat_J_per_kgK=460.0), 1))
        264.7
    """
    flux = friction_coefficient * die_pressure_MPa * 1e6 * drawing_speed_m_per_s
    time = contact_length_mm / 1e3 / np.maximum(drawing_speed_m_per_s, 1e-9)
    effusive = np.pi * conductivity_W_per_mK * density_kg_per_m3 * specific_heat_J_per_kgK
    return start_temperature_degC + temperature_rise_K + 2.0 * flux * np.sqrt(time / effusive)


@calculation(
    source=f"{_ARCHARD}; the coefficient is an order of magnitude, common practice, no source",
    gives="next_regrind_km",
    basis="common practice",
    needs={"die_diameter_mm": POSITIVE, "growth_ratio": POSITIVE, **_WEAR},
)
def die_life_length(
    *,
    die_diameter_mm: Values,
    die_pressure_MPa: Values,
    life_factor: Values,
    growth_ratio: Values = 0.003,
    wear_coefficient: Values = 3e-9,
    die_hardness_MPa: Values = 15000.0,
) -> Values:
    """Length of wire that widens the die by ``growth_ratio`` of its diameter.

    L = f g d/2 H/(k p); H indentation hardness of the die (cemented carbide), k Archard's
    coefficient. There is no published k that holds for another works: 3e-9 is what a die that
    lasts some tens of tonnes of 8 mm wire comes to, and f is learned from measured dies.

    References: J. F. Archard, J. Appl. Phys. 24 (1953) 981; coefficient: none.

    Example:
        >>> print(round(die_life_length(die_diameter_mm=8.0, die_pressure_MPa=740.0,
        ...                             life_factor=1.0), 1))
        81.1
    """
    depth = growth_ratio * die_diameter_mm / 2.0
    length = depth * die_hardness_MPa / (wear_coefficient * die_pressure_MPa)
    return life_factor * length / _MM_PER_KM


@calculation(
    source="wear in proportion to the length drawn",
    gives="dies_used_count",
    basis="computed",
    needs={"length_m": NOT_NEGATIVE, "next_regrind_km": POSITIVE},
)
def dies_used(*, length_m: Values, next_regrind_km: Values) -> Values:
    """Lives of a last die that a length of wire takes: length over the length to the regrind.

    References: none; see `die_life_length`.

    Example:
        >>> print(dies_used(length_m=20000.0, next_regrind_km=80.0))
        0.25
    """
    return length_m / 1e3 / next_regrind_km


@calculation(
    source="ratio held by the works; a third by default: common practice, no source",
    gives="die_bearing_length_mm",
    basis="common practice",
    needs={"die_diameter_mm": POSITIVE, "bearing_ratio": (0.0, 2.0)},
)
def die_bearing_length(*, die_diameter_mm: Values, bearing_ratio: Values = 0.33) -> Values:
    """Length of the cylindrical bearing behind the cone: ratio times the die's diameter.

    References: none; common practice 0.3 to 0.5 for steel wire.
    """
    return bearing_ratio * die_diameter_mm
