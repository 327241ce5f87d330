"""Small relations of a furnace line: time, throughput, belt, heat.

- `furnace_time`, `furnace_throughput`: hours of an order, metal an hour
- `belt_speed`: of a continuous furnace
- `throughput_heat`: power that a flow of metal takes up or gives off
- `tank_temperature_rise`: what a charge does to a tank of water
- `furnace_electricity`: heat and drives together
"""

from __future__ import annotations

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.quenching import WATER_HEAT_J_PER_KGK


@calculation(
    source="charges one after the other; a continuous furnace holds one charge at any time",
    gives="machine_time_h",
    basis="computed",
    needs={"steel_kg": NOT_NEGATIVE, "charge_kg": POSITIVE, "time_in_furnace_min": POSITIVE,
           "loading_time_min": NOT_NEGATIVE, "machines": POSITIVE},
)  # fmt: skip
def furnace_time(
    *,
    steel_kg: Values,
    charge_kg: Values,
    time_in_furnace_min: Values,
    loading_time_min: Values = 0.0,
    machines: Values = 1.0,
) -> Values:
    """Hours in which a furnace treats an order: m/charge (t + loading)/60/machines.

    For a continuous furnace the charge is the metal within its heated length and the loading
    time is zero.

    References: definition of a rate.

    Example:
        >>> print(furnace_time(steel_kg=900.0, charge_kg=300.0, time_in_furnace_min=40.0))
        2.0
    """
    return steel_kg / charge_kg * (time_in_furnace_min + loading_time_min) / 60.0 / machines


@calculation(
    source="charges one after the other; a continuous furnace holds one charge at any time",
    gives="throughput_kg_per_h",
    basis="computed",
    needs={"charge_kg": POSITIVE, "time_in_furnace_min": POSITIVE,
           "loading_time_min": NOT_NEGATIVE},
)  # fmt: skip
def furnace_throughput(
    *, charge_kg: Values, time_in_furnace_min: Values, loading_time_min: Values = 0.0
) -> Values:
    """Metal that one furnace treats in an hour: charge over time in the furnace and loading.

    References: definition of a rate.
    """
    return charge_kg * 60.0 / (time_in_furnace_min + loading_time_min)


@calculation(
    source="definition of speed",
    gives="belt_speed_m_per_min",
    basis="computed",
    needs={"heated_length_mm": POSITIVE, "time_in_furnace_min": POSITIVE},
)
def belt_speed(*, heated_length_mm: Values, time_in_furnace_min: Values) -> Values:
    """Speed of the belt of a continuous furnace: heated length over time in it.

    References: definition of speed.

    Example:
        >>> print(belt_speed(heated_length_mm=6000.0, time_in_furnace_min=40.0))
        0.15
    """
    return heated_length_mm * 1e-3 / time_in_furnace_min


@calculation(
    source="energy balance: heat per mass times mass flow",
    gives="heat_load_kW",
    basis="computed",
    needs={"heat_kJ_per_kg": NOT_NEGATIVE, "throughput_kg_per_h": POSITIVE},
)
def throughput_heat(*, heat_kJ_per_kg: Values, throughput_kg_per_h: Values) -> Values:
    """Power that a flow of metal takes up or gives off: h m.

    References: energy balance.
    """
    return heat_kJ_per_kg * throughput_kg_per_h / 3600.0


@calculation(
    source="heat balance of a tank without cooling, c = 4186 J/(kg K), 1000 kg/m3",
    gives="temperature_rise_K",
    basis="computed",
    needs={"charge_kg": POSITIVE, "heat_kJ_per_kg": NOT_NEGATIVE, "tank_volume_m3": POSITIVE},
)
def tank_temperature_rise(
    *, charge_kg: Values, heat_kJ_per_kg: Values, tank_volume_m3: Values
) -> Values:
    """Warming of a tank of water by one charge, without cooling or boiling.

    References: energy balance.

    Example:
        >>> round(tank_temperature_rise(charge_kg=200.0, heat_kJ_per_kg=500.0,
        ...                             tank_volume_m3=4.0), 2)
        5.97
    """
    return charge_kg * heat_kJ_per_kg * 1e3 / (tank_volume_m3 * 1000.0 * WATER_HEAT_J_PER_KGK)


@calculation(
    source="sum of heat and drives",
    gives="electricity_kWh",
    basis="computed",
    needs={"energy_kWh": NOT_NEGATIVE, "machine_time_h": NOT_NEGATIVE,
           "connected_power_kW": NOT_NEGATIVE},
)  # fmt: skip
def furnace_electricity(
    *, energy_kWh: Values, machine_time_h: Values, connected_power_kW: Values
) -> Values:
    """Electricity of a furnace line: heat into the metal over efficiency, and its drives.

    References: definition of power.
    """
    return energy_kWh + machine_time_h * connected_power_kW
