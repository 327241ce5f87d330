"""Carburising and carbonitriding in gas: carbon over the depth, and the programme for a depth.

- `carburised_profile`: carbon after boost, diffusion and the hold before the quench
- `nitrided_profile`: nitrogen of the same stay where ammonia is added
- `carburising_programme`: time and second carbon potential for a case of a wanted depth

Gas is described by its carbon potential (the carbon that plain iron takes up in the end) and a
coefficient of transfer. Bodies are round (pin, bushing with its bore in gas) or flat with gas on
both faces (a strip; the section is its thickness).
"""

from __future__ import annotations

import warnings
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, ValidityWarning, Values, calculation
from linkwright.materials.carbonitrided import carbon_with_nitrogen
from linkwright.materials.diffusion import (
    carbon_diffusivity_tibbetts,
    nitrogen_diffusivity_austenite,
)
from linkwright.mechanics.interstitial_diffusion import (
    GasStage,
    Layer,
    exponential_law,
    soak_in_gas,
)
from linkwright.quantities import ArgumentError, UnknownName

_SOURCE = (
    "second law of Fick with D(C) of G. G. Tibbetts, J. Appl. Phys. 51 (1980) 4813; transfer of "
    "carbon in proportion to potential less surface content"
)
_BODIES = ("round", "flat")
_AUSTENITE = (650.0, 1150.0)
_STEEL_KG_PER_M3 = 7850.0
_NEEDS = {
    "section_mm": POSITIVE,
    "bore_mm": NOT_NEGATIVE,
    "temperature_degC": _AUSTENITE,
    "hold_temperature_degC": _AUSTENITE,
    "hold_time_min": NOT_NEGATIVE,
    "boost_potential_percent": (0.0, 2.0),
    "transfer_m_per_s": POSITIVE,
    "bore_share": (0.0, 1.0),
    "alloy_factor": (0.3, 3.0),
    "C_percent": (0.0, 2.0),
}
_VALID = {
    "temperature_degC": (800.0, 1050.0),
    "boost_potential_percent": (0.2, 1.4),
}


class ContentProfile(NamedTuple):
    """Results of the profiles; nodes on a new last axis, the first at the outside."""

    depth_mm: Values
    content_percent: Values
    surface_content_percent: Values
    core_content_percent: Values
    uptake_g_per_m2: Values
    """At all surfaces, per area of the outside."""


class Programme(NamedTuple):
    """Results of `carburising_programme`."""

    boost_time_h: Values
    diffuse_time_h: Values
    diffuse_potential_percent: Values
    surface_carbon_percent: Values
    carbon_at_depth_percent: Values
    """With the nitrogen that counts for carbon."""


@calculation(
    costly=True,
    source=_SOURCE,
    basis="computed",
    needs=_NEEDS
    | {
        "boost_time_h": NOT_NEGATIVE,
        "diffuse_time_h": NOT_NEGATIVE,
        "diffuse_potential_percent": (0.0, 2.0),
    },
    valid=_VALID | {"diffuse_potential_percent": (0.2, 1.4)},
)
def carburised_profile(
    *,
    section_mm: Values,
    boost_time_h: Values,
    boost_potential_percent: Values,
    C_percent: Values,
    temperature_degC: Values,
    diffuse_time_h: Values = 0.0,
    diffuse_potential_percent: Values = 0.8,
    hold_temperature_degC: Values = 850.0,
    hold_time_min: Values = 0.0,
    transfer_m_per_s: Values = 1.3e-7,
    bore_mm: Values = 0.0,
    bore_share: Values = 1.0,
    alloy_factor: Values = 1.0,
    body: str = "round",
) -> ContentProfile:
    """Carbon over the depth after boost, diffusion and hold in gas.

        dC/dt = div (D grad C),  D dC/dn = beta (Cp/f - C)

    Cp carbon potential, f `alloy_carbon_factor`, beta the transfer coefficient; at a bore beta
    times ``bore_share``, for gas that hardly moves there. D by `carbon_diffusivity_tibbetts` at
    the temperature of boost and diffusion, then at that of the hold with the second potential.
    The metal is at temperature from the first second; heating up is no part of the times.
    ``section_mm`` is a diameter, or a thickness with gas on both faces (``body`` "flat").

    The default of beta is one of endothermic gas (common practice, no source: 1e-7 to 3e-7 m/s).
    Carbides are not modelled: above the solubility of carbon the profile is a figure only.

    41 nodes, 38 steps: within 0.002 per cent of carbon of a grid twice as fine.

    Raises `UnknownName` for a body, `ArgumentError` for a bore not below the diameter.

    References: as the source; D recalled.

    Example:
    >>> made = carburised_profile(section_mm=8.0, boost_time_h=2.0, boost_potential_percent=1.0,
    ...     C_percent=0.2, temperature_degC=925.0)
    >>> print(round(made.surface_content_percent, 2), round(made.core_content_percent, 2))
    0.85 0.2
    """
    hot, warm = _carbon_law(temperature_degC), _carbon_law(hold_temperature_degC)
    first, second = boost_potential_percent / alloy_factor, diffuse_potential_percent / alloy_factor
    stages = (
        (boost_time_h * 3600.0, hot, first, 16),
        (diffuse_time_h * 3600.0, hot, second, 14),
        (hold_time_min * 60.0, warm, second, 8),
    )
    return _profile(
        (section_mm, bore_mm, body), C_percent, stages, transfer_m_per_s * 1e3, bore_share
    )


@calculation(
    source="second law of Fick with D of P. Grieveson & E. T. Turkdogan, Trans. AIME 230 (1964) "
    "1604; transfer of nitrogen in proportion to potential less surface content",
    basis="computed",
    needs={
        "section_mm": POSITIVE,
        "bore_mm": NOT_NEGATIVE,
        "time_h": NOT_NEGATIVE,
        "hold_time_min": NOT_NEGATIVE,
        "temperature_degC": _AUSTENITE,
        "hold_temperature_degC": _AUSTENITE,
        "nitrogen_potential_percent": (0.0, 2.0),
        "transfer_m_per_s": POSITIVE,
        "bore_share": (0.0, 1.0),
        "N_percent": NOT_NEGATIVE,
    },
    valid={"nitrogen_potential_percent": (0.0, 0.8)},
)
def nitrided_profile(
    *,
    section_mm: Values,
    time_h: Values,
    nitrogen_potential_percent: Values,
    temperature_degC: Values,
    transfer_m_per_s: Values,
    N_percent: Values = 0.0,
    hold_temperature_degC: Values = 850.0,
    hold_time_min: Values = 0.0,
    bore_mm: Values = 0.0,
    bore_share: Values = 1.0,
    body: str = "round",
) -> ContentProfile:
    """Nitrogen over the depth after a stay in gas with ammonia (carbonitriding).

    As `carburised_profile` with the constant diffusivity `nitrogen_diffusivity_austenite`; carbon
    and nitrogen do not feel each other. The potential is the nitrogen that the surface takes up
    in the end at the works' share of ammonia: a measured figure (foil), no formula is held. What
    nitrogen does to Ms and hardness is `carbon_with_nitrogen`'s.

    References: as the source; D recalled.

    Example:
    >>> made = nitrided_profile(section_mm=5.0, time_h=1.5, nitrogen_potential_percent=0.4,
    ...     temperature_degC=860.0, transfer_m_per_s=5e-8)
    >>> print(round(made.surface_content_percent, 2))
    0.33
    """
    hot, warm = (
        (nitrogen_diffusivity_austenite(temperature_degC=degC) * 1e6, 0.0)
        for degC in (temperature_degC, hold_temperature_degC)
    )
    stages = (
        (time_h * 3600.0, hot, nitrogen_potential_percent, 16),
        (hold_time_min * 60.0, warm, nitrogen_potential_percent, 8),
    )
    return _profile(
        (section_mm, bore_mm, body), N_percent, stages, transfer_m_per_s * 1e3, bore_share
    )


@calculation(
    costly=True,
    source=f"{_SOURCE}; solved for the programme by Newton's method",
    basis="computed",
    needs=_NEEDS
    | {
        "depth_mm": POSITIVE,
        "carbon_at_depth_percent": POSITIVE,
        "surface_carbon_percent": POSITIVE,
        "boost_share": (0.05, 0.95),
        "nitrogen_potential_percent": (0.0, 2.0),
        "nitrogen_factor": POSITIVE,
    },
    valid=_VALID,
)
def carburising_programme(
    *,
    section_mm: float,
    depth_mm: float,
    carbon_at_depth_percent: float,
    surface_carbon_percent: float,
    boost_potential_percent: float,
    C_percent: float,
    temperature_degC: float,
    boost_share: float = 0.7,
    hold_temperature_degC: float = 850.0,
    hold_time_min: float = 0.0,
    transfer_m_per_s: float = 1.3e-7,
    bore_mm: float = 0.0,
    bore_share: float = 1.0,
    alloy_factor: float = 1.0,
    nitrogen_potential_percent: float = 0.0,
    nitrogen_transfer_m_per_s: float = 5e-8,
    nitrogen_factor: float = 1.0,
    body: str = "round",
) -> Programme:
    """Times of boost and diffusion and the second potential for a case of a wanted depth.

    Solves `carburised_profile` for a carbon content at a depth and a carbon content of the
    surface at the end; ``boost_share`` of the time at temperature is boost. With a nitrogen
    potential the nitrogen that `nitrided_profile` brings to the depth counts there with the carbon
    (`carbon_with_nitrogen`), not at the surface. Single numbers only.

    Raises `ArgumentError` where no time within 200 h and no potential from 0.05 % to that of the
    boost does it: the case is too deep for the section, or the surface cannot come down in time.

    References: as the source.

    Example:
    >>> plan = carburising_programme(section_mm=8.0, depth_mm=0.5, carbon_at_depth_percent=0.35,
    ...     surface_carbon_percent=0.8, boost_potential_percent=1.05, C_percent=0.2,
    ...     temperature_degC=925.0)
    >>> print(round(plan.boost_time_h + plan.diffuse_time_h, 2))
    1.64
    """
    middle = (section_mm - bore_mm) / (4.0 if bore_mm > 0.0 else 2.0)
    if depth_mm >= middle:
        accepted = f"below {middle:.3g} mm, the middle of the metal"
        raise ArgumentError("depth_mm", depth_mm, "mm", accepted, "is too deep")
    fixed: dict[str, Any] = {
        "section_mm": section_mm, "boost_potential_percent": boost_potential_percent,
        "C_percent": C_percent, "temperature_degC": temperature_degC,
        "hold_temperature_degC": hold_temperature_degC, "hold_time_min": hold_time_min,
        "transfer_m_per_s": transfer_m_per_s, "bore_mm": bore_mm, "bore_share": bore_share,
        "alloy_factor": alloy_factor, "body": body,
    }  # fmt: skip

    def run(time_h: Any, potential: Any) -> ContentProfile:
        return carburised_profile(
            boost_time_h=boost_share * time_h, diffuse_time_h=(1.0 - boost_share) * time_h,
            diffuse_potential_percent=potential, **fixed,
        )  # fmt: skip

    same = ("section_mm", "temperature_degC", "hold_temperature_degC", "hold_time_min", "bore_mm",
            "bore_share", "body")  # fmt: skip

    def counted(time_h: Any, carbon: ContentProfile) -> Any:
        if not nitrogen_potential_percent:
            return carbon.content_percent
        nitrogen = nitrided_profile(
            time_h=time_h, nitrogen_potential_percent=nitrogen_potential_percent,
            transfer_m_per_s=nitrogen_transfer_m_per_s, **{name: fixed[name] for name in same},
        )  # fmt: skip
        return carbon_with_nitrogen(
            carbon_percent=carbon.content_percent, nitrogen_percent=nitrogen.content_percent,
            nitrogen_factor=nitrogen_factor,
        )  # fmt: skip

    def reached(time_h: np.ndarray, potential: np.ndarray) -> np.ndarray:
        with warnings.catch_warnings():
            # ranges are told of the programme that is found, not of trials on the way
            warnings.simplefilter("ignore", ValidityWarning)
            made = run(time_h, potential)
            content = counted(time_h, made)
        deep = [np.interp(depth_mm, *one) for one in zip(made.depth_mm, content, strict=True)]
        return np.array([deep, made.surface_content_percent])

    wanted = np.array([carbon_at_depth_percent, surface_carbon_percent])
    start = (np.log((depth_mm / 0.55) ** 2), surface_carbon_percent * alloy_factor)
    time, potential, got = _newton(reached, wanted, start, float(boost_potential_percent), depth_mm)
    run(time, potential)
    return Programme(
        boost_share * time, (1.0 - boost_share) * time, potential, float(got[1]), float(got[0])
    )


_FARTHEST = 0.7
_LEAST_POTENTIAL = 0.05
_LONGEST_H = 200.0
_STEP = 1e-3
_CLOSE_PERCENT = 1e-6


def _newton(
    reached: Any, wanted: np.ndarray, start: tuple[float, float], boost: float, depth_mm: float
) -> tuple[float, float, np.ndarray]:
    """Logarithm of the time and the potential at which both contents are met."""
    at = np.array([start[0], np.clip(start[1], _LEAST_POTENTIAL, boost)])
    for _ in range(30):
        trials = at[:, None] + _STEP * np.array([[0.0, 1.0, 0.0], [0.0, 0.0, -1.0]])
        value = reached(np.exp(trials[0]), trials[1])
        miss = wanted - value[:, 0]
        if np.max(np.abs(miss)) < _CLOSE_PERCENT:
            return float(np.exp(at[0])), float(at[1]), value[:, 0]
        jacobian = (value[:, 1:] - value[:, :1]) / np.array([_STEP, -_STEP])
        move = np.linalg.solve(jacobian + 1e-12 * np.eye(2), miss)
        at = at + np.clip(move, -_FARTHEST, _FARTHEST)
        at[0] = np.clip(at[0], np.log(1e-3), np.log(_LONGEST_H))
        at[1] = np.clip(at[1], _LEAST_POTENTIAL + _STEP, boost)
    raise ArgumentError(
        "depth_mm", depth_mm, "mm",
        "a depth well within the section, a surface carbon that boost and diffusion can reach "
        f"(best: {value[0, 0]:.3f} % at the depth, {value[1, 0]:.3f} % at the surface)",
        "has no programme",
    )  # fmt: skip


def _carbon_law(temperature_degC: Values) -> tuple[Any, Any]:
    """Prefactor in mm2/s and exponent of the diffusivity of carbon."""

    def in_mm2(carbon: float) -> Any:
        return 1e6 * carbon_diffusivity_tibbetts(
            carbon_percent=carbon, temperature_degC=temperature_degC
        )

    return exponential_law(in_mm2, 0.0, 1.0)


def _profile(
    size: tuple[Values, Values, str],
    start: Values,
    stages: tuple[tuple[Any, tuple[Any, Any], Any, int], ...],
    transfer_mm_per_s: Values,
    bore_share: Values,
) -> ContentProfile:
    """Run all members and give the profile from the outside inwards."""
    section, bore, body = size
    if body not in _BODIES:
        raise UnknownName("body", body, _BODIES)
    numbers = [section, bore, start, transfer_mm_per_s, bore_share]
    for time, law, gas, _ in stages:
        numbers += [time, *law, gas]
    together = np.broadcast_arrays(*(np.asarray(one, float) for one in numbers))
    shape = together[0].shape
    wide, inner, first, beta, share, *rest = (one.reshape(-1) for one in together)
    layer = Layer.of(wide / 2.0, inner / 2.0, flat=body == "flat")
    run = [
        GasStage(time, prefactor, exponent, gas, beta, share, stage[3])
        for stage, time, prefactor, exponent, gas in zip(
            stages, rest[::4], rest[1::4], rest[2::4], rest[3::4], strict=True
        )
    ]
    soaked = soak_in_gas(layer, first, run)
    inwards = soaked.content[:, ::-1]
    return ContentProfile(
        layer.depth_mm().reshape(*shape, -1),
        inwards.reshape(*shape, -1),
        inwards[:, 0].reshape(shape)[()],
        inwards.min(axis=1).reshape(shape)[()],
        (soaked.uptake * 1e-5 * _STEEL_KG_PER_M3 * 1e3).reshape(shape)[()],
    )
