"""Keys of an answer as docs/json.md names them, to hold one against the other."""

import re
from pathlib import Path

PAGE = (Path(__file__).parents[1] / "docs" / "json.md").read_text(encoding="utf-8")


def described(command: str) -> set[str]:
    """Keys in the first column of the section about a command."""
    section = PAGE.split(f"## `linkwright {command}`")[1].split("\n## ")[0]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return {key for row in rows for key in re.findall(r"`([^`]+)`", row)}


def keys_of(value: object, before: str = "") -> set[str]:
    """Keys of plain data; a list counts by its name."""
    if isinstance(value, dict):
        return {key for name, part in value.items() for key in keys_of(part, f"{before}.{name}")}
    if isinstance(value, list):
        return {before.lstrip(".") + "[]"}
    return {before.lstrip(".")}
