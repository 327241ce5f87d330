"""The law that lifting chain is put on the market under, as dated data beside this reader.

Offers `law_in_force`, `caution` and `proposed`: the text that the works reads, mends and confirms.
A program gives no advice in law.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from linkwright.documents.certificates.content import Declaration, Goods

OTHER = "other"
"""Key of a law that is not in the table: the works gives title and texts itself."""


@dataclass(frozen=True)
class Law:
    """One row of the table; ``until``: the last day, None where there is none yet."""

    key: str
    title: str
    name: str
    begins: date
    until: date | None
    text: str
    marking: str
    source: str
    basis: str

    def holds_on(self, day: date) -> bool:
        """Whether it is in force on a day."""
        return self.begins <= day and (self.until is None or day <= self.until)


def laws() -> tuple[Law, ...]:
    """All rows."""
    return tuple(
        Law(row["key"], row["title"], row["name"], row["from"], row.get("until"), row["text"],
            row["marking"], row["source"], row["basis"])
        for row in _content()["law"]
    )  # fmt: skip


def caution() -> str:
    """The caution that stands with every text of this table."""
    return str(_content()["caution"])


def law_in_force(day: date) -> Law | None:
    """The law of the table for a day; None before its first row."""
    return next((law for law in laws() if law.holds_on(day)), None)


def proposed(goods: Goods, keeper: str, day: date) -> Declaration | None:
    """Declaration and marking for lifting chain as a draft; nobody has confirmed it yet.

    keeper: who keeps the technical file, with address.
    """
    law = law_in_force(day)
    if law is None:
        return None
    said = {"standard": goods.standard, "keeper": keeper, "marking": goods.marking}
    return Declaration(
        law.key, f"{law.name}: {law.title}", law.text.format(**said), law.marking.format(**said)
    )


@cache
def _content() -> dict[str, Any]:
    place = files("linkwright.documents.certificates").joinpath("data", "laws.toml")
    return tomllib.loads(place.read_text("utf-8"))
