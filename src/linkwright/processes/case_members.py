"""The case of many members from one table: over the bath's factor, with slopes about it.

- `case_table`: the case at every factor of the bath, and how it moves with what may be off
- `CaseTable.at`: the case of members
- `element_steps`: by how much each element of an analysis is moved for its slope
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.processes.models.case_hardening import HardenedCase, at_members
from linkwright.route.stock import Stock

_BATH_STEPS = np.linspace(-1.2, 1.2, 25)
"""Logarithm of the factor on the bath: four deviations of the usual 30 % either way."""
_ELEMENT_STEPS = {"C": 0.01, "Mn": 0.03, "Si": 0.02, "Ni": 0.02, "Cr": 0.02, "Mo": 0.01}
_LEAST = 1e-6
_BY_LOGARITHM = ("retained_austenite_percent",)
"""Fields whose logarithm is nearly straight, as the share goes as exp[-b (Ms - T)]."""


@dataclass(frozen=True)
class CaseTable:
    """base: over the bath's factor; slopes: (sources, factors of the bath) by field of the case.

    Fields of `_BY_LOGARITHM` are held as logarithms.

    Martensite of a lean core bends with the bath from none to all, so each slope has its own value
    at each factor.
    """

    base: HardenedCase
    slopes: Mapping[str, np.ndarray]
    sources: tuple[str, ...]

    def at(self, moves: Mapping[str, Any], bath_factor: Any) -> HardenedCase:
        """The case of members whose sources are off by ``moves``."""
        *off, bath = np.broadcast_arrays(
            *(np.asarray(moves[name], float) for name in self.sources), np.log(bath_factor)
        )

        def there(values: np.ndarray) -> np.ndarray:
            return np.asarray(np.interp(bath, _BATH_STEPS, values))

        def moved(name: str, value: np.ndarray) -> Any:
            slopes = np.stack([there(one) for one in self.slopes[name]])
            found = at_members(value=there(value), slopes=slopes, moves=np.stack(off))
            return np.exp(found) if name in _BY_LOGARITHM else np.maximum(found, _LEAST)

        return HardenedCase(*(moved(*one) for one in self.base._asdict().items()))


def case_table(
    case_at: Callable[[Mapping[str, Any], Any], HardenedCase], steps: Mapping[str, float]
) -> CaseTable:
    """Run the cases of the table at once; ``case_at`` takes moves by source and the bath's factor.

    Moves are columns (members, 1), so that diffusion need not run for each factor of the bath.
    """
    rows = 1 + 2 * len(steps)
    moves = {name: np.zeros((rows, 1)) for name in steps}
    for index, (name, step) in enumerate(steps.items()):
        moves[name][1 + 2 * index : 3 + 2 * index, 0] = (-step, step)
    case = case_at(moves, np.exp(_BATH_STEPS))
    whole = [
        np.broadcast_to(
            np.log(np.maximum(one, _LEAST)) if name in _BY_LOGARITHM else np.asarray(one, float),
            (rows, _BATH_STEPS.size),
        )
        for name, one in case._asdict().items()
    ]
    twice = 2.0 * np.asarray(list(steps.values()))[:, None]
    return CaseTable(
        HardenedCase(*(one[0] for one in whole)),
        {
            field: (one[2::2] - one[1::2]) / twice
            for field, one in zip(HardenedCase._fields, whole, strict=True)
        },
        tuple(steps),
    )


def element_steps(part: Stock) -> dict[str, float]:
    """Step of each element that the part's analysis names; at most half of what there is."""
    found = {}
    for symbol, step in _ELEMENT_STEPS.items():
        name = f"{symbol}_percent"
        there = float(part[name]) if name in part else 0.0
        if there > 0.0:
            found[name] = min(step, 0.5 * there)
    return found
