"""plan.json: a plan as plain data, in fixed order, with no time, path or host in it.

The same inputs give the same bytes on one machine. Keys are documented in docs/json.md;
numbers keep full precision, a number that is not finite becomes null.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from linkwright.catalogue import Derivation, Entry
from linkwright.planning.chance import Chance, LotChance
from linkwright.planning.influence import Influence
from linkwright.planning.plan import LinePlan
from linkwright.planning.trial_worth import USUAL, Trial, TrialsWorth
from linkwright.quantities import split
from linkwright.route import Factor, Finding, Scatter, Setting, SetUp, Step, Stock, place_names

SCHEMA_VERSION = 1
_SHOWN_SHARES = 12


def number(value: Any) -> float | None:
    """A plain finite float, or None."""
    if value is None:
        return None
    plain = float(np.asarray(value).reshape(-1)[0]) if np.ndim(value) else float(value)
    return plain if math.isfinite(plain) else None


def line_document(plan: LinePlan) -> dict[str, Any]:
    """One line of the order as plain data."""
    names = place_names(plan.steps)
    return {
        "verdict": plan.verdict,
        "rounds": plan.settled.rounds,
        "chance": _chance(plan.chance),
        "factors": [_factor(factor) for factor in plan.members.factors.values()],
        "trials": _trials(plan.trials),
        "scatter": [_scatter(source) for source in plan.members.scatter.values()],
        "influence": [_influence(key, value) for key, value in plan.influences.items()],
        "steps": [
            step_document(key, names[key], step, plan.settled.set_ups[key])
            for key, step in plan.steps.items()
        ],
        "derivation": _derivation(plan.derivation, _named_entries(plan)),
    }


def _named_entries(plan: LinePlan) -> set[str]:
    named: set[str] = set()
    for key, step in plan.steps.items():
        numbers: list[Any] = [setting.value for setting in plan.settled.set_ups[key].settings]
        for found in step.findings:
            numbers += [found.value, found.least, found.greatest]
        numbers += step.use.values()
        named |= {number.entry for number in numbers if getattr(number, "entry", None)}
    return named


def _chance(chance: LotChance) -> dict[str, Any]:
    return {
        "value": chance.chance,
        "error": chance.error,
        "at_factors": chance.at_factors,
        "parts": [_part(part) for part in chance.parts],
    }


def _part(part: Chance) -> dict[str, Any]:
    need = part.requirement
    return {
        "subject": need.subject,
        "unit": split(need.subject)[1],
        "least": number(need.least),
        "greatest": number(need.greatest),
        "pieces": number(need.pieces),
        "how": need.how,
        "source": need.source,
        "chance": part.chance,
        "error": part.error,
        "at_factors": part.at_factors,
        "mean": part.mean,
        "sd_between": part.sd_between,
        "sd_within": part.sd_within,
    }


def _factor(factor: Factor) -> dict[str, Any]:
    return {
        "name": factor.name,
        "median": factor.median,
        "spread": factor.spread,
        "source": factor.source,
        "trial": factor.trial,
    }


def _trials(worth: TrialsWorth | None) -> dict[str, Any] | None:
    if worth is None:
        return None
    now = worth.now
    return {
        "sd": now.sd,
        "least": now.least,
        "greatest": now.greatest,
        "usual_pieces": USUAL,
        "factors": [_trial(one) for one in worth.trials],
    }


def _trial(one: Trial) -> dict[str, Any]:
    return {
        "name": one.factor.name,
        "trial": one.factor.trial,
        "finding": one.finding,
        "narrowing": one.narrowing,
        "least": one.least,
        "greatest": one.greatest,
        "pieces": [asdict(after) for after in one.afterwards],
    }


def _scatter(source: Scatter) -> dict[str, Any]:
    return {
        "name": source.name,
        "sd": source.sd,
        "relative": source.relative,
        "source": source.source,
    }


def _influence(subject: str, influence: Influence) -> dict[str, Any]:
    shares = [
        {"name": name, "share": share, "slope": slope}
        for name, share, slope in influence.shares[:_SHOWN_SHARES]
    ]
    return {"subject": subject, "explained": influence.explained, "shares": shares}


def place_of(step: Mapping[str, Any]) -> str:
    """What the place of a step of a plan document is called; unique in its line."""
    return str(step.get("place") or step["operation"])


def step_document(
    key: str, place: str, step: Step, set_up: SetUp, *, curves: bool = True
) -> dict[str, Any]:
    """One step as plain data; curves that a function makes take their time."""
    branch, operation = key.split("/", 1)
    return {
        "operation": operation,
        "branch": branch,
        "place": place,
        "feeds": list(set_up.prepared.get("feeds", ())),
        "machine": set_up.prepared.get("machine", ""),
        "settings": [_setting(setting) for setting in set_up.settings],
        "card": list(set_up.card),
        "findings": [_finding(found) for found in step.findings],
        "stock": _stock(step.stock),
        "use": {name: number(value) for name, value in step.use.items()},
        "use_entries": {name: getattr(value, "entry", None) for name, value in step.use.items()},
        "cautions": [{"danger": c.danger, "guard": c.guard} for c in step.cautions],
        "curves": _curves(step.curves) if curves else {},
    }


def _setting(setting: Setting) -> dict[str, Any]:
    return {
        "name": setting.name,
        "value": None if isinstance(setting.value, str) else number(setting.value),
        "text": setting.value if isinstance(setting.value, str) else None,
        "unit": split(setting.name)[1],
        "how": setting.how,
        "aim": setting.aim,
        "low": number(setting.low),
        "high": number(setting.high),
        "tolerance": number(setting.tolerance),
        "check": setting.check,
        "own": setting.own,
        "entry": setting.entry,
    }


def _finding(found: Finding) -> dict[str, Any]:
    return {
        "subject": found.subject,
        "value": number(found.value),
        "unit": split(found.subject)[1],
        "least": number(found.least),
        "greatest": number(found.greatest),
        "verdict": found.verdict,
        "source": found.source,
        "note": found.note,
        "entry": found.entry,
        "least_entry": getattr(found.least, "entry", None),
        "greatest_entry": getattr(found.greatest, "entry", None),
    }


def _stock(stock: Stock) -> dict[str, Any]:
    return {
        "form": stock.form,
        "steel": stock.steel,
        "shape": _numbers(stock.shape),
        "condition": _numbers(stock.condition),
        "amount": _numbers(stock.amount),
        "measured": sorted(stock.measured),
    }


def _numbers(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _field(value) for name, value in values.items()}


def _field(value: Any) -> Any:
    """A number; what varies over the section of a link as lists of its places."""
    if np.ndim(value) == 0:
        return number(value)
    return [_field(part) for part in np.asarray(value)]


def _curves(curves: Mapping[str, Any]) -> dict[str, Any]:
    """Curves by name; those that a function makes stand beside the others."""
    made: dict[str, Any] = {}
    for name, values in curves.items():
        if callable(values):
            made |= {inner: _curve(value) for inner, value in values().items()}
        else:
            made[name] = _curve(values)
    return made


def _curve(values: Any) -> Any:
    if isinstance(values, str):
        return values
    if np.ndim(values) == 0:
        return number(values)
    return [number(value) for value in np.asarray(values, dtype=float).ravel()]


def _derivation(book: Derivation, named: set[str]) -> list[dict[str, Any]]:
    """Every entry that a setting, finding or use rests on, in the order of its making."""
    kept: set[str] = set()
    waiting = sorted(named & set(book.entries))
    while waiting:
        ident = waiting.pop()
        if ident not in kept:
            kept.add(ident)
            waiting.extend(reference for _, reference in book.entries[ident].inputs)
    return [_entry(entry) for ident, entry in book.entries.items() if ident in kept]


def _entry(entry: Entry) -> dict[str, Any]:
    value = entry.value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        value = number(value)
    return {
        "id": entry.id,
        "name": entry.name,
        "value": value,
        "unit": entry.unit,
        "kind": entry.kind,
        "source": entry.source,
        "basis": entry.basis,
        "inputs": [list(pair) for pair in entry.inputs],
        "warnings": list(entry.warnings),
    }
