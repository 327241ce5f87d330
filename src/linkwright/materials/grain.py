"""Size of grains: what a grain size number means, and how austenite grains grow.

- `mean_intercept`, `grain_size_number`, `grains_per_area`: ASTM E112
- `austenite_grain_size`: growth in a soak, low-alloy steel
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_PER_DOUBLING, _AT_ONE_MM = 6.643856, 3.288


@calculation(
    source="ASTM E112, Table 4, G = -6.643856 log10(l/mm) - 3.288",
    gives="mean_intercept_um",
    basis="memory",
)
def mean_intercept(*, grain_size_number: Values) -> Values:
    """Mean lineal intercept of a grain size number: 10^[-(G + 3.288)/6.643856] mm.

    >>> round(float(mean_intercept(grain_size_number=8.0)), 1)
    20.0

    References: ASTM E112.
    """
    return 1000.0 * 10.0 ** (-(grain_size_number + _AT_ONE_MM) / _PER_DOUBLING)


@calculation(
    source="ASTM E112, G = -6.643856 log10(l/mm) - 3.288",
    gives="grain_size_number",
    needs={"mean_intercept_um": POSITIVE},
    basis="memory",
)
def grain_size_number(*, mean_intercept_um: Values) -> Values:
    """Grain size number of a mean lineal intercept; inverse of `mean_intercept`.

    References: ASTM E112.
    """
    return -_PER_DOUBLING * np.log10(mean_intercept_um / 1000.0) - _AT_ONE_MM


@calculation(source="ASTM E112, definition of G", gives="grains_per_in2_at_100x")
def grains_per_area(*, grain_size_number: Values) -> Values:
    """Grains per square inch seen at a magnification of 100: 2^(G - 1).

    References: ASTM E112.
    """
    return 2.0 ** (grain_size_number - 1.0)


@calculation(
    source="S.-J. Lee & Y.-K. Lee, Prediction of austenite grain growth during austenitization of "
    "low alloy steels, Materials and Design 29 (2008) 1840-1844",
    gives="grain_diameter_um",
    needs={"temperature_degC": (0.0, None), "time_s": POSITIVE, "C_percent": NOT_NEGATIVE},
    valid={"temperature_degC": (850.0, 1200.0), "time_s": (60.0, 36000.0)},
    basis="memory",
)
def austenite_grain_size(
    *,
    temperature_degC: Values,
    time_s: Values,
    C_percent: Values,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
) -> Values:
    """Austenite grain diameter after a soak.

        d = 76671 exp[-(89098 + 3581 C + 1211 Ni + 1443 Cr + 4031 Mo)/(R T)] t^0.211   (um)

    R = 8.314 J/(mol K), T in K, t in s. Made on furnace soaks of steels without grain-refining
    additions; for the few seconds of an inductor it is an extension, and aluminium-killed steel
    stays finer.

    References: Lee & Lee (2008), coefficients and range recalled.
    """
    barrier = 89098.0 + 3581.0 * C_percent + 1211.0 * Ni_percent
    barrier = barrier + 1443.0 * Cr_percent + 4031.0 * Mo_percent
    return 76671.0 * np.exp(-barrier / (8.314 * (temperature_degC + 273.15))) * time_s**0.211
