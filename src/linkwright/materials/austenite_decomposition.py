"""What austenite becomes on cooling, from analysis, austenitising and cooling rate at 700 °C.

The Creusot-Loire system:
- `austenitising_parameter`: one temperature that stands for temperature and time of soaking
- `critical_cooling_rate`: the rate that just gives a structure, by name of the structure
- `constituents_after_cooling`: shares of martensite, bainite and ferrite-pearlite

Elements in mass per cent, rates in K/h at 700 °C.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.structure_hardness import MAYNIER_RANGE
from linkwright.quantities import UnknownName

_SOURCE = "P. Maynier, B. Jungmann & J. Dollet, in Hardenability Concepts (AIME, 1978), pp. 518-545"
_GAS_CAL_PER_MOLK = 1.987
_AUSTENITISING_CAL_PER_MOL = 110_000.0
_RANGE = {key: MAYNIER_RANGE[key] for key in MAYNIER_RANGE if key[:2] not in ("Si", "V_")}

# log10 V (K/h) = first - (C, Mn, Ni, Cr, Mo terms, 2 sqrt(Mo) for V3 only, Pa in degC term)
_RATES = {
    "V1": (9.81, 4.62, 1.05, 0.54, 0.50, 0.66, 0.0, 0.00183),
    "V1(90)": (8.76, 4.04, 0.96, 0.49, 0.58, 0.97, 0.0, 0.0010),
    "V1(50)": (8.50, 4.12, 0.86, 0.57, 0.41, 0.94, 0.0, 0.0012),
    "V2": (10.17, 3.80, 1.07, 0.70, 0.57, 1.58, 0.0, 0.0032),
    "V2(90)": (10.55, 3.65, 1.08, 0.77, 0.61, 1.49, 0.0, 0.0040),
    "V2(50)": (8.74, 2.23, 0.86, 0.56, 0.59, 1.60, 0.0, 0.0032),
    "V3(90)": (7.51, 1.38, 0.35, 0.93, 0.11, 2.31, 0.0, 0.0033),
    "V3": (6.36, 0.43, 0.49, 0.78, 0.27, 0.38, 2.0, 0.0019),
}
# Shares at the critical rates, slowest first: martensite against bainite, ferrite against bainite.
_MARTENSITE = (("V2", 0.0), ("V1(50)", 0.5), ("V1(90)", 0.9), ("V1", 1.0))
_FERRITE = (("V3", 1.0), ("V3(90)", 0.9), ("V2(50)", 0.5), ("V2(90)", 0.1), ("V2", 0.0))
_LEAST_STEP = 1e-6


class AustenitisingParameter(NamedTuple):
    """Results of `austenitising_parameter`: the same temperature on two scales."""

    parameter_K: Values
    parameter_degC: Values


@calculation(
    source=f"{_SOURCE}, Pa",
    needs={"temperature_degC": (-273.0, None), "time_h": POSITIVE},
    basis="memory",
)
def austenitising_parameter(*, temperature_degC: Values, time_h: Values) -> AustenitisingParameter:
    """Temperature that austenitises as far in one hour as the given temperature and time.

        Pa = [1/T - 2.303 R/dH log10(t)]^-1,  dH = 110 kcal/mol, R = 1.987 cal/(mol K), t in h

    T and Pa in kelvin in the formula; the critical rates take Pa in °C. Short times count: 10 s
    at 950 °C equal an hour at 809 °C.

    >>> soaked = austenitising_parameter(temperature_degC=950.0, time_h=10 / 3600)
    >>> round(float(soaked.parameter_K), 1)
    1082.4

    References: Maynier, Jungmann & Dollet (1978); coefficients recalled.
    """
    per_decade = 2.303 * _GAS_CAL_PER_MOLK / _AUSTENITISING_CAL_PER_MOL
    in_K = 1.0 / (1.0 / (temperature_degC + 273.15) - per_decade * np.log10(time_h))
    return AustenitisingParameter(in_K, in_K - 273.15)


class CriticalRate(NamedTuple):
    """Results of `critical_cooling_rate`."""

    log10_rate: Values
    cooling_rate_K_per_h: Values


@calculation(
    source=f"{_SOURCE}, critical cooling rates", needs={"C_percent": NOT_NEGATIVE}, valid=_RANGE
)
def critical_cooling_rate(
    *,
    C_percent: Values,
    parameter_degC: Values,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    structure: str = "V1",
) -> CriticalRate:
    """Cooling rate at 700 °C (K/h) that just gives a named structure.

        log10 V1     =  9.81 - (4.62 C + 1.05 Mn + 0.54 Ni + 0.50 Cr + 0.66 Mo + 0.00183 Pa)
        log10 V1(90) =  8.76 - (4.04 C + 0.96 Mn + 0.49 Ni + 0.58 Cr + 0.97 Mo + 0.0010 Pa)
        log10 V1(50) =  8.50 - (4.12 C + 0.86 Mn + 0.57 Ni + 0.41 Cr + 0.94 Mo + 0.0012 Pa)
        log10 V2     = 10.17 - (3.80 C + 1.07 Mn + 0.70 Ni + 0.57 Cr + 1.58 Mo + 0.0032 Pa)
        log10 V2(90) = 10.55 - (3.65 C + 1.08 Mn + 0.77 Ni + 0.61 Cr + 1.49 Mo + 0.0040 Pa)
        log10 V2(50) =  8.74 - (2.23 C + 0.86 Mn + 0.56 Ni + 0.59 Cr + 1.60 Mo + 0.0032 Pa)
        log10 V3(90) =  7.51 - (1.38 C + 0.35 Mn + 0.93 Ni + 0.11 Cr + 2.31 Mo + 0.0033 Pa)
        log10 V3     =  6.36 - (0.43 C + 0.49 Mn + 0.78 Ni + 0.27 Cr + 0.38 Mo + 2 sqrt(Mo)
                               + 0.0019 Pa)

    V1: all martensite, V1(90), V1(50): 90 and 50 % of it, the rest bainite; V2: no martensite
    left; V2(90), V2(50): 90 and 50 % bainite, the rest ferrite and pearlite; V3(90), V3: 90 and
    100 % ferrite and pearlite. Pa in °C (`austenitising_parameter`). Raises `UnknownName`.

    References: Maynier, Jungmann & Dollet (1978); all coefficients read in one public program,
    which agrees with those recalled to 0.01. Some printings have 1.10 Mn in V1.
    """
    if structure not in _RATES:
        raise UnknownName("structure", structure, _RATES)
    first, *terms, root, last = _RATES[structure]
    amounts = (C_percent, Mn_percent, Ni_percent, Cr_percent, Mo_percent)
    lowering = sum(factor * amount for factor, amount in zip(terms, amounts, strict=True))
    log10_rate = first - (lowering + root * np.sqrt(Mo_percent) + last * parameter_degC)
    return CriticalRate(log10_rate, 10.0**log10_rate)


class Constituents(NamedTuple):
    """Results of `constituents_after_cooling`: shares that sum to one."""

    martensite_fraction: Values
    bainite_fraction: Values
    ferrite_pearlite_fraction: Values


@calculation(
    source=f"{_SOURCE}, critical cooling rates, straight in log rate between them",
    needs={"C_percent": NOT_NEGATIVE, "cooling_rate_K_per_h": POSITIVE},
    valid=_RANGE,
    basis="computed",
)
def constituents_after_cooling(
    *,
    C_percent: Values,
    parameter_degC: Values,
    cooling_rate_K_per_h: Values,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Constituents:
    """Shares of martensite, bainite and ferrite-pearlite at a cooling rate.

    Between the critical rates of `critical_cooling_rate` the shares run straight in log rate
    (our own choice of interpolation). Where a lean steel puts the critical rates out of order
    they are put in order, so that martensite never falls and ferrite never rises with rate;
    if martensite and ferrite then exceed the whole, both give way in proportion.

    References: Maynier, Jungmann & Dollet (1978) for the critical rates.
    """
    analysis = {
        "C_percent": C_percent,
        "Mn_percent": Mn_percent,
        "Ni_percent": Ni_percent,
        "Cr_percent": Cr_percent,
        "Mo_percent": Mo_percent,
        "parameter_degC": parameter_degC,
    }
    at = np.log10(cooling_rate_K_per_h)

    def share(course: tuple[tuple[str, float], ...]) -> Values:
        knots = [critical_cooling_rate(structure=name, **analysis).log10_rate for name, _ in course]
        shares = [value for _, value in course]
        total, reached = shares[0], knots[0]
        for knot, before, after in zip(knots[1:], shares[:-1], shares[1:], strict=True):
            end = np.maximum(knot, reached + _LEAST_STEP)
            total = total + (after - before) * np.clip((at - reached) / (end - reached), 0.0, 1.0)
            reached = end
        return total

    martensite, ferrite = np.clip(share(_MARTENSITE), 0.0, 1.0), np.clip(share(_FERRITE), 0.0, 1.0)
    whole = np.maximum(martensite + ferrite, 1.0)
    martensite, ferrite = martensite / whole, ferrite / whole
    return Constituents(martensite, np.maximum(1.0 - martensite - ferrite, 0.0), ferrite)
