"""From bytes to data: what is taken, what is refused, and the line of every key."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import InputErrors, Problem
from linkwright.works.toml_file import LARGEST_FILE_BYTES, printable, read_toml, toml_of_bytes

TEXT = b"""# a comment with [brackets] = 1
[order]
number = "7" # = 3
drive.power = "30 kW"

[[line]]
text = \"\"\"
[order]
number = 9
\"\"\"
[line.settings]
"temper.temperature_degC" = 510
oven = { time_s = 3, list = [
  1,
  { a = 2 },
] }

[[line]]
'quoted key' = 1
"e\\u0061sy" = 2
[line.settings]
time_s = 4
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("order",), 2),
        (("order", "number"), 3),
        (("order", "drive", "power"), 4),
        (("order", "drive"), 4),
        (("line",), 6),
        (("line", 0, "text"), 7),
        (("line", 0, "settings"), 11),
        (("line", 0, "settings", "temper.temperature_degC"), 12),
        (("line", 0, "settings", "oven", "time_s"), 13),
        (("line", 0, "settings", "oven", "list", 1, "a"), 15),
        (("line", 1), 18),
        (("line", 1, "quoted key"), 19),
        (("line", 1, "easy"), 20),
        (("line", 1, "settings", "time_s"), 22),
        (("line", 1, "missing"), 18),
        (("nowhere",), 1),
    ],
)
def test_line_of_a_key(path: tuple[str | int, ...], line: int) -> None:
    """A key has its own line, a missing one that of its table, texts do not mislead."""
    assert toml_of_bytes(TEXT, "order.toml").line(path) == line


@given(
    st.lists(st.tuples(st.sampled_from(["", "# note", "[[line]]"]), st.integers(1, 9)), max_size=20)
)
@settings(derandomize=True, max_examples=40, deadline=None)
def test_lines_agree_with_the_rows_written(rows: list[tuple[str, int]]) -> None:
    """Whatever stands between them, every key is found in the row it was written in."""
    text, where, tables = ["[[line]]"], {}, 0
    for position, (before, value) in enumerate(rows):
        text.append(before)
        tables += before == "[[line]]"
        text.append(f"k{position} = {value}")
        where[("line", tables, f"k{position}")] = len(text)
    file = toml_of_bytes("\n".join(text).encode(), "a.toml")
    assert {path: file.line(path) for path in where} == where


def test_utf8_byte_order_mark_is_taken() -> None:
    """A file that begins with the mark of UTF-8 reads like one without."""
    assert toml_of_bytes(b"\xef\xbb\xbfa = 1", "a.toml").data == {"a": 1}


def test_windows_line_ends_keep_the_lines() -> None:
    """CRLF counts as one line end."""
    assert toml_of_bytes(b"a = 1\r\n\r\nb = 2\r\n", "a.toml").line(("b",)) == 3


def test_legal_underscores_are_read() -> None:
    """1_000 is legal TOML."""
    assert toml_of_bytes(b"a = 1_000", "a.toml").data == {"a": 1000}


def test_largest_file_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    """The limit is a number of bytes, and the sentence names it."""
    path = tmp_path / "a.toml"
    path.write_bytes(b"#" * LARGEST_FILE_BYTES)
    assert read_toml(path).data == {}
    path.write_bytes(b"#" * (LARGEST_FILE_BYTES + 1))
    with pytest.raises(InputErrors, match=r"^a\.toml: the file is larger than 1 MB"):
        read_toml(path)


def test_missing_file_and_folder_are_told(tmp_path: Path) -> None:
    """A path that cannot be opened gives a sentence with the base name only."""
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(InputErrors, match="cannot be opened") as caught:
            read_toml(path)
        assert str(tmp_path.parent) not in str(caught.value)
    with pytest.raises(InputErrors, match="cannot be opened"):
        read_toml("a\0b.toml")


def test_place_of_a_byte_that_is_not_utf8() -> None:
    """The offset and the line of the first wrong byte are named."""
    with pytest.raises(InputErrors) as caught:
        toml_of_bytes(b'a = 1\nb = "\xfc"\n', "a.toml")
    (problem,) = caught.value.found
    assert (problem.line, problem.code) == (2, "encoding")
    assert "byte 11 (0xFC)" in problem.message


def test_repeated_keys_are_all_named_with_both_lines() -> None:
    """Each key that stands twice is one problem."""
    with pytest.raises(InputErrors) as caught:
        toml_of_bytes(b"a = 1\nb = 2\na = 3\n[t]\nc = 1\nc = 2\n", "a.toml")
    found = [(problem.key, problem.line, problem.message) for problem in caught.value.found]
    assert found == [
        ("a", 3, "stands twice, first in line 1"),
        ("t.c", 6, "stands twice, first in line 5"),
    ]


def test_syntax_error_names_line_and_column() -> None:
    """The reader's own place is kept."""
    with pytest.raises(InputErrors, match=r"a\.toml:2: this is not TOML: .*\(column 5\)"):
        toml_of_bytes(b"a = 1\nb = ?\n", "a.toml")


@given(st.binary(max_size=300))
@settings(derandomize=True, max_examples=200, deadline=None)
def test_any_bytes_are_read_or_refused_in_sentences(raw: bytes) -> None:
    """No bytes whatever end in another exception."""
    found: tuple[Problem, ...] = ()
    try:
        toml_of_bytes(raw, "a.toml")
    except InputErrors as error:
        found = error.found
    assert all(problem.message for problem in found)


@given(st.text())
@settings(derandomize=True, max_examples=200, deadline=None)
def test_echoed_text_is_short_and_printable(text: str) -> None:
    """Nothing that a terminal would obey or hide is repeated in a message."""
    shown = printable(text)
    assert shown.isprintable()
    assert len(shown) <= 60
