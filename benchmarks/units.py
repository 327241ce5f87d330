"""Our conversion of units against pint in the same run: same numbers, ratio of the times.

Single values through `convert` and through a pint quantity, then an array of 100,000. Run:

    python benchmarks/units.py
"""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np
import pint
from measured import Figure, best_and_median, table

from linkwright.quantities import convert

PAIRS = (
    ("in", "mm", "inch", "millimeter"),
    ("klbf", "kN", "kip", "kilonewton"),
    ("psi", "MPa", "psi", "megapascal"),
    ("lb_per_ft", "kg_per_m", "pound / foot", "kilogram / meter"),
    ("kWh", "kJ", "kilowatt_hour", "kilojoule"),
    ("degF", "degC", "degF", "degC"),
)
VALUE, TIMES, LENGTH = 7.31, 2000, 100_000


def figures(times: int = TIMES, repeats: int = 5) -> list[Figure]:
    """Times of one conversion, their ratio, and the greatest difference of the numbers."""
    registry: Any = pint.UnitRegistry()
    peers = [(registry.Unit(source), registry.Unit(target)) for *_, source, target in PAIRS]

    def ours(value: float | np.ndarray, rounds: int) -> None:
        for _ in range(rounds):
            for unit, to, *_rest in PAIRS:
                convert(value, unit, to)

    def theirs(value: float | np.ndarray, rounds: int) -> None:
        for _ in range(rounds):
            for source, target in peers:
                registry.Quantity(value, source).to(target)

    found = []
    values = np.linspace(1.0, 100.0, LENGTH)
    # an array costs us two operations an element, so that exact ratios stay exact: no target
    kinds = (("one value", VALUE, times, 1.0), (f"{LENGTH} values", values, 20, None))
    for name, value, rounds, least in kinds:
        mine, _ = best_and_median(partial(ours, value, rounds), repeats)
        pints, _ = best_and_median(partial(theirs, value, rounds), repeats)
        count = rounds * len(PAIRS)
        found += [
            Figure(f"conversion of {name}, ours", 1e6 * mine / count, "us"),
            Figure(f"conversion of {name}, pint", 1e6 * pints / count, "us"),
            Figure(f"conversion of {name}, pint's time over ours", pints / mine, least=least),
        ]
    differences = [
        abs(convert(VALUE, unit, to) / registry.Quantity(VALUE, source).to(target).magnitude - 1.0)
        for (unit, to, *_), (source, target) in zip(PAIRS, peers, strict=True)
    ]
    name = "greatest relative difference between ours and pint"
    return [*found, Figure(name, max(differences), greatest=1e-14)]


if __name__ == "__main__":
    print(table(figures()))
