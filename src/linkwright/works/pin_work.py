"""How the pins of roller chain are made, as an order line or a part drawing says it.

`PinWork` the words, `one_of_each` their contradictions.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from pydantic import Field

from linkwright.works.table import Contradiction

PinWork = Literal["sawing", "shearing", "stop-off paste", "end annealing", "rivets", "cotters"]
PAIRS = (("sawing", "shearing"), ("stop-off paste", "end annealing"), ("rivets", "cotters"))
_DRILLED = ("end annealing", "cotters")


def pin_work_field() -> Any:
    """The key ``pin_work``: at most one word of each pair."""
    return Field(
        None, min_length=1, max_length=len(PAIRS),
        description="how pins of roller chain are made: sawing or shearing; stop-off paste or end "
        "annealing; rivets or cotters",
        examples=[["shearing", "cotters"]],
    )  # fmt: skip


def one_of_each(words: object) -> Iterator[Contradiction]:
    """Words that exclude each other, or that stand twice."""
    said = [word for word in words if isinstance(word, str)] if isinstance(words, list) else []
    for pair in (*PAIRS, _DRILLED):
        both = " and ".join(pair)
        if set(pair) <= set(said):
            yield Contradiction(("pin_work",), f"{both} exclude each other", " or ".join(pair))
    if len(set(said)) != len(said):
        yield Contradiction(("pin_work",), "says a word twice", "each word once")
