"""A calculation in the unit of the readings that it is given.

A statistic takes readings in any unit (`Calculation.carries`). Offers `prepared`: the calculation
with that unit in its names, and a file that is given taken apart into its columns, so that
everything else at the doors goes its usual way: ``failures_h=[...]`` makes ``failures``
``failures_h`` and the result ``scale`` ``scale_h``, and ``censored_min=[...]`` beside it is
converted to hours.
"""

from __future__ import annotations

import inspect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkwright.catalogue import Calculation
from linkwright.quantities import UNITS, split
from linkwright.services.columns import spread_file, unit_of_columns
from linkwright.services.naming import meaning, spelled
from linkwright.services.reading import unit_in


@dataclass(frozen=True)
class _Named:
    """Results under the names of the unit."""

    values: dict[str, Any]

    def _asdict(self) -> dict[str, Any]:
        return self.values


def prepared(entry: Calculation, given: Mapping[str, Any]) -> tuple[Calculation, Mapping[str, Any]]:
    """The calculation in the unit of the readings, and columns in place of a file."""
    given = spread_file(given, entry.arguments, entry.required, _means)
    unit = next(filter(None, (_unit(entry, *pair) for pair in given.items())), "")
    return (_in_unit(entry, unit) if unit else entry), given


def _means(key: str, names: Sequence[str]) -> str | None:
    """The one of ``names`` that a head is called after, whatever its unit."""
    found = meaning(key, names) or meaning(split(key)[0], names)
    return found.name if found else None


def _unit(entry: Calculation, key: str, value: Any) -> str:
    """The unit in which a reading is given; "" if it has none, or is not one of the readings."""
    names = (*entry.arguments, *entry.gives)
    if spelled(key, names) in names:
        if key not in entry.carries:
            return ""
        return unit_of_columns(value) or unit_in(value)
    stem, unit = split(key)
    return unit if stem in entry.carries else ""


def _in_unit(entry: Calculation, unit: str) -> Calculation:
    new = {name: f"{name}_{unit}" for name in entry.carries}
    if f"per_{unit.removesuffix('s')}" in UNITS:
        new |= {name: f"{name}_per_{unit.removesuffix('s')}" for name in entry.per}
    if f"per_{unit}" in UNITS:
        new |= {name: f"{name}_per_{unit}" for name in entry.per}
    old = {renamed: name for name, renamed in new.items()}

    def called(**arguments: Any) -> _Named:
        found = entry.call({old.get(name, name): value for name, value in arguments.items()})
        return _Named({new.get(name, name): value for name, value in found.items()})

    signature = inspect.signature(entry.function, eval_str=True)
    parameters = [
        one.replace(name=new.get(name, name)) for name, one in signature.parameters.items()
    ]
    called.__signature__ = signature.replace(parameters=parameters)  # type: ignore[attr-defined]
    called.__doc__ = entry.function.__doc__
    return replace(
        entry,
        function=called,
        gives=tuple(new.get(name, name) for name in entry.gives),
        arguments=tuple(new.get(name, name) for name in entry.arguments),
        required=tuple(new.get(name, name) for name in entry.required),
        needs={new.get(name, name): bounds for name, bounds in entry.needs.items()},
        valid={new.get(name, name): bounds for name, bounds in entry.valid.items()},
        carries=(),
        per=(),
    )
