"""Heat that runs along a bar whose end was heated from outside for a short time.

`heated_end_rise`: temperature above the rest of the bar at a distance from its end, at a radius, at
a time, during the heat and after it.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_TERMS = 40


@calculation(
    source="H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959): line of "
    "sources along the axis, Bessel series over the radius, cooling by superposition",
    gives="rise_K",
    basis="computed",
    needs={
        "distance_mm": NOT_NEGATIVE, "radius_ratio": (0.0, 1.0), "time_s": NOT_NEGATIVE,
        "heating_time_s": POSITIVE, "power_kW": NOT_NEGATIVE, "heated_length_mm": POSITIVE,
        "diameter_mm": POSITIVE, "conductivity_W_per_mK": POSITIVE,
        "diffusivity_mm2_per_s": POSITIVE,
    },
)  # fmt: skip
def heated_end_rise(
    *,
    distance_mm: Values,
    radius_ratio: Values,
    time_s: Values,
    heating_time_s: Values,
    power_kW: Values,
    heated_length_mm: Values,
    diameter_mm: Values,
    conductivity_W_per_mK: Values,
    diffusivity_mm2_per_s: Values,
) -> Values:
    """Rise of temperature in a long round bar with an even heat flow into its skin near its end.

    P flows into the skin over the length L from the end z = 0, which loses none, from time 0 to
    t_h. With q = P/(pi d L), R = d/2, conductivity k, diffusivity a and the zeros b_n of J1:

        u = 2 q a/(k R) [U_0 + sum_n J0(b_n r/R)/J0(b_n) U_n],   lambda_n = a b_n^2/R^2
        U_n(z, t) = 1/2 int_0^t e^(-lambda_n s) {erf[(L - z)/2 sqrt(a s)] + erf[(L + z)/...]} ds

    each integral in closed form; after the heat u(t) - u(t - t_h). All arguments broadcast. Forty
    terms: within 1 % of the rise 0.02 t_h after start and end of the heat.

    Validity: constant properties, no loss to the air, a bar so long that its other end stays cold.

    References: as the source; the integral of e^(-lambda s) erfc(a/sqrt s) by parts.

    Example:
        >>> print(round(float(heated_end_rise(distance_mm=0.0, radius_ratio=1.0, time_s=1.0,
        ...     heating_time_s=1.0, power_kW=0.5, heated_length_mm=3.0, diameter_mm=8.0,
        ...     conductivity_W_per_mK=38.0, diffusivity_mm2_per_s=7.8))))
        675
    """
    numbers = (distance_mm, radius_ratio, time_s, heating_time_s, power_kW, heated_length_mm,
               diameter_mm, conductivity_W_per_mK, diffusivity_mm2_per_s)  # fmt: skip
    z, ratio, t, heat, power, length, diameter, k, a = (np.asarray(n, float) for n in numbers)
    flow = 1e6 * power / (np.pi * diameter * length)  # W/m2 from kW and mm2, times 1e3
    scale = 2.0 * flow * a / (k * diameter / 2.0)
    zeros, at_skin = _bessel()
    rise: Any = 0.0
    for zero, skin in zip(zeros, at_skin, strict=True):
        rate = a * zero**2 / (diameter / 2.0) ** 2
        on = _along(z, t, length, a, rate)
        off = _along(z, np.maximum(t - heat, 0.0), length, a, rate)
        rise = rise + _over_radius(zero, ratio) / skin * (on - off)
    return (scale * rise)[()]


@cache
def _bessel() -> tuple[np.ndarray, np.ndarray]:
    """Zeros of J1 with nought before them, and J0 there."""
    from scipy.special import j0, jn_zeros  # noqa: PLC0415 - heavy, on use

    zeros = np.concatenate([[0.0], jn_zeros(1, _TERMS)])
    return zeros, j0(zeros)


def _over_radius(zero: float, ratio: np.ndarray) -> Any:
    from scipy.special import j0  # noqa: PLC0415 - heavy, on use

    return j0(zero * ratio)


def _along(
    z: np.ndarray, t: np.ndarray, length: np.ndarray, a: np.ndarray, rate: np.ndarray
) -> Any:
    """U of one term: the step response of sources between -L and L that decay at a rate."""
    return 0.5 * (_side(length - z, t, a, rate) + _side(length + z, t, a, rate))


def _side(y: np.ndarray, t: np.ndarray, a: np.ndarray, rate: np.ndarray) -> Any:
    """int_0^t e^(-rate s) erf(y/(2 sqrt(a s))) ds, odd in y; nothing at no time."""
    from scipy.special import erfc, erfcx  # noqa: PLC0415 - heavy, on use

    some = np.maximum(t, 1e-300)
    root = np.sqrt(some)
    half = np.abs(y) / (2.0 * np.sqrt(a))
    near = half / root
    tail = np.exp(-np.minimum(near**2, 700.0))
    if not np.any(rate):
        whole = some
        beside = (some + 2.0 * half**2) * erfc(near) - 2.0 * half * root / np.sqrt(np.pi) * tail
    else:
        decay, wave = np.exp(-np.minimum(rate * some, 700.0)), np.sqrt(rate)
        whole = (1.0 - decay) / rate
        up = tail * decay * erfcx(near + wave * root)
        down = np.exp(-np.minimum(2.0 * half * wave, 700.0)) * erfc(near - wave * root)
        beside = (-decay * erfc(near) + 0.5 * (down + up)) / rate
    return np.where(t > 0.0, np.sign(y) * (whole - beside), 0.0)
