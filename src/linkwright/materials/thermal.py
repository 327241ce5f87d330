"""Thermal properties of carbon steel and its strength when hot, from the fire design code.

- `ec3_specific_heat`, `ec3_enthalpy` (its exact integral), `ec3_thermal_conductivity`
- `ec3_thermal_elongation`
- `ec3_reduction_factors`: yield, proportional limit and modulus as shares of their cold values

All broadcast over arrays of temperatures. Above 1200 °C the last branch is carried on, with
a warning.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation

_RANGE = {"temperature_degC": (20.0, 1200.0)}
_EC3 = "EN 1993-1-2:2005 (Eurocode 3, structural fire design)"


@calculation(
    source=f"{_EC3}, 3.4.1.2, eqs (3.2a) to (3.2d)",
    gives="specific_heat_J_per_kgK",
    valid=_RANGE,
)
def ec3_specific_heat(*, temperature_degC: Values) -> Values:
    """Specific heat of carbon steel, with the peak of the transformation at 735 °C.

        c = 425 + 0.773 T - 1.69e-3 T^2 + 2.22e-6 T^3     20 <= T < 600
        c = 666 + 13002/(738 - T)                        600 <= T < 735
        c = 545 + 17820/(T - 731)                        735 <= T < 900
        c = 650                                          900 <= T <= 1200

    T in °C, c in J/(kg K).

    >>> round(float(ec3_specific_heat(temperature_degC=735.0)), 1)
    5000.0

    References: EN 1993-1-2:2005, 3.4.1.2.
    """
    T = np.asarray(temperature_degC, dtype=float)
    first = 425.0 + T * (0.773 + T * (-1.69e-3 + 2.22e-6 * T))
    second = 666.0 + 13002.0 / (738.0 - np.clip(T, 600.0, 735.0))
    third = 545.0 + 17820.0 / (np.clip(T, 735.0, 900.0) - 731.0)
    chosen = np.select([T < 600.0, T < 735.0, T < 900.0], [first, second, third], 650.0)
    return chosen[()]


@calculation(
    source=f"{_EC3}, 3.4.1.2, integrated in closed form",
    gives="enthalpy_J_per_kg",
    valid={"temperature_degC": (20.0, 1200.0), "start_degC": (20.0, 1200.0)},
    basis="computed",
)
def ec3_enthalpy(*, temperature_degC: Values, start_degC: Values = 20.0) -> Values:
    """Heat content of carbon steel between two temperatures: the integral of `ec3_specific_heat`.

        h = H(T) - H(start), H the antiderivative, joined at 600, 735 and 900 °C:
        425 T + 0.773 T^2/2 - 1.69e-3 T^3/3 + 2.22e-6 T^4/4;  666 T - 13002 ln(738 - T);
        545 T + 17820 ln(T - 731);  650 T

    Closed form, so the peak at 735 °C is never stepped over.

    >>> round(float(ec3_enthalpy(temperature_degC=850.0)) / 1000.0, 1)
    598.6

    References: EN 1993-1-2:2005, 3.4.1.2.
    """
    return (_heat_content(temperature_degC) - _heat_content(start_degC))[()]


def _heat_content(temperature_degC: Values) -> Any:
    """Antiderivative of the specific heat (J/kg), continuous over the four branches."""
    T = np.asarray(temperature_degC, dtype=float)
    low = np.minimum(T, 600.0)
    polynomial = low * (425.0 + low * (0.773 / 2 + low * (-1.69e-3 / 3 + low * 2.22e-6 / 4)))
    rising = np.clip(T, 600.0, 735.0)
    falling = np.clip(T, 735.0, 900.0)
    return (
        polynomial
        + 666.0 * (rising - 600.0)
        - 13002.0 * np.log((738.0 - rising) / 138.0)
        + 545.0 * (falling - 735.0)
        + 17820.0 * np.log((falling - 731.0) / 4.0)
        + 650.0 * np.maximum(T - 900.0, 0.0)
    )


@calculation(
    source=f"{_EC3}, 3.4.1.3, eqs (3.3a) and (3.3b)",
    gives="conductivity_W_per_mK",
    valid=_RANGE,
)
def ec3_thermal_conductivity(*, temperature_degC: Values) -> Values:
    """Thermal conductivity of carbon steel: 54 - 0.0333 T below 800 °C, then 27.3 W/(m K).

    References: EN 1993-1-2:2005, 3.4.1.3.
    """
    T = np.asarray(temperature_degC, dtype=float)
    return np.where(T < 800.0, 54.0 - 3.33e-2 * T, 27.3)[()]


@calculation(
    source=f"{_EC3}, 3.4.1.1, eqs (3.1a) to (3.1c)",
    gives="elongation",
    valid=_RANGE,
)
def ec3_thermal_elongation(*, temperature_degC: Values) -> Values:
    """Relative thermal elongation of carbon steel from 20 °C.

        1.2e-5 T + 0.4e-8 T^2 - 2.416e-4     T < 750
        0.011                          750 <= T <= 860   (the step into austenite)
        2e-5 T - 6.2e-3                      T > 860

    T in °C; the code's own curve steps down by 8e-6 at 750 °C.

    References: EN 1993-1-2:2005, 3.4.1.1.
    """
    T = np.asarray(temperature_degC, dtype=float)
    first = 1.2e-5 * T + 0.4e-8 * T**2 - 2.416e-4
    return np.select([T < 750.0, T <= 860.0], [first, 1.1e-2], 2e-5 * T - 6.2e-3)[()]


_TABLE_3_1_DEGC = np.array([20.0, *range(100, 1300, 100)])
_YIELD = np.array([1, 1, 1, 1, 1, 0.78, 0.47, 0.23, 0.11, 0.06, 0.04, 0.02, 0.0])
_LIMIT = np.array([1, 1, 0.807, 0.613, 0.42, 0.36, 0.18, 0.075, 0.05, 0.0375, 0.025, 0.0125, 0.0])
_MODULUS = np.array([1, 1, 0.9, 0.8, 0.7, 0.6, 0.31, 0.13, 0.09, 0.0675, 0.045, 0.0225, 0.0])


class HotFactors(NamedTuple):
    """Results of `ec3_reduction_factors`, each the share of the value at 20 °C."""

    yield_factor: Values
    proportional_limit_factor: Values
    modulus_factor: Values


@calculation(source=f"{_EC3}, Table 3.1", needs={"temperature_degC": (None, 1200.0)})
def ec3_reduction_factors(*, temperature_degC: Values) -> HotFactors:
    """Yield, proportional-limit and modulus factors of hot carbon steel, straight between rows.

    The table is for structural carbon steel in slow heating; for the hot strength of alloyed
    steel at forging rates it is only a first idea. Below 20 °C all factors are one.

    >>> tuple(map(float, ec3_reduction_factors(temperature_degC=550.0)))[0]
    0.625

    References: EN 1993-1-2:2005, Table 3.1.
    """
    T = np.asarray(temperature_degC, dtype=float)
    return HotFactors(
        *(np.interp(T, _TABLE_3_1_DEGC, row)[()] for row in (_YIELD, _LIMIT, _MODULUS))
    )
