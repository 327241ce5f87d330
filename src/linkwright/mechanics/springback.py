"""Springback of a bent round bar: what a bend loses when the finger lets go, and the inverse.

- `round_bar_bending`: loaded state, moment, and what is left after elastic unloading
- `finger_radius`: the finger on which a wanted inside radius comes out
- `residual_curvature_ratio`: the same without dimensions for an ideal-plastic bar

The section is elastic up to the strain where E eps meets K (eps0 + eps)^n and follows that
curve (Swift; Hollomon with eps0 = 0; ideal-plastic of yield stress K with n = 0) beyond.
Strain is kappa y from the centre of the bar, unloading is elastic with the full modulus:
a real bar unloads with a chord modulus that is some per cent lower and springs a little
more.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.bending import round_bar_moment_ratio
from linkwright.quantities import ArgumentError

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(32)
_NMM_PER_NM = 1000.0
_CURVE = {"K_MPa": POSITIVE, "n": (0.0, 0.999), "prestrain": NOT_NEGATIVE, "E_MPa": POSITIVE}


class BentBar(NamedTuple):
    """Results of `round_bar_bending`.

    `curvature_ratio` is the loaded curvature over that of first yield; the residual radius
    is that of the centre line, infinite for a bar that springs straight.
    """

    outer_fibre_strain: Values
    curvature_ratio: Values
    moment_Nm: Values
    residual_curvature_per_mm: Values
    residual_mean_radius_mm: Values
    residual_angle_deg: Values


class Finger(NamedTuple):
    """Results of `finger_radius`."""

    finger_radius_mm: Values
    loaded_curvature_per_mm: Values
    moment_Nm: Values
    bend_angle_deg: Values


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996), "
    "elastic-plastic bending and springback",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "mean_radius_mm": POSITIVE,
        "bend_angle_deg": NOT_NEGATIVE,
        **_CURVE,
    },
)
def round_bar_bending(
    *,
    diameter_mm: Values,
    mean_radius_mm: Values,
    K_MPa: Values,
    E_MPa: Values,
    n: Values = 0.0,
    prestrain: Values = 0.0,
    bend_angle_deg: Values = 180.0,
) -> BentBar:
    """Moment of a round bar bent to a centre-line radius, and radius and angle after release.

    kappa = 1/mean radius; M = integral of sigma(kappa y) y dA; the bar keeps
    kappa_res = kappa - M/(E I), I = pi d^4/64, and the angle in the same proportion, since
    the length of the bend stays. n = 0 is an ideal-plastic bar of yield stress K.

    Raises `ArgumentError` for a flow curve that is not well below the elastic line.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996).

    Example:
        >>> bar = round_bar_bending(diameter_mm=8.0, mean_radius_mm=9.6, K_MPa=600.0,
        ...                         E_MPa=206000.0)
        >>> print(round(bar.moment_Nm, 2), round(bar.residual_angle_deg, 2))
        51.2 177.86
    """
    curvature = 1.0 / np.asarray(mean_radius_mm, float)
    shape = np.broadcast_arrays(curvature, diameter_mm, K_MPa, n, prestrain, E_MPa)
    kappa, d, K, exponent, eps0, E = (np.asarray(value, float) for value in shape)
    first = _yield_strain(K, exponent, eps0, E)
    ratio = kappa * d / 2.0 / first
    moment = _moment(d, kappa, first, K, exponent, eps0, E)
    left = np.where(ratio <= 1.0, 0.0, kappa - moment / _stiffness(d, E))
    with np.errstate(divide="ignore"):
        radius = 1.0 / left
    return BentBar(
        (kappa * d / 2.0)[()], ratio[()], (moment / _NMM_PER_NM)[()], left[()], radius[()],
        (bend_angle_deg * left / kappa)[()],
    )  # fmt: skip


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending (1996), springback, solved for the tool",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "inner_radius_mm": POSITIVE,
        "angle_deg": NOT_NEGATIVE,
        **_CURVE,
    },
)
def finger_radius(
    *,
    diameter_mm: Values,
    inner_radius_mm: Values,
    K_MPa: Values,
    E_MPa: Values,
    n: Values = 0.0,
    prestrain: Values = 0.0,
    angle_deg: Values = 180.0,
) -> Finger:
    """Radius of the finger on which a round bar takes a wanted inside radius and angle.

    Solves kappa - M(kappa)/(E I) = 1/(r + d/2) for the loaded curvature kappa; the finger
    has 1/kappa - d/2 and the arm goes round by angle kappa/kappa_wanted. The left side rises
    all the way beyond yield, so there is one root; its bracket is widened until it holds it.

    Raises `ArgumentError` where the finger would have no radius left, or for a flow curve
    that is not well below the elastic line.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996).

    Example:
        >>> tool = finger_radius(diameter_mm=8.0, inner_radius_mm=5.6, K_MPa=600.0,
        ...                      E_MPa=206000.0)
        >>> print(round(tool.finger_radius_mm, 3), round(tool.bend_angle_deg, 2))
        5.487 182.14
    """
    from scipy.optimize import elementwise  # noqa: PLC0415 - heavy, on use

    d, r, K, exponent, eps0, E = (
        np.asarray(value, float)
        for value in np.broadcast_arrays(diameter_mm, inner_radius_mm, K_MPa, n, prestrain, E_MPa)
    )
    first = _yield_strain(K, exponent, eps0, E)
    wanted = 1.0 / (r + d / 2.0)
    curve = (d, wanted, first, K, exponent, eps0, E)

    def short(
        kappa: Values, d: Values, wanted: Values, first: Values, K: Values, n: Values,
        eps0: Values, E: Values,
    ) -> Values:  # fmt: skip
        return kappa - _moment(d, kappa, first, K, n, eps0, E) / _stiffness(d, E) - wanted

    step = -2.0 * short(wanted, *curve)
    while np.any(low := short(wanted + step, *curve) <= 0.0):
        step = np.where(low, 2.0 * step, step)
    found = elementwise.find_root(
        short, (wanted, wanted + step), args=curve, tolerances={"xatol": 0.0, "xrtol": 1e-13}
    )
    kappa = found.x
    finger = 1.0 / kappa - d / 2.0
    if np.any(finger <= 0.0):
        least = float(np.min(np.where(finger <= 0.0, r, np.inf)))
        raise ArgumentError(
            "inner_radius_mm", least, "mm", "a larger radius, or a softer or thinner bar",
            "is lost to springback: no finger is small enough",
        )  # fmt: skip
    moment = _moment(d, kappa, first, K, exponent, eps0, E) / _NMM_PER_NM
    return Finger(finger[()], kappa[()], moment[()], (angle_deg * kappa / wanted)[()])


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996)",
    gives="residual_ratio",
    basis="computed",
    needs={"curvature_ratio": NOT_NEGATIVE},
)
def residual_curvature_ratio(*, curvature_ratio: Values) -> Values:
    """Curvature left over yield curvature after bending an ideal-plastic round bar and release.

    k - m(k), k the loaded curvature over the yield curvature 2Y/(E d), m the moment ratio of
    `round_bar_moment_ratio`; 0 up to k = 1, k - 1.698 far beyond.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996).

    Example:
        >>> print(round(residual_curvature_ratio(curvature_ratio=4.0), 4))
        2.3549
    """
    return curvature_ratio - round_bar_moment_ratio(curvature_ratio=curvature_ratio)


def _stiffness(diameter: Values, E: Values) -> Values:
    return E * np.pi * diameter**4 / 64.0


def _yield_strain(K: Values, n: Values, eps0: Values, E: Values) -> Values:
    """Where the elastic line meets the flow curve: Newton from above on a convex function."""
    strain = K * np.power(eps0 + 1.0, n) / E
    if np.any(strain > 0.2):
        accepted = "a flow curve far below the modulus of elasticity"
        raise ArgumentError("K_MPa", float(np.max(K)), "MPa", accepted)
    for _ in range(60):
        excess = E * strain - K * np.power(eps0 + strain, n)
        slope = E - n * K * np.power(eps0 + strain, n - 1.0)
        after = strain - excess / slope
        if np.all(np.abs(after - strain) <= 1e-14 * strain):
            return after
        strain = after
    return strain


def _moment(
    diameter: Values, curvature: Values, first: Values, K: Values, n: Values, eps0: Values,
    E: Values,
) -> Values:  # fmt: skip
    """Moment in N mm; elastic core in closed form, the rest by Gauss over y = R sin(t)."""
    radius = diameter / 2.0
    start = np.arcsin(np.minimum(first / (curvature * radius), 1.0))
    core = E * curvature * radius**4 * (start / 2.0 - np.sin(4.0 * start) / 8.0)
    half = (np.pi / 2.0 - start) / 2.0
    angle = start[..., None] + half[..., None] * (1.0 + _NODES)
    strain = (curvature * radius)[..., None] * np.sin(angle)
    stress = K[..., None] * np.power(eps0[..., None] + strain, n[..., None])
    shell = (stress * np.sin(angle) * np.cos(angle) ** 2) @ _WEIGHTS
    return core + 4.0 * radius**3 * half * shell
