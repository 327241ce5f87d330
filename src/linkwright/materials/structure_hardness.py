"""Hardness of what a cooled steel consists of, by the Creusot-Loire regression.

- `martensite_hardness`, `bainite_hardness`, `ferrite_pearlite_hardness`: one constituent
- `constituent_hardness`: the three at once, each at its own cooling rate
- `mixed_hardness`: rule of mixtures

Elements in mass per cent; the cooling rate is that at 700 °C, in K/h. Which constituents form
is said by `linkwright.materials.austenite_decomposition`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_MAYNIER = (
    "P. Maynier, B. Jungmann & J. Dollet, in Hardenability Concepts with Applications to Steel "
    "(AIME, 1978), pp. 518-545"
)
MAYNIER_RANGE = {
    "C_percent": (0.1, 0.5),
    "Si_percent": (0.0, 1.0),
    "Mn_percent": (0.0, 2.0),
    "Ni_percent": (0.0, 4.0),
    "Cr_percent": (0.0, 3.0),
    "Mo_percent": (0.0, 1.0),
    "V_percent": (0.0, 0.2),
}
"""Analyses for which the regression was made (mass per cent)."""

_NEEDS = {"C_percent": NOT_NEGATIVE, "cooling_rate_K_per_h": POSITIVE}


@calculation(
    source=f"{_MAYNIER}, martensite", gives="hardness_HV", needs=_NEEDS, valid=MAYNIER_RANGE
)
def martensite_hardness(
    *,
    C_percent: Values,
    cooling_rate_K_per_h: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> Values:
    """Vickers hardness of quenched martensite.

        HV = 127 + 949 C + 27 Si + 11 Mn + 8 Ni + 16 Cr + 21 log10(V)

    V is the cooling rate at 700 °C in K/h; molybdenum and vanadium have no term.

    References: Maynier, Jungmann & Dollet (1978).
    """
    main = 127.0 + 949.0 * C_percent + 27.0 * Si_percent + 11.0 * Mn_percent
    main = main + 8.0 * Ni_percent + 16.0 * Cr_percent
    return main + 21.0 * np.log10(cooling_rate_K_per_h) + 0.0 * (Mo_percent + V_percent)


@calculation(source=f"{_MAYNIER}, bainite", gives="hardness_HV", needs=_NEEDS, valid=MAYNIER_RANGE)
def bainite_hardness(
    *,
    C_percent: Values,
    cooling_rate_K_per_h: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> Values:
    """Vickers hardness of bainite.

        HV = -323 + 185 C + 330 Si + 153 Mn + 65 Ni + 144 Cr + 191 Mo
             + log10(V) (89 + 53 C - 55 Si - 22 Mn - 10 Ni - 20 Cr - 33 Mo)

    V is the cooling rate at 700 °C in K/h; the element vanadium has no term.

    References: Maynier, Jungmann & Dollet (1978).
    """
    main = -323.0 + 185.0 * C_percent + 330.0 * Si_percent + 153.0 * Mn_percent
    main = main + 65.0 * Ni_percent + 144.0 * Cr_percent + 191.0 * Mo_percent
    slope = 89.0 + 53.0 * C_percent - 55.0 * Si_percent - 22.0 * Mn_percent
    slope = slope - 10.0 * Ni_percent - 20.0 * Cr_percent - 33.0 * Mo_percent
    return main + slope * np.log10(cooling_rate_K_per_h) + 0.0 * V_percent


@calculation(
    source=f"{_MAYNIER}, ferrite-pearlite", gives="hardness_HV", needs=_NEEDS, valid=MAYNIER_RANGE
)
def ferrite_pearlite_hardness(
    *,
    C_percent: Values,
    cooling_rate_K_per_h: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> Values:
    """Vickers hardness of ferrite and pearlite.

        HV = 42 + 223 C + 53 Si + 30 Mn + 12.6 Ni + 7 Cr + 19 Mo
             + log10(V) (10 - 19 Si + 4 Ni + 8 Cr + 130 Va)

    V is the cooling rate at 700 °C in K/h, Va the element vanadium.

    References: Maynier, Jungmann & Dollet (1978).
    """
    main = 42.0 + 223.0 * C_percent + 53.0 * Si_percent + 30.0 * Mn_percent
    main = main + 12.6 * Ni_percent + 7.0 * Cr_percent + 19.0 * Mo_percent
    slope = 10.0 - 19.0 * Si_percent + 4.0 * Ni_percent + 8.0 * Cr_percent + 130.0 * V_percent
    return main + slope * np.log10(cooling_rate_K_per_h)


class ConstituentHardness(NamedTuple):
    """Results of `constituent_hardness`."""

    martensite_HV: Values
    bainite_HV: Values
    ferrite_pearlite_HV: Values


@calculation(
    source=_MAYNIER,
    needs={
        "C_percent": NOT_NEGATIVE,
        "cooling_rate_martensite_K_per_h": POSITIVE,
        "cooling_rate_bainite_K_per_h": POSITIVE,
        "cooling_rate_ferrite_pearlite_K_per_h": POSITIVE,
    },
    valid=MAYNIER_RANGE,
)
def constituent_hardness(
    *,
    C_percent: Values,
    cooling_rate_martensite_K_per_h: Values,
    cooling_rate_bainite_K_per_h: Values = None,
    cooling_rate_ferrite_pearlite_K_per_h: Values = None,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> ConstituentHardness:
    """Vickers hardness of martensite, bainite and ferrite-pearlite of one steel.

    Each at its own cooling rate at 700 °C (K/h); a rate that is not given is that of the
    martensite. Formulas as in `martensite_hardness`, `bainite_hardness` and
    `ferrite_pearlite_hardness`.

    References: Maynier, Jungmann & Dollet (1978).
    """
    analysis = {
        "C_percent": C_percent,
        "Si_percent": Si_percent,
        "Mn_percent": Mn_percent,
        "Ni_percent": Ni_percent,
        "Cr_percent": Cr_percent,
        "Mo_percent": Mo_percent,
        "V_percent": V_percent,
    }
    rates = [
        cooling_rate_martensite_K_per_h if rate is None else rate
        for rate in (cooling_rate_bainite_K_per_h, cooling_rate_ferrite_pearlite_K_per_h)
    ]
    return ConstituentHardness(
        martensite_hardness(cooling_rate_K_per_h=cooling_rate_martensite_K_per_h, **analysis),
        bainite_hardness(cooling_rate_K_per_h=rates[0], **analysis),
        ferrite_pearlite_hardness(cooling_rate_K_per_h=rates[1], **analysis),
    )


@calculation(
    source=f"rule of mixtures, as used by {_MAYNIER}",
    gives="hardness_HV",
    needs={
        "martensite_fraction": (0.0, 1.0),
        "bainite_fraction": (0.0, 1.0),
        "ferrite_pearlite_fraction": (0.0, 1.0),
    },
)
def mixed_hardness(
    *,
    martensite_fraction: Values,
    martensite_HV: Values,
    bainite_fraction: Values = 0.0,
    bainite_HV: Values = 0.0,
    ferrite_pearlite_fraction: Values = 0.0,
    ferrite_pearlite_HV: Values = 0.0,
) -> Values:
    """Hardness of a mixed structure: the mean of its constituents weighted by their shares.

    References: Maynier, Jungmann & Dollet (1978).
    """
    hard = martensite_fraction * martensite_HV + bainite_fraction * bainite_HV
    return hard + ferrite_pearlite_fraction * ferrite_pearlite_HV
