"""Heat to and from a round bar by moving fluid and by radiation.

- `nusselt_horizontal_cylinder_natural` (Churchill & Chu)
- `nusselt_cylinder_crossflow` (Churchill & Bernstein), `nusselt_cylinder_zukauskas`
- `radiation_to_surroundings` (Stefan-Boltzmann)

Nusselt, Reynolds and Grashof numbers are made with the diameter.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA 2018


@calculation(
    source="S. W. Churchill & H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049-1053",
    gives="nusselt",
    needs={"prandtl": POSITIVE, "grashof": NOT_NEGATIVE},
    valid={"grashof": (0.0, 1e13)},
)
def nusselt_horizontal_cylinder_natural(*, prandtl: Values, grashof: Values) -> Values:
    """Nusselt number of a horizontal cylinder in still fluid.

        Nu = {0.6 + 0.387 Ra^(1/6)/[1 + (0.559/Pr)^(9/16)]^(8/27)}^2,  Ra = Gr Pr <= 1e12

    References: Churchill & Chu (1975).
    """
    rayleigh = grashof * prandtl
    fluid = (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.6 + 0.387 * rayleigh ** (1.0 / 6.0) / fluid) ** 2


@calculation(
    source="S. W. Churchill & M. Bernstein, J. Heat Transfer 99 (1977) 300-306",
    gives="nusselt",
    needs={"reynolds": NOT_NEGATIVE, "prandtl": POSITIVE},
    valid={"reynolds": (None, 1e7)},
)
def nusselt_cylinder_crossflow(*, reynolds: Values, prandtl: Values) -> Values:
    """Nusselt number of a cylinder in cross-flow, for Re Pr above 0.2.

        Nu = 0.3 + 0.62 Re^0.5 Pr^(1/3)/[1 + (0.4/Pr)^(2/3)]^0.25 [1 + (Re/282000)^(5/8)]^0.8

    References: Churchill & Bernstein (1977).
    """
    laminar = 0.62 * np.sqrt(reynolds) * np.cbrt(prandtl)
    fluid = (1.0 + (0.4 / prandtl) ** (2.0 / 3.0)) ** 0.25
    return 0.3 + laminar / fluid * (1.0 + (reynolds / 282000.0) ** 0.625) ** 0.8


@calculation(
    source="A. Zukauskas, Heat transfer from tubes in crossflow, Advances in Heat Transfer 8 "
    "(1972) 93-160",
    gives="nusselt",
    needs={"reynolds": POSITIVE, "prandtl": POSITIVE, "prandtl_wall": POSITIVE},
    valid={"reynolds": (1.0, 1e6), "prandtl": (0.7, 500.0)},
)
def nusselt_cylinder_zukauskas(
    *, reynolds: Values, prandtl: Values, prandtl_wall: Values = None
) -> Values:
    """Nusselt number of a cylinder in cross-flow, Nu = C Re^m Pr^n (Pr/Pr_wall)^0.25.

        Re   1 to 40:     C = 0.75,  m = 0.4        Re 1e3 to 2e5: C = 0.26,  m = 0.6
        Re  40 to 1000:   C = 0.51,  m = 0.5        Re 2e5 to 1e6: C = 0.076, m = 0.7

    n = 0.37 for Pr up to 10, else 0.36. Without ``prandtl_wall`` the last factor is one.

    References: Zukauskas (1972).
    """
    reynolds_array = np.asarray(reynolds, dtype=float)
    regime = np.searchsorted([40.0, 1e3, 2e5], reynolds_array, side="left")
    factor = np.array([0.75, 0.51, 0.26, 0.076])[regime]
    power = np.array([0.4, 0.5, 0.6, 0.7])[regime]
    n = np.where(np.asarray(prandtl) <= 10.0, 0.37, 0.36)
    wall = 1.0 if prandtl_wall is None else (prandtl / prandtl_wall) ** 0.25
    return (factor * reynolds_array**power * prandtl**n * wall)[()]


class Radiation(NamedTuple):
    """Results of `radiation_to_surroundings`."""

    flux_W_per_m2: Values
    coefficient_W_per_m2K: Values


@calculation(
    source="Stefan-Boltzmann law, constant of CODATA 2018; small body in large surroundings",
    needs={
        "emissivity": (0.0, 1.0),
        "temperature_degC": (-273.15, None),
        "surroundings_degC": (-273.15, None),
    },
)
def radiation_to_surroundings(
    *, emissivity: Values, temperature_degC: Values, surroundings_degC: Values = 20.0
) -> Radiation:
    """Radiated heat flux and the coefficient that gives it per kelvin of difference.

        q = e s (T^4 - T_s^4),  h = e s (T^2 + T_s^2)(T + T_s),  T in kelvin

    References: Stefan-Boltzmann law.
    """
    hot, cold = temperature_degC + 273.15, surroundings_degC + 273.15
    coefficient = emissivity * _STEFAN_BOLTZMANN * (hot**2 + cold**2) * (hot + cold)
    return Radiation(coefficient * (hot - cold), coefficient)
