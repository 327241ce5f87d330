"""Compare two plans, and say which change moved the chance.

`compare_plans` reads two plan.json (or plan folders) and gives a `PlanComparison`. Where the
order and works files of both are at hand the line is planned again with single changes taken
over from B to A; else A's influence slopes are used. Files are at hand if they are named, lie
in the plan's folder, or are those of the demo; they count only if their content is that which
the plan was made from.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from linkwright.planning.attribution import Moved, Source, attributed, by_slopes, mean_moves
from linkwright.planning.comparison import (
    ALL,
    ChanceChange,
    Change,
    Comparison,
    LineComparison,
    compared,
)
from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan, InputErrors, LinkwrightError, Problem
from linkwright.services.planning import plan_order
from linkwright.services.taking_over import State, differences, grouped
from linkwright.works import Order, Works, demo_order, demo_works, read_order, read_works

__all__ = [
    "PLANS",
    "SLOPES",
    "Attribution",
    "ChanceChange",
    "Change",
    "Comparison",
    "Files",
    "LineComparison",
    "Moved",
    "PlanComparison",
    "compare_plans",
    "read_plan",
]

SCHEMA_VERSION = 1
PLANS, SLOPES = "plans", "slopes"
"""The two ways to share a difference out."""
_MOST_BYTES = 64_000_000
_ROUNDING = 1e-9
_ANSWERS = {
    ("drawing", "drawn_wire_diameter_mm"): "die_diameter_mm",
    ("welding", "current_kA"): "secondary_current_kA",
    ("welding", "weld_diameter_mm"): "trimming_diameter_mm",
}
"""Settings that are called otherwise than the scatter about them."""
F = TypeVar("F", Order, Works)


@dataclass(frozen=True)
class Attribution:
    """What each change did to the chances of a line. way: `PLANS` or `SLOPES`."""

    way: str
    method: str
    plans: int
    changes: tuple[Moved, ...]

    def to_dict(self) -> dict[str, Any]:
        """As data."""
        rows = [
            {"name": one.name, "a": one.a, "b": one.b, "moves": dict(one.moves)}
            for one in self.changes
        ]
        return {"way": self.way, "method": self.method, "plans": self.plans, "changes": rows}


@dataclass(frozen=True)
class PlanComparison:
    """Two plans compared, with the attribution of each line's chance."""

    comparison: Comparison
    attributions: Mapping[str, Attribution]
    a: Mapping[str, Any]
    b: Mapping[str, Any]

    def to_dict(self) -> dict[str, Any]:
        """The whole comparison as data, keys in fixed order."""
        one = self.comparison
        return {
            "schema_version": SCHEMA_VERSION,
            "a": _head(self.a),
            "b": _head(self.b),
            "hashes": _rows(one.hashes),
            "members": _rows(one.members),
            "only_in_a": list(one.only_a),
            "only_in_b": list(one.only_b),
            "lines": [self._line(line) for line in one.lines],
        }

    def _line(self, line: LineComparison) -> dict[str, Any]:
        return {
            "id": line.id,
            "verdict": {"a": line.verdict_a, "b": line.verdict_b},
            "inputs": _rows(line.inputs),
            "factors": _rows(line.factors),
            "settings": _rows(line.settings),
            "findings": _rows(line.findings),
            "chances": [one.to_dict() for one in line.chances],
            "totals": _rows(line.totals),
            "attribution": self.attributions[line.id].to_dict(),
        }


@dataclass(frozen=True)
class Files:
    """The order and works file of a plan by name; None where none is named."""

    order: str | None = None
    works: str | None = None


def compare_plans(
    a: str,
    b: str,
    *,
    files_a: Files | None = None,
    files_b: Files | None = None,
    way: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> PlanComparison:
    """Compare plan A with plan B; a name is that of a plan.json or of a plan's folder.

    ``way`` asks for `PLANS` or `SLOPES`; by default plans are made where the files allow it.
    ``progress`` is told how many of how many plans of a line are made. Raises `InputErrors`
    for a file that is no plan or not the one a plan was made from, `CannotPlan` if plans are
    asked for and the files are not at hand.
    """
    plans = read_plan(a), read_plan(b)
    one = _Found.of(plans[0], a, files_a or Files())
    other = _Found.of(plans[1], b, files_b or Files())
    comparison = compared(*plans)
    missing = _missing((one, other))
    if way == PLANS and missing:
        raise CannotPlan(f"the lines cannot be planned again: {missing}")
    again = way != SLOPES and not missing
    attributions = {
        line.id: _planned_again(line, one, other, progress)
        if again
        else _slopes(line.id, one, other, missing)
        for line in comparison.lines
    }
    return PlanComparison(comparison, attributions, *plans)


@dataclass(frozen=True)
class _Found:
    """A plan with the files that it was made from, as far as they are at hand."""

    plan: Mapping[str, Any]
    order: Order | None
    works: Works | None

    @classmethod
    def of(cls, plan: Mapping[str, Any], name: str, files: Files) -> _Found:
        folder = Path(name) if Path(name).is_dir() else Path(name).parent
        hashes = plan["hashes"]
        return cls(
            plan,
            _at_hand(files.order, folder / "order.toml", read_order, demo_order, hashes["order"]),
            _at_hand(files.works, folder / "works.toml", read_works, demo_works, hashes["works"]),
        )

    def line(self, ident: str) -> Mapping[str, Any]:
        """The line of the plan's document."""
        return next(line for line in self.plan["lines"] if line["id"] == ident)

    def state(self, ident: str) -> State:
        """What the line was planned from."""
        if self.order is None or self.works is None:
            raise CannotPlan("the files of the plan are not at hand")
        members = self.plan["members"]
        ensemble = Ensemble(members["lots"], members["links"] // 2, self.plan["seed"])
        return State(self.order.line(ident), self.works, ensemble)


def read_plan(name: str) -> Mapping[str, Any]:
    """The document of a plan.json, or of the one in a folder. Raises `InputErrors`."""
    path = Path(name)
    path = path / "plan.json" if path.is_dir() else path
    problem = Problem("plan", "is not a plan of this program", file=str(path), accepted="plan.json")
    with path.open("rb") as stream:
        raw = stream.read(_MOST_BYTES + 1)
    try:
        document = json.loads(raw.decode("utf-8")) if len(raw) <= _MOST_BYTES else None
    except (ValueError, RecursionError):
        raise InputErrors([problem]) from None
    needed = ("hashes", "program", "members", "seed", "order", "lines")
    if not isinstance(document, dict) or not all(key in document for key in needed):
        raise InputErrors([problem])
    return document


def _at_hand(
    named: str | None,
    beside: Path,
    read: Callable[[Path], F],
    demo: Callable[[], F],
    content: str,
) -> F | None:
    """The file that a plan was made from: named, beside the plan, or the demo's own."""
    if named is not None:
        own = read(Path(named))
        _refuse_other(named, own.content_hash(), content)
        return own
    found = [demo()]
    if beside.is_file():
        with contextlib.suppress(InputErrors):  # a file that nobody named need not be good
            found.append(read(beside))
    return next((one for one in found if one.content_hash() == content), None)


def _refuse_other(name: str, given: str, content: str) -> None:
    if given != content:
        message = "is not the file that the plan was made from"
        accepted = f"a file whose content has the hash {content[:12]}..., as plan.json says"
        raise InputErrors([Problem("other-file", message, file=name, accepted=accepted)])


def _missing(found: Sequence[_Found]) -> str:
    """Why the lines cannot be planned again, in words; empty if they can."""
    if any("lot" in one.plan for one in found):
        return "a plan that starts from a lot is not planned again here"
    lost = [
        f"the {what} of {plan}"
        for plan, one in zip("AB", found, strict=True)
        for what, file in (("order", one.order), ("works", one.works))
        if file is None
    ]
    return f"not at hand: {', '.join(lost)}" if lost else ""


def _planned_again(
    line: LineComparison,
    a: _Found,
    b: _Found,
    progress: Callable[[int, int], None] | None,
) -> Attribution:
    """Plan with single changes taken over, in the order of the files and in the reverse."""
    start = a.state(line.id)
    changes = grouped(differences(start, b.state(line.id)))
    if not changes:
        return Attribution(PLANS, "nothing in the files differs", 0, _closed(line, []))
    every = tuple(range(len(changes)))
    made: list[tuple[int, ...]] = []
    refused: list[str] = []

    def value_of(taken: tuple[int, ...]) -> Mapping[str, float] | None:
        state = start
        for index in taken:
            state = changes[index].made(state)
        made.append(taken)
        if progress is not None:
            progress(len(made), 2 * len(changes))
        try:
            return _chances_of(state, a.order)
        except LinkwrightError as error:
            if taken in ((), every):
                raise
            refused.append(str(error))
            return None

    shares = attributed(len(changes), value_of)
    rows = [
        Moved(f"{one.where} {one.name}" if one.name not in one.where else one.where,
              one.a, one.b, share)
        for one, share in zip(changes, shares, strict=True)
    ]  # fmt: skip
    return Attribution(PLANS, _method(len(made), refused), len(made), _closed(line, rows))


def _method(plans: int, refused: Sequence[str]) -> str:
    method = (
        f"planned again {plans} times with single changes taken over from B to A, in the order "
        f"of the files and in the reverse, and averaged"
    )
    if not refused:
        return method
    return (
        f"{method}; {len(refused)} of these plans cannot be made ({refused[0]}): there the "
        f"change shares its step in equal parts with the next one"
    )


def _closed(line: LineComparison, rows: list[Moved]) -> tuple[Moved, ...]:
    """The rows, and one more for what the documents differ by beyond them."""
    whole = {one.subject: one.difference for one in line.chances if one.difference is not None}
    rest = {
        subject: value - sum(row.moves.get(subject, 0.0) for row in rows)
        for subject, value in whole.items()
    }
    if any(abs(value) > _ROUNDING for value in rest.values()):
        rows = [*rows, Moved("program and tables", None, None, rest)]
    return tuple(rows)


def _chances_of(state: State, order: Order | None) -> dict[str, float]:
    if order is None:
        raise CannotPlan("the order of the plan is not at hand")
    own = replace(order, lines=(state.line,))
    plan = plan_order(own, state.works, ensemble=state.ensemble).lines[0].plan
    parts = {part.requirement.subject: part.chance for part in plan.chance.parts}
    return {ALL: plan.chance.chance, **parts}


def _slopes(ident: str, a: _Found, b: _Found, missing: str) -> Attribution:
    """Share the difference out by the influence slopes of A."""
    old, new = a.line(ident), b.line(ident)
    sources = _sources(old)
    moved = mean_moves(old, new, sources, _ANSWERS)
    method = (
        "by the influence slopes of A (first order, lot means taken as normal, requirements as "
        "independent); settings and inputs without a source of scatter of their own stand under "
        "other moves"
    )
    if not sources:
        method += "; the spreads of A's sources are not at hand, so only factors have slopes"
    if missing:
        method += f"; not planned again: {missing}"
    return Attribution(SLOPES, method, 0, tuple(by_slopes(old, new, moved)))


def _sources(line: Mapping[str, Any]) -> dict[str, Source]:
    """Standard deviations of A's sources of scatter, as its plan gives them."""
    return {row["name"]: Source(row["sd"], row["relative"]) for row in line.get("scatter", ())}


def _head(plan: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "order": plan["order"]["number"],
        "works": plan["works"]["name"],
        "seed": plan["seed"],
        "hashes": dict(plan["hashes"]),
    }


def _rows(changes: Sequence[Change]) -> list[dict[str, Any]]:
    return [one.to_dict() for one in changes]
