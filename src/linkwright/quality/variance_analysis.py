"""Analysis of variance: between groups, between and within, equal variances.

Offers `one_way_anova`, `anova_of_groups`, `equal_variances` and `day_to_day_variance`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.special import fdtrc

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_NIST = "NIST/SEMATECH e-Handbook of Statistical Methods"


class Anova(NamedTuple):
    """Results of `one_way_anova` and `anova_of_groups`."""

    ss_treatment: float
    ss_error: float
    ss_total: float
    df_treatment: int
    df_error: int
    ms_treatment: float
    ms_error: float
    F: float
    p: float
    r2: float
    residual_of_s: float


class EqualVariances(NamedTuple):
    """Results of `equal_variances`."""

    bartlett: float
    bartlett_p: float
    levene_median: float
    levene_median_p: float


class DayToDay(NamedTuple):
    """Results of `day_to_day_variance`."""

    mean_uV: float
    s_a_uV: float
    s_b_uV: float
    F: float
    u_mean_uV: float


class BetweenWithin(NamedTuple):
    """Results of `variance_components`."""

    mean: float
    sigma_between: float
    sigma_within: float
    F: float
    u_mean: float


@calculation(source=f"{_NIST}, Sec. 7.4.3.3 (one-way analysis of variance)")
def one_way_anova(*, data: Values) -> Anova:
    """One-way analysis of variance of groups of equal size, a row each.

    SS_treatment = sum n (mean_i - mean)^2, SS_error = sum (x - mean_i)^2, F = MS_t/MS_e.

    Args:
        data: Table, a row each group.

    Returns:
        Sums and means of squares, F, its p, r2 and the residual standard deviation.

    References:
        NIST/SEMATECH e-Handbook, Sec. 7.4.3.
    """
    rows = np.asarray(data, float)
    if rows.ndim != 2 or min(rows.shape) < 2:
        raise ArgumentError("data", f"{rows.size} values", "", "rows of 2 or more, 2 or more rows")
    return _anova(list(rows))


@calculation(
    source=f"{_NIST}, Sec. 7.4.3.3 (one-way analysis of variance); NIST Statistical Reference "
    "Datasets, analysis of variance"
)
def anova_of_groups(*, group: Values, value: Values) -> Anova:
    """One-way analysis of variance of values with the group of each; sizes may differ.

    Args:
        group: Number of the group of each value. value: Readings.

    Returns:
        Sums and means of squares, F, its p, r2 and the residual standard deviation.

    References:
        NIST/SEMATECH e-Handbook, Sec. 7.4.3; NIST StRD.
    """
    return _anova(_grouped(group, value))


@calculation(
    source=f"{_NIST}, Sec. 1.3.5.7 (Bartlett) and 1.3.5.10 (Levene, about medians)",
)
def equal_variances(*, group: Values, value: Values) -> EqualVariances:
    """Whether batches have one variance: Bartlett's test and Levene's about medians.

    Bartlett holds for normal values only; Levene about medians (Brown & Forsythe) for others too.

    Args:
        group: Number of the batch of each value. value: Readings.

    Returns:
        Both statistics and their p (small: the variances differ).

    References:
        NIST/SEMATECH e-Handbook, Sec. 1.3.5.7 and 1.3.5.10.
    """
    from scipy import stats  # noqa: PLC0415 - takes a second to load

    parts = _grouped(group, value)
    bartlett, levene = stats.bartlett(*parts), stats.levene(*parts, center="median")
    return EqualVariances(
        float(bartlett.statistic), float(bartlett.pvalue),
        float(levene.statistic), float(levene.pvalue),
    )  # fmt: skip


@calculation(
    source="JCGM 100:2008 (GUM), H.5, Table H.9 (day-to-day and within-day spread of a voltage "
    "standard)",
    needs={"day_s_uV": POSITIVE, "n_per_day": (2.0, None)},
)
def day_to_day_variance(
    *, day_mean_uV_above_10V: Values, day_s_uV: Values, n_per_day: float
) -> DayToDay:
    """Spread between and within days from the mean and standard deviation of each day.

    s_a = sqrt(K) times the standard deviation of the day means, s_b = root mean square of the
    daily s, F = s_a^2/s_b^2, u(mean) = s_a/sqrt(J K), which holds where F is not explained by
    chance.

    Args:
        day_mean_uV_above_10V: J means. day_s_uV: J standard deviations. n_per_day: K.

    References:
        JCGM 100:2008, H.5.
    """
    found = _components(np.ravel(day_mean_uV_above_10V), np.ravel(day_s_uV), n_per_day)
    return DayToDay(*found)


@calculation(
    source="JCGM 100:2008 (GUM), H.5 (analysis of variance, two levels)",
    carries=("value", "mean", "sigma_between", "sigma_within", "u_mean"),
)
def variance_components(*, group: Values, value: Values) -> BetweenWithin:
    """Spread between groups and within them, as for heats and lots of a works.

    MS_b and MS_w of the one-way table; sigma_within^2 = MS_w,
    sigma_between^2 = max(0, (MS_b - MS_w)/n0) with n0 = (N - sum n^2/N)/(groups - 1);
    u(mean) = sqrt(MS_b/N).

    Args:
        group: Number of the group of each value. value: Readings.

    References:
        JCGM 100:2008, H.5.
    """
    parts = _grouped(group, value)
    table = _anova(parts)
    sizes = np.array([part.size for part in parts], float)
    equal = (sizes.sum() - (sizes**2).sum() / sizes.sum()) / (sizes.size - 1)
    between = max(0.0, (table.ms_treatment - table.ms_error) / equal)
    return BetweenWithin(
        float(np.concatenate(parts).mean()), float(np.sqrt(between)),
        float(np.sqrt(table.ms_error)), table.F, float(np.sqrt(table.ms_treatment / sizes.sum())),
    )  # fmt: skip


def _components(means: np.ndarray, spreads: np.ndarray, k: float) -> tuple[float, ...]:
    if means.size != spreads.size or means.size < 2:
        raise ArgumentError("day_s_uV", f"{spreads.size} values", "", "one for each of 2 or more")
    of_means = float(np.sqrt(k) * means.std(ddof=1))
    within = float(np.sqrt(np.mean(spreads**2)))
    total = means.size * k
    return (
        float(means.mean()), of_means, within, (of_means / within) ** 2,
        of_means / float(np.sqrt(total)),
    )  # fmt: skip


def _grouped(group: Values, value: Values) -> list[np.ndarray]:
    names, values = np.ravel(group), np.ravel(value)
    if names.size != values.size:
        text = f"{names.size} and {values.size} values"
        raise ArgumentError("group", text, "", "a group for each value")
    parts = [values[names == name] for name in np.unique(names)]
    if len(parts) < 2 or min(part.size for part in parts) < 2:
        raise ArgumentError("group", f"{len(parts)} groups", "", "2 or more, each of 2 or more")
    return parts


def _anova(groups: Sequence[np.ndarray]) -> Anova:
    # large constant values would eat the digits of the squares
    origin = float(np.concatenate(groups).mean())
    parts = [part - origin for part in groups]
    together = np.concatenate(parts)
    mean, n, count = together.mean(), together.size, len(parts)
    treatment = float(sum(part.size * (part.mean() - mean) ** 2 for part in parts))
    error = float(sum(np.sum((part - part.mean()) ** 2) for part in parts))
    df_t, df_e = count - 1, n - count
    if error == 0.0:
        raise ArgumentError("value", "no spread", "", "values that differ within a group")
    f = treatment / df_t / (error / df_e)
    return Anova(
        treatment, error, treatment + error, df_t, df_e, treatment / df_t, error / df_e, f,
        float(fdtrc(df_t, df_e, f)), treatment / (treatment + error), float(np.sqrt(error / df_e)),
    )  # fmt: skip
