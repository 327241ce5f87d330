"""The bend test of a single link: force, strain of its surface, and how near that is to tearing.

- `bend_test`: both legs in three-point bending round a mandrel to a deflection
- `bend_damage`: the strain of the surface over what the steel, or its weld, bears

The set-up (span of the supports, mandrel) is that of the works' bench: read it in the standard
(EN 818-1) itself; nobody here could vouch for a figure. What is modelled is a link that lies flat
on two supports under its crowns, both legs pressed down in the middle, where the weld is.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError

_ROUNDS, _MET = 12, 1e-9
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)
_ANGLES = np.pi / 4.0 * (1.0 + _NODES)
_LEGS = 2.0


class BendTest(NamedTuple):
    """Results of `bend_test`."""

    bend_surface_strain: Values
    """Strain of the outer fibre under the mandrel, engineering."""
    bend_force_kN: Values
    """On the mandrel, of both legs."""
    bend_angle_deg: Values
    """Between the two ends of a leg."""
    mandrel_angle_deg: Values
    """Arc of the leg that lies on the mandrel; 0 where it touches at a point."""


@calculation(
    costly=True,
    source="power-law bar as T. X. Yu & L. C. Zhang, Plastic Bending (1996); moment-area theorem, "
    "S. Timoshenko, Strength of Materials, Part I (1930); strain on a mandrel as S. Kalpakjian & "
    "S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. (2010), Sec. 16.5",
    needs={
        "wire_diameter_mm": POSITIVE, "deflection_mm": POSITIVE, "span_mm": POSITIVE,
        "mandrel_diameter_mm": POSITIVE, "tensile_strength_MPa": POSITIVE,
        "hardening_exponent": (0.005, 0.999), "prestrain": NOT_NEGATIVE,
    },
    valid={"hardening_exponent": (0.02, 0.3)},
    basis="computed",
)  # fmt: skip
def bend_test(
    *,
    wire_diameter_mm: Values,
    deflection_mm: Values,
    span_mm: Values,
    mandrel_diameter_mm: Values,
    tensile_strength_MPa: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
) -> BendTest:
    """Force and strain of the outer fibre of a link's legs at a deflection f under the mandrel.

    A bar of K e^n carries M = const k^n at the curvature k. In three-point bending M falls
    evenly to the supports (half span h), so k = k0 (x/h)^(1/n), and the moment-area theorem
    gives f = k0 h^2 n/(1 + 2 n). The curvature cannot pass that of the mandrel,
    k_m = 2/(D + d); from then on an arc of the half angle a lies on it and the rest, of length
    l = (h - sin a/k_m)/cos a, bends as before beyond the tangent:

        f = (1 - cos a)/k_m + (h - sin a/k_m) tan a + k_m l^2 n/(1 + 2 n)/cos a

    Surface strain e = k d/2. M is the integral of K (e0 + k y)^n y over the section, so that the
    supports of a leg press with M/l each, square to it, and the force is 4 M cos(a)/l for two
    legs. Plane sections; supports without friction that stay in place; the round of the crowns is
    not in it. Nothing elastic is in it: below a deflection of d/10 the force is too high.

    Raises `ArgumentError` for a deflection at which the arc would reach the supports.

    References: as the source.

    Example:
        >>> bent = bend_test(wire_diameter_mm=8.0, deflection_mm=6.4, span_mm=32.0,
        ...                  mandrel_diameter_mm=24.0, tensile_strength_MPa=1180.0)
        >>> [round(float(part), 2) for part in bent[:3]]
        [0.25, 40.29, 56.32]
    """
    parts = np.broadcast_arrays(
        wire_diameter_mm, deflection_mm, span_mm, mandrel_diameter_mm, tensile_strength_MPa,
        hardening_exponent, prestrain,
    )  # fmt: skip
    d, f, span, mandrel, strength, n, e0 = (np.asarray(part, float) for part in parts)
    half, on_mandrel = span / 2.0, 2.0 / (mandrel + d)
    tail = n / (1.0 + 2.0 * n)
    free = f / (tail * np.square(half))
    arc = np.where(free > on_mandrel, _arc(f, half, on_mandrel, tail), 0.0)
    curvature = np.minimum(free, on_mandrel)
    arm = (half - np.sin(arc) / on_mandrel) / np.cos(arc)
    moment = _moment(d, curvature, SwiftCurve.of_strength(strength, n, e0))
    end = arc + curvature * arm * n / (1.0 + n)
    return BendTest(
        (curvature * d / 2.0)[()],
        (_LEGS * 2.0 * moment / arm * np.cos(arc) / 1e3)[()],
        (2.0 * np.degrees(end))[()],
        (2.0 * np.degrees(arc))[()],
    )


def _arc(deflection: Floats, half: Floats, curvature: Floats, tail: Floats) -> Floats:
    """Half angle of the arc on the mandrel, by Newton's method on a rising, convex function."""
    greatest = np.arcsin(np.minimum(half * curvature, 1.0)) * 0.999
    arc = np.zeros_like(deflection)
    for _ in range(_ROUNDS):
        sine, cosine = np.sin(arc), np.cos(arc)
        beyond = half - sine / curvature
        length = beyond / cosine
        bent = curvature * tail * np.square(length) / cosine
        reached = (1.0 - cosine) / curvature + length * sine + bent
        shorter = length * sine / cosine - 1.0 / curvature
        slope = length / cosine + bent * (2.0 * shorter / length + sine / cosine)
        arc = np.clip(arc + (deflection - reached) / slope, 0.0, greatest)
    missed = (deflection - reached > _MET * half) & (arc >= greatest)
    if np.any(missed):
        worst = float(deflection[missed][0])
        accepted = "less, so that the leg still lies on the supports beside the mandrel"
        raise ArgumentError("deflection_mm", worst, "mm", accepted)
    return arc


def _moment(diameter: Floats, curvature: Floats, curve: SwiftCurve) -> Floats:
    """Moment in N mm of a round section that has flowed all through, y = R sin(t)."""
    radius = diameter / 2.0
    strain = (curvature * radius)[..., None] * np.sin(_ANGLES)
    exponent, prestrain, coefficient = (
        np.asarray(part)[..., None]
        for part in (curve.hardening_exponent, curve.prestrain, curve.strength_coefficient_MPa)
    )
    stress = coefficient * np.power(prestrain + strain, exponent)
    shares = np.sin(_ANGLES) * np.square(np.cos(_ANGLES)) * _WEIGHTS
    return np.asarray(np.pi * radius**3 * (stress @ shares))


@calculation(
    source="limit of the strain as J. R. Rice & D. M. Tracey, J. Mech. Phys. Solids 17 (1969) 201, "
    "at the triaxiality 1/3 of an outer fibre; ductility of the weld: stated assumption",
    gives="bend_damage",
    needs={
        "bend_surface_strain": NOT_NEGATIVE, "void_strain_limit": POSITIVE,
        "weld_ductility_percent": (1.0, 100.0),
    },
    basis="computed",
)  # fmt: skip
def bend_damage(
    *,
    bend_surface_strain: Values,
    void_strain_limit: Values,
    weld_ductility_percent: Values = 50.0,
) -> Values:
    """Strain of the outer fibre of the bent weld over what it bears; 1 tears.

    ln(1 + e)/(share of the weld x limit of the steel). The outer fibre is in uniaxial tension, so
    strain counts as it is. How much ductility a weld keeps is an assumption until links were bent.

    References: as the source.

    Example:
        >>> round(float(bend_damage(bend_surface_strain=0.25, void_strain_limit=0.93)), 2)
        0.48
    """
    share = np.asarray(weld_ductility_percent, float) / 100.0
    return (np.log1p(bend_surface_strain) / (share * void_strain_limit))[()]
