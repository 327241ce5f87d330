"""What a benchmark or a trial hands on: one figure with its unit and what it is held against.

- `Figure`: name, value, unit, the greatest or least value aimed at, a remark
- `best_and_median`: shortest and middle time of several runs
- `table`: figures as aligned text
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Figure:
    """One measured figure; ``greatest`` or ``least`` is the target, if there is one.

    A value of None says that it could not be measured; the remark says why.
    """

    name: str
    value: float | None
    unit: str = ""
    greatest: float | None = None
    least: float | None = None
    remark: str = ""

    @property
    def verdict(self) -> str:
        """``met``, ``missed``, ``not measured``, or nothing where there is no target."""
        if self.greatest is None and self.least is None:
            return "not measured" if self.value is None else ""
        if self.value is None:
            return "not measured"
        low = self.least is None or self.value >= self.least
        return "met" if low and (self.greatest is None or self.value <= self.greatest) else "missed"

    @property
    def target(self) -> str:
        """The target in words."""
        parts = [
            f"{word} {shown(bound)}"
            for word, bound in (("at least", self.least), ("at most", self.greatest))
            if bound is not None
        ]
        return " ".join([", ".join(parts), self.unit]).strip() if parts else ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the verdict is computed, not stored."""
        return asdict(self)

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Figure:
        """The figure that `to_dict` gave."""
        return cls(**data)


def shown(value: float | None) -> str:
    """A number with four digits, whole numbers whole.

    >>> shown(0.6272412), shown(1024), shown(6.2e-15), shown(None)
    ('0.6272', '1024', '6.2e-15', '–')
    """
    if value is None:
        return "–"
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e9 else f"{value:.4g}"


def best_and_median(work: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Shortest and middle wall time in seconds."""
    spans = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        spans.append(time.perf_counter() - begun)
    return min(spans), statistics.median(spans)


def table(figures: Iterable[Figure]) -> str:
    """Figures as text in columns: name, value, unit, target, verdict, remark."""
    rows = [
        (one.name, shown(one.value), one.unit, one.target, one.verdict, one.remark)
        for one in figures
    ]
    widths = [max((len(row[column]) for row in rows), default=0) for column in range(5)]
    return "\n".join(
        "  ".join(
            [
                row[0].ljust(widths[0]),
                row[1].rjust(widths[1]),
                *(row[column].ljust(widths[column]) for column in (2, 3, 4)),
                row[5],
            ]
        ).rstrip()
        for row in rows
    )
