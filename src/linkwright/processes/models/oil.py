"""Viscosity of quench and hydraulic oils with temperature.

- `viscosity_index`: ASTM D2270
- `viscosity_at_temperature`: ASTM D341 through two known points
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_D2270 = "ASTM D2270-10(2016), Table 1 and equations"
_TABLE_END = 70.0


@calculation(
    source=_D2270,
    gives="viscosity_index",
    needs={
        "viscosity_40degC_mm2_per_s": POSITIVE,
        "viscosity_100degC_mm2_per_s": (2.0, None),
    },
)
def viscosity_index(
    *, viscosity_40degC_mm2_per_s: Values, viscosity_100degC_mm2_per_s: Values
) -> Values:
    """Viscosity index of an oil from its kinematic viscosities at 40 and 100 °C.

    L and H are the viscosities at 40 °C of reference oils of index 0 and 100 with the same
    viscosity Y at 100 °C, straight between the rows of the table, above 70 mm2/s

        L = 0.8353 Y^2 + 14.67 Y - 216,  H = 0.1684 Y^2 + 11.85 Y - 97

    With U the viscosity at 40 °C:

        U >= H: VI = 100 (L - U)/(L - H)
        U <  H: VI = 100 + (10^N - 1)/0.00715,  N = (log H - log U)/log Y

    Not rounded; the standard reports whole numbers.

    References: ASTM D2270-10(2016); table as held by the open library chemicals.
    """
    U = np.asarray(viscosity_40degC_mm2_per_s, dtype=float)
    Y = np.asarray(viscosity_100degC_mm2_per_s, dtype=float)
    at, low, high = _reference_oils()
    beyond = Y > _TABLE_END
    L = np.where(beyond, (0.8353 * Y + 14.67) * Y - 216.0, np.interp(Y, at, low))
    H = np.where(beyond, (0.1684 * Y + 11.85) * Y - 97.0, np.interp(Y, at, high))
    N = np.log(H / U) / np.log(Y)
    above = 100.0 + (10.0**N - 1.0) / 0.00715
    return np.where(U >= H, 100.0 * (L - U) / (L - H), above)[()]


@calculation(
    source="ASTM D341 (Walther), log10 log10 (v + 0.7) = A - B log10 T",
    gives="viscosity_mm2_per_s",
    needs={
        "viscosity_40degC_mm2_per_s": (0.31, None),
        "viscosity_100degC_mm2_per_s": (0.31, None),
        "temperature_degC": (-273.0, None),
    },
    valid={
        "viscosity_40degC_mm2_per_s": (2.0, 2e7),
        "viscosity_100degC_mm2_per_s": (2.0, 2e7),
        "temperature_degC": (-40.0, 200.0),
    },
)
def viscosity_at_temperature(
    *,
    viscosity_40degC_mm2_per_s: Values,
    viscosity_100degC_mm2_per_s: Values,
    temperature_degC: Values,
) -> Values:
    """Kinematic viscosity at a temperature, through the values at 40 and 100 °C.

        log10 log10 (v + 0.7) = A - B log10 T,  T in kelvin

    Raises `ArgumentError` if the oil is not thinner at 100 °C than at 40 °C.

    References: ASTM D341, short form for viscosities above 2 mm2/s.
    """
    if not np.all(np.less(viscosity_100degC_mm2_per_s, viscosity_40degC_mm2_per_s)):
        raise ArgumentError(
            "viscosity_100degC_mm2_per_s",
            viscosity_100degC_mm2_per_s,
            "mm²/s",
            "less than at 40 °C",
        )
    cold = np.log10(np.log10(np.asarray(viscosity_40degC_mm2_per_s) + 0.7))
    warm = np.log10(np.log10(np.asarray(viscosity_100degC_mm2_per_s) + 0.7))
    share = np.log10((temperature_degC + 273.15) / 313.15) / np.log10(373.15 / 313.15)
    return (10.0 ** (10.0 ** (cold + (warm - cold) * share)) - 0.7)[()]


@calculation(
    source="ASTM D341 (Walther), solved for the temperature",
    gives="temperature_degC",
    needs={
        "viscosity_40degC_mm2_per_s": (0.31, None),
        "viscosity_100degC_mm2_per_s": (0.31, None),
        "viscosity_mm2_per_s": (0.31, None),
    },
)
def temperature_for_viscosity(
    *,
    viscosity_40degC_mm2_per_s: Values,
    viscosity_100degC_mm2_per_s: Values,
    viscosity_mm2_per_s: Values,
) -> Values:
    """Temperature at which an oil or molten grease is as thin as wanted.

    `viscosity_at_temperature` solved for T; the line through 40 and 100 °C goes on beyond them.

    Raises `ArgumentError` if the oil is not thinner at 100 °C than at 40 °C.

    References: ASTM D341.

    Example:
        >>> round(temperature_for_viscosity(viscosity_40degC_mm2_per_s=100.0,
        ...     viscosity_100degC_mm2_per_s=11.0, viscosity_mm2_per_s=11.0), 6)
        100.0
    """
    if not np.all(np.less(viscosity_100degC_mm2_per_s, viscosity_40degC_mm2_per_s)):
        raise ArgumentError(
            "viscosity_100degC_mm2_per_s",
            viscosity_100degC_mm2_per_s,
            "mm²/s",
            "less than at 40 °C",
        )
    cold, warm, aim = (
        np.log10(np.log10(np.asarray(value, float) + 0.7))
        for value in (
            viscosity_40degC_mm2_per_s, viscosity_100degC_mm2_per_s, viscosity_mm2_per_s
        )
    )  # fmt: skip
    share = (aim - cold) / (warm - cold)
    return (313.15 * (373.15 / 313.15) ** share - 273.15)[()]


@cache
def _reference_oils() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Viscosity at 100 °C, L and H (mm2/s) of Table 1."""
    place = files("linkwright.processes.models") / "data" / "viscosity_index_d2270.csv"
    lines = (line for line in place.read_text("utf-8").splitlines() if not line.startswith("#"))
    rows = list(csv.DictReader(lines))
    at, low, high = (np.array([float(row[key]) for row in rows]) for key in rows[0])
    return at, low, high
