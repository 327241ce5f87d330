"""Structure and hardness of a carburised part after the quench, and the depth of its case.

- `case_structure`: shares and hardness over the depth, from the carbon over the depth
- `hardening_depth`: depth of a limiting hardness (case hardening depth)
- `case_carbon`: the carbon content at which the quenched case has a hardness
- `depth_after_grinding`: what grinding leaves of it
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.austenite_decomposition import constituents_after_cooling
from linkwright.materials.carbonitrided import carbon_with_nitrogen
from linkwright.materials.hardenability import martensite_hardness_by_carbon
from linkwright.materials.hardness_scales import hardness_iso18265
from linkwright.materials.structure_hardness import constituent_hardness
from linkwright.materials.transformation import van_bohemen_martensite_start
from linkwright.materials.transformation_share import retained_austenite, van_bohemen_rate
from linkwright.quantities import ArgumentError

_FULL_HARDNESS_PERCENT = 0.6
_REGRESSION_PERCENT = 0.5
_SOURCE = (
    "martensite: Hodge & Orehoski (1946), Just (1969), by ISO 18265; other constituents: Maynier, "
    "Jungmann & Dollet (1978); retained austenite: Koistinen & Marburger (1959) with Ms and rate "
    "of van Bohemen (2012)"
)
_NEEDS = {
    "cooling_rate_K_per_s": POSITIVE,
    "austenite_HV": POSITIVE,
    "temper_share": (0.5, 1.0),
}
_VALID = {"carbon_percent": (0.1, 1.2), "bath_temperature_degC": (-80.0, 180.0)}


class CaseStructure(NamedTuple):
    """Results of `case_structure`, in the shape of the carbon contents."""

    hardness_HV: Values
    martensite_fraction: Values
    """Without the austenite that is left."""
    retained_austenite_fraction: Values
    other_fraction: Values
    """Bainite, ferrite and pearlite."""


@calculation(
    source=_SOURCE, basis="computed", needs=_NEEDS | {"carbon_percent": (0.0, 2.0)}, valid=_VALID
)
def case_structure(
    *,
    carbon_percent: Values,
    cooling_rate_K_per_s: Values,
    parameter_degC: Values,
    bath_temperature_degC: Values = 40.0,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    austenite_HV: Values = 250.0,
    temper_share: Values = 1.0,
    nitrogen_percent: Values = 0.0,
    nitrogen_factor: Values = 1.0,
) -> CaseStructure:
    """Constituents and hardness of a quenched case at carbon contents over the depth.

        HV = f [(1 - a) HV_M(C) s + a HV_A] + b HV_B + p HV_FP

    f, b, p shares by `constituents_after_cooling` at the cooling rate (at 700 °C), with carbon up
    to the 0.5 % of that regression; a = exp[-b (Ms - T)] of the martensite's share stays austenite
    at the bath's temperature T. HV_M is 60 sqrt(C) + 20 HRC, converted, from 0.6 % carbon on held
    at that of 0.6 %. s is what a low temper leaves of the martensite's hardness: no law is held
    for it, a works measures it. HV_A 250: common practice, no source; at 20 % austenite 50 HV of
    it are 10 HV.

    Nitrogen of a carbonitrided case counts with the carbon by `carbon_with_nitrogen`, in all of
    this. Carbon and nitrogen may have depth on their last axis; the other arguments then have one
    axis less. All austenite is taken as free of carbides and nitrides.

    References: as the source.

    Example:
    >>> case = case_structure(carbon_percent=0.8, cooling_rate_K_per_s=60.0, parameter_degC=930.0,
    ...     Mn_percent=1.2, Cr_percent=1.0)
    >>> print(round(case.hardness_HV), round(case.retained_austenite_fraction, 2))
    797 0.14
    """
    carbon = np.asarray(carbon_percent, float)
    if np.any(nitrogen_percent):
        carbon = np.asarray(
            carbon_with_nitrogen(
                carbon_percent=carbon,
                nitrogen_percent=nitrogen_percent,
                nitrogen_factor=_beside(nitrogen_factor, carbon),
            )
        )
    alloy = {"Mn_percent": Mn_percent, "Ni_percent": Ni_percent, "Cr_percent": Cr_percent,
             "Mo_percent": Mo_percent}  # fmt: skip
    alloy = {name: _beside(value, carbon) for name, value in alloy.items()}
    silicon = _beside(Si_percent, carbon)
    rate = _beside(cooling_rate_K_per_s, carbon) * 3600.0
    capped = np.minimum(carbon, _REGRESSION_PERCENT)
    shares = constituents_after_cooling(
        C_percent=capped, cooling_rate_K_per_h=rate,
        parameter_degC=_beside(parameter_degC, carbon), **alloy,
    )  # fmt: skip
    soft = constituent_hardness(
        C_percent=capped, cooling_rate_martensite_K_per_h=rate, Si_percent=silicon, **alloy
    )
    full = {"C_percent": carbon, "Si_percent": silicon, **alloy}
    left = retained_austenite(
        Ms_degC=van_bohemen_martensite_start(**full),
        temperature_degC=_beside(bath_temperature_degC, carbon),
        rate_per_K=van_bohemen_rate(**full),
    )
    formed = np.asarray(shares.martensite_fraction)
    martensite = formed * (1.0 - left)
    hard = _martensite_HV(carbon) * _beside(temper_share, carbon)
    hardness = (
        martensite * hard
        + formed * left * _beside(austenite_HV, carbon)
        + shares.bainite_fraction * soft.bainite_HV
        + shares.ferrite_pearlite_fraction * soft.ferrite_pearlite_HV
    )
    return CaseStructure(
        np.asarray(hardness)[()], martensite[()], np.asarray(formed * left)[()], (1.0 - formed)[()]
    )


@calculation(
    source="ISO 18203:2016, case hardening depth: distance from the surface to the limiting "
    "hardness, 550 HV; straight line between two readings",
    gives="case_depth_mm",
    needs={"depth_mm": NOT_NEGATIVE, "hardness_HV": NOT_NEGATIVE, "limit_HV": POSITIVE},
    basis="memory",
)
def hardening_depth(*, depth_mm: Values, hardness_HV: Values, limit_HV: Values = 550.0) -> Values:
    """Depth at which a hardness traverse falls to a limit for the last time.

    Depth and hardness from the surface inwards, on the last axis. A part that is harder
    throughout has the depth of its last reading, one that is softer throughout has none (0).
    550 HV is the limiting hardness of ISO 18203 (and of ISO 2639 before it) where a drawing
    names no other. Of a tube whose bore is carburised too, hand only the half that belongs to
    the surface.

    References: as the source.

    Example:
    >>> round(hardening_depth(depth_mm=[0.1, 0.3, 0.5, 0.7],
    ...                       hardness_HV=[740.0, 660.0, 570.0, 450.0]), 3)
    0.533
    """
    depth, hardness = np.broadcast_arrays(
        np.asarray(depth_mm, float), np.asarray(hardness_HV, float)
    )
    hard = hardness >= np.asarray(limit_HV, float)[..., None]
    last = hardness.shape[-1] - 1 - np.argmax(hard[..., ::-1], axis=-1)
    after = np.minimum(last + 1, hardness.shape[-1] - 1)

    def at(values: np.ndarray, index: np.ndarray) -> Any:
        return np.take_along_axis(values, index[..., None], axis=-1)[..., 0]

    fall = at(hardness, last) - at(hardness, after)
    over = at(hardness, last) - limit_HV
    part = np.divide(over, fall, out=np.zeros_like(fall), where=fall > 0.0)
    found = at(depth, last) + part * (at(depth, after) - at(depth, last))
    return np.where(hard.any(axis=-1), found, 0.0)[()]


@calculation(
    source=_SOURCE,
    gives="carbon_percent",
    basis="computed",
    needs=_NEEDS | {"limit_HV": POSITIVE, "core_carbon_percent": (0.0, 1.0)},
)
def case_carbon(
    *,
    limit_HV: Values,
    cooling_rate_K_per_s: Values,
    parameter_degC: Values,
    core_carbon_percent: Values,
    bath_temperature_degC: Values = 40.0,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    austenite_HV: Values = 250.0,
    temper_share: Values = 1.0,
) -> Values:
    """Carbon content at which a case first reaches a hardness, going from the core outwards.

    `case_structure` on a scale of 0.002 % carbon, straight between. Single numbers only.

    Raises `ArgumentError` where no carbon content gives the hardness at this cooling rate, or
    the core has it already.

    References: as the source.

    Example:
    >>> print(round(case_carbon(limit_HV=550.0, cooling_rate_K_per_s=60.0, parameter_degC=930.0,
    ...     core_carbon_percent=0.17, Mn_percent=1.2, Cr_percent=1.0), 3))
    0.29
    """
    scale = np.arange(float(core_carbon_percent), 1.0, 0.002)
    hardness = np.asarray(
        case_structure(
            carbon_percent=scale, cooling_rate_K_per_s=cooling_rate_K_per_s,
            parameter_degC=parameter_degC, bath_temperature_degC=bath_temperature_degC,
            Mn_percent=Mn_percent, Si_percent=Si_percent, Ni_percent=Ni_percent,
            Cr_percent=Cr_percent, Mo_percent=Mo_percent, austenite_HV=austenite_HV,
            temper_share=temper_share,
        ).hardness_HV
    )  # fmt: skip
    first = int(np.argmax(hardness >= limit_HV))
    if hardness[0] >= limit_HV or hardness[first] < limit_HV:
        raise ArgumentError(
            "limit_HV", limit_HV, "HV",
            f"between {hardness[0]:.0f} HV of the core and {hardness.max():.0f} HV of the case",
        )  # fmt: skip
    part = (limit_HV - hardness[first - 1]) / (hardness[first] - hardness[first - 1])
    return float(scale[first - 1] + part * (scale[first] - scale[first - 1]))


@calculation(
    source="geometry: grinding takes half of what the diameter loses from the case",
    gives="case_depth_mm",
    basis="computed",
    needs={"case_depth_mm": NOT_NEGATIVE, "diameter_reduction_mm": NOT_NEGATIVE},
)
def depth_after_grinding(*, case_depth_mm: Values, diameter_reduction_mm: Values) -> Values:
    """Case hardening depth that grinding leaves: depth less half the reduction, not below none.

    References: geometry.

    Example:
    >>> print(round(depth_after_grinding(case_depth_mm=0.5, diameter_reduction_mm=0.16), 3))
    0.42
    """
    return np.maximum(np.asarray(case_depth_mm, float) - diameter_reduction_mm / 2.0, 0.0)[()]


def _martensite_HV(carbon: np.ndarray) -> np.ndarray:
    """Vickers hardness of martensite; flat from the carbon on at which it no longer grows."""
    rockwell = martensite_hardness_by_carbon(
        carbon_percent=np.clip(carbon, 0.1, _FULL_HARDNESS_PERCENT)
    )
    return np.asarray(hardness_iso18265(hardness_HRC=rockwell).hardness_HV)


def _beside(value: Any, carbon: np.ndarray) -> Any:
    """A number of each member, with an axis for the depth if carbon has one more."""
    array = np.asarray(value, float)
    return array[..., None] if 0 < array.ndim < carbon.ndim else array[()]
