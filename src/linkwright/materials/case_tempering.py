"""How far a temper softens the case of case-hardened steel.

`tempered_case_hardness`: from its carbon, its hardness before, and the tempering parameter.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.materials.hardness_scales import hardness_iso18265
from linkwright.materials.tempering import hollomon_jaffe

_TABLE = (
    "ASM Metals Handbook, heat treating, typical hardness of SAE 1060, 1080 and 1095 after "
    "tempering for 2 h, remembered; times by Hollomon and Jaffe (1945)"
)


@calculation(
    source=_TABLE,
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
    carbons, ends, table = _table()
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
def _table() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Carbon of the rows, parameter of the columns, Vickers hardness."""
    path = files("linkwright.materials") / "data" / "tempered_by_carbon.toml"
    read = tomllib.loads(path.read_text("utf-8"))
    ends = [hollomon_jaffe(temperature_degC=one, time_h=read["time_h"])
            for one in read["temperature_degC"]]  # fmt: skip
    carbons = [row["C_percent"] for row in read["row"]]
    rockwell = np.array([row["hardness_HRC"] for row in read["row"]])
    vickers = hardness_iso18265(hardness_HRC=rockwell).hardness_HV
    return np.array(carbons), np.array(ends, float), np.asarray(vickers, float)
