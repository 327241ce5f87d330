"""Constants of a flow curve from what a tensile test or a mill certificate gives.

- `hollomon_from_tensile`: K from tensile strength and n
- `swift_from_tensile`: K from tensile strength, n and prestrain
- `swift_from_yield_and_tensile`: K and prestrain from yield, tensile strength and n
- `exponent_from_point`: n from one point of the curve and K
- `hollomon_from_two_points`: K and n from two points of the curve
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.flow_curves import EXPONENT, HollomonConstants
from linkwright.quantities import ArgumentError

_POSITIVE_EXPONENT = (1e-6, 1.0)


class SwiftConstants(NamedTuple):
    """Results of `swift_from_yield_and_tensile`: K (prestrain + eps)^n."""

    K_MPa: Values
    prestrain: Values
    n: Values


@calculation(
    source="A. Considère (1885); W. F. Hosford & R. M. Caddell, Metal Forming, Rm = K (n/e)^n",
    gives="K_MPa",
    basis="computed",
    needs={"tensile_strength_MPa": POSITIVE, "n": EXPONENT},
)
def hollomon_from_tensile(*, tensile_strength_MPa: Values, n: Values) -> Values:
    """Strength coefficient K = Rm (e/n)^n from a measured tensile strength and n.

    The inverse of the tensile strength in `considere_hollomon`; n = 0 gives K = Rm.

    References: A. Considère (1885); W. F. Hosford & R. M. Caddell, Metal Forming.

    Example:
        >>> print(round(hollomon_from_tensile(tensile_strength_MPa=287.9, n=0.26), 0))
        530.0
    """
    exponent = np.asarray(n, float)
    return tensile_strength_MPa * (np.exp(exponent) / np.power(exponent, exponent))[()]


@calculation(
    source="H. W. Swift (1952); Considère condition, solved for K",
    gives="K_MPa",
    basis="computed",
    needs={"tensile_strength_MPa": POSITIVE, "n": EXPONENT, "prestrain": NOT_NEGATIVE},
)
def swift_from_tensile(
    *, tensile_strength_MPa: Values, n: Values, prestrain: Values = 0.0
) -> Values:
    """K of Swift's curve from tensile strength, n and prestrain.

    K = Rm exp(eps_u)/(eps0 + eps_u)^n with eps_u = max(n - eps0, 0); with eps0 = 0 this is
    `hollomon_from_tensile`.

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1; A. Considère (1885).

    Example:
        >>> print(round(swift_from_tensile(tensile_strength_MPa=484.3, n=0.2, prestrain=0.02), 0))
        800.0
    """
    strain = np.maximum(np.asarray(n, float) - prestrain, 0.0)
    return tensile_strength_MPa * (np.exp(strain) / np.power(prestrain + strain, n))[()]


@calculation(
    source="H. W. Swift (1952); Considère condition and yield K eps0^n, solved by Lambert's W",
    basis="computed",
    needs={"yield_MPa": POSITIVE, "tensile_strength_MPa": POSITIVE, "n": _POSITIVE_EXPONENT},
)
def swift_from_yield_and_tensile(
    *, yield_MPa: Values, tensile_strength_MPa: Values, n: Values
) -> SwiftConstants:
    """K and prestrain of Swift's curve from yield stress, tensile strength and n.

    With x = eps0/n the two conditions K eps0^n = Rp and K n^n exp(eps0 - n) = Rm give
    x exp(-x) = (Rp/Rm)^(1/n)/e, so x = -W(-(Rp/Rm)^(1/n)/e) on the main branch, 0 < x <= 1.
    The elastic strain at yield is left out of eps0.

    Raises `ArgumentError` if the yield stress is above the tensile strength.

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1; A. Considère (1885).

    Example:
        >>> fit = swift_from_yield_and_tensile(yield_MPa=365.8, tensile_strength_MPa=484.3, n=0.2)
        >>> print(round(float(fit.K_MPa), 0), round(float(fit.prestrain), 3))
        800.0 0.02
    """
    from scipy.special import lambertw  # noqa: PLC0415 - heavy, on use

    ratio = np.asarray(yield_MPa, float) / tensile_strength_MPa
    if np.any(ratio > 1.0):
        raise ArgumentError(
            "yield_MPa", float(np.max(yield_MPa)), "MPa", "at most the tensile strength"
        )
    exponent = np.asarray(n, float)
    share = -np.real(lambertw(-np.power(ratio, 1.0 / exponent) / np.e))
    # at Rp = Rm rounding can put the argument just below -1/e, where W is complex
    share = np.clip(np.nan_to_num(share, nan=1.0), 0.0, 1.0)
    prestrain = share * exponent
    K_MPa = tensile_strength_MPa * np.exp(exponent - prestrain) / np.power(exponent, exponent)
    return SwiftConstants(K_MPa[()], prestrain[()], n + 0.0 * prestrain[()])


@calculation(
    source="W. D. Callister, Materials Science and Engineering, 7th/8th ed., Example Problem 6.5",
    gives="n",
    basis="memory",
    needs={"K_MPa": POSITIVE, "true_stress_MPa": POSITIVE, "true_strain": POSITIVE},
)
def exponent_from_point(*, K_MPa: Values, true_stress_MPa: Values, true_strain: Values) -> Values:
    """Strain-hardening exponent n = ln(sigma/K)/ln(eps) from one point of the curve.

    Raises `ArgumentError` at a strain of 1, where every n gives the same stress.

    References: W. D. Callister, Materials Science and Engineering, Example Problem 6.5.

    Example:
        >>> n = exponent_from_point(K_MPa=1035.0, true_stress_MPa=415.0, true_strain=0.1)
        >>> print(round(n, 2))
        0.4
    """
    if np.any(np.asarray(true_strain) == 1.0):
        raise ArgumentError("true_strain", 1.0, "", "any but 1, where the stress is K for all n")
    return (np.log(np.asarray(true_stress_MPa) / K_MPa) / np.log(true_strain))[()]


@calculation(
    source="J. H. Hollomon (1945); slope of the curve in logarithmic axes",
    basis="computed",
    needs={
        "true_stress_1_MPa": POSITIVE,
        "true_strain_1": POSITIVE,
        "true_stress_2_MPa": POSITIVE,
        "true_strain_2": POSITIVE,
    },
)
def hollomon_from_two_points(
    *,
    true_stress_1_MPa: Values,
    true_strain_1: Values,
    true_stress_2_MPa: Values,
    true_strain_2: Values,
) -> HollomonConstants:
    """K and n of Hollomon's curve through two points.

    n = ln(s2/s1)/ln(e2/e1); K = s1/e1^n. Raises `ArgumentError` for equal strains.

    References: J. H. Hollomon, Trans. AIME 162 (1945) 268.

    Example:
        >>> fit = hollomon_from_two_points(true_stress_1_MPa=200.0, true_strain_1=0.04,
        ...                                true_stress_2_MPa=400.0, true_strain_2=0.16)
        >>> print(round(float(fit.K_MPa), 6), round(float(fit.n), 6))
        1000.0 0.5
    """
    spread = np.log(np.asarray(true_strain_2, float) / true_strain_1)
    if np.any(spread == 0.0):
        raise ArgumentError("true_strain_2", true_strain_2, "", "a strain other than the first")
    exponent = (np.log(np.asarray(true_stress_2_MPa, float) / true_stress_1_MPa) / spread)[()]
    return HollomonConstants(true_stress_1_MPa / np.power(true_strain_1, exponent), exponent)
