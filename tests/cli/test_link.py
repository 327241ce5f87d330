"""`linkwright link`."""

import json
import re
from pathlib import Path

LINK = ("link", "--diameter", "8mm", "--pitch", "24mm", "--inner-width", "10.8mm",
        "--strength", "1180MPa", "--fineness", "coarse")  # fmt: skip
PAGE = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")


def described() -> set[str]:
    """Keys in the first column of the section about this command."""
    section = PAGE.split("## `linkwright link`")[1].split("\n## ")[0]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return {key for row in rows for key in re.findall(r"`([^`]+)`", row)}


def keys_of(value: object, before: str = "") -> set[str]:
    if isinstance(value, dict):
        return {key for name, part in value.items() for key in keys_of(part, f"{before}.{name}")}
    if isinstance(value, list):
        return {before.lstrip(".") + "[]"}
    return {before.lstrip(".")}


def test_json_holds_what_the_page_describes(command) -> None:
    """Every key is described and every described key is there."""
    ended = command(*LINK, "--proof", "50.3kN", "--json")
    assert ended.code == 0
    data = json.loads(ended.out)
    assert keys_of(data) == described()
    assert "no rating" in ended.err
    assert 79 < data["pull"]["maximum_force_kN"] < 82


def test_a_person_reads_forces_with_units_and_the_caution(command) -> None:
    """Without a proof nothing is said of one."""
    ended = command(*LINK)
    assert re.search(r"maximum force +8\d\.\d+ kN", ended.out)
    assert "Proved" not in ended.out
    assert "no rating" in ended.err


def test_wrong_input_ends_with_exit_code_2(command) -> None:
    """A neighbour's wire that does not fit; the message says what would."""
    ended = command(*LINK[:6], "7mm", *LINK[7:])
    assert ended.code == 2
    assert "so that the neighbour's wire fits" in ended.err
