"""Sums of inspection: lots, samples, margins.

- `lots_in_length`, `links_of_a_lot`, `links_in_samples`: how an order falls into lots and tests
- `with_margin`: a limit and the margin that a works adds
- `testing_time`: hours of the test bench
- `total_elongation`: extension of a link as per cent of its pitch
- `weakest_of`: breaking force of the weakest of several links
- `percent_inside`: share of links that lie between two limits
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr, ndtri

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


@calculation(
    source="whole lots in a length",
    gives="lots",
    basis="computed",
    needs={"length_m": POSITIVE, "lot_length_m": POSITIVE},
)
def lots_in_length(*, length_m: Values, lot_length_m: Values) -> Values:
    """Number of lots: length over lot length, rounded up.

    References: none needed.

    Example:
        >>> print(lots_in_length(length_m=300.0, lot_length_m=200.0))
        2.0
    """
    return np.ceil(np.asarray(length_m, float) / lot_length_m - 1e-9)[()]


@calculation(
    source="limit and the works' own margin",
    gives="aim",
    basis="computed",
)
def with_margin(*, limit: Values, margin_percent: Values) -> Values:
    """A limit with the margin that the works adds: L (1 + m/100), in the unit of the limit.

    References: none needed.
    """
    return limit * (1.0 + margin_percent / 100.0)


@calculation(
    source="definition of elongation: extension over pitch",
    gives="total_elongation_percent",
    basis="computed",
    needs={"pitch_mm": POSITIVE},
)
def total_elongation(*, extension_mm: Values, pitch_mm: Values) -> Values:
    """Extension of a link as per cent of its pitch.

    References: definition; EN 818-1 takes the sample's length before the test.
    """
    return 100.0 * extension_mm / pitch_mm


@calculation(source="samples times links in each", gives="pieces", basis="computed")
def links_in_samples(*, samples: Values, links_per_sample: Values) -> Values:
    """Links that a lot's samples put to the test together.

    References: none needed.
    """
    return samples * links_per_sample


@calculation(source="lots times samples times time", gives="machine_time_h", basis="computed")
def testing_time(*, lots: Values, samples: Values, test_time_min: Values) -> Values:
    """Hours of the test bench for all samples of all lots.

    References: none needed.
    """
    return lots * samples * test_time_min / 60.0


@calculation(
    source="G. Blom, Statistical Estimates and Transformed Beta-Variables (1958): expected least "
    "of n normal values",
    gives="breaking_force_kN",
    needs={"breaking_force_kN": POSITIVE, "deviation_ratio": NOT_NEGATIVE, "links": (1.0, 1e9)},
    basis="memory",
)
def weakest_of(*, breaking_force_kN: Values, deviation_ratio: Values, links: Values) -> Values:
    """Expected breaking force of the weakest of n links: F (1 + v Phi^-1(5/8/(n + 1/4))).

    v is the standard deviation from link to link as a share of F. The chain breaks at its
    weakest link, so a sample of several shows less than one link does.

    Validity: within 0.03 standard deviations of the exact expectation to n = 1000; a bad weld
    is no member of a normal population and is not in it.

    References: as the source.

    Example:
        >>> print(round(float(weakest_of(
        ...     breaking_force_kN=84.0, deviation_ratio=0.01, links=5.0)), 2))
        83.01
    """
    least = ndtri(0.625 / (np.asarray(links, float) + 0.25))
    return (breaking_force_kN * (1.0 + deviation_ratio * least))[()]


@calculation(
    source="normal distribution, M. Abramowitz and I. A. Stegun, Handbook of Mathematical "
    "Functions (1964), 26.2",
    gives="inside_percent",
    needs={"deviation": POSITIVE},
    basis="computed",
)
def percent_inside(
    *, mean: Values, deviation: Values, least: Values = -np.inf, greatest: Values = np.inf
) -> Values:
    """Per cent of normal values with a mean and deviation between two limits, all of one unit.

    References: as the source.

    Example:
        >>> inside = percent_inside(mean=0.0, deviation=1.0, least=-1.0, greatest=1.0)
        >>> print(round(float(inside), 2))
        68.27
    """
    high = ndtr((np.asarray(greatest, float) - mean) / deviation)
    low = ndtr((np.asarray(least, float) - mean) / deviation)
    return np.asarray(100.0 * (high - low))[()]


@calculation(source="links over lots", gives="links", basis="computed", needs={"lots": POSITIVE})
def links_of_a_lot(*, links: Values, lots: Values) -> Values:
    """Links of one lot.

    References: none needed.
    """
    return links / lots
