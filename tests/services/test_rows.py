"""Reading a book of checks."""

from pathlib import Path

import pytest

from linkwright.quantities import InputErrors
from linkwright.services.rows import LARGEST_BOOK, read_book, read_book_file

GOOD = """
[[case]]
id = "one"
source = "Test"
inputs = { diameter_mm = 10.0 }
expect = { area_mm2 = 78.54 }
rtol = 0.001
page = "a remark of the writer"
"""


def test_a_row_is_read_with_all_its_keys() -> None:
    """Keys of the format become fields; a key of the writer's own is left alone."""
    (row,) = read_book(GOOD.encode(), "book.toml")
    assert (row.id, row.source, row.rtol, row.atol) == ("one", "Test", 0.001, None)
    assert row.inputs == {"diameter_mm": 10.0}
    assert row.calculation is None


def test_a_byte_order_mark_is_no_mistake() -> None:
    """An editor's mark at the beginning of the file does no harm."""
    assert len(read_book(b"\xef\xbb\xbf" + GOOD.encode(), "book.toml")) == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "holds no rows"),
        (b"\x00", "not TOML"),
        (b"\xff\xfe[", "not UTF-8"),
        (b"case = 1", "holds no rows"),
        (b"[[case]]\nid = 'a'\nid = 'b'\n", "book.toml:3: "),
        (b"x = " + b"[" * 5000, "nested too deeply"),
        (b"x = " + b"9" * 5000, "cannot be read"),
        (b"[[case]]", "needs id"),
        (GOOD.replace("rtol", "rtool").encode(), "accepted: rtol"),
        (GOOD.replace("0.001", "-1").encode(), "rtol = -1"),
        (GOOD.replace("0.001", "'x'").encode(), "rtol = x"),
        (GOOD.replace("10.0", "nan").encode(), "inputs.diameter_mm is not finite"),
        (GOOD.replace("10.0", "[]").encode(), "empty list"),
        (GOOD.replace("10.0", "'" + "a" * 20_000 + "'").encode(), "more than 10000 characters"),
        (GOOD.replace("10.0", "[" + "1," * 100_001 + "]").encode(), "more than 100000 values"),
        (GOOD.replace("'one'", "1").replace('"one"', "1").encode(), "needs id"),
    ],
)  # fmt: skip
def test_a_wrong_book_is_told_in_a_sentence(content: bytes, said: str) -> None:
    """Whatever is wrong with a file ends in `InputErrors` that name it."""
    with pytest.raises(InputErrors) as caught:
        read_book(content, "book.toml")
    assert said in str(caught.value)
    assert all(problem.file == "book.toml" for problem in caught.value.found)


def test_all_mistakes_are_told_at_once_with_their_lines() -> None:
    """Each row that is wrong is told with the line on which it begins."""
    content = GOOD + GOOD.replace("expect", "expcet") + GOOD.replace("source", "sauce")
    with pytest.raises(InputErrors) as caught:
        read_book(content.encode(), "book.toml")
    assert [(found.key, found.line) for found in caught.value.found] == [
        ("expect", 10),
        ("expcet", 10),
        ("source", 18),
        ("sauce", 18),
    ]


def test_a_missing_file_and_a_folder_are_wrong_input(tmp_path: Path) -> None:
    """A name that leads to no file is told with that name."""
    for path in (tmp_path / "no.toml", tmp_path):
        with pytest.raises(InputErrors, match=path.name):
            read_book_file(path)


def test_an_endless_file_is_not_read(tmp_path: Path) -> None:
    """A file beyond the bound is refused before it is opened."""
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(LARGEST_BOOK + 1)
    with pytest.raises(InputErrors, match="too large"):
        read_book_file(path)
