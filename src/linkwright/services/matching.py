"""Which calculation a row means that names none.

Offers `fitting`, the calculations that accept every input of the row and give every value
that it expects, best first, and `lacking`, what one of them would need besides. Those that
lack a required argument are left out if another has all. The rest are ranked by the words
of the row (id, subject, source, note): how like they are to the words of the calculation
(name, summary, source, results), and how like to those of its most similar row of the
shipped book. Rare words count more than common ones.
Ties go to the calculation with the fewest arguments unused, then to the first by name.

The expected values themselves are never looked at, so a row cannot choose what agrees.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from linkwright.catalogue import Calculation
from linkwright.quantities import InputErrors, split
from linkwright.services.arguments import parameters
from linkwright.services.carried import prepared
from linkwright.services.columns import FILE, is_columns
from linkwright.services.naming import meaning, spelled, stems
from linkwright.services.rows import Row

_OWN_WORDS = 4.0
# The weight of a calculation's own words against those of its rows. Tried from 1 to 30 on the
# shipped book when it had 373 rows: up to 6 every row is found without its name; with the row
# itself left out of the book 21 are missed at 1, 12 at 4, and from 10 on rows that are in the
# book begin to be missed.
_WORD = re.compile(r"[a-z]+[0-9]*|[0-9]+")


def fitting(
    row: Row, catalogue: Iterable[Calculation], shipped: Sequence[Row]
) -> list[Calculation]:
    """The calculations that fit the row, best first.

    Those that lack a required argument are left out unless there is no other.
    """
    known = list(catalogue)
    candidates = [entry for entry in known if _fits(entry, row)]
    candidates = [entry for entry in candidates if not lacking(entry, row)] or candidates
    if len(candidates) < 2:
        return candidates
    weights = _weights((*map(_text_of_row, shipped), *map(_text_of_entry, known)))
    likeness = {entry.name: _likeness(row, entry, shipped, weights) for entry in candidates}

    def rank(entry: Calculation) -> tuple[float, int, str]:
        unused = len(entry.arguments) - len(row.inputs)
        return -likeness[entry.name], unused, entry.name

    return sorted(candidates, key=rank)


def _fits(entry: Calculation, row: Row) -> bool:
    """Whether the calculation, in the unit of the readings, takes and gives what the row has."""
    keys = [key for key in row.inputs if key != FILE]
    if any(not _may_mean(key, entry.arguments) for key in keys):
        return False
    try:
        view, given = prepared(entry, row.given())
    except InputErrors:
        return False
    return _accepts(view, given) and all(meaning(key, view.gives) for key in row.expect)


def _may_mean(key: str, names: tuple[str, ...]) -> bool:
    known = stems(names)
    return split(key)[0] in known or spelled(key, names) in names


def _accepts(entry: Calculation, given: Mapping[str, Any]) -> bool:
    known = parameters(entry)
    for key, value in given.items():
        found = meaning(key, entry.arguments)
        if found is None:
            return False
        first = value
        while isinstance(first, list) and first:
            first = first[0]
        if is_columns(value):
            continue
        takes = known[found.name]
        if isinstance(first, str) != bool(takes.takes & {"text", "texts"}) and (
            isinstance(first, str) or takes.is_text
        ):
            return False
    return True


def lacking(entry: Calculation, row: Row) -> set[str]:
    """The required arguments that the row does not give."""
    view, given = prepared(entry, row.given())
    found = {hit.name for key in given if (hit := meaning(key, view.arguments))}
    return set(view.required) - found


def _likeness(
    row: Row, entry: Calculation, shipped: Sequence[Row], weights: Mapping[str, float]
) -> float:
    wanted = _words(_text_of_row(row))
    of_rows = (
        _shared(wanted, _words(_text_of_row(other)), weights)
        for other in shipped
        if other.calculation == entry.name
    )
    own = _shared(wanted, _words(_text_of_entry(entry)), weights)
    return max(of_rows, default=0.0) + _OWN_WORDS * own


def _shared(one: frozenset[str], other: frozenset[str], weights: Mapping[str, float]) -> float:
    """How much of their words two texts share: 1 if they are the same, 0 if none is."""

    def size(words: frozenset[str]) -> float:
        # summed in one order, so that the last digit does not depend on the run
        return sum(weights.get(word, 0.0) for word in sorted(words))

    whole = math.sqrt(size(one) * size(other))
    return size(one & other) / whole if whole else 0.0


@lru_cache(maxsize=4)
def _weights(texts: tuple[str, ...]) -> dict[str, float]:
    """The weight of each word: the rarer among the texts, the more it tells."""
    counts = Counter(word for text in texts for word in _words(text))
    return {word: math.log(len(texts) / count) for word, count in counts.items()}


@lru_cache(maxsize=8192)
def _words(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(text.lower().replace("_", " ")))


def _text_of_row(row: Row) -> str:
    return f"{row.id} {row.subject} {row.source} {row.note}"


def _text_of_entry(entry: Calculation) -> str:
    return f"{entry.name} {entry.summary} {entry.source} {' '.join(entry.gives)}"
