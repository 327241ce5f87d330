"""Release of a lot: each requirement with evidence, uncertainty and guard band.

`release` decides over all requirements; `requirement_verdict` over one. A requirement is met,
not met, undecided (the value lies in the guard band) or without evidence. Only a person releases,
after the tests of the standard; this says what the evidence allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from linkwright.catalogue import NOT_NEGATIVE, calculation
from linkwright.quantities import ArgumentError

MET, NOT_MET, UNDECIDED, NO_EVIDENCE = "met", "not met", "undecided", "no evidence"
"""The verdicts."""
_RULE = "JCGM 106:2012, 8.3 (guarded acceptance); ISO 14253-1:2017"


class Verdict(NamedTuple):
    """Results of `requirement_verdict`."""

    verdict: str
    guard: float
    lower_acceptance_limit: float | None
    upper_acceptance_limit: float | None
    probability: float


@dataclass(frozen=True)
class Evidence:
    """A requirement and what was found: u is the standard uncertainty of value.

    value None: no evidence. source: where the limit stands; record: where the evidence does.
    """

    requirement: str
    value: float | None
    u: float
    least: float | None
    greatest: float | None
    source: str
    record: str = ""


@dataclass(frozen=True)
class Decided:
    """A requirement with its verdict."""

    evidence: Evidence
    verdict: Verdict


@dataclass(frozen=True)
class Release:
    """The decision: the lot may be released if every requirement is met."""

    decided: tuple[Decided, ...]
    risk: float
    rule: str = _RULE

    @property
    def may_be_released(self) -> bool:
        """Whether every requirement is met, and there is at least one."""
        return bool(self.decided) and all(one.verdict.verdict == MET for one in self.decided)

    @property
    def open(self) -> tuple[Decided, ...]:
        """What stands against a release."""
        return tuple(one for one in self.decided if one.verdict.verdict != MET)


def release(evidence: Sequence[Evidence], risk: float = 0.05) -> Release:
    """Decide over all requirements of a lot.

    Raises `ArgumentError` for a requirement without a limit.
    """
    return Release(tuple(Decided(one, _decided(one, risk)) for one in evidence), risk)


@calculation(
    source=_RULE + "; ISO/IEC 17025:2017, 7.8.6 (decision rule)",
    needs={"u": NOT_NEGATIVE, "risk": (1e-9, 0.5)},
    carries=(
        "value", "u", "least", "greatest", "guard", "lower_acceptance_limit",
        "upper_acceptance_limit",
    ),
)  # fmt: skip
def requirement_verdict(
    *,
    value: float,
    u: float,
    least: float | None = None,
    greatest: float | None = None,
    risk: float = 0.05,
) -> Verdict:
    """Whether a requirement is met by a value with its uncertainty.

    Met within the limits drawn in by w = z_(1 - risk) u, not met beyond the limits put out by w,
    undecided between: measure better or more.

    Args:
        value: Measured. u: Standard uncertainty; 0 for a count. least, greatest: Limits.
        risk: Chance of a wrong decision at the limit.

    Returns:
        Verdict, w, acceptance limits, probability that the true value conforms.

    Raises:
        ArgumentError: no limit.

    References:
        JCGM 106:2012, 8.3; ISO 14253-1:2017.
    """
    if least is None and greatest is None:
        raise ArgumentError("least", "none", "", "least, greatest or both", "is needed")
    guard = float(-ndtri(risk)) * u
    low = None if least is None else least + guard
    high = None if greatest is None else greatest - guard
    inside = (low is None or value >= low) and (high is None or value <= high)
    beyond = (least is not None and value < least - guard) or (
        greatest is not None and value > greatest + guard
    )
    held = _probability(value, u, least, greatest)
    verdict = MET if inside else NOT_MET if beyond or u == 0.0 else UNDECIDED
    return Verdict(verdict, guard, low, high, held)


def _probability(value: float, u: float, least: float | None, greatest: float | None) -> float:
    if u == 0.0:
        return float((least is None or value >= least) and (greatest is None or value <= greatest))
    above = 0.0 if greatest is None else float(ndtr((value - greatest) / u))
    below = 0.0 if least is None else float(ndtr((least - value) / u))
    return max(0.0, 1.0 - above - below)


def _decided(one: Evidence, risk: float) -> Verdict:
    if one.value is None or not np.isfinite(one.value):
        return Verdict(NO_EVIDENCE, 0.0, one.least, one.greatest, float("nan"))
    return requirement_verdict(
        value=one.value, u=one.u, least=one.least, greatest=one.greatest, risk=risk
    )
