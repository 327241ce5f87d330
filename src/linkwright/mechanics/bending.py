"""Bending of bars beyond yield: moments, their ratio to curvature, strains, least radius.

- `round_bar_plastic_moments`, `rect_bar_plastic_moments`: first yield, full plasticity
- `round_bar_moment_ratio`, `rect_bar_moment_ratio`: ideal-plastic moment against curvature
- `round_bar_power_law_moment`: moment of a bar with Hollomon's curve
- `minimum_bend_radius`: from the reduction of area in tension
- `bent_bar_strains`: strains at the inside and the outside of a bend
- `oval_link_fibre_length`: length of the neutral fibre of an oval link
- `bending_force`: moment over arm

Plane sections stay plane, the neutral axis stays at the centre of the section, tension and
compression have the same flow curve; thinning of the section is left out. Good for a bend
radius of the centre line above about the diameter of the bar. What springs back is in
`springback`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_NMM_PER_NM = 1000.0


class PlasticMoments(NamedTuple):
    """First yield moment, fully plastic moment and their ratio, the shape factor."""

    yield_moment_Nm: Values
    plastic_moment_Nm: Values
    shape_factor: Values


class PowerLawMoment(NamedTuple):
    """Results of `round_bar_power_law_moment`."""

    outer_fibre_strain: Values
    moment_Nm: Values


class BendStrains(NamedTuple):
    """Results of `bent_bar_strains`: tension positive; `mean_strain` of the magnitude."""

    outer_strain: Values
    inner_strain: Values
    outer_true_strain: Values
    inner_true_strain: Values
    mean_strain: Values


@calculation(
    source="S. P. Timoshenko, Strength of Materials, Part II, plastic bending",
    needs={"diameter_mm": POSITIVE, "yield_MPa": POSITIVE},
    basis="computed",
)
def round_bar_plastic_moments(*, diameter_mm: Values, yield_MPa: Values) -> PlasticMoments:
    """Yield moment pi d^3 Y/32, plastic moment d^3 Y/6 and shape factor 16/(3 pi) = 1.698.

    References: S. P. Timoshenko, Strength of Materials, Part II, chapter on bending beyond
    the elastic limit.

    Example:
        >>> print(round(round_bar_plastic_moments(diameter_mm=10.0, yield_MPa=400.0)[1], 2))
        66.67
    """
    first = np.pi * diameter_mm**3 * yield_MPa / 32.0 / _NMM_PER_NM
    full = diameter_mm**3 * yield_MPa / 6.0 / _NMM_PER_NM
    return PlasticMoments(first, full, full / first)


@calculation(
    source="S. P. Timoshenko, Strength of Materials, Part II, plastic bending",
    needs={"width_mm": POSITIVE, "depth_mm": POSITIVE, "yield_MPa": POSITIVE},
    basis="computed",
)
def rect_bar_plastic_moments(
    *, width_mm: Values, depth_mm: Values, yield_MPa: Values
) -> PlasticMoments:
    """Yield moment b h^2 Y/6, plastic moment b h^2 Y/4 and shape factor 1.5.

    b is the width, along the axis of bending, h the depth across it.

    References: S. P. Timoshenko, Strength of Materials, Part II.

    Example:
        >>> print(rect_bar_plastic_moments(width_mm=10.0, depth_mm=20.0, yield_MPa=300.0)[1])
        300.0
    """
    section = width_mm * depth_mm**2 * yield_MPa / _NMM_PER_NM
    return PlasticMoments(section / 6.0, section / 4.0, 1.5 + 0.0 * section)


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996)",
    gives="moment_ratio",
    needs={"curvature_ratio": NOT_NEGATIVE},
    basis="computed",
)
def round_bar_moment_ratio(*, curvature_ratio: Values) -> Values:
    """Moment over yield moment of an ideal-plastic round bar at curvature over yield curvature.

    With t = 1/curvature ratio: m = (2/(3 pi)) [(5 - 2 t^2) sqrt(1 - t^2) + 3 asin(t)/t];
    m = curvature ratio below 1; the limit is 16/(3 pi) = 1.698.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996),
    circular section.

    Example:
        >>> print(round(round_bar_moment_ratio(curvature_ratio=2.0), 4))
        1.4937
    """
    ratio = np.asarray(curvature_ratio, float)
    core = 1.0 / np.maximum(ratio, 1.0)
    beyond = (5.0 - 2.0 * core**2) * np.sqrt(1.0 - core**2) + 3.0 * np.arcsin(core) / core
    return np.where(ratio <= 1.0, ratio, 2.0 / (3.0 * np.pi) * beyond)[()]


@calculation(
    source="S. P. Timoshenko, Strength of Materials, Part II; T. X. Yu & L. C. Zhang (1996)",
    gives="moment_ratio",
    needs={"curvature_ratio": NOT_NEGATIVE},
    basis="computed",
)
def rect_bar_moment_ratio(*, curvature_ratio: Values) -> Values:
    """Moment over yield moment of an ideal-plastic rectangular bar, m = 1.5 - 0.5/k^2.

    k is curvature over yield curvature; m = k below 1; the limit is 1.5.

    References: S. P. Timoshenko, Strength of Materials, Part II; T. X. Yu & L. C. Zhang,
    Plastic Bending: Theory and Applications (1996).

    Example:
        >>> print(rect_bar_moment_ratio(curvature_ratio=2.0))
        1.375
    """
    ratio = np.asarray(curvature_ratio, float)
    return np.where(ratio <= 1.0, ratio, 1.5 - 0.5 / np.maximum(ratio, 1.0) ** 2)[()]


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending (1996), approach; integrated over the circle",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "curvature_per_mm": NOT_NEGATIVE,
        "K_MPa": POSITIVE,
        "n": (0.0, 1.0),
    },
)
def round_bar_power_law_moment(
    *, diameter_mm: Values, curvature_per_mm: Values, K_MPa: Values, n: Values
) -> PowerLawMoment:
    """Bending moment of a round bar with Hollomon's curve, the elastic part left out.

    M = integral of K (kappa y)^n y dA = 2 K kappa^n R^(n+3) B(1 + n/2, 3/2), R the radius of
    the bar, B Euler's beta function, kappa y the engineering strain. n = 0 gives d^3 K/6.

    References: beam theory; approach of T. X. Yu & L. C. Zhang, Plastic Bending: Theory and
    Applications (1996).

    Example:
        >>> bent = round_bar_power_law_moment(
        ...     diameter_mm=10.0, curvature_per_mm=0.04, K_MPa=530.0, n=0.26)
        >>> print(round(bent.moment_Nm, 3))
        49.662
    """
    from scipy.special import beta  # noqa: PLC0415 - heavy, on use

    radius = diameter_mm / 2.0
    strain = curvature_per_mm * radius
    section = 2.0 * radius**3 * beta(1.0 + np.asarray(n) / 2.0, 1.5)[()]
    return PowerLawMoment(strain, K_MPa * np.power(strain, n) * section / _NMM_PER_NM)


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Sec. 16.5",
    gives="min_radius_over_thickness",
    needs={"reduction_of_area_percent": (5e-324, 100.0)},
    basis="computed",
)
def minimum_bend_radius(*, reduction_of_area_percent: Values) -> Values:
    """Least inner bend radius over thickness, R/T = 50/r - 1, not below 0.

    r is the reduction of area in tension, per cent; from 50 % on the metal can be folded flat.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Sec. 16.5 (the strain at the outside equals the fracture strain).

    Example:
        >>> print(minimum_bend_radius(reduction_of_area_percent=20.0))
        1.5
    """
    return np.maximum(50.0 / np.asarray(reduction_of_area_percent, float) - 1.0, 0.0)[()]


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Sec. 16.5, e = 1/(2R/T + 1)",
    basis="memory",
    needs={"diameter_mm": POSITIVE, "inner_radius_mm": NOT_NEGATIVE},
)
def bent_bar_strains(*, diameter_mm: Values, inner_radius_mm: Values) -> BendStrains:
    """Strains at the outside (extrados) and inside (intrados) of a bent round bar.

    e = 1/(2R/d + 1), R the inner radius, neutral fibre at the centre; true strains
    ln(1 + e) outside and ln(1 - e) inside. `mean_strain` is the mean of |kappa y| over the
    circle, 4/(3 pi) of the outer strain. With the inner radius 0 the inside is folded: the
    true strain there is unbounded.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Sec. 16.5.

    Example:
        >>> print(round(bent_bar_strains(diameter_mm=8.0, inner_radius_mm=5.6).outer_strain, 4))
        0.4167
    """
    strain = diameter_mm / (2.0 * inner_radius_mm + diameter_mm)
    with np.errstate(divide="ignore"):
        inside = np.log1p(-np.asarray(strain, float))[()]
    return BendStrains(strain, -strain, np.log1p(strain), inside, 4.0 / (3.0 * np.pi) * strain)


@calculation(
    source="geometry of two semicircles and two straights",
    gives="fibre_length_mm",
    basis="computed",
    needs={
        "wire_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "outer_width_mm": POSITIVE,
        "neutral_shift_over_diameter": (-0.5, 0.5),
    },
)
def oval_link_fibre_length(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    neutral_shift_over_diameter: Values = 0.0,
) -> Values:
    """Length of the neutral fibre of an oval link, pi (w - d) + 2 (p + 2d - w).

    d wire diameter, p pitch (inside length), w outside width; crowns are semicircles of
    centre-line radius (w - d)/2. A fibre shifted inwards by s d shortens the two crowns by
    2 pi s d. No allowance for the weld.

    References: geometry.

    Example:
        >>> print(round(oval_link_fibre_length(
        ...     wire_diameter_mm=16.0, pitch_mm=48.0, outer_width_mm=55.2), 2))
        172.75
    """
    crowns = np.pi * (outer_width_mm - wire_diameter_mm)
    straights = 2.0 * (pitch_mm + 2.0 * wire_diameter_mm - outer_width_mm)
    return crowns + straights - 2.0 * np.pi * neutral_shift_over_diameter * wire_diameter_mm


@calculation(
    source="statics, force = moment / arm",
    gives="force_N",
    basis="computed",
    needs={"moment_Nm": NOT_NEGATIVE, "arm_mm": POSITIVE},
)
def bending_force(*, moment_Nm: Values, arm_mm: Values) -> Values:
    """Force of a forming arm that bends a bar: moment over the arm to the finger.

    The force acts square to the arm; friction at the finger is left out.

    References: statics.

    Example:
        >>> print(bending_force(moment_Nm=50.0, arm_mm=20.0))
        2500.0
    """
    return moment_Nm * _NMM_PER_NM / arm_mm
