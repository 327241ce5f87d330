"""Carbon and nitrogen in austenite: how fast they go in, how deep they come.

- `carburising_time`, `mid_carbon_depth`: error-function solution with a constant diffusivity
- `case_depth_harris`: the shop's rule for total case depth
- `carbon_diffusivity_tibbetts`, `carbon_diffusivity_agren`: diffusivity with carbon content
- `nitrogen_diffusivity_austenite`: diffusivity of nitrogen
- `alloy_carbon_factor`: carbon of a steel against that of plain iron in the same gas
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_GAS_J_PER_MOLK = 8.314462618
_ABOVE_ZERO_K = (-273.0, None)


class CarburisingTime(NamedTuple):
    """Results of `carburising_time`."""

    z: Values
    time_h: Values
    diffusivity_m2_per_s: Values


@calculation(
    source="W. D. Callister, Materials Science and Engineering, 7th ed., eq. 5.5 and Design "
    "Example 5.1",
    needs={
        "depth_mm": POSITIVE,
        "D0_m2_per_s": POSITIVE,
        "R_J_per_molK": POSITIVE,
        "temperature_degC": _ABOVE_ZERO_K,
    },
)
def carburising_time(
    *,
    initial_carbon_percent: Values,
    surface_carbon_percent: Values,
    target_carbon_percent: Values,
    depth_mm: Values,
    temperature_degC: Values,
    D0_m2_per_s: Values = 2.3e-5,
    activation_J_per_mol: Values = 148000.0,
    R_J_per_molK: Values = _GAS_J_PER_MOLK,
) -> CarburisingTime:
    """Time until a depth has reached a carbon content under a constant surface carbon.

        (C_x - C_0)/(C_s - C_0) = 1 - erf(z),  z = x/(2 sqrt(D t)),  D = D0 exp(-Q/(R T))

    Raises `ArgumentError` if the target does not lie between initial and surface carbon.

    References: Callister, 7th ed.; the book interpolates z in a table (0.4747 for half way,
    exact 0.4769).
    """
    from scipy.special import erfcinv  # noqa: PLC0415 - heavy, on use

    share = (target_carbon_percent - initial_carbon_percent) / (
        surface_carbon_percent - initial_carbon_percent
    )
    if not (np.all(np.greater(share, 0.0)) and np.all(np.less(share, 1.0))):
        raise ArgumentError(
            "target_carbon_percent", target_carbon_percent, "%", "between initial and surface"
        )
    z = erfcinv(share)
    in_K = temperature_degC + 273.15
    diffusivity = D0_m2_per_s * np.exp(-activation_J_per_mol / (R_J_per_molK * in_K))
    time_s = (depth_mm * 1e-3 / (2.0 * z)) ** 2 / diffusivity
    return CarburisingTime(z, time_s / 3600.0, diffusivity)


class CarburisingDepth(NamedTuple):
    """Results of `mid_carbon_depth`."""

    diffusivity_m2_per_s: Values
    depth_mm: Values


@calculation(
    source="error-function solution; D0 and Q of a public teaching page on surface hardening",
    needs={"time_h": NOT_NEGATIVE, "D0_m2_per_s": POSITIVE, "temperature_degC": _ABOVE_ZERO_K},
)
def mid_carbon_depth(
    *,
    temperature_degC: Values,
    time_h: Values,
    D0_m2_per_s: Values = 1.5e-5,
    activation_J_per_mol: Values = 135000.0,
    R_J_per_molK: Values = _GAS_J_PER_MOLK,
) -> CarburisingDepth:
    """Depth where carbon is the mean of surface and core: 0.954 sqrt(D t).

    0.954 is 2 z with erf(z) = 0.5.

    References: error-function solution of the diffusion equation.
    """
    in_K = temperature_degC + 273.15
    diffusivity = D0_m2_per_s * np.exp(-activation_J_per_mol / (R_J_per_molK * in_K))
    return CarburisingDepth(diffusivity, 954.0 * np.sqrt(diffusivity * time_h * 3600.0))


@calculation(
    source="F. E. Harris, Case depth: an attempt at a practical definition, Metal Progress (1943)",
    gives="case_depth_in",
    needs={"time_h": NOT_NEGATIVE, "temperature_degF": (-459.0, None)},
    valid={"temperature_degF": (1500.0, 1900.0)},
)
def case_depth_harris(*, temperature_degF: Values, time_h: Values) -> Values:
    """Total case depth of saturated carburising: 31.6 sqrt(t)/10^(6700/T) inches.

    t in hours, T = °F + 460, as the source has it (1700 °F gives 0.635 sqrt(t) mm).

    References: Harris (1943).
    """
    return 31.6 * np.sqrt(time_h) / 10.0 ** (6700.0 / (temperature_degF + 460.0))


@calculation(
    source="G. G. Tibbetts, Diffusivity of carbon in iron and steels at high temperatures, "
    "J. Appl. Phys. 51 (1980) 4813-4816",
    gives="diffusivity_m2_per_s",
    needs={"carbon_percent": NOT_NEGATIVE, "temperature_degC": _ABOVE_ZERO_K},
    valid={"carbon_percent": (0.0, 1.7)},
    basis="memory",
)
def carbon_diffusivity_tibbetts(*, carbon_percent: Values, temperature_degC: Values) -> Values:
    """Diffusivity of carbon in austenite.

        D = 0.47 exp(-1.6 C) exp[-(37000 - 6600 C)/(R T)]   (cm2/s),  R = 1.987 cal/(mol K)

    References: Tibbetts (1980), coefficients recalled.
    """
    barrier = (37000.0 - 6600.0 * carbon_percent) / (1.987 * (temperature_degC + 273.15))
    return 0.47e-4 * np.exp(-1.6 * carbon_percent - barrier)


@calculation(
    source="J. Ågren, A revised expression for the diffusivity of carbon in binary Fe-C austenite, "
    "Scripta Metallurgica 20 (1986) 1507-1510",
    gives="diffusivity_m2_per_s",
    needs={"carbon_percent": (0.0, 100.0), "temperature_degC": _ABOVE_ZERO_K},
    valid={"carbon_percent": (0.0, 2.0)},
)
def carbon_diffusivity_agren(*, carbon_percent: Values, temperature_degC: Values) -> Values:
    """Diffusivity of carbon in binary Fe-C austenite.

        D = 4.53e-7 [1 + y (1 - y) 8339.9/T] exp{-(1/T - 2.221e-4)(17767 - 26436 y)}   (m2/s)

    y = x/(1 - x), x the atom fraction of carbon (atomic masses 12.011 and 55.845), T in K.

    References: Ågren (1986).
    """
    carbon, iron = carbon_percent / 12.011, (100.0 - carbon_percent) / 55.845
    y, in_K = carbon / iron, temperature_degC + 273.15
    exponent = -(1.0 / in_K - 2.221e-4) * (17767.0 - 26436.0 * y)
    return 4.53e-7 * (1.0 + y * (1.0 - y) * 8339.9 / in_K) * np.exp(exponent)


@calculation(
    source="P. Grieveson & E. T. Turkdogan, Kinetics of reaction of gaseous nitrogen with iron, "
    "Trans. AIME 230 (1964) 1604-1609",
    gives="diffusivity_m2_per_s",
    needs={"temperature_degC": _ABOVE_ZERO_K},
    valid={"temperature_degC": (800.0, 1300.0)},
    basis="memory",
)
def nitrogen_diffusivity_austenite(*, temperature_degC: Values) -> Values:
    """Diffusivity of nitrogen in austenite: 0.91 exp[-168500/(R T)] cm2/s, Q in J/mol.

    Taken as free of carbon and nitrogen content. The range is that in which austenite is there.

    References: Grieveson & Turkdogan (1964), coefficients recalled.

    Example:
    >>> print(f"{nitrogen_diffusivity_austenite(temperature_degC=860.0):.2e}")
    1.56e-12
    """
    return 0.91e-4 * np.exp(-168500.0 / (_GAS_J_PER_MOLK * (temperature_degC + 273.15)))


@calculation(
    source="S. Gunnarson, Einfluss von Stahlzusammensetzung und Kohlenstoffpegel des Gases auf den "
    "Kohlenstoffgehalt des Stahls, Haerterei-Techn. Mitt. 22 (1967) 293-295",
    gives="alloy_factor",
    needs={"Si_percent": NOT_NEGATIVE},
    valid={"Si_percent": (0.0, 2.0), "Mn_percent": (0.0, 2.0), "Cr_percent": (0.0, 2.0),
           "Ni_percent": (0.0, 4.0), "Mo_percent": (0.0, 1.0)},
    basis="memory",
)  # fmt: skip
def alloy_carbon_factor(
    *,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Carbon potential of a gas over the carbon that the alloyed austenite takes up from it.

        log10 (Cp/C) = 0.055 Si - 0.013 Mn - 0.040 Cr + 0.014 Ni - 0.013 Mo

    Below one for chromium, manganese and molybdenum: such steel takes up more than plain iron.
    The ranges are those of case-hardening steels; the source's own were not at hand.

    References: Gunnarson (1967), coefficients recalled.

    Example:
    >>> print(round(alloy_carbon_factor(Si_percent=0.25, Mn_percent=1.2, Cr_percent=1.0), 3))
    0.908
    """
    low = 0.013 * Mn_percent + 0.040 * Cr_percent + 0.013 * Mo_percent
    return 10.0 ** (0.055 * Si_percent + 0.014 * Ni_percent - low)
