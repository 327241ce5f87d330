"""Energy to heat steel in furnaces and inductors, and what a quench does to its bath.

- `furnace_energy`: a charge in a furnace
- `line_heating_power`: steel that runs through a heater
- `quench_bath_rise`: warming of a bath by a charge

Heat content of steel from `linkwright.materials.thermal.ec3_enthalpy`. Cautions: oil that warms
towards its flash point, or that holds water, burns or boils over; local codes come first.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.thermal import ec3_enthalpy

_SHARE = (1e-9, 1.0)
_BALANCE = "energy balance with the heat content of EN 1993-1-2:2005, 3.4.1.2, integrated"


class FurnaceEnergy(NamedTuple):
    """Results of `furnace_energy`."""

    useful_kWh: Values
    energy_kWh: Values


@calculation(
    source=_BALANCE, needs={"mass_kg": NOT_NEGATIVE, "efficiency": _SHARE}, basis="computed"
)
def furnace_energy(
    *, mass_kg: Values, end_degC: Values, efficiency: Values, start_degC: Values = 20.0
) -> FurnaceEnergy:
    """Energy a furnace needs for a charge: heat content over efficiency.

    >>> round(float(furnace_energy(mass_kg=1000.0, end_degC=850.0, efficiency=0.35).energy_kWh), 1)
    475.1

    References: energy balance.
    """
    content = ec3_enthalpy(temperature_degC=end_degC, start_degC=start_degC)
    useful = mass_kg * content / 3.6e6
    return FurnaceEnergy(useful, useful / efficiency)


@calculation(
    source=_BALANCE,
    gives="power_kW",
    needs={"throughput_kg_per_h": NOT_NEGATIVE, "overall_efficiency": _SHARE},
    basis="computed",
)
def line_heating_power(
    *,
    throughput_kg_per_h: Values,
    end_degC: Values,
    overall_efficiency: Values,
    start_degC: Values = 20.0,
) -> Values:
    """Power drawn to heat steel that runs through: throughput times heat content over efficiency.

    References: energy balance.
    """
    content = ec3_enthalpy(temperature_degC=end_degC, start_degC=start_degC)
    return throughput_kg_per_h * content / 3.6e6 / overall_efficiency


@calculation(
    source="energy balance, common design check",
    gives="temperature_rise_K",
    needs={
        "charge_kg": NOT_NEGATIVE,
        "heat_released_kJ_per_kg": NOT_NEGATIVE,
        "oil_kg": POSITIVE,
        "oil_specific_heat_kJ_kgK": POSITIVE,
    },
    basis="computed",
)
def quench_bath_rise(
    *,
    charge_kg: Values,
    heat_released_kJ_per_kg: Values,
    oil_kg: Values,
    oil_specific_heat_kJ_kgK: Values = 2.0,
) -> Values:
    """Warming of an uncooled bath by a charge: charge times heat over bath times specific heat.

    References: energy balance.
    """
    return charge_kg * heat_released_kJ_per_kg / (oil_kg * oil_specific_heat_kJ_kgK)
