"""Thin parts in quenching oil: course of cooling, what the bath takes up, and its safety.

- `thin_air_cooling`: a thin part on its way from the furnace to the bath
- `thin_oil_cooling`: a thin part in oil whose three stages the works knows
- `flash_point_margin`: how far a warmed bath stays below its flash point
- `grown_size`, `size_before_growth`: what hardening adds to a size

Caution: hot oil burns; water in it boils over. The maker's data, the local fire code and licensed
practice come first.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.radial_heat import KELVIN, STEFAN_BOLTZMANN_W_PER_M2K4, MetalTable
from linkwright.processes.models.coil_heat import OXIDISED_EMISSIVITY
from linkwright.processes.models.steel_tables import STEEL_DENSITY_KG_PER_M3, quenched_steel
from linkwright.quantities import ArgumentError

_LEVELS = 49
_RATED_DEGC, _UPPER_DEGC, _LOWER_DEGC = 700.0, 800.0, 500.0
_AIR_K_PER_S = 1e-2
"""What a part that enters below 700 °C is taken to have cooled with: too slow for martensite."""
_AUSTENITE_J_PER_KGK = 600.0
_AUSTENITE_W_PER_MK = 14.6 + 1.27e-2 * _RATED_DEGC
"""EN 1993-1-2:2005, Annex C, at 700 °C."""


@calculation(
    source="Stefan-Boltzmann's law for a part of even temperature, surroundings cold against it; "
    "specific heat of austenite about EN 1993-1-2:2005, Annex C",
    gives="temperature_degC",
    basis="computed",
    needs={
        "start_temperature_degC": (0.0, 1300.0),
        "plate_thickness_mm": POSITIVE,
        "time_s": NOT_NEGATIVE,
        "emissivity": (0.0, 1.0),
    },
)
def thin_air_cooling(
    *,
    start_temperature_degC: Values,
    plate_thickness_mm: Values,
    time_s: Values,
    emissivity: Values = OXIDISED_EMISSIVITY,
) -> Values:
    """Temperature of a thin part that radiates from both faces on its way to the bath.

        1/T^3 = 1/T0^3 + 6 e sigma t/(rho c d)

    T in kelvin, d thickness, c 600 J/(kg K). A part that falls singly; in a heap it stays hotter.

    References: as the source.

    Example:
        >>> print(round(thin_air_cooling(start_temperature_degC=850.0, plate_thickness_mm=4.0,
        ...                              time_s=2.0, emissivity=0.8), 1))
        835.1
    """
    kelvin = np.asarray(start_temperature_degC, float) + KELVIN
    store = STEEL_DENSITY_KG_PER_M3 * _AUSTENITE_J_PER_KGK * plate_thickness_mm * 1e-3
    lost = 6.0 * np.asarray(emissivity) * STEFAN_BOLTZMANN_W_PER_M2K4 * time_s / store
    return ((kelvin**-3 + lost) ** (-1.0 / 3.0) - KELVIN)[()]


class OilCooling(NamedTuple):
    """Results of `thin_oil_cooling`."""

    cooling_rate_K_per_s: Values
    """At 700 °C."""
    time_800_500_s: Values
    bath_exit_temperature_degC: Values
    heat_to_bath_kJ_per_kg: Values
    biot: Values
    """Of the boiling stage: below 0.1 the section cools evenly."""


@calculation(
    costly=True,
    source="heat balance of a part of even temperature; three stages of a quenching oil as a probe "
    "by ISO 9950 shows them; undercooled austenite by EN 1993-1-2:2005, Annex C, martensite by "
    "Koistinen and Marburger (1959)",
    basis="computed",
    needs={
        "plate_thickness_mm": POSITIVE,
        "entry_temperature_degC": (100.0, 1300.0),
        "bath_temperature_degC": (0.0, 250.0),
        "time_in_bath_s": POSITIVE,
        "film_W_per_m2K": POSITIVE,
        "boiling_W_per_m2K": POSITIVE,
        "convection_W_per_m2K": POSITIVE,
        "wetted_share": (0.01, 1.0),
        "coefficient_factor": POSITIVE,
    },
)
def thin_oil_cooling(
    *,
    plate_thickness_mm: Values,
    entry_temperature_degC: Values,
    bath_temperature_degC: Values,
    time_in_bath_s: Values,
    film_W_per_m2K: Values,
    boiling_W_per_m2K: Values,
    convection_W_per_m2K: Values,
    film_end_degC: Values,
    boiling_end_degC: Values,
    wetted_share: Values = 1.0,
    coefficient_factor: Values = 1.0,
    martensite_start_degC: float = 300.0,
) -> OilCooling:
    """Cooling of a thin part in oil: vapour film, boiling, convection, one coefficient each.

        dt = rho dH(T)/(2 h(T) s f (T - Tb)/d)

    summed over 48 levels of temperature within each stage; s share of the surface that the oil
    reaches (parts fall in heaps), f the works' factor, d thickness. The film ends at
    ``film_end_degC``, boiling at ``boiling_end_degC``; a slow oil has a long film. Ms is one value
    for all members.

    Raises `ArgumentError` if entry, film end, boiling end and bath do not fall in that order
    (the entry may lie below the film's end).

    References: as the source.

    Example:
        >>> got = thin_oil_cooling(plate_thickness_mm=4.0, entry_temperature_degC=830.0,
        ...     bath_temperature_degC=60.0, time_in_bath_s=60.0, film_W_per_m2K=500.0,
        ...     boiling_W_per_m2K=1800.0, convection_W_per_m2K=300.0, film_end_degC=720.0,
        ...     boiling_end_degC=400.0)
        >>> print(round(got.cooling_rate_K_per_s), round(got.time_800_500_s, 1))
        134 3.9
    """
    _require_order(entry_temperature_degC, film_end_degC, boiling_end_degC, bath_temperature_degC)
    metal = quenched_steel(float(martensite_start_degC))
    bath, entry, film_end, boiling_end, factor, depth = np.broadcast_arrays(
        *(np.asarray(one, float) for one in (
            bath_temperature_degC, entry_temperature_degC, film_end_degC, boiling_end_degC,
            coefficient_factor * np.asarray(wetted_share, float),
            np.asarray(plate_thickness_mm, float) * 1e-3,
        ))
    )  # fmt: skip
    level, clock = _course(
        metal, (entry, np.minimum(entry, film_end), np.minimum(entry, boiling_end), bath),
        [2.0 * factor * h / depth
         for h in (film_W_per_m2K, boiling_W_per_m2K, convection_W_per_m2K)],
    )  # fmt: skip
    exit_level = _at(clock, level, np.asarray(time_in_bath_s, float))
    taken = metal.heat_at(entry) - metal.heat_at(exit_level)
    slower = np.where(boiling_end < _RATED_DEGC, boiling_W_per_m2K, convection_W_per_m2K)
    at_700 = np.where(film_end < _RATED_DEGC, film_W_per_m2K, slower)
    rate = 2.0 * at_700 * factor * (_RATED_DEGC - bath) / (metal.capacity_at(_RATED_DEGC) * depth)
    biot = boiling_W_per_m2K * factor * depth / 2.0 / _AUSTENITE_W_PER_MK
    upper, lower = (_at(-level, clock, np.asarray(-edge)) for edge in (_UPPER_DEGC, _LOWER_DEGC))
    return OilCooling(
        np.where(entry > _RATED_DEGC, rate, _AIR_K_PER_S)[()],
        (lower - upper)[()],
        exit_level[()],
        (taken / STEEL_DENSITY_KG_PER_M3 / 1e3)[()],
        biot[()],
    )


def _require_order(entry: Values, film_end: Values, boiling_end: Values, bath: Values) -> None:
    """Stages must follow each other downwards to the bath."""
    high, low = np.asarray(boiling_end) >= film_end, np.asarray(bath) >= boiling_end
    if np.any(high) or np.any(low):
        accepted = "between the bath and the end of the film"
        raise ArgumentError("boiling_end_degC", boiling_end, "°C", accepted)
    if np.any(np.asarray(entry) <= bath):
        raise ArgumentError("entry_temperature_degC", entry, "°C", "above the bath")


def _course(
    metal: MetalTable, ends: tuple[Values, ...], losses: list[Values]
) -> tuple[Values, Values]:
    """Levels of temperature and the time at each, axis 0; losses per volume and kelvin by stage."""
    entry, film_end, boiling_end, bath = ends
    share = np.linspace(0.0, 1.0, _LEVELS).reshape(-1, *(1,) * entry.ndim)
    stages = (
        entry + (film_end - entry) * share,
        film_end + (boiling_end - film_end) * share,
        # closer to the bath the nearer to it, where cooling takes longest
        bath + (boiling_end - bath) * np.maximum((1.0 - share) ** 3, 1e-9),
    )
    passed, levels = [], [entry[None]]
    for level, loss in zip(stages, losses, strict=True):
        heat, middle = metal.heat_at(level), 0.5 * (level[1:] + level[:-1])
        passed.append((heat[:-1] - heat[1:]) / (loss * (middle - bath)))
        levels.append(level[1:])
    spent = np.cumsum(np.concatenate(passed), axis=0)
    clock = np.concatenate([np.zeros_like(spent[:1]), spent])
    level, clock = np.broadcast_arrays(np.concatenate(levels), clock)
    return level, clock


def _at(axis: Values, values: Values, wanted: Values) -> Values:
    """``values`` where the rising first axis reaches ``wanted``; held beyond its ends."""
    wanted = np.broadcast_to(wanted, np.broadcast_shapes(np.shape(wanted), axis.shape[1:]))
    axis = np.broadcast_to(axis, (axis.shape[0], *wanted.shape))
    values = np.broadcast_to(values, axis.shape)
    upper = np.clip((axis < wanted).sum(axis=0), 1, axis.shape[0] - 1)[None]
    low, high = (np.take_along_axis(axis, index, axis=0)[0] for index in (upper - 1, upper))
    first, last = (np.take_along_axis(values, index, axis=0)[0] for index in (upper - 1, upper))
    part = np.clip((wanted - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    return first + part * (last - first)


class FlashMargin(NamedTuple):
    """Results of `flash_point_margin`."""

    warmed_bath_degC: Values
    flash_point_margin_K: Values


@calculation(
    source="difference of temperatures",
    basis="computed",
    needs={"temperature_rise_K": NOT_NEGATIVE},
)
def flash_point_margin(
    *, bath_temperature_degC: Values, temperature_rise_K: Values, flash_point_degC: Values
) -> FlashMargin:
    """Bath after a charge, and how far it stays below the flash point of the oil.

    References: definition; the least margin is the works' and the local fire code's.
    """
    warmed = bath_temperature_degC + temperature_rise_K
    return FlashMargin(warmed, flash_point_degC - warmed)


@calculation(
    source="works' own figure of growth in hardening",
    gives="size_mm",
    basis="computed",
    needs={"size_mm": POSITIVE, "growth_percent": (-2.0, 2.0)},
)
def grown_size(*, size_mm: Values, growth_percent: Values) -> Values:
    """Size after hardening and tempering: martensite takes more room than soft steel.

    References: a works' own figure, measured on its plates.
    """
    return size_mm * (1.0 + growth_percent / 100.0)


@calculation(
    source="`grown_size` solved for the size before",
    gives="size_mm",
    basis="computed",
    needs={"size_mm": POSITIVE, "growth_percent": (-2.0, 2.0)},
)
def size_before_growth(*, size_mm: Values, growth_percent: Values) -> Values:
    """Size that becomes ``size_mm`` by hardening and tempering.

    References: as `grown_size`.
    """
    return size_mm / (1.0 + growth_percent / 100.0)
