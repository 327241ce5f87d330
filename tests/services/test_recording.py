"""Acts from typed keys and values: read strictly, every mistake told at once."""

import contextlib
import string
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from kept_books import PHRASE, Books, _quick, books  # noqa: F401 - fixtures

from linkwright.quantities import InputErrors, LinkwrightError, UnknownName
from linkwright.records.acts import acts
from linkwright.services.looking import look
from linkwright.services.recording import bind, described, listed, record
from linkwright.services.recording_rows import record_rows


def test_every_act_is_listed_and_described() -> None:
    """With what it takes; each argument has words for it."""
    assert {one["name"] for one in listed()} == set(acts())
    for name in acts():
        held = described(name)
        assert held["does"]
        assert all(argument["takes"] for argument in held["arguments"])


def test_values_are_read_with_their_units(tmp_path: Path) -> None:
    """A length in metres, a mass in tonnes, a list, a file, yes and no."""
    bound = bind(acts()["make_piece"], {"lot": "L1", "piece": "P", "length": "31.4 m"})
    assert bound == {"lot": "L1", "piece": "P", "length_mm": 31400}
    bound = bind(acts()["cut_piece"], {"piece": "P", "lengths_mm": "[400, 600]"})
    assert bound["lengths_mm"] == [400, 600]
    bound = bind(acts()["add_heat"], {"heat": "H", "steel": "x", "analysis": "C=0.21, Mn=1.3"})
    assert bound["analysis"] == ["C=0.21", "Mn=1.3"]
    note = tmp_path / "note.txt"
    note.write_bytes(b"note")
    given_ = {"of": "coil:C", "title": "@x", "media_type": "text/plain", "paper": f"@{note}"}
    assert bind(acts()["add_paper"], given_)["paper"] == b"note"
    assert bind(acts()["decide"], {"proposal": "L1/1", "agree": "no"})["agree"] is False


def test_all_mistakes_are_told_at_once_with_what_is_accepted() -> None:
    """An unknown key, a wrong number, a missing argument."""
    with pytest.raises(InputErrors) as told:
        bind(acts()["make_piece"], {"lot": "L1", "peice": "P", "length_mm": "8,5"})
    said = str(told.value)
    assert "no argument peice" in said
    assert "accepted: piece" in said
    assert "8,5" in said
    assert "make_piece needs piece" in said


@pytest.mark.parametrize("text", ["1_000", "0x10", "nan", "1e400", "١٢", "1.5", "1e30", ""])
def test_what_is_no_whole_number_is_refused(text: str) -> None:
    """Underscores, hexadecimals, other digits, fractions, floods."""
    with pytest.raises(InputErrors):
        bind(acts()["make_piece"], {"lot": "L1", "piece": "P", "length_mm": text})


def test_an_act_is_done_as_a_person_with_pass_phrase(books: Books) -> None:  # noqa: F811
    """And looked at afterwards, with its history."""
    done = record(
        books.store,
        "anna",
        PHRASE,
        "set_rule",
        {"rule": "retests", "value": "1", "source": "invented"},
        why="EN 818-1",
    )
    assert done.rows[0]["id"] == "rule:retests"
    said = look(books.store, "rule:retests", "2026-11-26")
    assert said["versions"][0]["why"] == "EN 818-1"
    assert said["versions"][0]["by"] == "person:anna"
    assert [row["id"] for row in look(books.store, "rule", "2026-11-26")["rows"]] == [
        "rule:retests"
    ]


def test_a_lot_a_gauge_and_a_certificate_are_shown_with_what_matters(books: Books) -> None:  # noqa: F811
    """Evidence, results in doubt, pieces."""
    books.released()
    books.act("issue_certificate", "dora", lot="L1")
    assert (
        look(books.store, "lot:L1", "2026-11-26")["evidence"]["requirements"][0]["verdict"] == "met"
    )
    assert look(books.store, "gauge:P400", "2026-11-26")["in_doubt"] == []
    assert (
        look(books.store, "certificate:2026-00001", "2026-11-26")["pieces"][0]["state"]
        == "certified"
    )
    with pytest.raises(UnknownName):
        look(books.store, "lot:L9", "2026-11-26")


@given(
    name=st.sampled_from(sorted(acts())),
    keys=st.dictionaries(
        st.text(string.printable, max_size=12),
        st.text(max_size=40)
        | st.sampled_from(["1", "yes", "[a,b]", "@/none", "2026-01-01", "-5", "lot:x"]),
        max_size=6,
    ),
)
def test_whatever_is_typed_ends_in_a_sentence(name: str, keys: dict[str, str]) -> None:
    """Never in a traceback."""
    given_ = dict(keys)
    for argument in described(name)["arguments"][:3]:
        given_.setdefault(argument["name"], next(iter(keys.values()), "1"))
    with contextlib.suppress(LinkwrightError):
        bind(acts()[name], given_)


def test_each_row_of_a_file_is_an_act_once(books: Books, tmp_path: Path) -> None:  # noqa: F811
    """Semicolons and a byte order mark; a refused row is told, sent twice nothing is done twice."""
    books.presented()
    file = tmp_path / "tests.csv"
    text = "characteristic;value;gauge;tested_on\nbreaking force;86.1;P400;2026-11-20\n;;;\n"
    file.write_bytes((text + "breaking force;86,2;P400;2026-11-20\n").encode("utf-8-sig"))
    given_ = {"lot": "L1"}
    told = record_rows(
        books.store, "ben", f"{PHRASE} of ben", "record_test", file, why="lab", common=given_
    )
    assert [(row, one.new) for row, one in told.done] == [(2, True)]
    assert told.refused[0][0] == 4
    assert "86,2" in told.refused[0][1]
    again = record_rows(
        books.store, "ben", f"{PHRASE} of ben", "record_test", file, why="lab", common=given_
    )
    assert [(row, one.new) for row, one in again.done] == [(2, False)]


@pytest.mark.parametrize(
    "raw",
    [b"", b"a;a\n1;2\n", b"lot;value\nx\n", b'a;b\n"x;y\n', b"\xff\xfe\x00", b"a,,b\n1,2,3\n"],
)
def test_a_file_without_rows_of_acts_is_refused_whole(
    books: Books,  # noqa: F811
    tmp_path: Path,
    raw: bytes,
) -> None:
    """No head, a name twice, a row too short, an open quotation mark, no UTF-8."""
    file = tmp_path / "odd.csv"
    file.write_bytes(raw)
    with pytest.raises(InputErrors):
        record_rows(books.store, "ben", f"{PHRASE} of ben", "record_test", file, why="lab")


def test_from_three_samples_on_a_lot_says_the_strength_of_its_length(books: Books) -> None:  # noqa: F811
    """Normal and Weibull law, weakest link; below the samples' own mean."""
    books.line()
    books.act("start_lot", lot="L1", line="O1/1", type_test="T8")
    books.act("make_piece", lot="L1", piece="P", length_mm=100_000)
    books.act("cut_piece", piece="P", lengths_mm=[500, 500, 500, 98_500])
    for number in (1, 2, 3):
        books.act("take_sample", piece=f"P.{number}")
    books.act("ask_of_line", line="O1/1", characteristic="x", unit="", least=0.0, source="x")
    books.act("set_rule", "anna", rule="retests", value=9, source="x")
    books.act("set_rule", "anna", rule="retest_samples", value=2, source="x")
    books.act("present_lot", lot="L1")
    for number, value in ((1, 80.0), (2, 86.0), (3, 87.0)):
        books.tested(value, piece=f"P.{number}", fracture="ductile", judged_by="cleo")
    said = look(books.store, "lot:L1", "2026-11-26")["strength"]
    assert said["samples"] == 3
    assert said["median_weibull"] < said["mean"]
    assert said["median_normal"] < said["mean"]
