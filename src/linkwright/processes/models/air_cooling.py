"""Cooling of hot chain in air: how fast a normalised link passes 700 °C.

- `air_properties`: conductivity, viscosity, Prandtl number of dry air
- `air_coefficient`: convection from a wire to still or moving air
- `air_cooling`: cooling rates of the three zones of a link at one temperature
- `air_cooling_time`: time from one temperature to a lower one

Caution: chain at red heat in the open shop; nothing that burns near by.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.convection import (
    nusselt_cylinder_crossflow,
    nusselt_horizontal_cylinder_natural,
    radiation_to_surroundings,
)
from linkwright.processes.models.coil_heat import OXIDISED_EMISSIVITY
from linkwright.processes.models.steel_tables import heated_steel, quenched_steel

_ATMOSPHERE = "U.S. Standard Atmosphere, 1976 (NOAA/NASA/USAF), eqs (51) and (53), sea level"
_GRAVITY_M_PER_S2 = 9.80665
_GAS_J_PER_KGK = 287.053
_PRESSURE_PA = 101_325.0
_AIR_HEAT_J_PER_KGK = 1004.685


class AirProperties(NamedTuple):
    """Results of `air_properties`."""

    conductivity_W_per_mK: Values
    kinematic_viscosity_m2_per_s: Values
    prandtl: Values


@calculation(
    source=_ATMOSPHERE,
    needs={"temperature_degC": (-200.0, None)},
    valid={"temperature_degC": (-100.0, 1200.0)},
    basis="memory",
)
def air_properties(*, temperature_degC: Values) -> AirProperties:
    """Conductivity, kinematic viscosity and Prandtl number of dry air at 101 325 Pa.

        mu = 1.458e-6 T^1.5/(T + 110.4),  k = 2.64638e-3 T^1.5/(T + 245.4 10^(-12/T)),
        rho = p/(287.053 T),  Pr = mu c/k with c = 1004.685 J/(kg K)

    T in kelvin. The fixed c makes Pr some 6 % low at 400 °C, which moves the Nusselt number of
    a wire by about 1 %.

    References: U.S. Standard Atmosphere (1976), coefficients recalled.
    """
    kelvin = np.asarray(temperature_degC, float) + 273.15
    root = kelvin**1.5
    viscosity = 1.458e-6 * root / (kelvin + 110.4)
    conductivity = 2.64638e-3 * root / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin))
    density = _PRESSURE_PA / (_GAS_J_PER_KGK * kelvin)
    prandtl = viscosity * _AIR_HEAT_J_PER_KGK / conductivity
    return AirProperties(conductivity[()], (viscosity / density)[()], prandtl[()])


@calculation(
    source="S. W. Churchill & H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049-1053 (still "
    "air); S. W. Churchill & M. Bernstein, J. Heat Transfer 99 (1977) 300-306 (moving air)",
    gives="heat_transfer_W_per_m2K",
    needs={
        "wire_diameter_mm": POSITIVE,
        "temperature_degC": (-50.0, 1400.0),
        "air_temperature_degC": (-50.0, 200.0),
        "air_speed_m_per_s": NOT_NEGATIVE,
    },
    basis="computed",
)
def air_coefficient(
    *,
    wire_diameter_mm: Values,
    temperature_degC: Values,
    air_temperature_degC: Values = 20.0,
    air_speed_m_per_s: Values = 0.0,
) -> Values:
    """Convection from a horizontal wire to air, properties at the film temperature.

    h = Nu k/d; the larger of natural and forced convection (common practice, no source).

    >>> round(float(air_coefficient(wire_diameter_mm=8.0, temperature_degC=700.0)), 1)
    16.1

    References: as the source.
    """
    hot, cold = np.asarray(temperature_degC, float), np.asarray(air_temperature_degC, float)
    film = 0.5 * (hot + cold)
    conductivity, viscosity, prandtl = air_properties(temperature_degC=film)
    diameter = np.asarray(wire_diameter_mm, float) * 1e-3
    lift = _GRAVITY_M_PER_S2 * np.abs(hot - cold) / (film + 273.15)
    still = nusselt_horizontal_cylinder_natural(
        prandtl=prandtl, grashof=lift * diameter**3 / viscosity**2
    )
    blown = nusselt_cylinder_crossflow(
        reynolds=np.asarray(air_speed_m_per_s) * diameter / viscosity, prandtl=prandtl
    )
    moving = np.where(np.asarray(air_speed_m_per_s) > 0.0, blown, 0.0)
    return (np.maximum(still, moving) * conductivity / diameter)[()]


class AirCooling(NamedTuple):
    """Results of `air_cooling`; cooling_rate has axes (zone) and the members'."""

    straight_cooling_rate_K_per_s: Values
    contact_cooling_rate_K_per_s: Values
    convection_W_per_m2K: Values
    radiation_W_per_m2K: Values
    biot: Values
    cooling_rate_K_per_s: Values


@calculation(
    source="lumped heat balance; convection as air_coefficient; radiation by Stefan-Boltzmann; "
    "austenite by EN 1993-1-2:2005, Annex C",
    needs={
        "wire_diameter_mm": POSITIVE,
        "temperature_degC": (100.0, 1300.0),
        "exposed_share": (0.01, 1.0),
        "contact_share": (0.01, 1.0),
        "air_speed_m_per_s": NOT_NEGATIVE,
        "emissivity": (0.0, 1.0),
        "coefficient_factor": POSITIVE,
    },
    valid={"wire_diameter_mm": (2.0, 60.0)},
    basis="computed",
)
def air_cooling(
    *,
    wire_diameter_mm: Values,
    exposed_share: Values,
    contact_share: Values,
    air_temperature_degC: Values = 20.0,
    air_speed_m_per_s: Values = 0.0,
    coefficient_factor: Values = 1.0,
    temperature_degC: Values = 700.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
) -> AirCooling:
    """Cooling rate of straight, crown and contact where the link passes a temperature in air.

        dT/dt = 4 s f (h_c + h_r)(T - T_a)/(rho c d)

    s is the share of the surface that sees open air (``exposed_share``; at the contact times
    ``contact_share``), f the works' factor. The steel is still austenite; what it turns into
    sets heat free below and holds the rate up there. The section is even: Bi = h d/(4 k) stays
    below 0.1 (given as result).

    References: as the source.
    """
    diameter = np.asarray(wire_diameter_mm, float) * 1e-3
    convection = air_coefficient(
        wire_diameter_mm=wire_diameter_mm,
        temperature_degC=temperature_degC,
        air_temperature_degC=air_temperature_degC,
        air_speed_m_per_s=air_speed_m_per_s,
    )
    radiated = radiation_to_surroundings(
        emissivity=emissivity,
        temperature_degC=temperature_degC,
        surroundings_degC=air_temperature_degC,
    )
    metal = quenched_steel()
    both = convection + radiated.coefficient_W_per_m2K
    fall = np.asarray(temperature_degC) - np.asarray(air_temperature_degC)
    whole = 4.0 * both * fall / (metal.capacity_at(temperature_degC) * diameter)
    straight = whole * exposed_share * coefficient_factor
    contact = straight * contact_share
    straight, contact = np.broadcast_arrays(straight, contact)
    biot = both * diameter / (4.0 * metal.least_conductivity_W_per_mK)
    return AirCooling(
        straight[()],
        contact[()],
        convection,
        radiated.coefficient_W_per_m2K,
        biot[()],
        np.stack([straight, straight, contact]),
    )


@calculation(
    source="lumped heat balance; convection as air_coefficient; radiation by Stefan-Boltzmann; "
    "steel by EN 1993-1-2:2005, 3.4.1",
    gives="cooling_time_s",
    needs={
        "wire_diameter_mm": POSITIVE,
        "start_degC": (0.0, None),
        "end_degC": (50.0, 700.0),
        "exposed_share": (0.01, 1.0),
    },
    valid={"wire_diameter_mm": (2.0, 60.0)},
    basis="computed",
)
def air_cooling_time(
    *,
    wire_diameter_mm: Values,
    start_degC: Values,
    end_degC: Values = 375.0,
    greatest_start_degC: Values = 575.0,
    exposed_share: Values = 1.0,
    air_temperature_degC: Values = 20.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
) -> Values:
    """Time in which a link below its temper cools in still air from one temperature to another.

        t = integral of rho c d/(4 s (h_c + h_r)(T - T_a)) dT

    s is the share of the surface that sees open air. The cooling is counted from
    ``greatest_start_degC`` at most, so that the defaults give the time in the window of temper
    embrittlement; it is 0 if the start is not above the end. Six Gauss points: within 0.1 %.

    References: as the source.

    Example:
    >>> bool(50.0 < air_cooling_time(wire_diameter_mm=8.0, start_degC=560.0) < 150.0)
    True
    """
    node, weight = np.polynomial.legendre.leggauss(6)
    start = np.minimum(np.asarray(start_degC, float), greatest_start_degC)
    span = np.maximum(start - end_degC, 0.0)
    diameter, span = np.broadcast_arrays(np.asarray(wire_diameter_mm, float), span)
    at = end_degC + 0.5 * (1.0 + node.reshape(-1, *(1,) * span.ndim)) * span
    convection = air_coefficient(
        wire_diameter_mm=diameter, temperature_degC=at, air_temperature_degC=air_temperature_degC
    )
    radiated = radiation_to_surroundings(
        emissivity=emissivity, temperature_degC=at, surroundings_degC=air_temperature_degC
    )
    leaves = 4.0 * exposed_share * (convection + radiated.coefficient_W_per_m2K)
    seconds = heated_steel().capacity_at(at) * diameter * 1e-3
    seconds = seconds / (leaves * (at - air_temperature_degC))
    return (0.5 * span * np.tensordot(weight, seconds, axes=1))[()]
