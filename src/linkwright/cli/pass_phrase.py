"""A pass phrase from a file, the surroundings, or a terminal without echo; never an argument."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from linkwright.quantities import InputErrors, Problem

VARIABLE = "LINKWRIGHT_PASS_PHRASE"
"""The environment variable that may hold it."""


def ask_pass_phrase(file: Path | None, whose: str) -> str:
    """The pass phrase of somebody. Raises `InputErrors` if there is none to be had."""
    if file is not None:
        lines = file.read_text(encoding="utf-8").splitlines()
        return _given(lines[0] if lines else "", str(file))
    if VARIABLE in os.environ:
        return _given(os.environ[VARIABLE], VARIABLE)
    if not sys.stdin.isatty():
        accepted = f"--pass-phrase FILE, the variable {VARIABLE}, or a terminal"
        raise InputErrors([Problem("pass-phrase", "is asked for", key=whose, accepted=accepted)])
    import getpass  # noqa: PLC0415

    return _given(getpass.getpass(f"pass phrase of {whose}: "), "terminal")


def _given(text: str, where: str) -> str:
    if not text:
        raise InputErrors([Problem("pass-phrase", "is empty", key=where)])
    return text
