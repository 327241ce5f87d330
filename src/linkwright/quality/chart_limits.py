"""Limits of a control chart: set from a first period, frozen, numbered.

`set_limits` takes the figures of a chart from readings; `Limits` holds them with what they rest
on, so that later readings are judged by the same limits. `refrozen` gives the next version and
keeps those before. Kinds: individuals, xbar-r, xbar-s, ewma, cusum, p, np, c, u, t2.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from linkwright.quality.control_constants import control_chart_constants
from linkwright.quality.control_limits import individuals_limits
from linkwright.quantities import ArgumentError, InputErrors, Problem, UnknownName

LEAST_READINGS = 20
"""Points below which limits are a guess (common practice, no source): said, not refused."""


@dataclass(frozen=True)
class Options:
    """What a person chooses of a chart.

    target, sigma: given instead of estimated (EWMA, CUSUM). weight, width: of the EWMA; k, h: of
    the CUSUM in sigma; alpha: chance of a false signal per point of T2.
    """

    target: float | None = None
    sigma: float | None = None
    weight: float = 0.2
    width: float = 2.962
    k: float = 0.5
    h: float = 4.77
    alpha: float = 0.0027


@dataclass(frozen=True)
class Limits:
    """Frozen figures of a chart.

    ``figures`` by name, enough to draw every limit; ``points``: how many they rest on (0: given);
    ``readings_sha256``: of these readings; ``version`` from 1; ``earlier``: versions before.
    """

    kind: str
    figures: Mapping[str, Any]
    unit: str
    points: int
    readings_sha256: str
    source: str
    version: int = 1
    earlier: tuple[Mapping[str, Any], ...] = field(default=())

    def rest_on(self, readings: np.ndarray) -> bool:
        """Whether the limits were set from the first of these readings."""
        first = np.asarray(readings, float)[: self.points]
        return len(first) == self.points and _digest(first) == self.readings_sha256

    def to_dict(self) -> dict[str, Any]:
        """Plain data for a file of limits."""
        figures = {
            name: value.tolist() if hasattr(value, "tolist") else value
            for name, value in self.figures.items()
        }
        return {
            "schema_version": 1, "kind": self.kind, "version": self.version, "unit": self.unit,
            "points": self.points, "readings_sha256": self.readings_sha256, "source": self.source,
            "figures": figures, "earlier": [dict(one) for one in self.earlier],
        }  # fmt: skip


def limits_of(data: Mapping[str, Any], file: str) -> Limits:
    """Limits read back from the data of a file. Raises `InputErrors`."""
    kind, figures = str(data.get("kind")), data.get("figures")
    figures = figures if isinstance(figures, dict) else {}
    wanted = _KINDS[kind].figures if kind in _KINDS else ()
    version = data.get("version")
    problem = None
    if data.get("schema_version") != 1 or not wanted:
        accepted = "limits frozen by this program, schema_version 1"
        problem = Problem("form", "is no file of limits", file, None, "kind", accepted)
    elif not all(_is_number(figures.get(one)) for one in wanted):
        accepted = f"numbers: {', '.join(wanted)}"
        problem = Problem("value", "lacks figures", file, None, "figures", accepted)
    elif not isinstance(version, int) or version < 1:
        problem = Problem("value", "is no version", file, None, "version", "1, 2, ...")
    if problem is not None or not isinstance(version, int):
        raise InputErrors([problem] if problem else [])
    held = {
        name: np.asarray(figures[name], float)
        if isinstance(figures[name], list)
        else float(figures[name])
        for name in wanted
    }
    return Limits(
        kind, held, str(data.get("unit", "")), int(data.get("points", 0)),
        str(data.get("readings_sha256", "")), _KINDS[kind].source, version,
        tuple(data.get("earlier", ())),
    )  # fmt: skip


def refrozen(new: Limits, old: Limits) -> Limits:
    """The new limits as the version that follows the old ones."""
    if new.kind != old.kind or new.unit != old.unit:
        accepted = f"{old.kind} in {old.unit or 'no unit'}"
        raise ArgumentError("kind", f"{new.kind} in {new.unit or 'no unit'}", "", accepted)
    before = {key: value for key, value in old.to_dict().items() if key != "earlier"}
    return replace(new, version=old.version + 1, earlier=(*old.earlier, before))


def set_limits(
    kind: str,
    readings: np.ndarray,
    *,
    sizes: np.ndarray | None = None,
    unit: str = "",
    options: Options | None = None,
) -> Limits:
    """Limits from the readings of a first period.

    readings: a row each point where a point has several (xbar, t2), else one value a point.
    sizes: pieces or units looked at, for p, np and u.
    Raises `UnknownName` for the kind, `ArgumentError` for readings that give no limits.
    """
    if kind not in _KINDS:
        raise UnknownName("kind", kind, _KINDS)
    values = np.asarray(readings, float)
    rule = _KINDS[kind]
    if rule.several != (values.ndim == 2 and values.shape[1] > 1):
        accepted = "several readings a point" if rule.several else "one reading a point"
        raise ArgumentError("readings", "x".join(map(str, values.shape)), "", accepted)
    if len(values) < 3:
        raise ArgumentError("readings", f"{len(values)} points", "", "at least 3", "is too few")
    figures = rule.set(values, sizes, options or Options())
    return Limits(kind, figures, unit, len(values), _digest(values), rule.source)


Setter = Callable[[np.ndarray, "np.ndarray | None", Options], dict[str, Any]]


@dataclass(frozen=True)
class _Kind:
    """How a kind takes its figures."""

    set: Setter
    figures: tuple[str, ...]
    source: str
    several: bool = False


def _individuals(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    found = individuals_limits(readings=np.ravel(values))
    center = found.center if options.target is None else options.target
    sigma = found.sigma if options.sigma is None else options.sigma
    return {"center": center, "sigma": _some_spread(sigma)}


def _subgroups_r(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    n = values.shape[1]
    sigma = float(np.ptp(values, axis=1).mean() / control_chart_constants(n=float(n)).d2)
    return {"center": float(values.mean()), "sigma": _some_spread(sigma), "n": float(n)}


def _subgroups_s(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    n = values.shape[1]
    sigma = float(values.std(axis=1, ddof=1).mean() / control_chart_constants(n=float(n)).c4)
    return {"center": float(values.mean()), "sigma": _some_spread(sigma), "n": float(n)}


def _ewma(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    held = _individuals(values, None, options)
    return held | {"weight": options.weight, "width": options.width}


def _cusum(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    return _individuals(values, None, options) | {"k": options.k, "h": options.h}


def _share(values: np.ndarray, sizes: np.ndarray | None, _: Options) -> dict[str, Any]:
    counted, looked = _counted(values, sizes)
    if np.any(counted > looked):
        raise ArgumentError("readings", float(counted.max()), "", "at most as many as looked at")
    return {"center": float(counted.sum() / looked.sum())}


def _number(values: np.ndarray, sizes: np.ndarray | None, options: Options) -> dict[str, Any]:
    _, looked = _counted(values, sizes)
    if np.ptp(looked) > 0:
        accepted = "one sample size; a p chart takes several"
        raise ArgumentError("sizes", "several", "", accepted)
    return _share(values, sizes, options) | {"n": float(looked[0])}


def _rate(values: np.ndarray, sizes: np.ndarray | None, _: Options) -> dict[str, Any]:
    counted, looked = _counted(values, sizes)
    return {"center": float(counted.sum() / looked.sum())}


def _count(values: np.ndarray, sizes: np.ndarray | None, _: Options) -> dict[str, Any]:
    return {"center": float(_counted(values, np.ones(len(values)))[0].mean())}


def _t2(values: np.ndarray, _: np.ndarray | None, options: Options) -> dict[str, Any]:
    m, p = values.shape
    if m <= p + 1:
        raise ArgumentError("readings", f"{m} points", "", f"more than {p + 1} for {p} variables")
    return {"mean": values.mean(axis=0), "covariance": np.cov(values.T, ddof=1),
            "m": float(m), "alpha": options.alpha}  # fmt: skip


def _counted(values: np.ndarray, sizes: np.ndarray | None) -> tuple[np.ndarray, np.ndarray]:
    counted = np.ravel(values)
    if sizes is None:
        raise ArgumentError("sizes", "none", "", "pieces or units of each sample", "is needed")
    looked = np.broadcast_to(np.asarray(sizes, float), counted.shape)
    if np.any(counted < 0) or np.any(looked <= 0):
        raise ArgumentError("readings", float(counted.min()), "", "counts, and sizes above 0")
    return counted, looked


def _digest(values: np.ndarray) -> str:
    return hashlib.sha256(np.ascontiguousarray(values).tobytes()).hexdigest()


def _some_spread(sigma: float) -> float:
    if sigma <= 0.0:
        raise ArgumentError("readings", "no spread", "", "readings that differ")
    return float(sigma)


def _is_number(value: Any) -> bool:
    if isinstance(value, list):
        return bool(value) and all(_is_number(one) for one in value)
    return isinstance(value, (int, float)) and not isinstance(value, bool) and np.isfinite(value)


_TEXT = "D. C. Montgomery, Introduction to Statistical Quality Control, 7th ed."
_ISO = "ISO 7870-2"
_KINDS: dict[str, _Kind] = {
    "individuals": _Kind(_individuals, ("center", "sigma"), f"{_TEXT}, Sec. 6.4; {_ISO}"),
    "xbar-r": _Kind(
        _subgroups_r, ("center", "sigma", "n"), f"{_TEXT}, Sec. 6.2; {_ISO}", several=True
    ),
    "xbar-s": _Kind(
        _subgroups_s, ("center", "sigma", "n"), f"{_TEXT}, Sec. 6.3; {_ISO}", several=True
    ),
    "ewma": _Kind(_ewma, ("center", "sigma", "weight", "width"), f"{_TEXT}, Sec. 9.2; ISO 7870-6"),
    "cusum": _Kind(_cusum, ("center", "sigma", "k", "h"), f"{_TEXT}, Sec. 9.1; ISO 7870-4"),
    "p": _Kind(_share, ("center",), f"{_TEXT}, Sec. 7.2; {_ISO}"),
    "np": _Kind(_number, ("center", "n"), f"{_TEXT}, Sec. 7.2; {_ISO}"),
    "c": _Kind(_count, ("center",), f"{_TEXT}, Sec. 7.3; {_ISO}"),
    "u": _Kind(_rate, ("center",), f"{_TEXT}, Sec. 7.3; {_ISO}"),
    "t2": _Kind(
        _t2, ("mean", "covariance", "m", "alpha"), f"{_TEXT}, Sec. 11.3; ISO 7870-7", several=True
    ),
}
KINDS = tuple(_KINDS)
"""The kinds of chart."""
