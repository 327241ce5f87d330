"""What acts need from other rooms, given by whoever opens the books.

The books keep what was judged and made; how evidence is judged, how a certificate is drawn up and
signed, is not theirs. Without a means the act that needs it refuses.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from linkwright.records.errors import CannotRecord

Judge = Callable[[list[dict[str, Any]]], list[dict[str, Any]]]
"""From value, uncertainty and limits of each requirement to its verdict with the guard band."""


@dataclass(frozen=True)
class Made:
    """A certificate as it was made: canonical data, their SHA-256, and the signed paper."""

    data: bytes
    fingerprint: str
    paper: bytes


Maker = Callable[[dict[str, Any]], Made]
"""From the facts of a released lot to its certificate."""
Lister = Callable[[int, list[dict[str, Any]]], bytes]
"""From a number and the withdrawn certificates to a signed list."""


def _no_judge(_: list[dict[str, Any]]) -> list[dict[str, Any]]:
    raise CannotRecord("the books were opened without a judge of evidence")


def _no_maker(_: dict[str, Any]) -> Made:
    raise CannotRecord("a certificate is signed by the works' key; give the key")


def _no_lister(_: int, __: list[dict[str, Any]]) -> bytes:
    raise CannotRecord("a list of withdrawals is signed by the works' key; give the key")


@dataclass(frozen=True)
class Means:
    """The three means."""

    judge: Judge = _no_judge
    maker: Maker = _no_maker
    lister: Lister = _no_lister


NO_MEANS = Means()
"""Books that are only read and written."""
