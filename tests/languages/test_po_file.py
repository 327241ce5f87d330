"""Catalogue files: what is written is read again, what is wrong is told with its line."""

from __future__ import annotations

import gettext
import io
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.languages.po_file import compiled, po_text, read_po
from linkwright.quantities import InputErrors

HEAD = "Language: xx\nX-Decimal-Mark: ,\nContent-Type: text/plain; charset=UTF-8\n"
WORDS = st.text(
    st.characters(
        codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp"), include_characters="\n\t"
    ),
    min_size=1,
)
MESSAGES = st.dictionaries(WORDS, WORDS)


@given(messages=MESSAGES)
@settings(derandomize=True, max_examples=60)
def test_what_is_written_is_read_again(messages: dict[str, str]) -> None:
    """Quotes, backslashes, tabs and line ends survive."""
    whole = {"": HEAD, **messages}
    assert read_po(po_text(whole)) == whole


@given(messages=MESSAGES)
@settings(derandomize=True, max_examples=60)
def test_the_standard_reader_finds_every_translation(messages: dict[str, str]) -> None:
    """The gettext module of the standard library reads the compiled bytes."""
    read = gettext.GNUTranslations(io.BytesIO(compiled({"": HEAD, **messages})))
    assert {message: read.gettext(message) for message in messages} == messages
    assert read.info()["x-decimal-mark"] == ","


def test_what_has_no_translation_is_left_out() -> None:
    """An empty translation is none, not an empty text on the card."""
    read = gettext.GNUTranslations(io.BytesIO(compiled({"": HEAD, "pitch": "", "gap": "Spalt"})))
    assert (read.gettext("pitch"), read.gettext("gap")) == ("pitch", "Spalt")


@pytest.mark.skipif(shutil.which("msgfmt") is None, reason="GNU gettext is not installed")
def test_an_independent_compiler_makes_the_same_catalogue(tmp_path: Path) -> None:
    """GNU msgfmt reads our .po and comes to the same pairs as we do."""
    messages = {"": HEAD, 'a "word"\nand a tab\t': "über\\unter", "pitch": "Teilung"}
    po, mo = tmp_path / "x.po", tmp_path / "x.mo"
    po.write_text(po_text(messages), encoding="utf-8")
    subprocess.run(["msgfmt", "-o", str(mo), str(po)], check=True, capture_output=True)  # noqa: S603,S607
    theirs = gettext.GNUTranslations(io.BytesIO(mo.read_bytes()))
    ours = gettext.GNUTranslations(io.BytesIO(compiled(messages)))
    assert theirs._catalog == ours._catalog  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('msgid "a"\nmsgstr "b"\nnonsense', 3),
        ('"loose"', 1),
        ('msgid "a"\nmsgid "b"\nmsgstr ""', 2),
        ('msgid "a"\nmsgstr "b"\nmsgid "a"\nmsgstr "c"', 4),
    ],
)
def test_what_is_not_understood_is_told_with_its_line(text: str, line: int) -> None:
    """Nonsense, a loose text, a message without or with two translations."""
    with pytest.raises(InputErrors) as caught:
        read_po(text, "de.po")
    (problem,) = caught.value.found
    assert (problem.file, problem.line) == ("de.po", line)
