"""Length of a measured strand: tolerance when new, elongation in service and its limit.

`iso606_strand_length`, `iso606_attachment_strand_length`, `chain_elongation` and
`allowed_chain_elongation`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation


class StrandLength(NamedTuple):
    """Least and greatest length of a strand under its measuring force."""

    least_length_mm: Values
    greatest_length_mm: Values


@calculation(
    source="ISO 606:2004, clause on length validation of chains",
    needs={"nominal_length_mm": POSITIVE, "upper_tolerance_percent": (0.0, None)},
    basis="memory",
)
def iso606_strand_length(
    *, nominal_length_mm: Values, upper_tolerance_percent: Values = 0.15
) -> StrandLength:
    """Least and greatest length of a roller chain strand under measuring force: 0/+0.15 %.

    The strand measured is at least 610 mm long for 04C to 12B and 081 to 085, 1220 mm for 16A to
    72B, dry or only lightly oiled, supported over its whole length.

    References: ISO 606:2004, length validation.

    Example:
        >>> round(iso606_strand_length(nominal_length_mm=1000.0).greatest_length_mm, 3)
        1001.5
    """
    return StrandLength(
        1.0 * nominal_length_mm, nominal_length_mm * (1.0 + upper_tolerance_percent / 100.0)
    )


@calculation(
    source="ISO 606:2004, length validation of chains with attachments",
    needs={"nominal_length_mm": POSITIVE},
    basis="memory",
)
def iso606_attachment_strand_length(*, nominal_length_mm: Values) -> StrandLength:
    """Least and greatest length of a strand of chain with attachments: 0/+0.30 %.

    References: ISO 606:2004, length validation of attachment chains.

    Example:
        >>> round(iso606_attachment_strand_length(nominal_length_mm=1000.0).greatest_length_mm, 3)
        1003.0
    """
    return StrandLength(1.0 * nominal_length_mm, 1.003 * nominal_length_mm)


@calculation(
    source="Definition of elongation by wear",
    gives="elongation_percent",
    needs={"pitch_mm": POSITIVE, "pitches": POSITIVE, "measured_length_mm": POSITIVE},
    basis="computed",
)
def chain_elongation(*, pitch_mm: Values, pitches: Values, measured_length_mm: Values) -> Values:
    """Elongation of a strand measured over a number of pitches: (L/(n p) - 1) 100 %.

    References: definition.

    Example:
        >>> round(chain_elongation(pitch_mm=10.0, pitches=50, measured_length_mm=510.0), 6)
        2.0
    """
    return (measured_length_mm / (pitches * pitch_mm) - 1.0) * 100.0


@calculation(
    source="Practice of the trade for roller chain drives: 3 % at most, 200/N percent above 66 "
    "teeth; common practice, no source",
    gives="allowed_elongation_percent",
    needs={"teeth_large": (5.0, None), "greatest_elongation_percent": POSITIVE},
    basis="common practice",
)
def allowed_chain_elongation(
    *, teeth_large: Values, greatest_elongation_percent: Values = 3.0
) -> Values:
    """Elongation by wear at which a roller chain drive is renewed.

    min(3, 200/N) percent, N teeth of the large sprocket: a longer chain climbs to the tips of a
    large sprocket and jumps. 3 % is also the limit that ISO 10823 takes for its ratings. Drives on
    fixed centres or that must keep time need a smaller limit.

    References: common practice, no source.

    Example:
        >>> allowed_chain_elongation(teeth_large=100), allowed_chain_elongation(teeth_large=38)
        (2.0, 3.0)
    """
    return np.minimum(greatest_elongation_percent, 200.0 / np.asarray(teeth_large, dtype=float))
