"""What a works measured of its case: hardness after tempers, strain at which it cracks.

- `temper_share_by_table`: share of the quenched hardness that a temper leaves
- `case_crack_strain`: strain of the surface at which a case of some hardness cracks

No published law is held for the temper of more than 0.5 % carbon, nor for the strain that a case
bears. Both belong to the steel and are measured: the hardness of case and core of coupons after
tempers of one time, the strain at the first sound of a crack in bending.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
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
