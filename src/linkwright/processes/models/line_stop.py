"""What is lost when the line stops with chain in the coil.

- `stopped_length`: chain from the inlet of the coil to the end of what follows it
- `links_lost_by_stop`: links in that length, those at both ends counted
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


@calculation(
    source="sum of the stretches of the line",
    gives="length_mm",
    needs={
        "coil_length_mm": POSITIVE,
        "following_length_mm": NOT_NEGATIVE,
        "ring_length_mm": NOT_NEGATIVE,
    },
    basis="computed",
)
def stopped_length(
    *, coil_length_mm: Values, following_length_mm: Values, ring_length_mm: Values = 0.0
) -> Values:
    """Chain that a stop leaves neither as it was nor as it should be.

    Coil, the stretch after it (gap or soak) and the ring of water: what lies in the coil cools
    in air from every temperature between cold and full, what lies behind has cooled too slowly.

    References: none needed.
    """
    return coil_length_mm + following_length_mm + ring_length_mm


@calculation(
    source="whole links in a length, one more at each end",
    gives="links",
    needs={"length_mm": NOT_NEGATIVE, "pitch_mm": POSITIVE},
    basis="computed",
)
def links_lost_by_stop(*, length_mm: Values, pitch_mm: Values) -> Values:
    """Links to cut out after a stop: ceil(L/p) + 1, for the length begins anywhere in a link.

    References: none needed.

    Example:
    >>> float(links_lost_by_stop(length_mm=1980.0, pitch_mm=24.0))
    84.0
    """
    return np.ceil(length_mm / pitch_mm) + 1.0
