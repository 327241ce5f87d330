"""Sums of the bench where cotters are put in: how many, what they weigh, how long it takes.

- `bought_cotters`, `cottering_hours`, `share_of`
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


class BoughtCotters(NamedTuple):
    """Results of `bought_cotters`."""

    cotters_count: Values
    cotters_kg: Values


@calculation(
    source="a pin every pitch", basis="computed",
    needs={"length_m": POSITIVE, "pitch_mm": POSITIVE, "cotter_kg": POSITIVE},
)  # fmt: skip
def bought_cotters(*, length_m: Values, pitch_mm: Values, cotter_kg: Values) -> BoughtCotters:
    """Cotters of a length of chain, one in every pin: 1000 L/p, whole ones, and their mass.

    References: counting.

    Example:
        >>> print(bought_cotters(length_m=10.0, pitch_mm=50.8, cotter_kg=0.006).cotters_count)
        197.0
    """
    count = np.ceil(1000.0 * np.asarray(length_m, float) / pitch_mm - 1e-9)
    return BoughtCotters(count[()], (count * cotter_kg)[()])


@calculation(
    source="pieces times their time", gives="machine_time_h", basis="computed",
    needs={"cotters": NOT_NEGATIVE, "cotter_time_s": POSITIVE, "machines": POSITIVE},
)  # fmt: skip
def cottering_hours(*, cotters: Values, cotter_time_s: Values, machines: Values = 1.0) -> Values:
    """Hours in which all cotters are put in and bent.

    References: none needed.
    """
    return cotters * np.asarray(cotter_time_s, float)[()] / 3600.0 / machines


@calculation(
    source="ratio of two forces", gives="share_percent", basis="computed",
    needs={"force_kN": NOT_NEGATIVE, "of_kN": NOT_NEGATIVE},
)  # fmt: skip
def share_of(*, force_kN: Values, of_kN: Values) -> Values:
    """A force as per cent of another that may vanish: then a million per cent at most.

    References: definition.
    """
    return (100.0 * np.asarray(force_kN, float) / np.maximum(of_kN, 1e-4 * force_kN))[()]
