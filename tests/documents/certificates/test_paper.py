"""The page: the same data give the same bytes, the data are in it, and it keeps PDF/A-3."""

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from certified import example, small, two_signed

from linkwright.documents.certificates.content import Replaced, fingerprint, plain
from linkwright.documents.certificates.marked import xml_of
from linkwright.documents.certificates.page import code_text, page_data
from linkwright.documents.certificates.paper import JSON_NAME, XML_NAME, form_of_page, paper
from linkwright.documents.certificates.revision import attached
from linkwright.documents.certificates.rules import NotReleased
from linkwright.works.canonical import canonical_bytes


def test_the_same_data_give_the_same_bytes() -> None:
    made = paper(example())
    assert made == paper(replace(example()))
    assert attached(made, JSON_NAME) == canonical_bytes(plain(example()))
    assert attached(made, XML_NAME) == xml_of(example())
    assert b"<pdfaid:part>3</pdfaid:part>" in made
    assert fingerprint(example()).encode() in made
    assert form_of_page().encode() in made


def test_no_page_of_a_lot_that_is_not_released() -> None:
    one = example()
    with pytest.raises(NotReleased):
        paper(replace(one, release=replace(one.release, state="held")))


PDFTOTEXT = shutil.which("pdftotext") or ""


@pytest.mark.skipif(not PDFTOTEXT, reason="poppler-utils is not here")
def test_another_reader_finds_every_result_and_the_fingerprint_on_the_page(tmp_path: Path) -> None:
    """The program pdftotext (poppler) reads the page."""
    (tmp_path / "page.pdf").write_bytes(paper(example()))
    ended = subprocess.run(  # noqa: S603
        [PDFTOTEXT, "-layout", "page.pdf", "-"], cwd=tmp_path, capture_output=True, check=True
    )
    text = ended.stdout.decode()
    digits = fingerprint(example())
    for at in range(0, 64, 8):
        assert digits[at : at + 8] in text
    for line in example().requirements:
        for result in line.results:
            assert (f"{result.value:g}" if result.value is not None else result.found) in text
    for heat in example().goods.heats:
        assert heat.number in text
        for element in heat.analysis:
            assert f"{element.percent:g}" in text
    assert "QL-2026-0417" in text
    assert "1.2.5" not in text


@pytest.mark.parametrize("language", ["de", "pl"])
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_other_languages_and_units_are_set(language: str, units: str) -> None:
    one = replace(two_signed(), language=language, units=units,
                  replaces=Replaced("QL-2026-0400", "ab" * 32, "the length was wrong"))  # fmt: skip
    assert paper(one).startswith(b"%PDF-1.7")


def test_inch_units_are_for_display_only() -> None:
    inch = replace(example(), units="inch")
    shown = page_data(inch, fingerprint(inch))["requirements"][1]
    assert shown["limit"].endswith("lbf")
    assert plain(inch)["requirements"][1] == plain(example())["requirements"][1]


def test_the_square_code_holds_address_and_fingerprint() -> None:
    one, digits = small(), fingerprint(small())
    assert code_text(one, digits) == f"{one.check_address}#sha256:{digits}"
    assert code_text(replace(one, check_address=""), digits) == f"sha256:{digits}"
    asked = replace(one, check_address="https://a.invalid/{number}?f={fingerprint}", number="Q 1/2")
    assert code_text(asked, digits) == f"https://a.invalid/Q%201%2F2?f={digits}"


def test_text_stays_text_on_the_page() -> None:
    """Nothing that somebody wrote is read as markup."""
    text = '#read("/etc/passwd") $x^2$ *bold* <b> {{7*7}} =1+1 \\u{41}'
    assert paper(replace(small(), remarks=(text,))).startswith(b"%PDF")
