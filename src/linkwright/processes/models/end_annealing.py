"""Sums of softening the ends of case-hardened pins by a short induction heat.

- `fourier_time`: time of the heat, alike for pins of any size
- `end_heat_properties`: constant properties that stand for the steel, with Kirchhoff's integral
- `annealing_power`: into the skin, for a temperature of the end
- `annealed_end`: temperatures and hardness along the pin, how far it is soft and hard
- `end_course`: the same as curves, for the picture
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.materials.case_temper import tempered_case_hardness
from linkwright.materials.tempering import (
    hollomon_jaffe,
    hollomon_jaffe_of_history,
    tempered_hardness,
    tempering_parameter_of_history,
)
from linkwright.materials.thermal import ec3_enthalpy, ec3_thermal_conductivity
from linkwright.mechanics.heated_end import heated_end_rise

_DENSITY = 7850.0
"""Steel, EN 1993-1-2:2005, 3.2.2."""
_ROOM_DEGC = 20.0
_PLACES = 49
_SHOWN = 3.0
_SHARE_OF_RISE = 0.75
_ALLOY = ("C_percent", "Si_percent", "Mn_percent", "Ni_percent", "Cr_percent", "Mo_percent")


@calculation(
    source="definition of the Fourier number", gives="heating_time_s", basis="computed",
    needs={"fourier_number": POSITIVE, "diameter_mm": POSITIVE,
           "diffusivity_mm2_per_s": POSITIVE},
)  # fmt: skip
def fourier_time(
    *, fourier_number: Values, diameter_mm: Values, diffusivity_mm2_per_s: Values
) -> Values:
    """Time in which heat goes the same share of the radius: Fo (d/2)^2/a.

    References: definition.
    """
    return fourier_number * np.square(diameter_mm) / 4.0 / diffusivity_mm2_per_s


class HeatProperties(NamedTuple):
    """Results of `end_heat_properties`."""

    conductivity_W_per_mK: Values
    diffusivity_mm2_per_s: Values


@calculation(
    source="EN 1993-1-2:2005, 3.4.1, means from 20 °C: of the conductivity up to the temperature, "
    "of the diffusivity up to three quarters of the rise",
    basis="computed", needs={"end_temperature_degC": (100.0, 720.0)},
)  # fmt: skip
def end_heat_properties(*, end_temperature_degC: Values) -> HeatProperties:
    """Constant conductivity and diffusivity that stand for steel heated from 20 °C.

    The mean conductivity is Kirchhoff's: with it a rise at constant conductivity is turned into the
    real temperature (`annealed_end`). The diffusivity is that of the means of conductivity and
    specific heat up to three quarters of the rise: so chosen, end, foot of the head and axis lie
    within 25 K of finite volumes with the steel's real properties, the place under the plate 33 K
    below them (pins of 8 mm, 0.8 s).

    References: as the source; G. Kirchhoff's transformation; 7850 kg/m3.

    Example:
        >>> print(round(float(end_heat_properties(end_temperature_degC=685.0)[1]), 1))
        10.3
    """
    top = np.asarray(end_temperature_degC, float)
    part = _ROOM_DEGC + _SHARE_OF_RISE * (top - _ROOM_DEGC)
    heat = ec3_enthalpy(temperature_degC=part, start_degC=_ROOM_DEGC) / (part - _ROOM_DEGC)
    whole, lower = (np.interp(one, *_kirchhoff()) / (one - _ROOM_DEGC) for one in (top, part))
    return HeatProperties(whole[()], (lower / (_DENSITY * heat) * 1e6)[()])


@cache
def _kirchhoff() -> tuple[np.ndarray, np.ndarray]:
    """Temperature, and the integral of the conductivity from 20 °C up to it (W/m)."""
    at = np.arange(_ROOM_DEGC, 1201.0, 1.0)
    conductivity = np.asarray(ec3_thermal_conductivity(temperature_degC=at))
    steps = (conductivity[1:] + conductivity[:-1]) / 2.0
    return at, np.concatenate([[0.0], np.cumsum(steps)])


def _real_degC(rise_K: Any, conductivity: Any) -> np.ndarray:
    """Temperature of a rise that was computed with a constant conductivity."""
    at, integral = _kirchhoff()
    return np.asarray(np.interp(rise_K * conductivity, integral, at))


@calculation(
    source="heated end of a bar, linear in the power", gives="end_power_kW", basis="computed",
    needs={
        "end_temperature_degC": (100.0, 720.0), "heating_time_s": POSITIVE,
        "coil_length_mm": POSITIVE, "diameter_mm": POSITIVE, "conductivity_W_per_mK": POSITIVE,
        "diffusivity_mm2_per_s": POSITIVE,
    },
)  # fmt: skip
def annealing_power(
    *,
    end_temperature_degC: Values,
    heating_time_s: Values,
    coil_length_mm: Values,
    diameter_mm: Values,
    conductivity_W_per_mK: Values,
    diffusivity_mm2_per_s: Values,
) -> Values:
    """Power into the skin of one end that brings the rim of its face to a temperature.

    References: `heated_end_rise`, of 1 kW.
    """
    rise = heated_end_rise(
        distance_mm=0.0, radius_ratio=1.0, time_s=heating_time_s, heating_time_s=heating_time_s,
        power_kW=1.0, heated_length_mm=coil_length_mm, diameter_mm=diameter_mm,
        conductivity_W_per_mK=conductivity_W_per_mK, diffusivity_mm2_per_s=diffusivity_mm2_per_s,
    )  # fmt: skip
    return (np.asarray(end_temperature_degC, float) - _ROOM_DEGC) / rise


class AnnealedEnd(NamedTuple):
    """Results of `annealed_end`."""

    end_peak_degC: Values
    """Hottest of the pin: the rim of its end."""
    axis_peak_degC: Values
    """Hottest of its axis, at the end."""
    end_case_HV: Values
    """Of the case at the foot of the length that must be soft."""
    end_core_HV: Values
    """Of the core there."""
    soft_length_mm: Values
    """From the end, on the skin, to the place that is harder than the soft limit."""
    hard_from_mm: Values
    """From the end, on the skin, to the place from which the case has kept its limit."""


_FIELD_NEEDS = {
    "power_kW": POSITIVE, "heating_time_s": POSITIVE, "coil_length_mm": POSITIVE,
    "diameter_mm": POSITIVE, "conductivity_W_per_mK": POSITIVE, "diffusivity_mm2_per_s": POSITIVE,
    "case_HV": POSITIVE, "core_HV": POSITIVE, "case_carbon_percent": POSITIVE,
    "temper_temperature_degC": (20.0, 400.0), "temper_time_min": POSITIVE,
}  # fmt: skip


@calculation(
    source="conduction of `heated_end_rise`; temper of the case by a table of carbon steels, of "
    "the core by Maynier, Jungmann and Dollet (1978), over the course of temperature",
    basis="computed",
    needs={**_FIELD_NEEDS, "soft_HV": POSITIVE, "hard_HV": POSITIVE, "foot_mm": POSITIVE},
)
def annealed_end(
    *,
    power_kW: Values,
    heating_time_s: Values,
    coil_length_mm: Values,
    diameter_mm: Values,
    conductivity_W_per_mK: Values,
    diffusivity_mm2_per_s: Values,
    case_HV: Values,
    core_HV: Values,
    case_carbon_percent: Values,
    temper_temperature_degC: Values,
    temper_time_min: Values,
    soft_HV: Values,
    hard_HV: Values,
    foot_mm: Values,
    offset_mm: Values = 0.0,
    C_percent: Values = 0.2,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> AnnealedEnd:
    """Temperatures and hardness of a pin's end after a short heat of its skin.

    Power and offset broadcast (members); the rest are single numbers. The coil reaches over the
    pin further by the offset, which moves the whole field along. Soft is what has at most
    ``soft_HV``, hard what has at least ``hard_HV``; both lengths are read on a grid by straight
    lines and lie between the end and four coil lengths and a diameter from it (0 where even the
    end is too hard). ``foot_mm`` is the distance at which the end must still be soft.

    Validity: the heat must stay below Ac1, above which steel hardens again; a skin of current
    that is thin against the case (some 100 kHz); see `end_heat_properties` for what constant
    diffusivity costs.

    References: as the source.
    """
    power, off = np.broadcast_arrays(*(np.asarray(x, float) for x in (power_kW, offset_mm)))
    alloy = dict(zip(_ALLOY, (C_percent, Si_percent, Mn_percent, Ni_percent, Cr_percent,
                              Mo_percent), strict=True))  # fmt: skip
    heat = {"heating_time_s": heating_time_s, "coil_length_mm": coil_length_mm,
            "diameter_mm": diameter_mm, "conductivity_W_per_mK": conductivity_W_per_mK,
            "diffusivity_mm2_per_s": diffusivity_mm2_per_s}  # fmt: skip
    before = {"case_HV": case_HV, "core_HV": core_HV, "case_carbon_percent": case_carbon_percent,
              "temper_temperature_degC": temper_temperature_degC,
              "temper_time_min": temper_time_min, "alloy": alloy}  # fmt: skip
    z = _distances(coil_length_mm, diameter_mm)
    peaks, case, core = _field(z, power, heat, before)
    ends = [_read(z, one, foot_mm - off) for one in (case, core)]
    return AnnealedEnd(
        peaks[0][()], peaks[1][()], ends[0], ends[1],
        np.maximum(_reaches(z, case, soft_HV) + off, 0.0)[()],
        np.maximum(_reaches(z, case, hard_HV) + off, 0.0)[()],
    )  # fmt: skip


def end_course(arguments: Mapping[str, Any]) -> dict[str, np.ndarray]:
    """Hardness of skin and axis along the pin, as far as the heat goes.

    ``arguments`` are those of `annealed_end`; keys carry units.
    """
    plain = {name: float(value) for name, value in arguments.items()}
    heat = {name: plain[name] for name in (
        "heating_time_s", "coil_length_mm", "diameter_mm", "conductivity_W_per_mK",
        "diffusivity_mm2_per_s")}  # fmt: skip
    before = {
        name: plain[name]
        for name in (
            "case_HV",
            "core_HV",
            "case_carbon_percent",
            "temper_temperature_degC",
            "temper_time_min",
        )
    }
    alloy = {name: plain[name] for name in _ALLOY if name in plain}
    z = _distances(heat["coil_length_mm"], heat["diameter_mm"])
    z = z[z <= _SHOWN * heat["coil_length_mm"]]
    power = np.asarray(plain["power_kW"])
    _, case, core = _field(z, power, heat, {**before, "alloy": alloy})
    return {"end_distance_mm": z, "end_case_HV": case, "end_core_HV": core}


def _distances(coil_mm: Any, diameter_mm: Any) -> np.ndarray:
    """Finer where the coil ends."""
    coil, far = float(coil_mm), 2.0 * float(coil_mm) + 0.5 * float(diameter_mm)
    return np.concatenate(
        [np.linspace(0.0, 2.0 * coil, _PLACES), np.linspace(2.0 * coil, 2.0 * far, 17)[1:]]
    )


def _field(
    z: np.ndarray, power: np.ndarray, heat: dict[str, Any], before: dict[str, Any]
) -> tuple[tuple[Any, Any], np.ndarray, np.ndarray]:
    """Peaks of skin and axis at the end; hardness of case and core over z, z on the last axis."""
    t_h = float(heat["heating_time_s"])
    time = t_h * np.concatenate([np.linspace(0.0, 1.0, 17), 1.0 + np.geomspace(0.02, 40.0, 28)])
    sizes = {name: value for name, value in heat.items() if name != "coil_length_mm"}
    skin, axis = (
        heated_end_rise(distance_mm=z, radius_ratio=ratio, time_s=time[:, None], power_kW=1.0,
                        heated_length_mm=heat["coil_length_mm"], **sizes)
        for ratio in (1.0, 0.0)
    )  # fmt: skip
    each = np.asarray(power, float)[..., None]
    shape = (len(time),) + (1,) * (each.ndim - 1) + (len(z),)
    conductivity = heat["conductivity_W_per_mK"]
    hot, cold = (_real_degC(each * one.reshape(shape), conductivity) for one in (skin, axis))
    first = hollomon_jaffe(
        temperature_degC=before["temper_temperature_degC"], time_h=before["temper_time_min"] / 60.0
    )
    parameter = hollomon_jaffe_of_history(time_s=time, temperature_degC=hot)
    case = tempered_case_hardness(
        hardness_before_HV=before["case_HV"], parameter=np.maximum(parameter, first),
        carbon_percent=before["case_carbon_percent"],
    )  # fmt: skip
    core = tempered_hardness(
        parameter_K=tempering_parameter_of_history(time_s=time, temperature_degC=cold),
        quenched_martensite_HV=before["core_HV"], **before["alloy"],
    ).martensite_HV  # fmt: skip
    peaks = (np.max(hot[..., 0], axis=0), np.max(cold[..., 0], axis=0))
    return peaks, np.asarray(case), np.asarray(core)


def _read(z: np.ndarray, values: np.ndarray, at: Any) -> Any:
    """Each member's values at its own distance, by straight lines."""
    where = np.clip(np.asarray(at, float), z[0], z[-1])
    high = np.clip(np.searchsorted(z, where), 1, len(z) - 1)
    part = (where - z[high - 1]) / (z[high] - z[high - 1])
    low, top = (
        np.take_along_axis(values, np.asarray(place)[..., None], axis=-1)[..., 0]
        for place in (high - 1, high)
    )
    return (low + part * (top - low))[()]


def _reaches(z: np.ndarray, values: np.ndarray, limit: Any) -> Any:
    """Distance at which rising values first go above a limit; the end of the grid if never."""
    above = values > limit
    first = np.argmax(above, axis=-1)
    high = np.clip(first, 1, len(z) - 1)
    low_v, high_v = (np.take_along_axis(values, np.asarray(place)[..., None], axis=-1)[..., 0]
                     for place in (high - 1, high))  # fmt: skip
    step = np.where(high_v > low_v, high_v - low_v, 1.0)
    found = z[high - 1] + np.clip((limit - low_v) / step, 0.0, 1.0) * (z[high] - z[high - 1])
    found = np.where(first == 0, z[0], found)
    return np.where(above.any(axis=-1), found, z[-1])
