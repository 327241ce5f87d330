"""Tempers that make steel brittle: windows of temperature, and how prone a steel is.

- `distance_outside_window`: how far a temper lies outside a window, negative inside
- `embrittlement_factor_watanabe`: how prone a steel is to reversible embrittlement
- `embrittling_hold`: time spent between 575 and 375 °C

Windows, for tempers of about one hour: 250 to 400 °C, tempered-martensite embrittlement, which
no later step but a hotter temper mends; 375 to 575 °C, temper embrittlement, which comes with
long holds and slow cooling and goes with a hotter temper and quick cooling.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, Values, calculation

_ASM = (
    "ASM Handbook, vol. 4, Heat Treating, tempering of steel: tempered-martensite embrittlement "
    "250 to 400 °C, temper embrittlement 375 to 575 °C"
)


@calculation(source=_ASM, gives="window_margin_K", basis="memory")
def distance_outside_window(
    *, temperature_degC: Values, from_degC: Values = 250.0, to_degC: Values = 400.0
) -> Values:
    """Kelvins by which a temper lies outside a window; negative inside it.

    The defaults are the window of tempered-martensite embrittlement, stated for tempers of about
    an hour: shorter ones are compared by their equivalent of one hour.

    References: as the source, recalled.

    Example:
    >>> float(distance_outside_window(temperature_degC=460.0)), float(
    ...     distance_outside_window(temperature_degC=300.0))
    (60.0, -50.0)
    """
    temperature = np.asarray(temperature_degC, float)
    return np.maximum(temperature - to_degC, from_degC - temperature)[()]


@calculation(
    source="J. Watanabe & Y. Murakami, Prevention of temper embrittlement of Cr-Mo steel vessels "
    "by the use of low-Si forged steels, API Midyear Refining Meeting (1981), p. 216",
    gives="embrittlement_factor",
    needs={
        "Mn_percent": NOT_NEGATIVE,
        "Si_percent": NOT_NEGATIVE,
        "P_percent": NOT_NEGATIVE,
        "Sn_percent": NOT_NEGATIVE,
    },
    basis="memory",
)
def embrittlement_factor_watanabe(
    *,
    Mn_percent: Values,
    P_percent: Values,
    Si_percent: Values = 0.0,
    Sn_percent: Values = 0.0,
) -> Values:
    """How prone a steel is to temper embrittlement: J = (Mn + Si)(P + Sn) 10^4, mass per cent.

    Made for 2.25 Cr-1 Mo steel of pressure vessels, where the risk counts as low up to J = 180. For
    chain steel it ranks heats; it is no limit. Tin that was not analysed counts as none.

    References: Watanabe & Murakami (1981), recalled; formula and 180 seen in public texts.

    Example:
    >>> round(float(embrittlement_factor_watanabe(Mn_percent=1.25, Si_percent=0.2, P_percent=0.012)))
    174
    """  # noqa: E501
    return (Mn_percent + Si_percent) * (P_percent + Sn_percent) * 1e4


@calculation(source=_ASM, gives="hold_min", basis="memory")
def embrittling_hold(
    *,
    temperature_degC: Values,
    hold_min: Values,
    cooling_time_s: Values,
    from_degC: Values = 375.0,
    to_degC: Values = 575.0,
) -> Values:
    """Time in the window of temper embrittlement: a hold inside it, and the cooling through it.

    References: as the source, recalled.
    """
    temperature = np.asarray(temperature_degC, float)
    inside = (temperature >= from_degC) & (temperature <= to_degC)
    return (np.where(inside, hold_min, 0.0) + np.asarray(cooling_time_s) / 60.0)[()]
