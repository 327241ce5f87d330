"""An expected value beside an obtained one: deviation, what is allowed, and the verdict.

Offers `Compared` and `compare`. Numbers agree if |obtained - expected| is at most
atol + rtol |expected|, element by element, plus the rounding of the computer; texts and
truth values agree if they are equal. Without rtol and atol numbers have to be equal too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.services.plain import plain

AGREES, DIFFERS, OPEN = "agrees", "differs", "open"
"""The verdicts."""
ROUNDING = 1e-12
"""Relative size of the rounding of unit conversions, allowed on top of every tolerance."""


@dataclass(frozen=True)
class Compared:
    """One expected value of a row and what came out.

    ``deviation`` and ``allowed`` belong to the element that comes nearest to its limit or
    exceeds it most; they are relative (``measure``) to the expected value, or in its unit.
    """

    quantity: str
    expected: Any
    obtained: Any
    deviation: float | None
    allowed: float | None
    measure: str
    verdict: str
    worst: int | None = None
    reason: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        data, reasons = plain(vars(self))
        if not self.reason:
            data["reason"] = "; ".join(reasons.values())
        return data


def compare(
    quantity: str, expected: Any, obtained: Any, rtol: float | None, atol: float | None
) -> Compared:
    """Hold ``obtained`` against ``expected``, both in the unit of ``quantity``."""
    if obtained is None:
        reason = "no value for these inputs"
        return Compared(quantity, expected, None, None, None, "equal", DIFFERS, reason=reason)
    wanted = _numbers(expected)
    given = _numbers(obtained)
    if wanted is None or given is None:
        verdict = AGREES if _same(expected, obtained) else DIFFERS
        return Compared(quantity, expected, obtained, None, None, "equal", verdict)
    if wanted.shape != given.shape and wanted.size != 1 and given.size != 1:
        reason = f"{_counted(wanted)} expected, {_counted(given)} obtained"
        return Compared(quantity, expected, obtained, None, None, "equal", DIFFERS, reason=reason)
    wanted, given = np.broadcast_arrays(wanted, given)
    return _compared(quantity, expected, obtained, (wanted.ravel(), given.ravel()), (rtol, atol))


def _compared(
    quantity: str,
    expected: Any,
    obtained: Any,
    values: tuple[np.ndarray, np.ndarray],
    tolerances: tuple[float | None, float | None],
) -> Compared:
    wanted, given = values
    rtol, atol = tolerances
    allowed = (atol or 0.0) + (rtol or 0.0) * np.abs(wanted)
    rounding = ROUNDING * np.abs(wanted).max()
    with np.errstate(invalid="ignore", over="ignore"):
        deviation = np.abs(given - wanted)
    excess = np.where(np.isfinite(deviation), deviation - allowed, np.inf)
    worst = int(np.argmax(excess / np.maximum(allowed, np.maximum(rounding, 1e-300))))
    relative = rtol is not None and not atol and wanted[worst] != 0
    scale = abs(float(wanted[worst])) if relative else 1.0
    return Compared(
        quantity=quantity,
        expected=expected,
        obtained=obtained,
        deviation=float(deviation[worst]) / scale,
        allowed=float(allowed[worst]) / scale,
        measure="relative" if relative else "absolute",
        verdict=AGREES if bool(np.all(excess <= rounding)) else DIFFERS,
        worst=worst if wanted.size > 1 else None,
    )


def _numbers(value: Any) -> np.ndarray | None:
    """The value as an array of floats; None if it holds a text, a truth value or is ragged."""
    if isinstance(value, (bool, str)):
        return None
    try:
        array = np.asarray(value)
    except ValueError:
        return None
    return array.astype(float) if array.dtype.kind in "fiu" and array.size else None


def _same(expected: Any, obtained: Any) -> bool:
    if hasattr(obtained, "tolist"):
        obtained = obtained.tolist()
    if isinstance(expected, list):
        return (
            isinstance(obtained, (list, tuple))
            and len(obtained) == len(expected)
            and all(_same(one, other) for one, other in zip(expected, obtained, strict=True))
        )
    if isinstance(expected, bool) or isinstance(obtained, bool):
        return expected is obtained
    return bool(expected == obtained)


def _counted(array: np.ndarray) -> str:
    return "one value" if array.ndim == 0 else f"{' x '.join(map(str, array.shape))} values"
