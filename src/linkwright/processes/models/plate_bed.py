"""Small parts heaped on a tray or belt in a furnace: how the heap warms through, and its temper.

- `bed_conductivity`: of a heap, by contact and by radiation from part to part
- `part_equivalent_diameter`: the sphere with the same volume over surface
- `bed_heating`: heating and soak of the outside and the coldest place of a heap
- `bed_temper`: tempering parameters of both places
- `bed_course`: temperatures over time, for a picture

Arguments broadcast; all members march the same fixed steps, so one run singly equals its place in
an ensemble.
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
from linkwright.mechanics.radial_heat import (
    KELVIN,
    STEFAN_BOLTZMANN_W_PER_M2K4,
    MetalTable,
    graded_fractions,
)
from linkwright.processes.models.coil_heat import OXIDISED_EMISSIVITY
from linkwright.processes.models.furnace_heat import AUSTENITISING_KELVIN, time_to
from linkwright.processes.models.steel_tables import STEEL_DENSITY_KG_PER_M3, heated_steel

Array = NDArray[np.float64]
_NODES, _STEPS = 10, 96
_RADIATING = (
    "radiation from particle to particle in a packed bed, 4 F sigma T^3 d (G. Damkoehler, 1937; "
    "E. U. Schluender & E. Tsotsas, Waermeuebertragung in Festbetten, 1988)"
)
_BED = (
    "conduction through a slab (finite volumes, 10 nodes, implicit) with the heat content of "
    "EN 1993-1-2:2005, 3.4.1; " + _RADIATING
)
_NEEDS: dict[str, tuple[float | None, float | None]] = {
    "bed_depth_mm": POSITIVE,
    "packing_share": (0.05, 1.0),
    "part_diameter_mm": POSITIVE,
    "furnace_temperature_degC": (0.0, 1300.0),
    "time_in_furnace_min": POSITIVE,
    "convection_W_per_m2K": NOT_NEGATIVE,
    "contact_W_per_mK": POSITIVE,
    "heated_faces": (1.0, 2.0),
    "emissivity": (0.01, 1.0),
    "soak_band_K": (0.1, 200.0),
}


@calculation(
    source="definition of the Sauter diameter, 6 V/S",
    gives="part_diameter_mm",
    basis="computed",
    needs={"area_mm2": POSITIVE, "perimeter_mm": POSITIVE, "plate_thickness_mm": POSITIVE},
)
def part_equivalent_diameter(
    *, area_mm2: Values, perimeter_mm: Values, plate_thickness_mm: Values
) -> Values:
    """Diameter of the sphere with a plate's volume over surface: 6 A t/(2 A + L t).

    Example:
        >>> print(round(part_equivalent_diameter(area_mm2=798.0, perimeter_mm=118.0,
        ...                                      plate_thickness_mm=4.0), 2))
        9.26

    References: definition.
    """
    surface = 2.0 * area_mm2 + perimeter_mm * plate_thickness_mm
    return 6.0 * area_mm2 * plate_thickness_mm / surface


@calculation(
    source=_RADIATING,
    gives="conductivity_W_per_mK",
    basis="memory",
    needs={
        "temperature_degC": (-273.0, None),
        "part_diameter_mm": POSITIVE,
        "contact_W_per_mK": NOT_NEGATIVE,
        "emissivity": (0.01, 1.0),
    },
)
def bed_conductivity(
    *,
    temperature_degC: Values,
    part_diameter_mm: Values,
    contact_W_per_mK: Values,
    emissivity: Values = OXIDISED_EMISSIVITY,
) -> Values:
    """Conductivity of a heap: contact and gas, and radiation 4 F sigma T^3 d with F = e/(2 - e).

    T in kelvin, d diameter of a part, e emissivity. Contact and gas together are the works' own
    figure, learned from a thermocouple in the heap.

    References: as the source.

    Example:
        >>> print(round(bed_conductivity(temperature_degC=850.0, part_diameter_mm=9.3,
        ...                              contact_W_per_mK=1.0, emissivity=0.8), 2))
        2.99
    """
    exchange = np.asarray(emissivity, float) / (2.0 - np.asarray(emissivity, float))
    kelvin = np.asarray(temperature_degC, float) + KELVIN
    radiated = 4.0 * exchange * STEFAN_BOLTZMANN_W_PER_M2K4 * kelvin**3
    return (contact_W_per_mK + radiated * part_diameter_mm * 1e-3)[()]


class BedHeating(NamedTuple):
    """Results of `bed_heating`."""

    coldest_temperature_degC: Values
    hottest_temperature_degC: Values
    heating_time_min: Values
    soak_time_min: Values
    austenitising_time_h: Values
    austenitising_time_s: Values
    heat_kJ_per_kg: Values


@calculation(costly=True, source=_BED, basis="computed", needs=_NEEDS)
def bed_heating(
    *,
    bed_depth_mm: Values,
    packing_share: Values,
    part_diameter_mm: Values,
    furnace_temperature_degC: Values,
    time_in_furnace_min: Values,
    convection_W_per_m2K: Values,
    contact_W_per_mK: Values,
    heated_faces: Values = 2.0,
    soak_band_K: Values = 10.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
    start_temperature_degC: Values = 20.0,
) -> BedHeating:
    """Heating and soak of a heap of small parts in a furnace of even temperature.

    The heap is a slab of the share ``packing_share`` of steel, heated from above and below (two
    faces, open-mesh belt) or from one (tray), by convection and grey radiation; parts are too thin
    to differ from their surroundings. The soak begins when the coldest place is ``soak_band_K``
    below the furnace; austenitising time as in `furnace_heating`.

    References: as the source; P. Maynier, B. Jungmann & J. Dollet (1978) for austenitising.
    """
    times, outside, coldest, heat = _warmed(
        bed_depth_mm, packing_share, part_diameter_mm, furnace_temperature_degC,
        time_in_furnace_min, convection_W_per_m2K, contact_W_per_mK, heated_faces, emissivity,
        start_temperature_degC,
    )  # fmt: skip
    reached = time_to(times, coldest, np.asarray(furnace_temperature_degC) - soak_band_K)
    kelvin = coldest + KELVIN
    pace = np.exp(-AUSTENITISING_KELVIN * (1.0 / kelvin - 1.0 / kelvin[-1]))
    seconds = np.trapezoid(pace, times, axis=0)
    return BedHeating(
        coldest[-1][()],
        outside[-1][()],
        (reached / 60.0)[()],
        ((times[-1] - reached) / 60.0)[()],
        (seconds / 3600.0)[()],
        seconds[()],
        (heat / 1e3)[()],
    )


class BedTemper(NamedTuple):
    """Results of `bed_temper`; the parameters have a leading axis: outside, coldest place."""

    straight_temperature_degC: Values
    """Of the outside."""
    coldest_temperature_degC: Values
    heating_time_min: Values
    soak_time_min: Values
    parameter_K: Values
    hollomon_jaffe: Values


@calculation(
    costly=True,
    source=f"{_BED}; parameters of Maynier, Jungmann & Dollet (1978) and of Hollomon & Jaffe "
    "(1945) summed over the course",
    basis="computed",
    needs=_NEEDS,
)
def bed_temper(
    *,
    bed_depth_mm: Values,
    packing_share: Values,
    part_diameter_mm: Values,
    furnace_temperature_degC: Values,
    time_in_furnace_min: Values,
    convection_W_per_m2K: Values,
    contact_W_per_mK: Values,
    heated_faces: Values = 2.0,
    soak_band_K: Values = 10.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
    start_temperature_degC: Values = 20.0,
) -> BedTemper:
    """Tempering of the outside and of the coldest place of a heap of small parts.

    Heating as in `bed_heating`; cooling afterwards is left out.

    References: as the source.
    """
    times, outside, coldest, _ = _warmed(
        bed_depth_mm, packing_share, part_diameter_mm, furnace_temperature_degC,
        time_in_furnace_min, convection_W_per_m2K, contact_W_per_mK, heated_faces, emissivity,
        start_temperature_degC,
    )  # fmt: skip
    reached = time_to(times, coldest, np.asarray(furnace_temperature_degC) - soak_band_K)
    both = np.stack([outside, coldest], axis=1)
    clock = np.broadcast_to(times[:, None], both.shape)
    return BedTemper(
        outside[-1][()],
        coldest[-1][()],
        (reached / 60.0)[()],
        ((times[-1] - reached) / 60.0)[()],
        tempering_parameter_of_history(time_s=clock, temperature_degC=both),
        hollomon_jaffe_of_history(time_s=clock, temperature_degC=both),
    )


def bed_course(**arguments: float) -> dict[str, list[float]]:
    """Course of temperature of outside and coldest place; arguments as of `bed_heating`."""
    known = {"heated_faces": 2.0, "emissivity": OXIDISED_EMISSIVITY,
             "start_temperature_degC": 20.0, **arguments}  # fmt: skip
    times, outside, coldest, _ = _warmed(*(known[name] for name in _ORDER))
    return {
        "time_s": times.tolist(),
        "outside_degC": outside.tolist(),
        "coldest_degC": coldest.tolist(),
    }


_ORDER = (
    "bed_depth_mm", "packing_share", "part_diameter_mm", "furnace_temperature_degC",
    "time_in_furnace_min", "convection_W_per_m2K", "contact_W_per_mK", "heated_faces",
    "emissivity", "start_temperature_degC",
)  # fmt: skip


def _warmed(
    depth: Any, packing: Any, part: Any, furnace: Any, minutes: Any, convection: Any,
    contact: Any, faces: Any, emissivity: Any, start: Any,
) -> tuple[Array, Array, Array, Array]:  # fmt: skip
    """Times (s), outside and coldest place by (rows, members); heat taken up (J/kg)."""
    values = np.broadcast_arrays(
        *(np.asarray(one, float) for one in (depth, packing, part, furnace, minutes, convection,
                                             contact, faces, emissivity, start))
    )  # fmt: skip
    shape = values[0].shape
    flat = [one.ravel() for one in values]
    rows, heat = march_bed(heated_steel(), *flat)
    times = graded_fractions(_STEPS, 1.5)[:, None] * flat[4] * 60.0
    full = (_STEPS + 1, *shape)
    outside, coldest = rows[:, 0].reshape(full), rows[:, 1].reshape(full)
    return times.reshape(full), outside, coldest, (heat / STEEL_DENSITY_KG_PER_M3).reshape(shape)


def march_bed(
    metal: MetalTable, depth: Array, packing: Array, part: Array, furnace: Array, minutes: Array,
    convection: Array, contact: Array, faces: Array, emissivity: Array, start: Array,
    *, nodes: int = _NODES, steps: int = _STEPS,
) -> tuple[Array, Array]:  # fmt: skip
    """Surface and last node over the steps (steps + 1, 2, members), and the mean heat taken up.

    Each step is implicit with the coefficients of its start; the heat content moves by the fluxes
    so found, so that heat is kept exactly across the peak of the specific heat. Units mm, min, W,
    K; heat in J per m3 of solid steel.
    """
    width = depth * 1e-3 / faces / nodes
    heat = np.repeat(metal.heat_at(start)[None], nodes, axis=0)
    began = heat[0].copy()
    hot = furnace + KELVIN
    exchange = emissivity / (2.0 - emissivity) * 4.0 * STEFAN_BOLTZMANN_W_PER_M2K4 * part * 1e-3
    duration = np.diff(graded_fractions(steps, 1.5))[:, None] * minutes * 60.0
    rows = np.empty((steps + 1, 2, depth.size))
    rows[0] = start
    for step, seconds in enumerate(duration, start=1):
        level, slope = metal.temperature_and_slope(heat)
        conductivity = contact + exchange * (level + KELVIN) ** 3
        between = 0.5 * (conductivity[1:] + conductivity[:-1]) / width
        surface = np.minimum(rows[step - 1, 0], furnace) + KELVIN
        radiated = emissivity * STEFAN_BOLTZMANN_W_PER_M2K4 * (hot**2 + surface**2)
        film = convection + radiated * (hot + surface)
        entry = 1.0 / (1.0 / np.maximum(film, 1e-9) + width / 2.0 / conductivity[0])
        store = packing / slope * width / seconds
        end = _implicit(level, store, between, entry, furnace)
        inflow = np.concatenate([[entry * (furnace - end[0])], between * (end[:-1] - end[1:])])
        outflow = np.concatenate([inflow[1:], np.zeros((1, depth.size))])
        heat = heat + (inflow - outflow) * seconds / width / packing
        rows[step, 0] = furnace - inflow[0] / np.maximum(film, 1e-9)
        rows[step, 1] = metal.temperature_at(heat[-1])
    return rows, heat.mean(axis=0) - began


def _implicit(level: Array, store: Array, between: Array, entry: Array, furnace: Array) -> Array:
    """Temperatures at the end of a step: the tridiagonal system by elimination, all members."""
    nodes = level.shape[0]
    diagonal = store.copy()
    diagonal[:-1] += between
    diagonal[1:] += between
    diagonal[0] += entry
    right = store * level
    right[0] += entry * furnace
    for node in range(1, nodes):
        share = between[node - 1] / diagonal[node - 1]
        diagonal[node] -= share * between[node - 1]
        right[node] += share * right[node - 1]
    end = np.empty_like(level)
    end[-1] = right[-1] / diagonal[-1]
    for node in range(nodes - 2, -1, -1):
        end[node] = (right[node] + between[node] * end[node + 1]) / diagonal[node]
    return end
