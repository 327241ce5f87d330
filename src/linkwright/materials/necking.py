"""Where a flow curve necks (Considère) and what strength and elongation follow from it.

- `considere_hollomon`, `considere_swift`, `considere_ludwik`, `considere_voce`
- `prestrained_swift`: the curve, yield and tensile strength after cold work
- `true_fracture_stress`: from the broken test piece

A tensile test is stable while the true stress rises faster than the section shrinks; the
greatest load is reached at d sigma/d eps = sigma. The engineering tensile strength is the
true stress there times exp(-eps_u).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.flow_curves import EXPONENT, given_or_tabled

_OPEN_EXPONENT = (1e-6, 1.0 - 1e-9)


class HollomonNecking(NamedTuple):
    """Results of `considere_hollomon`; `uniform_true_strain` is the necking strain."""

    K_MPa: Values
    n: Values
    necking_true_strain: Values
    uniform_true_strain: Values
    uniform_elongation: Values
    true_stress_at_necking_MPa: Values
    tensile_strength_MPa: Values


class Necking(NamedTuple):
    """Results of the Considère condition for curves with an initial yield stress."""

    necking_true_strain: Values
    uniform_elongation: Values
    true_stress_at_necking_MPa: Values
    tensile_strength_MPa: Values
    initial_yield_MPa: Values


class PrestrainedCurve(NamedTuple):
    """Results of `prestrained_swift`: the new curve is K, n, `prestrain`."""

    prestrain: Values
    yield_MPa: Values
    tensile_strength_MPa: Values
    uniform_elongation: Values


class Fracture(NamedTuple):
    """Results of `true_fracture_stress`."""

    reduction_of_area_percent: Values
    true_fracture_stress_MPa: Values
    true_fracture_strain: Values


@calculation(
    source="A. Considère (1885); W. F. Hosford & R. M. Caddell, Metal Forming",
    needs={"K_MPa": POSITIVE, "n": EXPONENT},
    basis="computed",
)
def considere_hollomon(
    *,
    K_MPa: Values = None,
    n: Values = None,
    material: str | list[str] | None = None,
    table: str | None = None,
) -> HollomonNecking:
    """Necking strain n, tensile strength K (n/e)^n and uniform elongation of Hollomon's curve.

    K and n are given, or looked up for ``material`` in ``table`` (see `hollomon_constants`);
    the uniform elongation is exp(n) - 1, a share of the gauge length.

    Raises `ArgumentError` without numbers and material, `UnknownName` for a material that
    the tables do not have.

    References: A. Considère, Annales des Ponts et Chaussées 9 (1885) 574; W. F. Hosford &
    R. M. Caddell, Metal Forming: Mechanics and Metallurgy.

    Example:
        >>> print(round(considere_hollomon(K_MPa=530.0, n=0.26).tensile_strength_MPa, 1))
        287.9
    """
    K_MPa, n = given_or_tabled(material, table, K_MPa, n)
    stress = K_MPa * np.power(n, n)
    strength = stress * np.exp(-np.asarray(n))[()]
    return HollomonNecking(K_MPa, n, n, n, np.expm1(n), stress, strength)


@calculation(
    source="H. W. Swift, J. Mech. Phys. Solids 1 (1952); Considère condition",
    needs={"K_MPa": POSITIVE, "n": EXPONENT, "prestrain": NOT_NEGATIVE},
    basis="computed",
)
def considere_swift(*, K_MPa: Values, prestrain: Values, n: Values) -> Necking:
    """Necking of Swift's curve K (eps0 + eps)^n: eps_u = n - eps0, not below 0.

    A metal that was worked beyond eps0 = n necks as soon as it yields: its tensile strength
    is its yield stress and its uniform elongation 0.

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1.

    Example:
        >>> necked = considere_swift(K_MPa=800.0, prestrain=0.02, n=0.2)
        >>> print(round(necked.tensile_strength_MPa, 1))
        484.3
    """
    strain = np.maximum(np.asarray(n) - prestrain, 0.0)[()]
    stress = K_MPa * np.power(prestrain + strain, n)
    return _necked(strain, stress, K_MPa * np.power(prestrain, n))


@calculation(
    source="P. Ludwik (1909); Considère condition",
    needs={"yield_MPa": NOT_NEGATIVE, "K_MPa": POSITIVE, "n": _OPEN_EXPONENT},
    basis="computed",
)
def considere_ludwik(*, yield_MPa: Values, K_MPa: Values, n: Values) -> Necking:
    """Necking of Ludwik's curve s0 + K eps^n: the root of K n eps^(n-1) = s0 + K eps^n.

    For 0 < n < 1 the left side falls and the right side rises, so there is one root, not
    above n; it is found in ln(eps) inside a proven bracket.

    References: P. Ludwik, Elemente der technologischen Mechanik (1909); A. Considère (1885).

    Example:
        >>> necked = considere_ludwik(yield_MPa=250.0, K_MPa=500.0, n=0.5)
        >>> print(round(necked.necking_true_strain, 4))
        0.25
    """
    from scipy.optimize import elementwise  # noqa: PLC0415 - heavy, on use

    yield_, K, exponent = np.broadcast_arrays(
        *(np.asarray(value, float) for value in (yield_MPa, K_MPa, n))
    )

    def excess(x: Values, s0: Values, k: Values, e: Values) -> Values:
        return np.log(k * e) + (e - 1.0) * x - np.log(s0 + k * np.exp(e * x))

    # for eps <= 1 the right side is at most s0 + K, which gives the lower end
    low = np.log(K * exponent / (yield_ + K)) / (1.0 - exponent)
    found = elementwise.find_root(
        excess, (low - 1e-9, np.log(exponent) + 1e-9), args=(yield_, K, exponent),
        tolerances={"xatol": 1e-14, "xrtol": 0.0},
    )  # fmt: skip
    strain = np.exp(found.x)[()]
    return _necked(strain, yield_MPa + K_MPa * np.power(strain, n), yield_MPa + 0.0 * strain)


@calculation(
    source="E. Voce, J. Inst. Metals 74 (1948); Considère condition",
    needs={
        "saturation_stress_MPa": POSITIVE, "initial_yield_MPa": NOT_NEGATIVE,
        "rate_constant": POSITIVE,
    },
    basis="computed",
)  # fmt: skip
def considere_voce(
    *, saturation_stress_MPa: Values, initial_yield_MPa: Values, rate_constant: Values
) -> Necking:
    """Necking of Voce's curve: eps_u = ln[(ss - s0)(1 + c)/ss]/c, not below 0.

    ss is the saturation stress, s0 the initial yield stress, c the rate constant. Where
    the hardening at yield is too small, (ss - s0) c <= s0, the metal necks at once.

    References: E. Voce, J. Inst. Metals 74 (1948) 537; A. Considère (1885).

    Example:
        >>> print(round(considere_voce(saturation_stress_MPa=500.0, initial_yield_MPa=300.0,
        ...                      rate_constant=12.0).tensile_strength_MPa, 1))
        402.3
    """
    span = np.asarray(saturation_stress_MPa, float) - initial_yield_MPa
    ratio = np.maximum(span * (1.0 + rate_constant) / saturation_stress_MPa, 1.0)
    strain = (np.log(ratio) / rate_constant)[()]
    stress = saturation_stress_MPa - (span * np.exp(-rate_constant * strain))[()]
    return _necked(strain, stress, initial_yield_MPa + 0.0 * strain)


@calculation(
    source="H. W. Swift, J. Mech. Phys. Solids 1 (1952); strains of successive cold work added",
    basis="computed",
    needs={
        "K_MPa": POSITIVE, "n": EXPONENT, "prestrain": NOT_NEGATIVE, "true_strain": NOT_NEGATIVE,
    },
)  # fmt: skip
def prestrained_swift(
    *, K_MPa: Values, n: Values, true_strain: Values, prestrain: Values = 0.0
) -> PrestrainedCurve:
    """The flow curve after cold work by ``true_strain``: K and n stay, eps0 grows by it.

    Yield becomes K (eps0 + eps)^n. The tensile strength is that of `considere_swift`: it
    rises with cold work even before the uniform strain is used up, because the section on
    which it is reckoned is the worked one. No loss by reversal of the strain path is
    counted, so after bending back the yield stress of the real metal is lower (Bauschinger).

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1; addition of strains as in
    W. F. Hosford & R. M. Caddell, Metal Forming: Mechanics and Metallurgy.

    Example:
        >>> worked = prestrained_swift(K_MPa=530.0, n=0.26, true_strain=0.2)
        >>> print(round(worked.yield_MPa, 1), round(worked.tensile_strength_MPa, 1))
        348.8 351.7
    """
    total = prestrain + true_strain
    necked = considere_swift(K_MPa=K_MPa, prestrain=total, n=n)
    return PrestrainedCurve(
        total, necked.initial_yield_MPa, necked.tensile_strength_MPa, necked.uniform_elongation
    )


@calculation(
    source="W. D. Callister, Materials Science and Engineering, 7th/8th ed., Example Problem 6.4",
    basis="memory",
    needs={
        "start_diameter_mm": POSITIVE,
        "fracture_diameter_mm": POSITIVE,
        "engineering_fracture_stress_MPa": NOT_NEGATIVE,
    },
)
def true_fracture_stress(
    *,
    start_diameter_mm: Values,
    fracture_diameter_mm: Values,
    engineering_fracture_stress_MPa: Values,
) -> Fracture:
    """Reduction of area, true stress and true strain at fracture of a round test piece.

    RA = 1 - (d_f/d_0)^2; true stress = engineering stress (d_0/d_f)^2; strain
    2 ln(d_0/d_f). The stress is the mean over the neck; the triaxiality is not taken out.

    References: W. D. Callister, Materials Science and Engineering, Example Problem 6.4.

    Example:
        >>> broken = true_fracture_stress(start_diameter_mm=12.8, fracture_diameter_mm=10.7,
        ...                               engineering_fracture_stress_MPa=460.0)
        >>> print(round(broken.true_fracture_stress_MPa))
        658
    """
    ratio = (start_diameter_mm / fracture_diameter_mm) ** 2
    return Fracture(
        100.0 * (1.0 - 1.0 / ratio), engineering_fracture_stress_MPa * ratio, np.log(ratio)
    )


def _necked(strain: Values, stress: Values, first_yield: Values) -> Necking:
    strength = stress * np.exp(-np.asarray(strain))[()]
    return Necking(strain, np.expm1(strain), stress, strength, first_yield)
