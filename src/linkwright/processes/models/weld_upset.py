"""Upset and bulge of a resistance-welded joint.

- `upset_length`: how far a force shortens the hot joint in a time, by the hot flow stress
- `bulging_length`: where the upset bulges
- `weld_bulge`: diameter of the bulge from the upset, volume kept
- `upset_profile`: the same as `upset_length` for computed temperature profiles
- `bell`: course of the temperature between the electrodes from three of its values
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.hot_strength import SHIDA, SHIDA_RANGE, shida_law
from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]
_STEPS = 60
_LEAST_STRAIN, _GREATEST_STRAIN = 0.05, 0.7
_LEAST_DEGC = 700.0
_GREATEST_RATE = 200.0
_CELLS = 24
STEEL_KG_PER_M3 = 7850.0


class Upset(NamedTuple):
    """Results of `upset_profile`, each (members,): lengths of the whole joint."""

    upset_length_mm: Array
    face_strain: Array
    face_diameter_mm: Array
    upset_time_s: Array


def upset_profile(
    *,
    width_mm: Array,
    temperature_degC: Array,
    wire_diameter_mm: Any,
    upset_force_kN: Any,
    upset_time_s: Any,
    stop_mm: Any = np.inf,
    ram_speed_mm_per_s: Any = 100.0,
    C_percent: Any = 0.2,
    flow_stress_factor: Any = 1.0,
) -> Upset:
    """Upset of a half joint given by cells (cells, members) from the faces outwards.

    Every cell is squeezed by the same force and keeps its volume: stress F/(A e^strain),
    rate by Shida's law turned round, no flow below 700 deg C. If the cells together would
    close faster than the ram runs, all slow down alike; at the stop it ends. The
    temperatures stay as they are (the upset takes a tenth of a second), and the cold
    neighbours do not hold the hot metal sideways: ``flow_stress_factor`` is the works' own.
    Time steps are linearised in the strain and fixed beforehand, the shortest first.
    """
    width, heat = np.asarray(width_mm, float), np.asarray(temperature_degC, float)
    diameter = np.asarray(wire_diameter_mm, float)
    nominal = np.asarray(upset_force_kN, float) * 1e3 / (np.pi / 4.0 * diameter**2)
    nominal = np.asarray(nominal / flow_stress_factor)
    steps = np.diff((np.arange(_STEPS + 1) / _STEPS) ** 2)
    strain, closed, used = np.zeros(heat.shape), np.zeros(heat.shape[1]), np.zeros(heat.shape[1])
    for share in steps:
        step = share * np.asarray(upset_time_s, float)
        rate, stiffness = _rate(nominal, heat, strain, C_percent)
        shortened = width * np.exp(-strain)
        speed = 2.0 * (rate * shortened).sum(axis=0)
        slowed = np.minimum(1.0, ram_speed_mm_per_s / np.maximum(speed, 1e-12))
        gain = step * slowed * rate / (1.0 + step * slowed * rate * stiffness)
        advance = 2.0 * (shortened * -np.expm1(-gain)).sum(axis=0)
        part = np.clip((stop_mm - closed) / np.maximum(advance, 1e-12), 0.0, 1.0)
        strain += part * gain
        used += part * step
        closed = np.minimum(2.0 * (width * -np.expm1(-strain)).sum(axis=0), stop_mm)
    face = strain[0]
    return Upset(closed, face, diameter * np.exp(face / 2.0), used)


def _rate(nominal: Array, heat: Array, strain: Array, carbon: Any) -> tuple[Array, Array]:
    """Strain rate in every cell and the fall of its logarithm with strain."""
    held = np.clip(strain, _LEAST_STRAIN, _GREATEST_STRAIN)
    law = shida_law(temperature_degC=heat, strain=held, C_percent=carbon)
    power = 1.0 / law.exponent
    # capped inside the power, so that a large force on hot metal cannot overflow
    ratio = np.minimum(nominal * np.exp(-strain) / law.stress_MPa, (_GREATEST_RATE / 10) ** 0.2)
    rate = np.where(heat < _LEAST_DEGC, 0.0, np.minimum(10.0 * ratio**power, _GREATEST_RATE))
    return rate, power * (1.0 + np.where(held == strain, 0.4 / held, 0.0))


def bell(mean_share: Any, place: Any) -> Array:
    """Share of the rise over the ends, at a place from 0 (faces) to 1 (ends), for a mean share.

    f(x) = (1 - x^2)/(1 + b x^2), level at the faces and 0 at the ends; b is such that its mean
    over x is ``mean_share`` (0.02 to 0.98): 2/3 is the parabola, less a narrow hot zone.
    """
    means, logs = _bells()
    b = np.expm1(np.interp(mean_share, means, logs))
    return np.asarray((1.0 - place**2) / (1.0 + b * place**2))


@cache
def _bells() -> tuple[Array, Array]:
    """Means of the bells, rising, and ln(1 + b) of each.

    -1/b + (1 + 1/b) arctan(sqrt b)/sqrt b; arctanh of sqrt(-b) below zero.
    """
    logs = np.linspace(-7.0, 11.0, 724)  # b = 0 lies between two of them
    b = np.expm1(logs)
    root = np.sqrt(np.abs(b))
    inner = np.where(b > 0.0, np.arctan(root), np.arctanh(np.minimum(root, 1.0 - 1e-12))) / root
    return (-1.0 / b + (1.0 + 1.0 / b) * inner)[::-1], logs[::-1]


class UpsetLength(NamedTuple):
    """Results of `upset_length`."""

    upset_length_mm: Values
    upset_volume_mm3: Values
    upset_mass_g: Values
    face_strain: Values
    bulge_diameter_mm: Values
    upset_duration_s: Values
    upset_pressure_MPa: Values


@calculation(
    costly=True,
    source=f"{SHIDA}; equal force in every section, volume kept",
    needs={
        "wire_diameter_mm": POSITIVE,
        "electrode_distance_mm": POSITIVE,
        "upset_force_kN": NOT_NEGATIVE,
        "upset_time_s": NOT_NEGATIVE,
        "upset_stop_mm": NOT_NEGATIVE,
        "ram_speed_mm_per_s": POSITIVE,
        "C_percent": (0.0, 2.0),
        "flow_stress_factor": POSITIVE,
    },
    valid={
        "joint_temperature_degC": (900.0, 1200.0),
        "edge_temperature_degC": (20.0, 1200.0),
        "C_percent": SHIDA_RANGE["C_percent"],
    },
    basis="computed",
)
def upset_length(
    *,
    wire_diameter_mm: Values,
    electrode_distance_mm: Values,
    joint_temperature_degC: Values,
    edge_temperature_degC: Values,
    upset_force_kN: Values,
    visible_temperature_degC: Values | None = None,
    upset_time_s: Values = 0.1,
    upset_stop_mm: Values | None = None,
    ram_speed_mm_per_s: Values = 100.0,
    C_percent: Values = 0.2,
    flow_stress_factor: Values = 1.0,
) -> UpsetLength:
    """Shortening of the hot joint under the upset force, and what it pushes aside.

    The temperature falls from the joint's at the faces to the one at the electrodes' edge,
    Te + (Tj - Te) (1 - z^2)/(1 + b z^2) with z = 2 x/l; b gives the mean that is visible
    between the electrodes (within 20 K of the computed profile). Without that mean b is 0, a
    parabola: the shape of a rod that its own current heats between cooler ends.
    Each section carries the same force; its strain rate follows
    from Shida's hot flow stress, its area grows as its length shrinks. upset_length is that
    of both ends together; upset_volume = A upset_length is what stands out as bulge and
    flash (the burn-off); bulge_diameter = d exp(strain/2) at the faces;
    upset_duration is shorter than upset_time where the stop is reached.

    Above 1200 deg C, where a joint is welded, Shida's exponential is carried on beyond its
    range: hence the warning. The result is steep in force and temperature: a tenth more
    force doubles the rate. Scale it to the works' own trials by ``flow_stress_factor``.

    Raises `ArgumentError` if the edge is hotter than the joint.
    """
    hot, cool = np.asarray(joint_temperature_degC, float), np.asarray(edge_temperature_degC)
    if (cool > hot).any():
        raise ArgumentError(
            "edge_temperature_degC", float(np.max(cool)), "°C", "at most the joint's"
        )
    seen = (
        _parabola_mean(hot, cool)
        if visible_temperature_degC is None
        else np.asarray(visible_temperature_degC, float)
    )
    stop = np.inf if upset_stop_mm is None else upset_stop_mm
    given = np.broadcast_arrays(
        wire_diameter_mm, electrode_distance_mm, hot, cool, upset_force_kN, upset_time_s, stop,
        ram_speed_mm_per_s, C_percent, flow_stress_factor, seen,
    )  # fmt: skip
    shape = given[0].shape
    d, length, hot, cool, force, time, stop, speed, carbon, factor, seen = (
        np.ravel(np.asarray(value, float)) for value in given
    )
    middle = (np.arange(_CELLS)[:, None] + 0.5) / _CELLS
    rise = hot - cool
    mean_share = (seen - cool) / np.where(rise > 0.0, rise, 1.0)
    upset = upset_profile(
        width_mm=np.repeat(length[None] / (2.0 * _CELLS), _CELLS, axis=0),
        temperature_degC=cool + rise * bell(mean_share, middle),
        wire_diameter_mm=d,
        upset_force_kN=force,
        upset_time_s=time,
        stop_mm=stop,
        ram_speed_mm_per_s=speed,
        C_percent=carbon,
        flow_stress_factor=factor,
    )
    area = np.pi / 4.0 * d**2
    volume = area * upset.upset_length_mm
    results = (
        upset.upset_length_mm, volume, volume * STEEL_KG_PER_M3 * 1e-6, upset.face_strain,
        upset.face_diameter_mm, upset.upset_time_s, force * 1e3 / area,
    )  # fmt: skip
    return UpsetLength(*(value.reshape(shape)[()] for value in results))


def _parabola_mean(hot: Array, cool: Array) -> Array:
    return np.asarray(cool + 2.0 / 3.0 * (hot - cool))


class WeldBulge(NamedTuple):
    """Results of `weld_bulge`."""

    bulge_diameter_mm: Values
    bulge_length_mm: Values
    bulge_volume_mm3: Values
    bulge_over_wire_diameter: Values


@calculation(
    source="volume kept; bulge of revolution with a parabola as outline",
    needs={
        "wire_diameter_mm": POSITIVE,
        "upset_length_mm": NOT_NEGATIVE,
        "heated_length_mm": POSITIVE,
    },
    basis="computed",
)
def weld_bulge(
    *, wire_diameter_mm: Values, upset_length_mm: Values, heated_length_mm: Values
) -> WeldBulge:
    """Bulge that an upset leaves before trimming.

    The upset volume A u stands on the heated length less the upset, L = l - u, with the
    outline r = d/2 + h [1 - (2 x/L)^2]:  A u = pi L [(2/3) d h + (8/15) h^2], solved for h.

    A real joint throws part of the volume out as a thin flash, so its round bulge is less.
    Raises `ArgumentError` if the upset is as long as the heated length.

    >>> round(float(weld_bulge(wire_diameter_mm=8.0, upset_length_mm=2.0,
    ...                        heated_length_mm=8.0).bulge_diameter_mm), 2)
    9.83
    """
    d, upset = np.asarray(wire_diameter_mm, float), np.asarray(upset_length_mm, float)
    length = np.asarray(heated_length_mm, float) - upset
    if (length <= 0.0).any():
        raise ArgumentError(
            "upset_length_mm", float(np.max(upset)), "mm", "less than the heated length"
        )
    volume = np.pi / 4.0 * d**2 * upset
    spread = volume / (np.pi * length)
    height = 2.0 * spread / (2.0 / 3.0 * d + np.sqrt(4.0 / 9.0 * d**2 + 32.0 / 15.0 * spread))
    across = d + 2.0 * height
    return WeldBulge(across[()], (length + 0.0 * d)[()], volume[()], (across / d)[()])


@calculation(
    source="length of the metal that is hot enough to flow; floor stated here, no source",
    gives="bulging_length_mm",
    needs={
        "heated_length_mm": NOT_NEGATIVE,
        "upset_length_mm": NOT_NEGATIVE,
        "wire_diameter_mm": POSITIVE,
    },
    basis="common practice",
)
def bulging_length(
    *, heated_length_mm: Values, upset_length_mm: Values, wire_diameter_mm: Values
) -> Values:
    """Length on which the upset bulges: the one that is hot enough to flow, at least u + d/4.

    A weld that stayed too cold has hardly any heated length; its bulge is then taken as a
    quarter of the wire long, so that it is judged by its temperature, not refused.

    References: none; a stated floor.

    >>> float(bulging_length(heated_length_mm=0.0, upset_length_mm=1.0, wire_diameter_mm=8.0))
    3.0
    """
    least = np.asarray(upset_length_mm, float) + 0.25 * np.asarray(wire_diameter_mm, float)
    return np.maximum(heated_length_mm, least)[()]
