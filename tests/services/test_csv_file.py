"""Files of readings: every dialect that is taken, and what is refused, with its place."""

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.quantities import InputErrors
from linkwright.services.calculations import Answer, calculate
from linkwright.services.checks import check_row
from linkwright.services.columns import opened
from linkwright.services.csv_file import table_of
from linkwright.services.rows import Row


def column(text: str | bytes, name: str = "energy") -> Any:
    content = text.encode() if isinstance(text, str) else text
    return table_of(content, "f.csv").column(name)


DIALECTS = {
    "comma": b"nr,energy_kJ\n1,9.5\n2,10.25\n",
    "semicolon, decimal comma": b"nr;energy_kJ\n1;9,5\n2;10,25\n",
    "tab": b"nr\tenergy_kJ\n1\t9.5\n2\t10.25\n",
    "byte order mark": b"\xef\xbb\xbfnr;energy [kJ]\n1;9,5\n2;10,25\n",
    "UTF-16": "nr;energy (kJ)\n1;9,5\n2;10,25\n".encode("utf-16"),
    "line ends of Windows": b"nr,energy_kJ\r\n1,9.5\r\n2,10.25\r\n",
    "row of units": b"nr;energy\n;kJ\n1;9,5\n2;10,25\n",
    "comments and empty lines": b"# made up\n\nnr,energy_kJ\n1,9.5\n\n# more\n2,10.25\n\n",
    "repeated head": b"nr,energy_kJ\n1,9.5\nnr,energy_kJ\n2,10.25\n",
    "quotation marks": b'"nr","energy_kJ"\n"1","9.5"\n"2","10.25"\n',
    "declared sign": b"sep=;\nnr;energy_kJ\n1;9,5\n2;10,25\n",
    "one column, decimal comma": b"energy_kJ\n9,5\n10,25\n",
    "quoted decimal comma": b'nr,energy_kJ\n1,"9,5"\n2,"10,25"\n',
    "empty cells at the end": b"nr,energy_kJ\n1,9.5\n2,10.25\n3,\n4,\n",
}


@pytest.mark.parametrize("content", DIALECTS.values(), ids=DIALECTS)
def test_every_dialect_gives_the_same_readings(content: bytes) -> None:
    """Readings and unit are the same."""
    found = column(content)
    assert (found.numbers(), found.unit) == ([9.5, 10.25], "kJ")


def test_no_head_means_numbers_for_names() -> None:
    """Columns are called by their place."""
    assert column("1,9.5\n2,10.25\n", "2").numbers() == [9.5, 10.25]


def test_a_head_that_is_a_unit_is_the_unit() -> None:
    """But least is no time."""
    assert column("kilocycles\n70\n", "kilocycles").unit == "kilocycles"
    assert column("min\n70\n", "min").unit == ""


@pytest.mark.parametrize(
    ("content", "line", "words"),
    [
        (b"energy_kJ\n9.5\nx\n", 3, "'x' is not a number"),
        (b'energy_kJ\n9.5\n""\n9\n', 3, None),
        (b"a;energy\n1;9,5\n2;1.000,5\n", 3, "'1.000,5' is not a number"),
        (b"energy\nnan\n1\n", 2, "'nan' is not a number"),
        (b"energy\n1_000\n", 2, "not a number"),
        ("energy\n１\n".encode(), 2, "not a number"),
        (b"a,energy\n1,2\n1,2,3\n", 3, "the row has 3 cells"),
        (b"energy\n1\n\xff\n", 3, "is not UTF-8"),
        (b"energy\n1\0\n", 2, "NUL"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(
    content: bytes, line: int, words: str | None
) -> None:
    """File, line and column stand in the error."""
    if words is None:  # an empty quoted line is an empty line
        assert column(content).numbers() == [9.5, 9.0]
        return
    with pytest.raises(InputErrors) as caught:
        column(content).numbers()
    problem = caught.value.found[0]
    assert (problem.file, problem.line) == ("f.csv", line)
    assert words in problem.message


def test_unknown_columns_and_empty_files_are_told() -> None:
    """With the columns there are."""
    with pytest.raises(InputErrors, match="energy_kJ"):
        column("nr,energy_kJ\n1,2\n", "enregy")
    with pytest.raises(InputErrors, match="no rows"):
        column("")


@given(st.binary(max_size=200))
def test_no_bytes_bring_it_down(content: bytes) -> None:
    """Any bytes give columns or errors of our own."""
    try:
        for one in table_of(content, "f.csv").columns:
            if one.are_numbers():
                assert all(map(math.isfinite, one.numbers()))
    except InputErrors:
        pass


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    path = tmp_path / "weld:1.csv"
    path.write_text("nr;energy [kJ];time_s\n1;9,5;1\n2;10,5;2\n3;11,0;3\n", encoding="utf-8-sig")
    return path


def asked(name: str, **given: Any) -> Answer:
    """As the command line asks."""
    return calculate(name, **opened(given))


def test_a_text_alone_opens_no_file(readings: Path) -> None:
    """What a page or a program passes on as text stays text: no file of the machine is read."""
    for said in ({"readings": f"@{readings}:energy"}, {"file": str(readings)}):
        with pytest.raises(InputErrors) as caught:
            calculate("sample_statistics", **said)
        assert "9,5" not in str(caught.value)
        assert "energy [kJ]" not in str(caught.value)


def test_a_calculation_takes_columns(readings: Path) -> None:
    """In the unit of their head, or converted to that of the key."""
    found = asked("sample_statistics", readings=f"@{readings}:energy")
    assert found["mean_kJ"] == pytest.approx(31.0 / 3.0)
    assert found["mean_J"] == pytest.approx(31000.0 / 3.0)
    other = asked("sample_statistics", readings_J=f"@{readings}:energy")
    assert list(other.results)[1] == "mean_J"
    assert other["mean_J"] == pytest.approx(31000.0 / 3.0)
    fit = asked("least_squares", y=[1.0, 2.0, 3.5, 4.0], x=[1.0, 2.0, 3.0, 4.0])
    assert fit["n"] == 4


def test_several_columns_are_a_table(readings: Path) -> None:
    """Rows of the file are rows of the table."""
    path = readings.with_name("t.csv")
    path.write_text("a,b\n6,9\n10,6\n8,3\n")
    found = asked("hotelling_t2", data=f"@{path}:a,b", mean0=[9.0, 5.0])
    assert found["t2"] == pytest.approx(7.0 / 9.0)


def test_a_file_is_taken_apart_by_its_heads(readings: Path) -> None:
    """By name, or in order where there are as many as are needed."""
    path = readings.with_name("fit.csv")
    path.write_text("y,x1,x2\n1,1,2\n2,2,1\n3,3,5\n4.1,4,3\n5,5,0\n")
    assert len(asked("least_squares", file=str(path))["b"]) == 3
    path.write_text("batch,diameter\n1,2\n1,3\n2,2\n2,4\n")
    assert asked("anova_of_groups", file=str(path))["df_treatment"] == 1
    with pytest.raises(InputErrors, match="which of its columns"):
        asked("sample_statistics", file=str(path))
    with pytest.raises(InputErrors, match="which column"):
        asked("sample_statistics", readings=f"@{path}")
    with pytest.raises(InputErrors, match="no such file"):
        asked("sample_statistics", readings="@none.csv:a")


def test_mixed_units_of_readings_are_converted() -> None:
    """The first unit given rules; a pure number beside it is refused."""
    found = asked("weibull_fit", failures_h=[1.0, 2.0, 3.0], censored_min=[180.0])
    plain = asked("weibull_fit", failures=[1.0, 2.0, 3.0], censored=[3.0])
    assert found["scale_h"] == pytest.approx(plain["scale"])
    assert found["scale_s"] == pytest.approx(3600.0 * plain["scale"])
    with pytest.raises(InputErrors, match="censored"):
        asked("weibull_fit", failures_h=[1.0, 2.0, 3.0], censored=[3.0])
    rate = asked("product_limit", event_weeks=[1.0, 3.0])
    assert rate["exponential_rate_per_week"] == pytest.approx(0.5)


def test_a_book_reads_files_below_its_own_folder_only(tmp_path: Path) -> None:
    """No row opens what its author may not see."""
    (tmp_path / "a.csv").write_text("value\n1\n2\n3\n")
    row = Row(id="x", source="Test", inputs={"file": "a.csv"}, expect={"mean": 2.0},
              calculation="sample_statistics", folder=tmp_path)  # fmt: skip
    assert check_row(row).verdict == "agrees"
    for name in ("/etc/passwd", "../a.csv", "a\\..\\b.csv"):
        bad = Row(**{**vars(row), "inputs": {"file": name}})
        assert "folder of the book" in check_row(bad).reason
        bad = Row(**{**vars(row), "inputs": {"readings": f"@{name}:value"}})
        assert "folder of the book" in check_row(bad).reason
