"""What the commands that pull a solid have in common: options, one thread, how they answer.

- `Diameter`, `Modulus`, `MeshFineness`, `Replaced`: options
- `one_thread`: before numpy is loaded
- `answer`: text or JSON, and the caution
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Annotated, Any, Protocol, TypeVar

import typer

from linkwright.cli.show import Screen


class Fineness(StrEnum):
    """How fine the mesh is."""

    coarse = "coarse"
    medium = "medium"
    fine = "fine"
    finest = "finest"


Diameter = Annotated[str, typer.Option("--diameter", metavar="LENGTH", help="Of the wire.")]
Modulus = Annotated[
    str | None, typer.Option("--modulus", metavar="STRESS", help="Young's; 205 GPa if left out.")
]
MeshFineness = Annotated[Fineness, typer.Option("--fineness", help="Of the mesh.")]
Replaced = Annotated[bool, typer.Option("--force", help="Replace the folder if it exists.")]


class _Answer(Protocol):
    def to_dict(self) -> Mapping[str, Any]: ...


A = TypeVar("A", bound=_Answer)


def one_thread() -> None:
    """Ask for one thread of linear algebra; of use before numpy is loaded.

    Dense fronts of a few hundred unknowns run no faster on several threads, and far slower on
    a machine that has other work.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def progress_of(screen: Screen) -> Callable[[str], None] | None:
    """Where progress goes: to a person's terminal and nowhere else."""
    return screen.note if sys.stderr.isatty() else None


def answer(
    made: A, told: Callable[[A], list[str]], caution: str, screen: Screen, *, json: bool
) -> None:
    """The answer as JSON or as texts, and the caution beside it."""
    if json:
        screen.data(made.to_dict())
    else:
        for text in told(made):
            screen.result(text)
    screen.note(caution)
