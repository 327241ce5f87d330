"""Sawing and grinding: cutting time, feed, removal rate, power.

- `saw_cutting_time`: cut-off time of a round bar
- `grinding_specific_energy`: range of specific energies by metal
- `centreless_through_feed`, `centreless_grinding_power`: through-feed grinding of pins
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation, sourced
from linkwright.materials.flow_curves import name_words
from linkwright.quantities import UnknownName

_FILE = Path(__file__).parent / "data" / "grinding_energy.toml"
_KALPAKJIAN = (
    "S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. (2010), "
    "Table 26.3"
)


class SawCut(NamedTuple):
    """Results of `saw_cutting_time`."""

    area_cm2: Values
    time_min: Values


class SpecificEnergy(NamedTuple):
    """Results of `grinding_specific_energy`: lowest and highest value of the table."""

    specific_energy_low_J_per_mm3: Values
    specific_energy_high_J_per_mm3: Values


class CentrelessGrinding(NamedTuple):
    """Results of `centreless_grinding_power`."""

    removal_rate_mm3_per_s: Values
    power_kW: Values


@calculation(
    source="common practice: time = cross-section / area rate",
    basis="common practice",
    needs={"bar_diameter_mm": POSITIVE, "cutting_rate_cm2_per_min": POSITIVE},
)
def saw_cutting_time(*, bar_diameter_mm: Values, cutting_rate_cm2_per_min: Values) -> SawCut:
    """Section of a round bar and the time to saw it, area over area rate.

    Approach and return of the saw are not in it.

    References: common practice, no source.

    Example:
        >>> cut = saw_cutting_time(bar_diameter_mm=50.0, cutting_rate_cm2_per_min=30.0)
        >>> print(round(cut.area_cm2, 3), round(cut.time_min, 4))
        19.635 0.6545
    """
    area = np.pi * bar_diameter_mm**2 / 400.0
    return SawCut(area, area / cutting_rate_cm2_per_min)


@calculation(source=_KALPAKJIAN, basis="memory")
def grinding_specific_energy(*, material: str) -> SpecificEnergy:
    """Range of the specific energy of surface grinding for a metal of the table.

    Raises `UnknownName` with the nearest names.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Table 26.3.

    Example:
        >>> print(*grinding_specific_energy(material="1020 steel, 110 HB"))
        14.0 68.0
    """
    wanted = name_words(material)
    for row in _data()["row"]:
        if wanted in {name_words(name) for name in (row["material"], *row["also"])}:
            source = f"{_KALPAKJIAN}, row {row['material']}"
            return SpecificEnergy(
                *(sourced(key, row[key], "table", source, "memory") for key in _FIELDS)
            )
    raise UnknownName("material", material, [row["material"] for row in _data()["row"]])


@calculation(
    source="Machinery's Handbook, centerless grinding, through-feed",
    gives="feed_m_per_min",
    basis="computed",
    needs={
        "regulating_wheel_diameter_mm": POSITIVE,
        "regulating_wheel_rpm": NOT_NEGATIVE,
        "tilt_deg": (0.0, 90.0),
    },
)
def centreless_through_feed(
    *, regulating_wheel_diameter_mm: Values, regulating_wheel_rpm: Values, tilt_deg: Values
) -> Values:
    """Through-feed rate of centreless grinding, pi D N sin(tilt), without slip.

    References: Machinery's Handbook, centerless grinding.

    Example:
        >>> print(round(centreless_through_feed(regulating_wheel_diameter_mm=300.0,
        ...                                     regulating_wheel_rpm=40.0, tilt_deg=3.0), 3))
        1.973
    """
    circumference = np.pi * regulating_wheel_diameter_mm / 1000.0
    return circumference * regulating_wheel_rpm * np.sin(np.radians(tilt_deg))


@calculation(
    source="geometry, pi D a v; specific energy from " + _KALPAKJIAN,
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "diameter_reduction_mm": NOT_NEGATIVE,
        "feed_m_per_min": NOT_NEGATIVE,
        "specific_energy_J_per_mm3": NOT_NEGATIVE,
    },
)
def centreless_grinding_power(
    *,
    diameter_mm: Values,
    diameter_reduction_mm: Values,
    feed_m_per_min: Values,
    specific_energy_J_per_mm3: Values,
) -> CentrelessGrinding:
    """Removal rate pi D a v and power of a through-feed pass, a half the diameter reduction.

    The power is the removal rate times the specific energy, at the wheel.

    References: geometry; S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and
    Technology, 6th ed. (2010), Table 26.3 for the specific energy.

    Example:
        >>> ground = centreless_grinding_power(diameter_mm=10.0, diameter_reduction_mm=0.05,
        ...     feed_m_per_min=1.973, specific_energy_J_per_mm3=40.0)
        >>> print(round(ground.removal_rate_mm3_per_s, 2), round(ground.power_kW, 3))
        25.83 1.033
    """
    depth = diameter_reduction_mm / 2.0
    rate = np.pi * diameter_mm * depth * feed_m_per_min * 1000.0 / 60.0
    return CentrelessGrinding(rate, rate * specific_energy_J_per_mm3 / 1000.0)


_FIELDS = SpecificEnergy._fields


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
