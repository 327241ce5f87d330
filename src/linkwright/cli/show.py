"""What reaches the terminal: results on standard output, all else on standard error.

- `Screen`: the two channels of one command, with colour only where it is wanted
- `Json`, `NoColor`, `InUnits`: the options that commands share
- `number_text`, `values_text`: numbers for people
- `fail`: an error as sentences, and as data where JSON was asked for
"""

from __future__ import annotations

import json as json_text
import os
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Annotated, Any

import typer

from linkwright.quantities import Problem, significant, unit_text

SCHEMA_VERSION = 1
_DIGITS = 5
_MOST_SHOWN = 12


class Units(StrEnum):
    """The systems of units that results can be shown in."""

    metric = "metric"
    inch = "inch"


Json = Annotated[bool, typer.Option("--json", help="Print JSON: full precision, keys with units.")]
NoColor = Annotated[
    bool, typer.Option("--no-color", help="No colour; NO_COLOR and TERM=dumb do the same.")
]
InUnits = Annotated[
    Units | None,
    typer.Option("--units", help="Show results in these units; JSON keeps those of its keys."),
]


class Screen:
    """The two channels of one command."""

    def __init__(self, *, no_color: bool = False) -> None:
        self._colour = not no_color and colour_is_wanted()

    def result(self, text: str) -> None:
        """A part of the result, for standard output."""
        print(text)

    def data(self, data: Mapping[str, Any]) -> None:
        """The whole result as JSON, for standard output."""
        print(as_json(data))

    def note(self, text: str) -> None:
        """Anything beside the result: warnings, progress, where a file was written."""
        print(text, file=sys.stderr)

    def paint(self, text: str, colour: str) -> str:
        """The text in a colour if standard output is a terminal that wants it."""
        wanted = self._colour and sys.stdout.isatty()
        return typer.style(text, fg=colour, bold=True) if wanted else text


def colour_is_wanted() -> bool:
    """Whether the surroundings allow colour at all."""
    return not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def as_json(data: Mapping[str, Any]) -> str:
    """JSON in plain ASCII, keys in their order, without any value that JSON does not know."""
    return json_text.dumps(data, indent=2, allow_nan=False)


def number_text(value: Any, unit: str = "") -> str:
    """One value for people, with its unit: numbers rounded, texts as they are."""
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, (int, float)):
        return str(value)
    whole = isinstance(value, int) and abs(value) < 10**9
    shown = str(value) if whole else significant(float(value), _DIGITS)
    return f"{shown} {unit_text(unit) if unit else ''}".strip()


def values_text(value: Any, unit: str = "") -> str:
    """A value or a list of them for people, the unit once at the end."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if not isinstance(value, (list, tuple)):
        return number_text(value, unit)
    shown = [
        f"[{values_text(item)}]" if isinstance(item, list) else number_text(item)
        for item in value[:_MOST_SHOWN]
    ]
    rest = f", ... ({len(value)} in all)" if len(value) > _MOST_SHOWN else ""
    return f"{', '.join(shown)}{rest} {unit_text(unit) if unit else ''}".strip()


def columns(rows: Sequence[tuple[str, str]], indent: str = "  ") -> str:
    """Two columns, the first as wide as its widest cell."""
    width = max((len(left) for left, _ in rows), default=0)
    return "\n".join(f"{indent}{left:<{width}}  {right}".rstrip() for left, right in rows)


def _sentence(problem: Problem) -> str:
    """The problem in one line, without saying twice what its message says already."""
    if problem.accepted and problem.accepted in problem.message:
        problem = replace(problem, accepted=None)
    if problem.key and problem.message.startswith(problem.key):
        problem = replace(problem, key=None)
    return problem.sentence()


def fail(problems: Sequence[Mapping[str, Any]], *, as_data: bool) -> None:
    """Tell what is wrong: sentences on standard error, with JSON also data on the output.

    So what a program reads from the output is JSON whether the command succeeds or not.
    """
    for problem in problems:
        print(f"error: {_sentence(Problem(**problem))}", file=sys.stderr)
    if as_data:
        print(as_json({"schema_version": SCHEMA_VERSION, "errors": [dict(p) for p in problems]}))
