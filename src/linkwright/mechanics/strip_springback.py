"""Springback of wide strip that is curled and then squeezed along its length.

- `wide_strip_curling`: moment, hoop force and curvature left after curling, closing and release

A strip that is wide against its thickness cannot narrow where it bends: plane strain. Its flow
curve is then steeper by the factors of von Mises, and so is its elastic line. Bars of round
section are in `springback`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_Floats = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_PLANE_STRAIN = 2.0 / np.sqrt(3.0)
_LARGEST_YIELD_STRAIN = 0.2


class CurledStrip(NamedTuple):
    """Results of `wide_strip_curling`; per millimetre of width."""

    outer_fibre_strain: Values
    bending_moment_per_width_N: Values
    """While it is bent and not yet squeezed."""
    moment_per_width_N: Values
    """While the tool is closed: what springs the strip open."""
    hoop_force_N_per_mm: Values
    """Compression while the tool is closed."""
    residual_radius_mm: Values
    """Of the mid plane after release."""
    length_springback: Values
    """Strain by which the strip lengthens when the hoop force goes."""


@calculation(
    costly=True,
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996), bending of "
    "wide strip with an axial force; fibres followed one by one",
    basis="computed",
    needs={
        "thickness_mm": POSITIVE,
        "mean_radius_mm": POSITIVE,
        "closing_strain": (0.0, 0.2),
        "K_MPa": POSITIVE,
        "n": (0.0, 0.999),
        "prestrain": NOT_NEGATIVE,
        "E_MPa": POSITIVE,
        "poisson": (0.0, 0.499),
    },
)
def wide_strip_curling(
    *,
    thickness_mm: Values,
    mean_radius_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    closing_strain: Values = 0.0,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> CurledStrip:
    """Wide strip bent round a radius, squeezed along its length by a strain, and let go.

    Curling: strain y/R at a distance y from the mid plane; a fibre is elastic with
    E' = E/(1 - nu^2) and follows (2/sqrt 3) K (eps0 + 2 eps/sqrt 3)^n beyond. Closing: every fibre
    is shortened by ``closing_strain``; inner ones go on yielding, outer ones unload and yield in
    compression as far as they had hardened (no Bauschinger effect). From the stresses

        M = int s y dy,  N = -int s dy,  1/R_left = 1/R - 12 M/(E' t^3),  length + N/(E' t)

    With n = 0 and no closing this is Gardiner's cubic, R/R_left = 1 - 3 x + 4 x^3, for the yield
    stress 2 K/sqrt 3 and E'. A closing strain beyond twice the yield strain takes nearly all
    springback of the radius away.

    Validity: mean radius above about one thickness (the neutral axis stays in the middle); real
    strip reyields earlier after the turn, which lowers the springback left after little closing.

    Raises:
        ArgumentError: a flow curve that is not far below E, or a strip that springs straight.

    References: Yu & Zhang as the source; Z. Marciniak, J. L. Duncan & S. J. Hu, Mechanics of Sheet
    Metal Forming, 2nd ed. (2002), ch. 6, for plane strain and springback (remembered).

    Example:
        >>> got = wide_strip_curling(thickness_mm=1.5, mean_radius_mm=4.9, K_MPa=800.0, n=0.2,
        ...                          prestrain=0.01)
        >>> print(round(got.residual_radius_mm, 3))
        5.032
    """
    t, radius, squeeze, K, exponent, eps0, E, nu = np.broadcast_arrays(
        *(
            np.asarray(one, float)
            for one in (
                thickness_mm, mean_radius_mm, closing_strain, K_MPa, n, prestrain, E_MPa, poisson,
            )
        )
    )  # fmt: skip
    curve = _Curve(K, exponent, eps0, E / (1.0 - nu**2))
    first = np.minimum(curve.first / (t / 2.0 / radius), 1.0) * t / 2.0
    bending, moment, force = np.zeros_like(t), np.zeros_like(t), np.zeros_like(t)
    for low, high in ((0.0 * t, first), (first, t / 2.0)):
        half = (high - low) / 2.0
        y = low[..., None] + half[..., None] * (1.0 + _NODES)
        bent = y / radius[..., None]
        outer, inner = curve.closed(bent, squeeze[..., None])
        bending = bending + 2.0 * half * ((curve.loaded(bent) * y) @ _WEIGHTS)
        moment = moment + half * (((outer - inner) * y) @ _WEIGHTS)
        force = force - half * ((outer + inner) @ _WEIGHTS)
    left = 1.0 / radius - 12.0 * moment / (curve.E * t**3)
    if np.any(left <= 1e-9 / radius):
        accepted = "a smaller radius or a softer strip, else it springs straight"
        raise ArgumentError("mean_radius_mm", float(np.max(radius)), "mm", accepted)
    return CurledStrip(
        (t / 2.0 / radius)[()], bending[()], moment[()], force[()], (1.0 / left)[()],
        (force / (curve.E * t))[()],
    )  # fmt: skip


class _Curve:
    """Flow curve in plane strain: stress k (e0 + strain)^n beyond the first yield."""

    def __init__(self, K: _Floats, n: _Floats, prestrain: _Floats, E: _Floats) -> None:
        self.k, self.n, self.E = K * _PLANE_STRAIN ** (1.0 + n), n, E
        self.e0 = prestrain / _PLANE_STRAIN
        self.first = self._first()

    def flow(self, strain: _Floats) -> _Floats:
        """Stress of yielding fibres; the last axis is that of the fibres."""
        k, e0, n = (one[..., None] for one in (self.k, self.e0, self.n))
        stress: _Floats = k * np.power(e0 + strain, n)
        return stress

    def closed(self, bent: _Floats, squeeze: _Floats) -> tuple[_Floats, _Floats]:
        """Stress of the fibres at +y and -y after bending to ``bent`` and squeezing."""
        E, first = self.E[..., None], self.first[..., None]
        inner = -self.loaded(bent + squeeze)
        pulled = self.loaded(bent)
        # what a fibre stands before it yields the other way: what it has hardened to
        stands = self.flow(np.maximum(bent, first))
        over = squeeze - (pulled + stands) / E
        beyond = self.flow(np.maximum(bent, first) + np.maximum(over, 0.0))
        outer = np.where(over > 0.0, -beyond, pulled - E * squeeze)
        return outer, inner

    def loaded(self, strain: _Floats) -> _Floats:
        """Stress at a strain that only grew."""
        E, first = self.E[..., None], self.first[..., None]
        stress: _Floats = np.where(
            strain <= first, E * strain, self.flow(np.maximum(strain, first))
        )
        return stress

    def _first(self) -> _Floats:
        """Where the elastic line meets the curve: Newton from above on a convex function."""
        strain = self.k * np.power(self.e0 + 1.0, self.n) / self.E
        if np.any(strain > _LARGEST_YIELD_STRAIN):
            accepted = "a flow curve far below the modulus of elasticity"
            raise ArgumentError("K_MPa", float(np.max(self.k)), "MPa", accepted)
        for _ in range(60):
            excess = self.E * strain - self.k * np.power(self.e0 + strain, self.n)
            slope = self.E - self.n * self.k * np.power(self.e0 + strain, self.n - 1.0)
            after = strain - excess / slope
            if np.all(np.abs(after - strain) <= 1e-14 * strain):
                break
            strain = after
        found: _Floats = after
        return found
