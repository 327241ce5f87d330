"""A pass phrase from a file, the surroundings, or a terminal without echo; never an argument."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import typer

from linkwright.quantities import InputErrors, Problem

OF_PERSON, OF_KEY, NEW = (
    "LINKWRIGHT_PASS_PHRASE", "LINKWRIGHT_KEY_PHRASE", "LINKWRIGHT_NEW_PHRASE",
)  # fmt: skip
"""Environment variables that may hold the pass phrase of a person, of a key, and a new one."""


def ask_pass_phrase(
    file: Path | None, whose: str, *, variable: str = OF_PERSON, twice: bool = False,
    option: str = "--pass-phrase",
) -> str:  # fmt: skip
    """The pass phrase of somebody or something. Raises `InputErrors` if there is none to be had."""
    if file is not None:
        if not file.is_file() or file.stat().st_size > 10_000:
            raise InputErrors([Problem("file", "is no file with a pass phrase", str(file))])
        lines = file.read_text(encoding="utf-8", errors="replace").splitlines()
        return _given(lines[0] if lines else "", str(file))
    if variable in os.environ:
        return _given(os.environ[variable], variable)
    if not sys.stdin.isatty():
        accepted = f"{option} FILE, the variable {variable}, or a terminal"
        raise InputErrors([Problem("pass-phrase", "is asked for", key=whose, accepted=accepted)])
    return str(
        typer.prompt(
            f"pass phrase of {whose}", hide_input=True, confirmation_prompt=twice, err=True
        )
    )


def _given(text: str, where: str) -> str:
    if not text:
        raise InputErrors([Problem("pass-phrase", "is empty", key=where)])
    return text
