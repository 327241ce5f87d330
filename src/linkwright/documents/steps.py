"""Reading the steps of a plan document: a setting, a finding, a size, by name.

Offers `value_of`, `size_of`, `operation_words`, `operation_said`, `title_said` and
`title_of_operation`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from linkwright.documents.words import plain_text
from linkwright.planning.document import place_of


def value_of(step: Mapping[str, Any], *names: str) -> tuple[str, float] | None:
    """The first of some names that a step has as setting, finding or size of its stock."""
    for name in names:
        for rows, key in (("settings", "name"), ("findings", "subject")):
            for row in step.get(rows, ()):
                if row[key] == name and row["value"] is not None:
                    return name, float(row["value"])
        size = step.get("stock", {}).get("shape", {}).get(name)
        if size is not None:
            return name, float(size)
    return None


def size_of(step: Mapping[str, Any], name: str) -> float | None:
    """A size of the stock that a step hands on."""
    size = step.get("stock", {}).get("shape", {}).get(name)
    return None if size is None else float(size)


def operation_words(step: Mapping[str, Any]) -> str:
    """The operation's name in words, after its part where several parts share it."""
    return plain_text(place_of(step)).replace("_", " ").replace("/", ": ")


def operation_said(step: Mapping[str, Any], say: Callable[[str], str]) -> str:
    """The operation's name in the language of the cards, after its part if several share it."""
    part, _, operation = place_of(step).rpartition("/")
    name = say(plain_text(operation).replace("_", " "))
    return f"{say(plain_text(part).replace('_', ' '))}: {name}" if part else name


def title_said(step: Mapping[str, Any], say: Callable[[str], str]) -> str:
    """The same as a title."""
    if "/" not in place_of(step):
        return say(title_of_operation(step))
    name = operation_said(step, say)
    return name[:1].upper() + name[1:]


def title_of_operation(step: Mapping[str, Any]) -> str:
    """The operation's name as a title."""
    name = operation_words(step)
    return name[:1].upper() + name[1:]
