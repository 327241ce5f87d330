"""Transformation temperatures of steel from its analysis.

On heating and at equilibrium:
- `andrews_ac1`, `andrews_ac3`, `andrews_ac3_extended`, `grange_critical_temperatures`
On cooling:
- `andrews_martensite_start`, `andrews_martensite_start_product`
- `ouchi_ar3` (ferrite start), `steven_haynes_start` (martensite and bainite),
  `van_bohemen_martensite_start`

Elements in mass per cent. Elements that a formula does not use are taken and change nothing,
so that one analysis can be handed to all. The authors differ by some 10 K on the same steel.
Ranges of validity are recalled. No published rule for the rise of Ac3 with the heating
rate was at hand: none is offered.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation

_ANDREWS = (
    "K. W. Andrews, Empirical formulae for the calculation of some transformation temperatures, "
    "JISI 203 (1965) 721-727"
)
_ANDREWS_RANGE = {
    "C_percent": (0.0, 0.6),
    "Mn_percent": (0.0, 4.9),
    "Ni_percent": (0.0, 5.0),
    "Cr_percent": (0.0, 5.0),
    "Mo_percent": (0.0, 5.4),
}
_C = {"C_percent": NOT_NEGATIVE}


@calculation(source=f"{_ANDREWS}, Ac1", gives="Ac1_degC", needs=_C, valid=_ANDREWS_RANGE)
def andrews_ac1(
    *,
    C_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    As_percent: Values = 0.0,
    W_percent: Values = 0.0,
) -> Values:
    """Lower critical temperature on heating.

        Ac1 = 723 - 10.7 Mn - 16.9 Ni + 29.1 Si + 16.9 Cr + 290 As + 6.38 W   (°C)

    References: Andrews (1965). Carbon and molybdenum have no term.
    """
    alloy = -10.7 * Mn_percent - 16.9 * Ni_percent + 29.1 * Si_percent + 16.9 * Cr_percent
    return 723.0 + alloy + 290.0 * As_percent + 6.38 * W_percent + _nothing(C_percent, Mo_percent)


@calculation(source=f"{_ANDREWS}, Ac3", gives="Ac3_degC", needs=_C, valid=_ANDREWS_RANGE)
def andrews_ac3(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
    W_percent: Values = 0.0,
) -> Values:
    """Upper critical temperature on heating, short form.

        Ac3 = 910 - 203 sqrt(C) - 15.2 Ni + 44.7 Si + 104 V + 31.5 Mo + 13.1 W   (°C)

    References: Andrews (1965). `andrews_ac3_extended` adds manganese, chromium and others.
    """
    main = 910.0 - 203.0 * np.sqrt(C_percent) - 15.2 * Ni_percent + 44.7 * Si_percent
    main = main + 104.0 * V_percent + 31.5 * Mo_percent + 13.1 * W_percent
    return main + _nothing(Mn_percent, Cr_percent)


@calculation(
    source=f"{_ANDREWS}, Ac3 with the further terms in common use",
    gives="Ac3_degC",
    needs=_C,
    valid=_ANDREWS_RANGE,
)
def andrews_ac3_extended(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
    W_percent: Values = 0.0,
    Cu_percent: Values = 0.0,
    P_percent: Values = 0.0,
    Al_percent: Values = 0.0,
    As_percent: Values = 0.0,
    Ti_percent: Values = 0.0,
) -> Values:
    """Upper critical temperature on heating with all terms.

        Ac3 = short form - (30 Mn + 11 Cr + 20 Cu - 700 P - 400 Al - 120 As - 400 Ti)   (°C)

    so phosphorus, aluminium, arsenic and titanium raise it.

    References: Andrews (1965). Collections that lost the bracket give chromium the wrong sign.
    """
    short = andrews_ac3(
        C_percent=C_percent,
        Si_percent=Si_percent,
        Ni_percent=Ni_percent,
        Mo_percent=Mo_percent,
        V_percent=V_percent,
        W_percent=W_percent,
    )
    lowering = 30.0 * Mn_percent + 11.0 * Cr_percent + 20.0 * Cu_percent
    raising = 700.0 * P_percent + 400.0 * Al_percent + 120.0 * As_percent + 400.0 * Ti_percent
    return short - (lowering - raising)


class CriticalTemperatures(NamedTuple):
    """Results of `grange_critical_temperatures`."""

    Ae1_degC: Values
    Ae3_degC: Values


@calculation(
    source="R. A. Grange, Estimating critical ranges in heat treatment of steels, "
    "Metal Progress (1961)",
    needs=_C,
)
def grange_critical_temperatures(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> CriticalTemperatures:
    """Equilibrium critical temperatures by Grange, given in °F by the source.

        Ae1 = 1333 - 25 Mn + 40 Si - 26 Ni + 42 Cr               (°F)
        Ae3 = 1570 - 323 C - 25 Mn + 80 Si - 32 Ni - 3 Cr        (°F)

    References: Grange (1961). Molybdenum has no term.
    """
    nothing = _nothing(C_percent, Mo_percent)
    ae1 = 1333.0 - 25.0 * Mn_percent + 40.0 * Si_percent - 26.0 * Ni_percent + 42.0 * Cr_percent
    ae3 = 1570.0 - 323.0 * C_percent - 25.0 * Mn_percent + 80.0 * Si_percent
    ae3 = ae3 - 32.0 * Ni_percent - 3.0 * Cr_percent
    return CriticalTemperatures((ae1 + nothing - 32.0) / 1.8, (ae3 + nothing - 32.0) / 1.8)


@calculation(
    source="C. Ouchi, T. Sampei & I. Kozasu, The effect of hot rolling condition and chemical "
    "composition on the onset temperature of gamma-alpha transformation after hot rolling, "
    "Trans. ISIJ 22 (1982) 214-222",
    gives="Ar3_degC",
    needs=_C | {"thickness_mm": (0.0, None)},
    valid={"thickness_mm": (8.0, 30.0)},
    basis="memory",
)
def ouchi_ar3(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    Cu_percent: Values = 0.0,
    thickness_mm: Values = 8.0,
) -> Values:
    """Temperature at which ferrite begins to form where plate cools in air.

        Ar3 = 910 - 310 C - 80 Mn - 20 Cu - 15 Cr - 55 Ni - 80 Mo + 0.35 (t - 8)   (°C)

    t thickness of the plate in mm, which stands for its rate of cooling; the default drops the
    term. For plate of rolled low-alloy steel; a faster cooling begins lower.

    References: Ouchi, Sampei & Kozasu (1982). The coefficients were seen in a public collection,
    which prints 3.5 for 0.35: without weight at 8 mm.

    Example:
    >>> round(float(ouchi_ar3(C_percent=0.2, Mn_percent=1.0)), 1)
    768.0
    """
    main = 910.0 - 310.0 * C_percent - 80.0 * Mn_percent - 20.0 * Cu_percent - 15.0 * Cr_percent
    return main - 55.0 * Ni_percent - 80.0 * Mo_percent + 0.35 * (thickness_mm - 8.0)


@calculation(source=f"{_ANDREWS}, linear Ms", gives="Ms_degC", needs=_C, valid=_ANDREWS_RANGE)
def andrews_martensite_start(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Martensite start by the linear formula.

        Ms = 539 - 423 C - 30.4 Mn - 17.7 Ni - 12.1 Cr - 7.5 Mo   (°C)

    References: Andrews (1965), linear. Silicon has no term.
    """
    main = 539.0 - 423.0 * C_percent - 30.4 * Mn_percent - 17.7 * Ni_percent
    return main - 12.1 * Cr_percent - 7.5 * Mo_percent + _nothing(Si_percent)


@calculation(
    source=f"{_ANDREWS}, product Ms",
    gives="Ms_degC",
    needs=_C,
    valid=_ANDREWS_RANGE,
    basis="memory",
)
def andrews_martensite_start_product(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Martensite start with products of carbon and alloy.

        Ms = 512 - 453 C - 16.9 Ni + 15 Cr - 9.5 Mo + 217 C^2 - 71.5 C Mn - 67.6 C Cr   (°C)

    References: Andrews (1965), product formula; coefficients recalled.
    """
    main = 512.0 - 453.0 * C_percent - 16.9 * Ni_percent + 15.0 * Cr_percent - 9.5 * Mo_percent
    products = C_percent * (217.0 * C_percent - 71.5 * Mn_percent - 67.6 * Cr_percent)
    return main + products + _nothing(Si_percent)


class StartTemperatures(NamedTuple):
    """Results of `steven_haynes_start`."""

    Ms_degC: Values
    Bs_degC: Values


@calculation(
    source="W. Steven & A. G. Haynes, JISI 183 (1956) 349-359",
    needs=_C,
    valid={
        "C_percent": (0.1, 0.55),
        "Mn_percent": (0.2, 1.7),
        "Ni_percent": (0.0, 5.0),
        "Cr_percent": (0.0, 3.5),
        "Mo_percent": (0.0, 1.0),
    },
)
def steven_haynes_start(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> StartTemperatures:
    """Martensite and bainite start.

        Ms = 561 - 474 C - 33 Mn - 17 Ni - 17 Cr - 21 Mo   (°C)
        Bs = 830 - 270 C - 90 Mn - 37 Ni - 70 Cr - 83 Mo   (°C)

    References: Steven & Haynes (1956). Silicon has no term.
    """
    ms = 561.0 - 474.0 * C_percent - 33.0 * Mn_percent - 17.0 * Ni_percent
    bs = 830.0 - 270.0 * C_percent - 90.0 * Mn_percent - 37.0 * Ni_percent
    nothing = _nothing(Si_percent)
    return StartTemperatures(
        ms - 17.0 * Cr_percent - 21.0 * Mo_percent + nothing,
        bs - 70.0 * Cr_percent - 83.0 * Mo_percent + nothing,
    )


@calculation(
    source="S. M. C. van Bohemen, Mater. Sci. Technol. 28 (2012) 487-495",
    gives="Ms_degC",
    needs=_C,
    valid={"C_percent": (0.1, 1.9)},
)
def van_bohemen_martensite_start(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Martensite start with a saturating carbon term.

        Ms = 565 - (31 Mn + 13 Si + 10 Cr + 18 Ni + 12 Mo) - 600 [1 - exp(-0.96 C)]   (°C)

    References: van Bohemen (2012).
    """
    alloy = 31.0 * Mn_percent + 13.0 * Si_percent + 10.0 * Cr_percent
    alloy = alloy + 18.0 * Ni_percent + 12.0 * Mo_percent
    return 565.0 - alloy + 600.0 * np.expm1(-0.96 * C_percent)


def _nothing(*elements: Values) -> Values:
    """Zero in the shape of elements without a term, so that they still broadcast."""
    return sum(0.0 * element for element in elements)
