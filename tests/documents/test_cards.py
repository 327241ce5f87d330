"""Set-up cards: what a card must show, words and numbers, the operator's language."""

from __future__ import annotations

import gettext
import io
from collections.abc import Callable
from typing import Any

import pytest

from linkwright.documents import words as naming
from linkwright.documents.cards import cards, lacking
from linkwright.documents.display import Display
from linkwright.documents.numbering import numbered
from linkwright.documents.papers import card_data, write_papers
from linkwright.languages.po_file import compiled
from linkwright.languages.wording import Wording

Pages = Callable[..., list[str]]
GAP = {
    "name": "wash_after_links_count", "value": 3000.0, "text": None, "unit": "count",
    "how": "held", "aim": "", "low": None, "high": None, "tolerance": 200.0,
    "check": "counter, every tenth shift",
    "own": True, "entry": None,
}  # fmt: skip
ALLOY = {**GAP, "name": "jaw_alloy", "value": None, "text": "CuCrZr", "unit": "",
         "tolerance": None, "check": "stamp on the jaw"}  # fmt: skip


def welding(line: dict[str, Any]) -> dict[str, Any]:
    """The step at the welder."""
    found: dict[str, Any] = next(s for s in line["steps"] if s["operation"] == "welding")
    return found


def card_of(line: dict[str, Any], display: Display | None = None) -> dict[str, Any]:
    """The welder's only block as the card has it."""
    made = cards(line, numbered(line["derivation"]), display or Display(), [])
    card = next(card for card in made if "welding" in card["operations"])
    return {**card, **card["blocks"][card["operations"].index("welding")]}


def language(**messages: str) -> Wording:
    """A language of a few words that writes a decimal comma."""
    head = "X-Decimal-Mark: ,\nContent-Type: text/plain; charset=UTF-8\n"
    said = {name.replace("_", " "): text for name, text in messages.items()}
    return Wording("xx", gettext.GNUTranslations(io.BytesIO(compiled({"": head, **said}))))


@pytest.fixture
def full(line: dict[str, Any]) -> dict[str, Any]:
    """A line whose welder has an own row of words and one of a number, and must show both."""
    step = welding(line)
    step["settings"] += [dict(ALLOY), dict(GAP)]
    step["card"] = [row["name"] for row in step["settings"]]
    return line


def test_a_card_with_everything_lacks_nothing(full: dict[str, Any]) -> None:
    """Every name that the operation asks for is among its settings."""
    assert lacking(welding(full)) == []
    assert card_of(full)["lacking"] == []


@pytest.mark.parametrize("name", ["jaw_alloy", "secondary_current_kA"])
def test_what_is_taken_off_a_card_is_told(full: dict[str, Any], name: str, pages_of: Pages) -> None:
    """A row of the works or a computed one that is not there is an empty row that says so."""
    step = welding(full)
    step["settings"] = [row for row in step["settings"] if row["name"] != name]
    assert lacking(step) == [name]
    assert card_of(full)["lacking"] == [naming.words(name)]


def test_the_empty_row_stands_on_paper(
    document: dict[str, Any], full: dict[str, Any], pages_of: Pages
) -> None:
    """The row says where the missing value belongs."""
    welding(full)["settings"].pop()
    page = next(page for page in pages_of({**document, "lines": [full]}) if "jaw alloy" in page)
    assert "wash after links" in page
    assert "not given: add it to [machine.card]" in page
    assert "CuCrZr" in page


def test_a_setting_of_words_has_neither_range_nor_tolerance(full: dict[str, Any]) -> None:
    """It is printed as the works wrote it."""
    row = next(row for row in card_of(full)["settings"] if row["name"] == "jaw alloy")
    assert (row["value"], row["tolerance"], row["range"]) == ("CuCrZr", "", "")
    assert row["check"] == "stamp on the jaw"


def test_fifty_rows_run_over_pages_and_none_is_lost(
    document: dict[str, Any], full: dict[str, Any], pages_of: Pages
) -> None:
    """Each page of a long card has the head of the table; a row does not break."""
    welding(full)["settings"] += [
        {**GAP, "name": f"note_{number}_mm", "value": 7000.0 + number} for number in range(50)
    ]
    pages = [
        page for page in pages_of({**document, "lines": [full]}) if "Set-up card" in page
        and "note" in page
    ]  # fmt: skip
    assert len(pages) > 2
    for number in range(50):
        (page,) = [page for page in pages if f"7 0{number:02d} mm" in page]
        assert "range of the machine; check" in page


def test_the_words_of_the_works_stay_as_they_are_written(full: dict[str, Any]) -> None:
    """Checks and names of its own rows are not translated; what the card must show is."""
    welding(full)["card"].remove("wash_after_links_count")
    words = language(
        counter__every_tenth_shift="Zähler", jaw_alloy="Elektrodenlegierung",
        wash_after_links="abrichten nach",
    )  # fmt: skip
    rows = {row["name"]: row for row in card_of(full, Display("metric", words))["settings"]}
    assert rows["wash after links"]["check"] == "counter, every tenth shift"
    assert rows["Elektrodenlegierung"]["check"] == "stamp on the jaw"
    assert "stamp on the jaw" not in words.missing


def test_numbers_are_written_as_the_language_does(full: dict[str, Any]) -> None:
    """Decimal comma in values, tolerances, ranges and in the numbers of a sentence."""
    step = welding(full)
    place = [row["name"] for row in step["settings"]].index("secondary_current_kA")
    step["settings"][place] |= {
        "value": 10.71,
        "tolerance": 0.25,
        "low": 1.5,
        "check": "every 2.5 h",
    }
    row = card_of(full, Display("metric", language()))["settings"][place]
    assert row["value"] == "10,71\u00a0kA"
    assert row["tolerance"] == "±\u00a00,25\u00a0kA"
    assert row["range"].startswith("1,5")
    assert row["check"] == "every 2,5 h"


def test_the_machine_named_in_a_source_keeps_its_name(full: dict[str, Any]) -> None:
    """The words about it are translated, the name is not."""
    words = Wording("xx", language()._catalogue)
    step = welding(full)
    step["findings"][0] |= {"source": f"range of {step['machine']}", "least": 1.0}
    assert card_of(full, Display("metric", words))["held"][0]["source"] == (
        f"range of {step['machine']}"
    )
    words = language(**{"range_of_{machine}": "Bereich von {machine}"})
    assert card_of(full, Display("metric", words))["held"][0]["source"] == (
        f"Bereich von {step['machine']}"
    )


def test_only_the_cards_are_in_the_language(
    document: dict[str, Any], pages_of: Pages, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Summary, inspection plan and annex stay English; what is missing is known afterwards."""
    words = language(actual="wirklich", pitch="Teilung")
    monkeypatch.setattr(
        "linkwright.documents.papers.ENGLISH", words, raising=True
    )  # the fixture passes no wording
    monkeypatch.setitem(write_papers.__kwdefaults__, "wording", words)
    pages = pages_of(document)
    with_word = [page for page in pages if "wirklich" in page]
    assert with_word
    assert all("leaves as" in page or "Set-up card" in page for page in with_word)
    assert "pitch" in pages[0]
    assert "Teilung" not in pages[0]
    assert "leaves as" in words.missing
    assert "pitch" not in words.missing


def test_all_that_is_asked_of_a_language_is_kept_in_order(document: dict[str, Any]) -> None:
    """The same card asks the same messages, each once."""
    first, second = language(), language()
    for words in (first, second):
        card_data(document, 0, Display("metric", words), [])
    assert list(first.missing) == list(second.missing)
    assert "Welding" in first.missing
