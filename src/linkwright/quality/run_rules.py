"""Run rules of control charts: patterns that chance seldom makes.

Offers `nelson_rule`, `signals_of_rule` and the `RULES` in words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError

RULES = {
    1: "one point beyond three sigma",
    2: "nine in a row on one side of the centre",
    3: "six in a row rising or falling",
    4: "fourteen in a row alternating up and down",
    5: "two of three beyond two sigma on one side",
    6: "four of five beyond one sigma on one side",
    7: "fifteen in a row within one sigma",
    8: "eight in a row beyond one sigma on either side",
}
"""The rules of Nelson (1984) by their number."""


class RuleSignals(NamedTuple):
    """Results of `nelson_rule`."""

    first_signal: int | None
    signals: list[int]
    rule_says: str


@calculation(
    source="L. S. Nelson, The Shewhart Control Chart - Tests for Special Causes, Journal of "
    "Quality Technology 16 (1984) 237-239 (run rules)",
)
def nelson_rule(*, z: Values, rule: int) -> RuleSignals:
    """Points at which a run rule is complete, counted from 1.

    Rules: 1 one beyond 3 sigma; 2 nine in a row on one side; 3 six in a row rising or falling;
    4 fourteen alternating; 5 two of three beyond 2 sigma on one side; 6 four of five beyond
    1 sigma on one side; 7 fifteen within 1 sigma; 8 eight in a row beyond 1 sigma.

    Args:
        z: Plotted points as (value - centre)/sigma, in the order of time.
        rule: 1 to 8.

    Returns:
        The first point that completes the rule (none: no value), all such points, the rule in
        words. A point exactly on a border is not beyond it; one on the centre ends a run.

    Raises:
        ArgumentError: another rule.

    References:
        L. S. Nelson, Journal of Quality Technology 16 (1984) 237-239.

    Example:
        >>> nelson_rule(z=[0.2, -1.1, 3.1, 0.4], rule=1).first_signal
        3
    """
    if rule not in RULES:
        raise ArgumentError("rule", rule, "", "1 to 8", "is not known")
    found = [int(place) + 1 for place in np.flatnonzero(signals_of_rule(np.ravel(z), rule))]
    return RuleSignals(found[0] if found else None, found, RULES[rule])


def signals_of_rule(z: np.ndarray, rule: int) -> np.ndarray:
    """Whether each point completes the rule."""
    return _TESTS[rule](np.asarray(z, dtype=float))


def _in_a_row(true: np.ndarray, count: int) -> np.ndarray:
    """Whether the last ``count`` are all true."""
    return _some_of(true, count, count)


def _some_of(true: np.ndarray, least: int, window: int) -> np.ndarray:
    """Whether at least ``least`` of the last ``window`` are true, the last one among them."""
    sums = np.cumsum(np.concatenate([np.zeros(window, int), true.astype(int)]))
    complete: np.ndarray = true & (sums[window:] - sums[:-window] >= least)
    return complete


def _either(z: np.ndarray, least: int, window: int, beyond: float) -> np.ndarray:
    sides: np.ndarray = _some_of(z > beyond, least, window) | _some_of(z < -beyond, least, window)
    return sides


def _trend(z: np.ndarray) -> np.ndarray:
    steps = np.diff(z, prepend=np.nan)
    ways: np.ndarray = _in_a_row(steps > 0, 5) | _in_a_row(steps < 0, 5)
    return ways


def _alternating(z: np.ndarray) -> np.ndarray:
    steps = np.sign(np.diff(z, prepend=np.nan))
    turns = np.concatenate([[False], steps[1:] * steps[:-1] == -1])
    return _in_a_row(turns, 12)


_TESTS: dict[int, Callable[[np.ndarray], np.ndarray]] = {
    1: lambda z: np.abs(z) > 3.0,
    2: lambda z: _either(z, 9, 9, 0.0),
    3: _trend,
    4: _alternating,
    5: lambda z: _either(z, 2, 3, 2.0),
    6: lambda z: _either(z, 4, 5, 1.0),
    7: lambda z: _in_a_row(np.abs(z) < 1.0, 15),
    8: lambda z: _in_a_row(np.abs(z) > 1.0, 8),
}
