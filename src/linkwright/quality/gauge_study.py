"""Gauge studies: repeatability, reproducibility and the spread of parts.

Offers `gauge_totals`, `gauge_study_anova` and `gauge_study_ranges`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import fdtrc

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quality.control_constants import gauge_range_constants
from linkwright.quantities import ArgumentError

_MSA = "AIAG Measurement Systems Analysis, 4th ed. (2010), Chapter III"
_POOLED_ABOVE = 0.25


class GaugeTotals(NamedTuple):
    """Results of `gauge_totals`."""

    GRR: Values
    TV: Values
    percent_GRR: Values
    ndc_exact: Values
    ndc: Values


class GaugeStudy(NamedTuple):
    """Results of `gauge_study_anova` and `gauge_study_ranges`."""

    EV: float
    AV: float
    interaction: float
    GRR: float
    PV: float
    TV: float
    percent_GRR: float
    percent_tolerance: float | None
    ndc: int
    interaction_p: float | None


@calculation(
    source=f"{_MSA}, range method (combination of the parts)",
    needs={"EV": NOT_NEGATIVE, "AV": NOT_NEGATIVE, "PV": POSITIVE},
    carries=("EV", "AV", "PV", "GRR", "TV"),
)
def gauge_totals(*, EV: Values, AV: Values, PV: Values) -> GaugeTotals:
    """Repeatability, reproducibility and part variation combined.

    GRR^2 = EV^2 + AV^2, TV^2 = GRR^2 + PV^2, per cent GRR = 100 GRR/TV, ndc = 1.41 PV/GRR cut to
    a whole number, at least 1.

    Args:
        EV: Repeatability. AV: Reproducibility. PV: Part variation; standard deviations.

    References:
        AIAG Measurement Systems Analysis, 4th ed., Chapter III.
    """
    both = np.hypot(EV, AV)
    total = np.hypot(both, PV)
    if np.any(both == 0.0):
        raise ArgumentError("EV", 0.0, "", "EV or AV above 0", "leaves no spread of the gauge")
    exact = 1.41 * np.asarray(PV) / both
    return GaugeTotals(both, total, 100.0 * both / total, exact, np.maximum(1.0, np.floor(exact)))


@calculation(
    source=f"{_MSA}, analysis of variance; D. C. Montgomery, Introduction to Statistical Quality "
    "Control, 7th ed., Sec. 8.7.2 (gauge study, two-way random effects)",
    needs={"tolerance": POSITIVE},
    carries=("value", "tolerance", "EV", "AV", "interaction", "GRR", "PV", "TV"),
)
def gauge_study_anova(
    *, part: Values, appraiser: Values, value: Values, tolerance: float | None = None
) -> GaugeStudy:
    """Gauge study of parts measured by appraisers several times, by analysis of variance.

    sigma_EV^2 = MS_E; interaction (MS_PO - MS_E)/r; appraisers (MS_O - MS_PO)/(p r); parts
    (MS_P - MS_PO)/(o r); none below 0. An interaction with p above 0.25 is pooled into MS_E.
    AV holds appraisers alone, GRR also the interaction.

    Args:
        part, appraiser: Number of each for every value. value: Readings; each appraiser measures
            each part equally often, at least twice. tolerance: USL - LSL.

    Returns:
        Standard deviations; per cent of the total spread and (6 GRR) of the tolerance; number of
        distinct categories; p of the interaction.

    References:
        AIAG MSA, 4th ed.; D. C. Montgomery, Sec. 8.7.2.
    """
    cells = _cells(part, appraiser, value)
    p, o, r = cells.shape
    grand = cells.mean()
    by_part, by_appraiser = cells.mean(axis=(1, 2)), cells.mean(axis=(0, 2))
    of_cells = cells.mean(axis=2)
    ss_p = o * r * np.sum((by_part - grand) ** 2)
    ss_o = p * r * np.sum((by_appraiser - grand) ** 2)
    ss_po = r * np.sum((of_cells - by_part[:, None] - by_appraiser[None, :] + grand) ** 2)
    ss_e = np.sum((cells - of_cells[:, :, None]) ** 2)
    df_po, df_e = (p - 1) * (o - 1), p * o * (r - 1)
    ms_p, ms_o = ss_p / (p - 1), ss_o / (o - 1)
    ms_po, ms_e = ss_po / df_po, ss_e / df_e
    chance = float(fdtrc(df_po, df_e, ms_po / ms_e)) if ms_e > 0 else None
    if chance is not None and chance > _POOLED_ABOVE:
        ms_e = (ss_po + ss_e) / (df_po + df_e)
        ms_po = ms_e
    crossed = max(0.0, (ms_po - ms_e) / r)
    appraisers = max(0.0, (ms_o - ms_po) / (p * r))
    parts = max(0.0, (ms_p - ms_po) / (o * r))
    return _study(ms_e, appraisers, crossed, parts, tolerance, chance)


@calculation(
    source=f"{_MSA}, average and range method (gauge study)",
    needs={"tolerance": POSITIVE},
    carries=("value", "tolerance", "EV", "AV", "interaction", "GRR", "PV", "TV"),
)
def gauge_study_ranges(
    *, part: Values, appraiser: Values, value: Values, tolerance: float | None = None
) -> GaugeStudy:
    """Gauge study by means and ranges.

    EV = mean range of the trials/d2*; AV^2 = (range of the appraisers' means/d2*)^2 - EV^2/(p r);
    PV = range of the part means/d2*. d2* counts the ranges that were averaged.

    Args:
        part, appraiser: Number of each for every value. value: Readings. tolerance: USL - LSL.

    References:
        AIAG Measurement Systems Analysis, 4th ed., Chapter III.
    """
    cells = _cells(part, appraiser, value)
    p, o, r = cells.shape
    trials = gauge_range_constants(m=float(r), g=float(p * o)).d2_star
    repeat = float(np.ptp(cells, axis=2).mean() / trials)
    between = float(np.ptp(cells.mean(axis=(0, 2))) / gauge_range_constants(m=float(o)).d2_star)
    parts = float(np.ptp(cells.mean(axis=(1, 2))) / gauge_range_constants(m=float(p)).d2_star)
    appraisers = max(0.0, between**2 - repeat**2 / (p * r))
    return _study(repeat**2, appraisers, 0.0, parts**2, tolerance, None)


def _study(
    repeat: float,
    appraisers: float,
    crossed: float,
    parts: float,
    tolerance: float | None,
    chance: float | None,
) -> GaugeStudy:
    gauge = repeat + appraisers + crossed
    total = gauge + parts
    if gauge == 0.0:
        raise ArgumentError("value", "no spread", "", "repeated readings that differ")
    share = None if tolerance is None else float(600.0 * np.sqrt(gauge) / tolerance)
    ev, av, both, grr, pv, tv = (
        float(np.sqrt(one)) for one in (repeat, appraisers, crossed, gauge, parts, total)
    )
    categories = max(1, int(1.41 * pv / grr))
    return GaugeStudy(ev, av, both, grr, pv, tv, 100.0 * grr / tv, share, categories, chance)


def _cells(part: Values, appraiser: Values, value: Values) -> np.ndarray:
    """Readings as part x appraiser x trial; refuses a study that is not crossed and even."""
    parts, people, values = np.ravel(part), np.ravel(appraiser), np.ravel(value)
    if not parts.size == people.size == values.size:
        raise ArgumentError("part", f"{parts.size} values", "", "a part and appraiser a value")
    names, who = np.unique(parts), np.unique(people)
    cells = [[values[(parts == name) & (people == one)] for one in who] for name in names]
    sizes = {cell.size for row in cells for cell in row}
    if len(sizes) != 1 or min(len(names), len(who), *sizes) < 2:
        accepted = "2 or more appraisers who each measure the same 2 or more parts equally often"
        raise ArgumentError("value", f"{values.size} values", "", f"{accepted}, at least twice")
    return np.array(cells)
