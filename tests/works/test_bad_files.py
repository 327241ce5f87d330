"""The corpus of bad files: each ends in sentences with a place, quickly, and in no other way."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import InputErrors, Problem
from linkwright.works import (
    demo_bytes,
    demo_line_bytes,
    order_of_bytes,
    read_order,
    read_works,
    works_of_bytes,
)

BAD = Path(__file__).parents[1] / "bad"
FILES = sorted(path.name for path in BAD.glob("*.toml"))
LONGEST_S = 2.0
HEAD = b'[order]\nnumber = "Q-1"\ncustomer = "x"\ndue = 2026-12-18\n[[line]]\n'

WORDS = {
    "order-utf16": "UTF-16",
    "order-cp1252": "byte 36 (0xF6) is not UTF-8",
    "order-nul": "NUL byte",
    "order-deep-brackets": "nested more than 48 deep",
    "order-deep-open-brackets": "nested too deep",
    "order-repeated-key": "stands twice, first in line 2",
    "order-digits-5000": "more than 66 signs",
    "order-decimal-comma": "a decimal comma is not taken",
    "order-full-width-digits": "is not a length",
    "order-zero-width-in-key": r"le\u200bngth",
    "order-look-alike-key": r"l\u0435ngth",
    "order-rtl-override-in-name": "signs that cannot be seen",
    "works-unknown-unit": "ends in 'dge'",
    "works-range-turned": "begins with the greater value",
}


def refused(read: Callable[[], object]) -> InputErrors:
    begin = time.process_time()
    with pytest.raises(InputErrors) as caught:
        read()
    assert time.process_time() - begin < LONGEST_S
    assert caught.value.exit_code == 2
    for problem in caught.value.found:
        assert problem.file
        assert len(problem.sentence()) < 1000
        assert problem.sentence().isprintable()
        assert "Traceback" not in problem.message
    assert len(caught.value.found) <= 101
    return caught.value


def test_corpus_is_there() -> None:
    """The corpus holds files for both readers."""
    assert sum(name.startswith("order-") for name in FILES) > 50
    assert sum(name.startswith("works-") for name in FILES) > 20


@pytest.mark.parametrize("name", FILES)
def test_bad_file_ends_in_sentences(name: str) -> None:
    """Every file of the corpus is refused with the place of what is wrong."""
    read = read_order if name.startswith("order-") else read_works
    error = refused(lambda: read(BAD / name))
    assert all(problem.file == name for problem in error.found)
    if name != "order-deep-open-brackets.toml":  # the reader gives up before it knows a line
        assert all(problem.line for problem in error.found)
    assert WORDS.get(name.removesuffix(".toml"), "") in str(error)


@pytest.mark.parametrize("read", [order_of_bytes, works_of_bytes])
@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (HEAD + b'note = "' + b"a" * 10_000_000 + b'"', "larger than 1 MB"),
        (HEAD + b'note = "' + b"a" * 900_000 + b'"', "too long"),
        (b"[" * 999_000, "more than 100000"),
        (b"a = " + b"[" * 400_000 + b"]" * 400_000, "more than 100000"),
        (b"a" + b".a" * 400_000 + b" = 1", "more than 100000"),
        (b'[{"=' * 240_000, "more than 100000"),
        (b"a = 1." + b"1" * 900_000, "more than 66 signs"),
        (HEAD + b"\n" * 900_000, "is missing"),
        (HEAD + b"".join(b"k%d = 1\n" % i for i in range(20_000)), "more problems are not listed"),
        (
            HEAD + b"[line.settings.t]\n" + b"".join(b"k%d_mn = 1\n" % i for i in range(20_000)),
            "",
        ),
        (HEAD[:-9] + b"[[line]]\n" * 12_000, ""),
    ],
    ids=lambda value: f"{len(value)} bytes" if isinstance(value, bytes) else None,
)
def test_big_file_is_refused_in_time(
    read: Callable[[bytes], object], raw: bytes, words: str
) -> None:
    """Size, nesting, count of keys and of problems are bounded."""
    error = refused(lambda: read(raw))
    if read is order_of_bytes and words != "is missing":
        assert words in str(error)


@pytest.mark.parametrize("name", ["order.toml", "works.toml"])
@given(data=st.data())
@settings(derandomize=True, max_examples=60, deadline=None)
def test_damaged_demo_is_read_or_refused(name: str, data: st.DataObject) -> None:
    """Cutting, doubling or overwriting any part of a good file never raises anything else."""
    raw = demo_bytes(name)
    start = data.draw(st.integers(0, len(raw)))
    end = data.draw(st.integers(start, min(len(raw), start + 60)))
    put = data.draw(
        st.binary(max_size=6) | st.sampled_from([b"nan", b"-1", b"[", b'"', b"=", b"8 mm"])
    )
    read = order_of_bytes if name == "order.toml" else works_of_bytes
    found: tuple[Problem, ...] = ()
    try:
        read(raw[:start] + put + raw[end:])
    except InputErrors as error:
        found = error.found
    assert all(problem.sentence().isprintable() for problem in found)


def test_unusual_but_right_files_are_read() -> None:
    """A byte-order mark, 1_000, CRLF and letters of any script in a name are fine."""
    raw = demo_line_bytes().replace(b'"300 m"', b'"1000 m"')
    plain = order_of_bytes(raw)
    odd = raw.replace(b'length   = "1000 m"', b"length_m = 1_000").replace(b"\n", b"\r\n")
    assert order_of_bytes(b"\xef\xbb\xbf" + odd).content_hash() == plain.content_hash()
    hebrew = raw.replace(b"Northmoor quarry", "מחצבה צפונית".encode())
    assert order_of_bytes(hebrew).customer == "מחצבה צפונית"
