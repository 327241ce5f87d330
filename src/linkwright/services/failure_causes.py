"""Why pieces failed: a file of links in, ranked process variables and affected links out.

- `causes_of_file`: with the data alone, or joined with the sensitivities of a plan
- `CausesAnswer`, `Cause`: what comes out
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.planning.members import read_members
from linkwright.quality.causes import RankedCauses, rank_causes, slopes
from linkwright.quantities import ArgumentError, InputErrors, Problem, quantity, split
from linkwright.services.csv_file import Column, Table, read_csv
from linkwright.services.learning import place_of_line, plan_document
from linkwright.services.naming import into
from linkwright.services.plain import SCHEMA_VERSION, plain

_NO_PHYSICS = 1e100
"""Standard uncertainty of a slope of which the physics knows nothing."""
DOUBT = 0.3
"""Relative standard uncertainty of a plan's sensitivity (own assumption; an option)."""


@dataclass(frozen=True)
class Cause:
    """One process variable, in the unit of its column.

    share_percent: of the gap it explains. slope: joined; of_data with its uncertainty; of_physics
    None where the plan does not hold the variable. disagrees: data and physics differ by over two
    standard uncertainties.
    """

    variable: str
    unit: str
    contribution: float
    share_percent: float
    slope: float
    of_data: float | None
    of_data_u: float | None
    of_physics: float | None
    shift_of_s: float
    shift_p: float
    disagrees: bool


@dataclass(frozen=True)
class CausesAnswer:
    """Ranked causes, the failed links and those that the leading cause also touches."""

    result: str
    unit: str
    pieces: int
    failed: tuple[str, ...]
    affected: tuple[str, ...]
    gap: float
    unexplained_percent: float
    causes: tuple[Cause, ...]
    source: str

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        head = {key: value for key, value in vars(self).items() if key != "causes"}
        causes = [plain(vars(one))[0] for one in self.causes]
        return {"schema_version": SCHEMA_VERSION, **plain(head)[0], "causes": causes}


def causes_of_file(
    file: Path,
    result: str,
    *,
    least: str | None = None,
    greatest: str | None = None,
    ident: str | None = None,
    plan: Path | None = None,
    line: str | None = None,
    doubt: float = DOUBT,
) -> CausesAnswer:
    """Rank the other columns of a file of links by what they explain of failed results.

    A link failed if its result lies below ``least`` or above ``greatest``. ``ident`` is the column
    that names the link; without it links are named by the line of the file. With a plan, columns
    called after its results bring the sensitivity of the physics.
    Raises `InputErrors`, `ArgumentError`.
    """
    table = read_csv(file)
    of = table.column(result)
    source = file.name + ("" if plan is None else f"; sensitivities of the plan in {plan.name}")
    return causes_of_columns(
        of, _variables(table, of, ident, len(of.numbers())), _names(table, of, ident), source,
        least=least, greatest=greatest, plan=plan, line=line, doubt=doubt,
    )  # fmt: skip


def causes_of_columns(
    of: Column, columns: list[Column], names: list[str], source: str, *, least: str | None = None,
    greatest: str | None = None, plan: Path | None = None, line: str | None = None,
    doubt: float = DOUBT,
) -> CausesAnswer:  # fmt: skip
    """The same of columns that come from elsewhere; ``names``: of the pieces, in their order."""
    y = np.array(of.numbers())
    failed = _failed(y, of, least, greatest)
    x = np.array([column.numbers() for column in columns]).T
    physics = None if plan is None else _physics(plan, line, of, columns)
    known = {} if physics is None else {
        "sensitivities": np.nan_to_num(physics, nan=0.0),
        "sensitivities_u": np.where(np.isnan(physics), _NO_PHYSICS,
                                    np.maximum(doubt * np.abs(physics), 1e-300)),
    }  # fmt: skip
    found = rank_causes(variables=x, result=y, failed=failed.astype(float), **known)
    return CausesAnswer(
        of.name, of.unit, y.size, tuple(names[at] for at in np.flatnonzero(failed)),
        tuple(names[at - 1] for at in found.affected), found.gap, found.unexplained_percent,
        tuple(_cause(found, columns, at - 1, physics) for at in found.ranking), source,
    )  # fmt: skip


def _failed(y: np.ndarray, of: Column, least: str | None, greatest: str | None) -> np.ndarray:
    if least is None and greatest is None:
        raise ArgumentError("least", "none", "", "a least or greatest value", "is needed")
    name = f"{of.name}_{of.unit}" if of.unit else of.name
    low = -np.inf if least is None else quantity(least, name)
    high = np.inf if greatest is None else quantity(greatest, name)
    return np.asarray((y < low) | (y > high))


def _variables(table: Table, of: Column, ident: str | None, count: int) -> list[Column]:
    """The other columns of numbers, as long as the results."""
    named = None if ident is None else table.column(ident)
    found = [
        one
        for one in table.columns
        if one not in (of, named) and one.are_numbers() and len(one.cells) == count
    ]
    if not found:
        text = f"has no column of {count} numbers beside {of.head}"
        raise InputErrors([Problem("no-column", text, table.file)])
    return found


def _names(table: Table, of: Column, ident: str | None) -> list[str]:
    if ident is None:
        return [f"line {line}" for line in of.lines]
    texts = table.column(ident).texts()
    return [texts[at] if at < len(texts) else f"line {line}" for at, line in enumerate(of.lines)]


def _physics(plan: Path, line: str | None, of: Column, columns: list[Column]) -> np.ndarray:
    """Slope of the plan's result over the variables that it holds, by its members; else nan."""
    place = place_of_line(plan_document(plan), line, plan)
    members, kinds = read_members(
        plan / ("members.parquet" if place == 0 else f"members-{place + 1}.parquet")
    )
    results = {name: values for name, values in members.items() if kinds[name] == "result"}
    aim = _called(of, results)
    if aim is None:
        near = ", ".join(name for name in results if of.name.split("_")[0] in name)
        text = "is no result of the plan"
        raise InputErrors([Problem("no-column", text, of.file, None, of.head, near or None)])
    held = [_called(column, results) for column in columns]
    slope = np.full(len(columns), np.nan)
    at = [place for place, name in enumerate(held) if name is not None]
    if at:
        table = np.column_stack([results[str(held[place])].ravel() for place in at])
        found, error = slopes(table, results[aim].ravel())
        for place, value, u in zip(at, found, error, strict=True):
            if np.isfinite(u) and value != 0.0:
                over = _size(str(held[place]), columns[place].unit)
                slope[place] = value / _size(aim, of.unit) * over
    return slope


def _called(column: Column, results: Mapping[str, Any]) -> str | None:
    """The plan's result that a column is called after, with a unit of its kind or none."""
    found = [name for name in results if split(name)[0] == column.name]
    return found[0] if found and bool(split(found[0])[1]) == bool(column.unit) else None


def _size(name: str, unit: str) -> float:
    """How many units of ``name`` one ``unit`` is, as a difference."""
    return float(into(1.0, unit, name) - into(0.0, unit, name)) if unit else 1.0


def _cause(
    found: RankedCauses, columns: list[Column], at: int, physics: np.ndarray | None
) -> Cause:
    told = bool(np.isfinite(found.slope_of_data_u[at]))
    of_physics = None if physics is None or np.isnan(physics[at]) else float(physics[at])
    return Cause(
        columns[at].name, columns[at].unit, float(found.contribution[at]),
        float(found.share_percent[at]), float(found.slope[at]),
        float(found.slope_of_data[at]) if told else None,
        float(found.slope_of_data_u[at]) if told else None, of_physics,
        float(found.shift_of_s[at]), float(found.shift_p[at]),
        of_physics is not None and at + 1 in found.physics_disagrees,
    )  # fmt: skip
