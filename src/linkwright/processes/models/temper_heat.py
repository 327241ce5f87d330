"""The tempering heat of chain: second coil, soak, cooling in air, as courses of temperature.

Offers

- `temper_course`: many members through coil, soak and air; times and temperatures of
  surface, centre and mean for the kinetics of tempering,
- the calculation `tempering_heat_of_round_bar`.

Caution: hot chain burns and coil fields can disturb implants; local codes come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.radial_heat import Array, Convection, MetalTable, RadialGrid
from linkwright.mechanics.radial_heat import graded_fractions as graded
from linkwright.mechanics.radial_steps import HeatHistory, march
from linkwright.processes.models.coil_heat import (
    FINE_NODES,
    FINE_STEPS,
    OXIDISED_EMISSIVITY,
    STILL_AIR_W_PER_M2K,
    CoilHeat,
    heat_in_coil,
)
from linkwright.processes.models.induction import induction_heating_of_round_bar
from linkwright.processes.models.steel_tables import heated_steel

ENSEMBLE_NODES, ENSEMBLE_STEPS = 17, 20
_SOAK_STEPS, _AIR_STEPS = 9, 10


@dataclass(frozen=True)
class TemperCourse:
    """Coil, soak and air one after the other; times (rows, members), rows rising in time."""

    coil: CoilHeat
    soak: HeatHistory
    air: HeatHistory

    @property
    def time_s(self) -> Array:
        """Time from the coil's entry, (rows, members)."""
        coil, soak, air = (part.time_s for part in self._parts())
        return np.concatenate((coil, coil[-1] + soak[1:], coil[-1] + soak[-1] + air[1:]))

    def temperature_degC(self, position: float) -> Array:
        """Temperature (rows, members) at 0 (centre), 0.5 or 1 (surface) of the radius."""
        courses = [part.temperature_degC(position) for part in self._parts()]
        return np.concatenate((courses[0], courses[1][1:], courses[2][1:]))

    def mean_temperature_degC(self) -> Array:
        """Temperature (rows, members) of the evened-out section."""
        courses = [part.mean_temperature_degC() for part in self._parts()]
        return np.concatenate((courses[0], courses[1][1:], courses[2][1:]))

    def _parts(self) -> tuple[HeatHistory, HeatHistory, HeatHistory]:
        return self.coil.history, self.soak, self.air


def temper_course(
    *,
    wire_radius_m: Any,
    coil_time_s: Any,
    field_A_per_m: Any,
    frequency_Hz: Any,
    soak_time_s: Any,
    air_time_s: Any,
    start_degC: Any = 40.0,
    soak_degC: Any = None,
    soak_coefficient_W_per_m2K: Any = 0.0,
    air_degC: Any = 20.0,
    emissivity: Any = OXIDISED_EMISSIVITY,
    air_convection_W_per_m2K: Any = STILL_AIR_W_PER_M2K,
    metal: MetalTable | None = None,
    nodes: int = ENSEMBLE_NODES,
    steps: int = ENSEMBLE_STEPS,
) -> TemperCourse:
    """Carry many wires through the tempering coil, the soak and the air after it.

    In the soak (an insulated channel of soak length over line speed) the section evens
    out; with ``soak_degC`` it also exchanges heat with the channel by
    ``soak_coefficient_W_per_m2K``. Afterwards it cools in air. Every argument is a number
    or one value a member.
    """
    metal = metal or heated_steel()
    coil = heat_in_coil(
        wire_radius_m=wire_radius_m, duration_s=coil_time_s, field_A_per_m=field_A_per_m,
        frequency_Hz=frequency_Hz, start_degC=start_degC, ambient_degC=air_degC,
        emissivity=emissivity, convection_W_per_m2K=air_convection_W_per_m2K, metal=metal,
        nodes=nodes, steps=steps,
    )  # fmt: skip
    grid = RadialGrid.of(nodes)
    channel = None
    if soak_degC is not None:
        channel = Convection(soak_coefficient_W_per_m2K, soak_degC)
    soak = march(
        metal, grid, radius_m=wire_radius_m, start_heat_J_per_m3=coil.history.end_heat_J_per_m3,
        duration_s=soak_time_s, fractions=graded(_SOAK_STEPS), loss=channel,
    )  # fmt: skip
    air = march(
        metal, grid, radius_m=wire_radius_m, start_heat_J_per_m3=soak.end_heat_J_per_m3,
        duration_s=air_time_s, fractions=graded(_AIR_STEPS),
        loss=Convection(air_convection_W_per_m2K, air_degC, emissivity),
    )  # fmt: skip
    return TemperCourse(coil, soak, air)


class TemperingHeat(NamedTuple):
    """Results of `tempering_heat_of_round_bar`; times and temperatures by row of the course."""

    time_s: Values
    surface_temperature_degC: Values
    centre_temperature_degC: Values
    mean_temperature_degC: Values
    soak_start_temperature_degC: Values
    soak_end_temperature_degC: Values
    coil_field_kA_per_m: Values
    metal_power_kW: Values
    generator_power_kW: Values
    coil_efficiency: Values


@calculation(
    source="as induction_heating_of_round_bar; conduction with EN 1993-1-2:2005, 3.4.1; radiation "
    "by Stefan and Boltzmann; still air 15 W/m2K (common practice)",
    needs={
        "wire_diameter_mm": POSITIVE,
        "line_speed_m_per_min": POSITIVE,
        "coil_length_mm": POSITIVE,
        "coil_diameter_mm": POSITIVE,
        "frequency_kHz": POSITIVE,
        "exit_temperature_degC": (60.0, 720.0),
        "soak_length_mm": POSITIVE,
        "air_time_s": POSITIVE,
        "start_temperature_degC": (0.0, 500.0),
        "mass_per_length_kg_per_m": POSITIVE,
        "air_convection_W_per_m2K": NOT_NEGATIVE,
        "coupling": (0.05, 2.0),
    },
    basis="computed",
)
def tempering_heat_of_round_bar(
    *,
    wire_diameter_mm: Values,
    line_speed_m_per_min: Values,
    coil_length_mm: Values,
    coil_diameter_mm: Values,
    frequency_kHz: Values,
    exit_temperature_degC: Values,
    soak_length_mm: Values,
    air_time_s: Values = 60.0,
    start_temperature_degC: Values = 40.0,
    mass_per_length_kg_per_m: Values | None = None,
    air_convection_W_per_m2K: Values = STILL_AIR_W_PER_M2K,
    coupling: Values = 1.0,
) -> TemperingHeat:
    """Course of temperature of a wire through tempering coil, soak and air.

    The coil's field is solved for the mean ``exit_temperature_degC``; the soak is insulated
    and lasts soak length over line speed; then the wire cools in air. Each of the four
    course results is a list over the time (with arrays as arguments: time first, then the
    shape of the arguments).

    Errors: `ArgumentError` if the exit temperature is out of reach.

    Example:
    >>> heat = tempering_heat_of_round_bar(wire_diameter_mm=8.0, line_speed_m_per_min=6.0,
    ...     coil_length_mm=800.0, coil_diameter_mm=50.0, frequency_kHz=10.0,
    ...     exit_temperature_degC=500.0, soak_length_mm=1000.0, mass_per_length_kg_per_m=1.42)
    >>> bool(abs(heat.soak_end_temperature_degC - 500.0) < 2.0)
    True
    """
    coil = induction_heating_of_round_bar(
        wire_diameter_mm=wire_diameter_mm,
        line_speed_m_per_min=line_speed_m_per_min,
        coil_length_mm=coil_length_mm,
        coil_diameter_mm=coil_diameter_mm,
        frequency_kHz=frequency_kHz,
        exit_temperature_degC=exit_temperature_degC,
        start_temperature_degC=start_temperature_degC,
        mass_per_length_kg_per_m=mass_per_length_kg_per_m,
        coupling=coupling,
    )
    given = np.broadcast_arrays(
        wire_diameter_mm, line_speed_m_per_min, coil.time_in_coil_s, coil.coil_field_kA_per_m,
        frequency_kHz, soak_length_mm, air_time_s, start_temperature_degC,
        air_convection_W_per_m2K, coupling,
    )  # fmt: skip
    shape = given[0].shape
    course = _course(*(np.asarray(part, float).ravel() for part in given))
    rows = (-1, *shape)
    mean = course.mean_temperature_degC().reshape(rows)
    soak = course.soak.mean_temperature_degC().reshape(rows)
    return TemperingHeat(
        course.time_s.reshape(rows), course.temperature_degC(1.0).reshape(rows),
        course.temperature_degC(0.0).reshape(rows), mean, soak[0][()], soak[-1][()],
        coil.coil_field_kA_per_m, coil.metal_power_kW, coil.generator_power_kW,
        coil.coil_efficiency,
    )  # fmt: skip


def _course(
    diameter_mm: Array, speed_m_per_min: Array, coil_time_s: Array, field_kA_per_m: Array,
    frequency_kHz: Array, soak_length_mm: Array, air_time_s: Array, start_degC: Array,
    convection_W_per_m2K: Array, coupling: Array,
) -> TemperCourse:  # fmt: skip
    return temper_course(
        wire_radius_m=diameter_mm * 5e-4,
        coil_time_s=coil_time_s,
        field_A_per_m=field_kA_per_m * 1e3 * coupling,
        frequency_Hz=frequency_kHz * 1e3,
        soak_time_s=soak_length_mm * 0.06 / speed_m_per_min,
        air_time_s=air_time_s,
        start_degC=start_degC,
        air_convection_W_per_m2K=convection_W_per_m2K,
        nodes=FINE_NODES,
        steps=FINE_STEPS,
    )
