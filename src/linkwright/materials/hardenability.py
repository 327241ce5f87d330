"""How deep a steel hardens, from its analysis.

ASTM A255: `base_diameter_a255`, `multiplying_factors_a255`, `ideal_diameter_a255`,
`initial_hardness_a255`, `half_martensite_hardness_a255`.
Others: `martensite_hardness_by_carbon` (square-root rule), `jominy_hardness_just`.

What a bath does is in `linkwright.mechanics.quench_severity`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation

_A255 = "ASTM A255, Standard Test Methods for Determining Hardenability of Steel"
_CARBON = {"carbon_percent": (0.0, 0.9)}


@calculation(
    source=f"{_A255}, carbon factor, grain size 7",
    gives="base_diameter_in",
    needs=_CARBON,
    basis="memory",
)
def base_diameter_a255(*, carbon_percent: Values) -> Values:
    """Ideal diameter (in) that carbon alone gives at ASTM grain size 7.

        0.54 C                                 C <= 0.39
        0.171 + 0.001 C + 0.265 C^2            C <= 0.55
        0.115 + 0.268 C - 0.038 C^2            C <= 0.65
        0.143 + 0.200 C                        C <= 0.75
        0.062 + 0.409 C - 0.135 C^2            C <= 0.90

    >>> round(float(base_diameter_a255(carbon_percent=0.2)), 3)
    0.108

    References: ASTM A255, coefficients recalled.
    """
    C = np.asarray(carbon_percent, dtype=float)
    courses = [
        0.54 * C,
        0.171 + C * (0.001 + 0.265 * C),
        0.115 + C * (0.268 - 0.038 * C),
        0.143 + 0.2 * C,
    ]
    ends = [C <= 0.39, C <= 0.55, C <= 0.65, C <= 0.75]
    return np.select(ends, courses, 0.062 + C * (0.409 - 0.135 * C))[()]


class MultiplyingFactors(NamedTuple):
    """Results of `multiplying_factors_a255`."""

    factor_Mn: Values
    factor_Si: Values
    factor_Ni: Values
    factor_Cr: Values
    factor_Mo: Values
    factor_Cu: Values
    factor_V: Values


_FACTORS_RANGE = {
    "Mn_percent": (0.0, 1.95),
    "Si_percent": (0.0, 2.0),
    "Ni_percent": (0.0, 2.0),
    "Cr_percent": (0.0, 1.75),
    "Mo_percent": (0.0, 0.55),
    "Cu_percent": (0.0, 0.55),
    "V_percent": (0.0, 0.20),
}


@calculation(source=f"{_A255}, multiplying factor equations", valid=_FACTORS_RANGE, basis="memory")
def multiplying_factors_a255(
    *,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    Cu_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> MultiplyingFactors:
    """Hardenability multiplying factors of the alloying elements.

        Mn: 1 + 3.3333 Mn to 1.20 %, 5.10 Mn - 1.12 above (the branches meet at 5.00)
        Si: 1 + 0.7 Si    Ni: 1 + 0.363 Ni    Cr: 1 + 2.16 Cr
        Mo: 1 + 3.0 Mo    Cu: 1 + 0.365 Cu    V:  1 + 1.73 V

    References: ASTM A255, coefficients recalled.
    """
    Mn = np.asarray(Mn_percent, dtype=float)
    return MultiplyingFactors(
        factor_Mn=np.where(Mn <= 1.2, 3.3333 * Mn + 1.0, 5.10 * Mn - 1.12)[()],
        factor_Si=1.0 + 0.7 * Si_percent,
        factor_Ni=1.0 + 0.363 * Ni_percent,
        factor_Cr=1.0 + 2.16 * Cr_percent,
        factor_Mo=1.0 + 3.0 * Mo_percent,
        factor_Cu=1.0 + 0.365 * Cu_percent,
        factor_V=1.0 + 1.73 * V_percent,
    )


@calculation(
    source=f"{_A255}, ideal diameter from composition, grain size 7",
    gives="ideal_diameter_in",
    needs={"C_percent": (0.0, 0.9)},
    valid=_FACTORS_RANGE,
    basis="memory",
)
def ideal_diameter_a255(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    Cu_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> Values:
    """Ideal diameter (in): base diameter of the carbon times all multiplying factors.

    The diameter of a bar that is half martensite at its centre after an ideal quench; grain
    size 7, no boron.

    References: ASTM A255.
    """
    factors = multiplying_factors_a255(
        Mn_percent=Mn_percent,
        Si_percent=Si_percent,
        Ni_percent=Ni_percent,
        Cr_percent=Cr_percent,
        Mo_percent=Mo_percent,
        Cu_percent=Cu_percent,
        V_percent=V_percent,
    )
    diameter = base_diameter_a255(carbon_percent=C_percent)
    for factor in factors:
        diameter = diameter * factor
    return diameter


@calculation(
    source=f"{_A255}, initial hardness IH",
    gives="hardness_HRC",
    needs=_CARBON,
    valid={"carbon_percent": (0.10, 0.69)},
)
def initial_hardness_a255(*, carbon_percent: Values) -> Values:
    """Rockwell C of full martensite at the quenched end, from carbon.

        35.395 + 6.990 C + 312.330 C^2 - 821.744 C^3 + 1015.479 C^4 - 538.346 C^5

    References: ASTM A255.
    """
    return np.polynomial.polynomial.polyval(
        carbon_percent, [35.395, 6.990, 312.330, -821.744, 1015.479, -538.346]
    )


@calculation(
    source=f"{_A255}, 50 % martensite hardness",
    gives="hardness_HRC",
    needs=_CARBON,
    valid={"carbon_percent": (0.10, 0.69)},
)
def half_martensite_hardness_a255(*, carbon_percent: Values) -> Values:
    """Rockwell C of 50 % martensite, from carbon.

        22.974 + 6.214 C + 356.364 C^2 - 1091.488 C^3 + 1464.880 C^4 - 750.441 C^5

    References: ASTM A255.
    """
    return np.polynomial.polynomial.polyval(
        carbon_percent, [22.974, 6.214, 356.364, -1091.488, 1464.880, -750.441]
    )


@calculation(
    source="J. M. Hodge & M. A. Orehoski, Trans. AIME 167 (1946) 627; E. Just, Metal Progress "
    "(November 1969)",
    gives="hardness_HRC",
    needs={"carbon_percent": NOT_NEGATIVE},
    valid={"carbon_percent": (0.1, 0.6)},
    basis="memory",
)
def martensite_hardness_by_carbon(*, carbon_percent: Values) -> Values:
    """Rockwell C of martensite at the quenched end: 60 sqrt(C) + 20.

    `initial_hardness_a255` gives 1 to 3 HRC less.

    References: Hodge & Orehoski (1946); Just (1969).
    """
    return 60.0 * np.sqrt(carbon_percent) + 20.0


@calculation(
    source="E. Just, Formulas to calculate hardenability curves, Metal Progress (November 1969)",
    gives="hardness_HRC",
    needs={"C_percent": NOT_NEGATIVE, "distance_mm": NOT_NEGATIVE},
    valid={"distance_mm": (6.0, 80.0), "C_percent": (0.08, 0.56)},
    basis="memory",
)
def jominy_hardness_just(
    *,
    C_percent: Values,
    distance_mm: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    P_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
    grain_size: Values = 8.0,
) -> Values:
    """Rockwell C at a distance from the quenched end.

        95 sqrt(C) - 0.00276 E^2 sqrt(C) + 20 Cr + 38 Mo + 14 Mn + 5.5 Ni + 6.1 Si + 39 V
        + 96 P - 0.81 K - 12.28 sqrt(E) + 0.898 E - 13,  at most 60 sqrt(C) + 20

    E in mm, K the ASTM grain size number (8 if not given).

    References: Just (1969), coefficients recalled.
    """
    root, E = np.sqrt(C_percent), distance_mm
    alloy = 20.0 * Cr_percent + 38.0 * Mo_percent + 14.0 * Mn_percent + 5.5 * Ni_percent
    alloy = alloy + 6.1 * Si_percent + 39.0 * V_percent + 96.0 * P_percent
    falling = -0.00276 * E**2 * root - 12.28 * np.sqrt(E) + 0.898 * E
    hardness = 95.0 * root + alloy + falling - 0.81 * grain_size - 13.0
    return np.minimum(hardness, 60.0 * root + 20.0)
