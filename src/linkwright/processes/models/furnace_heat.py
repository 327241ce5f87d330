"""Chain in a furnace and in a tank of water: three zones of a link, any number of members.

- `furnace_heating`: heating and soak of chain in a batch or continuous furnace
- `tank_cooling`: cooling rates of the three zones in a bath of even heat transfer
- `furnace_temper`: Creusot-Loire and Hollomon-Jaffe parameters of a temper in a furnace
- `heating_course`: temperatures over the time in the furnace, for a picture

Arrays that belong to a section have leading axes (zone, position) or (node, zone), as in
`linkwright.processes.models.line_heat`; arguments broadcast and the shape of the members
follows. All members march the same fixed steps, so that one run singly equals its place in an
ensemble.

Caution: metal at red heat, scale, fumes, and steam where it meets water; furnaces with
protective gas can explode or poison. Local codes and licensed practice come first.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.tempering import (
    hollomon_jaffe_of_history,
    tempering_parameter_of_history,
)
from linkwright.mechanics.radial_heat import Array, Convection, RadialGrid, graded_fractions
from linkwright.mechanics.radial_steps import HeatHistory, march
from linkwright.processes.models.coil_heat import OXIDISED_EMISSIVITY
from linkwright.processes.models.line_heat import POSITIONS, ZONES
from linkwright.processes.models.quenching import SprayLoss, quench
from linkwright.processes.models.steel_tables import (
    STEEL_DENSITY_KG_PER_M3,
    heated_steel,
    quenched_steel,
)

ENSEMBLE_NODES, ENSEMBLE_STEPS = 17, 96
"""Grid of heating: time to temperature within 0.3 % of a far finer one (tested)."""

AUSTENITISING_KELVIN = 110_000.0 / 1.987
"""Activation energy over gas constant of the austenitising parameter of Maynier, Jungmann and
Dollet (1978): 110 kcal/mol and 1.987 cal/(mol K), as in `austenitising_parameter`."""

_RADIAL = (
    "radial conduction (finite volumes, 17 nodes) with EN 1993-1-2:2005, 3.4.1; grey radiation "
    "of a small body in a furnace by Stefan-Boltzmann, and convection"
)
_FURNACE: dict[str, tuple[float | None, float | None]] = {
    "wire_diameter_mm": POSITIVE,
    "furnace_temperature_degC": (0.0, 1300.0),
    "time_in_furnace_min": POSITIVE,
    "exposed_share": (0.01, 1.0),
    "contact_share": (0.01, 1.0),
    "convection_W_per_m2K": NOT_NEGATIVE,
    "emissivity": (0.0, 1.0),
    "soak_band_K": (0.1, 200.0),
}


class FurnaceHeating(NamedTuple):
    """Results of `furnace_heating`; section_temperature has axes (node, zone) and the members'."""

    coldest_temperature_degC: Values
    straight_temperature_degC: Values
    contact_temperature_degC: Values
    heating_time_min: Values
    soak_time_min: Values
    austenitising_time_h: Values
    austenitising_time_s: Values
    heat_kJ_per_kg: Values
    section_temperature_degC: Values


@calculation(costly=True, source=_RADIAL, needs=_FURNACE, basis="computed")
def furnace_heating(
    *,
    wire_diameter_mm: Values,
    furnace_temperature_degC: Values,
    time_in_furnace_min: Values,
    exposed_share: Values,
    contact_share: Values,
    convection_W_per_m2K: Values,
    soak_band_K: Values = 10.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
    start_temperature_degC: Values = 20.0,
) -> FurnaceHeating:
    """Heating and soak of the three zones of a link in a furnace of even temperature.

    Each zone is a round bar. Of its surface ``exposed_share`` sees the furnace (chain in a
    basket or on a belt hides itself), at the contact of two links that share times
    ``contact_share``; both are the works' own figures. The soak begins when the coldest place
    is ``soak_band_K`` below the furnace. The austenitising time is that at the final
    temperature of the coldest place which austenitises as far as its whole course:

        t = integral of exp(-Q/R (1/T - 1/T_end)) dt,  Q = 110 kcal/mol

    References: as the source; P. Maynier, B. Jungmann & J. Dollet (1978) for Q.
    """
    shape = _shape(wire_diameter_mm, furnace_temperature_degC, time_in_furnace_min,
                   exposed_share, contact_share, start_temperature_degC)  # fmt: skip
    history = _in_furnace(
        shape, wire_diameter_mm, furnace_temperature_degC, time_in_furnace_min, exposed_share,
        contact_share, convection_W_per_m2K, emissivity, start_temperature_degC,
    )  # fmt: skip
    coldest, times = _coldest(history, shape), _times(history, shape)
    reached = time_to(times, coldest, np.asarray(furnace_temperature_degC) - soak_band_K)
    kelvin = coldest + 273.15
    pace = np.exp(-AUSTENITISING_KELVIN * (1.0 / kelvin - 1.0 / kelvin[-1]))
    # the pace of steel colder than the end counts little, of the end fully
    seconds = np.trapezoid(pace, times, axis=0)
    means = history.mean_temperature_degC()[-1].reshape(len(ZONES), *shape)
    section = history.end_temperature_degC()
    return FurnaceHeating(
        coldest[-1][()],
        means[0][()],
        means[2][()],
        (reached / 60.0)[()],
        ((times[-1] - reached) / 60.0)[()],
        (seconds / 3600.0)[()],
        seconds[()],
        _heat_taken(history, shape)[()],
        section.reshape(section.shape[0], len(ZONES), *shape),
    )


class TankCooling(NamedTuple):
    """Results of `tank_cooling`; cooling_rate has axes (zone, position) and the members'."""

    slowest_cooling_rate_K_per_s: Values
    straight_centre_cooling_rate_K_per_s: Values
    contact_centre_cooling_rate_K_per_s: Values
    bath_entry_temperature_degC: Values
    bath_exit_temperature_degC: Values
    heat_to_water_kJ_per_kg: Values
    cooling_rate_K_per_s: Values


@calculation(
    source="radial conduction (finite volumes, 17 nodes); bath of even heat transfer, h = 2 k H of "
    "Grossmann; undercooled austenite by EN 1993-1-2:2005, Annex C, martensite by Koistinen and "
    "Marburger (1959)",
    needs={
        "wire_diameter_mm": POSITIVE,
        "transfer_time_s": POSITIVE,
        "time_in_bath_s": POSITIVE,
        "heat_transfer_W_per_m2K": POSITIVE,
        "water_temperature_degC": (0.0, 99.0),
        "coefficient_factor": POSITIVE,
        "crown_share": POSITIVE,
        "contact_share": POSITIVE,
    },
    valid={"water_temperature_degC": (5.0, 60.0)},
    basis="computed",
)
def tank_cooling(
    *,
    section_temperature_degC: Values,
    wire_diameter_mm: Values,
    transfer_time_s: Values,
    time_in_bath_s: Values,
    heat_transfer_W_per_m2K: Values,
    water_temperature_degC: Values,
    coefficient_factor: Values,
    crown_share: Values,
    contact_share: Values,
    martensite_start_temperature_degC: float = 390.0,
) -> TankCooling:
    """Cooling rates at 700 °C of the three zones of a link that falls into a tank.

    The section cools in air for the transfer and then in the bath with one heat-transfer
    coefficient for all temperatures (a severity stands for the whole quench), times the works'
    factor and the share of a zone in the bath. Ms is one value for all members. A zone that
    never passes 700 °C in the bath counts as cooled in air, 0.01 K/s.

    References: as the source.
    """
    section = np.asarray(section_temperature_degC, float)
    shape = _shape(wire_diameter_mm, transfer_time_s, time_in_bath_s, heat_transfer_W_per_m2K,
                   water_temperature_degC, coefficient_factor, section[0, 0])  # fmt: skip
    full = np.broadcast_to(section, (section.shape[0], len(ZONES), *shape))
    factor = np.asarray(coefficient_factor, float)
    shares = _zoned(factor, factor * crown_share, factor * contact_share, shape)
    coefficient = _thrice(heat_transfer_W_per_m2K, shape)
    bar = quench(
        wire_radius_m=_thrice(wire_diameter_mm, shape) * 5e-4,
        delay_s=_thrice(transfer_time_s, shape),
        ring_time_s=_thrice(time_in_bath_s, shape),
        loss=SprayLoss(0.0, _thrice(water_temperature_degC, shape), shares, coefficient),
        start_temperature_degC=full.reshape(section.shape[0], -1),
        metal=quenched_steel(float(martensite_start_temperature_degC)),
    )
    rates = np.stack([np.nan_to_num(bar.rate_at(place), nan=1e-2) for place in POSITIONS])
    rates = np.moveaxis(rates.reshape(len(POSITIONS), len(ZONES), *shape), 0, 1)
    entry = np.minimum(bar.entry_degC(1.0), bar.entry_degC(0.0)).reshape(len(ZONES), *shape)
    ends = bar.ring.mean_temperature_degC()[-1].reshape(len(ZONES), *shape)
    heat = bar.water_heat_J_per_m().reshape(len(ZONES), *shape)[0]
    return TankCooling(
        rates.min(axis=(0, 1))[()],
        rates[0, 2][()],
        rates[2, 2][()],
        entry.min(axis=0)[()],
        ends.max(axis=0)[()],
        (heat / _mass_kg_per_m(wire_diameter_mm) / 1e3)[()],
        rates,
    )


class FurnaceTemper(NamedTuple):
    """Results of `furnace_temper`; zone arrays have axes (zone) and the members'."""

    straight_temperature_degC: Values
    coldest_temperature_degC: Values
    heating_time_min: Values
    soak_time_min: Values
    heat_kJ_per_kg: Values
    parameter_K: Values
    hollomon_jaffe: Values


@calculation(
    source=f"{_RADIAL}; parameters of Maynier, Jungmann & Dollet (1978) and of Hollomon & Jaffe "
    "(1945) summed over the course",
    needs=_FURNACE,
    basis="computed",
)
def furnace_temper(
    *,
    wire_diameter_mm: Values,
    furnace_temperature_degC: Values,
    time_in_furnace_min: Values,
    exposed_share: Values,
    contact_share: Values,
    convection_W_per_m2K: Values,
    soak_band_K: Values = 10.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
    start_temperature_degC: Values = 20.0,
) -> FurnaceTemper:
    """Tempering of the three zones of a link in a furnace.

    Heating as in `furnace_heating`; the parameters sum the whole course in the furnace at the
    evened-out temperature of the zone. Cooling afterwards is quick against the hold and is
    left out (it would add less than 1 K to the parameter).

    References: as the source.
    """
    shape = _shape(wire_diameter_mm, furnace_temperature_degC, time_in_furnace_min,
                   exposed_share, contact_share, start_temperature_degC)  # fmt: skip
    history = _in_furnace(
        shape, wire_diameter_mm, furnace_temperature_degC, time_in_furnace_min, exposed_share,
        contact_share, convection_W_per_m2K, emissivity, start_temperature_degC,
    )  # fmt: skip
    coldest, times = _coldest(history, shape), _times(history, shape)
    reached = time_to(times, coldest, np.asarray(furnace_temperature_degC) - soak_band_K)
    time, mean = history.time_s, history.mean_temperature_degC()
    zones = (len(ZONES), *shape)
    return FurnaceTemper(
        mean[-1].reshape(zones)[0][()],
        coldest[-1][()],
        (reached / 60.0)[()],
        ((times[-1] - reached) / 60.0)[()],
        _heat_taken(history, shape)[()],
        np.reshape(tempering_parameter_of_history(time_s=time, temperature_degC=mean), zones),
        np.reshape(hollomon_jaffe_of_history(time_s=time, temperature_degC=mean), zones),
    )


def heating_course(
    *,
    wire_diameter_mm: float,
    furnace_temperature_degC: float,
    time_in_furnace_min: float,
    exposed_share: float,
    contact_share: float,
    convection_W_per_m2K: float,
    emissivity: float = OXIDISED_EMISSIVITY,
    start_temperature_degC: float = 20.0,
) -> dict[str, list[float]]:
    """Course of temperature of straight and contact of one link in the furnace."""
    history = _in_furnace(
        (), wire_diameter_mm, furnace_temperature_degC, time_in_furnace_min, exposed_share,
        contact_share, convection_W_per_m2K, emissivity, start_temperature_degC,
    )  # fmt: skip
    means = history.mean_temperature_degC()
    return {
        "time_s": history.time_s[:, 0].tolist(),
        "straight_degC": means[:, 0].tolist(),
        "contact_degC": means[:, ZONES.index("contact")].tolist(),
    }


def _in_furnace(
    shape: tuple[int, ...], wire_diameter_mm: Any, furnace_degC: Any, time_min: Any,
    exposed_share: Any, contact_share: Any, convection: Any, emissivity: Any, start_degC: Any,
) -> HeatHistory:  # fmt: skip
    """March all zones of all members, flat (zone, members), through the furnace."""
    seen = np.asarray(exposed_share, float)
    share = _zoned(seen, seen, seen * contact_share, shape)
    metal, grid = heated_steel(), RadialGrid.of(ENSEMBLE_NODES)
    start = metal.heat_at(_thrice(start_degC, shape))
    return march(
        metal, grid, radius_m=_thrice(wire_diameter_mm, shape) * 5e-4,
        start_heat_J_per_m3=np.array(np.broadcast_to(start, (grid.nodes, start.size))),
        duration_s=_thrice(time_min, shape) * 60.0,
        fractions=graded_fractions(ENSEMBLE_STEPS, 1.5),
        loss=Convection(convection * share, _thrice(furnace_degC, shape), emissivity * share),
    )  # fmt: skip


def _coldest(history: HeatHistory, shape: tuple[int, ...]) -> Array:
    """Course (rows, members) of the coldest place over zones and section."""
    surface, centre = history.temperature_degC(1.0), history.temperature_degC(0.0)
    places = np.minimum(surface, centre).reshape(-1, len(ZONES), *shape)
    return np.asarray(places.min(axis=1))


def _times(history: HeatHistory, shape: tuple[int, ...]) -> Array:
    """Times (rows, members) in s."""
    return history.time_s.reshape(-1, len(ZONES), *shape)[:, 0]


def time_to(times: Array, course: Array, level: Any) -> Array:
    """First time at which a rising course reaches a level; its last time if it never does."""
    above = course >= level
    upper = np.argmax(above, axis=0)
    found = above.any(axis=0) & (upper > 0)
    before: NDArray[np.intp] = np.maximum(upper - 1, 0)

    def row(values: Array, index: NDArray[np.intp]) -> Array:
        return np.asarray(np.take_along_axis(values, index[None], axis=0)[0])

    low, high = row(course, before), row(course, upper)
    part = (level - low) / np.where(high > low, high - low, 1.0)
    inside = row(times, before) + part * (row(times, upper) - row(times, before))
    return np.where(found, inside, np.where(above.any(axis=0), 0.0, times[-1]))


def _heat_taken(history: HeatHistory, shape: tuple[int, ...]) -> Array:
    """Heat taken up by the straight, kJ/kg."""
    gained = history.mean_heat_J_per_m3[-1] - history.mean_heat_J_per_m3[0]
    return np.asarray(gained.reshape(len(ZONES), *shape)[0] / STEEL_DENSITY_KG_PER_M3 / 1e3)


def _mass_kg_per_m(wire_diameter_mm: Any) -> Array:
    area = np.pi / 4.0 * (np.asarray(wire_diameter_mm, float) * 1e-3) ** 2
    return np.asarray(area * STEEL_DENSITY_KG_PER_M3)


def _shape(*values: Any) -> tuple[int, ...]:
    return np.broadcast_shapes(*(np.shape(value) for value in values))


def _thrice(value: Any, shape: tuple[int, ...]) -> Array:
    return np.tile(np.broadcast_to(np.asarray(value, float), shape).ravel(), len(ZONES))


def _zoned(straight: Any, crown: Any, contact: Any, shape: tuple[int, ...]) -> Array:
    """Three zones one after the other, flat: (zone, members) raveled."""
    parts = [np.broadcast_to(part, shape).ravel() for part in (straight, crown, contact)]
    return np.concatenate(parts)
