"""Elastic analysis of an oval link with semicircular crowns, in closed form.

    link_axial_stiffness    stiffness, moments and stresses of the thick curved bar

It is the check of the beam model at small loads and the stiffness of a chain that works well
below yield.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError

_SOURCE = (
    "S. Timoshenko, Strength of Materials, Part II, 1930, chapter on curved bars (energy of a "
    "thick curved bar, Winkler-Bach section factor of the circle); link treated as by G. A. "
    "Goodenough and L. E. Moore, The Strength of Chain Links, University of Illinois Engineering "
    "Experiment Station Bulletin 18, 1907; contact by Hertz, K. L. Johnson, Contact Mechanics, "
    "1985, eq. 4.22 to 4.24"
)


class LinkStiffness(NamedTuple):
    """Results of `link_axial_stiffness`."""

    axial_stiffness_kN_per_mm: Values
    contact_approach_mm: Values
    axial_stiffness_with_contact_kN_per_mm: Values
    leg_moment_Nm: Values
    crown_moment_Nm: Values
    crown_outside_stress_MPa: Values
    crown_inside_stress_MPa: Values
    leg_inside_stress_MPa: Values
    leg_outside_stress_MPa: Values
    stress_factor: Values


@calculation(
    source=_SOURCE,
    needs={
        "wire_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "outer_width_mm": POSITIVE,
        "force_kN": POSITIVE,
        "elastic_modulus_GPa": POSITIVE,
        "poisson_ratio": (0.0, 0.5),
        "contact_half_angle_deg": NOT_NEGATIVE,
    },
    valid={"contact_half_angle_deg": (0.0, 60.0)},
    basis="computed",
)
def link_axial_stiffness(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    force_kN: Values = 1.0,
    elastic_modulus_GPa: Values = 205.0,
    poisson_ratio: Values = 0.3,
    contact_half_angle_deg: Values = 0.0,
) -> LinkStiffness:
    """Elastic stiffness, moments and surface stresses of an oval link.

    Quarter link under half the force f = F/2: half leg of length a = (p + d)/2 - R, crown of
    mean radius R = (w - d)/2. The neighbour presses along the chain, evenly across the width
    2 R sin c around the apex; c = 0 is a point load. At the angle t from the leg, x = R cos t,
    xc = R sin c, s = min(1, x/xc):

        N = f s cos t,  V = f s sin t,
        M = M0 + f (R - x) - f max(0, xc - x)^2 / (2 xc)   (positive bends the crown sharper)
        strain = N/(E A) + M/(E A R),  bend = N/(E A R) + M/(E A R e),  shear = V/(0.9 G A)

    e = R - (R + sqrt(R^2 - d^2/4))/2 is the offset of the neutral axis of a circle. M0, the
    moment in the leg, makes the rotation between the planes of symmetry zero. The stiffness
    is F over the extension of the pitch without the local contact; the approach is Hertz's
    for two equal links that cross at right angles (relative radius from 2/d and 1/(R - d/2));
    the secant stiffness at F with both follows. ``stress_factor`` is the greatest tensile
    surface stress over F/(2 A).

    Errors: `ArgumentError` if the neighbour's wire does not fit or no leg is left.

    Example:
        >>> r = link_axial_stiffness(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8)
        >>> round(r.axial_stiffness_kN_per_mm, 1), round(r.stress_factor, 2)
        (133.8, 5.11)

    References: see the source of the calculation.
    """
    d, crown, leg = _checked(wire_diameter_mm, pitch_mm, outer_width_mm)
    poisson = np.asarray(poisson_ratio, dtype=float)
    modulus = 1000.0 * np.asarray(elastic_modulus_GPa, dtype=float)
    half = 500.0 * np.asarray(force_kN, dtype=float)
    area = np.pi * d**2 / 4
    quarter = _quarter(d, crown, leg, poisson, contact_half_angle_deg)
    stiffness = modulus / quarter.compliance
    approach = _approach(2 * half, modulus / (2 * (1 - poisson**2)), d, crown)
    values = (
        stiffness / 1000,
        approach,
        2 * half / (2 * half / stiffness + approach) / 1000,
        half * quarter.leg_moment / 1000,
        half * quarter.crown_moment / 1000,
        half * quarter.crown_outside,
        half * quarter.crown_inside,
        half * quarter.leg_inside,
        half * quarter.leg_outside,
        quarter.greatest * area,
    )
    shape = np.broadcast_shapes(*(np.shape(value) for value in values))
    if not shape:
        return LinkStiffness(*(float(value) for value in values))
    return LinkStiffness(*(np.broadcast_to(value, shape) for value in values))


class _Quarter(NamedTuple):
    """The quarter link under a half force of one and a modulus of one."""

    compliance: Floats
    leg_moment: Floats
    crown_moment: Floats
    crown_outside: Floats
    crown_inside: Floats
    leg_inside: Floats
    leg_outside: Floats
    greatest: Floats


def _quarter(d: Floats, crown: Floats, leg: Floats, poisson: Floats, angle: Values) -> _Quarter:
    area, inertia = np.pi * d**2 / 4, np.pi * d**4 / 64
    offset = crown - (crown + np.sqrt(crown**2 - d**2 / 4)) / 2
    contact = np.deg2rad(np.maximum(angle, 1e-4))
    place, weight = _points(contact)
    x, reach = crown * np.cos(place), crown * np.sin(contact)
    carried = np.minimum(1.0, x / reach)
    normal, shear = carried * np.cos(place), carried * np.sin(place)
    bare = crown - x - np.square(np.maximum(0.0, reach - x)) / (2 * reach)
    turned = (weight * (normal + bare / offset)).sum(0) / area
    leg_moment = -turned / (leg / inertia + np.pi / (2 * area * offset))
    moment = bare + leg_moment
    strain = normal / area + moment / (area * crown)
    bend = normal / (area * crown) + moment / (area * crown * offset)
    sheared = shear * 2 * (1 + poisson) / (0.9 * area)
    work = strain * normal + bend * bare + sheared * shear
    compliance = leg / area + (weight * work).sum(0) * crown

    def surface(side: int, along: Floats, turn: Floats) -> Floats:
        stress: Floats = (along + side * turn * d / 2) / (1 + side * d / (2 * crown))
        return stress

    apex = crown - reach / 2 + leg_moment
    tip = apex / (area * crown), apex / (area * crown * offset)
    fibre = leg_moment * d / 2 / inertia
    crown_outside, crown_inside = surface(1, *tip), surface(-1, *tip)
    leg_inside, leg_outside = 1 / area - fibre, 1 / area + fibre
    anywhere = np.maximum(surface(1, strain, bend), surface(-1, strain, bend)).max(0)
    greatest = np.maximum(np.maximum(anywhere, crown_outside), leg_inside)
    return _Quarter(
        compliance, leg_moment, apex, crown_outside, crown_inside, leg_inside, leg_outside,
        greatest,
    )  # fmt: skip


def _points(contact: Floats) -> tuple[Floats, Floats]:
    """Gauss points on either side of the edge of the contact; first axis of the arrays."""
    node, share = np.polynomial.legendre.leggauss(16)
    dims = (-1,) + (1,) * np.ndim(contact)
    node, share = node.reshape(dims), share.reshape(dims)
    edge = np.pi / 2 - contact
    outer, inner = (1 + node) / 2 * edge, edge + (1 + node) / 2 * contact
    weights = share / 2 * edge, share / 2 * contact
    return np.concatenate([outer, inner]), np.concatenate(weights)


def _approach(force: Floats, contact_modulus: Floats, d: Floats, crown: Floats) -> Floats:
    """Hertz's approach of two links; the patch is round because they are equal."""
    radius = 1 / (2 / d - 1 / (crown - d / 2))
    approach: Floats = np.cbrt(9 * force**2 / (16 * contact_modulus**2 * radius))
    return approach


def _checked(wire: Values, pitch: Values, width: Values) -> tuple[Floats, Floats, Floats]:
    d, p, w = (np.asarray(value, dtype=float) for value in (wire, pitch, width))
    if np.any(w <= 3 * d):
        raise ArgumentError(
            "outer_width_mm", float(np.min(w)), "mm",
            "more than 3 wire diameters, so that the neighbour's wire fits",
        )  # fmt: skip
    crown = (w - d) / 2
    leg = (p + d) / 2 - crown
    if np.any(leg < 0):
        raise ArgumentError(
            "pitch_mm", float(np.min(p)), "mm", "at least outer width less two wire diameters"
        )
    return d, crown, leg
