"""Attribution: which change moved the chance from plan A to plan B.

- `attributed`: the difference shared out among changes that are taken over one at a time,
  averaged over the order given and its reverse
- `mean_moves`, `by_slopes`: the same without planning again, from the influence slopes of A

`attributed` averages two of the n! orders whose full average is the Shapley value: the
shares always add up to the whole difference, and for two changes it is that value.

References: L. S. Shapley, A value for n-person games, Contributions to the Theory of Games
II, Annals of Mathematics Studies 28 (1953) 307-317.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from scipy.special import ndtri

from linkwright.planning.chance import lot_chance
from linkwright.planning.comparison import (
    ALL,
    Change,
    chances_of,
    differ,
    factors_of,
    file_inputs,
    is_number,
    paired,
    settings_of,
)
from linkwright.route import Requirement

_NODES = 1024
_KINDS = (
    ("other moves of the means", ("mean",)),
    ("spread between lots", ("sd_between",)),
    ("spread within lots", ("sd_within",)),
    ("limits and pieces", ("least", "greatest", "pieces")),
)


def attributed(
    count: int, value_of: Callable[[tuple[int, ...]], Mapping[str, float] | None]
) -> list[dict[str, float]]:
    """Share of each of ``count`` changes in the difference from none taken to all taken.

    ``value_of(taken)`` gives the values with the changes ``taken`` (sorted) in place, or
    None where there is no such plan; a change that cannot stand alone shares its step with
    the one after it, in equal parts. The changes are taken over in their order and in the
    reverse; the two results are averaged. Raises `ValueError` if an end has no value.

    Example:
        >>> values = {(): 0.9, (0,): 0.8, (1,): 0.95, (0, 1): 0.87}
        >>> shares = attributed(2, lambda taken: {"all": values[taken]})
        >>> [round(share["all"], 3) for share in shares]
        [-0.09, 0.06]
    """
    planned = cache(value_of)
    shares: list[dict[str, float]] = [{} for _ in range(count)]
    for order in (range(count), range(count - 1, -1, -1)):
        last, taken, waiting = planned(()), list[int](), list[int]()
        for index in order:
            taken.append(index)
            waiting.append(index)
            now = planned(tuple(sorted(taken)))
            if now is None or last is None:
                continue
            for subject in now:
                part = 0.5 * (now[subject] - last[subject]) / len(waiting)
                for one in waiting:
                    shares[one][subject] = shares[one].get(subject, 0.0) + part
            last, waiting = now, []
        if waiting:
            raise ValueError("the plan with no change or with all changes has no value")
    return shares


class Source(NamedTuple):
    """A source of scatter as far as a slope needs it: its standard deviation, or its share."""

    sd: float
    relative: bool


class Moved(NamedTuple):
    """One change with its moves: of the mean of a quantity, or of a chance, by subject."""

    name: str
    a: Any
    b: Any
    moves: Mapping[str, float]


def mean_moves(
    a: Mapping[str, Any],
    b: Mapping[str, Any],
    sources: Mapping[str, Source],
    answers: Mapping[tuple[str, str], str],
) -> list[Moved]:
    """Moves of each requirement's mean by the changes that a slope of A belongs to.

    A slope of A says how a quantity moves with one standard deviation of a source, that is
    of the setting or input that scatters: move = slope (b - a) / sd, or slope (b / a - 1) /
    sd where sd is a share, or slope ln(b / a) / spread for the median of a factor.
    ``answers`` names the setting of a source where it is called otherwise.
    """
    slopes: dict[str, dict[str, float]] = {}
    for row in a["influence"]:
        for share in row["shares"]:
            slopes.setdefault(share["name"], {})[row["subject"]] = share["slope"]
    found, done = [], set[tuple[str, str]]()
    for name in sorted(slopes, key=lambda one: (not one.startswith(("heat", "lot")), one)):
        change, deviates = _deviates(name, a, b, sources, answers)
        if change is not None and (change.where, change.name) not in done:
            done.add((change.where, change.name))
            moves = {subject: slope * deviates for subject, slope in slopes[name].items()}
            found.append(Moved(f"{change.where} {change.name}", change.a, change.b, moves))
    return found


def _deviates(
    name: str,
    a: Mapping[str, Any],
    b: Mapping[str, Any],
    sources: Mapping[str, Source],
    answers: Mapping[tuple[str, str], str],
) -> tuple[Change | None, float]:
    """The change that a source stands for, and how many standard deviations it is."""
    if name.startswith("factor/"):
        medians = paired(factors_of(a), factors_of(b))
        row = next((row for row in medians if row[:2] == (name, "median")), None)
        spread = factors_of(a).get((name, "spread"), (0.0, ""))[0]
        if row is None or not differ(row[2], row[3]) or spread <= 0.0:
            return None, 0.0
        return Change(*row), math.log(row[3] / row[2]) / spread
    source = sources.get(name)
    if source is None or source.sd <= 0.0:
        return None, 0.0
    _, _, operation, quantity = name.split("/", 3)
    quantity = answers.get((operation, quantity), quantity)
    for table in (settings_of, file_inputs):
        for where, key, old, new, *_ in paired(table(a), table(b)):
            mine = where == operation or ("steel" in where and operation == "receiving")
            if key == quantity and mine and is_number(old) and is_number(new) and differ(old, new):
                step = new / old - 1.0 if source.relative else new - old
                return Change(where, key, old, new), step / source.sd
    return None, 0.0


def by_slopes(a: Mapping[str, Any], b: Mapping[str, Any], moved: Sequence[Moved]) -> list[Moved]:
    """Share the difference of the chances out among moves of the means, without planning.

    The lot means of a requirement are taken as normal about A's mean; each change moves the
    mean by its slope. What is left of the mean's move, the spreads, and the limits follow as
    changes of their own; the last row is what the normal law does not hold, so that the
    shares add up to the difference of the two documents.
    """
    parts_a = {part["subject"]: part for part in a["chance"]["parts"]}
    parts_b = {part["subject"]: part for part in b["chance"]["parts"]}
    both = [subject for subject in parts_a if subject in parts_b]

    def state(taken: tuple[int, ...]) -> dict[str, float]:
        parts = [_moved_part(parts_a[one], parts_b[one], moved, set(taken)) for one in both]
        chances = {part["subject"]: normal_chance(part) for part in parts}
        return {ALL: math.prod(chances.values()), **chances}

    names = [(one.name, one.a, one.b) for one in moved] + [(kind, None, None) for kind, _ in _KINDS]
    shares = attributed(len(names), state)
    rows = [Moved(*name, share) for name, share in zip(names, shares, strict=True)]
    whole = {one.subject: one.difference or 0.0 for one in chances_of(a["chance"], b["chance"])}
    rest = {key: whole[key] - sum(row.moves[key] for row in rows) for key in (ALL, *both)}
    return [*rows, Moved("beyond the normal law of the means", None, None, rest)]


def _moved_part(
    a: Mapping[str, Any], b: Mapping[str, Any], moved: Sequence[Moved], taken: set[int]
) -> dict[str, Any]:
    """A requirement of A with some moves of the mean, and some of what B has instead."""
    moves = [one.moves.get(a["subject"], 0.0) for one in moved]
    done = sum(move for index, move in enumerate(moves) if index in taken)
    part = dict(a)
    for offset, (_, keys) in enumerate(_KINDS):
        if len(moved) + offset in taken:
            part |= {key: b[key] for key in keys}
    other = b["mean"] - a["mean"] - sum(moves) if len(moved) in taken else 0.0
    return {**part, "mean": a["mean"] + done + other}


def normal_chance(part: Mapping[str, Any]) -> float:
    """Chance of a requirement whose lot means are normal, from a part of a plan's chance."""
    deviates = ndtri((np.arange(_NODES) + 0.5) / _NODES)
    need = Requirement(part["subject"], part["least"], part["greatest"], part["pieces"], "")
    means = part["mean"] + part["sd_between"] * deviates
    return float(lot_chance(means, part["sd_within"], need).mean())
