"""Case hardening as one calculation: from gas programme and quench to case, surface and core.

- `hardened_case`: depth of the case, hardness of surface and core, carbon, retained austenite
- `case_course`: carbon and hardness over the depth, for a picture
- `cooled_thickness`: the plate that cools as fast as a pin or a tube
- `at_members`: a case at members whose furnace or gas were off, by its slopes
- `cycle_time`, `hot_time`, `gas_time`: time of a load in all, hot, in gas
- `colder_of`: the coldest that the gas meets
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.carburising import (
    ContentProfile,
    carburised_profile,
    nitrided_profile,
)
from linkwright.processes.models.case_structure import (
    CaseStructure,
    case_structure,
    hardening_depth,
)

_SOURCE = (
    "carbon by `carburised_profile`, structure and hardness by `case_structure`, depth by "
    "`hardening_depth`"
)
_GAS = (
    "section_mm", "boost_time_h", "boost_potential_percent", "C_percent", "temperature_degC",
    "diffuse_time_h", "diffuse_potential_percent", "hold_temperature_degC", "hold_time_min",
    "bore_mm", "bore_share", "alloy_factor", "transfer_m_per_s",
)  # fmt: skip
_QUENCH = (
    "cooling_rate_K_per_s", "parameter_degC", "bath_temperature_degC", "temper_share",
    "Mn_percent", "Si_percent", "Ni_percent", "Cr_percent", "Mo_percent", "nitrogen_factor",
)  # fmt: skip


class HardenedCase(NamedTuple):
    """Results of `hardened_case`."""

    case_depth_mm: Values
    """To the limiting hardness, from the outside."""
    surface_hardness_HV: Values
    core_hardness_HV: Values
    """The softest place: the middle of a pin, of the wall of a tube."""
    surface_carbon_percent: Values
    core_carbon_percent: Values
    retained_austenite_percent: Values
    """Where there is most."""
    core_martensite_percent: Values
    uptake_g_per_m2: Values
    """Carbon, per area of the outside."""
    surface_nitrogen_percent: Values
    """0 where no ammonia was added."""


@calculation(
    costly=True,
    source=_SOURCE,
    basis="computed",
    needs={"section_mm": POSITIVE, "cooling_rate_K_per_s": POSITIVE, "limit_HV": POSITIVE},
)
def hardened_case(
    *,
    section_mm: Values,
    boost_time_h: Values,
    boost_potential_percent: Values,
    diffuse_time_h: Values,
    diffuse_potential_percent: Values,
    temperature_degC: Values,
    hold_temperature_degC: Values,
    hold_time_min: Values,
    cooling_rate_K_per_s: Values,
    parameter_degC: Values,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    bath_temperature_degC: Values = 60.0,
    bore_mm: Values = 0.0,
    bore_share: Values = 1.0,
    alloy_factor: Values = 1.0,
    transfer_m_per_s: Values = 1.3e-7,
    temper_share: Values = 1.0,
    limit_HV: Values = 550.0,
    nitrogen_potential_percent: Values = 0.0,
    nitrogen_transfer_m_per_s: Values = 5e-8,
    nitrogen_factor: Values = 1.0,
) -> HardenedCase:
    """Case of a round part or tube after boost, diffusion, hold, quench and low temper.

    Section an outside diameter, bore that of a tube (0: solid). Of a tube the half of the wall at
    the outside counts for the depth. The cooling rate holds throughout the section: parts thin
    enough to cool evenly. With a nitrogen potential (carbonitriding) nitrogen goes in over the
    same times by `nitrided_profile` and counts with the carbon.

    Validity: as the calculations it is made of.

    References: as the source.

    Example:
        >>> case = hardened_case(section_mm=8.4, boost_time_h=1.2, boost_potential_percent=1.05,
        ...     diffuse_time_h=0.5, diffuse_potential_percent=0.8, temperature_degC=925.0,
        ...     hold_temperature_degC=840.0, hold_time_min=20.0, cooling_rate_K_per_s=60.0,
        ...     parameter_degC=900.0, C_percent=0.2, Mn_percent=1.2, Cr_percent=1.1)
        >>> print(round(case.case_depth_mm, 2), round(case.surface_carbon_percent, 2))
        0.63 0.75
    """
    given = {
        "section_mm": section_mm, "boost_time_h": boost_time_h,
        "boost_potential_percent": boost_potential_percent, "diffuse_time_h": diffuse_time_h,
        "diffuse_potential_percent": diffuse_potential_percent,
        "temperature_degC": temperature_degC, "hold_temperature_degC": hold_temperature_degC,
        "hold_time_min": hold_time_min, "cooling_rate_K_per_s": cooling_rate_K_per_s,
        "parameter_degC": parameter_degC, "C_percent": C_percent, "Mn_percent": Mn_percent,
        "Si_percent": Si_percent, "Ni_percent": Ni_percent, "Cr_percent": Cr_percent,
        "Mo_percent": Mo_percent, "bath_temperature_degC": bath_temperature_degC,
        "bore_mm": bore_mm, "bore_share": bore_share, "alloy_factor": alloy_factor,
        "transfer_m_per_s": transfer_m_per_s, "temper_share": temper_share,
        "nitrogen_potential_percent": nitrogen_potential_percent,
        "nitrogen_transfer_m_per_s": nitrogen_transfer_m_per_s,
        "nitrogen_factor": nitrogen_factor,
    }  # fmt: skip
    gas, nitrogen, structure = _run(given)
    outer = _outer_half(gas.depth_mm, bore_mm)
    hardness = np.asarray(structure.hardness_HV)
    depth = hardening_depth(
        depth_mm=gas.depth_mm[..., :outer], hardness_HV=hardness[..., :outer], limit_HV=limit_HV
    )
    softest = np.argmin(hardness, axis=-1)[..., None]

    def there(values: Any) -> Any:
        return np.take_along_axis(np.asarray(values), softest, axis=-1)[..., 0][()]

    left = 100.0 * np.asarray(structure.retained_austenite_fraction).max(axis=-1)
    return HardenedCase(
        depth, hardness[..., 0][()], there(hardness), gas.surface_content_percent,
        gas.core_content_percent, left[()], 100.0 * there(structure.martensite_fraction),
        gas.uptake_g_per_m2, 0.0 if nitrogen is None else nitrogen.surface_content_percent,
    )  # fmt: skip


def case_course(given: dict[str, Any]) -> dict[str, Any]:
    """Depth, carbon, nitrogen if any and hardness of one part, by arguments of `hardened_case`."""
    gas, nitrogen, structure = _run({name: float(value) for name, value in given.items()})
    found = {
        "case_depth_below_mm": gas.depth_mm,
        "case_carbon_percent": gas.content_percent,
        "case_hardness_HV": np.asarray(structure.hardness_HV),
        "case_retained_austenite_percent": 100.0
        * np.asarray(structure.retained_austenite_fraction),
    }
    if nitrogen is not None:
        found["case_nitrogen_percent"] = nitrogen.content_percent
    return found


def _run(given: dict[str, Any]) -> tuple[ContentProfile, ContentProfile | None, CaseStructure]:
    """Carbon, nitrogen and structure over the depth, each on no more members than it needs.

    Gas and quench may differ in shape (a few gases, many baths): diffusion runs once for each gas.
    """
    axes = max(np.ndim(value) for value in given.values())
    gas_given = _together({name: given[name] for name in _GAS if name in given}, axes)
    gas = carburised_profile(**gas_given)
    nitrogen = _nitrogen(given, gas_given)
    quench = {name: np.asarray(given[name], float) for name in _QUENCH if name in given}
    if nitrogen is not None:
        quench["nitrogen_percent"] = np.asarray(nitrogen.content_percent)
    structure = case_structure(carbon_percent=gas.content_percent, **quench)
    whole = np.broadcast_arrays(*(np.asarray(value, float) for value in structure))
    return gas, nitrogen, CaseStructure(*whole)


def _nitrogen(given: dict[str, Any], gas: dict[str, Any]) -> ContentProfile | None:
    """Nitrogen over the depth, on the nodes of the carbon; None without ammonia."""
    if not np.any(given.get("nitrogen_potential_percent", 0.0)):
        return None
    same = ("section_mm", "bore_mm", "bore_share", "temperature_degC", "hold_temperature_degC",
            "hold_time_min")  # fmt: skip
    return nitrided_profile(
        time_h=gas["boost_time_h"] + gas["diffuse_time_h"],
        nitrogen_potential_percent=given["nitrogen_potential_percent"],
        transfer_m_per_s=given["nitrogen_transfer_m_per_s"],
        **{name: gas[name] for name in same},
    )


def _together(numbers: dict[str, Any], axes: int) -> dict[str, Any]:
    """Numbers of one shape, with as many axes as all members have."""
    shaped = np.broadcast_arrays(*(np.asarray(value, float) for value in numbers.values()))
    missing = (1,) * (axes - shaped[0].ndim)
    return {
        name: value.reshape(missing + value.shape)
        for name, value in zip(numbers, shaped, strict=True)
    }


def _outer_half(depth_mm: np.ndarray, bore_mm: Values) -> int:
    """How many nodes belong to the outside: all of a solid part, half the wall of a tube."""
    one = depth_mm.reshape(-1, depth_mm.shape[-1])[0]
    if not np.any(np.asarray(bore_mm) > 0.0):
        return int(one.size)
    return int(np.searchsorted(one, one[-1] / 2.0, side="right"))


@calculation(
    source="volume over surface of cylinder and tube against that of a plate",
    gives="plate_thickness_mm",
    basis="computed",
    needs={"section_mm": POSITIVE, "bore_mm": NOT_NEGATIVE},
)
def cooled_thickness(*, section_mm: Values, bore_mm: Values = 0.0) -> Values:
    """Thickness of the plate that has the same volume to its surface: (D - b)/2.

    Half the diameter of a pin, the wall of a tube that the bath reaches inside too.

    References: geometry; ends left out.
    """
    return (np.asarray(section_mm, float) - bore_mm)[()] / 2.0


@calculation(
    source="first-order change of a solved case", gives="value", basis="computed",
)  # fmt: skip
def at_members(*, value: Values, slopes: Values, moves: Values) -> Values:
    """A result at members whose inputs were off: value + sum of slope times move.

    ``slopes`` and ``moves`` have the sources on their first axis, members on the others.

    References: none needed.
    """
    return np.asarray(value) + (np.asarray(slopes, float) * np.asarray(moves, float)).sum(axis=0)


@calculation(
    source="sum of times", gives="time_min", basis="computed",
    needs={"boost_time_h": NOT_NEGATIVE, "diffuse_time_h": NOT_NEGATIVE},
)  # fmt: skip
def cycle_time(
    *,
    heating_time_min: Values,
    boost_time_h: Values,
    diffuse_time_h: Values,
    hold_time_min: Values,
    time_in_bath_s: Values,
    temper_time_min: Values,
) -> Values:
    """Time of a load from door to door: heating, boost, diffusion, hold, bath, temper.

    References: none needed.
    """
    hot = heating_time_min + 60.0 * (boost_time_h + diffuse_time_h) + hold_time_min
    return hot + time_in_bath_s / 60.0 + temper_time_min


@calculation(
    source="ratio of depths", gives="case_share_percent", basis="computed",
    needs={"case_depth_mm": NOT_NEGATIVE, "section_mm": POSITIVE, "bore_mm": NOT_NEGATIVE},
)  # fmt: skip
def case_share(*, case_depth_mm: Values, section_mm: Values, bore_mm: Values = 0.0) -> Values:
    """Depth of the case as per cent of the way to the middle of the metal.

    To the axis of a pin, to the middle of the wall of a tube.

    References: geometry.
    """
    middle = (np.asarray(section_mm, float) - bore_mm) / np.where(np.asarray(bore_mm) > 0, 4.0, 2.0)
    return (100.0 * case_depth_mm / middle)[()]


@calculation(source="definition of the hour", gives="time_s", basis="computed")
def seconds_of(*, time_h: Values) -> Values:
    """Seconds of a time in hours.

    References: definition.
    """
    return 3600.0 * time_h


@calculation(source="sum of times", gives="time_h", basis="computed")
def hot_time(*, boost_time_h: Values, diffuse_time_h: Values) -> Values:
    """Time at the temperature of carburising: boost and diffusion.

    References: none needed.
    """
    return boost_time_h + diffuse_time_h


@calculation(source="sum of times", gives="time_h", basis="computed")
def gas_time(*, boost_time_h: Values, diffuse_time_h: Values, hold_time_min: Values) -> Values:
    """Time in gas: boost, diffusion and the hold before the quench.

    References: none needed.
    """
    return boost_time_h + diffuse_time_h + hold_time_min / 60.0


@calculation(source="the lower of two", gives="temperature_degC", basis="computed")
def colder_of(*, temperature_degC: Values, hold_temperature_degC: Values) -> Values:
    """The lower of the temperatures of carburising and of the hold.

    References: none needed.
    """
    return np.minimum(temperature_degC, hold_temperature_degC)[()]
