"""The words of a language: numbers keep their places, what is missing stays English."""

from __future__ import annotations

import gettext
import io

import pytest

from linkwright.languages.po_file import compiled
from linkwright.languages.wording import ENGLISH, Wording, languages, message_of, wording_of
from linkwright.quantities import ArgumentError

HEAD = "Language: xx\nX-Decimal-Mark: ,\nContent-Type: text/plain; charset=UTF-8\n"


def wording(**messages: str) -> Wording:
    """A language of a few words."""
    return made({name.replace("_", " "): said for name, said in messages.items()})


def made(messages: dict[str, str]) -> Wording:
    """A language of some messages."""
    file = io.BytesIO(compiled({"": HEAD, **messages}))
    return Wording("xx", gettext.GNUTranslations(file))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("caliper, one in 500", "caliper, one in {1}"),
        ("a strength of 1204 MPa", "a strength of {1} MPa"),
        ("1 204.5 MPa at -5 °C", "{1} MPa at {2} °C"),
        ("EN 818-2:1996+A1:2008, 5.4.1, 8 mm", "EN 818-2:{1}+A1:{2}, 5.4.1, {3} mm"),
        ("hotter than Ac3", "hotter than Ac3"),
        ("die 2 diameter", "die {1} diameter"),
        ("no number", "no number"),
    ],
)
def test_numbers_are_places_of_a_message(text: str, message: str) -> None:
    """Numbers are taken out; letters with digits and paragraphs of a standard are not."""
    assert message_of(text) == message
    assert ENGLISH.say(text) == text


def test_a_translation_may_change_the_order_and_writes_its_own_decimal_mark() -> None:
    """Places are filled by number, with a comma where the catalogue says so."""
    words = made({"{1} of {2} mm": "{2} mm, davon {1}"})
    assert words.say("3 of 8.5 mm") == "8,5 mm, davon 3"
    assert words.say("{1} of {2} mm", "drei", "acht") == "acht mm, davon drei"
    assert words.number("7 488.4") == "7 488,4"
    assert ENGLISH.number("7 488.4") == "7 488.4"


def test_what_is_missing_stays_english_and_is_kept() -> None:
    """Each missing message once, in the order it was asked for; the sentence names some."""
    words = wording(pitch="Teilung")
    assert [words.say(text) for text in ("gap 3", "pitch", "gap 4", "wire")] == [
        "gap 3", "Teilung", "gap 4", "wire"]  # fmt: skip
    assert list(words.missing) == ["gap {1}", "wire"]
    assert "catalogue of xx has no words: gap {1}; wire" in words.lack()
    for number in range(9):
        words.say(f"more{'x' * number}")
    assert words.lack().endswith("; and 6 more")


def test_what_need_not_be_known_is_not_missing() -> None:
    """The name of a standard stays as it is written, and nobody is told."""
    words = made({"range of {machine}": "Bereich: {machine}"})
    assert words.if_known("range of {machine}") == "Bereich: {machine}"
    assert words.if_known("EN 818-2, 5.4.1") == "EN 818-2, 5.4.1"
    assert not words.missing


def test_text_that_looks_like_a_place_does_no_harm() -> None:
    """Braces in a text of the works stay as they are."""
    assert made({}).say("a {7} and {x} 5") == "a {7} and {x} 5"
    assert ENGLISH.say("solved for {1}", "{2}") == "solved for {2}"


def test_english_is_there_and_another_language_is_refused_with_all_that_there_are() -> None:
    """The error lists the languages."""
    assert languages()[0] == "en"
    assert wording_of("en") is ENGLISH
    with pytest.raises(ArgumentError, match=", ".join(languages())):
        wording_of("tlh")
