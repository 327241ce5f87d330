"""What a lot must show before it may be released, and on how many pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Requirement:
    """One requirement on a lot.

    subject: name of the finding, with unit. pieces: how many links must all meet it.
    source: the clause. how: the test in words.
    """

    subject: str
    least: Any
    greatest: Any
    pieces: Any
    source: str
    how: str = ""
