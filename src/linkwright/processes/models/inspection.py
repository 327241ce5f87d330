"""Sums of inspection: lots, samples, margins.

- `mark_distance`, `whole_links_between`: distance of two marks
- `lots_in_length`, `links_in_samples`: how an order falls into lots, what is broken
- `with_margin`: a limit and the margin that a works adds
- `testing_time`: hours of the test bench
- `total_elongation`: extension of a link as per cent of its pitch
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation


@calculation(
    source="whole links times pitch",
    gives="mark_distance_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE},
)
def mark_distance(*, links_between_marks: Values, pitch_mm: Values) -> Values:
    """Distance from mark to mark: links between them times pitch.

    References: none needed.
    """
    return links_between_marks * pitch_mm


@calculation(
    source="whole links within a length",
    gives="links_between_marks",
    basis="computed",
    needs={"pitch_mm": POSITIVE, "greatest_spacing_mm": POSITIVE},
)
def whole_links_between(
    *, greatest_spacing_mm: Values, pitch_mm: Values, spare_links_count: Values = 0.0
) -> Values:
    """Links from mark to mark: whole pitches within the greatest spacing, less some to spare.

    References: none needed.

    Example:
        >>> print(whole_links_between(greatest_spacing_mm=480.0, pitch_mm=24.0))
        20.0
    """
    return np.floor(np.asarray(greatest_spacing_mm) / pitch_mm + 1e-9) - spare_links_count


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
