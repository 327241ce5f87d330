"""Every exception that linkwright raises on purpose, in one tree.

    LinkwrightError                 anything a user can be told in a sentence
    |-- ArgumentError               one argument of a calculation cannot be used
    |   `-- UnknownName             a name that is not in a closed list
    |-- QuantityError               a text is not a number with a known unit
    |-- InputErrors                 a file is wrong: all its problems at once
    `-- CannotPlan                  the input is right but the job cannot be done

Exit codes: ArgumentError, QuantityError and InputErrors end with 2, CannotPlan with 1.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

_LONGEST_SHOWN = 60


class LinkwrightError(ValueError):
    """Anything that went wrong and can be told to the user in a sentence."""

    exit_code = 2
    code = "error"

    def problems(self) -> list[dict[str, Any]]:
        """The error in the one shape that every machine-readable answer uses."""
        return [asdict(Problem(code=self.code, message=str(self)))]


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, where, and what would be accepted."""

    code: str
    message: str
    file: str | None = None
    line: int | None = None
    key: str | None = None
    accepted: str | None = None

    def sentence(self) -> str:
        """The problem as one line for people."""
        place = ":".join(str(part) for part in (self.file, self.line) if part is not None)
        parts = [place, self.key, self.message]
        text = ": ".join(part for part in parts if part)
        return f"{text}; accepted: {self.accepted}" if self.accepted else text


class ArgumentError(LinkwrightError):
    """One argument of a calculation cannot be used.

    Holds ``argument``, ``value``, ``unit`` and ``accepted`` (a range or a list in words).
    """

    code = "argument"

    def __init__(
        self, argument: str, value: object, unit: str, accepted: str, reason: str = ""
    ) -> None:
        self.argument, self.value, self.unit, self.accepted = argument, value, unit, accepted
        self.reason = reason
        given = f"{_shortened(value)} {unit}".strip()
        why = reason or "is outside what the formula can take"
        super().__init__(f"{argument} = {given} {why}; accepted: {accepted}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.argument, self.value, self.unit, self.accepted, self.reason)

    def problems(self) -> list[dict[str, Any]]:
        """The error in the common shape, with the argument as key."""
        problem = Problem(
            code=self.code, message=str(self), key=self.argument, accepted=self.accepted
        )
        return [asdict(problem)]


class UnknownName(ArgumentError):
    """A name that is not in a closed list; the nearest right ones are offered."""

    code = "unknown-name"

    def __init__(self, argument: str, value: object, known: Iterable[str]) -> None:
        self.known = tuple(dict.fromkeys(known))
        near = nearest(str(value), self.known)
        shown = "; ".join(near or self.known[:12])
        super().__init__(argument, value, "", shown, "is not known")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.argument, self.value, self.known)


class QuantityError(LinkwrightError):
    """A text is not a number with a known unit."""

    code = "quantity"

    def __init__(self, text: str, accepted: str) -> None:
        self.text, self.accepted = text, accepted
        super().__init__(f"{_shortened(text)!r} is not a quantity; accepted: {accepted}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.text, self.accepted)


class InputErrors(LinkwrightError):
    """A file is wrong: all problems found in it, each with its place."""

    code = "input"

    def __init__(self, found: Iterable[Problem]) -> None:
        self.found = tuple(found)
        super().__init__("\n".join(problem.sentence() for problem in self.found))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.found,)

    def problems(self) -> list[dict[str, Any]]:
        """All problems in the common shape."""
        return [asdict(problem) for problem in self.found]


class CannotPlan(LinkwrightError):
    """The input is right, but no plan can be made of it; says why and what would help."""

    exit_code = 1
    code = "cannot-plan"


def _shortened(value: object) -> str:
    """The value for a sentence: a text of any length must not flood it or fail."""
    try:
        text = str(value)
    except ValueError:  # Python does not print whole numbers of over 4,300 digits
        return "a whole number of very many digits"
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."


def nearest(word: str, known: Iterable[str], count: int = 3) -> list[str]:
    """The known names that look most like ``word``; empty if none does."""
    return difflib.get_close_matches(word, list(dict.fromkeys(known)), n=count, cutoff=0.5)
