"""How far a temper goes, and how hard martensite and bainite are after it.

Severity of a temper:
- `hollomon_jaffe`, `hollomon_jaffe_equivalence`, `hollomon_jaffe_temperature`
- `tempering_parameter`: the Creusot-Loire parameter, in kelvin: the temperature that tempers
  as far in one hour
- `hollomon_jaffe_of_history`, `tempering_parameter_of_history`: the same for a measured or
  computed course of temperature, such as a few seconds in an inductor

Hardness after it:
- `tempered_hardness`: from analysis and parameter, furnace or inductor (Creusot-Loire)
- `tempered_hardness_by_quenched`, `tempered_hardness_spies`: two independent regressions for
  ordinary furnace tempers, as a check; on chain steel at 500 to 600 °C the three lie within
  18 % of their mean

In the functions of a history the first axis of the temperatures is time; any further axes are
members.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.structure_hardness import MAYNIER_RANGE
from linkwright.quantities import ArgumentError

_HOLLOMON = "J. H. Hollomon & L. D. Jaffe, Trans. AIME 162 (1945) 223-249"
_MAYNIER = (
    "P. Maynier, B. Jungmann & J. Dollet, in Hardenability Concepts with Applications to Steel "
    "(AIME, 1978), pp. 518-545, tempering"
)
_GAS_CAL_PER_MOLK = 1.987
_TEMPERING_CAL_PER_MOL = 100_000.0
_ABOVE_ZERO_K = (-273.0, None)


@calculation(
    source=_HOLLOMON,
    gives="parameter",
    needs={"temperature_degC": _ABOVE_ZERO_K, "time_h": POSITIVE},
)
def hollomon_jaffe(*, temperature_degC: Values, time_h: Values, constant: Values = 20.0) -> Values:
    """Tempering parameter P = T (C + log10 t)/1000, T in kelvin, t in hours.

    Equal P, equal hardness. The constant belongs to the unit of time; C = 20 for hours.

    >>> round(float(hollomon_jaffe(temperature_degC=600.0, time_h=1.0)), 2)
    17.46

    References: Hollomon & Jaffe (1945).
    """
    return (temperature_degC + 273.15) * (constant + np.log10(time_h)) / 1000.0


@calculation(
    source=_HOLLOMON,
    gives="new_temperature_degC",
    needs={"temperature_degC": _ABOVE_ZERO_K, "time_h": POSITIVE, "new_time_h": POSITIVE},
)
def hollomon_jaffe_equivalence(
    *, temperature_degC: Values, time_h: Values, new_time_h: Values, constant: Values = 20.0
) -> Values:
    """Temperature that tempers as far in another time: T1 (C + log t1) = T2 (C + log t2).

    References: Hollomon & Jaffe (1945).
    """
    old, new = constant + np.log10(time_h), constant + np.log10(new_time_h)
    return (temperature_degC + 273.15) * old / new - 273.15


@calculation(
    source=_HOLLOMON,
    gives="temperature_degC",
    needs={"parameter": POSITIVE, "time_h": POSITIVE},
)
def hollomon_jaffe_temperature(
    *, parameter: Values, time_h: Values = 1.0, constant: Values = 20.0
) -> Values:
    """Temperature that gives a tempering parameter in a time: T = 1000 P/(C + log10 t).

    With one hour, the default, this is the equivalent that chain standards ask for.

    References: Hollomon & Jaffe (1945).
    """
    return 1000.0 * parameter / (constant + np.log10(time_h)) - 273.15


@calculation(
    source=f"{_HOLLOMON}; equivalent times added step by step, the usual rule for short tempers",
    gives="parameter",
    needs={"temperature_degC": _ABOVE_ZERO_K},
    basis="computed",
)
def hollomon_jaffe_of_history(
    *, time_s: Values, temperature_degC: Values, constant: Values = 20.0
) -> Values:
    """Tempering parameter of a course of temperature, by adding equivalent times.

    In each step at its mean temperature T the parameter reached so far is turned into the time
    that would have given it at T, the step is added, and turned back:

        log t = 1000 P/T - C,  P <- T [C + log(t + dt)]/1000

    ``time_s`` has shape (steps,) or that of ``temperature_degC``, (steps, ...); the result has
    the shape of one step. A hold gives `hollomon_jaffe`; cold time adds nothing.
    Raises `ArgumentError` if the times do not rise or do not match.

    References: Hollomon & Jaffe (1945); common practice for the addition.
    """
    step_h, at_K = _steps(time_s, temperature_degC)
    middle_K = (at_K[1:] + at_K[:-1]) / 2.0
    reached = middle_K[0] * (constant + np.log10(step_h[0]))
    for dt_h, T in zip(step_h[1:], middle_K[1:], strict=True):
        log_dt = np.log10(dt_h)
        log_before = reached / T - constant
        # log10(10^a + 10^b) without overflow, for cold steps make the equivalent time immense
        higher, lower = np.maximum(log_before, log_dt), np.minimum(log_before, log_dt)
        reached = T * (constant + higher + np.log10(1.0 + 10.0 ** (lower - higher)))
    return (reached / 1000.0)[()]


@calculation(
    source=f"{_MAYNIER}, Pa",
    gives="parameter_K",
    needs={"temperature_degC": _ABOVE_ZERO_K, "time_h": POSITIVE},
    basis="memory",
)
def tempering_parameter(*, temperature_degC: Values, time_h: Values) -> Values:
    """Temperature (K) that tempers as far in one hour as the given temperature and time.

        Pa = [1/T - 2.303 R/dH log10(t)]^-1,  dH = 100 kcal/mol, R = 1.987 cal/(mol K), t in h

    References: Maynier, Jungmann & Dollet (1978); dH seen in one public program as 418 kJ/mol.
    """
    per_decade = 2.303 * _GAS_CAL_PER_MOLK / _TEMPERING_CAL_PER_MOL
    return 1.0 / (1.0 / (temperature_degC + 273.15) - per_decade * np.log10(time_h))


@calculation(
    source=f"{_MAYNIER}, Pa, integrated over the course of temperature",
    gives="parameter_K",
    needs={"temperature_degC": _ABOVE_ZERO_K},
    basis="computed",
)
def tempering_parameter_of_history(*, time_s: Values, temperature_degC: Values) -> Values:
    """Creusot-Loire tempering parameter (K) of a course of temperature.

    The definition of Pa means that t exp(-dH/(R T)) measures the temper, so shares add:

        E = integral of exp(-dH/(R T)) dt (hours),  Pa = -dH/(R ln E)

    Between two readings the exponent runs straight, which integrates in closed form (logarithmic
    mean). Shapes and errors as in `hollomon_jaffe_of_history`.

    References: Maynier, Jungmann & Dollet (1978) for Pa.
    """
    step_h, at_K = _steps(time_s, temperature_degC)
    scale_K = _TEMPERING_CAL_PER_MOL / _GAS_CAL_PER_MOLK * np.log(10.0) / 2.303  # 2.303 as printed
    rate = np.exp(-scale_K / at_K)
    ratio = np.log(rate[1:] / rate[:-1])
    flat = np.abs(ratio) < 1e-9
    mean = np.where(flat, rate[:-1], np.diff(rate, axis=0) / np.where(flat, 1.0, ratio))
    exposure_h = np.sum(step_h * mean, axis=0)
    return (-scale_K / np.log(exposure_h))[()]


class TemperedHardness(NamedTuple):
    """Results of `tempered_hardness`."""

    martensite_HV: Values
    bainite_HV: Values


@calculation(
    source=_MAYNIER,
    needs={"C_percent": NOT_NEGATIVE, "parameter_K": POSITIVE},
    valid=MAYNIER_RANGE,
    basis="memory",
)
def tempered_hardness(
    *,
    C_percent: Values,
    parameter_K: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
    quenched_martensite_HV: Values = None,
    quenched_bainite_HV: Values = None,
) -> TemperedHardness:
    """Vickers hardness of tempered martensite and tempered bainite.

        martensite: -74 - 434 C - 368 Si + 15 Mn + 37 Ni + 17 Cr - 335 Mo - 2235 V
            + (1000/Pa) (260 + 616 C + 321 Si - 21 Mn - 35 Ni - 11 Cr + 352 Mo + 2345 V)
        bainite:     262 + 163 C - 349 Si - 64 Mn - 6 Ni - 186 Cr - 458 Mo - 867 V
            + (1000/Pa) (-149 + 43 C + 336 Si + 79 Mn + 16 Ni + 196 Cr + 498 Mo + 1094 V)

    Pa in kelvin, from `tempering_parameter` or `tempering_parameter_of_history`. A temper does
    not harden: where quenched hardnesses are given, no result exceeds them (gentle tempers lie
    outside the fit, which then runs above the quenched hardness).

    References: Maynier, Jungmann & Dollet (1978). All coefficients were read in one public
    program, which however has + 21 Mn; minus is recalled, follows the pattern of the other
    elements, and lies nearer to `tempered_hardness_spies`. For 1.3 % Mn at 500 °C and one hour
    plus would give 70 HV more: check the paper before relying on manganese steels.
    """
    C, Si, Mn, Ni = C_percent, Si_percent, Mn_percent, Ni_percent
    Cr, Mo, V, inverse = Cr_percent, Mo_percent, V_percent, 1000.0 / parameter_K
    fixed = -74 - 434 * C - 368 * Si + 15 * Mn + 37 * Ni + 17 * Cr - 335 * Mo - 2235 * V
    slope = 260 + 616 * C + 321 * Si - 21 * Mn - 35 * Ni - 11 * Cr + 352 * Mo + 2345 * V
    martensite = fixed + inverse * slope
    fixed = 262 + 163 * C - 349 * Si - 64 * Mn - 6 * Ni - 186 * Cr - 458 * Mo - 867 * V
    slope = -149 + 43 * C + 336 * Si + 79 * Mn + 16 * Ni + 196 * Cr + 498 * Mo + 1094 * V
    bainite = fixed + inverse * slope
    return TemperedHardness(
        _at_most(martensite, quenched_martensite_HV), _at_most(bainite, quenched_bainite_HV)
    )


@calculation(
    source="E. Just, Vergüten - Werkstoffbeeinflussung durch Härten und Anlassen, VDI-Berichte 256 "
    "(1976), quenched against tempered hardness",
    gives="hardness_HRC",
    needs={"temperature_degC": (250.0, None)},
    valid={"temperature_degC": (490.0, 610.0)},
    basis="memory",
)
def tempered_hardness_by_quenched(
    *, quenched_hardness_HRC: Values, temperature_degC: Values
) -> Values:
    """Rockwell C after an ordinary furnace temper from the quenched hardness alone.

        HRC = (HRC_quenched + 17)/(T/167 - 1.2),  T in °C

    For 20 to 45 HRC after tempering.

    References: Just (1976), coefficients recalled.
    """
    return (quenched_hardness_HRC + 17.0) / (temperature_degC / 167.0 - 1.2)


@calculation(
    source="H.-J. Spies, G. Münch & A. Prewitz, Neue Hütte 22 (1977) 443-445",
    gives="hardness_HB",
    needs={"C_percent": NOT_NEGATIVE},
    valid={
        "quenched_hardness_HRC": (20.0, 65.0),
        "temperature_degC": (500.0, 650.0),
        "C_percent": (0.20, 0.54),
        "Si_percent": (0.17, 1.40),
        "Mn_percent": (0.50, 1.90),
        "Cr_percent": (0.03, 1.20),
    },
    basis="memory",
)
def tempered_hardness_spies(
    *,
    quenched_hardness_HRC: Values,
    temperature_degC: Values,
    C_percent: Values,
    Si_percent: Values,
    Mn_percent: Values,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
) -> Values:
    """Brinell after an ordinary furnace temper from quenched hardness and analysis.

        HB = 2.84 HRC_quenched + 75 C - 0.78 Si + 14.24 Mn + 14.77 Cr + 128.22 Mo - 54.0 V
             - 0.55 T + 435.66,  T in °C

    References: Spies, Münch & Prewitz (1977), coefficients recalled.
    """
    main = 2.84 * quenched_hardness_HRC + 75.0 * C_percent - 0.78 * Si_percent
    main = main + 14.24 * Mn_percent + 14.77 * Cr_percent + 128.22 * Mo_percent
    return main - 54.0 * V_percent - 0.55 * temperature_degC + 435.66


def _at_most(value: Values, limit: Values) -> Values:
    return value if limit is None else np.minimum(value, limit)


def _steps(time_s: Values, temperature_degC: Values) -> tuple[np.ndarray, np.ndarray]:
    """Length of each step (h) and temperatures (K), first axis time."""
    times = np.asarray(time_s, dtype=float)
    at_K = np.asarray(temperature_degC, dtype=float) + 273.15
    if times.ndim < 1 or len(times) < 2 or (np.diff(times, axis=0) <= 0).any():
        raise ArgumentError("time_s", "list", "s", "two or more rising times")
    if at_K.shape[:1] != times.shape[:1] or times.shape not in (times.shape[:1], at_K.shape):
        raise ArgumentError("temperature_degC", "list", "°C", "one temperature a time")
    steps_h = np.diff(times, axis=0) / 3600.0
    return steps_h.reshape(steps_h.shape + (1,) * (at_K.ndim - steps_h.ndim)), at_K
