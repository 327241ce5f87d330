"""Findings: what the physics says, against which limit, from which source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

WITHIN, CLOSE, OUTSIDE, NO_LIMIT = "within", "close", "outside", "no limit given"
_NEAR_BAND, _NEAR_LIMIT = 0.10, 0.03


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement of the physics about a step.

    subject: name with unit. least, greatest: limits if there are any. source: where the
    limits stand. note: what a reader must know. The verdict is computed, never stored.
    """

    subject: str
    value: Any
    least: Any = None
    greatest: Any = None
    source: str = ""
    note: str = ""

    @property
    def entry(self) -> str | None:
        """Id of the value's entry in the derivation, if it was recorded."""
        return getattr(self.value, "entry", None)

    @property
    def verdict(self) -> str:
        """``within``, ``close``, ``outside`` or ``no limit given``.

        Close means: inside, but nearer to a limit than a tenth of the band between two
        limits, or than 3 % of a single limit.
        """
        least = -np.inf if self.least is None else float(self.least)
        greatest = np.inf if self.greatest is None else float(self.greatest)
        value = float(self.value)
        if least == -np.inf and greatest == np.inf:
            return NO_LIMIT
        if not least <= value <= greatest:
            return OUTSIDE
        if np.isfinite(least) and np.isfinite(greatest):
            near = _NEAR_BAND * (greatest - least)
        else:
            near = _NEAR_LIMIT * abs(least if np.isfinite(least) else greatest)
        return CLOSE if min(value - least, greatest - value) < near else WITHIN

    def met(self) -> Any:
        """Whether the value lies inside the limits, elementwise."""
        value = np.asarray(self.value)
        inside = np.ones(value.shape, dtype=bool)
        if self.least is not None:
            inside &= value >= self.least
        if self.greatest is not None:
            inside &= value <= self.greatest
        return inside
