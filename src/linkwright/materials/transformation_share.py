"""How much of a steel has transformed: martensite on cooling, diffusion with time, equilibrium.

- `koistinen_marburger`, `van_bohemen_rate`, `retained_austenite`: martensite
- `avrami_half_time`, `avrami_fraction`: transformation by nucleation and growth
- `lever_rule`: ferrite, pearlite and cementite of a carbon steel at equilibrium
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_OPEN_FRACTION = (1e-12, 1.0 - 1e-12)


@calculation(
    source="D. P. Koistinen & R. E. Marburger, Acta Metallurgica 7 (1959) 59-60",
    gives="martensite_fraction",
    needs={"rate_per_K": POSITIVE},
)
def koistinen_marburger(*, undercooling_K: Values, rate_per_K: Values = 0.011) -> Values:
    """Share of martensite at a temperature below martensite start: 1 - exp(-b (Ms - T)).

    ``undercooling_K`` is Ms - T; at or above Ms the share is zero. b is 0.011/K in the source;
    `van_bohemen_rate` gives it from the analysis.

    >>> round(float(koistinen_marburger(undercooling_K=200.0)), 4)
    0.8892

    References: Koistinen & Marburger (1959).
    """
    return -np.expm1(-rate_per_K * np.maximum(undercooling_K, 0.0))


@calculation(
    source="D. P. Koistinen & R. E. Marburger, Acta Metallurgica 7 (1959) 59-60",
    gives="austenite_fraction",
    needs={"rate_per_K": POSITIVE},
)
def retained_austenite(
    *, Ms_degC: Values, temperature_degC: Values, rate_per_K: Values = 0.011
) -> Values:
    """Share of austenite left when martensite forms down to a temperature: exp(-b (Ms - T)).

    ``temperature_degC`` is the coldest the steel became, for a water quench that of the water.

    References: Koistinen & Marburger (1959).
    """
    return np.exp(-rate_per_K * np.maximum(Ms_degC - temperature_degC, 0.0))


@calculation(
    source="S. M. C. van Bohemen, Mater. Sci. Technol. 28 (2012) 487-495",
    gives="rate_per_K",
    needs={"C_percent": NOT_NEGATIVE},
    valid={"C_percent": (0.1, 1.9)},
)
def van_bohemen_rate(
    *,
    C_percent: Values,
    Mn_percent: Values = 0.0,
    Si_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Rate constant of the martensite share from the analysis.

        b = 1e-3 [27.2 - (0.14 Mn + 0.21 Si + 0.11 Cr + 0.08 Ni + 0.05 Mo)
                  - 19.8 (1 - exp(-1.56 C))]   (1/K)

    References: van Bohemen (2012).
    """
    alloy = 0.14 * Mn_percent + 0.21 * Si_percent + 0.11 * Cr_percent
    alloy = alloy + 0.08 * Ni_percent + 0.05 * Mo_percent
    return 1e-3 * (27.2 - alloy + 19.8 * np.expm1(-1.56 * C_percent))


class AvramiHalfTime(NamedTuple):
    """Results of `avrami_half_time`."""

    half_time_s: Values
    rate_per_s: Values


@calculation(
    source="Avrami equation y = 1 - exp(-k t^n); W. D. Callister, Materials Science and "
    "Engineering, 7th ed., Ch. 10",
    needs={"n": POSITIVE, "fraction": _OPEN_FRACTION, "time_s": POSITIVE},
)
def avrami_half_time(*, n: Values, fraction: Values, time_s: Values) -> AvramiHalfTime:
    """Time to half transformation and its inverse, the rate, from one measured point.

        k = -ln(1 - y)/t^n,  t_half = (ln 2/k)^(1/n),  rate = 1/t_half

    References: Callister, 7th ed., Ch. 10.
    """
    half_s = time_s * (np.log(2.0) / -np.log1p(-fraction)) ** (1.0 / n)
    return AvramiHalfTime(half_s, 1.0 / half_s)


@calculation(
    source="Avrami equation y = 1 - exp(-k t^n); W. D. Callister, Materials Science and "
    "Engineering, 7th ed., Ch. 10",
    gives="fraction",
    needs={"n": POSITIVE, "half_time_s": POSITIVE, "time_s": NOT_NEGATIVE},
)
def avrami_fraction(*, n: Values, half_time_s: Values, time_s: Values) -> Values:
    """Share transformed after a time: 1 - exp[-ln 2 (t/t_half)^n].

    References: Callister, 7th ed., Ch. 10.
    """
    return -np.expm1(-np.log(2.0) * (time_s / half_time_s) ** n)


class PhaseAmounts(NamedTuple):
    """Results of `lever_rule`, mass per cent of the whole."""

    cementite_percent: Values
    ferrite_percent: Values
    pearlite_percent: Values
    proeutectoid_ferrite_percent: Values
    proeutectoid_cementite_percent: Values


@calculation(
    source="lever rule; W. D. Callister, Materials Science and Engineering, 7th ed., "
    "Example Problem 9.4",
    needs={"carbon_percent": NOT_NEGATIVE},
)
def lever_rule(
    *,
    carbon_percent: Values,
    ferrite_carbon_percent: Values = 0.022,
    eutectoid_carbon_percent: Values = 0.76,
    cementite_carbon_percent: Values = 6.7,
) -> PhaseAmounts:
    """Phases and constituents of a carbon steel just below the eutectoid, at equilibrium.

        cementite = (C - C_f)/(C_c - C_f),  ferrite = 1 - cementite
        below the eutectoid: pearlite = (C - C_f)/(C_e - C_f), the rest ferrite formed before
        above it:            pearlite = (C_c - C)/(C_c - C_e), the rest cementite formed before

    Below the solubility of carbon in ferrite all is ferrite.

    References: Callister, 7th ed., Example Problem 9.4.
    """
    C = np.clip(carbon_percent, ferrite_carbon_percent, cementite_carbon_percent)
    cementite = (C - ferrite_carbon_percent) / (cementite_carbon_percent - ferrite_carbon_percent)
    below = (C - ferrite_carbon_percent) / (eutectoid_carbon_percent - ferrite_carbon_percent)
    above = (cementite_carbon_percent - C) / (cementite_carbon_percent - eutectoid_carbon_percent)
    pearlite = np.minimum(below, above)
    rest = 1.0 - pearlite
    hypo = eutectoid_carbon_percent >= C
    return PhaseAmounts(
        100.0 * cementite,
        100.0 * (1.0 - cementite),
        100.0 * pearlite,
        (100.0 * np.where(hypo, rest, 0.0))[()],
        (100.0 * np.where(hypo, 0.0, rest))[()],
    )
