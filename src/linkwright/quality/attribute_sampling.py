"""Lots accepted by counting: code letters, plans and switching of ISO 2859-1.

Offers `sampling_code_letters`, `code_letter_sample_size`, `attribute_sampling_plan`,
`attribute_sampling_of_lot` and `sampling_switching_rule`. Tables stand in
``data/attribute_sampling.toml``.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

_SOURCE = "ISO 2859-1:1999 / ANSI/ASQ Z1.4"
_LAST_NORMAL = "R"


class CodeLetters(NamedTuple):
    """Results of `sampling_code_letters`."""

    level_I: list[str] | str
    level_II: list[str] | str
    level_III: list[str] | str
    level_S_1: list[str] | str
    level_S_2: list[str] | str
    level_S_3: list[str] | str
    level_S_4: list[str] | str


class Plan(NamedTuple):
    """Results of `attribute_sampling_plan` and `attribute_sampling_of_lot`."""

    n: int
    accept: int
    reject: int
    letter_used: str


@lru_cache(maxsize=1)
def sampling_tables() -> dict[str, Any]:
    """The tables as they lie in the file."""
    text = (
        files("linkwright.quality").joinpath("data", "attribute_sampling.toml").read_text("utf-8")
    )
    return tomllib.loads(text)


@calculation(
    source=f"{_SOURCE}, Table 1 (code letters by lot size and inspection level)",
    needs={"lot_size": (2.0, None)},
    basis="memory",
)
def sampling_code_letters(
    *, lot_size: Values, lot_size_upper_bounds: Values | None = None
) -> CodeLetters:
    """Code letter of the sample size for each inspection level.

    Args:
        lot_size: Pieces in the lot, from 2; one or several.
        lot_size_upper_bounds: Bounds of the ranges if not those of the standard; 14 of them.

    Returns:
        A letter for the general levels I to III and the special levels S-1 to S-4.

    References:
        ISO 2859-1:1999, Table 1 (remembered).
    """
    tables = sampling_tables()
    bounds = np.asarray(
        tables["upper_bounds"] if lot_size_upper_bounds is None else lot_size_upper_bounds, float
    )
    if bounds.shape != (14,) or np.any(np.diff(bounds) <= 0):
        accepted = "14 bounds that rise"
        raise ArgumentError("lot_size_upper_bounds", f"{bounds.size} values", "", accepted)
    place = np.searchsorted(bounds, np.asarray(lot_size, float))
    levels = tables["levels"].values()
    if np.ndim(place) == 0:
        return CodeLetters(*(level[int(place)] for level in levels))
    return CodeLetters(*([level[int(one)] for one in np.ravel(place)] for level in levels))


@calculation(
    source=f"{_SOURCE}, Table 2-A (single-sample size by code letter)", basis="memory", gives="n"
)
def code_letter_sample_size(*, letter: str) -> int:
    """Sample size of single sampling, normal and tightened inspection, of a code letter.

    Args:
        letter: A to S without I and O (S only under tightened inspection).

    References:
        ISO 2859-1:1999, Table 2-A (remembered).

    Example:
        >>> code_letter_sample_size(letter="K")
        125
    """
    return int(sampling_tables()["sizes"][_place(letter)])


@calculation(
    source=f"{_SOURCE}, Tables 2-A (normal) and 2-B (tightened), single sampling by AQL",
    needs={"aql_percent": POSITIVE},
    basis="memory",
)
def attribute_sampling_plan(*, letter: str, aql_percent: float, inspection: str = "normal") -> Plan:
    """Single sampling plan of a code letter and an AQL, arrows of the table followed.

    Args:
        letter: Code letter. aql_percent: One of the listed 0.010 to 1000; above 10 it counts
            nonconformities per 100 pieces.
        inspection: ``normal`` or ``tightened``. Reduced inspection is not held: its table was
            not at hand.

    Returns:
        Sample size, acceptance and rejection number, and the letter whose plan it is. A lot
        smaller than the sample is looked at whole.

    Raises:
        UnknownName: letter or inspection. ArgumentError: an AQL that is not listed.

    References:
        ISO 2859-1:1999, Tables 2-A and 2-B (remembered; built by their diagonals).
    """
    tables = sampling_tables()
    if inspection not in tables["acceptance"]:
        raise UnknownName("inspection", inspection, tables["acceptance"])
    place, row = _aql_place(aql_percent), _place(letter)
    numbers = {int(key): value for key, value in tables["acceptance"][inspection].items()}
    held = [one for one in range(_last(inspection) + 1) if _cell(numbers, one, place) is not None]
    # just below acceptance number 0 normal inspection has an arrow up, tightened has one down
    up = inspection == "normal" and row + place == min(numbers) + 1
    used = _followed(row, held, up=up)
    accept = _cell(numbers, used, place)
    if accept is None:  # an arrow never ends at an arrow
        raise ArgumentError("aql_percent", aql_percent, "%", "a pair the table holds")
    return Plan(int(tables["sizes"][used]), accept, accept + 1, tables["letters"][used])


@calculation(
    source=f"{_SOURCE}, Tables 1, 2-A and 2-B (lot size to plan)",
    needs={"lot_size": (2.0, None), "aql_percent": POSITIVE},
    basis="memory",
)
def attribute_sampling_of_lot(
    *, lot_size: float, aql_percent: float, level: str = "II", inspection: str = "normal"
) -> Plan:
    """Single sampling plan of a lot: code letter of its size and level, then the plan.

    Args:
        lot_size: Pieces. aql_percent: Listed AQL. level: I, II, III, S-1 to S-4.
        inspection: ``normal`` or ``tightened``.

    Returns:
        Plan; a sample that would exceed the lot is the whole lot.

    References:
        ISO 2859-1:1999, Tables 1, 2-A, 2-B (remembered).
    """
    levels = sampling_tables()["levels"]
    if level not in levels:
        raise UnknownName("level", level, levels)
    letters = sampling_code_letters(lot_size=lot_size)
    letter = str(getattr(letters, "level_" + level.replace("-", "_")))
    plan = attribute_sampling_plan(letter=letter, aql_percent=aql_percent, inspection=inspection)
    return plan._replace(n=min(plan.n, int(lot_size)))


@calculation(
    source=f"{_SOURCE}, clause 9 (switching between normal and tightened inspection)",
    basis="memory",
    gives="lots",
)
def sampling_switching_rule(*, rule: str) -> list[int]:
    """Lots that switch the inspection, as a pair: so many of so many in a row.

    Normal to tightened when 2 of 5 (or fewer) lots in a row are not accepted; tightened to normal
    after 5 of 5 accepted; stop when 5 lots in all are not accepted on tightened (0: in any run).

    Args:
        rule: ``normal to tightened``, ``tightened to normal`` or ``stop on tightened``.

    References:
        ISO 2859-1:1999, 9.3 and 9.4 (remembered).
    """
    rules = sampling_tables()["switching"]
    if rule not in rules:
        raise UnknownName("rule", rule, rules)
    return list(rules[rule])


def _place(letter: str) -> int:
    letters = sampling_tables()["letters"]
    wanted = letter.strip().upper()
    if wanted not in letters:
        raise UnknownName("letter", letter, letters)
    return int(letters.index(wanted))


def _aql_place(aql_percent: float) -> int:
    listed = sampling_tables()["aql_percent"]
    found = [at for at, one in enumerate(listed) if abs(one - aql_percent) <= 1e-6 * one]
    if not found:
        near = ", ".join(f"{one:g}" for one in listed)
        raise ArgumentError("aql_percent", aql_percent, "%", near, "is not listed")
    return found[0]


def _last(inspection: str) -> int:
    """The last letter of the table: S is in that of tightened inspection only."""
    return _place(_LAST_NORMAL) + (inspection == "tightened")


def _cell(numbers: dict[int, int], row: int, place: int) -> int | None:
    """Acceptance number where the table has one."""
    found = numbers.get(row + place)
    two_largest = sorted(numbers)[-2:]
    last = _place(sampling_tables()["last_letter_of_the_two_largest"]["letter"])
    return None if row + place in two_largest and row > last else found


def _followed(row: int, held: list[int], *, up: bool) -> int:
    """Where the arrow of a cell leads: to the plan above it, else to the next below."""
    if row in held or not held:
        return row
    above = [one for one in held if one < row]
    below = [one for one in held if one > row]
    return above[-1] if not below or (above and up) else below[0]
