"""Uncertainty of measurement by the GUM: combination, degrees of freedom, a calibration line.

Offers `combined_uncertainty`, `comparator_difference`, `second_order_uncertainty`,
`expanded_uncertainty` and `calibration_line`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import stdtrit

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_GUM = "JCGM 100:2008 (GUM)"


class Expanded(NamedTuple):
    """Results of `expanded_uncertainty`."""

    u_c_percent: float
    dof_eff: float
    t_95: float
    U_95_percent: float


class CalibrationLine(NamedTuple):
    """Results of `calibration_line`."""

    y1_degC: float
    u_y1_degC: float
    y2: float
    u_y2: float
    r: float
    s_degC: float
    b_at_30_degC: float
    u_b_at_30_degC: float
    b_at_degC: Values
    u_b_at_degC: Values


@calculation(
    source=f"{_GUM}, Eq. 10 and 16 (combined standard uncertainty)",
    needs={"components": NOT_NEGATIVE},
    gives="u_c",
    carries=("components", "u_c"),
)
def combined_uncertainty(
    *, components: Values, sensitivities: Values = 1.0, correlation: Values | None = None
) -> Values:
    """Combined standard uncertainty: sqrt(sum_ij c_i c_j u_i u_j r_ij).

    Args:
        components: Standard uncertainties u_i. sensitivities: c_i. correlation: Table r_ij; none
            correlated if left out.

    References:
        JCGM 100:2008, 5.1 and 5.2.
    """
    parts = np.ravel(components) * sensitivities
    table = np.eye(parts.size) if correlation is None else np.asarray(correlation, float)
    if table.shape != (parts.size, parts.size) or not np.allclose(table, table.T):
        accepted = f"a symmetrical table of {parts.size} rows"
        raise ArgumentError("correlation", "the table", "", accepted)
    return float(np.sqrt(max(0.0, parts @ table @ parts)))


@calculation(
    source=f"{_GUM}, H.1.3.2 (uncertainty of the measured difference of end gauges)",
    needs={"repeat_nm": NOT_NEGATIVE, "random_comparator_nm": NOT_NEGATIVE,
           "systematic_comparator_nm": NOT_NEGATIVE},
    gives="u_d_nm",
)  # fmt: skip
def comparator_difference(
    *, repeat_nm: Values, random_comparator_nm: Values, systematic_comparator_nm: Values
) -> Values:
    """Uncertainty of a difference read on a comparator: root of the sum of squares.

    Args:
        repeat_nm: Of the repeated readings. random_comparator_nm, systematic_comparator_nm: Of
            the comparator.

    References:
        JCGM 100:2008, H.1.3.2.
    """
    return np.sqrt(
        np.asarray(repeat_nm) ** 2
        + np.asarray(random_comparator_nm) ** 2
        + np.asarray(systematic_comparator_nm) ** 2
    )


@calculation(
    source=f"{_GUM}, H.1.7 (second-order terms)",
    needs={"first_order_nm": NOT_NEGATIVE, "second_order_nm": NOT_NEGATIVE},
    gives="u_c_nm",
)
def second_order_uncertainty(*, first_order_nm: Values, second_order_nm: Values) -> Values:
    """Combined uncertainty with the second-order terms: root of the sum of squares.

    Args:
        first_order_nm: Of the linear terms. second_order_nm: Of the products.

    References:
        JCGM 100:2008, H.1.7 and 5.1.2, note.
    """
    return np.hypot(first_order_nm, second_order_nm)


@calculation(
    source=f"{_GUM}, G.4.1 (Welch-Satterthwaite, effective degrees of freedom)",
    needs={"relative_u_percent": NOT_NEGATIVE, "dof": POSITIVE},
)
def expanded_uncertainty(*, relative_u_percent: Values, dof: Values) -> Expanded:
    """Effective degrees of freedom and expanded uncertainty of a product.

    dof_eff = u_c^4/sum(u_i^4/dof_i); t at 95 % for dof_eff cut to a whole number; U = t u_c.

    Args:
        relative_u_percent: Relative standard uncertainties of the factors. dof: Of each.

    References:
        JCGM 100:2008, G.4.1.
    """
    parts = np.ravel(relative_u_percent)
    combined = float(np.sqrt(np.sum(parts**2)))
    if combined == 0.0:
        raise ArgumentError("relative_u_percent", 0.0, "%", "one of them above 0")
    effective = combined**4 / float(np.sum(parts**4 / dof))
    # the GUM cuts down; a hair below a whole number is that number
    t = float(stdtrit(max(1.0, np.floor(effective + 0.005)), 0.975))
    return Expanded(combined, effective, t, t * combined)


@calculation(
    source=f"{_GUM}, H.3, Table H.6 (calibration of a thermometer, least-squares line)",
)
def calibration_line(
    *, t_degC: Values, b_degC: Values, t0_degC: float = 20.0, at_degC: Values = 30.0
) -> CalibrationLine:
    """Calibration line b = y1 + y2 (t - t0) with uncertainties and correlation.

    Least squares; s^2 = sum of squares/(n - 2);
    u^2(b) = u^2(y1) + (t - t0)^2 u^2(y2) + 2 (t - t0) r u(y1) u(y2).

    Args:
        t_degC: Readings. b_degC: Corrections observed. t0_degC: Reference. at_degC: Where the
            correction is asked besides 30 degrees.

    References:
        JCGM 100:2008, H.3.
    """
    t, b = np.ravel(t_degC) - t0_degC, np.ravel(b_degC)
    n = t.size
    if n != b.size or n < 3 or np.ptp(t) == 0.0:
        raise ArgumentError("b_degC", f"{b.size} values", "°C", "one for each of 3 or more t_degC")
    determinant = n * np.sum(t**2) - np.sum(t) ** 2
    start = float((np.sum(b) * np.sum(t**2) - np.sum(b * t) * np.sum(t)) / determinant)
    slope = float((n * np.sum(b * t) - np.sum(b) * np.sum(t)) / determinant)
    s = float(np.sqrt(np.sum((b - start - slope * t) ** 2) / (n - 2)))
    u1, u2 = float(s * np.sqrt(np.sum(t**2) / determinant)), float(s * np.sqrt(n / determinant))
    r = float(-np.sum(t) / np.sqrt(n * np.sum(t**2)))

    def at(place: Values) -> tuple[Values, Values]:
        away = np.asarray(place, float) - t0_degC
        square = u1**2 + away**2 * u2**2 + 2.0 * away * r * u1 * u2
        return start + slope * away, np.sqrt(square)

    return CalibrationLine(start, u1, slope, u2, r, s, *at(30.0), *at(at_degC))
