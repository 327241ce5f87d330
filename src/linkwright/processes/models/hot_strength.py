"""Strength of carbon steel at welding and forging heat.

- `flow_stress_shida`: flow stress over carbon, temperature, strain and strain rate
- `strain_rate_shida`: the same law turned round, rate that a stress drives
- `solidus_temperature`: where melting begins, from the analysis
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

SHIDA = (
    "S. Shida, Effect of carbon content, temperature and strain rate on compression flow stress "
    "of carbon steel, Hitachi Res. Lab. Report (1974); as in J. G. Lenard, Primer on Flat "
    "Rolling (2007), ch. 4"
)
SHIDA_RANGE = {
    "temperature_degC": (700.0, 1200.0),
    "strain": (0.0, 0.7),
    "strain_rate_per_s": (0.1, 100.0),
    "C_percent": (0.07, 1.2),
}
_KGF_PER_MM2 = 9.80665  # MPa
_RANGE_NO_RATE = {key: SHIDA_RANGE[key] for key in ("temperature_degC", "strain", "C_percent")}


class _Law(NamedTuple):
    """Shida's law at one temperature and strain: stress at 10 per s and rate exponent."""

    stress_MPa: Any
    exponent: Any


def shida_law(*, temperature_degC: Any, strain: Any, C_percent: Any) -> _Law:
    """Stress at 10 per second (MPa) and rate exponent m, without checks; arrays broadcast."""
    C = np.asarray(C_percent, dtype=float)
    T = (np.asarray(temperature_degC, dtype=float) + 273.15) / 1000.0
    turning = 0.95 * (C + 0.41) / (C + 0.32)
    austenite = turning <= T
    dip = 30.0 * (C + 0.9) * (T - 0.95 * (C + 0.49) / (C + 0.42)) ** 2 + (C + 0.06) / (C + 0.09)
    deformation = np.where(
        austenite,
        np.exp(5.0 / np.where(austenite, T, turning) - 0.01 / (C + 0.05)),
        dip * np.exp(5.0 / turning - 0.01 / (C + 0.05)),
    )
    exponent = np.where(
        austenite,
        (-0.019 * C + 0.126) * T + (0.075 * C - 0.05),
        (0.081 * C - 0.154) * T + (-0.019 * C + 0.207) + 0.027 / (C + 0.32),
    )
    share = np.asarray(strain, dtype=float) / 0.2
    hardening = 1.3 * share ** (0.41 - 0.07 * C) - 0.3 * share
    return _Law(0.28 * _KGF_PER_MM2 * deformation * hardening, exponent)


@calculation(
    source=SHIDA,
    gives="flow_stress_MPa",
    needs={"strain": (0.0, 1.0), "strain_rate_per_s": POSITIVE, "C_percent": (0.0, 2.0)},
    valid=SHIDA_RANGE,
    basis="memory",
)
def flow_stress_shida(
    *,
    temperature_degC: Values,
    strain: Values = 0.2,
    strain_rate_per_s: Values = 10.0,
    C_percent: Values = 0.2,
) -> Values:
    """Flow stress of hot carbon steel (Shida).

    With T' = T/1000 (K), Tp = 0.95 (C + 0.41)/(C + 0.32), stress in kgf/mm2:

        s = sf [1.3 (e/0.2)^n - 0.3 (e/0.2)] (rate/10)^m,   n = 0.41 - 0.07 C
        T' >= Tp: sf = 0.28 exp[5/T' - 0.01/(C + 0.05)],
                  m = (-0.019 C + 0.126) T' + 0.075 C - 0.05
        T' < Tp:  sf = 0.28 g exp[5/Tp - 0.01/(C + 0.05)],
                  g = 30 (C + 0.9) [T' - 0.95 (C + 0.49)/(C + 0.42)]^2 + (C + 0.06)/(C + 0.09),
                  m = (0.081 C - 0.154) T' - 0.019 C + 0.207 + 0.027/(C + 0.32)

    C in mass per cent. Alloying is not in the law (23MnNiCrMo5-2 is harder than it says).
    The coefficients were read in a public text with two signs misprinted; signs recalled,
    and checked by the two branches, which meet at Tp within one per cent.

    >>> round(float(flow_stress_shida(temperature_degC=1000.0)), 1)
    133.9
    """
    law = shida_law(temperature_degC=temperature_degC, strain=strain, C_percent=C_percent)
    rate = np.asarray(strain_rate_per_s, dtype=float)
    return (law.stress_MPa * (rate / 10.0) ** law.exponent)[()]


@calculation(
    source=SHIDA,
    gives="strain_rate_per_s",
    needs={"stress_MPa": NOT_NEGATIVE, "strain": (1e-6, 1.0), "C_percent": (0.0, 2.0)},
    valid=_RANGE_NO_RATE,
    basis="memory",
)
def strain_rate_shida(
    *, stress_MPa: Values, temperature_degC: Values, strain: Values = 0.2, C_percent: Values = 0.2
) -> Values:
    """Strain rate that a stress drives in hot carbon steel: `flow_stress_shida` turned round.

    rate = 10 (s/s10)^(1/m), s10 the flow stress at 10 per second. The exponent 1/m is 6 to
    10, so a tenth more stress doubles the rate.

    >>> round(float(strain_rate_shida(stress_MPa=133.936, temperature_degC=1000.0)), 2)
    10.0
    """
    law = shida_law(temperature_degC=temperature_degC, strain=strain, C_percent=C_percent)
    return (10.0 * (np.asarray(stress_MPa, dtype=float) / law.stress_MPa) ** (1.0 / law.exponent))[
        ()
    ]


@calculation(
    source="B. G. Thomas, I. V. Samarasekera & J. K. Brimacombe, Metall. Trans. B 18 (1987) "
    "119-130: solidus of low-alloy steel from the analysis",
    gives="solidus_temperature_degC",
    needs={"C_percent": (0.0, 2.0)},
    valid={"C_percent": (0.0, 0.5)},
    basis="memory",
)
def solidus_temperature(
    *,
    C_percent: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    P_percent: Values = 0.0,
    S_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Al_percent: Values = 0.0,
) -> Values:
    """Temperature at which a steel begins to melt.

    Ts = 1536 - 415.3 C - 12.3 Si - 6.8 Mn - 124.5 P - 183.9 S - 4.3 Ni - 1.4 Cr - 4.1 Al,
    in deg C and mass per cent; coefficients recalled.

    >>> round(float(solidus_temperature(C_percent=0.2)), 1)
    1452.9
    """
    lowered = 415.3 * np.asarray(C_percent, float) + 12.3 * np.asarray(Si_percent, float)
    lowered = lowered + 6.8 * np.asarray(Mn_percent, float) + 124.5 * np.asarray(P_percent, float)
    lowered = lowered + 183.9 * np.asarray(S_percent, float) + 4.3 * np.asarray(Ni_percent, float)
    lowered = lowered + 1.4 * np.asarray(Cr_percent, float) + 4.1 * np.asarray(Al_percent, float)
    return (1536.0 - lowered)[()]
