"""The cards of the demo lines: every machine's card is whole, and says it in every language."""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from linkwright.documents.cards import lacking
from linkwright.documents.display import Display
from linkwright.documents.papers import card_data
from linkwright.languages.po_file import compiled, read_po
from linkwright.languages.wording import languages, wording_of
from linkwright.works import demo_works

ROOT = Path(__file__).parents[2]
OTHERS = [language for language in languages() if language != "en"]
MACHINES = [machine.name for machine in demo_works().machines]


@cache
def script() -> ModuleType:
    """The script that keeps catalogues in step."""
    spec = importlib.util.spec_from_file_location(
        "write_messages", ROOT / "scripts/write_messages.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@cache
def documents() -> tuple[dict[str, Any], ...]:
    """The plans of the demo lines; not to be changed."""
    return tuple(script().documents())


def steps_at(machine: str) -> list[dict[str, Any]]:
    """The steps of all demo lines that this machine does."""
    lines = [line for document in documents() for line in document["lines"]]
    return [step for line in lines for step in line["steps"] if step["machine"] == machine]


@pytest.mark.parametrize("machine", MACHINES)
def test_the_card_of_every_machine_is_whole(machine: str) -> None:
    """It lacks no name; each setting has a value, numbers a tolerance, and how it is checked."""
    steps = steps_at(machine)
    assert steps, "no demo line goes over this machine: add one to scripts/write_messages.py"
    for step in steps:
        assert lacking(step) == []
        for row in step["settings"]:
            what = f"{step['operation']}: {row['name']}"
            assert row["value"] is not None or row["text"], what
            assert row["text"] or row["tolerance"] is not None, f"{what} has no tolerance"
            assert row["check"], f"{what} has no check"


@pytest.mark.parametrize("machine", MACHINES)
def test_every_card_has_a_guard_to_be_proven(machine: str) -> None:
    """Each step names what can hurt and the guard that is proven before start."""
    for step in steps_at(machine):
        assert step["cautions"], step["operation"]
        assert all(row["danger"] and row["guard"] for row in step["cautions"])


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("line", list(script().LINES))
def test_a_shipped_catalogue_has_words_for_every_card(line: str, language: str) -> None:
    """Nothing on a demo card stays English: `python scripts/write_messages.py` tells what does."""
    document = documents()[list(script().LINES).index(line)]
    for units in ("metric", "inch"):
        wording = wording_of(language)
        card_data(document, 0, Display(units, wording), [])
        assert list(wording.missing) == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_catalogue_is_in_step_with_the_cards_and_with_its_compiled_file(language: str) -> None:
    """No message is missing, all places are filled, and the .mo is that of the .po."""
    path = script().FOLDER / language / "LC_MESSAGES/linkwright.po"
    held = read_po(path.read_text(encoding="utf-8"), str(path))
    assert path.with_suffix(".mo").read_bytes() == compiled(held)
    assert held == script().brought_up(held, script().heard_of(documents()))
    for message, said in held.items():
        places = [sorted(script().PLACE.findall(text)) for text in (message, said)]
        assert not message or places[0] == places[1], message


def test_a_card_without_a_row_is_not_whole() -> None:
    """The rule above can fail: without its first setting a card that asks for it lacks it."""
    step = next(step for step in steps_at("resistance welder"))
    names = [row["name"] for row in step["settings"]]
    bare = {**step, "settings": step["settings"][1:], "card": names}
    assert lacking(bare) == names[:1]
