"""Sums of calibrating: the stroke, the gauge length and its spread, links that break.

- `gauge_length`: length of several links, or the limit of one link times their number
- `gauge_deviation`: standard deviation of that length where links of a stroke go together
- `stroke_correlation`: how much the pitches of two links of one stroke go together
- `stroke_rate`, `stroke_time`: strokes a minute, and the time that a stroke has
- `force_and_deviation`, `stroke_set_deviation`: what scatter of the stroke's force does to the set
- `expected_breaks`: links of a lot that the proof force breaks
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_SUM_OF_PARTS = (
    "variance of a sum of correlated parts, JCGM 100:2008 (GUM), 5.2.2; that links of one stroke "
    "share its force is the works' machine"
)


@calculation(
    source="links times pitch",
    gives="gauge_length_mm",
    basis="computed",
    needs={"links_count": POSITIVE, "pitch_mm": POSITIVE},
)
def gauge_length(*, links_count: Values, pitch_mm: Values) -> Values:
    """Inner length over several links, without load: n p.

    Neighbours touch, so each further link adds its pitch to the inner length of the first.

    References: none needed.
    """
    return links_count * pitch_mm


@calculation(
    source=_SUM_OF_PARTS,
    gives="gauge_deviation_mm",
    basis="computed",
    needs={
        "links_count": POSITIVE, "links_per_stroke_count": POSITIVE,
        "link_deviation_mm": NOT_NEGATIVE, "stroke_deviation_mm": NOT_NEGATIVE,
    },
)  # fmt: skip
def gauge_deviation(
    *,
    links_count: Values,
    links_per_stroke_count: Values,
    link_deviation_mm: Values,
    stroke_deviation_mm: Values,
) -> Values:
    """Standard deviation of a gauge length of n links, m of them made by one stroke.

    Two links k apart are of the same stroke with probability 1 - k/m (k < m), where the gauge
    begins anywhere. With s_l from link to link and s_s from stroke to stroke

        s^2 = n s_l^2 + s_s^2 (n + 2 sum_{k=1}^{q-1} (n - k)(1 - k/m)),  q = min(n, m)

    so that links of one stroke go together (n^2) and those of many do not (n m for n >> m).

    References: JCGM 100:2008, 5.2.2, eq. (16).

    Example:
        >>> one = gauge_deviation(links_count=11.0, links_per_stroke_count=1e9,
        ...                       link_deviation_mm=0.0, stroke_deviation_mm=0.01)
        >>> round(float(one), 6)
        0.11
    """
    n, m = np.asarray(links_count, float), np.asarray(links_per_stroke_count, float)
    q = np.minimum(n, m)
    first, second = q * (q - 1.0) / 2.0, (q - 1.0) * q * (2.0 * q - 1.0) / 6.0
    pairs = n * (q - 1.0) - (1.0 + n / m) * first + second / m
    variance = n * np.square(link_deviation_mm) + np.square(stroke_deviation_mm) * (n + 2.0 * pairs)
    return np.sqrt(variance)[()]


@calculation(
    source=_SUM_OF_PARTS,
    gives="stroke_correlation",
    basis="computed",
    needs={"link_deviation_mm": POSITIVE, "stroke_deviation_mm": NOT_NEGATIVE},
)
def stroke_correlation(*, link_deviation_mm: Values, stroke_deviation_mm: Values) -> Values:
    """Correlation of the pitches of two links of one stroke: s_s^2/(s_s^2 + s_l^2).

    References: intraclass correlation, R. A. Fisher, Statistical Methods for Research Workers.
    """
    common = np.square(stroke_deviation_mm)
    return common / (common + np.square(link_deviation_mm))


@calculation(source="difference of two sets", gives="stroke_deviation_mm", basis="computed")
def stroke_set_deviation(*, set_mm: Values, set_at_more_mm: Values) -> Values:
    """Set at one standard deviation more of the stroke's force, less the set at the force.

    References: JCGM 100:2008, 5.1.2 (first order).
    """
    return np.abs(set_at_more_mm - set_mm)


@calculation(
    source="sum of force and its deviation", gives="force_kN", basis="computed",
    needs={"force_kN": POSITIVE, "deviation_kN": NOT_NEGATIVE},
)  # fmt: skip
def force_and_deviation(*, force_kN: Values, deviation_kN: Values) -> Values:
    """The stroke's force at one standard deviation more.

    References: none needed.
    """
    return force_kN + deviation_kN


@calculation(
    source="links a minute over links of a stroke",
    gives="strokes_per_min",
    basis="computed",
    needs={"links_per_stroke_count": POSITIVE, "links_per_min": POSITIVE},
)
def stroke_rate(*, links_per_min: Values, links_per_stroke_count: Values) -> Values:
    """Strokes a minute that a rate of links needs.

    References: none needed.
    """
    return links_per_min / np.asarray(links_per_stroke_count, float)[()]


@calculation(
    source="one over strokes a minute", gives="stroke_time_s", basis="computed",
    needs={"strokes_per_min": POSITIVE},
)  # fmt: skip
def stroke_time(*, strokes_per_min: Values) -> Values:
    """Time from stroke to stroke: feed, pull, dwell, let go.

    References: none needed.
    """
    return 60.0 / strokes_per_min


@calculation(
    source="links below the force, each by itself normal about the mean",
    gives="breaks_per_lot_count",
    basis="computed",
    needs={"breaking_force_kN": POSITIVE, "deviation_ratio": POSITIVE, "lots": POSITIVE},
)
def expected_breaks(
    *,
    force_kN: Values,
    breaking_force_kN: Values,
    deviation_ratio: Values,
    links: Values,
    lots: Values,
) -> Values:
    """Links of a lot that a proof force breaks: (links/lots) Phi((F/F_b - 1)/v).

    v is the scatter of the breaking force from link to link as a share of it.

    A normal tail so far out is a rough guide, not a count; a bad weld is not in it.

    References: normal distribution, M. Abramowitz and I. A. Stegun, Handbook of Mathematical
    Functions, 1964, 26.2.
    """
    short = (np.asarray(force_kN, float) / breaking_force_kN - 1.0) / deviation_ratio
    return np.asarray(links / lots * ndtr(short))[()]
