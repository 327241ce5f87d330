"""How far a temper softens the case of case-hardened steel, and the strain at which a case cracks.

- `temper_share_by_table`: share of the quenched hardness that a temper leaves, as a works measured
- `tempered_case_hardness`: by the carbon of the case, from a remembered table of plain carbon steel
- `case_crack_strain`: strain of the surface at which a case of some hardness cracks

No law of the temper above 0.5 % carbon could be vouched for, nor of the strain that a case bears.
Where a chain hangs on them, both belong to the steel and are measured: the hardness of case and
core of coupons after tempers of one time, the strain at the first sound of a crack in bending.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.hardness_scales import hardness_iso18265
from linkwright.materials.tempering import hollomon_jaffe
from linkwright.quantities import ArgumentError

_ABOVE_ZERO_K = (-273.0, None)


@calculation(
    source="works' own tempering table, straight between its rows over the parameter of J. H. "
    "Hollomon & L. D. Jaffe, Trans. AIME 162 (1945) 223-249",
    gives="temper_share",
    basis="computed",
    needs={
        "temperature_degC": _ABOVE_ZERO_K,
        "time_h": POSITIVE,
        "table_temperature_degC": _ABOVE_ZERO_K,
        "table_time_h": POSITIVE,
        "table_hardness_HV": POSITIVE,
    },
)
def temper_share_by_table(
    *,
    temperature_degC: Values,
    time_h: Values,
    table_temperature_degC: Values,
    table_time_h: Values,
    table_hardness_HV: Values,
    constant: Values = 20.0,
) -> Values:
    """Share of the quenched hardness that a temper leaves, H(P)/H(P of the first row).

    The table is three rows of numbers; its first entry is the quenched state, at the temperature
    of the room. P = T (C + log10 t)/1000 of each entry and of the temper; equal P, equal hardness.

    Raises `ArgumentError` for a table that does not rise in P, rises in hardness, or for a temper
    beyond its last entry: what was not measured is not said.

    References: as the source.

    Example:
    >>> round(temper_share_by_table(temperature_degC=250.0, time_h=2.0,
    ...     table_temperature_degC=[20.0, 200.0, 300.0], table_time_h=[2.0, 2.0, 2.0],
    ...     table_hardness_HV=[760.0, 690.0, 590.0]), 3)
    0.842
    """
    at, hardness = _table(table_temperature_degC, table_time_h, table_hardness_HV, constant)
    wanted = hollomon_jaffe(temperature_degC=temperature_degC, time_h=time_h, constant=constant)
    if np.any(wanted > at[-1] * (1.0 + 1e-9)):
        last = float(np.max(np.asarray(table_temperature_degC, float)))
        raise ArgumentError(
            "temperature_degC", float(np.max(temperature_degC)), "°C",
            f"a temper no hotter or longer than the last row of the tempering table ({last:g} °C)",
        )  # fmt: skip
    return np.asarray(np.interp(wanted, at, hardness / hardness[0]))[()]


@calculation(
    source="works' own bend tests to the first crack of the case, straight between hardnesses",
    gives="crack_strain",
    basis="computed",
    needs={
        "case_hardness_HV": POSITIVE,
        "table_hardness_HV": POSITIVE,
        "table_strain_percent": POSITIVE,
        "factor": POSITIVE,
    },
)
def case_crack_strain(
    *,
    case_hardness_HV: Values,
    table_hardness_HV: Values,
    table_strain_percent: Values,
    factor: Values = 1.0,
) -> Values:
    """Tensile strain of the surface (a share, logarithmic) at which a case of a hardness cracks.

    Straight between the works' points, times its factor. A case softer than the softest that was
    bent counts as that; one harder than the hardest as going on with the last slope, or as the
    hardest where only one was bent, down to a tenth of that strain.

    Raises `ArgumentError` for points whose hardness does not rise.

    References: as the source.

    Example:
    >>> round(case_crack_strain(case_hardness_HV=640.0, table_hardness_HV=[540.0, 740.0],
    ...     table_strain_percent=[2.6, 0.9]), 5)
    0.0175
    """
    at = np.atleast_1d(np.asarray(table_hardness_HV, float))
    strain = np.atleast_1d(np.asarray(table_strain_percent, float)) / 100.0
    if at.shape != strain.shape or np.any(np.diff(at) <= 0.0):
        raise ArgumentError("table_hardness_HV", at.tolist(), "HV", "rising, one a strain")
    inside = np.interp(case_hardness_HV, at, strain)
    slope = 0.0 if at.size < 2 else (strain[-1] - strain[-2]) / (at[-1] - at[-2])
    beyond = np.maximum(np.asarray(case_hardness_HV, float) - at[-1], 0.0)
    held = np.maximum(inside + min(slope, 0.0) * beyond, 0.1 * strain[-1])
    return np.asarray(np.where(beyond > 0.0, held, inside) * factor)[()]


@calculation(source="definition", gives="ratio", basis="computed",
             needs={"strain": NOT_NEGATIVE, "crack_strain": POSITIVE})  # fmt: skip
def strain_over_crack(*, strain: Values, crack_strain: Values) -> Values:
    """A strain over that at which the case cracks.

    References: definition.
    """
    return strain / crack_strain


def _table(
    temperature_degC: Values, time_h: Values, hardness_HV: Values, constant: Values
) -> tuple[np.ndarray, np.ndarray]:
    """Parameter and hardness of the entries."""
    at = np.asarray(
        hollomon_jaffe(
            temperature_degC=np.asarray(temperature_degC, float),
            time_h=np.asarray(time_h, float),
            constant=constant,
        )
    )
    hardness = np.asarray(hardness_HV, float)
    if at.ndim != 1 or at.shape != hardness.shape or at.size < 2 or np.any(np.diff(at) <= 0.0):
        raise ArgumentError(
            "table_temperature_degC", "table", "°C",
            "two or more tempers, each further than the one before, and one hardness a temper",
        )  # fmt: skip
    if np.any(np.diff(hardness) > 0.0):
        raise ArgumentError(
            "table_hardness_HV", "table", "HV", "hardness that does not rise with the temper"
        )
    return at, hardness


_BY_CARBON = (
    "ASM Metals Handbook, heat treating, typical hardness of SAE 1060, 1080 and 1095 after "
    "tempering for 2 h, remembered; times by Hollomon and Jaffe (1945)"
)


@calculation(
    source=_BY_CARBON,
    gives="hardness_HV",
    basis="memory",
    needs={"hardness_before_HV": POSITIVE, "parameter": POSITIVE, "carbon_percent": POSITIVE},
    valid={"carbon_percent": (0.6, 0.95), "parameter": (0.0, 18.75)},
)
def tempered_case_hardness(
    *, hardness_before_HV: Values, parameter: Values, carbon_percent: Values
) -> Values:
    """Vickers hardness of a case after a temper, from that after its own low temper.

        HV = HV_0 - s (HV_0 - HV_650),   s = (f(205) - f(P))/(f(205) - f(650))

    f hardness of plain carbon steel of the same carbon over P = T (20 + log t)/1000 (T in kelvin,
    t in hours), a table of two-hour tempers at 205 to 650 °C; HV_650 = f at its end. So a temper
    no further than two hours at 205 °C takes nothing, and a full one gives the hardness of the
    table whatever it was before. Beyond the table its end stands.

    Validity: plain carbon steel. Chromium and molybdenum of case-hardening steel slow the temper,
    so a real end may stay harder: try it on a pin. Retained austenite is left out.

    References: as the source.

    Example:
        >>> print(round(float(tempered_case_hardness(hardness_before_HV=720.0, parameter=16.0,
        ...     carbon_percent=0.75))))
        398
    """
    carbons, ends, table = _by_carbon()
    share = np.clip(np.interp(carbon_percent, carbons, np.arange(len(carbons))), 0.0, None)
    low = np.minimum(np.floor(share).astype(int), len(carbons) - 2)
    part = share - low
    now, first, last = (
        (1.0 - part) * one + part * two
        for one, two in (
            (_at(table, low, parameter, ends), _at(table, low + 1, parameter, ends)),
            (table[low, 0], table[low + 1, 0]),
            (table[low, -1], table[low + 1, -1]),
        )
    )
    softened = (first - now) / (first - last)
    before = np.asarray(hardness_before_HV, float)
    return np.minimum(before, before - softened * (before - last))[()]


def _at(table: np.ndarray, row: Any, parameter: Values, ends: np.ndarray) -> Any:
    """A row of the table, or for each member its own, over the parameter."""
    every = np.array([np.interp(parameter, ends, values) for values in table])
    rows = np.broadcast_to(row, every.shape[1:])
    return np.take_along_axis(every, rows[None], axis=0)[0]


@cache
def _by_carbon() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Carbon of the rows, parameter of the columns, Vickers hardness."""
    path = files("linkwright.materials") / "data" / "tempered_by_carbon.toml"
    read = tomllib.loads(path.read_text("utf-8"))
    ends = [hollomon_jaffe(temperature_degC=one, time_h=read["time_h"])
            for one in read["temperature_degC"]]  # fmt: skip
    carbons = [row["C_percent"] for row in read["row"]]
    rockwell = np.array([row["hardness_HRC"] for row in read["row"]])
    vickers = hardness_iso18265(hardness_HRC=rockwell).hardness_HV
    return np.array(carbons), np.array(ends, float), np.asarray(vickers, float)
