"""The hardening line as a route uses it: three zones of a link, any number of members.

- `coil_exit`: temperatures of straight, crown and contact where the chain leaves the coil
- `ring_cooling`: cooling rates of the three zones in the water ring
- `temper_soak`: Creusot-Loire and Hollomon-Jaffe parameters of the second coil and soak
- `coil_field`, `coil_power`, `zone_extremes`, `dwell_time`: small relations of the line

Arrays that belong to a section have leading axes (zone, position): zones are straight,
crown, contact; positions surface, half radius, centre. Arguments broadcast; the shape of
the members follows the leading axes. All three march the same fixed steps whatever the
members are, so that a member run singly equals its place in an ensemble.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.tempering import (
    hollomon_jaffe_of_history,
    tempering_parameter_of_history,
)
from linkwright.processes.models.coil_heat import heat_in_coil
from linkwright.processes.models.quenching import SprayLoss, quench
from linkwright.processes.models.steel_tables import STEEL_DENSITY_KG_PER_M3, quenched_steel
from linkwright.processes.models.temper_heat import temper_course
from linkwright.quantities import UnknownName

ZONES = ("straight", "crown", "contact")
POSITIONS = (1.0, 0.5, 0.0)
AREA_SHARES = (0.4375, 0.5, 0.0625)
"""Share of the section that lies nearest to the surface, the half radius, the centre."""

_RADIAL = (
    "radial conduction (finite volumes, 17 nodes) with EN 1993-1-2:2005, 3.4.1; eddy heat of a "
    "cylinder in an axial field; radiation by Stefan-Boltzmann"
)
_COUPLINGS: dict[str, tuple[float | None, float | None]] = {
    "crown_coupling": (0.05, 2.0),
    "contact_coupling": (0.05, 2.0),
}
_LINE: dict[str, tuple[float | None, float | None]] = {
    "wire_diameter_mm": POSITIVE,
    "line_speed_m_per_s": POSITIVE,
    "coil_length_mm": POSITIVE,
    "coil_field_kA_per_m": POSITIVE,
    "frequency_kHz": POSITIVE,
}


def zone_index(zone: str) -> int:
    """Place of a zone on the zone axis; raises `UnknownName`."""
    if zone not in ZONES:
        raise UnknownName("zone", zone, ZONES)
    return ZONES.index(zone)


class CoilExit(NamedTuple):
    """Results of `coil_exit`; section_temperature has axes (node, zone) and the members'."""

    coldest_temperature_degC: Values
    hottest_temperature_degC: Values
    straight_temperature_degC: Values
    straight_surface_degC: Values
    crown_temperature_degC: Values
    contact_temperature_degC: Values
    time_in_coil_s: Values
    heat_kJ_per_kg: Values
    section_temperature_degC: Values


def _zoned(straight: Any, crown: Any, contact: Any, shape: tuple[int, ...]) -> np.ndarray:
    """Three zones one after the other, flat: (zone, members) raveled."""
    return np.concatenate(
        [np.broadcast_to(part, shape).ravel() for part in (straight, crown, contact)]
    )


def _shape(*values: Any) -> tuple[int, ...]:
    return np.broadcast_shapes(*(np.shape(value) for value in values))


def _thrice(value: Any, shape: tuple[int, ...]) -> np.ndarray:
    return np.tile(np.broadcast_to(np.asarray(value, float), shape).ravel(), len(ZONES))


@calculation(costly=True, source=_RADIAL, needs=_LINE | _COUPLINGS, basis="computed")
def coil_exit(
    *,
    wire_diameter_mm: Values,
    line_speed_m_per_s: Values,
    coil_length_mm: Values,
    coil_field_kA_per_m: Values,
    frequency_kHz: Values,
    crown_coupling: Values,
    contact_coupling: Values,
    start_temperature_degC: Values = 20.0,
) -> CoilExit:
    """Temperatures of the three zones of a link at the exit of an induction coil.

    Each zone is a round bar in an even axial field: that of the coil times the zone's
    coupling. coldest and hottest are over zones and over the section (surface and centre);
    the temperature of a zone is that of its evened-out section. Conduction along the wire
    between zones is left out: in the seconds in the coil heat runs some 5 mm.

    References: as the source; E. J. Davies & P. G. Simpson, Induction Heating Handbook.
    """
    shape = _shape(wire_diameter_mm, line_speed_m_per_s, coil_length_mm, coil_field_kA_per_m,
                   crown_coupling, contact_coupling)  # fmt: skip
    field = np.asarray(coil_field_kA_per_m, float) * 1e3
    heat = heat_in_coil(
        wire_radius_m=_thrice(wire_diameter_mm, shape) * 5e-4,
        duration_s=_thrice(coil_length_mm, shape) * 1e-3 / _thrice(line_speed_m_per_s, shape),
        field_A_per_m=_zoned(field, field * crown_coupling, field * contact_coupling, shape),
        frequency_Hz=np.asarray(frequency_kHz, float) * 1e3,
        start_degC=_thrice(start_temperature_degC, shape),
    )

    def zones(flat: np.ndarray) -> np.ndarray:
        return flat.reshape(len(ZONES), *shape)

    surface, centre = zones(heat.surface_degC), zones(heat.centre_degC)
    means = zones(heat.mean_degC)
    section = heat.history.end_temperature_degC()
    straight_J_per_m = zones(heat.supplied_J_per_m)[0]
    area = np.pi / 4.0 * (np.asarray(wire_diameter_mm, float) * 1e-3) ** 2
    return CoilExit(
        np.minimum(surface, centre).min(axis=0)[()],
        np.maximum(surface, centre).max(axis=0)[()],
        means[0][()],
        surface[0][()],
        means[1][()],
        means[2][()],
        zones(heat.history.time_s[-1])[0][()],
        (straight_J_per_m / (area * STEEL_DENSITY_KG_PER_M3) / 1e3)[()],
        section.reshape(section.shape[0], len(ZONES), *shape),
    )


class RingCooling(NamedTuple):
    """Results of `ring_cooling`; cooling_rate has axes (zone, position) and the members'."""

    slowest_cooling_rate_K_per_s: Values
    straight_centre_cooling_rate_K_per_s: Values
    contact_centre_cooling_rate_K_per_s: Values
    ring_entry_temperature_degC: Values
    ring_exit_temperature_degC: Values
    heat_to_water_kJ_per_kg: Values
    cooling_rate_K_per_s: Values


@calculation(
    costly=True,
    source=f"{_RADIAL}; water by J. Wendelstorf et al., Int. J. Heat Mass Transfer 51 (2008) 4902",
    needs={
        "wire_diameter_mm": POSITIVE,
        "line_speed_m_per_s": POSITIVE,
        "gap_length_mm": POSITIVE,
        "ring_length_mm": POSITIVE,
        "impingement_density_kg_per_m2s": POSITIVE,
        "coefficient_factor": POSITIVE,
        "crown_share": POSITIVE,
        "contact_share": POSITIVE,
    },
    valid={"impingement_density_kg_per_m2s": (3.0, 30.0)},
    basis="computed",
)
def ring_cooling(
    *,
    section_temperature_degC: Values,
    wire_diameter_mm: Values,
    line_speed_m_per_s: Values,
    gap_length_mm: Values,
    ring_length_mm: Values,
    impingement_density_kg_per_m2s: Values,
    water_temperature_degC: Values,
    coefficient_factor: Values,
    crown_share: Values,
    contact_share: Values,
    martensite_start_temperature_degC: float = 390.0,
) -> RingCooling:
    """Cooling rates at 700 °C of the three zones of a link in a ring of water.

    The section enters as it left the coil, cools in air over the gap and in water over the
    ring. The published spray law is multiplied by the works' factor and by the share of a
    zone in the spray. Ms is one value for all: it moves the release of heat below 400 °C,
    far from the rate at 700 °C. The entry is the coldest place where the water begins.

    References: as the source.
    """
    section = np.asarray(section_temperature_degC, float)
    shape = _shape(wire_diameter_mm, line_speed_m_per_s, impingement_density_kg_per_m2s,
                   water_temperature_degC, coefficient_factor, section[0, 0])  # fmt: skip
    full = np.broadcast_to(section, (section.shape[0], len(ZONES), *shape))
    speed = _thrice(line_speed_m_per_s, shape)
    factor = np.asarray(coefficient_factor, float)
    bar = quench(
        wire_radius_m=_thrice(wire_diameter_mm, shape) * 5e-4,
        delay_s=_thrice(gap_length_mm, shape) * 1e-3 / speed,
        ring_time_s=_thrice(ring_length_mm, shape) * 1e-3 / speed,
        loss=SprayLoss(
            _thrice(impingement_density_kg_per_m2s, shape),
            _thrice(water_temperature_degC, shape),
            _zoned(factor, factor * crown_share, factor * contact_share, shape),
        ),
        start_temperature_degC=full.reshape(section.shape[0], -1),
        metal=quenched_steel(float(martensite_start_temperature_degC)),
    )
    rates = np.stack([bar.rate_at(place) for place in POSITIONS], axis=1)
    # a zone that never passes 700 °C in the ring has cooled in air: slower than any rate here
    rates = np.nan_to_num(rates, nan=1e-2)
    rates = np.moveaxis(rates.reshape(len(ZONES), -1, len(POSITIONS)), 2, 1)
    rates = rates.reshape(len(ZONES), len(POSITIONS), *shape)
    entry = np.minimum(bar.entry_degC(1.0), bar.entry_degC(0.0)).reshape(len(ZONES), *shape)
    ends = bar.ring.mean_temperature_degC()[-1].reshape(len(ZONES), *shape)
    area = np.pi / 4.0 * (np.asarray(wire_diameter_mm, float) * 1e-3) ** 2
    heat = bar.water_heat_J_per_m().reshape(len(ZONES), *shape)[0]
    return RingCooling(
        rates.min(axis=(0, 1))[()],
        rates[0, 2][()],
        rates[2, 2][()],
        entry.min(axis=0)[()],
        ends.max(axis=0)[()],
        (heat / (area * STEEL_DENSITY_KG_PER_M3) / 1e3)[()],
        rates,
    )


class TemperSoak(NamedTuple):
    """Results of `temper_soak`; zone arrays have axes (zone) and the members'."""

    straight_temperature_degC: Values
    straight_surface_degC: Values
    coldest_temperature_degC: Values
    hottest_temperature_degC: Values
    temper_time_s: Values
    heat_kJ_per_kg: Values
    parameter_K: Values
    hollomon_jaffe: Values


@calculation(
    costly=True,
    source=f"{_RADIAL}; parameters of Maynier, Jungmann & Dollet (1978) and of Hollomon & Jaffe "
    "(1945) summed over the course",
    needs=_LINE | _COUPLINGS | {"soak_length_mm": POSITIVE, "air_time_s": POSITIVE},
    basis="computed",
)
def temper_soak(
    *,
    wire_diameter_mm: Values,
    line_speed_m_per_s: Values,
    coil_length_mm: Values,
    coil_field_kA_per_m: Values,
    frequency_kHz: Values,
    soak_length_mm: Values,
    crown_coupling: Values,
    contact_coupling: Values,
    start_temperature_degC: Values,
    air_time_s: Values = 20.0,
) -> TemperSoak:
    """Tempering of the three zones of a link: second coil, soak channel, cooling in air.

    Temperatures of zones are those of the evened-out section at the end of the coil; the
    tempering parameters sum the whole course, cooling in air included, at that evened-out
    temperature.

    References: as the source.
    """
    shape = _shape(wire_diameter_mm, line_speed_m_per_s, coil_field_kA_per_m, crown_coupling,
                   contact_coupling, start_temperature_degC)  # fmt: skip
    field = np.asarray(coil_field_kA_per_m, float) * 1e3
    speed = _thrice(line_speed_m_per_s, shape)
    course = temper_course(
        wire_radius_m=_thrice(wire_diameter_mm, shape) * 5e-4,
        coil_time_s=_thrice(coil_length_mm, shape) * 1e-3 / speed,
        field_A_per_m=_zoned(field, field * crown_coupling, field * contact_coupling, shape),
        frequency_Hz=np.asarray(frequency_kHz, float) * 1e3,
        soak_time_s=_thrice(soak_length_mm, shape) * 1e-3 / speed,
        air_time_s=np.asarray(air_time_s, float),
        start_degC=_thrice(start_temperature_degC, shape),
    )
    time, mean = course.time_s, course.mean_temperature_degC()
    exits = course.coil.mean_degC.reshape(len(ZONES), *shape)
    area = np.pi / 4.0 * (np.asarray(wire_diameter_mm, float) * 1e-3) ** 2
    supplied = course.coil.supplied_J_per_m.reshape(len(ZONES), *shape)[0]
    spans = [part.time_s[-1] for part in (course.coil.history, course.soak)]
    return TemperSoak(
        exits[0][()],
        course.coil.surface_degC.reshape(len(ZONES), *shape)[0][()],
        exits.min(axis=0)[()],
        exits.max(axis=0)[()],
        (spans[0] + spans[1]).reshape(len(ZONES), *shape)[0][()],
        (supplied / (area * STEEL_DENSITY_KG_PER_M3) / 1e3)[()],
        tempering_parameter_of_history(time_s=time, temperature_degC=mean).reshape(
            len(ZONES), *shape
        ),
        hollomon_jaffe_of_history(time_s=time, temperature_degC=mean).reshape(len(ZONES), *shape),
    )


@calculation(
    source="field of a long coil, H = sqrt(2) N I / L",
    gives="coil_field_kA_per_m",
    basis="computed",
    needs={"coil_current_A": POSITIVE, "turns": POSITIVE, "coil_length_mm": POSITIVE},
)
def coil_field(*, coil_current_A: Values, turns: Values, coil_length_mm: Values) -> Values:
    """Peak field inside a long coil from its current (rms): sqrt(2) N I / L.

    References: Ampère's law.

    Example:
        >>> print(round(coil_field(coil_current_A=1000.0, turns=20.0, coil_length_mm=1000.0), 2))
        28.28
    """
    return np.sqrt(2.0) * turns * coil_current_A / coil_length_mm


@calculation(
    source="energy balance: heat per mass times mass flow",
    gives="metal_power_kW",
    basis="computed",
    needs={"heat_kJ_per_kg": NOT_NEGATIVE, "mass_per_length_kg_per_m": POSITIVE},
)
def coil_power(
    *, heat_kJ_per_kg: Values, mass_per_length_kg_per_m: Values, line_speed_m_per_s: Values
) -> Values:
    """Power into the metal of a chain that runs through a coil: h m v.

    References: energy balance.

    Example:
        >>> print(round(coil_power(heat_kJ_per_kg=640.0, mass_per_length_kg_per_m=1.42,
        ...                        line_speed_m_per_s=0.1), 1))
        90.9
    """
    return heat_kJ_per_kg * mass_per_length_kg_per_m * line_speed_m_per_s


class Dwell(NamedTuple):
    """Results of `dwell_time`: the same time in two units."""

    time_s: Values
    time_h: Values


@calculation(
    source="definition of speed",
    basis="computed",
    needs={"length_mm": POSITIVE, "speed_m_per_s": POSITIVE},
)
def dwell_time(*, length_mm: Values, speed_m_per_s: Values) -> Dwell:
    """Time in a stretch of the line: L/v.

    References: definition of speed.
    """
    seconds = length_mm * 1e-3 / speed_m_per_s
    return Dwell(seconds, seconds / 3600.0)


@calculation(
    source="share of a round section nearest to surface, half radius and centre",
    gives="mean_value",
    basis="computed",
)
def section_mean(*, values: Values, zone: str) -> Values:
    """Mean over the section of a quantity with axes (zone, position): sum of area shares.

    Shares 0.4375, 0.5, 0.0625: rings outside 3/4, between 1/4 and 3/4, inside 1/4 of the
    radius. zone is straight, crown or contact.

    References: geometry.
    """
    part = np.asarray(values, float)[zone_index(zone)]
    return sum(share * part[index] for index, share in enumerate(AREA_SHARES))
