"""`linkwright calc`."""

import json
from collections.abc import Callable
from typing import Any

import pytest

Command = Callable[..., Any]
pytestmark = pytest.mark.usefixtures("tiny")


def test_the_list_is_on_standard_output_and_its_count_beside_it(command: Command) -> None:
    """`calc` lists every calculation with its line; the count is a note."""
    ended = command("calc")
    assert ended.code == 0
    assert "  tiny_pull " in ended.out
    assert "Stress of a round bar under a pull." in ended.out
    assert ended.err.endswith(" calculations\n")


def test_find_keeps_what_holds_the_word(command: Command) -> None:
    """`--find` looks in names, summaries, sources, arguments and results."""
    ended = command("calc", "--find", "test, area of a circle")
    assert "tiny_pull" in ended.out
    assert "tiny_share" not in ended.out
    assert ended.err == "1 calculation with 'test, area of a circle'\n"


def test_the_list_as_json(command: Command) -> None:
    """The list is an array of names with summary and room."""
    data = json.loads(command("calc", "--find", "tiny_pull", "--json").out)
    assert data == {
        "schema_version": 1,
        "calculations": [
            {
                "name": "tiny_pull",
                "summary": "Stress of a round bar under a pull.",
                "room": "tiny_calculations",
            }
        ],
    }


def test_a_name_alone_shows_formula_arguments_and_source(command: Command) -> None:
    """Units, ranges and the source stand with the docstring."""
    out = command("calc", "tiny_pull").out
    assert "Long text about it." in out
    assert "load_kN      kN; source holds from 0 to 100" in out
    assert "diameter_mm  mm; must be greater than 0" in out
    assert "stress_MPa  MPa" in out
    assert "Source: Test, area of a circle" in out


def test_a_result_stands_with_its_unit_and_source(command: Command) -> None:
    """The result for people is rounded and has unit, source and basis."""
    ended = command("calc", "tiny_pull", "load=10 kN", "diameter_mm=10")
    assert ended == (
        0,
        "tiny_pull\n  area    78.54 mm²\n  stress  127.32 MPa\n"
        "Source: Test, area of a circle\nBasis: published\n",
        "",
    )


def test_json_has_full_precision_and_units_in_its_keys(command: Command) -> None:
    """`--json` gives all digits in the units of the calculation, whatever `--units` says."""
    ended = command("calc", "tiny_pull", "load=10kN", "diameter_mm=10", "--json", "--units=inch")
    data = json.loads(ended.out)
    assert list(data) == [
        "schema_version", "calculation", "source", "basis", "arguments", "results", "reasons",
        "warnings",
    ]  # fmt: skip
    assert data["results"]["stress_MPa"] == pytest.approx(127.3239544735163, rel=1e-14)
    assert data["arguments"] == {"load_kN": 10.0, "diameter_mm": 10.0}


def test_units_change_what_is_shown(command: Command) -> None:
    """`--units inch` shows square inches and kpsi."""
    out = command("calc", "tiny_pull", "load_kN=10", "diameter_mm=10", "--units", "inch").out
    assert "0.12174 in²" in out
    assert "18.467 kpsi" in out


def test_show_chooses_results_and_their_units(command: Command) -> None:
    """`--show stress_psi` gives that result alone, in that unit."""
    words = ("calc", "tiny_pull", "load_kN=10", "diameter_mm=10", "--show", "stress_psi")
    assert "stress  18 467 psi" in command(*words).out
    results = json.loads(command(*words, "--json").out)["results"]
    assert results == {"stress_psi": pytest.approx(18466.778)}


def test_an_unknown_result_is_wrong_input(command: Command) -> None:
    """`--show` of what is not given names the results."""
    ended = command("calc", "tiny_pull", "load_kN=1", "diameter_mm=1", "--show", "stess_psi")
    assert (ended.code, ended.out) == (2, "")
    assert "accepted: stress_MPa" in ended.err


def test_lists_are_shown_with_one_unit(command: Command) -> None:
    """A list of results ends with its unit."""
    out = command("calc", "tiny_pull", "load_kN=10,20,30", "diameter_mm=10", "--show=stress").out
    assert "stress  127.32, 254.65, 381.97 MPa" in out


def test_a_warning_is_beside_the_result_and_in_the_json(command: Command) -> None:
    """Leaving the range of the source warns on standard error and in the list of the JSON."""
    ended = command("calc", "tiny_pull", "load_kN=200", "diameter_mm=10", "--json")
    assert ended.code == 0
    (warning,) = json.loads(ended.out)["warnings"]
    assert "outside the source's range" in warning
    assert ended.err == f"warning: {warning}\n"


def test_a_text_with_a_comma_is_one_text(command: Command) -> None:
    """A text argument is not a list."""
    assert "severity  0.25" in command("calc", "tiny_severity", "medium=oil, still").out


def test_what_needs_no_argument_is_carried_out_by_run(command: Command) -> None:
    """`--run` calculates without any argument; here one is missing, and it says so."""
    ended = command("calc", "tiny_pull", "--run")
    assert ended.code == 2
    assert "tiny_pull needs load_kN, diameter_mm" in ended.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["load"], "'load' is not KEY=VALUE"),
        (["=3"], "is not KEY=VALUE"),
        (["load_kN=1", "load_kN=2"], "load_kN: is given twice"),
        (["diametre_mm=1", "load_kN=1"], "accepted: diameter_mm"),
        (["diameter_mm=8,5", "load_kN=1"], "8.5 for one number"),
        (["diameter_mm=-1", "load_kN=1"], "greater than 0"),
        (["diameter=1 furlong", "load_kN=1"], "a known unit"),
        (["diameter_mm=__import__('os')", "load_kN=1"], "is not a quantity"),
        (["diameter_mm=1 kN", "load_kN=1"], "a number in mm"),
    ],
)
def test_wrong_input_is_told_with_what_is_accepted(
    command: Command, words: list[str], said: str
) -> None:
    """Exit code 2, nothing on standard output, a sentence with the accepted form."""
    ended = command("calc", "tiny_pull", *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
    assert "Traceback" not in ended.err


def test_nothing_is_told_twice(command: Command) -> None:
    """What an error's message says of key and accepted values is not repeated."""
    ended = command("calc", "tiny_pull", "diameter_mm=-1", "load_kN=1")
    assert ended.err == (
        "error: diameter_mm = -1.0 mm is outside what the formula can take;"
        " accepted: greater than 0\n"
    )


def test_texts_and_lists_are_bounded(command: Command) -> None:
    """A text or a list beyond its bound is wrong input."""
    assert command("calc", "tiny_severity", "medium=" + "x" * 10_001).code == 2
    assert command("calc", "tiny_pull", "load_kN=1", "diameter_mm=" + "1," * 100_001).code == 2


def test_an_unknown_calculation_names_the_nearest(command: Command) -> None:
    """A slip in the name is answered with what may have been meant."""
    ended = command("calc", "tiny_pul")
    assert ended.code == 2
    assert "tiny_pull" in ended.err
