"""What a plan advises, in words, from its data: for the terminal, the paper and an error.

- `nearest_rows`, `advice`, `change_words`: the nearest thing that would work
- `trial_rows`: the trial worth making
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.quantities import split, value_text
from linkwright.quantities.unit_systems import shown_in

NOTHING = "no single change of steel, setting or machine makes it work"
_MOST_TRIALS, _LEAST_NARROWING = 3, 0.001


def nearest_rows(nearest: Mapping[str, Any] | None, units: str | None) -> list[tuple[str, str]]:
    """What fails and by how much, then each change that would work with its new values."""
    if nearest is None:
        return []
    rows = [("why not", nearest["reason"])] if nearest["reason"] else []
    rows += [(_subject(one), f"{_value(one, units)}, {_miss(one, units)} ({one['source']})")
             for one in nearest["failing"]]  # fmt: skip
    rows += [("works: " + change_words(one, units), _effect(one, units))
             for one in nearest["works"]]  # fmt: skip
    if not nearest["works"]:
        closest = nearest["closest"]
        rest = ""
        if closest is not None:
            left = "; ".join(f"{_subject(f)} {_value(f, units)}" for f in closest["failing"])
            rest = f"; nearest to it: {change_words(closest, units)}, which leaves {left}"
        rows.append(("nothing found", f"{NOTHING} ({nearest['plans']} plans tried){rest}"))
    return rows


def advice(nearest: Mapping[str, Any]) -> str:
    """The same as part of an error's sentence."""
    if not nearest["works"]:
        return NOTHING
    told = [f"{change_words(one, None)} ({_effect(one, None)})" for one in nearest["works"]]
    return "nearest that would work: " + ", or ".join(told)


def trial_rows(trials: Mapping[str, Any] | None) -> list[tuple[str, str]]:
    """The doubt of the chance now, and the tests that narrow it most."""
    if trials is None or trials["sd"] == 0.0:
        return []
    pieces = trials["usual_pieces"]
    now = f"{chance_text(trials['least'])} to {chance_text(trials['greatest'])}"
    rows = [("before tests of the works' own", f"model doubt unreduced: the chance lies within "
             f"{now} (5 % and 95 % of that doubt)")]  # fmt: skip
    for one in trials["factors"][:_MOST_TRIALS]:
        if one["narrowing"] <= _LEAST_NARROWING * trials["sd"]:
            continue
        left = next(row["sd"] for row in one["pieces"] if row["pieces"] == pieces)
        rows.append((
            one["trial"],
            f"{pieces} pieces narrow {now} to {chance_text(one['least'])} to "
            f"{chance_text(one['greatest'])} if they come out as expected; standard deviation "
            f"{100 * trials['sd']:.1f} to {100 * left:.1f} points",
        ))  # fmt: skip
    return rows


def chance_text(share: float) -> str:
    """A chance as per cent; never a rounded 100 that is none."""
    percent = 100.0 * share
    if 99.95 <= percent < 100.0:
        return "more than 99.9 %"
    return f"{percent:.1f} %"


def change_words(change: Mapping[str, Any], units: str | None) -> str:
    """A change as an instruction."""
    key, a, b = change["key"], change["from"], change["to"]
    if change["kind"] in ("steel", "rod size"):
        return f"{change['kind']}: '{b}'" + (f" instead of '{a}'" if a else "")
    if change["kind"] == "machine":
        return f"{key} on '{b}' instead of '{a}'"
    operation, _, name = key.partition(".")
    words = f"{operation} {split(name)[0].replace('_', ' ')}"
    if b is None:
        return f"{words} left to the works"
    return f"{words} {_number(name, a, units)} to {_number(name, b, units)}"


def _effect(change: Mapping[str, Any], units: str | None) -> str:
    told = [f"{_subject(one)} {_value(one, units)}, {one['verdict']}" for one in change["findings"]]
    return "; ".join(told) or "a plan with no finding outside its limits"


def _subject(one: Mapping[str, Any]) -> str:
    return f"{one['operation']}: {split(one['subject'])[0].replace('_', ' ')}"


def _value(one: Mapping[str, Any], units: str | None) -> str:
    return _number(one["subject"], one["value"], units)


def _miss(one: Mapping[str, Any], units: str | None) -> str:
    below = one["least"] is not None and one["value"] < one["least"]
    limit = one["least"] if below else one["greatest"]
    word = "at least" if below else "at most"
    # a difference of temperatures is no temperature, so it is told in the plan's own unit
    miss = value_text(one["short_by"], "K" if one["unit"] == "degC" else one["unit"])
    return f"{word} {_number(one['subject'], limit, units)}, missed by {miss}"


def _number(name: str, value: float, units: str | None) -> str:
    shown, unit = shown_in(units, name, value)
    return value_text(shown, unit)
