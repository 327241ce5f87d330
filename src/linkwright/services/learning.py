"""Learning the planner's factors from tests: plan and tests in, a new version of factors out.

- `learn_from_tests`: reads the members of a planned line and a file of readings
- `LearningAnswer`: what was learned, and the factors as text for the works file
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from linkwright.planning.members import read_members
from linkwright.quality.learning import LEAST_LOTS, Learned, Reading, learn
from linkwright.quantities import InputErrors, Problem, significant, split
from linkwright.services.csv_file import Table, read_csv
from linkwright.services.naming import into
from linkwright.services.plain import SCHEMA_VERSION, plain
from linkwright.services.written_file import refuse_existing, write_file

_LARGEST = 200_000_000


@dataclass(frozen=True)
class NewFactor:
    """A factor before and after the tests; spread is the standard deviation of its logarithm."""

    name: str
    median: float
    spread: float
    new_median: float
    new_spread: float
    moved: bool


@dataclass(frozen=True)
class LearningAnswer:
    """What the tests taught; ``enough`` and ``believable`` as in `Learned`."""

    line: str
    readings: int
    lots: int
    learned: Learned
    factors: tuple[NewFactor, ...]
    learned_from: str
    files: tuple[Path, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader has to know before using the factors."""
        notes = []
        if not self.learned.enough:
            carried = significant(self.learned.effective_lots, 3)
            notes.append(
                f"{carried} lots carry the weight, fewer than {LEAST_LOTS}: put these factors "
                "into the works file, plan again and learn from the same tests with that plan"
            )
        if not self.learned.believable:
            notes.append(
                "the plan held tests as far off as these for all but impossible "
                f"(chance {significant(self.learned.surprise, 2)}): look for a wrong unit, another "
                "steel or another setting before learning from them"
            )
        return tuple(notes)

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION, "line": self.line, "readings": self.readings,
            "lots": self.lots, "effective_lots": self.learned.effective_lots,
            "surprise": self.learned.surprise, "notes": list(self.notes),
            "expected": [plain(vars(one))[0] for one in self.learned.expected],
            "factors": [dict(vars(one)) for one in self.factors],
            "files": [str(path) for path in self.files],
        }  # fmt: skip

    def toml(self, versions: Mapping[str, int]) -> str:
        """The factors that moved, as tables of the works file."""
        parts = [
            f'[[factor]]\nname         = "{one.name}"\nmedian       = {one.new_median:.5g}\n'
            f"spread       = {one.new_spread:.4g}\n"
            f"learned_from = {json.dumps(self.learned_from)}\n"
            f"version      = {versions.get(one.name, 0) + 1}\n"
            for one in self.factors
            if one.moved
        ]
        return "\n".join(parts)


def learn_from_tests(
    plan: Path,
    tests: Path,
    *,
    line: str | None = None,
    out: Path | None = None,
    force: bool = False,
) -> LearningAnswer:
    """Weigh the lots of a planned line by the readings of a file.

    plan: folder of a plan. tests: CSV with a column ``lot`` and one a result, called as in
    members.parquet, in any unit of its kind; empty cells are no reading; ``NAME_u`` or a column
    ``u`` holds the standard uncertainty of the gauge.
    Raises `InputErrors`, `UnknownName`, `ArgumentError`, `FileInUse`.
    """
    if out is not None:
        refuse_existing(out, force=force, read=(tests,))
    document = plan_document(plan)
    place = place_of_line(document, line, plan)
    name = "members.parquet" if place == 0 else f"members-{place + 1}.parquet"
    columns, kinds = read_members(plan / name)
    results = {key: column for key, column in columns.items() if kinds[key] == "result"}
    factors = {key: col[:, 0] for key, col in columns.items() if kinds[key] == "factor"}
    table = read_csv(tests)
    readings = _readings(table, tuple(results))
    learned = learn(factors, results, readings)
    lots = len({one.lot for one in readings})
    planned = document["lines"][place]
    before = {one["name"]: one for one in planned["factors"]}
    made = tuple(
        _new(one.name, before[one.name], one.mean, one.sd, moved=one.moved)
        for one in learned.factors
        if one.name in before
    )
    said = f"{len(readings)} readings of {lots} lots in {tests.name}"
    answer = LearningAnswer(str(planned["id"]), len(readings), lots, learned, made, said)
    if out is None:
        return answer
    versions = {name: _version(str(one["source"]), plan, name) for name, one in before.items()}
    written = write_file(out, answer.toml(versions))
    return replace(answer, files=(written,))


def plan_document(plan: Path) -> dict[str, Any]:
    """plan.json of a folder. Raises `InputErrors`."""
    path = plan / "plan.json"
    if not path.is_file() or path.stat().st_size > _LARGEST:
        accepted = "a folder that linkwright plan wrote"
        raise InputErrors([Problem("file", "holds no plan.json", str(plan), accepted=accepted)])
    try:
        document = json.loads(path.read_text("utf-8"))
        lines = document["lines"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputErrors([Problem("syntax", "is no plan", str(path))]) from None
    if not isinstance(lines, list) or not lines:
        raise InputErrors([Problem("form", "plans no line", str(path))])
    return dict(document)


def place_of_line(document: Mapping[str, Any], line: str | None, plan: Path) -> int:
    """Which of the plan's lines is meant; the only one if none is named."""
    names = [str(one.get("id", index + 1)) for index, one in enumerate(document["lines"])]
    if line is None and len(names) == 1:
        return 0
    if line not in names:
        text = "which line?" if line is None else f"there is no line {line[:40]}"
        problem = Problem("no-line", text, str(plan), None, "line", ", ".join(names))
        raise InputErrors([problem])
    return names.index(line)


def _readings(table: Table, results: tuple[str, ...]) -> list[Reading]:
    lots = table.column("lot").texts()
    readings: list[Reading] = []
    for column in table.columns:
        if column.name in ("lot", "u") or column.name.endswith("_u"):
            continue
        name = next((one for one in results if split(one)[0] == column.name), None)
        if name is None or bool(split(name)[1]) != bool(column.unit):
            known = ", ".join(one for one in results if column.name.split("_")[0] in one) or "..."
            text = "is no result of the plan, or has no unit in its head"
            raise InputErrors([Problem("no-column", text, table.file, None, column.head, known)])
        gauge = next((one for one in table.columns if one.name == f"{column.name}_u"), None)
        for place, (line, text) in enumerate(column.cells):
            if not text:
                continue
            if place >= len(lots) or not lots[place]:
                raise InputErrors([Problem("missing-key", "has no lot", table.file, line, "lot")])
            value = float(into(column.number(place), column.unit, name))
            u = 0.0
            if gauge is not None and place < len(gauge.cells) and gauge.cells[place][1]:
                wide = float(into(gauge.number(place), gauge.unit or column.unit, name))
                u = abs(wide - float(into(0.0, gauge.unit or column.unit, name)))
            readings.append(Reading(lots[place], name, value, u))
    if not readings:
        accepted = "a column called after a result of the plan, such as breaking_force_kN"
        raise InputErrors([Problem("no-rows", "holds no reading", table.file, accepted=accepted)])
    return readings


def _new(name: str, before: Mapping[str, Any], mean: float, sd: float, *, moved: bool) -> NewFactor:
    median, spread = float(before["median"]), float(before["spread"])
    if not moved:
        return NewFactor(name, median, spread, median, spread, False)
    return NewFactor(name, median, spread, median * math.exp(spread * mean), spread * sd, True)


def _version(source: str, plan: Path, name: str) -> int:
    """The version that the works file of the plan holds of a factor; 0 if it is a default."""
    import tomllib  # noqa: PLC0415

    path = plan / "works.toml"
    if "works" not in source or not path.is_file():
        return 0
    for one in tomllib.loads(path.read_text("utf-8")).get("factor", []):
        if one.get("name") == name:
            return int(one.get("version", 1))
    return 0
