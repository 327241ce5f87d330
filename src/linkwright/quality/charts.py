"""Control charts of readings against frozen limits, with what stands out and why.

`control_chart` gives a `Chart` of one or two `Panel`s; each `Signal` asks for a cause and an
action, a run that goes on only once. Arrays in, plain figures out: no files, no drawing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.quality.chart_limits import Limits
from linkwright.quality.control_constants import control_chart_constants
from linkwright.quality.cusum import cusum
from linkwright.quality.ewma import ewma
from linkwright.quality.hotelling import t2_contributions, t2_limits
from linkwright.quality.run_rules import RULES, signals_of_rule
from linkwright.quantities import ArgumentError

USUAL_RULES = (1, 2, 3, 4)
"""Rules watched unless others are asked for: those that Nelson wants on every chart."""
_ABOVE_ONLY = "beyond the limit"


@dataclass(frozen=True)
class Signal:
    """One point that stands out; ``rule`` 1 to 8 by Nelson, 1 also for a limit passed.

    cause and action are written by a person; None while they are asked for. ``leading``: column
    (from 1) that adds most to T2.
    """

    point: int
    rule: int
    says: str
    value: float
    above: bool
    leading: int | None = None
    cause: str | None = None
    action: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return dict(vars(self))


@dataclass(frozen=True)
class Panel:
    """One set of axes: plotted values with their centre and limits, point by point."""

    name: str
    values: np.ndarray
    center: np.ndarray
    ucl: np.ndarray
    lcl: np.ndarray | None
    signals: tuple[Signal, ...]
    second: np.ndarray | None = None
    """Plotted beside the values: the lower sums of a CUSUM, downwards."""


@dataclass(frozen=True)
class Chart:
    """A chart: panels from top to bottom, and the limits they are judged by."""

    kind: str
    limits: Limits
    panels: tuple[Panel, ...]
    of_these: bool
    """Whether the limits were set from the first of these points."""

    @property
    def signals(self) -> tuple[Signal, ...]:
        """All signals in the order of the points."""
        found = (signal for panel in self.panels for signal in panel.signals)
        return tuple(sorted(found, key=lambda one: (one.point, one.rule)))


def control_chart(
    readings: np.ndarray,
    limits: Limits,
    *,
    sizes: np.ndarray | None = None,
    rules: Sequence[int] = USUAL_RULES,
) -> Chart:
    """Readings against limits. Rows are points; see `set_limits` for their form.

    Points that the limits rest on are judged too: a first period is only good if none stands out.
    """
    for rule in rules:
        if rule not in RULES:
            raise ArgumentError("rules", rule, "", "1 to 8", "is not known")
    values = np.asarray(readings, float)
    panels = _DRAWN[limits.kind](values, limits, sizes, tuple(rules))
    return Chart(limits.kind, limits, tuple(panels), limits.rest_on(values))


Rules = tuple[int, ...]


def _individuals(
    values: np.ndarray, limits: Limits, _: np.ndarray | None, rules: Rules
) -> list[Panel]:
    x = np.ravel(values)
    center, sigma = limits.figures["center"], limits.figures["sigma"]
    of = control_chart_constants(n=2.0)
    moving = np.concatenate([[np.nan], np.abs(np.diff(x))])
    return [
        _judged("value", x, center, 3.0 * sigma, rules),
        _one_sided("moving range", moving, of.d2 * sigma, of.D4 * of.d2 * sigma, 0.0),
    ]


def _means(values: np.ndarray, limits: Limits, rules: Rules) -> Panel:
    n = limits.figures["n"]
    if values.ndim != 2 or values.shape[1] != n:
        raise ArgumentError("readings", f"rows of {values.shape[-1]}", "", f"rows of {n:g}")
    reach = 3.0 * limits.figures["sigma"] / np.sqrt(n)
    return _judged("mean", values.mean(axis=1), limits.figures["center"], reach, rules)


def _xbar_r(values: np.ndarray, limits: Limits, _: np.ndarray | None, rules: Rules) -> list[Panel]:
    of, sigma = control_chart_constants(n=limits.figures["n"]), limits.figures["sigma"]
    spread = np.ptp(values, axis=1)
    return [_means(values, limits, rules),
            _one_sided("range", spread, of.d2 * sigma, of.D2 * sigma, of.D1 * sigma)]  # fmt: skip


def _xbar_s(values: np.ndarray, limits: Limits, _: np.ndarray | None, rules: Rules) -> list[Panel]:
    of, sigma = control_chart_constants(n=limits.figures["n"]), limits.figures["sigma"]
    spread = values.std(axis=1, ddof=1)
    return [_means(values, limits, rules), _one_sided("standard deviation", spread,
            of.c4 * sigma, of.B6 * sigma, of.B5 * sigma)]  # fmt: skip


def _ewma(values: np.ndarray, limits: Limits, _: np.ndarray | None, __: Rules) -> list[Panel]:
    f = limits.figures
    found = ewma(target=f["center"], sigma=f["sigma"], weight=f["weight"], L=f["width"],
                 data=np.ravel(values))  # fmt: skip
    return [_judged("weighted mean", found.ewma, f["center"], found.limit_half_width, (1,))]


def _cusum(values: np.ndarray, limits: Limits, _: np.ndarray | None, __: Rules) -> list[Panel]:
    f = limits.figures
    found = cusum(target=f["center"], k=f["k"], h=f["h"], sigma=f["sigma"], data=np.ravel(values))
    h = np.full(found.upper.size, f["h"] * f["sigma"])
    signals = [
        Signal(int(at) + 1, 1, _ABOVE_ONLY, float(sums[at]), above)
        for sums, above in ((found.upper, True), (found.lower, False))
        for at in _asked(sums > h[0], 0)
    ]
    zero = np.zeros(h.size)
    return [Panel("cumulative sum", found.upper, zero, h, -h, tuple(signals), -found.lower)]


def _share(
    values: np.ndarray, limits: Limits, sizes: np.ndarray | None, rules: Rules
) -> list[Panel]:
    counted, looked = np.ravel(values), _sizes(values, sizes)
    p = limits.figures["center"]
    reach = 3.0 * np.sqrt(p * (1.0 - p) / looked)
    return [_judged("fraction nonconforming", counted / looked, p, reach, rules, 0.0, 1.0)]


def _number(values: np.ndarray, limits: Limits, _: np.ndarray | None, rules: Rules) -> list[Panel]:
    p, n = limits.figures["center"], limits.figures["n"]
    reach = 3.0 * np.sqrt(n * p * (1.0 - p))
    return [_judged("number nonconforming", np.ravel(values), n * p, reach, rules, 0.0, n)]


def _count(values: np.ndarray, limits: Limits, _: np.ndarray | None, rules: Rules) -> list[Panel]:
    c = limits.figures["center"]
    return [_judged("nonconformities", np.ravel(values), c, 3.0 * np.sqrt(c), rules, 0.0)]


def _rate(
    values: np.ndarray, limits: Limits, sizes: np.ndarray | None, rules: Rules
) -> list[Panel]:
    looked, u = _sizes(values, sizes), limits.figures["center"]
    reach = 3.0 * np.sqrt(u / looked)
    name = "nonconformities per unit"
    return [_judged(name, np.ravel(values) / looked, u, reach, rules, 0.0)]


def _t2(values: np.ndarray, limits: Limits, _: np.ndarray | None, __: Rules) -> list[Panel]:
    f = limits.figures
    p = len(f["mean"])
    if values.ndim != 2 or values.shape[1] != p:
        raise ArgumentError("readings", f"rows of {values.shape[-1]}", "", f"rows of {p}")
    t2, adds = t2_contributions(values - f["mean"], f["covariance"])
    first, later = t2_limits(float(p), f["m"], 1.0, f["alpha"])
    at = np.arange(len(values))
    limit = np.where((at < limits.points) & limits.rest_on(values), first, later)
    signals = tuple(
        Signal(int(one) + 1, 1, _ABOVE_ONLY, float(t2[one]), True, int(np.argmax(adds[one])) + 1)
        for one in np.flatnonzero(t2 > limit)
    )
    return [Panel("T²", t2, np.full(t2.size, float(p)), limit, None, signals)]


def _judged(
    name: str,
    values: np.ndarray,
    center: float,
    reach: Any,
    rules: Rules,
    least: float = -np.inf,
    greatest: float = np.inf,
) -> Panel:
    """A panel with limits on both sides; run rules in thirds of the way to them."""
    half = np.broadcast_to(np.asarray(reach, float), values.shape)
    upper, lower = np.minimum(greatest, center + half), np.maximum(least, center - half)
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.nan_to_num(3.0 * (values - center) / half, nan=0.0, posinf=1e9, neginf=-1e9)
    signals = [
        Signal(int(at) + 1, rule, RULES[rule], float(values[at]), bool(values[at] >= center))
        for rule in rules
        for at in _asked(signals_of_rule(z, rule), rule)
    ]
    middle = np.full(values.size, float(center))
    return Panel(name, values, middle, upper, lower, tuple(signals))


def _asked(complete: np.ndarray, rule: int) -> np.ndarray:
    """The points that ask for a cause: each beyond three sigma, a run once where it completes."""
    if rule == 1:
        return np.flatnonzero(complete)
    return np.flatnonzero(complete & ~np.concatenate([[False], complete[:-1]]))


def _one_sided(name: str, values: np.ndarray, center: float, upper: float, lower: float) -> Panel:
    """A panel of spreads, judged by its limits alone."""
    out = (values > upper) | (values < lower)
    signals = tuple(
        Signal(int(at) + 1, 1, f"{name} beyond its limit", float(values[at]),
               bool(values[at] > upper)) for at in np.flatnonzero(out)
    )  # fmt: skip
    every = np.ones(values.size)
    return Panel(name, values, center * every, upper * every, lower * every, signals)


def _sizes(values: np.ndarray, sizes: np.ndarray | None) -> np.ndarray:
    if sizes is None:
        raise ArgumentError("sizes", "none", "", "pieces or units of each sample", "is needed")
    return np.broadcast_to(np.asarray(sizes, float), np.ravel(values).shape)


_DRAWN: dict[str, Callable[[np.ndarray, Limits, np.ndarray | None, Rules], list[Panel]]] = {
    "individuals": _individuals, "xbar-r": _xbar_r, "xbar-s": _xbar_s, "ewma": _ewma,
    "cusum": _cusum, "p": _share, "np": _number, "c": _count, "u": _rate, "t2": _t2,
}  # fmt: skip
