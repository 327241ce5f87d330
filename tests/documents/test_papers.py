"""The papers of a plan: complete, the same bytes twice, text stays text, in time."""

from __future__ import annotations

import re
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from linkwright.documents.cards import cards
from linkwright.documents.display import Display
from linkwright.documents.numbering import numbered
from linkwright.documents.papers import write_papers
from linkwright.documents.typesetting import PapersFailed
from linkwright.documents.words import words
from linkwright.quantities import UnknownName

Pages = Callable[..., list[str]]

HOSTILE = [
    '#read("x")',
    "<script>alert(1)</script>",
    "=1+1",
    "{{7*7}}",
    "$x^2$ *b* @a `c` \\",
    "]]",
]


def _pages_in(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def _tight(text: str) -> str:
    """Text without blanks, which a reader of PDF sets as it likes."""
    return "".join(text.split())


def test_papers_and_pictures_are_written(document: dict[str, Any], tmp_path: Path) -> None:
    """The folder gets a PDF and one SVG a picture, and the paths are told."""
    paths = write_papers(document, tmp_path)
    assert paths[0].read_bytes().startswith(b"%PDF")
    assert sorted(path for path in tmp_path.rglob("*") if path.is_file()) == sorted(paths)
    assert (tmp_path / "pictures" / "line-of-metal.svg") in paths
    assert (tmp_path / "pictures" / "inspection-force-extension.svg") in paths


def test_pages_are_as_many_as_sheets(document: dict[str, Any], tmp_path: Path) -> None:
    """Summary, cards of all machines, link under load, inspection plan, annex: none is lost."""
    line = document["lines"][0]
    machines = {step["machine"] for step in line["steps"]}
    write_papers(document, tmp_path)
    pages = _pages_in((tmp_path / "papers.pdf").read_bytes())
    assert len(machines) + 4 < pages <= 2 * len(machines) + 18


def test_same_plan_gives_same_bytes(document: dict[str, Any], tmp_path: Path) -> None:
    """Papers and pictures made twice are equal, byte for byte."""
    made = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        made.append([path.read_bytes() for path in write_papers(document, tmp_path / name)])
    assert made[0] == made[1]


def test_time_stamp_is_the_due_date(document: dict[str, Any], tmp_path: Path) -> None:
    """The file carries the due date of the order, not the clock."""
    document["order"]["due"] = "2031-03-04"
    write_papers(document, tmp_path)
    assert b"D:20310304" in (tmp_path / "papers.pdf").read_bytes()


@pytest.mark.parametrize("due", ["", "0001-01-01", "9999-12-31"])
def test_odd_due_dates_do_no_harm(document: dict[str, Any], tmp_path: Path, due: str) -> None:
    """A missing, very early or very late due date still gives papers."""
    document["order"]["due"] = due
    assert write_papers(document, tmp_path)[0].read_bytes().startswith(b"%PDF")


def test_hostile_text_stays_text(document: dict[str, Any], pages_of: Pages) -> None:
    """Markup of any kind in names of customer, works and machines is printed as it stands."""
    document["order"].update(number=HOSTILE[0], customer=HOSTILE[1])
    document["works"].update(name=HOSTILE[2], place=HOSTILE[3])
    line = document["lines"][0]
    line["id"], line["steel"]["name"] = HOSTILE[4], HOSTILE[5]
    line["steps"][1]["machine"] = HOSTILE[1]
    line["steps"][1]["settings"][0]["check"] = HOSTILE[0]
    line["steps"][1]["cautions"][0]["guard"] = HOSTILE[3]
    text = "\n".join(pages_of(document))
    for hostile in HOSTILE:
        assert hostile in text
    assert text.count(HOSTILE[0]) > 1


def test_controls_and_direction_marks_are_taken_out(
    document: dict[str, Any], tmp_path: Path
) -> None:
    """NUL, line breaks and right-to-left overrides in a name neither break nor turn a page."""
    document["order"]["customer"] = "a\x00b\r\n\u202egnp.exe\ud800"
    write_papers(document, tmp_path)
    svg = (tmp_path / "pictures" / "line-of-metal.svg").read_text(encoding="utf-8")
    assert "\u202e" not in svg


def test_each_card_begins_with_cautions(document: dict[str, Any], pages_of: Pages) -> None:
    """On the first page of every card a guard to be proven stands before any setting."""
    firsts = [page for page in pages_of(document) if "leaves as:" in page]
    machines = [step["machine"] for step in document["lines"][0]["steps"]]
    assert len(firsts) == len(set(machines))
    for page in firsts:
        guard = page.index("proven before start")
        setting = page.find("setting, how it came about")
        assert setting == -1 or guard < setting


def test_every_setting_is_on_the_card_of_its_machine(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Name and value with unit of every setting stand on a card."""
    line, display = document["lines"][0], Display()
    on_cards = "".join(_tight(page) for page in pages_of(document) if "Set-up card" in page)
    for step in line["steps"]:
        for row in step["settings"]:
            assert _tight(words(row["name"])) in on_cards
            # words may fill several lines of their column: each stands there
            shown = (row["text"] or "").split() or [display.text(row["name"], row["value"])]
            for one in shown:
                assert _tight(one) in on_cards, (step["operation"], row["name"], one)


def test_every_value_on_a_card_has_its_unit(line: dict[str, Any]) -> None:
    """A setting or finding with a unit is printed with it, in both unit systems."""
    for units in ("metric", "inch"):
        display = Display(units)
        made = cards(line, numbered(line["derivation"]), display, [])
        blocks = [block for card in made for block in card["blocks"]]
        for step, block in zip(line["steps"], blocks, strict=True):
            for row, shown in zip(step["settings"], block["settings"], strict=True):
                assert display.unit(row["name"]) in shown["value"].replace("\u00a0", " ")
            findings = [*block["held"], *block["free"]]
            assert len(findings) == len(step["findings"])
            by_name = {row["name"]: row for row in findings}
            for row in step["findings"]:
                shown = by_name[words(row["subject"])]
                assert display.unit(row["subject"]) in shown["value"].replace("\u00a0", " ")


def test_each_page_names_order_program_units_and_number(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Order, program and version, unit system and page number stand on every page."""
    pages = pages_of(document)
    for number, page in enumerate(pages, start=1):
        assert "Q-1042" in page
        assert "metric units" in page
        assert f"linkwright {document['program']['version']}" in page
        assert f"page {number} of {len(pages)}" in page
        assert "invented demo works" in page


def test_the_first_page_defers_to_tests_codes_and_persons(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Chain for lifting needs the tests of its standard; codes and a person come first."""
    first = " ".join(pages_of(document)[0].split())
    assert "lifting chain only after the tests of its standard" in first
    assert "Local codes and the judgement of a competent person" in first


def test_own_works_are_not_called_invented(document: dict[str, Any], pages_of: Pages) -> None:
    """A works file that is not marked invented does not get the demo's remark."""
    document["works"]["invented"] = False
    assert "nvented" not in pages_of(document)[0]


def test_inch_display_says_so_and_converts(document: dict[str, Any], pages_of: Pages) -> None:
    """With inch units the length is in feet and each page says that it is converted."""
    pages = pages_of(document, "inch")
    assert "984.3 ft" in pages[0]
    assert all("inch units for display; the metric values hold" in page for page in pages)


def test_reference_numbers_of_cards_stand_in_the_annex(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Every [n] on summary, cards and inspection plan is an entry of the annex."""
    pages = pages_of(document)
    start = next(i for i, page in enumerate(pages) if "Annex: how every number" in page)
    used = {int(n) for page in pages[:start] for n in re.findall(r"\[(\d+)\]", page)}
    opened = {int(n) for page in pages[start:] for n in re.findall(r"\[(\d+)\]", page)}
    assert len(used) > 40
    assert used <= opened == set(range(1, len(document["lines"][0]["derivation"]) + 1))


def test_two_lines_have_their_own_sheets(document: dict[str, Any], tmp_path: Path) -> None:
    """A second line doubles the pages, and its pictures carry its number."""
    write_papers(document, tmp_path)
    single = _pages_in((tmp_path / "papers.pdf").read_bytes())
    document["lines"].append({**document["lines"][0], "id": "2"})
    paths = write_papers(document, tmp_path)
    assert _pages_in((tmp_path / "papers.pdf").read_bytes()) == 2 * single
    assert (tmp_path / "pictures" / "line-of-metal-2.svg") in paths


def test_unknown_unit_system_is_refused(document: dict[str, Any], tmp_path: Path) -> None:
    """Only metric and inch are unit systems; nothing is written for another."""
    with pytest.raises(UnknownName):
        write_papers(document, tmp_path, units="furlong")
    assert list(tmp_path.iterdir()) == []


def test_time_limit_stops_the_setting(document: dict[str, Any], tmp_path: Path) -> None:
    """When the child process takes too long it is stopped, and the error says so."""
    with pytest.raises(PapersFailed, match="took longer"):
        write_papers(document, tmp_path, time_limit_s=0.001)


def test_cold_papers_take_less_than_three_seconds(planned: str, tmp_path: Path) -> None:
    """A new process that reads the plan and writes everything stays in the budget.

    Counted is the work of the process and its child, so that a busy machine does not matter.
    """
    plan = tmp_path / "plan.json"
    plan.write_text(planned, encoding="utf-8")
    code = (
        "import json, sys; from pathlib import Path;"
        "from linkwright.documents.papers import write_papers;"
        "write_papers(json.loads(Path(sys.argv[1]).read_text()), Path(sys.argv[2]));"
        "assert 'matplotlib' not in sys.modules"
    )
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", code, str(plan), str(tmp_path)], check=True)  # noqa: S603
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime < 3.0


def test_chain_that_is_not_for_lifting_says_so_on_every_page(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """The sentence stands on every page of such a line and on none of another."""
    sentence = "Not for lifting or overhead safety loads"
    assert not any(sentence in page for page in pages_of(document))
    document["lines"][0]["not_for_lifting"] = True
    pages = pages_of(document)
    assert all(sentence in page for page in pages)
    assert "Chain for lifting" not in pages[0]


def test_what_a_standard_leaves_open_stands_on_the_inspection_plan(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Each open point has a box of its own."""
    document["lines"][0]["inspection"]["open"] = [
        "The load of the tip is not stated",
        "Finish: by agreement",
    ]
    page = next(page for page in pages_of(document) if "left open by the standard" in page)
    for text in document["lines"][0]["inspection"]["open"]:
        assert text in page


def test_papers_of_a_lot_name_the_lot_on_every_page(
    document: dict[str, Any], pages_of: Pages
) -> None:
    """Number of the lot and the operation after which it lies."""
    document["lot"] = {"number": "L-0417", "after": "drawing"}
    pages = pages_of(document)
    assert all("from lot L-0417 after drawing" in page for page in pages[1:])
    assert "lot L-0417 as it lies after drawing" in pages[0]
