"""Heat conduction in simple bodies by exact series and by the lumped balance.

Long cylinder, constant properties, surface transfer to surroundings of constant temperature:
- `cylinder_temperature`, `cylinder_centre_temperature`: the full series
- `cylinder_one_term`: its first term, for Fo above 0.2
- `cylinder_cooling`: the same with sizes, times and temperatures
- `cylinder_roots`: the roots that the series needs
Bodies of even temperature:
- `lumped_cooling_time`, `lumped_wire_time_constant`

Biot and Fourier numbers are made with the radius: Bi = h R/k, Fo = a t/R^2.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

_CARSLAW = "H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), Sec. 7.7"
_TERMS = 60
_LOST = 40.0  # exp(-40) is below the rounding of one
_BODIES = {"sphere": 6.0, "long cylinder": 4.0, "plate": 2.0}


def cylinder_roots(biot: Any, terms: int = _TERMS) -> np.ndarray:
    """The first roots z of z J1(z) = Bi J0(z), on a new last axis.

    Each lies between a zero of J1 and the next zero of J0, which brackets it for every Bi > 0;
    found by bracketed root finding for all at once.
    """
    from scipy.optimize.elementwise import find_root  # noqa: PLC0415 - heavy, on use
    from scipy.special import j0, j1  # noqa: PLC0415 - heavy, on use

    Bi = np.asarray(biot, dtype=float)[..., None]
    below, above = _brackets(terms)
    shape = np.broadcast_shapes(Bi.shape, below.shape)
    bracket = (np.broadcast_to(below, shape), np.broadcast_to(above, shape))
    biots = np.broadcast_to(Bi, shape)
    return np.asarray(find_root(lambda z, b: z * j1(z) - b * j0(z), bracket, args=(biots,)).x)


@cache
def _brackets(terms: int) -> tuple[np.ndarray, np.ndarray]:
    from scipy.special import jn_zeros  # noqa: PLC0415 - heavy, on use

    return np.concatenate([[0.0], jn_zeros(1, terms - 1)]), jn_zeros(0, terms)


def _theta(biot: Any, fourier: Any, radius_ratio: Any) -> Any:
    """The series; summed over the last axis, exactly one at no time."""
    from scipy.special import j0, j1  # noqa: PLC0415 - heavy, on use

    Bi, Fo, x = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (biot, fourier, radius_ratio))
    )
    z = cylinder_roots(Bi, _enough_terms(Fo))
    share = 2.0 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))
    total = (share * j0(z * x[..., None]) * np.exp(-(z**2) * Fo[..., None])).sum(axis=-1)
    return np.where(Fo == 0.0, 1.0, np.clip(total, 0.0, 1.0))[()]


def _enough_terms(fourier: np.ndarray) -> int:
    """Terms until exp(-z^2 Fo) is lost in rounding; roots lie pi apart."""
    least = fourier[fourier > 0.0].min(initial=1.0)
    return min(_TERMS, int(np.sqrt(_LOST / least) / np.pi) + 2)


@calculation(
    source=f"{_CARSLAW} ({_TERMS} terms)",
    gives="theta",
    needs={"biot": POSITIVE, "fourier": NOT_NEGATIVE, "radius_ratio": (0.0, 1.0)},
    valid={"fourier": (0.001, None)},
)
def cylinder_temperature(*, biot: Values, fourier: Values, radius_ratio: Values) -> Values:
    """Temperature ratio (T - T_s)/(T_0 - T_s) in a long cylinder at a relative radius.

        theta = sum 2 J1(z) J0(z x) exp(-z^2 Fo)/{z [J0(z)^2 + J1(z)^2]},  z J1(z) = Bi J0(z)

    x = r/R. Up to sixty terms, which is exact to rounding from Fo = 0.0012 on.

    References: Carslaw & Jaeger, 2nd ed., Sec. 7.7.
    """
    return _theta(biot, fourier, radius_ratio)


@calculation(
    source=f"{_CARSLAW} ({_TERMS} terms)",
    gives="theta_centre",
    needs={"biot": POSITIVE, "fourier": NOT_NEGATIVE},
    valid={"fourier": (0.001, None)},
)
def cylinder_centre_temperature(*, biot: Values, fourier: Values) -> Values:
    """Temperature ratio (T - T_s)/(T_0 - T_s) at the centre of a long cylinder.

    `cylinder_temperature` with x = 0.

    >>> round(float(cylinder_centre_temperature(biot=1.0, fourier=0.5)), 4)
    0.5486

    References: Carslaw & Jaeger, 2nd ed., Sec. 7.7.
    """
    return _theta(biot, fourier, 0.0)


class OneTerm(NamedTuple):
    """Results of `cylinder_one_term`."""

    first_root: Values
    coefficient: Values
    theta_centre: Values


@calculation(
    source="Y. A. Cengel, Heat and Mass Transfer, 3rd ed., one-term solution, Table 4-2",
    needs={"biot": POSITIVE, "fourier": NOT_NEGATIVE},
    valid={"fourier": (0.2, None)},
)
def cylinder_one_term(*, biot: Values, fourier: Values) -> OneTerm:
    """First term of the series at the centre: A exp(-z1^2 Fo), good to 2 % above Fo = 0.2.

        A = 2 J1(z1)/{z1 [J0(z1)^2 + J1(z1)^2]}

    References: Cengel, 3rd ed., Ch. 4.
    """
    from scipy.special import j0, j1  # noqa: PLC0415 - heavy, on use

    z = cylinder_roots(biot, 2)[..., 0]
    coefficient = 2.0 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))
    return OneTerm(z[()], coefficient[()], (coefficient * np.exp(-(z**2) * fourier))[()])


class CylinderCooling(NamedTuple):
    """Results of `cylinder_cooling`."""

    biot: Values
    fourier: Values
    centre_degC: Values
    surface_degC: Values


@calculation(
    source=f"{_CARSLAW}; worked as Y. A. Cengel, Heat and Mass Transfer, 3rd ed., Example 4-5",
    needs={
        "diameter_m": POSITIVE,
        "conductivity_W_per_mK": POSITIVE,
        "diffusivity_m2_per_s": POSITIVE,
        "heat_transfer_W_per_m2K": POSITIVE,
        "time_s": NOT_NEGATIVE,
    },
)
def cylinder_cooling(
    *,
    diameter_m: Values,
    conductivity_W_per_mK: Values,
    diffusivity_m2_per_s: Values,
    initial_degC: Values,
    ambient_degC: Values,
    heat_transfer_W_per_m2K: Values,
    time_s: Values,
) -> CylinderCooling:
    """Temperatures of a long cylinder some time after it met new surroundings.

    Bi = h R/k, Fo = a t/R^2 and the series of `cylinder_temperature` at centre and surface.
    Constant properties.

    References: Carslaw & Jaeger, 2nd ed., Sec. 7.7.
    """
    radius_m = diameter_m / 2.0
    biot = heat_transfer_W_per_m2K * radius_m / conductivity_W_per_mK
    fourier = diffusivity_m2_per_s * time_s / radius_m**2
    span = initial_degC - ambient_degC
    return CylinderCooling(
        biot,
        fourier,
        ambient_degC + span * _theta(biot, fourier, 0.0),
        ambient_degC + span * _theta(biot, fourier, 1.0),
    )


class LumpedCooling(NamedTuple):
    """Results of `lumped_cooling_time`."""

    rate_constant_per_s: Values
    time_s: Values


@calculation(
    source="J. P. Holman, Heat Transfer, 9th ed., eq. 4-5 and Example 4-1",
    needs={
        "diameter_m": POSITIVE,
        "heat_transfer_W_per_m2K": POSITIVE,
        "density_kg_per_m3": POSITIVE,
        "specific_heat_J_per_kgK": POSITIVE,
    },
)
def lumped_cooling_time(
    *,
    diameter_m: Values,
    heat_transfer_W_per_m2K: Values,
    density_kg_per_m3: Values,
    specific_heat_J_per_kgK: Values,
    initial_degC: Values,
    final_degC: Values,
    ambient_degC: Values,
    body: str = "sphere",
) -> LumpedCooling:
    """Time to cool or heat a body whose inside stays even (h V/(A k) below 0.1).

        (T - T_s)/(T_0 - T_s) = exp(-m t),  m = h A/(density c V)

    A/V is 6/d for a sphere, 4/d for a long cylinder, 2/d for a plate of thickness d. Raises
    `ArgumentError` if the final temperature does not lie between the other two.

    References: Holman, 9th ed., eq. 4-5.
    """
    if body not in _BODIES:
        raise UnknownName("body", body, _BODIES)
    ratio = (final_degC - ambient_degC) / (initial_degC - ambient_degC)
    if not (np.all(np.greater(ratio, 0.0)) and np.all(np.less_equal(ratio, 1.0))):
        raise ArgumentError("final_degC", final_degC, "°C", "between initial and ambient")
    capacity = density_kg_per_m3 * specific_heat_J_per_kgK * diameter_m
    rate = _BODIES[body] * heat_transfer_W_per_m2K / capacity
    return LumpedCooling(rate, -np.log(ratio) / rate)


@calculation(
    source="J. P. Holman, Heat Transfer, 9th ed., eq. 4-5, for a long cylinder",
    gives="time_constant_s",
    needs={
        "diameter_mm": POSITIVE,
        "density_kg_per_m3": POSITIVE,
        "specific_heat_J_per_kgK": POSITIVE,
        "heat_transfer_W_per_m2K": POSITIVE,
    },
)
def lumped_wire_time_constant(
    *,
    diameter_mm: Values,
    density_kg_per_m3: Values,
    specific_heat_J_per_kgK: Values,
    heat_transfer_W_per_m2K: Values,
) -> Values:
    """Time in which a round wire loses 63 % of its excess temperature: density c d/(4 h).

    References: Holman, 9th ed., eq. 4-5.
    """
    capacity = density_kg_per_m3 * specific_heat_J_per_kgK * diameter_mm * 1e-3
    return capacity / (4.0 * heat_transfer_W_per_m2K)
