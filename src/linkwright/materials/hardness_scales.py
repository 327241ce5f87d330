"""From one hardness scale to another, and to tensile strength, by published tables only.

- `hardness_iso18265`: ISO 18265 Table A.1 (as DIN 50150), unalloyed and low-alloy steel
- `hardness_astm`: ASTM E140 and A370, non-austenitic steel
- `tensile_strength_from_hardness`: the ISO column alone, for ensembles
- `tensile_strength_cahoon`: by hardness and strain hardening, no table

Between rows straight; where a column ends there is no value (nan), never an extrapolation. The
two standards differ by up to 3 % and are not mixed. Tables stand in ``data/hardness_*.csv``.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_ISO = "ISO 18265:2013, Table A.1 (as DIN 50150)"
_ASTM = "ASTM E140, Tables 1 and 2; ASTM A370, Tables 2 and 3"
_LEAST_VICKERS_OF_HRC = 238.0
_KGF_PER_MM2_MPA = 9.80665
_LEAST_STRENGTH_OF_HRC_MPA = 760.0


class Hardness(NamedTuple):
    """Results of the conversions: nan where the table has no value."""

    hardness_HV: Values
    hardness_HB: Values
    hardness_HBW: Values
    hardness_HRC: Values
    hardness_HRB: Values
    tensile_strength_MPa: Values


@calculation(
    source=_ISO,
    needs={"hardness_HV": POSITIVE, "hardness_HRC": POSITIVE, "tensile_strength_MPa": POSITIVE},
)
def hardness_iso18265(
    *,
    hardness_HV: Values = None,
    hardness_HB: Values = None,
    hardness_HBW: Values = None,
    hardness_HRC: Values = None,
    hardness_HRB: Values = None,
    tensile_strength_MPa: Values = None,
) -> Hardness:
    """All scales and the tensile strength from one of them, unalloyed and low-alloy steel.

    Give exactly one. Brinell (HB, HBW) is for 0.102 F/D^2 = 30 N/mm2. Raises `ArgumentError`
    if none or several are given.

    >>> float(hardness_iso18265(hardness_HV=400.0).tensile_strength_MPa)
    1290.0

    References: ISO 18265:2013, Table A.1. A converted value is no measurement.
    """
    given = {
        "hardness_HV": hardness_HV,
        "hardness_HB": hardness_HB if hardness_HB is not None else hardness_HBW,
        "hardness_HRC": hardness_HRC,
        "hardness_HRB": hardness_HRB,
        "tensile_strength_MPa": tensile_strength_MPa,
    }
    scale, value = _the_one(given)
    vickers = _column("iso18265", "hardness_HV", scale, value)
    return _all_scales(
        given,
        hardness_HV=vickers,
        **{name: _column("iso18265", name, "hardness_HV", vickers) for name in list(given)[1:]},
    )


@calculation(
    source=_ASTM,
    needs={"hardness_HV": POSITIVE, "hardness_HRC": POSITIVE, "tensile_strength_MPa": POSITIVE},
)
def hardness_astm(
    *,
    hardness_HRC: Values = None,
    hardness_HRB: Values = None,
    hardness_HV: Values = None,
    hardness_HB: Values = None,
    hardness_HBW: Values = None,
    tensile_strength_MPa: Values = None,
) -> Hardness:
    """All scales and the approximate tensile strength from one of them, non-austenitic steel.

    Give exactly one. Brinell (HB, HBW) is for 3000 kgf with a carbide ball. From 238 HV (226 HB,
    760 MPa) upwards the Rockwell C table holds, below it the Rockwell B table; where they meet,
    Brinell steps back by 11 and strength by 30 MPa, which is the standards' own. Raises
    `ArgumentError` if none or several are given.

    >>> float(hardness_astm(hardness_HRC=45.0).hardness_HV)
    446.0

    References: ASTM E140; ASTM A370 for the tensile strength; the Rockwell B table is recalled.
    """
    given = {
        "hardness_HRC": hardness_HRC,
        "hardness_HRB": hardness_HRB,
        "hardness_HV": hardness_HV,
        "hardness_HB": hardness_HB if hardness_HB is not None else hardness_HBW,
        "tensile_strength_MPa": tensile_strength_MPa,
    }
    scale, value = _the_one(given)
    vickers = _vickers_astm(scale, np.asarray(value, dtype=float))
    hard = vickers >= _LEAST_VICKERS_OF_HRC

    def either(name: str) -> Values:
        upper = _column("astm_c", name, "hardness_HV", vickers)
        lower = _column("astm_b", name, "hardness_HV", vickers)
        return np.where(hard, upper, lower)

    return _all_scales(
        given,
        hardness_HV=vickers,
        hardness_HB=either("hardness_HB"),
        hardness_HRC=_column("astm_c", "hardness_HRC", "hardness_HV", vickers),
        hardness_HRB=_column("astm_b", "hardness_HRB", "hardness_HV", vickers),
        tensile_strength_MPa=either("tensile_strength_MPa"),
    )


@calculation(
    source=_ISO,
    gives="tensile_strength_MPa",
    needs={"hardness_HV": POSITIVE},
    valid={"hardness_HV": (80.0, 650.0)},
)
def tensile_strength_from_hardness(*, hardness_HV: Values) -> Values:
    """Tensile strength of low-alloy steel from Vickers hardness; monotone, any shape.

    Beyond 80 and 650 HV the last interval is carried on straight, with a warning.

    References: ISO 18265:2013, Table A.1.
    """
    at, strength = _pair("iso18265", "hardness_HV", "tensile_strength_MPa")
    inside = np.interp(hardness_HV, at, strength)
    above = np.maximum(hardness_HV - at[-1], 0.0) * _slope(at, strength, -1)
    below = np.minimum(hardness_HV - at[0], 0.0) * _slope(at, strength, 1)
    return np.maximum(inside + above + below, 0.0)[()]


@calculation(
    source="J. B. Cahoon, Metallurgical Transactions 3 (1972) 3040 (hardness, strain hardening and "
    "ultimate strength)",
    gives="tensile_strength_MPa",
    needs={"hardness_HV": POSITIVE, "hardening_exponent": (1e-3, 1.0)},
    basis="memory",
)
def tensile_strength_cahoon(*, hardness_HV: Values, hardening_exponent: Values) -> Values:
    """Tensile strength from Vickers hardness and the exponent n of strain hardening.

        Rm = (9.80665 HV/2.9) (n/0.217)^n

    The factor of n is least, 0.923, at n = 0.217/e = 0.08.

    References: Cahoon (1972), coefficients recalled.
    """
    n = np.asarray(hardening_exponent, float)
    pressure_MPa = _KGF_PER_MM2_MPA * np.asarray(hardness_HV, float)
    return (pressure_MPa / 2.9 * (n / 0.217) ** n)[()]


def _slope(at: np.ndarray, values: np.ndarray, end: int) -> float:
    first, second = (0, 1) if end > 0 else (-2, -1)
    return float((values[second] - values[first]) / (at[second] - at[first]))


def _vickers_astm(scale: str, value: np.ndarray) -> np.ndarray:
    """Vickers from any scale of the two ASTM tables, Rockwell C first where both hold."""
    upper = _column("astm_c", "hardness_HV", scale, value)
    lower = _column("astm_b", "hardness_HV", scale, value)
    if scale == "hardness_HV":
        return np.where(np.isnan(upper), lower, value)
    if scale == "tensile_strength_MPa":
        return np.where(value >= _LEAST_STRENGTH_OF_HRC_MPA, upper, lower)
    return np.where(np.isnan(upper), lower, upper)


def _all_scales(given: dict[str, Values], **found: Values) -> Hardness:
    """The record in its order; what was given stands as it was given."""
    for name, value in given.items():
        if value is not None:
            found[name] = np.asarray(value, dtype=float)
    found["hardness_HBW"] = found["hardness_HB"]
    return Hardness(**{name: np.asarray(found[name])[()] for name in Hardness._fields})


def _the_one(given: dict[str, Values]) -> tuple[str, Values]:
    scales = [name for name, value in given.items() if value is not None]
    if len(scales) != 1:
        raise ArgumentError(
            "hardness_HV", ", ".join(scales) or "none", "", "exactly one of " + ", ".join(given)
        )
    return scales[0], given[scales[0]]


def _column(table: str, wanted: str, scale: str, value: Values) -> np.ndarray:
    """Straight interpolation in one table, nan outside; nan if a column is missing."""
    if wanted not in _table(table) or scale not in _table(table):
        return np.full(np.shape(value), np.nan)
    at, values = _pair(table, scale, wanted)
    return np.asarray(np.interp(value, at, values, left=np.nan, right=np.nan))


@cache
def _pair(table: str, scale: str, wanted: str) -> tuple[np.ndarray, np.ndarray]:
    """The rows of two columns where both have a value, rising."""
    at, values = _table(table)[scale], _table(table)[wanted]
    both = ~(np.isnan(at) | np.isnan(values))
    order = np.argsort(at[both], kind="stable")
    return at[both][order], values[both][order]


@cache
def _table(name: str) -> dict[str, np.ndarray]:
    text = (files("linkwright.materials") / "data" / f"hardness_{name}.csv").read_text("utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    return {key: np.array([float(row[key] or "nan") for row in rows]) for key in rows[0]}
