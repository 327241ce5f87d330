"""Press and shrink fits: pressure, hoop stresses and what the fit can hold (Lamé).

- `press_fit_pressure`: solid or hollow inner member in a hub, same or different metals
- `shrink_fit_pressure`: two cylinders of one metal, given by radii
- `press_fit_holding`: axial force and torque

The interference of a toleranced fit is in `fits`. Everything is elastic: where the bore
hoop stress passes the yield stress the pressure is overstated.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError


class PressFit(NamedTuple):
    """Results of `press_fit_pressure`; tension is positive.

    `inner_hoop_stress_MPa` is that at the bore of a hollow inner member, or anywhere in a
    solid one.
    """

    pressure_MPa: Values
    hub_hoop_stress_bore_MPa: Values
    hub_hoop_stress_outside_MPa: Values
    inner_hoop_stress_MPa: Values
    hub_outside_growth_mm: Values


class ShrinkFit(NamedTuple):
    """Results of `shrink_fit_pressure`; tension is positive."""

    pressure_MPa: Values
    outer_hoop_stress_bore_MPa: Values
    inner_hoop_stress_bore_MPa: Values


class FitHolding(NamedTuple):
    """Results of `press_fit_holding`."""

    force_kN: Values
    torque_Nm: Values


@calculation(
    source="R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, "
    "Eqs 3-56 and 3-57",
    needs={
        "hub_outside_mm": POSITIVE,
        "diametral_interference_mm": NOT_NEGATIVE,
        "shaft_diameter_mm": POSITIVE,
        "fit_diameter_mm": POSITIVE,
        "inner_bore_mm": NOT_NEGATIVE,
        "E_MPa": POSITIVE,
        "hub_E_MPa": POSITIVE,
        "bush_E_MPa": POSITIVE,
        "poisson": (0.0, 0.5),
        "hub_poisson": (0.0, 0.5),
        "bush_poisson": (0.0, 0.5),
    },
    basis="computed",
)
def press_fit_pressure(
    *,
    hub_outside_mm: Values,
    diametral_interference_mm: Values,
    shaft_diameter_mm: Values = None,
    fit_diameter_mm: Values = None,
    inner_bore_mm: Values = 0.0,
    E_MPa: Values = None,
    poisson: Values = 0.292,
    hub_E_MPa: Values = None,
    hub_poisson: Values = None,
    bush_E_MPa: Values = None,
    bush_poisson: Values = None,
) -> PressFit:
    """Pressure and hoop stresses of a shaft, pin or bush pressed into a hub.

    p = (delta/d)/[((Do^2 + d^2)/(Do^2 - d^2) + nu_o)/E_o + ((d^2 + di^2)/(d^2 - di^2) - nu_i)/E_i]

    d fit diameter (of the shaft or bush), Do outside of the hub, di bore of the inner member
    (0: solid), delta diametral interference. Bore hoop stress of the hub p (Do^2 + d^2)/
    (Do^2 - d^2), outside 2 p d^2/(Do^2 - d^2); inner member -2 p d^2/(d^2 - di^2) at its
    bore, -p if solid. E and Poisson's ratio of one metal, or of hub and bush apart.

    Raises `ArgumentError` if a diameter or a modulus is missing, or the diameters are not in
    the order bore, fit, outside.

    References: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, press
    and shrink fits; Poisson's ratio 0.292 is that of carbon steel there (Table A-5).

    Example:
        >>> fit = press_fit_pressure(shaft_diameter_mm=30.0, hub_outside_mm=50.0,
        ...                          diametral_interference_mm=0.03, E_MPa=207000.0)
        >>> print(round(fit.pressure_MPa, 2), round(fit.hub_hoop_stress_bore_MPa, 1))
        66.24 140.8
    """
    d = _one("fit_diameter_mm", "mm", fit_diameter_mm, shaft_diameter_mm)
    if np.any(np.asarray(hub_outside_mm) <= d):
        raise ArgumentError("hub_outside_mm", hub_outside_mm, "mm", "above the fit diameter")
    if np.any(np.asarray(inner_bore_mm) >= d):
        raise ArgumentError("inner_bore_mm", inner_bore_mm, "mm", "below the fit diameter")
    E_hub = _one("hub_E_MPa", "MPa", hub_E_MPa, E_MPa)
    E_bush = _one("bush_E_MPa", "MPa", bush_E_MPa, E_MPa)
    nu_hub = poisson if hub_poisson is None else hub_poisson
    nu_bush = poisson if bush_poisson is None else bush_poisson
    ring = hub_outside_mm**2 - d**2
    wall = d**2 - inner_bore_mm**2
    hoop = (hub_outside_mm**2 + d**2) / ring
    give = (hoop + nu_hub) / E_hub + ((d**2 + inner_bore_mm**2) / wall - nu_bush) / E_bush
    pressure = diametral_interference_mm / d / give
    outside = 2.0 * pressure * d**2 / ring
    solid = np.asarray(inner_bore_mm) == 0.0
    inner = np.where(solid, -pressure, -2.0 * pressure * d**2 / wall)[()]
    growth = outside / E_hub * hub_outside_mm
    return PressFit(pressure, pressure * hoop, outside, inner, growth)


@calculation(
    source="S. P. Timoshenko, Strength of Materials, Part II, compound cylinders",
    basis="memory",
    needs={
        "inner_radius_mm": NOT_NEGATIVE,
        "contact_radius_mm": POSITIVE,
        "outer_radius_mm": POSITIVE,
        "radial_interference_mm": NOT_NEGATIVE,
        "E_MPa": POSITIVE,
    },
)
def shrink_fit_pressure(
    *,
    inner_radius_mm: Values,
    contact_radius_mm: Values,
    outer_radius_mm: Values,
    radial_interference_mm: Values,
    E_MPa: Values,
) -> ShrinkFit:
    """Shrink pressure of two cylinders of one metal.

    p = (E delta/b)(b^2 - a^2)(c^2 - b^2)/(2 b^2 (c^2 - a^2)), a inner, b contact, c outer
    radius, delta radial interference. Poisson's ratio drops out.

    Raises `ArgumentError` if the radii are not in rising order.

    References: S. P. Timoshenko, Strength of Materials, Part II, example on compound
    cylinders.

    Example:
        >>> fit = shrink_fit_pressure(inner_radius_mm=101.6, contact_radius_mm=152.4,
        ...     outer_radius_mm=203.2, radial_interference_mm=0.127, E_MPa=206843.0)
        >>> print(round(fit.pressure_MPa, 2))
        27.93
    """
    a, b, c = inner_radius_mm, contact_radius_mm, outer_radius_mm
    if np.any(np.asarray(a) >= b):
        raise ArgumentError("inner_radius_mm", a, "mm", "below the contact radius")
    if np.any(np.asarray(c) <= b):
        raise ArgumentError("outer_radius_mm", c, "mm", "above the contact radius")
    stiffness = (b**2 - a**2) * (c**2 - b**2) / (2.0 * b**2 * (c**2 - a**2))
    pressure = E_MPa * radial_interference_mm / b * stiffness
    outer = pressure * (c**2 + b**2) / (c**2 - b**2)
    inner = -2.0 * pressure * b**2 / (b**2 - a**2)
    # without a bore the stress is uniform, -p, half of the limit of a very small bore
    return ShrinkFit(pressure, outer, np.where(np.asarray(a) == 0.0, -pressure, inner)[()])


@calculation(
    source="R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, Sec. 7-8",
    needs={
        "diameter_mm": POSITIVE,
        "length_mm": POSITIVE,
        "pressure_MPa": NOT_NEGATIVE,
        "friction": NOT_NEGATIVE,
    },
    basis="computed",
)
def press_fit_holding(
    *, diameter_mm: Values, length_mm: Values, pressure_MPa: Values, friction: Values
) -> FitHolding:
    """Axial force F = pi d l p f and torque T = (pi/2) d^2 l p f that a fit can hold.

    Pressing in needs the same force at full length, with the friction of sliding.

    References: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design,
    Sec. 7-8, torque of a press fit.

    Example:
        >>> held = press_fit_holding(diameter_mm=30.0, length_mm=40.0, pressure_MPa=66.24,
        ...                          friction=0.12)
        >>> print(round(held.force_kN, 2), round(held.torque_Nm, 1))
        29.97 449.5
    """
    force = np.pi * diameter_mm * length_mm * pressure_MPa * friction
    return FitHolding(force / 1000.0, force * diameter_mm / 2000.0)


def _one(name: str, unit: str, *candidates: Values) -> Values:
    for value in candidates:
        if value is not None:
            return value
    raise ArgumentError(name, None, unit, "a value for each member or for both", "is missing")
