"""Press fits whose hub yields: pressure, plastic zone, growth and bore, elastic to fully plastic.

- `press_fit_yielding`: a solid or hollow member pressed into a ring of limited yield stress
- `press_fit_greatest_interference`: interference for a wanted plastic depth

`interference` holds the elastic formulas of two metals; here one modulus serves both members
(with one metal Poisson's ratio cancels), the inner one stays elastic, and the ring follows
Tresca without hardening.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_NEWTON = 12
_SOURCE = (
    "R. Hill, The Mathematical Theory of Plasticity (1950), ch. 5, thin ring in plane stress; "
    "the joint with its pressed member derived from it"
)


class YieldingFit(NamedTuple):
    """Results of `press_fit_yielding`; tension is positive."""

    pressure_MPa: Values
    plastic_depth_percent: Values
    """Of the ring's wall: 0 elastic, 100 yielding throughout."""
    hub_hoop_stress_bore_MPa: Values
    inner_hoop_stress_MPa: Values
    """At the bore of a hollow inner member, or anywhere in a solid one."""
    bore_shrinkage_mm: Values
    """By how much the bore of the inner member becomes smaller; 0 where it is solid."""


_NEEDS = {
    "hub_outside_mm": POSITIVE,
    "fit_diameter_mm": POSITIVE,
    "inner_bore_mm": NOT_NEGATIVE,
    "hub_yield_strength_MPa": POSITIVE,
    "elastic_modulus_MPa": POSITIVE,
}


@calculation(
    source=_SOURCE, basis="computed", needs={**_NEEDS, "diametral_interference_mm": NOT_NEGATIVE}
)
def press_fit_yielding(
    *,
    hub_outside_mm: Values,
    fit_diameter_mm: Values,
    inner_bore_mm: Values,
    diametral_interference_mm: Values,
    hub_yield_strength_MPa: Values,
    elastic_modulus_MPa: Values = 206000.0,
) -> YieldingFit:
    """Pressure of a press fit whose outer ring may yield from its bore outwards.

    d fit diameter, D outside of the ring, i bore of the inner member, delta interference, Y yield
    stress of the ring (Tresca, no hardening), c radius to which it yields, a = d/2, b = D/2:

        p = Y/2 (1 - c^2/b^2) + Y ln(c/a)
        delta/d = (Y/E) (c/a)^2 + (p/E) ((d^2 + i^2)/(d^2 - i^2) - 1)

    The second follows from u r = (1 - nu)/E r^2 sigma_r + Y c^2/E in the yielding zone (plane
    stress, no plastic change of thickness). With c = a both are Lamé's at first yield; below
    that they are Lamé's formulas. Beyond c = b the pressure stays at Y ln(b/a). For a solid
    member c = a sqrt(E delta/(d Y)).

    Validity: thin rings; pressure below Y (the axial stress, zero, must lie between the others);
    the inner member elastic. `inner_hoop_stress_MPa` is given to judge that.

    Raises `ArgumentError` if the diameters are not in the order bore, fit, outside.

    References: as the source; elastic part as in `press_fit_pressure`.

    Example:
        >>> fit = press_fit_yielding(hub_outside_mm=21.0, fit_diameter_mm=8.28, inner_bore_mm=0.0,
        ...     diametral_interference_mm=0.06, hub_yield_strength_MPa=900.0)
        >>> print(round(fit.pressure_MPa), round(fit.plastic_depth_percent, 1))
        562 18.7
    """
    a, b, hollow = _order(hub_outside_mm, fit_diameter_mm, inner_bore_mm)
    modulus, yielding = np.asarray(elastic_modulus_MPa, float), np.asarray(hub_yield_strength_MPa)
    beta = (b / a) ** 2
    wanted = np.asarray(diametral_interference_mm, float) / fit_diameter_mm * modulus / yielding
    extra = 2.0 * hollow / (1.0 - hollow)  # (d^2 + i^2)/(d^2 - i^2) - 1
    first = 1.0 + extra * (1.0 - 1.0 / beta) / 2.0
    square = np.ones(np.broadcast_shapes(*(np.shape(v) for v in (wanted, extra, beta))))
    for _ in range(_NEWTON):  # concave and rising, begun at its left end: no step overshoots
        held = np.clip(square, 1.0, None)
        value = held + extra / 2.0 * (1.0 - held / beta + np.log(held))
        slope = 1.0 + extra / 2.0 * (1.0 / held - 1.0 / beta)
        square = np.maximum(held + (wanted - value) / np.maximum(slope, 1e-3), 1.0)
    square = np.minimum(square, beta)
    yields = wanted > first
    lame = yielding * wanted / first * (1.0 - 1.0 / beta) / 2.0
    flowing = yielding * (1.0 - square / beta + np.log(square)) / 2.0
    pressure = np.where(yields, flowing, lame)
    depth = np.where(yields, (np.sqrt(square) - 1.0) / (np.sqrt(beta) - 1.0), 0.0)
    hoop = np.where(yields, yielding - pressure, pressure * (beta + 1.0) / (beta - 1.0))
    inner = np.where(hollow > 0.0, -2.0 * pressure / (1.0 - hollow), -pressure)
    shrink = 2.0 * pressure * inner_bore_mm / (modulus * (1.0 - hollow))
    return YieldingFit(pressure[()], (100.0 * depth)[()], hoop[()], inner[()], shrink[()])


@calculation(
    source=_SOURCE,
    gives="diametral_interference_mm",
    basis="computed",
    needs={**_NEEDS, "plastic_depth_percent": (0.0, 100.0)},
)
def press_fit_greatest_interference(
    *,
    hub_outside_mm: Values,
    fit_diameter_mm: Values,
    inner_bore_mm: Values,
    hub_yield_strength_MPa: Values,
    plastic_depth_percent: Values = 0.0,
    elastic_modulus_MPa: Values = 206000.0,
) -> Values:
    """Interference at which the ring yields to a share of its wall: `press_fit_yielding` solved.

        delta = d (Y/E) (s + (k - 1)/2 (1 - s/beta + ln s)),  s = (c/a)^2, beta = (b/a)^2,
        k = (d^2 + i^2)/(d^2 - i^2)

    At 0 per cent the ring begins to yield at its bore.

    Raises `ArgumentError` if the diameters are not in the order bore, fit, outside.

    References: as `press_fit_yielding`.

    Example:
        >>> print(round(press_fit_greatest_interference(hub_outside_mm=21.0, fit_diameter_mm=8.28,
        ...     inner_bore_mm=0.0, hub_yield_strength_MPa=900.0), 4))
        0.0362
    """
    a, b, hollow = _order(hub_outside_mm, fit_diameter_mm, inner_bore_mm)
    beta = (b / a) ** 2
    square = (1.0 + np.asarray(plastic_depth_percent) / 100.0 * (np.sqrt(beta) - 1.0)) ** 2
    extra = 2.0 * hollow / (1.0 - hollow)
    size = square + extra / 2.0 * (1.0 - square / beta + np.log(square))
    return (fit_diameter_mm * hub_yield_strength_MPa / elastic_modulus_MPa * size)[()]


def _order(outside: Values, fit: Values, bore: Values) -> tuple[Values, Values, Values]:
    """Radii of fit and outside, and the square of bore over fit."""
    if np.any(np.asarray(outside) <= fit):
        raise ArgumentError("hub_outside_mm", outside, "mm", "above the fit diameter")
    if np.any(np.asarray(bore) >= fit):
        raise ArgumentError("inner_bore_mm", bore, "mm", "below the fit diameter")
    return (
        np.asarray(fit, float) / 2.0,
        np.asarray(outside, float) / 2.0,
        (np.asarray(bore, float) / fit) ** 2,
    )
