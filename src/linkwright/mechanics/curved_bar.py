"""Elastic stresses and deflections of strongly curved bars, rings and oval links.

- `curved_bar_neutral`: centroid radius, neutral radius and eccentricity of a section
- `curved_bar_factors`: stress factors at the inner and outer fibre (Winkler-Bach)
- `curved_bar_stress`: stresses of a crane hook or any bar bent by a moment or a force
- `ring_deflection`: thin ring pulled by two opposite forces
- `obround_moments`: thin link with semicircular ends pulled at the crowns

Winkler and Bach: plane sections stay plane, so the strain is hyperbolic over the depth and
the neutral axis lies nearer to the centre of curvature than the centroid.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

SECTIONS = ("round", "ellipse", "rectangle")


class CurvedSection(NamedTuple):
    """Radii of centroid and neutral axis from the centre of curvature, and their difference."""

    centroid_radius_mm: Values
    neutral_radius_mm: Values
    eccentricity_mm: Values


class CurvedFactors(NamedTuple):
    """Results of `curved_bar_factors`; the shift of the neutral axis is over the radius."""

    inner_factor: Values
    outer_factor: Values
    neutral_shift_over_radius: Values


class CurvedStress(NamedTuple):
    """Results of `curved_bar_stress`; tension is positive."""

    centroid_radius_mm: Values
    neutral_radius_mm: Values
    eccentricity_mm: Values
    inner_stress_MPa: Values
    outer_stress_MPa: Values


class RingDeflection(NamedTuple):
    """Results of `ring_deflection`: the loaded diameter lengthens, the other shortens by these."""

    loaded_diameter_change_mm: Values
    other_diameter_change_mm: Values


class ObroundMoments(NamedTuple):
    """Results of `obround_moments`: magnitudes, of opposite sense."""

    moment_side_Nmm: Values
    moment_crown_Nmm: Values


@calculation(
    source="R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, Table 3-4",
    needs={
        "wire_diameter_mm": POSITIVE,
        "depth_mm": POSITIVE,
        "inner_radius_mm": POSITIVE,
        "outer_radius_mm": POSITIVE,
    },
    basis="computed",
)
def curved_bar_neutral(
    *,
    inner_radius_mm: Values,
    wire_diameter_mm: Values = None,
    depth_mm: Values = None,
    outer_radius_mm: Values = None,
    section: str = "round",
) -> CurvedSection:
    """Centroid radius, neutral radius and eccentricity of a curved bar.

    Round or elliptic section of half depth c: rn = c^2/(2 (rc - sqrt(rc^2 - c^2))).
    Rectangle of depth h: rn = h/ln(ro/ri). rc = ri + h/2, e = rc - rn. The depth in the
    plane of bending is given as wire diameter, as depth or by the outer radius.

    Raises `UnknownName` for a section other than round, ellipse or rectangle,
    `ArgumentError` without a depth.

    References: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design,
    Table 3-4 (formulas for sections of curved beams).

    Example:
        >>> print(round(curved_bar_neutral(wire_diameter_mm=10.0, inner_radius_mm=6.5)[1], 4))
        10.9281
    """
    depth = _depth(inner_radius_mm, wire_diameter_mm, depth_mm, outer_radius_mm)
    centroid = inner_radius_mm + depth / 2.0
    shift = _shift_over_half_depth(section, 2.0 * centroid / depth) * depth / 2.0
    return CurvedSection(centroid, centroid - shift, shift)


@calculation(
    source="E. Winkler (1858) and C. Bach; Machinery's Handbook, 31st ed., Curved Beams, Table 4 "
    "(after Wilson and Quereau) tabulates it",
    basis="computed",
    needs={"centroid_radius_over_half_depth": (1.000001, None)},
)
def curved_bar_factors(
    *, centroid_radius_over_half_depth: Values, section: str = "round"
) -> CurvedFactors:
    """Factors on the straight-bar stress M c/I at the inner and the outer fibre.

    With R the centroid radius, c the half depth, e the shift of the neutral axis:
    K_i = (I/(A c)) (c - e)/(e (R - c)), K_o = (I/(A c)) (c + e)/(e (R + c));
    I/(A c^2) is 1/4 for a round or elliptic section, 1/3 for a rectangle. The printed table
    agrees within 1.1 % for R/c of 1.2 and from 1.6 on; its rows at 1.4 are up to 2.2 % above.

    Raises `UnknownName` for a section other than round, ellipse or rectangle.

    References: Machinery's Handbook, 31st ed., Curved Beams, Table 4; B. J. Wilson &
    J. F. Quereau, A Simple Method of Determining Stress in Curved Flexural Members, Univ. of
    Illinois (1927).

    Example:
        >>> factors = curved_bar_factors(section="round", centroid_radius_over_half_depth=2.0)
        >>> print(round(factors.inner_factor, 4), round(factors.outer_factor, 4))
        1.616 0.7053
    """
    ratio = np.asarray(centroid_radius_over_half_depth, float)[()]
    shift = _shift_over_half_depth(section, ratio)
    form = 1.0 / 3.0 if section == "rectangle" else 0.25
    inner = form * (1.0 - shift) / (shift * (ratio - 1.0))
    outer = form * (1.0 + shift) / (shift * (ratio + 1.0))
    return CurvedFactors(inner, outer, shift / ratio)


@calculation(
    source="R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th and "
    "10th ed., Sec. 3-18, Example 3-15",
    needs={
        "inner_radius_mm": POSITIVE,
        "width_mm": POSITIVE,
        "wire_diameter_mm": POSITIVE,
        "depth_mm": POSITIVE,
        "outer_radius_mm": POSITIVE,
    },
    basis="memory",
)
def curved_bar_stress(
    *,
    inner_radius_mm: Values,
    force_N: Values = 0.0,
    moment_Nm: Values = None,
    width_mm: Values = None,
    depth_mm: Values = None,
    outer_radius_mm: Values = None,
    wire_diameter_mm: Values = None,
    section: str | None = None,
) -> CurvedStress:
    """Stresses at the inner and outer fibre of a curved bar under force and moment.

    sigma = F/A + M (rn - r)/(A e r); a positive moment straightens the bar. Without a moment
    the force acts through the centre of curvature, as in a crane hook: M = F rc. With a wire
    diameter the section is round, with width and depth (or outer radius) a rectangle; an
    ellipse takes width and depth and the name.

    Raises `ArgumentError` if the section is not given or depth and radii disagree,
    `UnknownName` for an unknown section.

    References: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design,
    10th ed., Sec. 3-18.

    Example:
        >>> hook = curved_bar_stress(force_N=22241.1, width_mm=19.05, depth_mm=101.6,
        ...                          inner_radius_mm=50.8)
        >>> print(round(hook.inner_stress_MPa, 1), round(hook.outer_stress_MPa, 1))
        116.5 -38.8
    """
    if section is None:
        section = "rectangle" if wire_diameter_mm is None else "round"
    depth = _depth(inner_radius_mm, wire_diameter_mm, depth_mm, outer_radius_mm)
    if width_mm is None and section != "round":
        raise ArgumentError("width_mm", None, "mm", "the width of the section", "is missing")
    breadth = depth if section == "round" else width_mm
    inner = inner_radius_mm
    radii = curved_bar_neutral(inner_radius_mm=inner, depth_mm=depth, section=section)
    area = breadth * depth * (1.0 if section == "rectangle" else np.pi / 4.0)
    bending = force_N * radii.centroid_radius_mm if moment_Nm is None else 1000.0 * moment_Nm

    def stress(radius: Values) -> Values:
        lever = (radii.neutral_radius_mm - radius) / (radii.eccentricity_mm * radius)
        return (force_N + bending * lever) / area

    return CurvedStress(*radii, stress(inner), stress(inner + depth))


@calculation(
    source="W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., "
    "Table 9.2 case 1 (thin ring, two opposite loads)",
    needs={
        "load_N": NOT_NEGATIVE,
        "mean_radius_mm": POSITIVE,
        "wire_diameter_mm": POSITIVE,
        "modulus_MPa": POSITIVE,
    },
    basis="computed",
)
def ring_deflection(
    *, load_N: Values, mean_radius_mm: Values, wire_diameter_mm: Values, modulus_MPa: Values
) -> RingDeflection:
    """Change of the loaded and of the other diameter of a thin ring of round wire.

    (pi/4 - 2/pi) W R^3/(E I) and (2/pi - 1/2) W R^3/(E I), I = pi d^4/64: both are given as
    magnitudes. Bending only: holds for a ring much larger than its wire (R above about 10 d
    within 1 %).

    References: W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed.,
    Table 9.2 case 1.

    Example:
        >>> ring = ring_deflection(load_N=1000.0, mean_radius_mm=100.0, wire_diameter_mm=10.0,
        ...                        modulus_MPa=206000.0)
        >>> print(round(ring.loaded_diameter_change_mm, 4))
        1.4713
    """
    inertia = np.pi * wire_diameter_mm**4 / 64.0
    unit = load_N * mean_radius_mm**3 / (modulus_MPa * inertia)
    return RingDeflection((np.pi / 4.0 - 2.0 / np.pi) * unit, (2.0 / np.pi - 0.5) * unit)


@calculation(
    source="S. P. Timoshenko, Strength of Materials (link with semicircular ends, Castigliano)",
    needs={
        "load_N": NOT_NEGATIVE,
        "end_mean_radius_mm": POSITIVE,
        "half_straight_length_mm": NOT_NEGATIVE,
    },
    basis="computed",
)
def obround_moments(
    *, load_N: Values, end_mean_radius_mm: Values, half_straight_length_mm: Values
) -> ObroundMoments:
    """Moments in the side and at the crown of a thin link pulled at its crowns.

    M_side = P R^2 (pi - 2)/(2 (2 l + pi R)), l half of one straight side; M_crown = P R/2 -
    M_side, of the opposite sense. Half of P goes through each side. With l = 0 it is a ring.

    References: S. P. Timoshenko, Strength of Materials, curved bars, Castigliano's theorem.

    Example:
        >>> link = obround_moments(load_N=1000.0, end_mean_radius_mm=12.0,
        ...                        half_straight_length_mm=30.0)
        >>> print(round(link.moment_side_Nmm, 3), round(link.moment_crown_Nmm, 1))
        841.304 5158.7
    """
    whole = 2.0 * (2.0 * half_straight_length_mm + np.pi * end_mean_radius_mm)
    side = load_N * end_mean_radius_mm**2 * (np.pi - 2.0) / whole
    return ObroundMoments(side, load_N * end_mean_radius_mm / 2.0 - side)


def _shift_over_half_depth(section: str, ratio: Values) -> Values:
    """Shift of the neutral axis e/c at R/c = ``ratio``, without loss of digits at large ratio."""
    if section == "rectangle":
        # e/c = R/c - 2/ln((R+c)/(R-c)); with x = c/R: (atanh(x) - x)/(x atanh(x))
        x = 1.0 / np.asarray(ratio, float)
        series = x**3 * (1.0 / 3.0 + x**2 / 5.0 + x**4 / 7.0 + x**6 / 9.0)
        part = np.where(x < 0.02, series, np.arctanh(x) - x)
        return (part / (x * np.arctanh(x)))[()]
    if section in ("round", "ellipse"):
        # 1/(2 (R - sqrt(R^2 - 1))) = (R + sqrt(R^2 - 1))/2, so e/c = (R - sqrt(R^2 - 1))/2
        return 0.5 / (ratio + np.sqrt(np.asarray(ratio, float) ** 2 - 1.0)[()])
    raise UnknownName("section", section, SECTIONS)


def _depth(inner: Values, wire: Values, depth: Values, outer: Values) -> Values:
    given = [value for value in (wire, depth) if value is not None]
    if outer is not None:
        given.append(outer - inner)
    if not given:
        accepted = "wire_diameter_mm, depth_mm or outer_radius_mm"
        raise ArgumentError("depth_mm", None, "mm", accepted, "is missing")
    for other in given[1:]:
        if not np.allclose(other, given[0], rtol=1e-6, atol=0.0):
            raise ArgumentError("depth_mm", given[0], "mm", "the outer less the inner radius")
    if np.any(np.asarray(given[0]) <= 0.0):
        raise ArgumentError("outer_radius_mm", outer, "mm", "above the inner radius")
    return given[0]
