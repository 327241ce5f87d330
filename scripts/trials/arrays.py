"""Trial: every calculation of the book over arrays, and in other units, against single calls.

The inputs of a row are moved by a few per cent, and those of its sibling rows are put beside
them: what an array of them gives must be what each gives alone. Then each input is handed
over in another unit of its kind. What a single call refuses (a size that a table does not
list) is left out. No published value is needed here: it is the door that is tried.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from measured import Figure

from linkwright.catalogue import Calculation
from linkwright.quantities import UNITS, LinkwrightError, kind_of, split, units_of
from linkwright.services.calculations import Answer, evaluate, find_calculation
from linkwright.services.naming import into
from linkwright.services.rows import Row, shipped_rows
from trials.outcome import Counts, Outcome

FACTORS = (1.0, 1.01, 0.99, 1.02, 0.97)
MOST_SIBLINGS = 12
TARGET, UNIT_TARGET = 1e-9, 1e-9
_MIXED = object()


@dataclass
class Drill:
    """What was tried so far."""

    counts: Counter[str] = field(default_factory=Counter)
    worst: dict[str, tuple[float, str]] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)

    def note(self, what: str, deviation: float, where: str) -> None:
        """One compared number."""
        self.counts[what] += 1
        if deviation >= self.worst.get(what, (0.0, ""))[0]:
            self.worst[what] = (deviation, where)


def run(counts: Counts, _: Path) -> Outcome:
    """Arrays against single calls, other units against the row's own, for every row."""
    rows = [row for row in shipped_rows() if row.calculation][: counts.rows or None]
    drill = Drill()
    for row in rows:
        entry = find_calculation(str(row.calculation))
        siblings = [one for one in rows if one.calculation == row.calculation and one is not row]
        _arrays(drill, entry, row, siblings[:MOST_SIBLINGS])
        _lists(drill, entry, row)
        _other_units(drill, entry, row)
    deviations = {what: drill.worst.get(what, (0.0, "nothing compared")) for what in
                  ("array", "list", "unit")}  # fmt: skip
    figures = (
        Figure("rows", len(rows)),
        Figure("calculations", len({row.calculation for row in rows})),
        Figure("numbers of arrays compared with single calls", drill.counts["array"], least=1),
        Figure("greatest relative deviation", deviations["array"][0], greatest=TARGET,
               remark=deviations["array"][1]),
        Figure("numbers of the rows' own lists compared with single calls", drill.counts["list"]),
        Figure("greatest relative deviation of these", deviations["list"][0], greatest=TARGET,
               remark=deviations["list"][1]),
        Figure("lists that are one thing (a history, a series), not compared",
               drill.counts["whole"]),
        Figure("arrays refused although each element is taken", len(drill.refused), greatest=0),
        Figure("numbers compared after a change of unit", drill.counts["unit"], least=1),
        Figure("greatest relative deviation by another unit", deviations["unit"][0],
               greatest=UNIT_TARGET, remark=deviations["unit"][1]),
        Figure("changes of unit refused", drill.counts["unit refused"]),
    )  # fmt: skip
    told = tuple(f"Refused: {name}: {why}" for name, why in list(drill.refused.items())[:12])
    return Outcome(figures, remarks=told)


def _arrays(drill: Drill, entry: Calculation, row: Row, siblings: Sequence[Row]) -> None:
    """The row moved and its siblings, as one array and one by one."""
    if any(isinstance(value, list) for value in row.inputs.values()):
        return
    free = [key for key, value in row.inputs.items() if _number(value)]
    elements: list[tuple[Mapping[str, Any], Answer]] = []
    for inputs in _neighbours(row, free, siblings):
        answer = _alone(entry, inputs)
        if answer is not None:
            elements.append((inputs, answer))
    if not free or len(elements) < 2:
        return
    together = {
        key: [inputs[key] for inputs, _ in elements] if key in free else value
        for key, value in row.inputs.items()
    }
    try:
        whole = evaluate(entry, together)
    except LinkwrightError as error:
        drill.refused[entry.name] = str(error)[:160]
        return
    _compare(drill, "array", row.id, whole, [answer for _, answer in elements])


def _neighbours(
    row: Row, free: Sequence[str], siblings: Sequence[Row]
) -> Iterator[Mapping[str, Any]]:
    for factor in FACTORS:
        yield {k: v * factor if k in free else v for k, v in row.inputs.items()}
    for one in siblings:
        same = one.inputs.keys() == row.inputs.keys() and all(
            _number(one.inputs[key]) if key in free else one.inputs[key] == value
            for key, value in row.inputs.items()
        )
        if same:
            yield one.inputs


def _lists(drill: Drill, entry: Calculation, row: Row) -> None:
    """A row that holds lists, element by element."""
    lengths = {len(value) for value in row.inputs.values() if isinstance(value, list)}
    if len(lengths) != 1:
        drill.counts["whole"] += len(lengths) > 1
        return
    singles = [
        _alone(entry, {k: v[i] if isinstance(v, list) else v for k, v in row.inputs.items()})
        for i in range(lengths.pop())
    ]
    whole = _alone(entry, row.inputs)
    known = [answer for answer in singles if answer is not None]
    shaped = whole is not None and all(np.shape(v) == (len(known),) for v in whole.results.values())
    if whole is None or len(known) < len(singles) or not shaped:
        drill.counts["whole"] += 1
        return
    _compare(drill, "list", row.id, whole, known)


def _other_units(drill: Drill, entry: Calculation, row: Row) -> None:
    """Every number of the row in another unit of its kind."""
    own = _alone(entry, row.inputs)
    changed = dict(_changed(row.inputs))
    if own is None or changed.keys() == row.inputs.keys():
        return
    answer = _alone(entry, changed)
    if answer is None:
        drill.counts["unit refused"] += 1
        return
    for name, value in own.results.items():
        _note(drill, "unit", f"{row.id}, {name}", answer.results[name], value)


def _changed(inputs: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    for key, value in inputs.items():
        stem, unit = split(key)
        others = [one for one in units_of(UNITS[unit].kind) if one != unit] if unit else []
        if isinstance(value, str) or not others or kind_of(key).startswith("hardness"):
            yield key, value
        else:
            # the last of its kind: mostly an inch unit, whose ratio is no power of ten
            other = f"{stem}_{others[-1]}"
            yield other, into(value, unit, other)


def _alone(entry: Calculation, inputs: Mapping[str, Any]) -> Answer | None:
    try:
        return evaluate(entry, inputs)
    except LinkwrightError:
        return None


def _compare(drill: Drill, what: str, ident: str, whole: Answer, singles: list[Answer]) -> None:
    for name, value in whole.results.items():
        for index, answer in enumerate(singles):
            element = _element(value, index, len(singles), np.shape(answer.results[name]))
            if element is _MIXED:
                drill.counts["whole"] += index == 0
            else:
                _note(drill, what, f"{ident}, {name}", element, answer.results[name])


def _element(value: Any, index: int, count: int, single: tuple[int, ...]) -> Any:
    """The part of an array's result that belongs to one element."""
    if isinstance(value, (list, tuple)) and len(value) == count:
        return value[index]
    shape = np.shape(value)
    if shape == single:
        return value
    if shape == (count, *single):
        return value[index]
    return np.asarray(value)[..., index] if shape == (*single, count) else _MIXED


def _note(drill: Drill, what: str, where: str, one: Any, other: Any) -> None:
    first, second = np.asarray(one), np.asarray(other)
    if first.dtype.kind not in "fiu" or second.dtype.kind not in "fiu":
        drill.note(what, 0.0 if np.array_equal(first, second) else float("inf"), where)
        return
    first, second = first.astype(float), second.astype(float)
    scale = np.maximum(np.maximum(np.abs(first), np.abs(second)), 1e-300)
    same = (first == second) | (np.isnan(first) & np.isnan(second))
    with np.errstate(invalid="ignore"):
        deviation = np.where(same, 0.0, np.abs(first - second) / scale)
    worst = float(np.max(deviation, initial=0.0))
    drill.note(what, worst if np.isfinite(worst) else float("inf"), where)


def _number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
